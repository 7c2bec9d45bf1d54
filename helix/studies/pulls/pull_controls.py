"""Straight wire for a group of joints: of its own size and coil, coils weighed as the group's pieces are spread over them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import student_confidence
from helix.studies.pulls.pull_joints import Estimate, Joint, wire_of
from helix.values import result


@result
class ControlWire:
    """Straight wire to set a group over. pieces: how many; coils: their names; missing: coils of the group without any.
    others: straight pieces of other wire that do not count."""

    pieces: int = 0
    others: int = 0
    coils: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    wire: Joint | None = None


def straight_of(pieces: Sequence[PullPiece], controls: Sequence[PullPiece]) -> list[PullPiece]:
    """The straight pieces of the same size and of a coil that these pieces are of."""
    sizes, coils = {size_of(piece) for piece in pieces}, {piece.batch for piece in pieces}
    return [control for control in controls if size_of(control) in sizes and control.batch in coils]


def size_of(piece: PullPiece) -> float | None:
    """The diameter that tells sizes apart, to 0.1 um; None where the row states none."""
    return None if piece.diameter_mm is None else round(piece.diameter_mm, 4)


def control_wire(
    pieces: Sequence[PullPiece], controls: Sequence[PullPiece], known: dict[tuple[int, ...], Joint] | None = None
) -> ControlWire:
    """Mean of the straight wire of a group's size, coil by coil, each counting as many times as the group has pieces of it.

    There is no mean unless every coil of the group has straight wire that says one. known: of straight wire that other
    groups were set over, by its rows; added to.
    """
    mine = straight_of(pieces, controls)
    counts = Counter(piece.batch for piece in pieces)
    missing = tuple(sorted(coil for coil in counts if all(control.batch != coil for control in mine)))
    coils = tuple(sorted(coil for coil in counts if coil not in missing))
    unweighed = ControlWire(pieces=len(mine), others=len(controls) - len(mine), coils=coils, missing=missing)
    if missing or not mine:
        return unweighed
    by_coil = {coil: [control for control in mine if control.batch == coil] for coil in coils}
    kept = {} if known is None else known
    rows = {coil: tuple(piece.row for piece in straight) for coil, straight in by_coil.items()}
    wires = {coil: kept.get(rows[coil]) or wire_of(straight) for coil, straight in by_coil.items()}
    kept.update((rows[coil], wire) for coil, wire in wires.items())
    if any(wire.mean_n.value is None for wire in wires.values()):
        return unweighed
    first = wires[coils[0]]
    return replace(unweighed, wire=first if len(coils) == 1 else _weighed(wires, by_coil, counts, first))


def _weighed(wires: dict[str, Joint], by_coil: dict[str, list[PullPiece]], counts: Counter[str], first: Joint) -> Joint:
    """Weighted mean over coils; its limits from each coil's own scatter (Welch-Satterthwaite), none between coils."""
    total = sum(counts.values())
    mean = variance = freedom = 0.0
    limited = True
    for coil, wire in wires.items():
        weight = counts[coil] / total
        mean += weight * (wire.mean_n.value or 0.0)
        if wire.confidence is None:
            limited = False
            continue
        low, high = wire.confidence.interval(0.6827)  # one standard error to each side
        part = (weight * 0.5 * (high - low)) ** 2
        variance += part
        freedom += part**2 / max(len(by_coil[coil]) - 1, 1)
    about = student_confidence(mean, math.sqrt(variance), variance**2 / freedom) if limited and variance > 0.0 else None
    limits = about.interval() if about is not None else (None, None)
    return replace(first, mean_n=Estimate.of(mean, *limits), confidence=about, scale_confidence=None)
