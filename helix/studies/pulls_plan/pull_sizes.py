"""How many pieces each question takes, in words."""

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
from helix.values import result


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
    """One question and the pieces it takes; None where no number of pieces can show it."""

    key: str
    question: str
    pieces: int | None
    says: str
    source: str


def size_rows(wanted: Wanted) -> tuple[SizeRow, ...]:
    """Pieces for each question; apart: difference over the mean of pieces, to be told apart.

    >>> [row.pieces for row in size_rows(Wanted())][:2]
    [29, 5]
    """
    e, t, sure = wanted.expected, wanted.efficiency, f"{100.0 * wanted.confidence:.0f} %"
    rows = [
        SizeRow(
            key="clean",
            question=f"show that at least {100.0 * t:.0f} % of all such pieces break rather than unwind",
            pieces=clean_pieces_needed(t, wanted.confidence),
            says=f"every one must break; with {sure} confidence; ten clean breaks show no more than "
            f"{100.0 * (1.0 - wanted.confidence) ** 0.1:.0f} %",
            source="binomial, exact (Clopper-Pearson [mem])",
        ),
        SizeRow(
            key="mean",
            question=f"show a mean of {100.0 * t:.0f} % of the control or more",
            pieces=_mean(wanted),
            says=f"jointed pieces, and as many controls; {100.0 * e:.0f} % expected, CV {100.0 * wanted.cv:.1f} % and "
            f"{100.0 * wanted.control_cv:.1f} %; {sure} confidence, {100.0 * wanted.power:.0f} % chance to succeed",
            source="noncentral t [mem]",
        ),
        SizeRow(
            key="each",
            question=f"show that 95 % of all such pieces reach {100.0 * t:.0f} % of the control's mean",
            pieces=pieces_to_show_share((e - t) / (e * wanted.cv), 0.95, wanted.confidence),
            says=f"if mean and SD come out as expected; tolerance bound 95/{100 * wanted.confidence:.0f}",
            source="noncentral t, NIST/SEMATECH e-Handbook 7.2.6.3 [pub]",
        ),
        SizeRow(
            key="margin",
            question=f"know the mean to within {100.0 * wanted.margin:.1f} %",
            pieces=pieces_for_margin(wanted.cv, wanted.margin),
            says="n = (1.96 SD/margin)^2, at 95 %",
            source="ASTM E122 [mem]",
        ),
    ]
    if wanted.apart is not None:
        rows.append(
            SizeRow(
                key="apart",
                question=f"tell two recipes apart that differ by {100.0 * wanted.apart:.1f} % of their load",
                pieces=pieces_to_tell_apart(wanted.apart / wanted.cv, wanted.power),
                says=f"of each; two-sided t test at 5 %, {100.0 * wanted.power:.0f} % chance to succeed",
                source="noncentral t; J. Cohen (1988) [mem]",
            )
        )
    if wanted.shares is not None:
        first, second = wanted.shares
        rows.append(
            SizeRow(
                key="shares",
                question=f"tell a recipe of which {100.0 * first:.0f} % unwind from one of which {100.0 * second:.0f} % do",
                pieces=pieces_for_shares(first, second, wanted.power),
                says=f"of each; Fisher's exact test at 5 %, {100.0 * wanted.power:.0f} % chance to succeed",
                source="summed over all outcomes",
            )
        )
    return tuple(rows)


def _mean(wanted: Wanted) -> int | None:
    e, t = wanted.expected, wanted.efficiency
    spread = math.hypot(e * wanted.cv, t * wanted.control_cv)
    return pieces_to_show_mean((e - t) / spread, wanted.confidence, wanted.power)
