"""Pulls read: what a bench's pieces say about one joint, with limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from helix.output.pulls.pull_record import pulls_to_dict
from helix.output.pulls.pull_report import pulls_document
from helix.output.report.document import Document
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pull_predicted import Band, bands_of, recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls
from helix.tasks.options import MAPPING_FILE, Option, quantity, units
from helix.tasks.pulls.pull_files import LEAVE_OUT, charts, pulls_file, report
from helix.tasks.task import Given, Task
from helix.units import UnitSystem


@dataclass(frozen=True)
class PullsReading:
    """What the pieces say, and the loads that were to be expected, by group."""

    result: PullsResult
    bands: dict[str, Band]


def _read(given: Given) -> PullsReading:
    tests = given.file
    file, mapping = tests.file, given.curves or tests.mapping
    curves, faults = curves_of(file.pieces, tests.beside, mapping, file.place) if mapping else ((), ())
    recipes, notes = recipes_of(file, tests.beside)
    return PullsReading(read_pulls(file, given.rated, curves, faults, notes), bands_of(file, recipes))


def _document(found: PullsReading, units: UnitSystem) -> Document:
    return pulls_document(found.result, units, found.bands)


def _record(found: PullsReading) -> dict[str, Any]:
    keys = ("low_n", "nominal_n", "high_n", "by")
    predicted = [{"group": name, **dict(zip(keys, band, strict=True))} for name, band in found.bands.items()]
    return pulls_to_dict(found.result) | {"predicted": predicted}


TASK = Task(
    options=(
        pulls_file("pull tests, one row a piece; needs id, group, load, unit, failure"),
        Option(
            "rated", "rated load of the wire, where rows do not state it", quantity("force"), letters="LOAD",
            label="Rated load of the wire", example="620 N",
        ),
        Option("curves", "read the curves that column curve names, by this mapping", MAPPING_FILE),
        LEAVE_OUT,
        units("loads", "metric"),
    ),
    run=_read,
    document=_document,
    record=_record,
    json="N and mm",
    files=(report(_document), charts(_document)),
    rows=lambda found: found.result.faults,
)  # fmt: skip
