"""Cut: what to cut for a whole batch, and from which length of stock."""

from __future__ import annotations

from helix.errors import ValidationIssue
from helix.model.batch.plan_template import plan_template
from helix.model.files import file_kinds
from helix.output.batch.cut_record import cut_plan_csv
from helix.output.batch.cut_table import cut_plan_document, short_text
from helix.output.report.record import record
from helix.studies.batch.cut_plan import CutPlan, cut_plan, joints_of
from helix.tasks.hold.estimate_options import OWN_PULLS, own_by_recipe
from helix.tasks.options import PAPER, PLAN_FILE, Option, number, units
from helix.tasks.task import Given, Output, Task, Template


def _short(plan: CutPlan, given: Given) -> list[ValidationIssue]:
    """Pieces that the stock does not reach for."""
    place = given.places["plan"]
    return [ValidationIssue(f"{place}: piece {piece.name}", short_text(piece, given.system)) for piece in plan.short]


def _planned(given: Given) -> CutPlan:
    own = own_by_recipe(given.pulls, joints_of(given.plan))
    return cut_plan(given.plan, seconds=given.seconds, own=own, on_output=given.on_output)


def _sheet(plan: CutPlan, given: Given, suffix: str) -> bytes:
    from helix.output.batch.cut_sheet import sheet_bytes  # a third of what a list without a sheet would load

    return sheet_bytes(plan, given.system, suffix[1:], paper=given.paper)


TASK = Task(
    options=(
        Option(
            "plan",
            "plan file (TOML); --template writes one",
            PLAN_FILE,
            place="one",
            required=True,
            example="plan.toml",
            start=file_kinds.PLAN.start,
        ),
        Option(
            "seconds",
            "how long to search for the best list",
            number(0.1, 3600.0),
            usual="2.5 to 18, by its size",
            label="Seconds to look for the best list",
        ),
        PAPER,
        units(),
        OWN_PULLS,
    ),
    run=_planned,
    document=cut_plan_document,
    record=record,
    json="mm, N and kg",
    refused=_short,
    template=Template("plan.toml", plan_template, "a plan to fill in, its numbers invented", "helix cut {}"),
    files=(
        Output(
            "sheet",
            "also write a sheet for the bench to print, .pdf or .svg",
            (".pdf", ".svg"),
            _sheet,
            said="sheet written to {}",
            short="-o",
        ),
        Output(
            "csv",
            "also write the cutting list, one piece a row",
            (".csv",),
            lambda result, given, suffix: cut_plan_csv(result),
            said="cutting list written to {}",
            letters="FILE.csv",
        ),
    ),
)
