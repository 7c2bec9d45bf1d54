"""A joint that was made: what it is by its readings; and what small errors do to a batch."""

from __future__ import annotations

from typing import Any

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import Tell
from helix.page.answers.report_record import report_record
from helix.page.answers.request_values import Asked


def inspect_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix inspect`: the report, the verdict, and the joint as it was made as tables of a recipe."""
    from helix.model.measured.readings import COUNTS, LENGTHS, read_readings
    from helix.model.recipe.recipe_writing import recipe_file_text
    from helix.output.inspect.inspect_table import inspection_document
    from helix.page.answers.recipe_tables import tables_of_text
    from helix.studies.inspect.inspection import inspect

    asked = Asked(body)
    recipe, units = asked.recipe(), asked.units()
    texts = asked.texts_of("readings", (*COUNTS, *LENGTHS))
    caliper = asked.options(("caliper",)).caliper
    readings = None
    if recipe is not None:
        readings = asked.tried(lambda: read_readings(texts, recipe, caliper))
    result = inspect(asked.sound(recipe), asked.sound(readings))
    if result.made is None:
        raise ValidationError([ValidationIssue(doubt.name, doubt.text) for doubt in result.doubts if doubt.impossible])
    return {
        "report": report_record(inspection_document(result, units)),
        "verdict": result.verdict,
        "made": tables_of_text(recipe_file_text(result.made), "the joint as made"),
    }


def spread_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix spread`: what small errors do, by first derivatives and by random trials, side by side."""
    from helix.output.inspect.spread_table import spread_document
    from helix.studies.inspect.spread import DRAWS, SEED, spread
    from helix.studies.inspect.spread_options import steps_asked
    from helix.studies.option_values import whole_number

    asked = Asked(body)
    recipe, units = asked.recipe(), asked.units()
    options = asked.options(("angle", "length", "turn", "draws", "seed"), ("own",))
    d_mm = recipe.wire.diameter_mm if recipe is not None else 1.0
    steps = steps_asked(
        d_mm, asked.faults, angle=options.angle, length=options.length, turn=options.turn, own=options.own
    )
    draws = whole_number("--draws", options.draws, DRAWS, 100, 1_000_000, asked.faults)
    seed = whole_number("--seed", options.seed, SEED, 0, 2**32 - 1, asked.faults)
    result = spread(asked.sound(recipe), steps, draws=draws, seed=seed, tell=tell)
    return {"report": report_record(spread_document(result, units))}
