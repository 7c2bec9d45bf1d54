"""What to pull next: how many pieces of what would give a group the number that it lacks."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal, TypeAlias

from helix.mechanics import limits
from helix.statistics.proportions import clean_pieces_needed
from helix.studies.pulls.pull_controls import ControlWire, size_of
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


def next_pulls(group: Group, straight: ControlWire) -> tuple[NextPulls, ...]:
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
    if group.ends.differ:
        wanted.append(replace(same, code="ends-alike"))
    clean = clean_pieces_needed(NINE_IN_TEN, 0.95) - group.ended
    if group.ended and not group.unwound and few <= 0 < clean:
        wanted.append(replace(same, code="none-may-unwind", pieces=clean))
    return tuple(wanted)


def _one(group: Group, name: str) -> tuple[float | None, bool]:
    """A count of the pieces, and whether it is the same for all of them."""
    counts = {getattr(piece, name) for piece in group.pieces}
    return next(iter(counts)), len(counts) == 1


def of_bench(
    groups: Sequence[Group], wires: Mapping[str, ControlWire], faulty: Collection[str] = ()
) -> tuple[NextPulls, ...]:
    """What to pull next for a bench: each group's most wanted first, straight wire of a coil once.

    wires: straight wire of each group of joints, by its name. More turns in place of a group are not asked for where the
    bench has pieces of that wire with as many turns and wraps, of which none unwound. faulty: names of groups that practice
    calls a fault, of which no more are asked for.
    """
    by_group = [
        [
            pulls
            for pulls in next_pulls(group, wires[group.name])
            if (pulls.code != "more-turns" or not any(_settles(other, group) for other in groups))
            and (pulls.code == "straight-wire" or group.name not in faulty)
        ]
        for group in groups
    ]
    deepest = max((len(wanted) for wanted in by_group), default=0)
    every = [wanted[place] for place in range(deepest) for wanted in by_group if place < len(wanted)]
    once = {(pulls.code, pulls.coil if pulls.code == "straight-wire" else pulls.group): pulls for pulls in every[::-1]}
    return tuple(pulls for pulls in every if pulls in once.values())


def _settles(other: Group, group: Group) -> bool:
    """Whether another group shows that more of the same kind holds."""
    if other.unwound or other.ended < limits.ENOUGH_PIECES or size_of(other.pieces[0]) != size_of(group.pieces[0]):
        return False
    return all(
        (have := _one(other, name))[1] and (had := _one(group, name))[1] and have[0] is not None and had[0] is not None
        and have[0] >= had[0]
        for name in ("turns", "wraps")
    )  # fmt: skip
