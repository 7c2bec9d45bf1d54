"""Reads the tables of a recipe: defaults, ranges, and the checks between keys."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from helix.findings import Finding
from helix.model.files.file_table import Faults, Table, shown_number
from helix.model.files.toml_file import key_lines, toml_values
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_checks import inconsistencies
from helix.model.recipe.recipe_keys import ALSO_CALLED, KEYS, TABLES, TOP, TOP_KEYS
from helix.model.recipe.recipe_parts import Barrel, Entry, Exit, Eye, Finish, Recipe, Tolerance, Twist
from helix.model.recipe.recipe_twist import read_twist
from helix.model.recipe.recipe_wire import read_wire
from helix.values import Values


def read_tables(text: str, place: str) -> Recipe:
    """The recipe in a TOML text, every default filled in.

    Raises ValidationError with every fault at once, each at `place`, its line and its key; InfeasibleJointError
    when all that is wrong is a shape that cannot exist.
    """
    return read_values(toml_values(text, place), place, key_lines(text))


def read_values(values: Mapping[str, Any], place: str, lines: Mapping[tuple[str, ...], int]) -> Recipe:
    """The recipe in TOML values; `lines` says on which line each key stands. Raises like `read_tables`."""
    faults = Faults(place, lines)
    notes: list[Finding] = []
    top = Table(faults, (), values, None)
    top.known_keys(TOP_KEYS, _elsewhere(""), ALSO_CALLED[""])
    head = top.read(TOP)
    wire = read_wire(_table(faults, values, "wire", None), notes)
    d_mm = wire.diameter_mm if isinstance(wire, Wire) else wire

    wires = wire.count if isinstance(wire, Wire) else 1

    tables = {name: _table(faults, values, name, d_mm) for name in TABLES if name != "wire"}
    parts = {
        name: read_twist(table, notes, wires) if name == "twist" else table.read(TABLES[name])
        for name, table in tables.items()
    }
    tables["eye"].missing(TABLES["eye"])
    _choose_style(tables["exit"], parts["exit"])
    unusable = [name for name, table in tables.items() if not table.usable or table.bad]
    for name, key, error, shape in inconsistencies(d_mm, parts, head["units"], unusable, wires):
        got = {"got": shown_number(tables[name].values.get(key))} if "got" in error.values else {}
        tables[name].put(key, error.code, Values(**{**error.values, **got}), shape=shape)
    if faults.issues or not isinstance(wire, Wire):
        raise faults.error()
    return Recipe(
        wire=wire,
        eye=Eye(**parts["eye"]),
        twist=Twist(**parts["twist"]),
        entry=Entry(**parts["entry"]),
        exit=Exit(**parts["exit"]),
        barrel=Barrel(**parts["barrel"]),
        finish=Finish(**parts["finish"]),
        tolerance=Tolerance(**parts["tolerance"]),
        notes=(*faults.notes, *notes),
        place=place,
        **head,
    )


def _table(faults: Faults, values: Mapping[str, Any], name: str, d_mm: float | None) -> Table:
    """One table, with its unknown keys noted."""
    table = Table(faults, (name,), values.get(name), d_mm)
    table.known_keys(KEYS[name], _elsewhere(name), ALSO_CALLED[name])
    return table


def _elsewhere(name: str) -> dict[str, str]:
    """Where the keys of all other tables belong; a key of several belongs under the first."""
    places: dict[str, str] = {}
    for other, keys in KEYS.items():
        if other != name:
            for key in keys:
                places.setdefault(key, f"under [{other}]")
    return places if not name else places | {"title": "at the top", "units": "at the top"}


def _choose_style(table: Table, values: dict[str, Any]) -> None:
    """The exit's style, which leg and swing stand in place of."""
    given = [key for key in ("leg", "swing") if key in table]
    if "style" in table and given:
        table.fault("style", "conflict", other=" and ".join(given), instead="give a style, or give leg and swing")
    if given:
        values["style"] = "given"
