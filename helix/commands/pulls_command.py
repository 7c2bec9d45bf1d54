"""The command `helix pulls`: template, read, compare and plan. What is heavy is imported where it is needed."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from helix.commands.pulls_files_command import (
    charts,
    common,
    force,
    go_on,
    reports,
    show_document,
    targets,
    tried,
    write,
)
from helix.commands.pulls_plan_command import plan_command, plan_options
from helix.errors import ValidationError, ValidationIssue
from helix.studies.pulls.pull_options import quantity_of

DONE, UNUSABLE = 0, 2


class Parsers(Protocol):
    """What argparse gives for adding commands."""

    def add_parser(self, name: str, **options: Any) -> argparse.ArgumentParser:
        """Add a command."""
        ...


def add_pulls(commands: Parsers, show: Callable[[str], None], complain: Callable[[str], None]) -> None:
    """Add `pulls` and its four commands; show: prints to standard output; complain: one line a fault."""
    text = "Pull tests: plan them, read them, compare groups, and say what they prove."
    pulls = commands.add_parser("pulls", help=text, description=text, allow_abbrev=False)
    inner = pulls.add_subparsers(dest="pulls_command", metavar="COMMAND", required=True)

    def command(name: str, run: Callable[..., int], text: str) -> argparse.ArgumentParser:
        made = inner.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.set_defaults(run=lambda options: run(options, show, complain))
        return made

    template = command("template", template_command, "Write a file to fill in, every column explained.")
    template.add_argument("file", nargs="?", metavar="FILE.csv", help="file to write (default: print it)")
    template.add_argument("-o", "--output", metavar="FILE.csv", help="the same as FILE.csv")
    template.add_argument("--mapping", metavar="FILE.toml", help="also write a mapping for load-extension curves")
    force(template)

    read = command("read", read_command, "What a bench's pieces say about one joint, with limits.")
    read.add_argument(
        "file", metavar="FILE.csv", help="pull tests, one row a piece; needs id, group, load, unit, failure"
    )
    read.add_argument("--rated", metavar="LOAD", help='rated load of the wire, "174 lbf", where rows do not state it')
    read.add_argument(
        "--curves", metavar="MAPPING.toml", help="read the curves that column curve names, by this mapping"
    )
    read.add_argument("--charts", metavar="FOLDER", help="also write each chart as PNG and SVG into this folder")
    common(read)

    compare = command("compare", compare_command, "Groups against each other, pair by pair.")
    compare.add_argument("file", metavar="FILE.csv", help="pull tests, one row a piece")
    compare.add_argument(
        "--by", metavar="COLUMN", required=True, help="column that makes the groups, such as group or maker"
    )
    common(compare)

    plan = command("plan", plan_command, "How many pieces, which load cell, how much wire, in which order.")
    plan.add_argument("recipes", nargs="*", metavar="RECIPE", help="recipes to test (TOML)")
    plan_options(plan)


def template_command(options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]) -> int:
    """`helix pulls template`: the file to fill in, and the mapping of curves."""
    from helix.model.measured.curve_file import MAPPING_TEMPLATE
    from helix.model.measured.pull_columns import template_text

    wanted = {name for name in (options.file, options.output) if name}
    if len(wanted) > 1:
        raise ValidationError([ValidationIssue("FILE.csv", "must be given once; got two names")])
    files: list[tuple[Path, str, tuple[str, ...]]] = [
        (Path(name), template_text(), (".csv", ".txt")) for name in wanted
    ]
    if options.mapping:
        files.append((Path(options.mapping), MAPPING_TEMPLATE, (".toml",)))
    write(files, options.force)
    if not files:
        show(template_text())
    for path, _, _ in files:
        show(f"Written: {path}\n")
    return DONE


def read_command(options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]) -> int:
    """`helix pulls read`: the reading as text or JSON; report and charts where asked for."""
    from helix.model.measured.curve_file import read_mapping
    from helix.model.measured.pull_file import read_pull_file
    from helix.studies.pulls.pull_curves import curves_of
    from helix.studies.pulls.pulls import read_pulls
    from helix.studies.pulls_plan.pull_predicted import bands_of, recipes_of

    faults = targets(options)
    folder = Path(options.charts) if options.charts else None
    if folder is not None and folder.exists() and not folder.is_dir():
        faults.append(ValidationIssue(str(folder), "must be a folder; got a file"))
    rated = quantity_of("--rated", options.rated, "force", faults)
    mapping = tried(lambda: read_mapping(Path(options.curves)), faults) if options.curves else None
    file = tried(lambda: read_pull_file(Path(options.file)), faults)
    if faults or file is None:
        raise ValidationError(faults)
    place = Path(options.file).parent
    curves, curve_faults = curves_of(file.pieces, place, mapping, file.place) if mapping else ((), ())
    recipes, notes = recipes_of(file, place)
    result = read_pulls(file, rated, curves, curve_faults, notes)
    bands = bands_of(file, recipes)

    if options.json:
        from helix.output.pulls.pull_record import pulls_to_dict
        from helix.output.report.record import to_json

        data = pulls_to_dict(result)
        data["predicted"] = [
            {"group": name, "low_n": low, "nominal_n": middle, "high_n": high, "by": by}
            for name, (low, middle, high, by) in bands.items()
        ]
        show(to_json(data))
    document = None
    if not options.json or options.output or folder is not None:
        from helix.output.pulls.pull_report import pulls_document

        document = pulls_document(result, options.units, bands)
    if document is not None and not options.json:
        show_document(document, show)
    if not go_on(result.faults, options, complain):
        return UNUSABLE
    if document is not None:
        reports(document, options, show)
        if folder is not None:
            charts(document, folder, options.force, None if options.json else show)
    return DONE


def compare_command(options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]) -> int:
    """`helix pulls compare`: every pair of groups."""
    from helix.model.measured.pull_file import read_pull_file
    from helix.studies.pulls.pull_compare import compare_pulls

    faults = targets(options)
    file = tried(lambda: read_pull_file(Path(options.file)), faults)
    if faults or file is None:
        raise ValidationError(faults)
    result = compare_pulls(file, options.by)
    if options.json:
        from helix.output.pulls.pull_record import compare_to_dict
        from helix.output.report.record import to_json

        show(to_json(compare_to_dict(result)))
    from helix.output.pulls.pull_compare_report import compare_document

    document = compare_document(result, options.units)
    if not options.json:
        show_document(document, show)
    if not go_on(result.faults, options, complain):
        return UNUSABLE
    reports(document, options, show)
    return DONE
