"""Wire sizes by gauge family and number; a size is never a bare number, and never interpolated."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Final

from helix.data.tables import table
from helix.errors import InputValueError, quoted
from helix.units import MM_PER_INCH

SIZE_TOLERANCE: Final = 0.02
"""A measured diameter may differ by this share from the size named beside it: about the mill
tolerance of spring wire, and less than half the smallest step of any family here (common practice,
no source)."""

MWG_SOURCE: Final = "Music Wire Gauge, fluids 1.3.1 after Machinery's Handbook, and a second chart [rep]"
AWG_SOURCE: Final = "American Wire Gauge, 0.005 in x 92^((36 - n)/39), ASTM B258 [mem]"
_AWG_LARGEST, _AWG_SMALLEST = 0, 40
_NUMBERED: Final = re.compile(r"\s*(?:(?:no|nr|number)\b[\s.]*#?|#)\s*([0-9]{1,4})\s*", re.IGNORECASE)
_AMBIGUOUS: Final = {
    "SWG": "SWG is the US Steel Wire gauge in some tables and the British Standard gauge in others",
    "GAUGE": "gauges of one number differ by family",
    "GA": "gauges of one number differ by family",
}


@dataclass(frozen=True)
class WireSize:
    """One size of one gauge family. diameter_mm: nominal; source: with its mark in brackets."""

    family: str
    number: int
    diameter_mm: float
    source: str

    @property
    def name(self) -> str:
        """Family and number as a recipe writes them, "MWG 12"."""
        return f"{self.family} {self.number}"


def awg_diameter_mm(number: int) -> float:
    """Return the diameter of an American Wire Gauge number, by the gauge's own formula.

    Parameters
    ----------
    number : int
        0 to 40.

    Returns
    -------
    float
        Diameter [mm].

    Raises
    ------
    ValueError
        Outside 0 to 40.

    Notes
    -----
    ASTM B258 [mem]: 0.005 in at 36, 0.46 in at 4/0, 39 equal ratios between them.

    Examples
    --------
    >>> awg_diameter_mm(36), round(awg_diameter_mm(20), 4)
    (0.127, 0.8118)
    """
    if not _AWG_LARGEST <= number <= _AWG_SMALLEST:
        raise ValueError(f"AWG number must be {_AWG_LARGEST} to {_AWG_SMALLEST}; got {number}")
    return 0.005 * MM_PER_INCH * math.pow(92.0, (36 - number) / 39)


@cache
def wire_sizes(family: str | None = None) -> tuple[WireSize, ...]:
    """Return every size known, or those of one family, in the order of their numbers.

    Parameters
    ----------
    family : str, optional
        "MWG" or "AWG".

    Returns
    -------
    tuple of WireSize

    Raises
    ------
    ValueError
        For a family that is not here, naming those that are.

    Examples
    --------
    >>> [size.name for size in wire_sizes("MWG")][:2], len(wire_sizes("AWG"))
    (['MWG 2', 'MWG 3'], 41)
    """
    music = tuple(
        WireSize("MWG", int(row["size"]), float(row["diameter_in"]) * MM_PER_INCH, MWG_SOURCE)
        for row in table("music_wire_gauge.csv")
    )
    american = tuple(
        WireSize("AWG", number, awg_diameter_mm(number), AWG_SOURCE)
        for number in range(_AWG_LARGEST, _AWG_SMALLEST + 1)
    )
    known = {"MWG": music, "AWG": american}
    if family is None:
        return music + american
    if family.upper() not in known:
        raise ValueError(f"gauge family must be one of {', '.join(known)}; got {quoted(family)}")
    return known[family.upper()]


def size_read_as(text: str) -> str:
    """Return how a size was read that is written by its number alone; "" for one with its family.

    Parameters
    ----------
    text : str
        A size that `find_size` finds.

    Returns
    -------
    str
        A remark, without full stop.

    Examples
    --------
    >>> size_read_as("no. 12"), size_read_as("MWG 12")
    ('"no. 12" read as music wire gauge, MWG 12: 0.737 mm, 0.029 in', '')
    """
    if not _NUMBERED.fullmatch(text):
        return ""
    size = find_size(text)
    mm = size.diameter_mm
    return f"{quoted(text)} read as music wire gauge, {size.name}: {mm:.3f} mm, {mm / MM_PER_INCH:.3f} in"


def find_size(text: str) -> WireSize:
    """Find the size written as family and number.

    Parameters
    ----------
    text : str
        "MWG 12" or "AWG 20"; "no. 12" and "#12" are the music wire gauge's, as riggers say.

    Returns
    -------
    WireSize

    Raises
    ------
    InputValueError
        For a bare number, an unknown or ambiguous family, and a number that the family's table does not hold; the message
        is ready to stand after the name of the key.

    Examples
    --------
    >>> round(find_size("MWG 12").diameter_mm, 4), find_size("no. 12").name
    (0.7366, 'MWG 12')
    """
    wanted, got = 'a gauge family and a number, such as "MWG 12"', quoted(text)
    by_number = _NUMBERED.fullmatch(text)
    match = re.fullmatch(r"\s*([A-Za-z]+)[\s.#-]*([0-9]{1,4})\s*", f"MWG {by_number[1]}" if by_number else text)
    if not match:
        if re.fullmatch(r"\s*[0-9]{1,4}\s*", text):
            wanted += ', or "no. 12" for music wire, as one number means different wire in each family'
        raise InputValueError("not-a-choice", wanted=wanted, got=got, hint="")
    family, number = match[1].upper(), int(match[2])
    if family in _AMBIGUOUS:
        hint = f", and {_AMBIGUOUS[family]}: give the diameter instead"
        raise InputValueError("not-a-choice", wanted=wanted, got=got, hint=hint)
    try:
        sizes = wire_sizes(family)
    except ValueError:
        hint = ": give the diameter instead"
        raise InputValueError("not-a-choice", wanted=f"{wanted}, of family MWG or AWG", got=got, hint=hint) from None
    for size in sizes:
        if size.number == number:
            return size
    wanted += f": {family} runs from {sizes[0].number} to {sizes[-1].number} here"
    raise InputValueError("not-a-choice", wanted=wanted, got=got, hint=": give the diameter instead")
