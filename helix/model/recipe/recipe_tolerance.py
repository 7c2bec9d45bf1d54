"""Reads the [tolerance] table of a recipe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from helix.errors import quoted
from helix.model.recipe.recipe_parts import Tolerance
from helix.model.recipe.recipe_table import Limits, Table
from helix.units import UnitSystem, format_length, in_wire_diameters

_SLACK_D: Final = Limits(0.0, 100.0, "d", example="0.2 d")
_SLACK_TURNS: Final = Limits(0.0, 10.0)
_SHARE: Final = Limits(0.0, 0.5)
_ROUNDING: Final = 1e-6  # relative: a default that was written out and read back is still the default


@dataclass(frozen=True)
class Measure:
    """What a tolerance is a tolerance of: its name, its size in mm or turns, the largest share of it that is allowed."""

    name: str
    size: float
    share: float = 0.5


def read_tolerance(table: Table, d_mm: float | None, measures: dict[str, Measure], units: UnitSystem) -> Tolerance:
    """The tolerances; one that swamps what it is a tolerance of is a fault.

    measures: by key, for those that are known and not 0. A tolerance no larger than the default is never a
    fault, as the default is not.
    """
    d = d_mm or 1.0

    def checked(key: str, value: float | None, default: float, length: bool) -> float:
        if value is None:
            return default
        measure = measures.get(key)
        if measure is None or value <= default * (1 + _ROUNDING):
            return value
        most = measure.share * measure.size
        if value > most * (1 + 1e-9):
            part = "half the" if measure.share == 0.5 else "the"
            size = f"{in_wire_diameters(most, d)} ({format_length(most, units)})" if length else f"{most:.3g}"
            table.fault(
                key,
                f"must be at most {part} {measure.name}, {size}, or it swamps the {measure.name}; "
                f"got {quoted(table.values[key])}",
            )
        return value

    def length(key: str, default_mm: float) -> float:
        return checked(key, table.length(key, _SLACK_D), default_mm, True)

    def number(key: str, default: float, limits: Limits = _SLACK_TURNS) -> float:
        return checked(key, table.number(key, limits), default, False)

    return Tolerance(
        lay_mm=length("lay", 0.2 * d),
        pin_mm=length("pin", 0.1),
        wrap_gap_mm=length("wrap_gap", 0.02 * d),
        swing_turns=number("swing", 0.25),
        turns=number("turns", 0.1),
        wraps=number("wraps", 0.25),
        stub_mm=length("stub", 0.5 * d),
        handle_mm=length("handle", 1.0),
        ramp_share=number("ramp_share", 0.03, _SHARE),
    )
