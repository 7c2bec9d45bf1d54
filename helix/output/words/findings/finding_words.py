"""Every finding in words: one table from its code to what it is and why it matters, one from the remedy to the advice.

Terminal, pictures, sheet and page take their sentences from here; values are put in with the unit system asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.output.words.findings.hold_findings import BREAK_WORDS, HOLD_ADVICE, HOLD_WORDS, hold_parts
from helix.output.words.findings.pull_findings import PULL_WORDS, pull_parts
from helix.output.words.findings.reading_words import reading_parts
from helix.output.words.findings.shape_findings import SHAPE_ADVICE, SHAPE_WORDS, shape_parts
from helix.output.words.link_words import LINK_ADVICE, LINK_WORDS
from helix.output.words.sentence_format import MARKS, SentenceFormatter
from helix.units import UnitSystem

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Explained:
    """A finding in words: short, without numbers; what it is, why it matters, what to do, and where it can be seen.

    points_mm: the places of the bends, none for a finding about a whole section.
    """

    finding: Finding
    short: str
    what: str
    why: str
    do: str
    points_mm: tuple[Point, ...] = ()

    @property
    def severity(self) -> Severity:
        return self.finding.severity

    @property
    def word(self) -> str:
        """The word that heads it: its severity's; of what is as bad as a sharp bend and no bend, what it is."""
        return (SHARP_WORDS if self.severity is Severity.SHARP else {}).get(self.finding.code, self.severity.name)

    @property
    def place(self) -> str:
        return self.finding.place

    @property
    def key(self) -> str:
        """What tells it from the joint's other findings: its code and its place."""
        return f"{self.finding.code}-{self.place}"

    @property
    def message(self) -> str:
        """What it is and why it matters, in a sentence or two."""
        return " ".join(_sentence(part) for part in (self.what, self.why) if part)

    def sentence(self) -> str:
        """All of it, with what to do."""
        return " ".join(_sentence(part) for part in (self.what, self.why, self.do) if part)


SHARP_WORDS: Final[dict[str, str]] = {
    "own-unwound": "UNWINDS",
    "like-unwound": "UNWINDS",
    "unwinds": "UNWINDS",
    "may-unwind": "MAY UNWIND",
    "unwinds-in-practice": "TOO FEW",
}
"""By code, what heads a finding as severe as a sharp bend that is of no bend."""
WORDS: Final[dict[str, tuple[str, str, str]]] = {
    **SHAPE_WORDS,
    **HOLD_WORDS,
    **LINK_WORDS,
    **dict.fromkeys(("reading", "reading-impossible"), ("{cannot}", "{place}: {text}", "")),
    "off-recipe": (
        "{place} off the recipe",
        "the {place} is {made_mm:length}, not {recipe_mm:length}: the recipe allows {allowed_mm:length} more or less",
        "",
    ),
    **dict.fromkeys(
        ("turns-from-length", "lays-agree", "over-twisted-count", "diameter-off-size", "read-as"),
        ("recipe", "{text}", ""),
    ),
}
ADVICE: Final[dict[str, str]] = {"": "", **SHAPE_ADVICE, **HOLD_ADVICE, **LINK_ADVICE}


def explain(finding: Finding, units: UnitSystem = "metric", points_mm: tuple[Point, ...] = ()) -> Explained:
    """A finding in words.

    >>> from helix.values import Values
    >>> few = Finding(code="few", severity=Severity.CAUTION, place="twist_tag", remedy="add-turns",
    ...               values=Values(turns=4.0, wraps=5.0, few_turns=True, few_wraps=False, usual=5.0))
    >>> explain(few).what, explain(few).do
    ('only 4 turns', 'make 5 turns, or prove it with pull tests')
    """
    put = SentenceFormatter(units)
    values = {
        "place": finding.place,
        **_advised(),
        **finding.values,
        **shape_parts(finding),
        **hold_parts(finding, units),
    }
    parts = pull_parts(finding) | reading_parts(finding)
    values |= {name: put.vformat(text, (), values) for name, text in parts.items()}
    texts = WORDS.get(finding.code) or ("", BREAK_WORDS.get(finding.code) or PULL_WORDS[finding.code], "")
    short, what, why = (put.vformat(text, (), values) for text in texts)
    return Explained(finding, short, what, why, put.vformat(ADVICE[finding.remedy], (), values), points_mm)


def _sentence(text: str) -> str:
    """The text with a capital first and a full stop last."""
    return capital(text) + ("" if text[-1] in ".?" else ".")


def _advised() -> dict[str, float | str]:
    """What is advised whatever the values are, and the marks of limits."""
    return {"sound_lay_d": limits.SOUND_LAY, "usual_lay_d": limits.USUAL_LAY, "usual": limits.FEW, **MARKS}


def capital(text: str) -> str:
    """The text with a capital first."""
    return text[:1].upper() + text[1:]
