"""What one key of a file may hold: its kind, range, default and words. Tables of them are told once, in `recipe_keys`
and `plan_keys`; the reader, the checks of what is built in Python, the template, the writer, the page's controls and the
tables of docs/ are made from those.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final, Literal

from helix.errors import InputValueError
from helix.quantities import Dimension, parse
from helix.units import RAD_PER_DEG

Kind = Literal["length", "angle", "force", "stress", "density", "mass", "count", "share", "choice", "text", "table"]

_EDGE: Final = 1e-12  # relative: a value that is a limit but for rounding passes
_UNIT_OF: Final[Mapping[str, str]] = {
    "length": "mm", "angle": "rad", "force": "n", "stress": "mpa", "density": "kg_m3", "mass": "kg"
}  # fmt: skip


@dataclass(frozen=True)
class Limits:
    """Range of a value, in `unit`: "" bare, "d", "mm", "deg", "N", "MPa", "kg/m3" or "kg"; `why` says what speaks
    against the rest."""

    low: float
    high: float
    unit: str = ""
    low_open: bool = False
    high_open: bool = False
    why: str = ""
    whole: bool = False

    def hold(self, value: float, size: float = 1.0) -> bool:
        """Whether the value, in helix's own unit, is inside; `size`: of one `unit` in that unit."""
        low, high = self.low * size, self.high * size
        above = value > low * (1 + _EDGE) if self.low_open else value >= low * (1 - _EDGE)
        below = value < high * (1 - _EDGE) if self.high_open else value <= high * (1 + _EDGE)
        return above and below and (not self.whole or value == round(value))

    def refuse(self, value: float, got: str) -> InputValueError:
        """What is wrong with a value outside: the range, or no more than its sign where that is what is wrong."""
        wanted = str(self)
        if self.low == 0.0 and value <= 0.0:
            wanted = "more than 0" if self.low_open else "0 or more"
        return InputValueError("out-of-range", wanted=wanted, got=got, low=self.low, high=self.high, unit=self.unit)

    def __str__(self) -> str:
        if self.whole:
            return f"{self.low:g} or {self.high:g}{f' ({self.why})' if self.why else ''}"
        unit = f" {self.unit}" if self.unit else ""
        low = f"above {self.low:g}{unit}" if self.low_open else f"at least {self.low:g}{unit}"
        high = f"below {self.high:g}{unit}" if self.high_open else f"at most {self.high:g}{unit}"
        return f"{low} and {high}{f' ({self.why})' if self.why else ''}"


def above(low: float, high: float, unit: str = "", why: str = "") -> Limits:
    """More than `low`, at most `high`."""
    return Limits(low, high, unit, low_open=True, why=why)


def least(low: float, high: float, unit: str = "", why: str = "") -> Limits:
    """From `low` to `high`."""
    return Limits(low, high, unit, why=why)


def between(low: float, high: float, unit: str = "") -> Limits:
    """More than `low`, less than `high`."""
    return Limits(low, high, unit, low_open=True, high_open=True)


def either(one: int, other: int, why: str = "") -> Limits:
    """One of two whole numbers that follow each other."""
    return Limits(one, other, why=why, whole=True)


@dataclass(frozen=True)
class Scale:
    """Of the page's slider: unit ("" for a bare number), ends, step, and the sensible range within (None: all of it)."""

    unit: str
    low: float
    high: float
    step: float
    sensible: tuple[float, float] | None = None


def slider(
    low: float, high: float, step: float, unit: str = "", inch: tuple[float, float, float] | None = None
) -> dict[str, Scale]:
    """A slider's scales by unit system; `inch`: ends and step in in, or lbf, where that is another scale."""
    metric = Scale(unit, low, high, step)
    return {"metric": metric, "inch": Scale("lbf" if unit == "N" else "in", *inch) if inch else metric}


@dataclass(frozen=True, kw_only=True)
class Key:
    """One key of a table.

    name: in the file. kind: what it holds. help: what it is, a phrase; more: what docs/ say besides. limits: its range.
    default: as the file would write it, None where nothing is filled in. assumed: whether the default is helix's own.
    word: text that stands for no value. choices: words, each with the page's text for it; other_words: taken for one of them. example: a text that reads.
    attr: the attribute of the frozen part, where name and unit do not make it; "" for none. needed: whether a recipe without it is refused.
    in_d: whether d, the wire diameter, may be its unit. longest: characters of a text. also: what people write for it.
    comment: of the template, where it is not the help; off: whether the template has it behind a number sign.
    label, page, open: of the page's control: its name, scales, and the words for a key that is left out.
    docs: default and range as docs/ show them, where they are not made from the rest.
    """

    name: str
    kind: Kind
    help: str = ""
    more: str = ""
    limits: Limits | None = None
    default: str | float | None = None
    assumed: bool = False
    word: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    other_words: Mapping[str, str] = field(default_factory=dict)
    example: str = ""
    attr: str | None = None
    needed: bool = False
    in_d: bool = True
    longest: int = 200
    also: tuple[str, ...] = ()
    comment: str | None = None
    off: bool = False
    label: str = ""
    page: Mapping[str, Scale] = field(default_factory=dict)
    open: str | None = None
    docs: tuple[str | None, str | None] = (None, None)

    @cached_property
    def attribute(self) -> str:
        """The attribute of the frozen part, its unit in its name; "" for none."""
        unit = _UNIT_OF.get(self.kind, "")
        return (f"{self.name}_{unit}" if unit else self.name) if self.attr is None else self.attr

    @property
    def dimension(self) -> Dimension | None:
        """What a quantity must be; None for what carries no unit."""
        return self.kind if self.kind in _UNIT_OF else None  # type: ignore[return-value]

    def size(self, d_mm: float) -> float:
        """One unit of the limits in helix's own unit."""
        unit = self.limits.unit if self.limits else ""
        return {"d": d_mm, "deg": RAD_PER_DEG}.get(unit, 1.0)

    def usual(self, d_mm: float) -> float | str | None:
        """The default in helix's own unit; None where there is none or a word stands for it."""
        if self.default is None or self.default == self.word:
            return None
        if self.dimension is None:
            return float(self.default) if self.kind in ("count", "share") else self.default
        return parse(self.default, self.dimension, d_mm)

    def written(self, value: float) -> str:
        """A quantity in helix's own unit as the file writes it, to nine digits."""
        if self.kind == "angle":
            return f"{math.degrees(value):.9g} deg"
        unit = {"length": "mm", "force": "N", "stress": "MPa", "density": "kg/m3", "mass": "kg"}.get(self.kind, "")
        return f"{value:.9g} {unit}".strip()

    def but(self, **changes: object) -> Key:
        """The same key with something else about it."""
        return replace(self, **changes)  # type: ignore[arg-type]
