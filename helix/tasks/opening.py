"""What an option names is opened before it is read: recipes, plans, pull tests and the rest, from files or as they are."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any, TypeAlias

from helix.errors import ValidationError, ValidationIssue
from helix.model.recipe.recipe import read_recipe, recipe_from_values
from helix.model.recipe.recipe_parts import Recipe
from helix.tasks.options import Option

RecipeLike: TypeAlias = Recipe | Mapping[str, Any] | str | Path
"""A recipe, the values of one, or the path of its file."""


def opened(option: Option, given: Any) -> Any:
    """What was given; of a file, what it holds. Raises ValidationError with every fault of the file."""
    opener = _OPENERS.get(option.kind.name)
    return given if given is None or opener is None else opener(given)


def recipe_of(given: RecipeLike) -> Recipe:
    """The recipe itself, whichever way it is given; raises ValidationError with every fault of it."""
    if isinstance(given, Recipe):
        return given
    return recipe_from_values(given) if isinstance(given, Mapping) else read_recipe(Path(given))


def _recipes(several: Sequence[RecipeLike]) -> list[tuple[str, Recipe]]:
    """Every recipe with its path, or its title; raises ValidationError with the faults of all of them."""
    recipes: list[tuple[str, Recipe]] = []
    faults: list[ValidationIssue] = []
    for given in several:
        try:
            recipe = recipe_of(given)
            recipes.append((str(given) if isinstance(given, str | Path) else recipe.title, recipe))
        except ValidationError as error:
            faults += error.faults
    if faults:
        raise ValidationError(faults)
    return recipes


def _slip_tests(path: str) -> Any:
    from helix.model.measured.slip_tests import read_slip_tests

    return partial(read_slip_tests, Path(path))


def _plan(given: Any) -> Any:
    from helix.model.batch.plan import Plan, read_plan

    return given if isinstance(given, Plan) else read_plan(Path(given))


def _readings(path: str) -> Any:
    from helix.model.measured.readings_file import read_readings_file

    return read_readings_file(Path(path))


def _pulls(path: str) -> Any:
    from helix.model.measured.pull_file import read_pull_file
    from helix.tasks.pulls.pull_files import PullTests

    return PullTests(read_pull_file(Path(path)), Path(path).parent)


def _mapping(path: str) -> Any:
    from helix.model.measured.curve_file import read_mapping

    return read_mapping(Path(path))


_OPENERS: Mapping[str, Callable[[Any], Any]] = {
    "recipe": recipe_of,
    "recipes": _recipes,
    "plan": _plan,
    "readings": _readings,
    "pulls": _pulls,
    "mapping": _mapping,
    "slip tests": _slip_tests,
    "own pulls": _pulls,
}
