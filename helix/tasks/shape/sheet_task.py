"""Sheet: one page to lay the joint on, with what to cut, mark, count and measure."""

from __future__ import annotations

from helix.output.canvas.paper import page_pdf
from helix.output.report.document import Answer
from helix.output.shape.shape_answers import drawn_answer
from helix.output.sheet.sheet import sheet_page
from helix.studies.judge import held_by_own, shape_judged
from helix.studies.shape.shape import ShapeResult
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import PAPER, RECIPE, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task


def _done(result: ShapeResult, given: Given) -> Answer:
    written = f"Sheet written to {given.written[0]}. Print it at 100 %, not fitted to the page, and check its rule."
    return drawn_answer(result, given.system, (written,))


TASK = Task(
    options=(RECIPE, PAPER, units(), PULLS),
    run=lambda given: shape_judged(given.recipe, given.pulls),
    answer=_done,
    files=(
        Output(
            "output",
            "file to write",
            (".pdf",),
            lambda result, given, suffix: page_pdf(
                sheet_page(result, given.system, paper=given.paper, held=held_by_own(given.recipe, given.pulls))
            ),
            letters="FILE.pdf",
            short="-o",
            required=True,
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
