"""Stretch: how much the joint lengthens under a load, the rated one where none is given."""

from __future__ import annotations

from dataclasses import replace

from helix.errors import ValidationError, argument_issue
from helix.output.hold.form_report import stretch_document
from helix.output.report.record import record
from helix.studies.hold.holding import hold
from helix.studies.hold.stretch import StretchResult, stretch
from helix.studies.judge import found_by_own
from helix.studies.shape.shape import shape
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, Option, quantity, units
from helix.tasks.task import Given, Task


def _stretched(given: Given) -> StretchResult:
    estimate = hold(given.recipe)
    load_n = estimate.wire.rated_load_n if given.load is None else given.load
    if load_n is None:
        wanted = 'is needed, such as "600 N", where the wire has no rated load'
        raise ValidationError([argument_issue("load", wanted)])
    return replace(stretch(shape(given.recipe), estimate, load_n), of_hold=found_by_own(given.recipe, given.pulls))


TASK = Task(
    options=(
        RECIPE,
        units("loads and sizes"),
        Option("load", "the load, with its unit", quantity("force"), usual="the rated load", label="Load"),
        PULLS,
    ),
    run=_stretched,
    document=stretch_document,
    record=record,
    json="mm, N, MPa and deg",
    force=True,
)
