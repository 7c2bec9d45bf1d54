"""The command `helix pulls plan`."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.commands.pulls_files_command import common, reports, show_document, target, targets, tried, write
from helix.errors import ValidationError, ValidationIssue
from helix.studies.pulls.pull_options import quantity_of, setup_of, wanted_of

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe

DONE = 0


def plan_options(plan: argparse.ArgumentParser) -> None:
    def add(name: str, metavar: str, text: str, **more: Any) -> None:
        plan.add_argument(name, metavar=metavar, help=text, **more)

    add("--efficiency", "SHARE", "efficiency over the control to be shown (default 0.90)")
    add("--confidence", "SHARE", "confidence of it (default 0.95)")
    add("--expect", "SHARE", "efficiency expected (default 0.97)")
    add("--cv", "SHARE", "SD over mean of pieces expected (default 0.04; common practice, no source)")
    add("--power", "SHARE", "chance that the test succeeds (default 0.90)")
    add("--apart", "SHARE|LOAD", 'difference that two recipes are to be told apart by, "0.05" or "40 N"')
    add("--unwinding", "P1,P2", "chances of unwinding of two recipes to be told apart, 0.05,0.6")
    add("--margin", "SHARE", "mean to be known to within this (default 0.02)")
    add("--expect-load", "LOAD", "load that one wire's piece is expected to reach; without it, from the recipes")
    add("--wires", "N", "wires worked as one (default 1)")
    add(
        "--cell",
        "CELL",
        'a load cell: "5000 N, class 1, resolution 0.5 N"; may be given again',
        action="append",
        default=[],
    )
    add("--free", "LENGTH", "free length between the joints (default 250 mm)")
    add("--grip", "LENGTH", "wire for each grip (default 60 mm)")
    add("--joints", "N", "joints a piece, 2 or 1 (default 2)")
    add("--each", "N", "pieces of each recipe (default: what the questions take, or 10)")
    add("--controls", "N", "straight pieces of each batch (default 5)")
    add("--batches", "NAMES", "batches of wire, set apart by commas (default: one)")
    add("--makers", "NAMES", "makers, set apart by commas (default: one)")
    add("--turns", "COUNTS", "turns to vary, apart from wraps: 3,4,5")
    add("--wraps", "COUNTS", "wraps to vary, apart from turns: 3,5")
    plan.add_argument(
        "--design", choices=("factorial", "staircase"), default="factorial", help="how turns and wraps are varied"
    )
    add("--seed", "N", "of the random order (default 1)")
    add("--order", "FILE.csv", "also write the order as a file to fill in")
    add("--labels", "FILE.pdf", "also write labels to print")
    common(plan, leave_out=False)


def plan_command(options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]) -> int:
    """`helix pulls plan`: the plan as text or JSON; order file, labels and report where asked for."""
    from helix.output.pulls.pull_plan_report import labels_pdf, order_csv, plan_document
    from helix.studies.pulls_plan.pull_plan import plan_pulls

    faults = targets(options)
    for name, suffix in (("order", ".csv"), ("labels", ".pdf")):
        if getattr(options, name):
            faults.extend(target(Path(getattr(options, name)), options.force, (suffix,)))
    recipes = named_recipes(options.recipes, faults)
    expected = quantity_of("--expect-load", options.expect_load, "force", faults)
    nominal = expected or (recipes[0][1].wire.breaking_load_n[1] if recipes else None)
    wanted = wanted_of(options, nominal, faults)
    setup = setup_of(options, expected, faults)
    if faults:
        raise ValidationError(faults)
    plan = plan_pulls(recipes, wanted, setup)
    if (options.order or options.labels) and not plan.order:
        raise ValidationError(
            [ValidationIssue("--order, --labels", "need a recipe, so that there are pieces to put in order")]
        )
    document = plan_document(plan, options.units)
    if options.json:
        from helix.output.pulls.pull_record import plan_to_dict
        from helix.output.report.record import to_json

        show(to_json(plan_to_dict(plan)))
    else:
        show_document(document, show)
    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    if options.order:
        files.append((Path(options.order), order_csv(plan.order, Path(options.order).parent), (".csv",)))
    if options.labels:
        files.append((Path(options.labels), labels_pdf(plan), (".pdf",)))
    write(files, options.force)
    reports(document, options, show)
    for path, _, _ in files:
        if not options.json:
            show(f"Written: {path}\n")
    return DONE


def named_recipes(names: Sequence[str], faults: list[ValidationIssue]) -> list[tuple[str, Recipe]]:
    from functools import partial

    from helix.model.recipe.recipe import read_recipe

    found = []
    for name in names:
        recipe = tried(partial(read_recipe, Path(name)), faults)
        if recipe is not None:
            found.append((name, recipe))
    return found
