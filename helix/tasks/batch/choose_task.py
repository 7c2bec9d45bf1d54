"""Choose: which wire will do for a load, the lightest first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from helix.data.materials import find_material
from helix.errors import quoted
from helix.mechanics import limits
from helix.output.batch.choose_table import choices_document
from helix.output.report.record import record
from helix.studies.batch.choosing import ROWS, Choices, OfPieces, Requirements, choose, usual_joint, with_wire
from helix.studies.hold.evidence.own_pulls import carried
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.pair.pair_hold import one_wire_of
from helix.studies.judge import found_by_own
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE_FILE, Kind, Option, quantity, units
from helix.tasks.task import Given, Task

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.hold.hold_result import HoldResult


def prices(texts: Sequence[str], recipe: Recipe | None = None) -> tuple[dict[str, float], str]:
    """Prices of a kg by material ("" for all others), and their currency.

    >>> prices(["45 EUR", "music wire = 12 EUR"])
    ({'': 45.0, 'music wire': 12.0}, 'EUR')
    """
    prices_per_m: dict[str, float] = {}
    currency = ""
    messages = []
    for text in texts:
        name, _, amount = text.rpartition("=")
        number, _, own = amount.strip().partition(" ")
        own = own.strip()
        try:
            material = find_material(name).name if name.strip() else ""
        except ValueError as error:
            messages.append(str(error))
            continue
        try:
            price = float(number)
        except ValueError:
            price = math.nan
        if not 0.0 <= price < 1e9 or not own.isprintable() or len(own) > 12:
            messages.append(f'must be the price of a kg, such as "45 EUR" or "music wire = 12 EUR"; got {quoted(text)}')
        elif currency and own and own != currency:
            messages.append(f"must be in one currency, {currency}; got {quoted(text)}")
        else:
            prices_per_m[material], currency = price, own or currency
    if messages:
        raise ValueError(*messages)
    return prices_per_m, currency


def wish_of(given: Given) -> Requirements:
    """What a wire is chosen for."""
    by_material, currency = given.price or ({}, "")
    return Requirements(
        load_n=given.load,
        margin=limits.LOAD_MARGIN if given.margin is None else given.margin,
        pin_mm=given.pin,
        piece_mm=given.piece,
        family=given.family,
        material=given.material,
        prices=by_material,
        currency=currency,
        rows=math.floor(given.rows),
    )


def _chosen(given: Given) -> Choices:
    base = given.recipe or usual_joint()
    if base.wire.count > 1:  # each wire of the tables is looked at alone, then as one of two
        base = one_wire_of(base)

    def estimated(recipe: Recipe) -> HoldResult:
        """What it holds, with what own pieces say of it, in their wire or in another."""
        return hold_with(recipe, setting_of(recipe), carried(given.pulls, base, recipe))

    found = choose(
        wish_of(given),
        lambda wire, pin_mm: with_wire(base, wire, pin_mm),
        given.on_output,
        estimated if given.pulls else None,
    )
    by_own = () if given.recipe is None else found_by_own(given.recipe, given.pulls) or ()
    against = tuple(each for each in by_own if each.code in ("own-unwound", "like-unwound"))
    return replace(found, of_pieces=OfPieces(recipe=given.recipe, findings=against)) if against else found


TASK = Task(
    options=(
        Option(
            "load",
            "load to hold, with its unit",
            quantity("force", most=1e6),
            required=True,
            example="600 N",
            label="Load to hold",
        ),
        Option(
            "margin",
            "times the load that the joint must hold",
            quantity("none", least=1.0, most=100.0),
            usual=f"{limits.LOAD_MARGIN:g}",
            label="Margin",
        ),
        Option("pin", "what sits in the eye", quantity("length", most=1e4), usual="8 wire diameters", label="Pin"),
        Option(
            "piece",
            "length of a piece between its pins, for its wire and its cost",
            quantity("length", most=1e6),
            "1 m",
            label="Length of a piece",
        ),
        Option("recipe", "whose turns, lay and wraps to take", RECIPE_FILE, usual="5, 4 d and 5"),
        Option("family", "gauge family, MWG or AWG", usual="both", letters="NAME", label="Gauge"),
        Option("material", "one material", usual="all", letters="NAME", label="Material"),
        Option(
            "price",
            'price of a kg of wire, "45 EUR", or of one material\'s, "music wire = 12 EUR"; may be repeated',
            Kind("text", prices, "PRICE"),
            many=True,
            label="Price of a kg",
            example="45 EUR",
        ),
        Option(
            "rows", "how many wires to show", quantity("none", least=1.0, most=100.0), f"{ROWS}", label="Wires to show"
        ),
        units(otherwise="those of the load"),
        PULLS,
    ),
    run=_chosen,
    document=choices_document,
    record=record,
    json="mm, N and kg",
)
