"""How hands make a joint, step by step; and joints beside each other, with what differs."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from helix.errors import ValidationIssue
from helix.page.answers.pane import Tell
from helix.page.answers.recipe_tables import recipe_of_tables
from helix.page.answers.report_record import block_record
from helix.page.answers.request_values import Asked

if TYPE_CHECKING:
    from helix.studies.teaching.compare_joints import Comparison
    from helix.units import UnitSystem

MOST_COMPARED = 8


def steps_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix steps`: each step as rings for the viewer, its colours, and where to ink the wire."""
    from helix.output.report.numbers import marks_block
    from helix.output.viewer.scene_steps import palettes, steps_record
    from helix.studies.shape.shape import shape
    from helix.studies.teaching.steps import ink_marks

    asked = Asked(body)
    recipe, units = asked.recipe(), asked.units()
    result = shape(asked.sound(recipe))
    tell("working out the steps, this takes a few seconds ...")
    marks = marks_block(ink_marks(result), units)
    table = block_record(marks)
    return {
        "steps": steps_record(result, units),
        "palettes": palettes(),
        "marks": {"title": marks.title, "head": list(marks.heading), "rows": [list(row) for row in marks.rows]},
        "report": {"title": marks.title, "blocks": [table]},
    }


def compare_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix compare`: what makes each joint differ from the first, and every joint to look at."""
    from helix.output.words.compare_words import difference_lines
    from helix.page.answers.joint_answer import joint_answer

    found, units = compared(body)
    lines = [difference_lines(found, k, units) for k in range(1, len(found.results))]
    shown = [joint_answer({"recipe": each, "draft": True, "units": units}) for each in body["recipes"]]
    return {
        "differences": [line for each in lines for line in each],
        "joints": [{key: each[key] for key in ("answer", "scene", "findings")} for each in shown],
    }


def compared(body: dict[str, Any]) -> tuple[Comparison, UnitSystem]:
    """The joints of {"recipes": [tables, ...]} beside each other, the good one first."""
    from helix.studies.shape.shape import shape
    from helix.studies.teaching.compare_joints import compare

    asked = Asked(body)
    units, tables = asked.units(), body.get("recipes")
    if not isinstance(tables, list) or not 2 <= len(tables) <= MOST_COMPARED:
        got = len(tables) if isinstance(tables, list) else "something else"
        asked.faults.append(
            ValidationIssue("recipes", f"must be 2 to {MOST_COMPARED} recipes, the good one first; got {got}")
        )
        tables = []
    recipes = [asked.tried(partial(recipe_of_tables, each)) for each in tables]
    results = []
    for recipe in recipes:
        if recipe is not None:
            made = asked.tried(partial(shape, recipe))
            results += [] if made is None else [made]
    return compare(asked.sound(results)), units
