"""What models say of the pieces before they are pulled: straight wire by its table, joints by the hold estimate."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from helix.errors import HelixError, ValidationError
from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.opened_files import opened
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.holding import hold
from helix.values import result


@result
class Predicted:
    """Low, nominal and high load in N that were predicted for a group, and by what."""

    group: str
    low_n: float
    nominal_n: float
    high_n: float
    by: Finding


MOST_JOINTS: Final = 24


def recipes_of(file: PullFile, folder: Path | Mapping[str, str]) -> tuple[dict[str, Recipe], tuple[Finding, ...]]:
    """Recipes of the recipe files (ending in .toml) that the rows name, by name; notes on those that do not read.

    folder: where they stand, or the texts of the files, by their names.
    """
    names = dict.fromkeys(name for p in file.pieces for name in p.recipes if name.lower().endswith(".toml"))
    found: dict[str, Recipe] = {}
    notes = []
    for name in names:
        try:
            if isinstance(folder, Mapping):
                found[name] = recipe_from_text(opened(folder, name), name)
            else:
                found[name] = read_recipe(folder / name)
        except ValidationError as problem:
            notes.append(notice("recipe-unusable", name, Severity.CAUTION, issue=str(problem.faults[0])))
    return found, tuple(notes)


def bands_of(file: PullFile, recipes: dict[str, Recipe]) -> tuple[Predicted, ...]:
    """A predicted band for each group whose wire or joint a recipe tells.

    Joints: the hold estimate of the recipe with the row's own turns and wraps, for groups whose pieces are all
    alike. Straight wire: the strength by the material's table. Nothing is predicted for other groups.
    """
    bands: list[Predicted] = []
    by_group: dict[str, list[PullPiece]] = {}
    for piece in file.pieces:
        by_group.setdefault(piece.group, []).append(piece)
    for name, pieces in by_group.items():
        if all(piece.control for piece in pieces):
            band = _wire_band(name, pieces, recipes)
        elif len(bands) < MOST_JOINTS:
            band = _joint_band(name, pieces, recipes)
        else:
            band = None
        if band is not None:
            bands.append(band)
    return tuple(bands)


def _wire_band(group: str, pieces: list[PullPiece], recipes: dict[str, Recipe]) -> Predicted | None:
    wires = {recipe.wire.diameter_mm: recipe.wire for recipe in recipes.values()}
    mine = {piece.diameter_mm for piece in pieces}
    if mine == {None}:
        fits = list(wires.values())
    else:
        fits = [
            wire
            for d, wire in wires.items()
            if all(m is not None and abs(m / d - 1.0) < limits.SAME_WIRE for m in mine)
        ]
    if len(fits) != 1:
        return None
    low, nominal, high = fits[0].breaking_load_n
    by = notice("strength-by-table", material=fits[0].material)
    return Predicted(group=group, low_n=low, nominal_n=nominal, high_n=high, by=by)


def _joint_band(group: str, pieces: list[PullPiece], recipes: dict[str, Recipe]) -> Predicted | None:
    kinds = {(*piece.recipes, piece.turns, piece.wraps) for piece in pieces}
    if len(kinds) != 1:
        return None
    first, second, turns, wraps = kinds.pop()
    if first != second or first not in recipes:
        return None
    recipe = recipes[first]
    if turns is not None:
        recipe = recipe.variant(twist=replace(recipe.twist, turns=turns))
    if wraps is not None:
        recipe = recipe.variant(barrel=replace(recipe.barrel, wraps=wraps))
    try:
        found = hold(recipe).hold_n
    except (HelixError, ValueError):
        return None
    low, nominal, high = (float(v) for v in (found.low, found.nominal, found.high))
    if not math.isfinite(low + nominal + high):
        return None
    return Predicted(group=group, low_n=low, nominal_n=nominal, high_n=high, by=notice("hold-of-one-joint"))
