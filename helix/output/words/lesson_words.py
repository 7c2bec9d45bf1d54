"""The lesson of a finding, for an apprentice: what is to be seen, why it matters, what hands should do; no numbers.

Pictures say this first. The numbers behind a finding are in `finding_words`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final, NamedTuple

from helix.findings import Severity
from helix.mechanics import limits
from helix.output.words.findings.finding_words import Explained, capital
from helix.output.words.words import telling
from helix.units import format_turns

if TYPE_CHECKING:
    from helix.studies.shape.outline import Outline
    from helix.units import UnitSystem

PRACTICE: Final = "(common practice, no source)"


class Lesson(NamedTuple):
    """Headline: what is to be seen. Because: why it matters. Do: what hands should do. Each one line of a picture."""

    headline: str
    because: str
    do: str


LESSONS: Final[dict[str, tuple[str, str, str]]] = {
    "steep-first-bend": (
        "The legs cross too steeply",
        "where they first cross, each leg is bent harder than the wrapping test bends it",
        "hold the legs closer together, both at the same angle, and pull along them: let go they cross well under square",
    ),
    "spread-throat": (
        "The legs were spread after the twist",
        f"more than square is called sharp {PRACTICE}, though simulated pulls do not break early there",
        "leave the legs as the twist has them, and use a pin that fits the eye",
    ),
    "tight-first-bend": (
        "The first bend is too sharp",
        "the outside of the bend is stretched past what the wire is tested for",
        "let the legs run from the eye into the twist without a kink",
    ),
    "tight-leg-exit": (
        "The standing leg is kinked where it leaves the twist",
        "all of the load passes here and pulls this bend straight again",
        "let the leg come straight slowly, over about four thicknesses of the wire",
    ),
    "tight-exit": (
        "The tag is kinked where it leaves the twist",
        "it is bent harder than the wire is tested for, so it may crack while it is made",
        "let the leg come straight, then swing the tag out slowly",
    ),
    "steep-exit": (
        "The tag is bent back past square",
        "the wire is bent harder than it is tested for, so it may crack while it is made",
        "go straight from the twist into the first wrap, never past square",
    ),
    "exit-overlaps": (
        "The tag is swung out too soon",
        "the leg is not straight yet, and the tag pushes it into a short, sharp bend",
        "let the leg come straight first, then swing the tag out",
    ),
    "overlap": (
        "Two parts would lie in one place",
        "the wire cannot lie like this and will come out differently",
        "make room where they press: a longer lay, a longer exit or a wider pitch",
    ),
    "wraps-overlap": (
        "The wraps would lie in each other",
        "no two wraps can be closer than touching",
        "wind them so that they just touch",
    ),
    "lift-off": (
        "The tag stands off the leg",
        "the leg comes straight too fast for the tag to stay with it",
        "let the leg come straight over a longer way",
    ),
    "legs-apart": ("The legs stand apart", "a twist this tight cannot open with the legs in touch", "twist less tight"),
    "wraps-only": (
        "There is no twist",
        f"wraps alone pull out far below the strength of the wire {PRACTICE}",
        "make the even twist first, then the barrel",
    ),
    "over-twist": (
        "The twist is too tight",
        "the legs stand apart and bend harder, and more twisting adds no turns",
        "stop sooner: hold the legs closer together and twist to a longer lay",
    ),
    "tight-lay": (
        "The twist is very tight",
        "the legs cross beyond square all along it",
        "hold the legs closer together and twist to a longer lay",
    ),
    "loose-lay": (
        "The twist is too open",
        "a long lay grips little and unwinds",
        "wind it steeper: hold the legs farther apart",
    ),
    "uneven-twist": (
        "The tag is only wound round the leg",
        "a leg that stays straight is not gripped, so the tag can turn back out",
        "hold both legs at the same angle and turn both",
    ),
    "no-barrel": (
        "There is no barrel",
        "nothing keeps the tag from turning back out of the twist",
        "add wraps that touch",
    ),
    "open-barrel": (
        "The wraps stand apart",
        "they do not bear on each other and can slide along the leg",
        "wind each wrap hard against the last",
    ),
    "opposite-hand": (
        "The barrel is wound the wrong way round",
        "between the twist and the barrel the tag has to turn back on itself",
        "wind the barrel the same way round as the twist",
    ),
    "few": (
        "Too few {short}",
        f"with fewer than five full turns it may unwind {PRACTICE}",
        "make five full turns, then five full wraps that touch",
    ),
    "tight-eye": (
        "The pin is too small for this wire",
        "the eye is bent harder than the wire is tested for",
        "use a larger pin or a thimble",
    ),
    "many": (
        "More turns than usual",
        "crossings are easily counted as turns: one turn is two of them",
        "count again: a turn is all the way round",
    ),
    "unwinds": (
        "It turns back out before the wire breaks",
        "twist and barrel grip less than the wire can carry",
        "make more full turns first, then wraps that touch",
    ),
    "may-unwind": (
        "It may turn back out before the wire breaks",
        "the models do not agree that twist and barrel grip as hard as the wire can pull",
        "add a full turn, and pull some pieces before you rely on it",
    ),
    "own-unwound": (
        "Pieces made like this turned back out",
        "twist and barrel grip less than the wire can carry, as your own pull tests show",
        "make more full turns, and pull some pieces again before you rely on it",
    ),
    "like-unwound": (
        "Pieces wound like this, or with more, turned back out",
        "twist and barrel are what holds the tag; pin and eye are no part of that",
        "make more full turns, and pull some pieces before you rely on it",
    ),
    "not-pulled": (
        "Nobody has pulled a joint like this yet",
        "pieces of another joint unwound, and say nothing sure of this one",
        "make some pieces and pull them before you rely on it",
    ),
    "unwinds-in-practice": (
        "Too few turns and wraps for heavy wire",
        f"joints with so few turn back out {PRACTICE}",
        "make five full turns, then five full wraps that touch",
    ),
    "two-wires": (
        "No model knows how four strands hold",
        "all that is worked out of unwinding is for two strands",
        "pull three such joints to break before you rely on one",
    ),
    "no-model": (
        "Nobody can say what it holds",
        "no model of the hold applies to a joint made like this",
        "make it as practice does, or pull some pieces before you rely on it",
    ),
    "breaks-early": (
        "It breaks early",
        "one bend takes off more of the wire than it need",
        "let the wire turn slowly at the weakest bend, over a longer way",
    ),
    "pieces-below": (
        "Your pieces broke below what is expected",
        "the wire may be thinner or weaker than its table has it, or it breaks where no model looks",
        "measure the wire, pull straight pieces of its coil, and look where the pieces broke",
    ),
    "rated-not-held": (
        "It holds less than it is rated for",
        "it is expected to fail below its rating",
        "use heavier wire, or rate it lower",
    ),
    "rated-not-held-by-all": (
        "Not every piece holds what it is rated for",
        "some pieces are expected to fail below the rating",
        "use heavier wire, or rate it lower",
    ),
    "rated-above-breaking": (
        "The rating is above what the wire breaks at",
        "a joint is never stronger than its wire",
        "check the size, the material and the rating",
    ),
    "rated-above-least": (
        "The rating is above what weak wire breaks at",
        "weak wire of this size may break below its rating",
        "check size, material and rating, or pull straight wire of the batch",
    ),
}
_OPEN: Final = "wind it steeper, to a lay of {usual_lay_d:g} d: hold the legs farther apart"
BY_REMEDY: Final[dict[str, dict[str, tuple[str, str, str]]]] = {
    "few": {
        "add-turns": ("", "", "make five full turns: once round is one turn, and two crossings"),
        "add-wraps": (
            "",
            f"practice makes five {PRACTICE}; no pull test shows that fewer hold as well",
            "wind five full wraps that touch",
        ),
    },
    "loose-lay": {"usual-lay": ("The twist is too open: lay {lay_d:.3g} d, not {usual_lay_d:g} d", "", _OPEN)},
    "unwinds": {
        "usual-lay": (
            "The twist is too open: lay {lay_d:.3g} d, not {usual_lay_d:g} d",
            "a long lay grips little, and the tag can turn back out before the wire breaks",
            _OPEN,
        ),
        "turns-and-lay": (
            "Too few turns, and the twist too open: lay {lay_d:.3g} d, not {usual_lay_d:g} d",
            "few turns of a long lay grip little, and the tag can turn back out before the wire breaks",
            f"make five full turns, and {_OPEN}",
        ),
        "turn-both": ("", "", "hold both legs at the same angle and turn both"),
        "same-hand": ("", "", "wind the barrel the same way round as the twist"),
        "wind-touching": ("", "", "wind each wrap hard against the last"),
        "add-barrel": ("", "", "add wraps that touch"),
        "add-wraps": ("", "", "wind five full wraps that touch"),
        "add-turns": ("", "", "make five full turns, then five full wraps that touch"),
        "twist-first": ("", "", "make the even twist first, then the barrel"),
    },
    "tight-exit": {
        "gradual-exit": ("", "", "let the leg come straight over {leg_d:.0f} d, then swing the tag out over {swing}")
    },
    "tight-leg-exit": {
        "gradual-exit": ("", "", "let the leg come straight over {leg_d:.0f} d, then swing the tag out over {swing}")
    },
    "overlap": {
        "gradual-exit": ("", "", "let the leg come straight first, then swing the tag out"),
        "own-angle": ("", "", "let the legs run into the twist at its own angle"),
    },
}
"""What differs of a lesson by what is advised; an empty part is that of the code. May-unwind is told as unwinds is."""
SO_FEW_UNWIND: Final = "it turns back out before the wire breaks: so few grip less than the wire can carry"
CAUSES: Final[dict[str, tuple[str, ...]]] = {"overlap": ("exit-overlaps", "steep-exit")}
"""What is taught in the place of a finding where both are there: what hands did, not what came of it."""


def lesson_of(finding: Explained) -> Lesson:
    """Return the lesson of a finding; what has none of its own says what, why and what to do in its usual words."""
    words = LESSONS.get(finding.finding.code)
    if words is None:
        return Lesson(capital(finding.short), finding.why, finding.do)
    code, values = finding.finding.code, finding.finding.values
    own = BY_REMEDY.get("unwinds" if code == "may-unwind" else code, {}).get(finding.finding.remedy, ("", "", ""))
    if code == "few" and not values["few_turns"] and finding.severity is Severity.FAULT:
        own = ("", "so few wraps make no barrel: the tag can turn back out", own[2])
    if code == "steep-exit" and float(values["strain"] or 0.0) <= float(values["strain_limit"] or 0.0):
        own = ("", "it points back at the eye and has to turn round again to wind", "")
    if "leg_d" in values and not (
        values["leg_d"] and values["swing_turns"]
    ):  # no twist before it, or no barrel after it
        own = ("", "", "")
    said = {
        "short": " and ".join(name for name in ("turns", "wraps") if values.get(f"few_{name}")),
        "usual_lay_d": limits.USUAL_LAY,
        "swing": format_turns(float(values.get("swing_turns") or 0.0)),
        **values,
    }
    lesson = Lesson(*((part or usual).format(**said) for part, usual in zip(own, words, strict=True)))
    return lesson._replace(do=finding.do) if "make" in values else lesson


def with_advice(finding: Explained) -> Explained:
    """Return a finding for paper and pictures, where one cannot look something up: what to do is its lesson's then."""
    return replace(finding, do=lesson_of(finding).do) if finding.finding.remedy == "see-why" else finding


def first_lesson(result: Outline) -> tuple[Explained, Lesson] | None:
    """Return the most severe finding that matters, one that can be seen before others, with its lesson; None for none."""
    explained = telling(result)
    if not explained:
        return None
    worst = max(finding.severity for finding in explained)
    shown = {(finding.code, finding.place) for finding in result.findings}
    seen = (each for each in explained if (each.finding.code, each.place) in shown and each.severity == worst)
    first = next(seen, explained[0])
    first = next((finding for finding in explained if _is_cause(finding, first, result)), first)
    return first, _among(first, explained)


def _among(finding: Explained, others: Sequence[Explained]) -> Lesson:
    """The lesson of one of several findings: of too few turns no "may" where the joint is found to unwind."""
    lesson = lesson_of(finding)
    if finding.finding.code != "few" or all(other.finding.code != "unwinds" for other in others):
        return lesson
    return lesson._replace(because=SO_FEW_UNWIND)


def _is_cause(finding: Explained, of: Explained, result: Outline) -> bool:
    """Whether a finding is what hands did to bring about another: of a joint that unwinds, what is seen and has the same cure."""
    if of.finding.code not in ("unwinds", "may-unwind"):
        return finding.finding.code in CAUSES.get(of.finding.code, ())
    same = finding.finding.remedy == of.finding.remedy or (finding.finding.code, of.finding.remedy) == (
        "few",
        "add-turns",
    )
    return finding.finding in result.findings and same


def taught(result: Outline, units: UnitSystem = "metric") -> list[Lesson]:
    """The lessons of a joint: of what can be seen on it, what hands did before what came of it; else of how it holds."""
    explained = telling(result, units)
    seen = [finding for finding in explained if finding.finding in result.findings] or explained
    there = {finding.finding.code for finding in seen}
    codes = {cause for code in there for cause in CAUSES.get(code, ())}
    causes = [finding for finding in seen if finding.finding.code in codes]
    rest = [f for f in seen if f not in causes and there.isdisjoint(CAUSES.get(f.finding.code, ()))]
    return list(dict.fromkeys(_among(finding, explained) for finding in (*causes, *rest)))
