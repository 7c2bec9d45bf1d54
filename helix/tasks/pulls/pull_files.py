"""What the tasks on pull tests share: the file that is read, rows left out, the report and its charts as files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from helix.errors import ValidationError, ValidationIssue
from helix.model.files import file_kinds
from helix.output.files import write_all
from helix.output.report.chart_sheet import charts_file
from helix.output.report.document import Document
from helix.output.report.document_html import document_html
from helix.output.report.document_pdf import document_pdf
from helix.tasks.options import PULLS_FILE, TICK, Option
from helix.tasks.task import Given, Output

if TYPE_CHECKING:
    from helix.model.measured.curve_file import CurveMapping
    from helix.model.measured.pull_file import PullFile
    from helix.studies.hold.evidence.wound_alike import Counted

Documented = Callable[[Any, Any], Document]


@dataclass(frozen=True)
class PullTests:
    """A file of pull tests; beside: its folder, or the texts of the files opened with it, by name; mapping: if among them. counted: pieces of
    which no more is known than their joint, how many broke or unwound, and how many of them unwound."""

    file: PullFile
    beside: Path | Mapping[str, str]
    mapping: CurveMapping | None = None
    counted: tuple[Counted, ...] = ()


LEAVE_OUT: Final = Option(
    "leave_out", "leave unreadable rows out (they are named)", TICK, label="Leave unreadable rows out"
)


def pulls_file(help_text: str) -> Option:
    """The option that names the tests."""
    return Option(
        "file", help_text, PULLS_FILE, place="one", required=True, example="pulls.csv", start=file_kinds.PULLS.start
    )


def report(document: Documented) -> Output:
    """The report as a file."""

    def make(result: Any, given: Given, suffix: str) -> str | bytes:
        pages = document(result, given.system)
        return document_html(pages) if suffix == ".html" else document_pdf(pages)

    return Output(
        "output", "also write the report, .html or .pdf; may be given again", (".html", ".pdf"), make,
        said="Written: {}", short="-o", many=True,
    )  # fmt: skip


def charts(document: Documented) -> Output:
    """A folder of the report's charts, each as PNG and SVG."""

    def write(result: Any, given: Given, folder: Path, force: bool) -> None:
        files: dict[Path, bytes] = {}
        pages = document(result, given.system)
        for chart in pages.charts:
            name = "".join(letter if letter.isalnum() else "-" for letter in chart.name)
            files |= {
                folder / f"{name}{suffix}": charts_file((chart,), suffix, pages.title) for suffix in (".png", ".svg")
            }
        there = folder.is_dir()
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ValidationError([ValidationIssue(str(folder), f"cannot be made: {reason}")]) from error
        try:
            write_all(files, force=force)
        except ValidationError:
            if not there:
                folder.rmdir()
            raise
        given.on_output(f"{len(pages.charts)} charts written to {folder}")

    def fault(path: Path, force: bool) -> ValidationIssue | None:
        other = path.exists() and not path.is_dir()
        return ValidationIssue(str(path), "must be a folder; got a file") if other else None

    return Output(
        "charts", "also write each chart as PNG and SVG into this folder", (), lambda result, given, suffix: b"",
        letters="FOLDER", fault=fault, write=write,
    )  # fmt: skip
