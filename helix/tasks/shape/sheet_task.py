"""Sheet: one page to lay the joint on, with what to cut, mark, count and measure."""

from __future__ import annotations

from dataclasses import replace

from helix.output.canvas.paper import page_pdf
from helix.output.report.document import Answer
from helix.output.shape.shape_answers import drawn_answer
from helix.output.sheet.sheet import sheet_page
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.shape.shape import ShapeResult, shape
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import PAPER, RECIPE, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task


def _done(result: ShapeResult, given: Given) -> Answer:
    written = f"Sheet written to {given.written[0]}. Print it at 100 %, not fitted to the page, and check its rule."
    return drawn_answer(result, given.system, (written,))


def _held(given: Given) -> HoldResult | None:
    """The estimate by own pieces, where there are any."""
    return None if given.pulls is None else hold_with(given.recipe, setting_of(given.recipe), given.pulls)


def _shaped(given: Given) -> ShapeResult:
    result, held = shape(given.recipe), _held(given)
    return result if held is None else replace(result, of_hold=held.findings)


TASK = Task(
    options=(RECIPE, PAPER, units(), PULLS),
    run=_shaped,
    answer=_done,
    files=(
        Output(
            "output",
            "file to write",
            (".pdf",),
            lambda result, given, suffix: page_pdf(
                sheet_page(result, given.system, paper=given.paper, held=_held(given))
            ),
            letters="FILE.pdf",
            short="-o",
            required=True,
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
