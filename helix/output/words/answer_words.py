"""The words of short answers: odds as a person says them, the verdict in a line, where a joint breaks."""

from __future__ import annotations

import textwrap
from typing import Final

from helix.findings import Judgement, Severity
from helix.output.words.findings.finding_words import capital
from helix.output.words.sentence_format import joints_words
from helix.output.words.words import more_words, telling_of
from helix.units import UnitSystem, format_tape

CAUTION: Final = "An estimate. Wire whips: wear eye protection. Not for lifting, fall arrest or loads over people."
"""Told at the end of everything that carries a load or tells hands what to do."""
INVENTED: Final = " (invented)"
"""The end of a title of data that are."""
LINE: Final = 100
"""Columns of a line of an answer."""
_TITLE: Final = 56
_PLACES: Final = {
    "clear": "in the straight wire",
    "standing": "in the straight wire",
    "behind_barrel": "behind the barrel",
    "exit_standing": "at the standing leg's exit",
    "exit_tag": "at the tag's exit",
    "entry_standing": "at the first bend, standing leg",
    "entry_tag": "at the first bend, tag",
    "twist_standing": "in the twist",
    "eye": "at the eye",
}


def unwinds_words(chance: float) -> str:
    """How many joints unwind, as a clause.

    >>> unwinds_words(0.0118), unwinds_words(0.31), unwinds_words(0.99)
    ('about 1 in 80 joints unwinds', '3 in 10 joints unwind', 'nearly every joint unwinds')
    """
    odds = joints_words(chance)
    return f"{odds} unwind{'' if 'in 10 ' in odds else 's'}"


def breaks_words(place: str) -> str:
    """Where a joint breaks, as the end of a sentence.

    >>> breaks_words("exit_standing"), breaks_words("clear")
    ("at the standing leg's exit", 'in the straight wire')
    """
    return _PLACES.get(place, f"at the {place.replace('_', ' ')}")


def headline(judgement: Judgement, units: UnitSystem = "metric", sound: str = "Nothing found wrong.") -> str:
    """The verdict's word, and the most severe finding with how many more there are, in one line; sound: what a good joint
    is told after "OK."."""
    telling = telling_of(judgement, units)
    if not telling:
        return f"{Severity.OK.name}. {sound}".rstrip()
    word = telling[0].word
    rest = f" {capital(more_words(len(telling) - 1))}." if len(telling) > 1 else ""
    line = f"{word}: {telling[0].what}.{rest}"
    return line if len(line) <= LINE else f"{word}: {telling[0].short}.{rest}"


def remedy_line(judgement: Judgement, units: UnitSystem = "metric") -> str:
    """What to change, for the most severe finding, or for the counts that let a joint unwind; empty where there is nothing."""
    telling = telling_of(judgement, units)
    known = [item for item in telling if item.do and item.finding.remedy != "see-why"]
    for item in known:
        if item is telling[0] or item.finding.code == "few":
            return f"{'Next' if item.finding.code == 'pieces-below' else 'Change'}: {item.do}."
    return ""


def tape_range(low_mm: float, high_mm: float, units: UnitSystem) -> str:
    """From what to what length, as a tape shows them.

    >>> tape_range(455.3, 464.1, "metric"), tape_range(455.3, 464.1, "inch")
    ('455 to 464 mm', '17 15/16 to 18 1/4 in')
    """
    unit = " in" if units == "inch" else " mm"
    return f"{format_tape(low_mm, units).removesuffix(unit)} to {format_tape(high_mm, units)}"


def short_title(title: str) -> str:
    """A title that leaves room on its line.

    >>> short_title("Logger tether,\\n lower eye (invented)")
    'Logger tether, lower eye (invented)'
    """
    return textwrap.shorten(" ".join(title.split()) or "Twisted wire joint", _TITLE, placeholder=" ...")


def shortened(title: str, most: int) -> str:
    """A title in so many letters, with its "(invented)".

    >>> shortened("Logger tether, lower eye (invented)", 30), shortened("Logger tether", 30)
    ('Logger tether, ... (invented)', 'Logger tether')
    """
    last = INVENTED if title.endswith(INVENTED) else ""
    return textwrap.shorten(title.removesuffix(INVENTED), most - len(last), placeholder=" ...") + last
