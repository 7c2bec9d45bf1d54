"""Reads the tables of a recipe: defaults, ranges, and the checks between keys.

Defaults are common practice (no source) except where docs/recipe.md says otherwise.
"""

from __future__ import annotations

import math
from typing import Any, Final, Literal, cast

from helix.geometry.twist.strands import touching_pitch
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_also_called import ALSO_CALLED
from helix.model.recipe.recipe_file import key_lines, toml_values
from helix.model.recipe.recipe_parts import Barrel, Entry, Exit, Eye, Finish, Recipe, Twist
from helix.model.recipe.recipe_table import Faults, Limits, Table
from helix.model.recipe.recipe_tolerance import Measure, read_tolerance
from helix.model.recipe.recipe_twist import read_twist
from helix.model.recipe.recipe_wire import read_wire
from helix.units import UnitSystem

KEYS: Final[dict[str, tuple[str, ...]]] = {
    "wire": ("size", "diameter", "material", "rated_load", "own"),
    "eye": ("pin", "throat"),
    "twist": ("turns", "crossings", "lay_length", "lay_angle", "length", "evenness", "hand"),
    "entry": ("radius",),
    "exit": ("style", "leg", "swing", "peak_angle"),
    "barrel": ("wraps", "pitch", "hand"),
    "finish": ("stub", "handle", "standing"),
    "tolerance": ("lay", "pin", "wrap_gap", "swing", "turns", "wraps", "stub", "handle", "ramp_share"),
}
TOP_KEYS: Final = ("title", "units", *KEYS)

# Angle between tag and standing leg in a touching barrel: 90 deg less its lead of 9.158098 deg
# (docs/theory); an exit whose largest angle is below it cannot end in one.
TOUCHING_BARREL_DEG: Final = 80.841901658

_PIN: Final = Limits(0.0, 1000.0, "d", low_open=True, example="6 mm")
_THROAT: Final = Limits(0.0, 180.0, "deg", low_open=True, high_open=True, example="90 deg")
_RADIUS: Final = Limits(0.5, 1000.0, "d", low_open=True, example="1.5 d", why="at half a diameter the wire folds")
_LEG: Final = Limits(0.0, 1000.0, "d", low_open=True, example="3.7 d")
_SWING: Final = Limits(0.0, 10.0, low_open=True)
_WRAPS: Final = Limits(0.0, 1000.0, why="more is not computed")
_PEAK: Final = Limits(0.0, 180.0, "deg", low_open=True, high_open=True, example="100 deg")
_PITCH: Final = Limits(0.5, 20.0, "d", example="1.2 d", why="wraps touch at 1.013 d")
_STUB: Final = Limits(0.0, 1000.0, "d", example="1 d")
_HANDLE: Final = Limits(0.0, 100_000.0, "mm", example="60 mm")
_STANDING: Final = Limits(0.0, 100_000.0, "mm", low_open=True, example="300 mm")


def read_tables(text: str, place: str) -> Recipe:
    """The recipe in a TOML text, every default filled in.

    Raises ValidationError with every fault at once, each at `place`, its line and its key; InfeasibleJointError
    when all that is wrong is a lay that cannot exist.
    """
    return read_values(toml_values(text, place), place, key_lines(text))


def read_values(values: dict[str, Any], place: str, lines: dict[tuple[str, ...], int]) -> Recipe:
    """The recipe in TOML values; `lines` says on which line each key stands. Raises like `read_tables`."""
    faults = Faults(place, lines)
    notes: list[str] = []
    top = Table(faults, (), values, None)
    top.known_keys(TOP_KEYS, _elsewhere(""), ALSO_CALLED[""])
    title = top.text("title", '"My joint"') or "Untitled joint"
    units = cast(UnitSystem, top.word("units", ("metric", "inch")) or "metric")
    wire = read_wire(_table(faults, values, "wire", None), notes)
    d_mm = wire.diameter_mm if isinstance(wire, Wire) else wire

    tables = {name: _table(faults, values, name, d_mm) for name in KEYS if name != "wire"}
    eye = _read_eye(tables["eye"])
    twist = read_twist(tables["twist"], notes)
    entry = Entry(tables["entry"].length("radius", _RADIUS, "tangent"))
    barrel = _read_barrel(tables["barrel"])
    end = _read_exit(tables["exit"], barrel, d_mm)
    finish = _read_finish(tables["finish"], d_mm)
    measures = _measures(tables, eye, twist, end, barrel, finish)
    tolerance = read_tolerance(tables["tolerance"], d_mm, measures, units)
    if twist.turns == 0.0 and barrel.wraps == 0.0:
        faults.add(("twist", "turns"), "must be above 0, or [barrel] wraps must; got 0 of both, which is no joint")
    if faults.found or not isinstance(wire, Wire):
        raise faults.error()
    return Recipe(title, wire, eye, twist, entry, end, barrel, finish, tolerance, units, tuple(notes), place)


def _table(faults: Faults, values: dict[str, Any], name: str, d_mm: float | None) -> Table:
    """One table, with its unknown keys noted."""
    found = Table(faults, (name,), values.get(name), d_mm)
    found.known_keys(KEYS[name], _elsewhere(name), ALSO_CALLED[name])
    return found


def _elsewhere(name: str) -> dict[str, str]:
    """Where the keys of all other tables belong; a key of several belongs under the first."""
    places: dict[str, str] = {}
    for other, keys in KEYS.items():
        if other != name:
            for key in keys:
                places.setdefault(key, f"under [{other}]")
    return places if not name else places | {"title": "at the top", "units": "at the top"}


def _read_eye(table: Table) -> Eye:
    pin_mm = table.length("pin", _PIN)
    throat_rad = table.angle("throat", _THROAT, "tangent")
    if "pin" not in table and table.usable:
        table.fault("pin", 'is missing: give the diameter of what passes through the eye, pin = "6 mm"')
    return Eye(pin_mm or 0.0, throat_rad)


def _read_barrel(table: Table) -> Barrel:
    wraps = table.number("wraps", _WRAPS)
    pitch_mm = table.length("pitch", _PITCH, "touching")
    hand = cast(Literal["same", "opposite"], table.word("hand", ("same", "opposite")) or "same")
    return Barrel(5.0 if wraps is None else wraps, pitch_mm, hand)


def _read_exit(table: Table, barrel: Barrel, d_mm: float | None) -> Exit:
    style = table.word("style", ("gradual", "bench"))
    leg_mm = table.length("leg", _LEG)
    swing_turns = table.number("swing", _SWING)
    given = [key for key in ("leg", "swing") if key in table]
    if "style" in table and given:
        table.fault("style", f"must not stand beside {' and '.join(given)}: give a style, or give leg and swing")
    # a fault of the pitch is told on its own; here it would only repeat itself
    own_deg = TOUCHING_BARREL_DEG
    if barrel.pitch_mm is not None and d_mm is not None:
        own_deg = math.degrees(math.atan2(2.0 * math.pi * d_mm, barrel.pitch_mm))
    peak_rad = table.angle("peak_angle", _PEAK)
    if peak_rad is not None and math.degrees(peak_rad) < own_deg * (1 - 1e-9):
        table.fault(
            "peak_angle",
            f"must be above {own_deg:.2f} deg, the angle that the barrel itself has to the standing leg; "
            f'got "{math.degrees(peak_rad):.6g} deg"',
        )
    chosen = "given" if given else style or "gradual"
    return Exit(cast(Literal["gradual", "bench", "given"], chosen), leg_mm, swing_turns, peak_rad)


def _read_finish(table: Table, d_mm: float | None) -> Finish:
    stub_mm = table.length("stub", _STUB)
    handle_mm = table.length("handle", _HANDLE)
    standing_mm = table.length("standing", _STANDING)
    return Finish(
        stub_mm=(d_mm or 1.0) if stub_mm is None else stub_mm,
        handle_mm=60.0 if handle_mm is None else handle_mm,
        standing_mm=300.0 if standing_mm is None else standing_mm,
    )


def _measures(
    tables: dict[str, Table], eye: Eye, twist: Twist, end: Exit, barrel: Barrel, finish: Finish
) -> dict[str, Measure]:
    """What each tolerance is a tolerance of, where that is known: in no table with a fault, and not 0."""
    d_mm = tables["eye"].d_mm
    if d_mm is None:
        return {}
    pitch_mm = touching_pitch() * d_mm if barrel.pitch_mm is None else barrel.pitch_mm
    found = {
        "eye": {"pin": Measure("pin", eye.pin_mm)},
        "twist": {"lay": Measure("lay", twist.lay_mm), "turns": Measure("turns", twist.turns)},
        "exit": {"swing": Measure("swing", end.swing_turns or 0.0, 1.0)},
        "barrel": {"wrap_gap": Measure("pitch", pitch_mm), "wraps": Measure("wraps", barrel.wraps)},
        "finish": {"stub": Measure("stub", finish.stub_mm, 1.0), "handle": Measure("handle", finish.handle_mm, 1.0)},
    }
    return {
        key: measure
        for name, measures in found.items()
        if tables[name].usable and not tables[name].bad
        for key, measure in measures.items()
        if measure.size > 0.0
    }
