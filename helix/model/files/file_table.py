"""Reads the keys of one table of a file with their checks, and gathers what is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from typing import Any, Final

from helix.errors import (
    NO_VALUES,
    InfeasibleJointError,
    InputValueError,
    IssuePath,
    ValidationError,
    ValidationIssue,
    quoted,
)
from helix.findings import Finding, remark
from helix.model.files.corrections import bare_number
from helix.model.files.file_keys import Key
from helix.quantities import parse, read_as
from helix.values import Scalar, Values

_MOST_UNKNOWN: Final = 20  # unknown keys named one by one in a table
NO_NAMES: Final[Mapping[str, str]] = {}


@dataclass
class Faults:
    """Every issue so far in one file, with the line that each key stands on."""

    place: str
    lines: Mapping[tuple[str, ...], int]
    issues: list[tuple[int, ValidationIssue]] = field(default_factory=list)  # each with its line
    others: bool = False  # whether any is more than a shape that cannot exist
    kind: str = "recipe"  # what the file is, for messages
    notes: list[Finding] = field(default_factory=list)  # how something was read

    def add(self, path: tuple[str, ...], code: str, **values: Scalar) -> None:
        """Note an issue at tables and a key ("" is the whole table)."""
        self.put(path, code, Values(**values))

    def put(
        self, path: tuple[str, ...], code: str, values: Values = NO_VALUES, message: str = "", shape: bool = False
    ) -> None:
        """Note an issue whose values are at hand, or its message; `shape`: it reads but cannot exist."""
        line = next((self.lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in self.lines), None)
        place = IssuePath(file=self.place, line=line, table=path[:-1], key=path[-1])
        self.issues.append((line or 0, ValidationIssue(place, message, code=code, values=values)))
        self.others = self.others or not shape

    def error(self) -> ValidationError:
        """All of them in the order of their lines: InfeasibleJointError when each is a shape that cannot exist."""
        in_order = [fault for _, fault in sorted(self.issues, key=lambda entry: entry[0])]
        return (ValidationError if self.others else InfeasibleJointError)(in_order)


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
            faults.add((*path, ""), "not-a-table", table=".".join(path), got=kind(values))

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def good(self, *keys: str) -> bool:
        """Whether none of these keys has had a fault."""
        return not self.bad.intersection(keys)

    def fault(self, key: str, code: str, **values: Scalar) -> None:
        """Note an issue of one key."""
        self.put(key, code, Values(**values))

    def note(self, key: str, error: InputValueError, shape: bool = False) -> None:
        """Note what is wrong with the value of a key."""
        self.put(key, error.code, error.values, shape=shape)

    def put(self, key: str, code: str, values: Values = NO_VALUES, message: str = "", shape: bool = False) -> None:
        """Note an issue of one key whose values are at hand, or its message."""
        self.bad.add(key)
        self.faults.put((*self.path, key), code, values, message, shape)

    def read(self, keys: Iterable[Key]) -> dict[str, Any]:
        """The checked values of these keys by attribute, defaults filled in; after a fault the default stands."""
        d_mm = 1.0 if self.d_mm is None else self.d_mm
        values: dict[str, Any] = {}
        for key in keys:
            value = self.value(key)
            if key.attribute:
                values[key.attribute] = key.usual(d_mm) if value is None else value
        return values

    def value(self, key: Key) -> Any:
        """The checked value of a key in helix's own unit; None when it is absent, faulty, or the word for none."""
        value = self.values.get(key.name)
        if value is None or (key.word and value == key.word):
            return None
        if key.dimension:
            return self._quantity(key, value)
        return {"choice": self._choice, "text": self._text}.get(key.kind, self._number)(key, value)

    def _quantity(self, key: Key, value: object) -> float | None:
        """A length, angle, force, stress, density or mass."""
        d_mm = 1.0 if self.d_mm is None else self.d_mm
        if not isinstance(value, str):
            either = f'"{key.word}" or ' if key.word else ""
            self._wrong_type(key, value, f'{either}text with a unit, such as "{key.example}"')
            return None
        try:
            read = parse(
                value, key.dimension or "none", d_mm if key.in_d else None, such_as=key.example, either=key.word
            )
        except InputValueError as error:
            self.note(key.name, error)
            return None
        if otherwise := read_as(value, key.dimension or "none"):
            self.faults.notes.append(remark("read-as", f"{otherwise}."))
        if self.d_mm is None and key.in_d and key.kind == "length" and read > 0.0:
            in_d = value.strip().endswith("d")
            if in_d != (key.limits is not None and key.limits.unit == "d"):
                return read
        return self._limited(key, read, key.size(d_mm))

    def _number(self, key: Key, value: object) -> float | None:
        """A bare number."""
        limits = key.limits
        if isinstance(value, bool) or not isinstance(value, int | float):
            bare = bare_number(key.name, value) if isinstance(value, str) else ""
            hint = f"; write {key.name} = {bare}" if bare and limits and limits.hold(float(bare)) else ""
            self._wrong_type(key, value, f"a bare number, {limits}", hint)
            return None
        held = self._limited(key, value, 1.0)
        return None if held is None else float(held)

    def _choice(self, key: Key, value: object) -> str | None:
        """One of a few words."""
        if isinstance(value, str) and (word := key.other_words.get(value, value)) in key.choices:
            return word
        listed = " or ".join(f'"{choice}"' for choice in key.choices)
        near = get_close_matches(value.strip().lower(), key.choices, n=1) if isinstance(value, str) else []
        hint = f'; did you mean "{near[0]}"?' if near else ""
        self.fault(key.name, "not-a-choice", wanted=listed, got=kind(value), hint=hint)
        return None

    def _text(self, key: Key, value: object) -> str | None:
        """One line of text."""
        if not isinstance(value, str):
            self._wrong_type(key, value, f'text in quotes, such as "{key.example}"')
        elif not value.strip() or len(value) > key.longest or not value.isprintable():
            wanted = f"one line of 1 to {key.longest} characters"
            self.fault(key.name, "out-of-range", wanted=wanted, got=quoted(value, 30), most=key.longest)
        else:
            return value.strip()
        return None

    def _wrong_type(self, key: Key, value: object, wanted: str, hint: str = "") -> None:
        self.fault(key.name, "wrong-type", wanted=wanted, got=kind(value), hint=hint)

    def _limited(self, key: Key, value: float, size: float) -> float | None:
        if key.limits is None or key.limits.hold(value, size):
            return value
        self.note(key.name, key.limits.refuse(value, shown_number(self.values[key.name])))
        return None

    def missing(self, keys: Iterable[Key]) -> None:
        """Note which needed keys are missing."""
        for key in keys:
            if key.needed and key.name not in self and self.usable:
                given = (
                    f'{key.name} = "{key.example}"'
                    if key.dimension or key.kind == "text"
                    else f"{key.name} = {key.example}"
                )
                self.fault(key.name, "missing", give=given)

    def known_keys(
        self, keys: Iterable[str], elsewhere: dict[str, str], also_called: Mapping[str, str] = NO_NAMES
    ) -> None:
        """Note every key that is not one of `keys`; for a hint, `elsewhere`: what other tables hold, and
        `also_called`: the key of this table for a name that people may write."""
        known = tuple(keys)
        strange = [key for key in self.values if key not in known]
        shown = strange if len(strange) <= _MOST_UNKNOWN else strange[: _MOST_UNKNOWN - 1]
        for key in shown:
            hint = _meant(key, known, elsewhere, also_called)
            self.fault(key or '""', "unknown-key", of=_of(self.path, self.faults.kind), hint=hint)
        if len(strange) > len(shown):
            more = len(strange) - len(shown) - 1
            self.fault(strange[len(shown)], "unknown-keys", of=_of(self.path, self.faults.kind), more=more)


def shown_number(value: object) -> str:
    """A number or a text that is out of its range, as a message shows it."""
    return "not a number" if isinstance(value, float) and math.isnan(value) else quoted(value)


def kind(value: object) -> str:
    """A TOML value as a message shows it.

    >>> kind(4), kind("x"), kind([1])
    ('4', '"x"', 'a list')
    """
    if isinstance(value, datetime | date | time):
        return f"the date or time {value}"
    return quoted(value)


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
