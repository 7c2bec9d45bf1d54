"""Pull tests: what a file of them says, its groups against each other, and a plan of those to come."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import Tell
from helix.page.answers.recipe_tables import recipe_of_tables, text_of_tables
from helix.page.answers.report_record import report_record
from helix.page.answers.request_values import Asked

if TYPE_CHECKING:
    from helix.model.measured.curve_file import CurveMapping
    from helix.model.measured.pull_file import PullFile
    from helix.model.recipe.recipe_parts import Recipe
    from helix.output.report.document import Document
    from helix.studies.pulls_plan.pull_plan import PlanResult
    from helix.units import UnitSystem

_PLAN_TEXTS = (
    "efficiency", "confidence", "expect", "cv", "power", "apart", "unwinding", "margin", "expect_load", "wires",
    "free", "grip", "joints", "each", "controls", "batches", "makers", "turns", "wraps", "seed",
)  # fmt: skip
_MAPPING = re.compile(r"^\s*\[\s*(?:load|extension)\s*\]", re.MULTILINE)
Value = TypeVar("Value")


def read_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix pulls read`, with its charts; "faults" are of rows that could not be read."""
    document, faults, _ = read_report(body, tell)
    return {"report": report_record(document), "faults": [_told(fault) for fault in faults]}


def read_report(body: dict[str, Any], tell: Tell) -> tuple[Document, tuple[ValidationIssue, ...], bool]:
    """The report on {"files": [{"name", "text"}]}, faults of its rows, and whether to go on without those rows.

    The first file is the tests; recipes and a mapping (TOML) and curves (CSV) may follow.
    """
    from helix.output.pulls.pull_report import pulls_document
    from helix.studies.pulls.pull_curves import curves_of
    from helix.studies.pulls.pull_options import quantity_of
    from helix.studies.pulls.pulls import read_pulls
    from helix.studies.pulls_plan.pull_predicted import bands_of, recipes_of

    asked = Asked(body)
    tests, others = _files(asked)
    units, options = asked.units(), asked.options(("rated",), ("leave_out",))
    rated = _plain(asked, lambda faults: quantity_of("--rated", options.rated, "force", faults))
    texts = {name: text_of_tables(each) for name, each in asked.recipes().items()} | others
    mapping = _mapping(asked, others)
    file = asked.sound(tests)
    curves, curve_faults = curves_of(file.pieces, texts, mapping, file.place) if mapping else ((), ())
    recipes, notes = recipes_of(file, texts)
    tell("working out what the pieces say ...")
    result = read_pulls(file, rated, curves, curve_faults, notes)
    return pulls_document(result, units, bands_of(file, recipes)), result.faults, options.leave_out


def compare_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix pulls compare`: every pair of groups."""
    from helix.output.pulls.pull_compare_report import compare_document
    from helix.studies.pulls.pull_compare import compare_pulls

    asked = Asked(body)
    tests, _ = _files(asked)
    units, options = asked.units(), asked.options(("by",))
    if options.by is None:
        asked.faults.append(
            ValidationIssue("--by", "must name the column that makes the groups, such as group or maker")
        )
    result = compare_pulls(asked.sound(tests), options.by)
    document = compare_document(result, units)
    return {"report": report_record(document), "faults": [_told(fault) for fault in result.faults]}


def plan_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix pulls plan`: pieces, load cell, wire, order."""
    from helix.output.pulls.pull_plan_report import plan_document

    plan, units = series(body)
    return {"report": report_record(plan_document(plan, units)), "ordered": len(plan.order)}


def series(body: dict[str, Any]) -> tuple[PlanResult, UnitSystem]:
    """The plan of a series for {"recipes": {name: tables}} or {"recipe": tables}."""
    from helix.page.answers.pane_batch import OWN_RECIPE
    from helix.studies.pulls.pull_options import quantity_of, setup_of, wanted_of
    from helix.studies.pulls_plan.pull_plan import plan_pulls

    asked = Asked(body)
    units, tables = asked.units(), asked.recipes()
    if not tables and body.get("recipe") is not None:
        tables = {OWN_RECIPE: body["recipe"]}
    options = asked.options(_PLAN_TEXTS, lists=("cell",))
    options.design = asked.word("design", ("factorial", "staircase"), "factorial")
    recipes: list[tuple[str, Recipe]] = []
    for name, each in tables.items():
        recipe = asked.tried(partial(recipe_of_tables, each))
        recipes += [] if recipe is None else [(name, recipe)]

    def rest(faults: list[ValidationIssue]) -> tuple[Any, Any]:
        expected = quantity_of("--expect-load", options.expect_load, "force", faults)
        nominal = expected or (recipes[0][1].wire.breaking_load_n[1] if recipes else None)
        return wanted_of(options, nominal, faults), setup_of(options, expected, faults)

    wanted, setup = asked.sound(_plain(asked, rest))
    return plan_pulls(recipes, wanted, setup), units


def ordered(body: dict[str, Any]) -> PlanResult:
    """The plan of a series that has pieces to put in order."""
    plan, _ = series(body)
    if not plan.order:
        raise ValidationError([ValidationIssue("recipe", "is needed, so that there are pieces to put in order")])
    return plan


def template_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix pulls template`: the file to fill in, and the mapping of curves, as text."""
    from helix.model.measured.curve_file import MAPPING_TEMPLATE
    from helix.model.measured.pull_columns import template_text

    return {"text": template_text(), "mapping": MAPPING_TEMPLATE}


def _files(asked: Asked) -> tuple[PullFile | None, dict[str, str]]:
    """The tests, which are the first file, and the texts of the others by their names."""
    from helix.model.measured.pull_file import pull_file_from_text

    files = asked.files()
    if not files:
        return None, {}
    name, text = files[0]
    return asked.tried(lambda: pull_file_from_text(text, name)), dict(files[1:])


def _mapping(asked: Asked, texts: dict[str, str]) -> CurveMapping | None:
    """Which columns of the curves hold what, from the file that says so."""
    from helix.model.measured.curve_file import mapping_from_text

    found = {name: text for name, text in texts.items() if _toml(name) and _MAPPING.search(text)}
    if len(found) > 1:
        asked.faults.append(ValidationIssue("files", f"must hold one mapping of curves; got {', '.join(found)}"))
    if found:
        name, text = next(iter(found.items()))
        return asked.tried(lambda: mapping_from_text(text, name))
    if any(not _toml(name) for name in texts):
        wanted = "must hold a mapping (TOML) too, which says where the curves have load and extension"
        asked.faults.append(ValidationIssue("files", f"{wanted}; helix pulls template --mapping FILE writes one"))
    return None


def _toml(name: str) -> bool:
    return name.lower().endswith(".toml")


def _plain(asked: Asked, check: Callable[[list[ValidationIssue]], Value]) -> Value:
    """What a check of options gives, its faults added to the others."""
    found: list[ValidationIssue] = []
    value = check(found)
    asked.faults += found
    return value


def _told(fault: ValidationIssue) -> dict[str, str]:
    return {"place": fault.place, "message": fault.message}
