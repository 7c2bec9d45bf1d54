"""The command cut: planning the wire of a batch; and the way in for choose, inspect and spread."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from helix.commands.choose_command import add_choose
from helix.commands.inspect_command import add_inspect, add_spread
from helix.commands.shared import DONE, UNUSABLE, complain, put, tell
from helix.errors import ValidationError, ValidationIssue

Command = Callable[[str, object, str], argparse.ArgumentParser]
Options = Callable[[argparse.ArgumentParser], None]


def add_plan_commands(command: Command, units: Options, force: Options, strict: Options) -> None:
    """Add cut, choose, inspect and spread to the parser; the rest adds options that all commands share."""
    cut = command("cut", cut_command, "What to cut for a whole batch, and from which length of stock.")
    cut.add_argument("plan", metavar="PLAN", help="plan file (TOML); docs/planning.md shows one")
    cut.add_argument("-o", "--sheet", metavar="FILE", help="also write a sheet for the bench to print, .pdf or .svg")
    cut.add_argument("--csv", metavar="FILE.csv", help="also write the cutting list, one piece a row")
    cut.add_argument(
        "--seconds", metavar="N", help="how long to search for the best list (default: 2.5 to 18, by its size)"
    )
    units(cut)
    cut.add_argument("--json", action="store_true", help="print JSON, always in mm, N and kg")
    force(cut)
    add_choose(command)
    add_inspect(command, units, force, strict)
    add_spread(command, units)


def cut_command(options: argparse.Namespace) -> int:
    """`helix cut`: pieces, ink marks and the cutting list; a sheet and a CSV file when asked for."""
    from helix.model.batch.plan import read_plan
    from helix.output.files import target_fault, write_whole
    from helix.studies.batch.cut_plan import cut_plan
    from helix.studies.option_values import seconds

    faults: list[ValidationIssue | None] = []
    plan = None
    try:
        plan = read_plan(Path(options.plan))
    except ValidationError as found:
        faults.extend(found.faults)
    for name, suffixes in (("sheet", (".pdf", ".svg")), ("csv", (".csv",))):
        if getattr(options, name) is not None:
            faults.append(target_fault(Path(getattr(options, name)), force=options.force, suffixes=suffixes))
    allowed = seconds(options.seconds, faults)
    told = [fault for fault in faults if fault is not None]
    if plan is None or told:
        raise ValidationError(told)

    result = cut_plan(plan, seconds=allowed, tell=tell)
    units = options.units or plan.units
    if result.short:
        from helix.output.batch.cut_table import short_text

        if options.json:
            _print_plan(result)
        for each in result.short:
            complain(str(ValidationIssue(f"{options.plan}: piece {each.name}", short_text(each, units))))
        return UNUSABLE
    if options.sheet is not None:
        from helix.output.batch.cut_sheet import write_cut_sheet

        write_cut_sheet(result, Path(options.sheet), units, force=options.force)
        tell(f"sheet written to {options.sheet}")
    if options.csv is not None:
        from helix.output.batch.cut_record import cut_plan_csv

        write_whole(Path(options.csv), cut_plan_csv(result), force=options.force)
        tell(f"cutting list written to {options.csv}")
    if options.json:
        _print_plan(result)
    else:
        from helix.output.batch.cut_table import cut_plan_text

        put(cut_plan_text(result, units))
    return DONE


def _print_plan(result: object) -> None:
    from helix.output.batch.cut_record import cut_plan_to_dict
    from helix.output.report.record import to_json
    from helix.studies.batch.cut_plan import CutPlan

    if isinstance(result, CutPlan):
        put(to_json(cut_plan_to_dict(result)))
