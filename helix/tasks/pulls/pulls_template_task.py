"""Pulls template: a file to fill in, every column explained, and the mapping of curves."""

from __future__ import annotations

from collections.abc import Iterator

from helix.errors import ValidationIssue, argument_issue
from helix.model.measured.curve_file import mapping_template
from helix.model.measured.pull_columns import template_text
from helix.tasks.options import units
from helix.tasks.task import Given, Output, Task

_TABLES = (".csv", ".txt")


def _twice(given: Given) -> Iterator[ValidationIssue]:
    if {"file", "output"} <= set(given.targets) and given.targets["file"] != given.targets["output"]:
        yield argument_issue("file", "must be given once; got two names")


def _done(text: str, given: Given) -> str:
    if not given.written:
        return text
    tables = [path for path in given.written if path.suffix.lower() in _TABLES]
    then = f"Fill in a row a piece, then: helix pulls read {tables[0]}\n" if tables else ""
    return "".join(f"Written: {path}\n" for path in given.written) + then


TASK = Task(
    options=(units("the examples", default="metric"),),
    run=lambda given: template_text(given.units),
    check=_twice,
    text=_done,
    files=(
        Output(
            "file",
            "file to write (default: print it)",
            _TABLES,
            lambda result, given, suffix: result,
            letters="FILE.csv",
            place="optional",
        ),
        Output(
            "output",
            "the same as FILE.csv",
            _TABLES,
            lambda result, given, suffix: result,
            letters="FILE.csv",
            short="-o",
        ),
        Output(
            "mapping",
            "also write a mapping for load-extension curves",
            (".toml",),
            lambda result, given, suffix: mapping_template(given.units),
            letters="FILE.toml",
        ),
    ),
)
