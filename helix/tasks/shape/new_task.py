"""New: a recipe to start from, every key explained."""

from __future__ import annotations

from helix.model.recipe.recipe_writing import recipe_template
from helix.tasks.options import UNIT_SYSTEM, Option
from helix.tasks.task import Given, Output, Task


def _done(text: str, given: Given) -> str:
    return f"Recipe written to {given.written[0]}. Change what you need, then: helix shape {given.written[0]}\n"


TASK = Task(
    options=(Option("units", "what the recipe is in", UNIT_SYSTEM, "metric"),),
    run=lambda given: recipe_template(given.units),
    text=_done,
    files=(Output("file", "file to write, such as joint.toml", (), lambda result, given, suffix: result, place="one"),),
)
