"""Reads the keys of one table of a recipe with their checks, and gathers what is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Any, Final

from helix.errors import InfeasibleJointError, ValidationError, ValidationIssue, quoted
from helix.model.recipe.recipe_counts import bare_number
from helix.units import RAD_PER_DEG, Dimension, example, parse

_MOST_UNKNOWN: Final = 20  # unknown keys named one by one in a table
NO_NAMES: Final[Mapping[str, str]] = {}
_EDGE: Final = 1e-12  # relative: a value that is a limit but for rounding passes


@dataclass
class Faults:
    """Every fault found so far in one file, with the line that each key stands on."""

    place: str
    lines: dict[tuple[str, ...], int]
    found: list[tuple[int, ValidationIssue]] = field(default_factory=list)  # each with its line
    others: bool = False  # whether any is more than a shape that cannot exist
    kind: str = "recipe"  # what the file is, for messages

    def add(self, path: tuple[str, ...], message: str, shape: bool = False) -> None:
        """Note a fault at tables and a key ("" is the whole table); `shape`: it reads but cannot exist."""
        line = next((self.lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in self.lines), None)
        place = self.place if line is None else f"{self.place} line {line}"
        *tables, key = path
        name = f"[{'.'.join(tables)}] {_shown_key(key)}".rstrip() if tables else _shown_key(key)
        self.found.append((line or 0, ValidationIssue(f"{place}: {name}", message)))
        self.others = self.others or not shape

    def error(self) -> ValidationError:
        """All of them in the order of their lines: InfeasibleJointError when each is a shape that cannot exist."""
        in_order = [fault for _, fault in sorted(self.found, key=lambda entry: entry[0])]
        return (ValidationError if self.others else InfeasibleJointError)(in_order)


@dataclass(frozen=True)
class Limits:
    """Range of a value, in `unit`: "" bare, "d", "mm", "deg", "N", "MPa" or "kg/m3"; `example` reads, `why`
    says what speaks against the rest."""

    low: float
    high: float
    unit: str = ""
    low_open: bool = False
    high_open: bool = False
    example: str = ""
    why: str = ""

    def hold(self, value: float, size: float = 1.0) -> bool:
        """Whether the value, in helix's own unit, is inside; `size`: of one `unit` in that unit."""
        low, high = self.low * size, self.high * size
        above = value > low * (1 + _EDGE) if self.low_open else value >= low * (1 - _EDGE)
        below = value < high * (1 - _EDGE) if self.high_open else value <= high * (1 + _EDGE)
        return above and below

    def wanted(self, value: float) -> str:
        """What a value outside must be: the range, or no more than its sign where that is what is wrong."""
        if self.low == 0.0 and value <= 0.0:
            return "more than 0" if self.low_open else "0 or more"
        return str(self)

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        low = f"above {self.low:g}{unit}" if self.low_open else f"at least {self.low:g}{unit}"
        high = f"below {self.high:g}{unit}" if self.high_open else f"at most {self.high:g}{unit}"
        return f"{low} and {high}{f' ({self.why})' if self.why else ''}"


class Table:
    """One table of a recipe. Each getter returns the checked value, or the default after noting a fault.

    d_mm is None while the wire's diameter is not known: d then counts as 1 mm, and what would compare
    it with millimetres is left unchecked, so that one bad diameter does not show as many faults.
    """

    def __init__(self, faults: Faults, path: tuple[str, ...], values: object, d_mm: float | None) -> None:
        self.faults = faults
        self.path = path
        self.d_mm = d_mm
        self.bad: set[str] = set()
        self.values: dict[str, Any] = values if isinstance(values, dict) else {}
        self.usable = values is None or isinstance(values, dict)
        if not self.usable:
            faults.add((*path, ""), f"must be a table, [{'.'.join(path)}] on a line of its own; got {kind(values)}")

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def good(self, *keys: str) -> bool:
        """Whether none of these keys has had a fault."""
        return not self.bad.intersection(keys)

    def fault(self, key: str, message: str, shape: bool = False) -> None:
        """Note a fault of one key."""
        self.bad.add(key)
        self.faults.add((*self.path, key), message, shape)

    def length(self, key: str, limits: Limits, word: str | None = None) -> float | None:
        """A length in mm, or None when it is absent, faulty, or the `word` that stands for none."""
        d_mm = 1.0 if self.d_mm is None else self.d_mm
        value = self._parsed(key, "length", limits, word, d_mm)
        in_d = str(self.values.get(key, "")).strip().endswith("d")
        if self.d_mm is None and in_d != (limits.unit == "d") and value is not None and value > 0.0:
            return value
        return self._limited(key, value, limits, d_mm if limits.unit == "d" else 1.0)

    def diameter(self, key: str, limits: Limits) -> float | None:
        """A length in mm that cannot be given in wire diameters."""
        return self._limited(key, self._parsed(key, "length", limits), limits, 1.0)

    def angle(self, key: str, limits: Limits, word: str | None = None) -> float | None:
        """An angle in rad; limits in deg."""
        return self._limited(key, self._parsed(key, "angle", limits, word), limits, RAD_PER_DEG)

    def quantity(self, key: str, dimension: Dimension, limits: Limits) -> float | None:
        """A force, stress or density in N, MPa or kg/m3; limits in the same."""
        return self._limited(key, self._parsed(key, dimension, limits), limits, 1.0)

    def number(self, key: str, limits: Limits) -> float | None:
        """A bare number."""
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            bare = bare_number(key, value) if isinstance(value, str) else ""
            hint = f"; write {key} = {bare}" if bare and limits.hold(float(bare)) else ""
            self.fault(key, f"must be a bare number, {limits}; got {kind(value)}{hint}")
            return None
        if not limits.hold(value):
            shown = "not a number" if isinstance(value, float) and math.isnan(value) else quoted(value)
            self.fault(key, f"must be {limits.wanted(value)}; got {shown}")
            return None
        return float(value)

    def word(self, key: str, choices: tuple[str, ...]) -> str | None:
        """One of a few words."""
        value = self.values.get(key)
        if value is None or (isinstance(value, str) and value in choices):
            return value
        listed = " or ".join(f'"{choice}"' for choice in choices)
        near = get_close_matches(value.strip().lower(), choices, n=1) if isinstance(value, str) else []
        hint = f'; did you mean "{near[0]}"?' if near else ""
        self.fault(key, f"must be {listed}; got {kind(value)}{hint}")
        return None

    def text(self, key: str, example_text: str, longest: int = 200) -> str | None:
        """One line of text."""
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            self.fault(key, f"must be text in quotes, such as {example_text}; got {kind(value)}")
        elif not value.strip() or len(value) > longest or not value.isprintable():
            self.fault(key, f"must be one line of 1 to {longest} characters; got {quoted(value, 30)}")
        else:
            return value.strip()
        return None

    def known_keys(
        self, keys: Iterable[str], elsewhere: dict[str, str], also_called: Mapping[str, str] = NO_NAMES
    ) -> None:
        """Note every key that is not one of `keys`; for a hint, `elsewhere`: what other tables hold, and
        `also_called`: the key of this table for a name that people may write."""
        known = tuple(keys)
        strange = [key for key in self.values if key not in known]
        shown = strange if len(strange) <= _MOST_UNKNOWN else strange[: _MOST_UNKNOWN - 1]
        for key in shown:
            self.fault(
                key or '""',
                f"is not a key {_of(self.path, self.faults.kind)}{_meant(key, known, elsewhere, also_called)}",
            )
        if len(strange) > len(shown):
            more = len(strange) - len(shown)
            self.fault(
                strange[len(shown)],
                f"is not a key {_of(self.path, self.faults.kind)}, nor are {more - 1} more keys after it",
            )

    def _parsed(
        self, key: str, dimension: Dimension, limits: Limits, word: str | None = None, d_mm: float | None = None
    ) -> float | None:
        value = self.values.get(key)
        if value is None or (word is not None and value == word):
            return None
        either = f'"{word}" or ' if word else ""
        such_as = f'"{limits.example}"' if limits.example else example(dimension)
        if not isinstance(value, str):
            self.fault(key, f"must be {either}text with a unit, such as {such_as}; got {kind(value)}")
            return None
        try:
            return parse(value, dimension, d_mm)
        except ValueError as error:
            message = str(error).replace("must be ", f"must be {either}", 1)
            self.fault(key, message.replace(example(dimension), such_as, 1))
            return None

    def _limited(self, key: str, value: float | None, limits: Limits, size: float) -> float | None:
        if value is None or limits.hold(value, size):
            return value
        self.fault(key, f"must be {limits.wanted(value)}; got {quoted(self.values[key])}")
        return None


def kind(value: object) -> str:
    """A TOML value as a message shows it.

    >>> kind(4), kind("x"), kind([1])
    ('4', '"x"', 'a list')
    """
    if isinstance(value, datetime | date | time):
        return f"the date or time {value}"
    return quoted(value)


def _shown_key(key: str) -> str:
    plain = key.replace("-", "").replace("_", "")
    bare = key in ("", '""') or plain.isalnum() and plain.isascii() and len(key) <= 40
    return key if bare else quoted(key, 40)


def _of(path: tuple[str, ...], kind: str) -> str:
    return f"of [{'.'.join(path)}]" if path else f"or table of a {kind}"


def _meant(key: str, known: tuple[str, ...], elsewhere: dict[str, str], also_called: Mapping[str, str]) -> str:
    """The nearest known key, here or in another table, as the end of a sentence."""
    plain = key.strip().lower().replace("-", "_").replace(" ", "_")[:60]
    if plain in known:
        return f"; did you mean {plain}?"
    if plain in also_called:
        return f"; did you mean {also_called[plain]}?"
    longer = [name for name in known if name.startswith(plain + "_")]
    if plain and longer:
        return f"; did you mean {longer[0]}?"
    if plain in elsewhere:
        return f"; {plain} belongs {elsewhere[plain]}"
    near = get_close_matches(plain, known, n=1)
    if near:
        return f"; did you mean {near[0]}?"
    far = get_close_matches(plain, elsewhere, n=1, cutoff=0.8)
    if far:
        return f"; did you mean {far[0]}, which belongs {elsewhere[far[0]]}?"
    return f"; its keys are {', '.join(known)}"
