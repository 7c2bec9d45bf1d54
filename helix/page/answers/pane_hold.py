"""Whether the joint in hand holds, why, how much it stretches, and what forming it takes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import Tell
from helix.page.answers.report_record import report_record
from helix.page.answers.request_values import Asked

if TYPE_CHECKING:
    from helix.model.measured.slip_tests import SlipTests
    from helix.model.recipe.recipe_parts import Recipe
    from helix.output.report.document import Document
    from helix.studies.hold.friction_fit import CalibrationFit
    from helix.studies.hold.holding import HoldResult
    from helix.studies.hold.outcome import Setting
    from helix.studies.hold.why import WhyResult
    from helix.units import UnitSystem


def hold_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix hold`: the estimate, with its charts; with {"table": true} the table of turns and wraps before it."""
    from helix.output.words.hold_words import short_line

    document, result = hold_report(body, tell)
    line = short_line(result, Asked(body).units())
    return {"report": report_record(document), "verdict": result.verdict, "line": line}


def hold_report(body: dict[str, Any], tell: Tell) -> tuple[Document, HoldResult]:
    """The report on the estimate, and the estimate."""
    from helix.output.hold.hold_report import hold_document, title_of
    from helix.studies.hold.holding import hold_with

    recipe, units, setting, fitted, table = _asked(body)
    result = hold_with(recipe, setting)
    document = hold_document(result, units, fitted, charts=True)
    if table:
        from helix.output.hold.hold_charts import sensitivity_chart, table_chart
        from helix.output.hold.hold_table_report import table_document
        from helix.studies.hold.hold_table import hold_table
        from helix.studies.hold.sensitivity import sensitivities

        tell("trying every pair of turns and wraps, and every cause ...")
        found = hold_table(recipe, setting), *sensitivities(recipe, setting)
        tried = table_document(*found, units, f"Turns and wraps. {title_of(result)}")
        charts = table_chart(found[0]), sensitivity_chart(found[1], found[2], units)
        document = replace(document, blocks=(*tried.blocks, *charts, *document.blocks))
    return document, result


def why_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix why`: the load path, the weakest place, what to change."""
    from helix.output.hold.why_report import why_document

    found, units = why_found(body, tell)
    return {"report": report_record(why_document(found, units, charts=True))}


def why_found(body: dict[str, Any], tell: Tell) -> tuple[WhyResult, UnitSystem]:
    """What `helix why` finds."""
    from helix.studies.hold.why import why

    recipe, units, setting, _, _ = _asked(body)
    tell("trying changes, this takes a few seconds ...")
    return why(recipe, setting), units


def form_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix form`: torques, cranks, grips, springback."""
    from helix.output.hold.form_report import form_document
    from helix.studies.option_values import force
    from helix.studies.teaching.hand_work import HAND_FORCE_N, form

    asked = Asked(body)
    recipe, units, options = asked.recipe(), asked.units(), asked.options(("hand_force",))
    hand_force = force("--hand-force", options.hand_force, asked.faults)
    recipe = asked.sound(recipe)
    return {"report": report_record(form_document(form(recipe, hand_force or HAND_FORCE_N), units))}


def stretch_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix stretch`: how much the joint lengthens under a load, the rated one where none is given."""
    from helix.output.hold.form_report import stretch_document
    from helix.studies.hold.holding import hold
    from helix.studies.hold.stretch import stretch
    from helix.studies.option_values import force
    from helix.studies.shape.shape import shape

    asked = Asked(body)
    recipe, units, options = asked.recipe(), asked.units(), asked.options(("load",))
    load = force("--load", options.load, asked.faults)
    recipe = asked.sound(recipe)
    estimate = hold(recipe)
    if load is None:
        load = estimate.wire.rated_load_n
        if load is None:
            raise ValidationError(
                [ValidationIssue("--load", 'is needed, such as "600 N", where the recipe has no rated_load')]
            )
    try:
        found = stretch(shape(recipe), estimate, load)
    except ValueError as error:
        raise ValidationError([ValidationIssue("--load", str(error).removeprefix("load "))]) from error
    return {"report": report_record(stretch_document(found, units))}


def _asked(body: dict[str, Any]) -> tuple[Recipe, UnitSystem, Setting, CalibrationFit | None, bool]:
    from helix.studies.hold.hold_options import setting_asked

    asked = Asked(body)
    recipe, units = asked.recipe(), asked.units()
    options = asked.options(("friction", "ductility", "draws", "seed"), ("table",))
    pin = asked.word("pin", ("turns", "slides"), "turns")
    setting, fitted = setting_asked(
        recipe,
        asked.faults,
        friction=options.friction,
        ductility=options.ductility,
        slides=pin == "slides",
        draws=options.draws,
        seed=options.seed,
        tests=_tests(asked),
    )
    return asked.sound(recipe), units, setting, fitted, options.table


def _tests(asked: Asked) -> Callable[[Recipe], SlipTests] | None:
    """What reads the user's own pull tests, {"name", "text"}, where there are any."""
    from helix.model.measured.slip_tests import slip_tests_from_text

    given = asked.body.get("tests")
    if given is None:
        return None
    inner = Asked({"files": [given]})
    files = inner.files()
    asked.faults += inner.faults
    if not files:
        return None
    name, text = files[0]
    return lambda recipe: slip_tests_from_text(text, recipe, name)
