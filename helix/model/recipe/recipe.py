"""The recipe of one joint: read from TOML, frozen, in mm, rad and N; and written out for JSON.

Keys, units, ranges and defaults: docs/recipe.md.
"""

from __future__ import annotations

from pathlib import Path

from helix.model.files.toml_file import recipe_text
from helix.model.joint.wire import Wire
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
    """Read the recipe in a TOML file.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    Recipe
        Every default filled in.

    Raises
    ------
    ValidationError
        With every issue of the file at once; InfeasibleJointError where each is a shape that cannot exist.
    """
    return recipe_from_text(recipe_text(Path(path)), str(path))


def recipe_from_text(text: str, place: str = "recipe") -> Recipe:
    """Read the recipe in a TOML text.

    Parameters
    ----------
    text : str
        What the file would hold.
    place : str, optional
        What issues call it.

    Returns
    -------
    Recipe
        Every default filled in.

    Raises
    ------
    ValidationError
        With every issue of the text at once, as `read_recipe`.

    Examples
    --------
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
