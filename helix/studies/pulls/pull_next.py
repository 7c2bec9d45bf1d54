"""What to pull next: how many pieces of what would give a group the number that it lacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal, TypeAlias

from helix.mechanics import limits
from helix.statistics.proportions import clean_pieces_needed
from helix.studies.pulls.pull_controls import ControlWire
from helix.studies.pulls.pull_ends import Ends
from helix.studies.pulls.pull_groups import Group
from helix.values import result

STRAIGHT_PIECES: Final = 5  # of each coil (common practice, no source)
NINE_IN_TEN: Final = 0.90

Wanted: TypeAlias = Literal[
    "mend-grips", "more-turns", "more-of-the-same", "straight-wire", "ends-alike", "none-may-unwind"
]


@result
class NextPulls:
    """How many pieces of what. group: of which group it is said; turns, wraps: of the pieces to make (None: as they are, or
    not known); coil: of straight wire."""

    group: str
    code: Wanted
    pieces: int
    turns: float | None = None
    wraps: float | None = None
    coil: str = ""


def next_pulls(group: Group, straight: ControlWire, ends: Ends) -> tuple[NextPulls, ...]:
    """What to pull next for one group of joints, the most wanted first."""
    (turns, one_turns), (wraps, one_wraps) = (_one(group, name) for name in ("turns", "wraps"))
    same = NextPulls(
        group=group.name,
        code="more-of-the-same",
        pieces=limits.ENOUGH_PIECES,
        turns=turns if one_turns else None,
        wraps=wraps if one_wraps else None,
    )
    wanted: list[NextPulls] = []
    few = limits.ENOUGH_PIECES - group.ended
    if not group.ended:
        wanted.append(replace(same, code="mend-grips"))
    elif group.unwound:
        wanted.append(replace(same, code="more-turns", turns=None if same.turns is None else same.turns + 1.0))
    elif few > 0:
        wanted.append(replace(same, pieces=few))
    wanted += [
        NextPulls(group=group.name, code="straight-wire", pieces=STRAIGHT_PIECES, coil=coil)
        for coil in straight.missing
    ]
    if ends.differ:
        wanted.append(replace(same, code="ends-alike"))
    clean = clean_pieces_needed(NINE_IN_TEN, 0.95) - group.ended
    if group.ended and not group.unwound and few <= 0 < clean:
        wanted.append(replace(same, code="none-may-unwind", pieces=clean))
    return tuple(wanted)


def _one(group: Group, name: str) -> tuple[float | None, bool]:
    """A count of the pieces, and whether it is the same for all of them."""
    counts = {getattr(piece, name) for piece in group.pieces}
    return next(iter(counts)), len(counts) == 1


def of_all(found: Sequence[tuple[NextPulls, ...]]) -> tuple[NextPulls, ...]:
    """What to pull next for a bench: each group's most wanted first, straight wire of a coil once."""
    deepest = max((len(wanted) for wanted in found), default=0)
    every = [wanted[place] for place in range(deepest) for wanted in found if place < len(wanted)]
    once = {(pulls.code, pulls.coil if pulls.code == "straight-wire" else pulls.group): pulls for pulls in every[::-1]}
    return tuple(pulls for pulls in every if pulls in once.values())
