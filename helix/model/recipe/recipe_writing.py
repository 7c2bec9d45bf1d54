"""A recipe written out: as the text of its file, as plain data for JSON, and the recipe that `helix new` starts with."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from helix.model.files.file_keys import Key
from helix.model.joint.wire import Wire, wire_of
from helix.model.recipe.recipe_keys import OWN, TABLES, TOP, key_of
from helix.model.recipe.recipe_parts import Recipe
from helix.units import UnitSystem

_COMMENT_AT: Final = 27  # column of the template's comments
ROUND_INCHES: Final = {
    "6 mm": "0.24 in", "60 mm": "2.4 in", "300 mm": "12 in", "0.1 mm": "0.004 in", "1 mm": "0.04 in",
    "0.737 mm": "0.029 in", "14.7 mm": "0.58 in", "700 N": "157 lbf", "850.0 N": "191 lbf",
    "1900 MPa": "276 ksi", "2000 MPa": "290 ksi", "2100 MPa": "305 ksi", "190 GPa": "27.6 Msi",
    "7.9 g/cm3": "0.285 lb/in3",
}  # fmt: skip
"""What stands in the template in inches: round numbers, within 2 % of the metric ones."""
_HEAD: Final = """\
# Recipe of one twisted wire joint. Change what you need; whatever you leave out keeps the value shown.
# A quantity is text with its unit: "6 mm", "1/4 in", "90 deg", "700 N", "150 lbf"; "4 d" is 4 wire diameters.
# Counts and shares are bare numbers. A turn is 360 deg of either leg; a crossing is half a turn.
"""
_HEADINGS: Final = {
    "wire": "needed",
    "eye": "needed",
    "tolerance": "plus or minus, for the interval of the wire to cut",
}
_OWN_HEAD: Final = "# For a wire that is not in the tables, take material out and give its own numbers:"
_ELSEWHERE: Final = ("diameter", "crossings", "lay_angle", "length", "own")  # told in another key's comment


def recipe_template(units: UnitSystem, values: Mapping[tuple[str, str], str] | None = None) -> str:
    """The recipe to start from: every key, with what it means and its default.

    In inches its lengths are rounded, within 2 % of the defaults. values: what stands in it instead, by table and key.

    >>> [line for line in recipe_template("inch").splitlines() if line.startswith(("units", "pin"))][0]
    'units = "inch"             # what you are shown: "metric" or "inch"'
    """
    lines = [
        *_HEAD.splitlines(),
        "",
        'title = "My joint"',
        _template_line(key_of("", "units").but(default=units), units),
    ]
    for name, keys in TABLES.items():
        heading = f"[{name}]".ljust(_COMMENT_AT) + f"# {_HEADINGS[name]}" if name in _HEADINGS else f"[{name}]"
        stated = {key: value for (table, key), value in (values or {}).items() if table == name}
        if "diameter" in stated:  # in the size's place
            keys = tuple(key for key in keys if key.name != "size")
        given = (key.but(default=stated[key.name], off=False) if key.name in stated else key for key in keys)
        lines += [
            "",
            heading,
            *(_template_line(key, units) for key in given if key.name not in _ELSEWHERE or key.name in stated),
        ]
        if name == "wire":
            own = [_template_line(key.but(off=True, comment=""), units) for key in OWN if key.name != "name"]
            lines += ["", _OWN_HEAD, "# [wire.own]", *own]
    text = "\n".join(lines) + "\n"
    if units == "inch":
        exactly = " whatever you leave out keeps the value shown."
        text = text.replace('"6 mm", "1/4 in", "90 deg", "700 N", "150 lbf"', '"1/4 in", "90 deg", "150 lbf"', 1)
        text = text.replace(exactly, f"\n#{exactly.replace('out keeps', 'out, but for units, keeps')[:-1]}, to 2 %.", 1)
    return text


def _template_line(key: Key, units: UnitSystem) -> str:
    value = key.example if key.default is None else key.default
    if units == "inch" and isinstance(value, str):
        value = ROUND_INCHES.get(value, value)
    bare = key.kind in ("count", "share")
    line = f"{'# ' if key.off else ''}{key.name} = {value if bare else json.dumps(value)}"
    comment = key.help if key.comment is None else key.comment
    for metric, inch in ROUND_INCHES.items() if units == "inch" else ():
        comment = comment.replace(f'"{metric}"', f'"{inch}"')
    return f"{line.ljust(_COMMENT_AT - 1)} # {comment}" if comment else line


RECIPE_TEMPLATE: Final = recipe_template("metric")


def recipe_file_text(recipe: Recipe, remarks: Sequence[str] = ()) -> str:
    """The recipe as TOML, every length in mm; `remarks` stand as comments at the head.

    Reads back as the same recipe, to nine digits, but for its notes and where its wire's numbers come from.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> recipe = recipe_from_text(text)
    >>> again = recipe_from_text(recipe_file_text(recipe))
    >>> again.twist == recipe.twist, again.wire.size
    (True, 'MWG 12')
    """
    lines = [f"# {line}".rstrip() for remark in remarks for line in remark.splitlines() or [""]]
    lines += ["", *(_file_line(key, getattr(recipe, key.attribute)) for key in TOP), "", *_wire_lines(recipe.wire)]
    for name, keys in TABLES.items():
        if name != "wire":
            lines += ["", f"[{name}]", *_table_lines(keys, getattr(recipe, name))]
    return "\n".join(lines).lstrip("\n") + "\n"


def _table_lines(keys: Sequence[Key], part: object) -> Iterator[str]:
    """A line for each key that is stated; a style that leg and swing stand for is none."""
    for key in keys:
        value = getattr(part, key.attribute) if key.attribute else None
        value = key.word or None if value is None else value
        if value is not None and not (key.name == "style" and value not in key.choices):
            yield _file_line(key, value)


def _file_line(key: Key, value: Any) -> str:
    """A key and its value, a quantity to nine digits."""
    if isinstance(value, str):
        return f"{key.name} = {json.dumps(value, ensure_ascii=False)}"
    return f'{key.name} = "{key.written(value)}"' if key.dimension else f"{key.name} = {key.written(value)}"


def _wire_lines(wire: Wire) -> list[str]:
    """The [wire] table: by its material where that gives the same numbers, else with its own."""
    values: dict[str, Any] = {"rated_load": wire.rated_load_n, "size": wire.size}
    values |= {"count": wire.count} if wire.count > 1 else {}
    if wire.measured_load_n is not None:
        values |= {"measured_load": wire.measured_load_n, "measured_pulls": wire.measured_pulls}
    if wire.size is None or not _is_nominal(wire):
        values["diameter"] = wire.diameter_mm
    own = not _from_table(wire)
    if not own:
        values["material"] = wire.material
    lines = [
        "[wire]",
        *(_file_line(key, values[key.name]) for key in TABLES["wire"] if values.get(key.name) is not None),
    ]
    if own:
        low, nominal, high = wire.strength_mpa
        numbers = (wire.material, low, nominal, high, wire.modulus_mpa, wire.density_kg_m3)
        lines += ["", "[wire.own]", *(_file_line(key, value) for key, value in zip(OWN, numbers, strict=True))]
    return lines


def wire_values(wire: Wire) -> dict[str, Any]:
    """A [wire] table that reads as a wire of this diameter, strength, modulus and density."""
    low, nominal, high = wire.strength_mpa
    return {
        "count": wire.count,
        "diameter": f"{wire.diameter_mm!r} mm",
        "own": {
            "name": wire.material,
            "strength_low": f"{low!r} MPa",
            "strength": f"{nominal!r} MPa",
            "strength_high": f"{high!r} MPa",
            "modulus": f"{wire.modulus_mpa!r} MPa",
            "density": f"{wire.density_kg_m3!r} kg/m3",
        },
    }


def _is_nominal(wire: Wire) -> bool:
    from helix.data.wire_sizes import find_size

    return math.isclose(find_size(wire.size or "").diameter_mm, wire.diameter_mm, rel_tol=1e-9)


def _from_table(wire: Wire) -> bool:
    """Whether the tables give this wire's numbers for its material and diameter."""
    try:
        known = wire_of(wire.material, wire.diameter_mm)
    except ValueError:
        return False
    ours = (*wire.strength_mpa, wire.modulus_mpa, wire.density_kg_m3)
    theirs = (*known.strength_mpa, known.modulus_mpa, known.density_kg_m3)
    return wire.material == known.material and all(
        math.isclose(a, b, rel_tol=1e-9) for a, b in zip(ours, theirs, strict=True)
    )


def recipe_to_dict(recipe: Recipe) -> dict[str, Any]:
    """The recipe as plain dicts for JSON: mm, deg, N, MPa, kg/m3, each key with its unit.

    None stands where the recipe says "tangent" or "touching", or states nothing.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> sorted(recipe_to_dict(recipe_from_text('''
    ... wire = {size = "AWG 20", material = "music wire"}
    ... eye = {pin = "6 mm", throat = "90 deg"}
    ... '''))["eye"].items())
    [('pair', 'side by side'), ('pin_mm', 6.0), ('throat_deg', 90.0), ('throat_made', 'wound')]
    """
    return recipe.to_dict()
