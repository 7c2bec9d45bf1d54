"""The recipe of one joint: read from TOML, frozen, in mm, rad and N; and written out for JSON.

Keys, units, ranges and defaults: docs/recipe.md.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_file import recipe_text
from helix.model.recipe.recipe_parts import Barrel, Entry, Exit, Eye, Finish, Recipe, Tolerance, Twist
from helix.model.recipe.recipe_reader import read_tables
from helix.model.recipe.recipe_template import RECIPE_TEMPLATE
from helix.units import RAD_PER_DEG

__all__ = [
    "RECIPE_TEMPLATE",
    "Barrel",
    "Entry",
    "Exit",
    "Eye",
    "Finish",
    "Recipe",
    "Tolerance",
    "Twist",
    "Wire",
    "read_recipe",
    "recipe_from_text",
    "recipe_to_dict",
]


def read_recipe(path: str | Path) -> Recipe:
    """The recipe in the TOML file at `path`.

    Raises ValidationError, with every fault of the file at once, when it cannot be read or used, and its
    subclass InfeasibleJointError when all that is wrong is a lay that cannot exist.
    """
    return recipe_from_text(recipe_text(Path(path)), str(path))


def recipe_from_text(text: str, place: str = "recipe") -> Recipe:
    """The recipe in a TOML text; `place` names it in faults. Raises like `read_recipe`.

    >>> small = recipe_from_text('''
    ... [wire]
    ... size = "MWG 12"
    ... material = "302 stainless"
    ... [eye]
    ... pin = "6 mm"
    ... ''')
    >>> small.twist.turns, round(small.twist.lay_mm, 4), small.exit.style
    (5.0, 2.9464, 'gradual')
    """
    return read_tables(text, place)


def recipe_to_dict(recipe: Recipe) -> dict[str, Any]:
    """The recipe as plain dicts for JSON: mm, deg, N, MPa, kg/m3, each key with its unit.

    None stands where the recipe says "tangent" or "touching", or states nothing.

    >>> sorted(recipe_to_dict(recipe_from_text('''
    ... wire = {size = "AWG 20", material = "music wire"}
    ... eye = {pin = "6 mm", throat = "90 deg"}
    ... '''))["eye"].items())
    [('pin_mm', 6.0), ('throat_deg', 90.0)]
    """
    wire, twist, end, barrel = recipe.wire, recipe.twist, recipe.exit, recipe.barrel
    finish, slack = recipe.finish, recipe.tolerance
    return {
        "title": recipe.title,
        "units": recipe.units,
        "wire": {
            "diameter_mm": wire.diameter_mm,
            "size": wire.size,
            "material": wire.material,
            "strength_low_mpa": wire.strength_mpa[0],
            "strength_mpa": wire.strength_mpa[1],
            "strength_high_mpa": wire.strength_mpa[2],
            "breaking_load_low_n": wire.breaking_load_n[0],
            "breaking_load_n": wire.breaking_load_n[1],
            "breaking_load_high_n": wire.breaking_load_n[2],
            "modulus_mpa": wire.modulus_mpa,
            "density_kg_m3": wire.density_kg_m3,
            "rated_load_n": wire.rated_load_n,
            "source": wire.source,
        },
        "eye": {"pin_mm": recipe.eye.pin_mm, "throat_deg": _deg(recipe.eye.throat_rad)},
        "twist": {
            "turns": twist.turns,
            "lay_mm": twist.lay_mm,
            "evenness": twist.evenness,
            "hand": twist.hand,
            "length_mm": twist.length_mm,
        },
        "entry": {"radius_mm": recipe.entry.radius_mm},
        "exit": {
            "style": end.style,
            "leg_mm": end.leg_mm,
            "swing_turns": end.swing_turns,
            "peak_angle_deg": _deg(end.peak_angle_rad),
        },
        "barrel": {"wraps": barrel.wraps, "pitch_mm": barrel.pitch_mm, "hand": barrel.hand},
        "finish": {"stub_mm": finish.stub_mm, "handle_mm": finish.handle_mm, "standing_mm": finish.standing_mm},
        "tolerance": {
            "lay_mm": slack.lay_mm,
            "pin_mm": slack.pin_mm,
            "wrap_gap_mm": slack.wrap_gap_mm,
            "swing_turns": slack.swing_turns,
            "turns": slack.turns,
            "wraps": slack.wraps,
            "stub_mm": slack.stub_mm,
            "handle_mm": slack.handle_mm,
            "ramp_share": slack.ramp_share,
        },
        "notes": list(recipe.notes),
    }


def _deg(angle_rad: float | None) -> float | None:
    return None if angle_rad is None else angle_rad / RAD_PER_DEG
