"""What a rigger is likely to have meant: by a line that is not TOML, by a count or a share that is no bare number."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Final

from helix.errors import cut

_ASSIGNED = re.compile(r"\s*([A-Za-z0-9_-]+)\s*=([^#]*)")
_QUANTITY = re.compile(r"([+-]?[0-9.]+(?:(?:[ -]+[0-9]+)?/[0-9]+)?)\s*([A-Za-z][A-Za-z0-9/^]*)$")
_COMMA_NUMBER = re.compile(r"([+-]?[0-9]+),([0-9]+)$")
_COMMA = re.compile(r"([+-]?(?:0(?=,)|[0-9]+(?=,[0-9]{1,2}(?![0-9])))),([0-9]+)")  # of a decimal, not of thousands
_WORD = re.compile(r"[A-Za-z][A-Za-z -]*$")
_NOT_JOINED = re.compile(r"\s*([A-Za-z0-9_-]+)(?:\s*:\s*(\S.*)|\s+([\"'0-9.].*))$")
_DOUBLE = re.compile("[\u201c-\u201f\u00ab\u00bb]")
_SINGLE = re.compile("[\u2018-\u201b]")
_LONGEST_LINE: Final = 1000  # nobody writes longer ones by hand
_WRITTEN = re.compile(r"(?:([0-9]+(?:\.[0-9]*)?|\.[0-9]+)|(?:([0-9]+)[ -]+)?([0-9]+) ?/ ?([0-9]+))\s*([^0-9\s]*)")
_LONGEST_COUNT: Final = 60
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


def suggest_correction(line: str, bare: Mapping[str, str]) -> str:
    """What to write for a line that is not TOML, as a message; "" where it cannot be told.

    line: as it stands in the file. bare: the keys that are bare numbers, each with a number that would do.
    A corrected line that is shown reads as TOML.

    >>> suggest_correction("pin = 6 mm", {}), suggest_correction("turns = 5 turns", {"turns": "5"})
    ('a quantity must stand in quotes: pin = "6 mm"', 'a count or a share is a bare number: turns = 5')
    """
    if len(line) > _LONGEST_LINE:
        return ""
    for advice, likely in _guesses(line, bare):
        if _reads(likely):
            return f"{advice}: {cut(likely.strip())}"
    shown = line.partition("#")[0]
    if _DOUBLE.search(shown) or _SINGLE.search(shown):
        return f'quotes must be straight, ", one before and one after a text; got {cut(line.strip())}'
    match = _ASSIGNED.match(line)
    if match and match[2].strip() and match[1] in bare:
        return f"a count or a share is a bare number, such as {match[1]} = {bare[match[1]]}"
    return ""


def _reads(line: str) -> bool:
    try:
        return bool(tomllib.loads(line))
    except (ValueError, RecursionError):
        return False


def _guesses(line: str, bare: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """What may be wrong with the line, and the line mended, the likeliest first; not all of them read."""
    if _DOUBLE.search(line) or _SINGLE.search(line):
        doubled = _DOUBLE.sub('"', line)
        for straight in (_SINGLE.sub("'", doubled), _SINGLE.sub('"', doubled)):
            yield 'use straight quotes (")', straight
    match = _ASSIGNED.match(line)
    if match:
        yield from _guesses_of(match[1], match[2].strip(), bare)
        return
    loose = _NOT_JOINED.match(line)
    if loose:
        joined = f"{loose[1]} = {loose[2] or loose[3]}"
        for likely in (joined, *(mended for _, mended in _guesses(joined, bare))):
            yield 'a key and its value are joined by "="', likely


def _guesses_of(key: str, written: str, bare: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    comma = _COMMA_NUMBER.match(written)
    if comma:
        yield "a number must have a decimal point", f"{key} = {comma[1]}.{comma[2]}"
    point = _COMMA.match(written)
    if point:
        written = f"{point[1]}.{point[2]}{written[point.end() :]}"
    quantity = _QUANTITY.match(written)
    if key in bare:
        yield "a count or a share is a bare number", f"{key} = {bare_number(key, written)}"
        return
    if quantity:
        yield "a quantity must stand in quotes", f'{key} = "{quantity[1]} {quantity[2]}"'
    if _WORD.match(written) and written not in ("nan", "inf"):
        yield "a word must stand in quotes", f'{key} = "{written}"'
    if written.count('"') == 1 and written[0] + written[-1] != '""' and '"' in (written[0], written[-1]):
        yield "a text must have quotes at both ends", f'{key} = "{written.strip(chr(34))}"'


def bare_number(key: str, written: str) -> str:
    """The number for a key of a count or share from how it was written; "" where that cannot be told.

    >>> bare_number("turns", "5 turns"), bare_number("turns", "5 1/2"), bare_number("evenness", "50 %")
    ('5', '5.5', '0.5')
    >>> bare_number("swing", "180 deg"), bare_number("turns", "5 to 6"), bare_number("turns", "5 mm")
    ('0.5', '', '')
    """
    text = written.strip().lower() if len(written) <= _LONGEST_COUNT else ""
    for sign, fraction in _HALVES.items():
        text = text.replace(sign, fraction)
    match = _WRITTEN.fullmatch(text.strip())
    if not match:
        return ""
    number, whole, above, below, unit = match.groups()
    one = _ONE_OF.get(key, {"": 1.0})
    size = one.get(unit, one.get(unit.removesuffix("s")))
    if size is None or (below and int(below) == 0):
        return ""
    value = float(number) if number else (int(whole or 0) * int(below) + int(above)) / int(below)
    return f"{value * size:.10g}"
