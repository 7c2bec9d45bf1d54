"""Why: the load path, the weakest place, what to change."""

from __future__ import annotations

from functools import partial

from helix.output.hold.why_report import why_document, why_html
from helix.output.report.record import record
from helix.output.shape.drawing import drawing_svg
from helix.studies.hold.why import WhyResult, why
from helix.studies.shape.shape import shape
from helix.tasks.hold.estimate_options import ESTIMATE, PULLS, setting
from helix.tasks.options import RECIPE, units
from helix.tasks.task import Given, Output, Task


def _found(given: Given) -> WhyResult:
    given.on_output("trying changes, this takes a few seconds ...")
    return why(given.recipe, setting(given), given.pulls)


def _page(why: WhyResult, given: Given, suffix: str) -> str:
    return why_html(why, given.system, drawing_svg(shape(given.recipe), given.system))


TASK = Task(
    options=(RECIPE, units("loads and sizes"), *ESTIMATE, PULLS),
    run=_found,
    document=partial(why_document, charts=True),
    record=record,
    json="mm, N, MPa and deg",
    files=(
        Output(
            "output",
            "write the page with pictures, one file that needs no network",
            (".html",),
            _page,
            said="page written to {}",
            letters="FILE.html",
            short="-o",
        ),
    ),
)
