"""What is shared and printed: `helix sheet` (the bench sheet) and `helix draw -o FILE.html` (the page)."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from helix.commands.shared import exit_code, put, recipe_of, shaped, sound, tell
from helix.errors import ValidationIssue

PAPERS = ("a4", "letter")
_NOT_OF_A_PAGE = ("size", "view", "colour", "theme", "transparent", "quality", "scale", "standing")


def sheet_command(options: argparse.Namespace) -> int:
    """`helix sheet`: one page to lay the joint on, with what to cut, mark, count and measure."""
    from helix.output.files import target_fault
    from helix.output.words.words import answer_line, verdict_line

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    target = Path(options.output)
    faults.append(target_fault(target, force=options.force, suffixes=(".pdf",)))
    result = shaped(sound(recipe, faults))
    units = options.units or result.recipe.units

    from helix.output.sheet.sheet import write_sheet

    write_sheet(result, target, units, paper=options.paper, force=options.force)
    put(
        f"{answer_line(result, units)}\n{verdict_line(result)}\nSheet written to {target}. Print it at 100 %, "
        "not fitted to the page, and check its rule.\n"
    )
    return exit_code(result, options.strict)


def page_command(options: argparse.Namespace) -> int:
    """`helix draw -o FILE.html`: one self-contained page on which the joint turns."""
    from helix.output.files import target_fault
    from helix.output.words.words import answer_line, verdict_line

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    target = Path(options.output)
    faults.append(target_fault(target, force=options.force, suffixes=(".html",)))
    for name in _NOT_OF_A_PAGE:
        if getattr(options, name, None) not in (None, False):
            faults.append(
                ValidationIssue(f"--{name}", "is for pictures and models; on a page it is chosen while looking")
            )
    result = shaped(sound(recipe, faults))
    units = options.units or result.recipe.units

    from helix.output.viewer.shared_page import write_page

    tell("working out the steps of making it, this takes a few seconds ...")
    write_page(result, target, units, force=options.force)
    put(f"{answer_line(result, units)}\n{verdict_line(result)}\nDrawn in {target}; open it in a browser.\n")
    return exit_code(result, options.strict)


def add_sheet(commands: Any) -> None:
    """Add `sheet` to the command line's commands."""
    text = "A sheet of paper to work by: the joint at true size, ink marks, counts and verdicts (PDF)."
    sheet = commands.add_parser("sheet", help=text, description=text, allow_abbrev=False)
    sheet.set_defaults(run=sheet_command)
    sheet.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    sheet.add_argument("-o", "--output", metavar="FILE.pdf", required=True, help="file to write")
    sheet.add_argument("--paper", choices=PAPERS, default="a4", help="size of the paper (default: a4)")
    sheet.add_argument(
        "--units", choices=("metric", "inch"), help="what to show sizes in (default: as the recipe says)"
    )
    sheet.add_argument("--strict", action="store_true", help="exit code 1 when something is sharp or overlaps")
    sheet.add_argument("--force", action="store_true", help="replace a file that exists")
