"""Wire sizes with tensile strength and breaking load by material, as a table and as plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Sequence
from typing import Any

from helix.data.materials import Material, Strength, find_material, materials, strength_mpa
from helix.data.wire_sizes import WireSize, wire_sizes
from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.output.shape.shape_table import WIDTH, columns
from helix.units import MPA_PER_KSI, N_PER_LBF, UnitSystem, format_length

SCHEMA = 1
_HEADER_WIDTH = 10
MARKS = (
    "Marks: [pub] seen in the publication, [rep] seen in a reprint, [mem] from memory, [assumed] a choice of "
    "this program. Breaking load is of the straight wire, without a joint."
)


def chosen(family: str | None, material: str | None) -> tuple[tuple[WireSize, ...], tuple[Material, ...]]:
    """The sizes and materials asked for; all of them for None. Raises ValidationError for a name not known.

    >>> sizes, found = chosen("MWG", "music wire")
    >>> sizes[0].name, [each.name for each in found]
    ('MWG 2', ['music wire'])
    """
    faults: list[ValidationIssue] = []
    sizes: tuple[WireSize, ...] = ()
    found: tuple[Material, ...] = ()
    try:
        sizes = wire_sizes(family)
    except ValueError as error:
        faults.append(argument_issue("family", str(error)))
    try:
        found = materials() if material is None else (find_material(material),)
    except ValueError as error:
        faults.append(argument_issue("material", str(error)))
    if faults:
        raise ValidationError(faults)
    return sizes, found


def sizes_text(sizes: Sequence[WireSize], found: Sequence[Material], units: UnitSystem = "metric") -> str:
    """Tables of tensile strength and breaking load, lowest to highest, of each size in each material."""
    per_mpa, stress = (1 / MPA_PER_KSI, "ksi") if units == "inch" else (1.0, "MPa")
    per_n, force = (1 / N_PER_LBF, "lbf") if units == "inch" else (1.0, "N")

    def tensile(size: WireSize, strength: Strength) -> str:
        return _range(strength.low * per_mpa, strength.high * per_mpa)

    def breaking(size: WireSize, strength: Strength) -> str:
        area = _area_mm2(size)
        return _range(strength.low * area * per_n, strength.high * area * per_n)

    if len(found) == 1:
        both = [(found[0], [f"tensile {stress}"], tensile), (found[0], [f"breaking load {force}"], breaking)]
        tables = [f"{found[0].name} [{found[0].strength_mark}]\n" + _grid(sizes, both, units)]
    else:
        tables = [
            f"{title}\n" + _grid(sizes, [(each, _head(each), cell) for each in found], units)
            for title, cell in ((f"Tensile strength, {stress}", tensile), (f"Breaking load, {force}", breaking))
        ]
    blocks = [*tables, "\n".join(_sources(sizes, found)), textwrap.fill(MARKS, WIDTH)]
    return "\n\n".join(blocks) + "\n"


def sizes_dict(sizes: Sequence[WireSize], found: Sequence[Material], version: str) -> dict[str, Any]:
    """The same as plain data, in mm, MPa and N."""
    return {
        "schema": SCHEMA,
        "version": version,
        "sizes": [
            {
                "size": size.name,
                "family": size.family,
                "number": size.number,
                "diameter_mm": size.diameter_mm,
                "source": size.source,
                "materials": [
                    {
                        "material": material.name,
                        "strength_low_mpa": strength.low,
                        "strength_mpa": strength.nominal,
                        "strength_high_mpa": strength.high,
                        "breaking_load_low_n": strength.low * _area_mm2(size),
                        "breaking_load_n": strength.nominal * _area_mm2(size),
                        "breaking_load_high_n": strength.high * _area_mm2(size),
                        "source": strength.source,
                        "mark": strength.mark,
                    }
                    for material in found
                    if (strength := _strength(material, size)) is not None
                ],
            }
            for size in sizes
        ],
    }


def _head(material: Material) -> list[str]:
    return [*textwrap.wrap(material.name, _HEADER_WIDTH), f"[{material.strength_mark}]"]


def _grid(
    sizes: Sequence[WireSize],
    wanted: Sequence[tuple[Material, list[str], Callable[[WireSize, Strength], str]]],
    units: UnitSystem,
) -> str:
    """One row a size; one column for each material, lines of heading, and what to say of its strength."""
    titles = [["size"], ["diameter"], *(head for _, head, _ in wanted)]
    deep = max(len(title) for title in titles)
    rows = [[(([""] * (deep - len(title))) + title)[k] for title in titles] for k in range(deep)]
    for size in sizes:
        cells = []
        for material, _, cell in wanted:
            strength = _strength(material, size)
            cells.append("-" if strength is None else cell(size, strength))
        rows.append([size.name, format_length(size.diameter_mm, units), *cells])
    return columns(rows)


def _sources(sizes: Sequence[WireSize], found: Sequence[Material]) -> list[str]:
    lines = [f"{each.name}: {each.strength_source} [{each.strength_mark}]" for each in found]
    lines += dict.fromkeys(f"{size.family}: {size.source}" for size in sizes)
    return [textwrap.fill(line, WIDTH, subsequent_indent="  ") for line in lines]


def _strength(material: Material, size: WireSize) -> Strength | None:
    try:
        return strength_mpa(material.name, size.diameter_mm)
    except ValueError:
        return None


def _area_mm2(size: WireSize) -> float:
    return math.pi * size.diameter_mm**2 / 4.0


def _range(low: float, high: float) -> str:
    digits = 0 if high >= 100 else 1 if high >= 10 else 2
    return f"{low:.{digits}f}-{high:.{digits}f}"
