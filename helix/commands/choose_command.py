"""The command choose: which wire will do for a load."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from helix.commands.shared import DONE, put, recipe_of, sound, tell
from helix.errors import ValidationIssue

Command = Callable[[str, object, str], argparse.ArgumentParser]


def add_choose(command: Command) -> None:
    """Add the command to the parser."""
    pick = command("choose", choose_command, "Which wire will do for a load: the lightest first.")
    pick.add_argument("--load", metavar="LOAD", required=True, help='load to hold, "600 N"')
    pick.add_argument("--margin", metavar="N", help="times the load that the joint must hold (default: 1.5)")
    pick.add_argument("--pin", metavar="LENGTH", help="what sits in the eye (default: 8 wire diameters)")
    pick.add_argument("--piece", metavar="LENGTH", help='length of a piece between its pins (default: "1 m")')
    pick.add_argument("--recipe", metavar="RECIPE", help="whose turns, lay and wraps to take (default: 5, 4 d and 5)")
    pick.add_argument("--family", metavar="NAME", help="gauge family, MWG or AWG (default: both)")
    pick.add_argument("--material", metavar="NAME", help="one material (default: all)")
    pick.add_argument(
        "--price",
        metavar="PRICE",
        action="append",
        help='price of a kg of wire, "45 EUR", or of one material\'s, "music wire = 12 EUR"; may be repeated',
    )
    pick.add_argument("--rows", metavar="N", help="how many wires to show (default: 12)")
    pick.add_argument("--units", choices=("metric", "inch"), help="what to show sizes in (default: metric)")
    pick.add_argument("--json", action="store_true", help="print JSON, always in mm, N and kg")


def choose_command(options: argparse.Namespace) -> int:
    """`helix choose`: wires whose joint holds a load with a margin, the lightest first."""
    from helix.output.batch.choose_table import choices_text, choices_to_dict
    from helix.output.report.record import to_json
    from helix.studies.batch.choose_options import wish_asked
    from helix.studies.batch.choosing import choose, usual_joint, with_wire

    faults: list[ValidationIssue | None] = []
    recipe = usual_joint() if options.recipe is None else recipe_of(options.recipe, faults)
    wish = wish_asked(
        faults,
        load=options.load,
        margin=options.margin,
        pin=options.pin,
        piece=options.piece,
        family=options.family,
        material=options.material,
        price=options.price or [],
        rows=options.rows,
    )
    base = sound(recipe, faults)
    result = choose(wish, lambda wire, pin_mm: with_wire(base, wire, pin_mm), tell)
    if options.json:
        put(to_json(choices_to_dict(result)))
    else:
        put(choices_text(result, options.units or "metric"))
    return DONE
