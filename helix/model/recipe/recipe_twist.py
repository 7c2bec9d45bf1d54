"""Reads the [twist] table of a recipe: turns, lay, and whether what is stated of them agrees."""

from __future__ import annotations

from typing import Any, Final

from helix.errors import InputValueError
from helix.findings import Finding, remark
from helix.mechanics import limits
from helix.model.files.file_table import Table
from helix.model.recipe.recipe_checks import both_lengths, lay_error, lay_of_angle
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D, TWIST, key_of

AGREEMENT: Final = 0.01  # two statements of one lay may differ by this share


def read_twist(table: Table, notes: list[Finding], wires: int = 1) -> dict[str, Any]:
    """The twist's values, its lay from whichever of lay_length, lay_angle and length is stated; of two wires the usual one
    is longer.

    Issues are noted in the table, remarks in `notes`.
    """
    d_mm = table.d_mm or 1.0
    usual: dict[str, Any] = {key.attribute: key.usual(d_mm) for key in TWIST if key.attribute}
    values = {key.name: table.value(key) for key in TWIST}
    if wires > 1:
        usual["lay_mm"] = DOUBLED_LAY_D * d_mm
    turns, length_mm = _turns(table, values), values["length"]
    stated = {key: lay_mm for key, lay_mm in _lays(table, values, d_mm, wires).items() if lay_mm is not None}
    if length_mm is not None and table.good("turns", "crossings", "lay_length", "lay_angle"):
        if turns is None and stated:
            key, lay_mm = next(iter(stated.items()))
            turns = length_mm / lay_mm
            notes.append(remark("turns-from-length", f"turns = {turns:.3g}, from length and {key}."))
            limits = key_of("twist", "turns").limits
            if limits is not None and not limits.hold(turns):
                table.fault("length", "too-long", wanted="1000 turns of the lay", got=f"{turns:.6g}")
        elif turns is None:
            table.fault("length", "incomplete", needed="turns, crossings or lay_length")
        elif turns == 0.0:
            table.fault("length", "needless", other="turns")
        else:
            stated["length"] = length_mm / turns
    turns = usual["turns"] if turns is None else turns
    lay_mm = next(iter(stated.values()), usual["lay_mm"])
    if table.d_mm is not None and table.good(*table.values):
        _agree(table, turns, stated, notes)
        if table.good(*table.values):
            _exists(table, turns, lay_mm, next(iter(stated), "lay_length"), notes, wires)
    return {
        "turns": turns,
        "lay_mm": lay_mm,
        "evenness": usual["evenness"] if values["evenness"] is None else values["evenness"],
        "hand": values["hand"] or usual["hand"],
        "length_mm": length_mm,
    }


def _turns(table: Table, values: dict[str, Any]) -> Any:
    """Turns as stated, or None where neither turns nor crossings is."""
    if "turns" in table and "crossings" in table:
        table.fault("crossings", "conflict", other="turns", instead="give one of the two (a turn is two crossings)")
        return None
    return values["turns"] if values["crossings"] is None else values["crossings"] / 2.0


def _lays(table: Table, values: dict[str, Any], d_mm: float, wires: int) -> dict[str, float | None]:
    """The lay as lay_length and as lay_angle state it [mm]."""
    lays = {"lay_length": values["lay_length"], "lay_angle": None}
    if values["lay_angle"] is not None and wires > 1:
        table.fault("lay_angle", "not-for-two", wanted="given as lay_length")
    elif values["lay_angle"] is not None:
        try:
            lays["lay_angle"] = lay_of_angle(values["lay_angle"], d_mm)
        except InputValueError as error:
            table.note("lay_angle", error)
    return lays


def _agree(table: Table, turns: float, stated: dict[str, float], notes: list[Finding]) -> None:
    """Note where two statements of the lay differ, and what explains it."""
    (first, lay_mm), *others = stated.items() or [("", 0.0)]
    d_mm = table.d_mm or 1.0
    for key, other_mm in others:
        ratio = lay_mm / other_mm
        if abs(ratio - 1.0) <= AGREEMENT * (1 + 1e-9):
            off = f"{max(100 * abs(ratio - 1), 0.01):.2g} %"
            notes.append(remark("lays-agree", f"{first} and {key} agree within {off}; {first} is used."))
        elif key == "length" and 1.9 <= ratio <= 2.1 and "turns" in table:
            table.note("turns", _crossings_counted(turns, other_mm, d_mm, f" to agree with {first}"))
        elif key == "length" and 1.9 <= 1.0 / ratio <= 2.1 and "crossings" in table:
            table.fault("crossings", "turns-as-crossings", count=2.0 * turns, first=first)
        else:
            count = f" with {_count(table, turns)}" if key == "length" else ""
            lay, first_lay = both_lengths(other_mm, d_mm), both_lengths(lay_mm, d_mm)
            within = f"{AGREEMENT:.0%}"
            table.fault(key, "disagree", first=first, within=within, lay=lay, count=count, first_lay=first_lay)


def _exists(table: Table, turns: float, lay_mm: float, key: str, notes: list[Finding], wires: int) -> None:
    """Note where the lay cannot exist, or the twist is too long to compute."""
    d_mm = table.d_mm or 1.0
    counted = key == "length" and "turns" in table
    error = lay_error(turns, lay_mm, d_mm, wires)
    if error is None:
        if counted and wires == 1 and lay_mm / d_mm < limits.OVER_TWIST:
            text = (
                f"{turns:g} turns in this length are over-twisted; if {turns:g} is a count of crossings, write "
                f"crossings = {turns:g}, which gives a lay of {both_lengths(2.0 * lay_mm, d_mm)}."
            )
            notes.append(remark("over-twisted-count", text))
    elif error.code == "lay-too-short" and counted and lay_mm / d_mm > wires:
        table.note("turns", _crossings_counted(turns, lay_mm, d_mm), shape=True)
    else:
        table.note(key, error, shape=error.code == "lay-too-short")


def _crossings_counted(turns: float, lay_mm: float, d_mm: float, agrees: str = "") -> InputValueError:
    lay, twice = both_lengths(lay_mm, d_mm), both_lengths(2.0 * lay_mm, d_mm)
    return InputValueError("crossings-as-turns", count=turns, lay=lay, twice=twice, agrees=agrees)


def _count(table: Table, turns: float) -> str:
    return f"crossings = {2.0 * turns:g}" if "crossings" in table else f"turns = {turns:g}"
