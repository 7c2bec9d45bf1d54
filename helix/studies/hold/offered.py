"""The remedies of a joint that own pieces leave: none that leads to a joint wound no more than one that unwound."""

from __future__ import annotations

from dataclasses import replace

from helix.errors import HelixError
from helix.mechanics import limits
from helix.model.files.toml_file import toml_values
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.own_pulls import any_unwound, carried, counts_against, turns_above
from helix.studies.shape.remedies import Changes, Remedy, apply, remedies, twist_changes
from helix.studies.shape.shape import ShapeResult


def offered(result: ShapeResult, own: OwnPulls | None = None) -> tuple[Remedy, ...]:
    """What cures each finding of a joint, as `remedies` has it; own: its own pieces. A cure that leaves a joint which those count
    against goes with as many turns as they ask for, or is left out."""
    recipe, kept = result.recipe, list[Remedy]()
    if own is None or not any_unwound(own):
        return remedies(result)
    for cure in remedies(result, turns_above(own, recipe)[0]):
        changes = dict(cure.changes)
        if not _against(own, recipe, changes):
            kept.append(cure)
        elif (more := _with_turns(own, recipe, changes)) is not None:
            kept.append(replace(cure, say=f"{cure.say}, with {more[0]:g} turns", changes=more[1]))
    return tuple(kept)


def _changed(recipe: Recipe, changes: Changes) -> Recipe | None:
    """The recipe with changes; None where such a joint cannot be."""
    try:
        return read_values(apply(toml_values(recipe_file_text(recipe), recipe.place), changes), recipe.place, {})
    except HelixError:
        return None


def _against(own: OwnPulls, recipe: Recipe, changes: Changes) -> bool:
    changed = _changed(recipe, changes)
    return changed is not None and counts_against(carried(own, recipe, changed))


def _with_turns(own: OwnPulls, recipe: Recipe, changes: Changes) -> tuple[float, Changes] | None:
    """The turns that own pieces ask for, and the changes with them; None where they count against that too."""
    changed = _changed(recipe, changes)
    if changed is None:
        return None
    turns = turns_above(own, recipe, changed)[0]
    more = changes | twist_changes(changed, turns=turns)
    return None if turns < limits.FEW or _against(own, recipe, more) else (turns, more)
