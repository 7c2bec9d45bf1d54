"""How many pieces each question takes."""

from __future__ import annotations

import math

from helix.statistics.proportions import clean_pieces_needed
from helix.statistics.sample_size import (
    pieces_for_margin,
    pieces_for_shares,
    pieces_to_show_mean,
    pieces_to_show_share,
    pieces_to_tell_apart,
)
from helix.values import hidden, result


@result
class Wanted:
    """What is to be shown. Efficiencies over the control; cv: SD of pieces over their mean; shares of unwinding."""

    efficiency: float = 0.90
    confidence: float = 0.95
    expected: float = 0.97
    cv: float = 0.04
    control_cv: float = 0.015
    power: float = 0.90
    apart: float | None = None
    margin: float = 0.02
    shares: tuple[float, float] | None = None


@result
class SizeRow:
    """One question by its key, the pieces it takes (None where no number of pieces can show it), and what was wanted."""

    key: str
    pieces: int | None
    wanted: Wanted = hidden()


def size_rows(wanted: Wanted) -> tuple[SizeRow, ...]:
    """Pieces for each question; apart: difference over the mean of pieces, to be told apart.

    >>> [row.pieces for row in size_rows(Wanted())][:2]
    [29, 5]
    """
    e, t = wanted.expected, wanted.efficiency
    pieces = {
        "clean": clean_pieces_needed(t, wanted.confidence),
        "mean": _mean(wanted),
        "each": pieces_to_show_share((e - t) / (e * wanted.cv), 0.95, wanted.confidence, wanted.power),
        "margin": pieces_for_margin(wanted.cv, wanted.margin),
    }
    if wanted.apart is not None:
        pieces["apart"] = pieces_to_tell_apart(wanted.apart / wanted.cv, wanted.power)
    if wanted.shares is not None:
        pieces["shares"] = pieces_for_shares(*wanted.shares, wanted.power)
    return tuple(SizeRow(key=key, pieces=count, wanted=wanted) for key, count in pieces.items())


def _mean(wanted: Wanted) -> int | None:
    e, t = wanted.expected, wanted.efficiency
    spread = math.hypot(e * wanted.cv, t * wanted.control_cv)
    return pieces_to_show_mean((e - t) / spread, wanted.confidence, wanted.power)
