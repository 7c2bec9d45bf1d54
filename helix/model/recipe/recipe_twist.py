"""Reads the [twist] table of a recipe: turns, lay, and whether what is stated of them agrees."""

from __future__ import annotations

import math
from typing import Final, Literal, cast

from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Twist
from helix.model.recipe.recipe_table import Limits, Table
from helix.units import format_length

DEFAULT_TURNS: Final = 5.0
DEFAULT_LAY_D: Final = 4.0
AGREEMENT: Final = 0.01  # two statements of one lay may differ by this share
LONGEST_TWIST_D: Final = 20_000.0

_TURNS: Final = Limits(0.0, 1000.0, why="more is not computed")
_CROSSINGS: Final = Limits(0.0, 2000.0, why="more is not computed")
_LAY: Final = Limits(0.0, 1000.0, "d", low_open=True, example="4 d")
_LAY_ANGLE: Final = Limits(0.0, 90.0, "deg", low_open=True, high_open=True, example="38.1 deg")
_LENGTH: Final = Limits(0.0, LONGEST_TWIST_D, "d", low_open=True, example="14.7 mm")
_EVENNESS: Final = Limits(0.0, 1.0)


def read_twist(table: Table, notes: list[str]) -> Twist:
    """The twist, its lay from whichever of lay_length, lay_angle and length is stated.

    Faults are noted in the table, remarks in `notes`.
    """
    d_mm = table.d_mm or 1.0
    turns = _read_turns(table)
    length_mm = table.length("length", _LENGTH)
    lays = {"lay_length": table.length("lay_length", _LAY), "lay_angle": _lay_of_angle(table, d_mm)}
    stated = {key: lay_mm for key, lay_mm in lays.items() if lay_mm is not None}
    if length_mm is not None and table.good("turns", "crossings", "lay_length", "lay_angle"):
        if turns is None and stated:
            key, lay_mm = next(iter(stated.items()))
            turns = length_mm / lay_mm
            notes.append(f"turns = {turns:.3g}, from length and {key}.")
            if not _TURNS.hold(turns):
                table.fault("length", f"must be at most 1000 turns of the lay; got {turns:.6g}")
        elif turns is None:
            table.fault("length", "must have turns, crossings or lay_length beside it, to give a lay")
        elif turns == 0.0:
            table.fault("length", "must be left out where turns is 0")
        else:
            stated["length"] = length_mm / turns
    turns = DEFAULT_TURNS if turns is None else turns
    lay_mm = next(iter(stated.values()), DEFAULT_LAY_D * d_mm)
    if table.d_mm is not None and table.good(*table.values):
        _agree(table, turns, stated, notes)
        if table.good(*table.values):
            _exists(table, turns, lay_mm, next(iter(stated), "lay_length"), notes)
    evenness = table.number("evenness", _EVENNESS)
    hand = cast(Literal["right", "left"], table.word("hand", ("right", "left")) or "right")
    return Twist(turns, lay_mm, 1.0 if evenness is None else evenness, hand, length_mm)


def _read_turns(table: Table) -> float | None:
    """Turns as stated, or None where neither turns nor crossings is."""
    turns = table.number("turns", _TURNS)
    crossings = table.number("crossings", _CROSSINGS)
    if "turns" in table and "crossings" in table:
        table.fault("crossings", "must not stand beside turns: give one of the two (a turn is two crossings)")
        return None
    return turns if crossings is None else crossings / 2.0


def _lay_of_angle(table: Table, d_mm: float) -> float | None:
    """Lay of an even twist from its lay angle: tan(angle) = pi d / lay, the leg at radius d/2."""
    angle_rad = table.angle("lay_angle", _LAY_ANGLE)
    if angle_rad is None:
        return None
    if angle_rad > math.pi / 4.0 * (1 + 1e-12):
        table.fault(
            "lay_angle",
            "must be at most 45 deg, the angle at a lay of pi d (3.14 d): in a shorter lay the legs move "
            f'off d/2; give lay_length instead; got "{math.degrees(angle_rad):.6g} deg"',
        )
        return None
    lay_mm = math.pi * d_mm / math.tan(angle_rad)
    if lay_mm > _LAY.high * d_mm:
        table.fault("lay_angle", f'must give a lay of at most 1000 d; got "{math.degrees(angle_rad):.3g} deg"')
        return None
    return lay_mm


def _agree(table: Table, turns: float, stated: dict[str, float], notes: list[str]) -> None:
    """Note a fault where two statements of the lay differ, and what explains it."""
    if len(stated) < 2:
        return
    (first, lay_mm), *others = stated.items()
    for key, other_mm in others:
        ratio = lay_mm / other_mm
        if abs(ratio - 1.0) <= AGREEMENT * (1 + 1e-9):
            notes.append(f"{first} and {key} agree within {max(100 * abs(ratio - 1), 0.01):.2g} %; {first} is used.")
            continue
        message = (
            f"must agree with {first} within {AGREEMENT:.0%}: it gives a lay of {_both(table, other_mm)}"
            f"{f' with {_count(table, turns)}' if key == 'length' else ''}, "
            f"{first} says {_both(table, lay_mm)}"
        )
        if key == "length" and 1.9 <= ratio <= 2.1 and "turns" in table:
            table.fault("turns", f"{_looks_like_crossings(table, turns, other_mm)} to agree with {first}")
        elif key == "length" and 1.9 <= 1.0 / ratio <= 2.1 and "crossings" in table:
            count = f"{2 * turns:g}"
            table.fault("crossings", f"{count} looks like a count of turns: turns = {count} agrees with {first}")
        else:
            table.fault(key, message)


def _exists(table: Table, turns: float, lay_mm: float, key: str, notes: list[str]) -> None:
    """Note a fault where the lay cannot exist, or the twist is too long to compute."""
    d_mm = table.d_mm or 1.0
    lay_d = lay_mm / d_mm
    counted = key == "length" and "turns" in table
    if lay_d <= 2.0 * (1 + 1e-12):
        if counted and lay_d > 1.0:
            table.fault("turns", _looks_like_crossings(table, turns, lay_mm), shape=True)
            return
        table.fault(
            key,
            "must give a lay above 2 d: an even twist cannot be laid shorter than 2 d, however far its "
            f"legs stand apart, and 4 d is usual; got {_both(table, lay_mm)}",
            shape=True,
        )
    elif turns * lay_d > LONGEST_TWIST_D:
        table.fault(key, f"must give a twist of at most {LONGEST_TWIST_D:g} d; got {turns * lay_d:.6g} d")
    elif counted and lay_d < limits.OVER_TWIST:
        notes.append(
            f"{turns:g} turns in this length are over-twisted; if {turns:g} is a count of crossings, write "
            f"crossings = {turns:g}, which gives a lay of {_both(table, 2.0 * lay_mm)}."
        )


def _looks_like_crossings(table: Table, turns: float, lay_mm: float) -> str:
    return (
        f"{turns:g} looks like a count of crossings (half turns): turns = {turns:g} in this length gives a "
        f"lay of {_both(table, lay_mm)}, crossings = {turns:g} gives {_both(table, 2.0 * lay_mm)}; "
        "write crossings"
    )


def _count(table: Table, turns: float) -> str:
    return f"crossings = {2.0 * turns:g}" if "crossings" in table else f"turns = {turns:g}"


def _both(table: Table, lay_mm: float) -> str:
    return f"{lay_mm / (table.d_mm or 1.0):.4g} d ({format_length(lay_mm)})"
