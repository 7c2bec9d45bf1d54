"""What models say of the pieces before they are pulled: straight wire by its table, joints by the hold estimate."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from helix.errors import ValidationError
from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.opened_files import opened
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.model.recipe.recipe import read_recipe, recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.pulls.pull_confronted import Confronted
from helix.studies.pulls.pull_groups import Group
from helix.values import result


@result
class Predicted:
    """Low, nominal and high load in N that were predicted for a group, and by what."""

    group: str
    low_n: float
    nominal_n: float
    high_n: float
    by: Finding


def recipes_of(file: PullFile, folder: Path | Mapping[str, str]) -> tuple[dict[str, Recipe], tuple[Finding, ...]]:
    """Recipes of the recipe files (ending in .toml, or among the texts) that the rows name, by name; notes on those that do not read.

    folder: where they stand, or the texts of the files, by their names.
    """
    there = folder if isinstance(folder, Mapping) else ()
    named = dict.fromkeys(name for p in file.pieces for name in p.recipes)
    names = [name for name in named if name.lower().endswith(".toml") or name in there]
    recipes: dict[str, Recipe] = {}
    notes = []
    for name in names:
        try:
            if isinstance(folder, Mapping):
                recipes[name] = recipe_from_text(opened(folder, name), name)
            else:
                recipes[name] = read_recipe(folder / name)
        except ValidationError as problem:
            notes.append(notice("recipe-unusable", name, Severity.CAUTION, issue=str(problem.faults[0])))
    return recipes, tuple(notes)


def predicted_of(
    groups: Sequence[Group], recipes: Sequence[Recipe], confronted: Sequence[Confronted]
) -> tuple[Predicted, ...]:
    """A predicted band for each group: of joints by the hold estimate of one joint, of straight wire by the material's table,
    where the recipes are all of one such wire."""
    by_group = {compared.group: compared.before for compared in confronted}
    bands: list[Predicted] = []
    for group in groups:
        if group.control:
            band = _wire_band(group.name, group.pieces, recipes)
            bands += [band] if band is not None else []
        elif (one := by_group.get(group.name)) is not None:
            by = notice("hold-of-one-joint")
            bands.append(
                Predicted(group=group.name, low_n=one.low_n, nominal_n=one.expected_n, high_n=one.high_n, by=by)
            )
    return tuple(bands)


def _wire_band(group: str, pieces: Sequence[PullPiece], recipes: Sequence[Recipe]) -> Predicted | None:
    wires = {recipe.wire.diameter_mm: recipe.wire for recipe in recipes}
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
