"""What the commands of `helix pulls` share: common options, reports and charts written whole, faults of rows."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.errors import ValidationError, ValidationIssue

if TYPE_CHECKING:
    from helix.output.report.document import Document


def common(to: argparse.ArgumentParser, leave_out: bool = True) -> None:
    to.add_argument(
        "--units", choices=("metric", "inch"), default="metric", help="what to show loads in (default: metric)"
    )
    to.add_argument("--json", action="store_true", help="print JSON, always in N and mm")
    to.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        action="append",
        default=[],
        help="also write the report, .html or .pdf; may be given again",
    )
    if leave_out:
        to.add_argument(
            "--leave-out", action="store_true", help="go on without rows that cannot be read (they are named)"
        )
    force(to)


def force(to: argparse.ArgumentParser) -> None:
    to.add_argument("--force", action="store_true", help="replace a file that exists")


def go_on(faults: Sequence[ValidationIssue], options: argparse.Namespace, complain: Callable[[str], None]) -> bool:
    """Tell the faults of rows; whether to go on and write files."""
    for fault in faults:
        complain(str(fault))
    if not faults or options.leave_out:
        return True
    if options.output or getattr(options, "charts", None):
        complain("no report was written: mend these rows, or add --leave-out to go on without them")
    return False


def show_document(document: Document, show: Callable[[str], None]) -> None:
    from helix.output.report.document import document_text

    show(document_text(document))


def reports(document: Document, options: argparse.Namespace, show: Callable[[str], None]) -> None:
    from helix.output.report.document_html import document_html
    from helix.output.report.document_pdf import document_pdf

    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    for name in options.output:
        path = Path(name)
        content = document_html(document) if path.suffix.lower() == ".html" else document_pdf(document)
        files.append((path, content, (".html", ".pdf")))
    write(files, options.force)
    for path, _, _ in files:
        if not options.json:
            show(f"Written: {path}\n")


def charts(document: Document, folder: Path, force: bool, show: Callable[[str], None] | None) -> None:
    from helix.output.report.document_html import chart_png, chart_svg

    made = [(chart, "".join(c if c.isalnum() else "-" for c in chart.name)) for chart in document.charts]
    paths = [folder / f"{name}{suffix}" for _, name in made for suffix in (".png", ".svg")]
    if folder.is_dir():
        faults = [fault for path in paths for fault in target(path, force, (".png", ".svg"))]
        if faults:
            raise ValidationError(faults)
    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    for chart, name in made:
        files.append((folder / f"{name}.png", chart_png(chart), (".png",)))
        files.append((folder / f"{name}.svg", chart_svg(chart), (".svg",)))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ValidationError(
            [ValidationIssue(str(folder), f"cannot be made: {(error.strerror or str(error)).lower()}")]
        ) from error
    write(files, force)
    if show is not None:
        show(f"{len(made)} charts written to {folder}\n")


def write(files: Sequence[tuple[Path, str | bytes, tuple[str, ...]]], force: bool) -> None:
    """Look at every target before the first is written."""
    from helix.output.files import write_whole

    faults = [fault for path, _, suffixes in files for fault in target(path, force, suffixes)]
    if faults:
        raise ValidationError(faults)
    for path, content, _ in files:
        write_whole(path, content, force=force)


def targets(options: argparse.Namespace) -> list[ValidationIssue]:
    return [fault for name in options.output for fault in target(Path(name), options.force, (".html", ".pdf"))]


def target(path: Path, force: bool, suffixes: tuple[str, ...]) -> list[ValidationIssue]:
    from helix.output.files import target_fault

    fault = target_fault(path, force=force, suffixes=suffixes)
    return [fault] if fault else []


def tried(make: Callable[[], Any], faults: list[ValidationIssue]) -> Any:
    """What `make` gives; None with its faults added to the others."""
    try:
        return make()
    except ValidationError as found:
        faults.extend(found.faults)
        return None
