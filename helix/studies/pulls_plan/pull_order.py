"""The order of tests: every recipe in every block of batch and maker, shuffled inside each block."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Final

import numpy as np

from helix.findings import Finding, notice
from helix.values import hidden, result

STAIR_STEPS: Final = 15


@result
class Treatment:
    """Pieces made alike: name, recipe file, counts, size and lay as text; control: straight wire."""

    name: str
    recipe: str = ""
    turns: float | None = None
    wraps: float | None = None
    size: str = ""
    lay: str = ""
    joints: int = 2


@result
class OrderRow:
    """One piece in the order of testing."""

    also: ClassVar = (
        "group=treatment.name", "turns=treatment.turns", "wraps=treatment.wraps", "joints=treatment.joints",
    )  # fmt: skip
    id: str
    treatment: Treatment = hidden()
    block: int
    batch: str
    maker: str
    remark: Finding | None = None


def shuffled_order(
    treatments: Sequence[Treatment],
    each: int,
    controls: int,
    batches: Sequence[str],
    makers: Sequence[str],
    seed: int,
    control: Treatment,
    before: Sequence[OrderRow] = (),
) -> tuple[OrderRow, ...]:
    """`each` pieces of each treatment over all blocks as evenly as can be, `controls` of each batch; seeded.

    before: what is tested earlier that day; numbers of pieces and blocks go on from there. A block is one batch with one
    maker. Pieces left over after an even share go to the blocks in turn, each
    treatment starting at another block. Controls of a batch stand in that batch's blocks.
    """
    rng = np.random.default_rng(seed)
    blocks = [(batch, maker) for batch in batches for maker in makers]
    inside: list[list[Treatment]] = [[] for _ in blocks]
    for place, treatment in enumerate(treatments):
        for k in range(each):
            inside[(k + place) % len(blocks)].append(treatment)
    for batch in range(len(batches)):
        mine = [k for k in range(len(blocks)) if blocks[k][0] == batches[batch]]
        for k in range(controls):
            inside[mine[k % len(mine)]].append(control)
    rows: list[OrderRow] = []
    last = max((row.block for row in before), default=0)
    for place, block in enumerate(rng.permutation(len(blocks)).tolist(), start=last + 1):
        for pick in rng.permutation(len(inside[block])).tolist():
            batch, maker = blocks[block]
            rows.append(
                OrderRow(
                    id=f"{len(before) + len(rows) + 1:03d}",
                    treatment=inside[block][pick],
                    block=place,
                    batch=batch,
                    maker=maker,
                )
            )
    return tuple(rows)


def staircase_order(
    turns: tuple[float, float],
    wraps: tuple[float, float],
    base: Treatment,
    seed: int,
    batches: Sequence[str],
    makers: Sequence[str],
    steps: int = STAIR_STEPS,
) -> tuple[OrderRow, ...]:
    """Two staircases, one on turns and one on wraps, taken in random order; the counts come as the tests go.

    Each starts at the most; after a piece that held one fewer, after one that unwound one more. The other
    count stays at its most. Source: W. J. Dixon & A. M. Mood, J. Amer. Statist. Assoc. 43 (1948) 109 [mem].
    """
    rng = np.random.default_rng(seed)
    which = ["turns"] * steps + ["wraps"] * steps
    done = {"turns": 0, "wraps": 0}
    rows: list[OrderRow] = []
    for pick in rng.permutation(2 * steps).tolist():
        name = which[pick]
        done[name] += 1
        first = done[name] == 1
        start = {"turns": turns[1], "wraps": wraps[1]}
        remark = notice("stair-start", count=name, start=start[name]) if first else notice("stair-step", count=name)
        treatment = Treatment(
            name=f"{name} staircase",
            recipe=base.recipe,
            turns=turns[1] if name == "wraps" or first else None,
            wraps=wraps[1] if name == "turns" or first else None,
            size=base.size,
            lay=base.lay,
            joints=base.joints,
        )
        count = len(rows)
        batch, maker = batches[count % len(batches)], makers[(count // len(batches)) % len(makers)]
        rows.append(
            OrderRow(id=f"{count + 1:03d}", treatment=treatment, block=1, batch=batch, maker=maker, remark=remark)
        )
    return tuple(rows)
