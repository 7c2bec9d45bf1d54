"""What a wire is chosen for, from text: load, margin, pin, length of a piece, prices."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from helix.errors import ValidationIssue, quoted
from helix.mechanics import limits
from helix.studies.option_values import FaultList, quantity

if TYPE_CHECKING:
    from helix.studies.batch.choosing import Wish


def wish_asked(
    faults: FaultList,
    *,
    load: str | None,
    margin: str | None = None,
    pin: str | None = None,
    piece: str | None = None,
    family: str | None = None,
    material: str | None = None,
    price: Sequence[str] = (),
    rows: str | None = None,
) -> Wish:
    """The wish; every fault is added to the others, and a wish with faults is not to be used."""
    from helix.studies.batch.choosing import ROWS, Wish

    load_n = quantity("--load", load, "force", 1e6, faults)
    pin_mm = quantity("--pin", pin, "length", 1e4, faults)
    piece_mm = quantity("--piece", piece, "length", 1e6, faults)
    times = quantity("--margin", margin, "none", 100.0, faults, least=1.0)
    shown = quantity("--rows", rows, "none", 100.0, faults, least=1.0)
    prices, currency = prices_asked(price, faults)
    return Wish(
        load_n=load_n or 0.0,
        margin=limits.LOAD_MARGIN if times is None else times,
        pin_mm=pin_mm,
        piece_mm=1000.0 if piece_mm is None else piece_mm,
        family=family,
        material=material,
        prices=prices,
        currency=currency,
        rows=ROWS if shown is None else math.floor(shown),
    )


def prices_asked(texts: Sequence[str], faults: FaultList) -> tuple[dict[str, float], str]:
    """Prices of a kg by material ("" for all others), and their currency.

    >>> prices_asked(["45 EUR", "music wire = 12 EUR"], [])
    ({'': 45.0, 'music wire': 12.0}, 'EUR')
    """
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
            faults.append(ValidationIssue("--price", str(error)))
            continue
        try:
            price = float(number)
        except ValueError:
            price = math.nan
        if not 0.0 <= price < 1e9 or not own.isprintable() or len(own) > 12:
            wanted = 'must be the price of a kg, such as "45 EUR" or "music wire = 12 EUR"'
            faults.append(ValidationIssue("--price", f"{wanted}; got {quoted(text)}"))
        elif currency and own and own != currency:
            faults.append(ValidationIssue("--price", f"must be in one currency, {currency}; got {quoted(text)}"))
        else:
            prices[material], currency = price, own or currency
    return prices, currency
