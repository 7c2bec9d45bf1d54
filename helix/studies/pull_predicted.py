"""What the tables of wire say straight wire should hold, to set beside the controls."""

from __future__ import annotations

from pathlib import Path

from helix.errors import InputFaults
from helix.model.pull_file import PullFile
from helix.model.recipe import read_recipe
from helix.model.recipe_parts import Recipe


def recipes_of(file: PullFile, folder: Path) -> tuple[dict[str, Recipe], tuple[str, ...]]:
    """Recipes of the recipe files (ending in .toml) that the rows name, by name; notes on those that do not read."""
    names = dict.fromkeys(name for p in file.pieces for name in p.recipes if name.lower().endswith(".toml"))
    found: dict[str, Recipe] = {}
    notes = []
    for name in names:
        try:
            found[name] = read_recipe(folder / name)
        except InputFaults as problem:
            notes.append(
                f"Recipe {name} cannot be used, so nothing is predicted from it: {problem.faults[0]}"
            )
    return found, tuple(notes)


def wire_bands(file: PullFile, recipes: dict[str, Recipe]) -> dict[str, tuple[float, float, float, str]]:
    """Lowest, nominal and highest breaking load in N of straight wire for each control group whose wire a recipe names."""
    wires = {recipe.wire.diameter_mm: recipe.wire for recipe in recipes.values()}
    bands = {}
    for name in dict.fromkeys(p.group for p in file.pieces if p.control):
        mine = {p.diameter_mm for p in file.pieces if p.control and p.group == name}
        fits = [
            wire
            for d, wire in wires.items()
            if mine == {None} and len(wires) == 1 or any(m and abs(m / d - 1) < 0.02 for m in mine)
        ]
        if len(fits) == 1:
            low, nominal, high = fits[0].breaking_load_n
            bands[name] = (low, nominal, high, f"strength of {fits[0].material} by its table")
    return bands
