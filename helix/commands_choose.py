"""The command choose: which wire will do for a load."""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable

from helix.commands_shared import DONE, put, recipe_of, sound, tell
from helix.errors import Fault, quoted
from helix.units import Dimension, parse

Command = Callable[[str, object, str], argparse.ArgumentParser]
_USUAL = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "8 d"\n'


def add_choose(command: Command) -> None:
    """Add the command to the parser."""
    pick = command("choose", choose_command, "Which wire will do for a load: the lightest first.")
    pick.add_argument("--load", metavar="LOAD", required=True, help='load to hold, "600 N"')
    pick.add_argument("--margin", metavar="N", help="times the load that the joint must hold (default: 1.5)")
    pick.add_argument("--pin", metavar="LENGTH", help="what sits in the eye (default: 8 wire diameters)")
    pick.add_argument("--piece", metavar="LENGTH", help='length of a piece between its pins (default: "1 m")')
    pick.add_argument(
        "--recipe", metavar="RECIPE", help="whose turns, lay and wraps to take (default: 5, 4 d and 5)"
    )
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
    from helix.model.recipe import recipe_from_text
    from helix.output.choose_table import choices_text, choices_to_dict
    from helix.output.record import to_json
    from helix.studies.choosing import MARGIN, ROWS, Wish, choose, with_wire

    faults: list[Fault | None] = []
    recipe = recipe_from_text(_USUAL) if options.recipe is None else recipe_of(options.recipe, faults)
    load = _quantity("--load", options.load, "force", 1e6, faults)
    pin = _quantity("--pin", options.pin, "length", 1e4, faults)
    piece = _quantity("--piece", options.piece, "length", 1e6, faults)
    margin = _quantity("--margin", options.margin, "none", 100.0, faults, least=1.0)
    rows = _quantity("--rows", options.rows, "none", 100.0, faults, least=1.0)
    prices, currency = _prices(options.price or [], faults)
    base = sound(recipe, faults)

    wish = Wish(
        load_n=load or 0.0,
        margin=MARGIN if margin is None else margin,
        pin_mm=pin,
        piece_mm=1000.0 if piece is None else piece,
        family=options.family,
        material=options.material,
        prices=prices,
        currency=currency,
        rows=ROWS if rows is None else math.floor(rows),
    )
    result = choose(wish, lambda wire, pin_mm: with_wire(base, wire, pin_mm), tell)
    if options.json:
        put(to_json(choices_to_dict(result)))
    else:
        put(choices_text(result, options.units or "metric"))
    return DONE


def _quantity(
    name: str,
    text: str | None,
    dimension: Dimension,
    most: float,
    faults: list[Fault | None],
    least: float = 0.0,
) -> float | None:
    """A quantity above 0, or from `least` up, in helix's own unit."""
    if text is None:
        return None
    try:
        value = parse(text, dimension)
    except ValueError as error:
        faults.append(Fault(name, str(error)))
        return None
    if not least <= value <= most or value == 0.0:
        low = f"at least {least:g}" if least else "above 0"
        unit = {"force": " N", "length": " mm"}.get(dimension, "")
        faults.append(Fault(name, f"must be {low} and at most {most:g}{unit}; got {quoted(text)}"))
        return None
    return value


def _prices(texts: list[str], faults: list[Fault | None]) -> tuple[dict[str, float], str]:
    """Prices of a kg by material ("" for all others), and their currency."""
    from helix.data.materials import find_material

    prices: dict[str, float] = {}
    currency = ""
    for text in texts:
        name, _, amount = text.rpartition("=")
        number, _, own = amount.strip().partition(" ")
        own = own.strip()
        try:
            material = find_material(name).name if name.strip() else ""
        except ValueError as error:
            faults.append(Fault("--price", str(error)))
            continue
        try:
            price = float(number)
        except ValueError:
            price = math.nan
        if not 0.0 <= price < 1e9 or not own.isprintable() or len(own) > 12:
            wanted = 'must be the price of a kg, such as "45 EUR" or "music wire = 12 EUR"'
            faults.append(Fault("--price", f"{wanted}; got {quoted(text)}"))
        elif currency and own and own != currency:
            faults.append(Fault("--price", f"must be in one currency, {currency}; got {quoted(text)}"))
        else:
            prices[material], currency = price, own or currency
    return prices, currency
