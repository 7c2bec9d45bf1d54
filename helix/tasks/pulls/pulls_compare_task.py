"""Pulls compare: every pair of groups."""

from __future__ import annotations

from helix.output.pulls.pull_compare_report import compare_document
from helix.output.report.record import record
from helix.studies.pulls.pull_compare import compare_pulls
from helix.tasks.options import Option, units
from helix.tasks.pulls.pull_files import LEAVE_OUT, pulls_file, report
from helix.tasks.task import Task

TASK = Task(
    options=(
        pulls_file("pull tests, one row a piece"),
        Option(
            "by",
            "column that makes the groups, such as group or maker",
            required=True,
            letters="COLUMN",
            label="Column that makes the groups",
            example="group",
        ),
        LEAVE_OUT,
        units("loads", "metric"),
    ),
    run=lambda given: compare_pulls(given.file.file, given.by),
    document=compare_document,
    record=record,
    json="N and mm",
    files=(report(compare_document),),
    rows=lambda result: result.faults,
)
