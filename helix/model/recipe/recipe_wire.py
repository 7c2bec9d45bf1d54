"""Reads the [wire] table of a recipe, and [wire.own]."""

from __future__ import annotations

from dataclasses import replace

from helix.data.materials import find_material
from helix.data.wire_sizes import SIZE_TOLERANCE, WireSize, find_size, size_read_as
from helix.errors import InputValueError, quoted
from helix.findings import Finding, remark
from helix.model.files.file_table import Table, kind
from helix.model.joint.wire import Wire, wire_of
from helix.model.recipe.recipe_checks import measured_error
from helix.model.recipe.recipe_keys import OWN, OWN_KEYS, key_of
from helix.units import format_force, format_length

_DIAMETER, _MATERIAL, _RATED, _MEASURED, _PULLS, _COUNT = (
    key_of("wire", name) for name in ("diameter", "material", "rated_load", "measured_load", "measured_pulls", "count")
)


_OWN_NUMBERS = (
    "its own numbers in its place: "
    f"own = {{{', '.join(f'{key.name} = {quoted(key.example)}' for key in OWN if key.needed)}}}"
)


def read_wire(table: Table, notes: list[Finding]) -> Wire | float | None:
    """The wire; while it has a fault, its diameter in mm or, when that is not known, None.

    Faults are noted in the table, remarks in `notes`.
    """
    if not table.usable:
        return None
    size = _read_size(table)
    diameter_mm: float | None = table.value(_DIAMETER)
    if "size" not in table and "diameter" not in table:
        table.fault("size", "missing", give='size = "MWG 12", or diameter = "0.737 mm"')
    size_source = "diameter: as given"
    if size is not None:
        size_source = f"diameter: {size.source}"
        if diameter_mm is None:
            diameter_mm = size.diameter_mm if table.good("diameter") else None
        elif abs(diameter_mm / size.diameter_mm - 1.0) > SIZE_TOLERANCE * (1 + 1e-9):
            known, got = f"{size.name}, {_both(size.diameter_mm)}", quoted(table.values["diameter"])
            within, off = f"{SIZE_TOLERANCE:.0%}", _percent(diameter_mm, size)
            table.fault("diameter", "not-its-size", within=within, size=known, got=got, off=off)
            diameter_mm = None
        else:
            size_source = f"diameter: as given, beside {size.name}"
            text = f"The diameter given is {_percent(diameter_mm, size)} off {size.name}, {_both(size.diameter_mm)}"
            notes.append(remark("diameter-off-size", f"{text}; the one given is used."))
    elif not table.good("size"):
        diameter_mm = None
    rated_n: float | None = table.value(_RATED)
    count = int(table.value(_COUNT) or 1)
    measured_n, pulls = table.value(_MEASURED), table.value(_PULLS)
    if "measured_pulls" in table and "measured_load" not in table:
        table.fault("measured_load", "missing", give='measured_load = "850 N", the mean of those pulls')
    name = size.name if size else None
    wire = (
        _own_wire(table, diameter_mm, name, size_source, rated_n)
        if "own" in table
        else _table_wire(table, diameter_mm, name, size_source, rated_n)
    )
    if wire is None:
        return diameter_mm
    if rated_n is not None and rated_n > wire.breaking_load_n[1]:
        text = f"The rated load, {format_force(rated_n)}, is above the nominal breaking load of this wire, "
        notes.append(remark("rated-above-nominal", f"{text}{format_force(wire.breaking_load_n[1])}."))
    wire = replace(wire, count=count)
    if measured_n is None:
        return wire
    error = measured_error(measured_n, wire.breaking_load_n[1])
    if error is not None:
        table.note("measured_load", error)
        return wire.diameter_mm
    return replace(wire, measured_load_n=measured_n, measured_pulls=pulls or 1.0)


def _read_size(table: Table) -> WireSize | None:
    value = table.values.get("size")
    if value is None:
        return None
    if not isinstance(value, str):
        wanted = (
            'a gauge family and a number in quotes, such as "MWG 12", as one number means different wire in each family'
        )
        if isinstance(value, list):
            wanted = 'one size, such as "MWG 12"'
        hint = "; two wires worked as one are alike: write count = 2" if isinstance(value, list) else ""
        table.fault("size", "wrong-type", wanted=wanted, got=kind(value), hint=hint)
        return None
    try:
        size = find_size(value)
    except InputValueError as error:
        table.note("size", error)
        return None
    if otherwise := size_read_as(value):
        table.faults.notes.append(remark("read-as", f"{otherwise}."))
    return size


def _table_wire(
    table: Table, diameter_mm: float | None, size: str | None, size_source: str, rated_n: float | None
) -> Wire | None:
    """A wire whose material is in the tables."""
    if "material" not in table:
        table.fault("material", "missing", give=f'material = "302 stainless", or {_OWN_NUMBERS}')
        return None
    material = table.value(_MATERIAL)
    if material is None:
        return None
    try:
        find_material(material)
    except ValueError as error:
        table.put("material", "not-a-choice", message=f"{error}; for any other wire write {_OWN_NUMBERS}")
        return None
    try:
        # an unknown diameter still lets an unknown material be found
        wire = wire_of(material, diameter_mm or 0.7, size, size_source, rated_n)
    except ValueError as error:
        table.put("material", "out-of-range", message=str(error))
        return None
    return wire if diameter_mm is not None else None


def _own_wire(
    table: Table, diameter_mm: float | None, size: str | None, size_source: str, rated_n: float | None
) -> Wire | None:
    """A wire with the numbers of [wire.own]."""
    if "material" in table:
        table.fault("material", "conflict", other="[wire.own]", instead="give one of the two")
    own = Table(table.faults, (*table.path, "own"), table.values["own"], None)
    own.known_keys(OWN_KEYS, {"material": "under [wire]", "diameter": "under [wire]", "size": "under [wire]"})
    own.missing(OWN)
    values = own.read(OWN)
    strength, modulus, density = values["strength_mpa"], values["modulus_mpa"], values["density_kg_m3"]
    low, high = values["strength_low_mpa"], values["strength_high_mpa"]
    if strength is not None:
        if low is not None and low > strength:
            own.fault(
                "strength_low", "out-of-range", wanted="at most the strength", got=quoted(own.values["strength_low"])
            )
        if high is not None and high < strength:
            own.fault(
                "strength_high", "out-of-range", wanted="at least the strength", got=quoted(own.values["strength_high"])
            )
    if diameter_mm is None or strength is None or modulus is None or density is None:
        return None
    if not own.good(*OWN_KEYS):
        return None
    return Wire(
        diameter_mm=diameter_mm,
        size=size,
        material=values["name"],
        strength_mpa=(strength if low is None else low, strength, strength if high is None else high),
        modulus_mpa=modulus,
        density_kg_m3=density,
        source=f"{size_source}; strength, modulus and density: the recipe's own [own]",
        rated_load_n=rated_n,
    )


def _percent(diameter_mm: float, size: WireSize) -> str:
    return f"{100.0 * abs(diameter_mm / size.diameter_mm - 1.0):.2g} %"


def _both(mm: float) -> str:
    return f"{format_length(mm)} ({format_length(mm, 'inch')})"
