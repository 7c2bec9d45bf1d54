"""Sheet: one page to lay the joint on, with what to cut, mark, count and measure."""

from __future__ import annotations

from helix.output.canvas.paper import page_pdf
from helix.output.sheet.sheet import sheet_page
from helix.output.words.words import answer_line, verdict_line
from helix.studies.shape.shape import ShapeResult, shape
from helix.tasks.options import RECIPE, Option, choice, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task


def _done(result: ShapeResult, given: Given) -> str:
    return (
        f"{answer_line(result, given.system)}\n{verdict_line(result, given.system)}\nSheet written to {given.written[0]}. "
        "Print it at 100 %, not fitted to the page, and check its rule.\n"
    )


TASK = Task(
    options=(
        RECIPE,
        Option("paper", "size of the paper", choice(a4="A4", letter="Letter"), "a4", label="Paper"),
        units(),
    ),
    run=lambda given: shape(given.recipe),
    text=_done,
    files=(
        Output(
            "output",
            "file to write",
            (".pdf",),
            lambda found, given, suffix: page_pdf(sheet_page(found, given.system, paper=given.paper)),
            letters="FILE.pdf",
            short="-o",
            required=True,
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
