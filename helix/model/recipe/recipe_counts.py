"""Counts and shares as people write them, as the bare number that a recipe wants: 5 turns, 5 1/2, 50 %, 180 deg."""

from __future__ import annotations

import re
from typing import Final

_WRITTEN = re.compile(r"(?:([0-9]+(?:\.[0-9]*)?|\.[0-9]+)|(?:([0-9]+)[ -]+)?([0-9]+) ?/ ?([0-9]+))\s*([^0-9\s]*)")
_LONGEST: Final = 60
_HALVES: Final = {"\u00bc": " 1/4", "\u00bd": " 1/2", "\u00be": " 3/4"}
# what one of a unit is in each key that may be written in it
_TURN: Final = {"": 1.0, "turn": 1.0, "deg": 1.0 / 360.0, "degree": 1.0 / 360.0, "\u00b0": 1.0 / 360.0}
_SHARE: Final = {"": 1.0, "%": 0.01, "percent": 0.01}
_ONE_OF: Final[dict[str, dict[str, float]]] = {
    "turns": _TURN | {"x": 1.0, "time": 1.0, "twist": 1.0, "crossing": 0.5},
    "crossings": {"": 1.0, "crossing": 1.0, "x": 1.0, "time": 1.0, "turn": 2.0},
    "wraps": _TURN | {"wrap": 1.0, "x": 1.0, "time": 1.0, "coil": 1.0},
    "swing": _TURN,
    "evenness": _SHARE,
    "ramp_share": _SHARE,
}


def bare_number(key: str, written: str) -> str:
    """The number for a key of a count or share from how it was written; "" where that cannot be told.

    >>> bare_number("turns", "5 turns"), bare_number("turns", "5 1/2"), bare_number("evenness", "50 %")
    ('5', '5.5', '0.5')
    >>> bare_number("swing", "180 deg"), bare_number("turns", "5 to 6"), bare_number("turns", "5 mm")
    ('0.5', '', '')
    """
    text = written.strip().lower() if len(written) <= _LONGEST else ""
    for sign, fraction in _HALVES.items():
        text = text.replace(sign, fraction)
    found = _WRITTEN.fullmatch(text.strip())
    if not found:
        return ""
    number, whole, above, below, unit = found.groups()
    one = _ONE_OF.get(key, {"": 1.0})
    size = one.get(unit, one.get(unit.removesuffix("s")))
    if size is None or (below and int(below) == 0):
        return ""
    value = float(number) if number else (int(whole or 0) * int(below) + int(above)) / int(below)
    return f"{value * size:.10g}"
