"""The recipe of one joint: read from TOML, frozen, in mm, rad and N; and written out for JSON.

Keys, units, ranges and defaults: docs/recipe.md.
"""

from __future__ import annotations

from pathlib import Path

from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_file import recipe_text
from helix.model.recipe.recipe_parts import Barrel, Entry, Exit, Eye, Finish, Recipe, Tolerance, Twist
from helix.model.recipe.recipe_reader import read_tables
from helix.model.recipe.recipe_values import recipe_from_values
from helix.model.recipe.recipe_writing import RECIPE_TEMPLATE, recipe_to_dict

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
    "recipe_from_values",
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
