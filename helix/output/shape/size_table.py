"""Wire sizes with tensile strength and breaking load by material, as tables."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence

from helix.data.materials import Material
from helix.output.shape.shape_table import WIDTH, columns
from helix.studies.shape.size_list import MaterialStrength, SizeList
from helix.units import MPA_PER_KSI, N_PER_LBF, UnitSystem, format_length

_HEADER_WIDTH = 10
MARKS = (
    "Marks: [pub] seen in the publication, [rep] seen in a reprint, [mem] from memory, [assumed] a choice of "
    "this program. Breaking load is of the straight wire, without a joint."
)


def sizes_text(listed: SizeList, units: UnitSystem = "metric") -> str:
    """Tables of tensile strength and breaking load, lowest to highest, of each size in each material."""
    per_mpa, stress = (1 / MPA_PER_KSI, "ksi") if units == "inch" else (1.0, "MPa")
    per_n, force = (1 / N_PER_LBF, "lbf") if units == "inch" else (1.0, "N")

    def tensile(strength: MaterialStrength) -> str:
        return _range(strength.strength_low_mpa * per_mpa, strength.strength_high_mpa * per_mpa)

    def breaking(strength: MaterialStrength) -> str:
        return _range(strength.breaking_load_low_n * per_n, strength.breaking_load_high_n * per_n)

    if len(listed.materials) == 1:
        (only,) = listed.materials
        both = [(only, [f"tensile {stress}"], tensile), (only, [f"breaking load {force}"], breaking)]
        tables = [f"{only.name} [{only.strength_mark}]\n" + _grid(listed, both, units)]
    else:
        tables = [
            f"{title}\n" + _grid(listed, [(material, _head(material), cell) for material in listed.materials], units)
            for title, cell in ((f"Tensile strength, {stress}", tensile), (f"Breaking load, {force}", breaking))
        ]
    blocks = [*tables, "\n".join(_sources(listed)), textwrap.fill(MARKS, WIDTH)]
    return "\n\n".join(blocks) + "\n"


def _head(material: Material) -> list[str]:
    return [*textwrap.wrap(material.name, _HEADER_WIDTH), f"[{material.strength_mark}]"]


def _grid(
    listed: SizeList, wanted: Sequence[tuple[Material, list[str], Callable[[MaterialStrength], str]]], units: UnitSystem
) -> str:
    """One row a size; one column for each material, lines of heading, and what to say of its strength."""
    titles = [["size"], ["diameter"], *(head for _, head, _ in wanted)]
    deep = max(len(title) for title in titles)
    rows = [[(([""] * (deep - len(title))) + title)[k] for title in titles] for k in range(deep)]
    for size in listed.sizes:
        strengths = {strength.material: strength for strength in size.materials}
        cells = [cell(strengths[material.name]) if material.name in strengths else "-" for material, _, cell in wanted]
        rows.append([size.size, format_length(size.diameter_mm, units), *cells])
    return columns(rows)


def _sources(listed: SizeList) -> list[str]:
    lines = [f"{material.name}: {material.strength_source} [{material.strength_mark}]" for material in listed.materials]
    lines += dict.fromkeys(f"{size.family}: {size.source}" for size in listed.sizes)
    return [textwrap.fill(line, WIDTH, subsequent_indent="  ") for line in lines]


def _range(low: float, high: float) -> str:
    digits = 0 if high >= 100 else 1 if high >= 10 else 2
    return f"{low:.{digits}f}-{high:.{digits}f}"
