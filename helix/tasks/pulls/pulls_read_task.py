"""Pulls read: what a bench's pieces say about one joint, with limits."""

from __future__ import annotations

from helix.output.pulls.pull_report import pulls_document
from helix.output.report.record import record
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pull_predicted import recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls
from helix.tasks.options import MAPPING_FILE, RECIPE_FILES, Option, quantity, units
from helix.tasks.pulls.pull_files import LEAVE_OUT, charts, pulls_file, report
from helix.tasks.task import Given, Task


def _read(given: Given) -> PullsResult:
    tests = given.file
    file, mapping = tests.file, given.curves or tests.mapping
    curves, faults = curves_of(file.pieces, tests.beside, mapping, file.place) if mapping else ((), ())
    recipes, notes = recipes_of(file, tests.beside)
    return read_pulls(file, given.rated, curves, faults, recipes, given.recipe or (), notes)


TASK = Task(
    options=(
        pulls_file("pull tests, one row a piece; needs id, group, load, unit, failure"),
        Option(
            "rated", "rated load of the wire, where rows do not state it", quantity("force"), letters="LOAD",
            label="Rated load of the wire", example="620 N",
        ),
        Option("recipe", "recipe of the joints, where rows name none; may be given again, one a size", RECIPE_FILES, many=True),
        Option("curves", "read the curves that column curve names, by this mapping", MAPPING_FILE),
        LEAVE_OUT,
        units("loads", "metric"),
    ),
    run=_read,
    document=pulls_document,
    record=record,
    json="N and mm",
    files=(report(pulls_document), charts(pulls_document)),
    rows=lambda result: result.faults,
)  # fmt: skip
