"""Hold: will it hold, at what load, and why one thinks so; with a table of turns and wraps where it is wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from helix.errors import HelixError
from helix.model.recipe.recipe_parts import Recipe
from helix.output.hold.hold_charts import sensitivity_chart, table_chart
from helix.output.hold.hold_record import hold_to_dict, table_to_dict
from helix.output.hold.hold_report import hold_document, title_of
from helix.output.hold.hold_table_report import table_document
from helix.output.report.chart_sheet import charts_file
from helix.output.report.document import Document
from helix.output.report.document_pdf import document_pdf
from helix.output.words.findings.finding_words import capital
from helix.output.words.hold_words import place_words
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.friction_fit import CalibrationFit
from helix.studies.hold.evidence.own_pulls import carried
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.hold_table import HoldTable, hold_table
from helix.studies.hold.holding import hold_with
from helix.studies.hold.outcome import Setting
from helix.studies.hold.places.broke_at import PLACES, broke_at
from helix.studies.hold.sensitivity import Answer, Bar, sensitivities
from helix.studies.judge import judge_held
from helix.tasks.hold.estimate_options import ESTIMATE, PULLS, setting
from helix.tasks.options import RECIPE, TICK, Option, choice, quantity, units
from helix.tasks.shape.judged import STRICT
from helix.tasks.task import Given, Output, Task
from helix.units import UnitSystem


@dataclass(frozen=True)
class Estimate:
    """The estimate; the user's own calibration behind it, and the table with what moves the answer, if wanted.

    fewer: the chance of unwinding with one turn fewer.
    """

    result: HoldResult
    fitted: CalibrationFit | None
    table: tuple[HoldTable, Answer, tuple[Bar, ...]] | None
    fewer: float | None = None


def _estimated(given: Given) -> Estimate:
    how = replace(setting(given), slack_mm=given.slack, free_length_mm=given.free_length)
    result, table = hold_with(given.recipe, how, given.pulls), None
    if given.broke_at:
        result = replace(result, broke_at=broke_at(result, given.broke_at))
    if given.table:
        given.on_output("trying every pair and every cause, this takes a few seconds ...")
        table = hold_table(given.recipe, how, own=given.pulls), *sensitivities(given.recipe, how)
    return Estimate(result, given.calibrate, table, _fewer(given.recipe, how, given.pulls))


def _fewer(recipe: Recipe, how: Setting, own: OwnPulls | None) -> float | None:
    """The chance of unwinding with one turn fewer; None where there is no such joint."""
    twist = recipe.twist
    if twist.turns <= 1.0:
        return None
    try:
        fewer = recipe.variant(twist=replace(twist, turns=twist.turns - 1.0, length_mm=None))
        return hold_with(fewer, how, carried(own, recipe, fewer)).probability.unwinds
    except HelixError:
        return None


def estimate_document(estimate: Estimate, units: UnitSystem) -> Document:
    """The report, the table before it."""
    document = hold_document(estimate.result, units, estimate.fitted, charts=True, fewer=estimate.fewer)
    tried = tried_document(estimate, units)
    if estimate.table is None or tried is None:
        return document
    charts = table_chart(estimate.table[0]), sensitivity_chart(estimate.table[1], estimate.table[2], units)
    return replace(document, blocks=(*document.blocks, *tried.blocks, *charts))


def tried_document(estimate: Estimate, units: UnitSystem, moves: bool = True) -> Document | None:
    """Turns against wraps, where it is wanted; moves: with what moves the answer."""
    if estimate.table is None:
        return None
    return table_document(*estimate.table, units, f"Turns and wraps. {title_of(estimate.result, units)}", moves=moves)


def _charts(document: Document, suffix: str) -> bytes:
    return charts_file(document.charts, suffix, document.title)


def _record(estimate: Estimate) -> dict[str, Any]:
    data = hold_to_dict(estimate.result, estimate.fitted)
    return data | table_to_dict(*estimate.table) if estimate.table else data


TASK = Task(
    options=(
        RECIPE,
        units("loads and sizes"),
        Option("table", "turns (0 to 10) against wraps (0 to 10) alone; with --all also what moves the answer", TICK),
        *ESTIMATE,
        PULLS,
        Option(
            "slack",
            "of two wires worked as one, how much longer one is between the joints",
            quantity("length", most=1000.0, of_wire=True, zero=True),
            usual="1 mm, as hands cut",
            label="One wire longer by",
        ),
        Option(
            "free_length",
            "of two wires worked as one, the wire between the joints",
            quantity("length", most=1e6),
            usual="the standing leg",
            label="Wire between the joints",
        ),
        Option(
            "broke_at",
            "where a joint of it broke: what to look at, in order",
            choice(**{place: capital(place_words(place)) for place in PLACES}),
            label="It broke at",
        ),
    ),
    run=_estimated,
    document=estimate_document,
    table=lambda estimate, units: tried_document(estimate, units, moves=False),
    record=_record,
    json="mm, N, MPa and deg",
    files=(
        Output(
            "chart",
            "also write the charts, .png, .svg or .pdf",
            (".png", ".svg", ".pdf"),
            lambda result, given, suffix: _charts(estimate_document(result, given.system), suffix),
            said="charts written to {}",
        ),
        Output(
            "report",
            "the estimate to print, with its charts",
            (".pdf",),
            lambda result, given, suffix: document_pdf(estimate_document(result, given.system)),
            paged=True,
        ),
    ),
    strict=STRICT,
    is_ok=lambda result: judge_held(result.result).is_ok,
)
