"""Form: what the hands must apply."""

from __future__ import annotations

from dataclasses import replace

from helix.output.hold.form_report import form_document
from helix.output.report.record import record
from helix.studies.judge import found_by_own
from helix.studies.teaching.hand_work import HAND_FORCE_N, form
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, Option, quantity, units
from helix.tasks.task import Task

TASK = Task(
    options=(
        RECIPE,
        units("loads and sizes"),
        Option(
            "hand_force",
            "what a hand gives comfortably (the usual one is assumed)",
            quantity("force"),
            default=f"{HAND_FORCE_N:g} N",
            label="What a hand gives",
        ),
        PULLS,
    ),
    run=lambda given: replace(form(given.recipe, given.hand_force), of_hold=found_by_own(given.recipe, given.pulls)),
    document=form_document,
    record=record,
    json="mm, N, MPa and deg",
    force=True,
)
