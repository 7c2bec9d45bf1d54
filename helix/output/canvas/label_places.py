"""Where labels go: in rows beside the wire, none over another, their leader lines never crossing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.lettering import text_width, wrapped
from helix.output.canvas.primitives import INK, SOFT, Text
from helix.output.picture.view import View
from helix.output.shape.labels import Callout

Rectangle = tuple[float, float, float, float]

STEP = 0.6
"""Distance of nested leader lines, in heights of the font."""
_TRIED = 32  # places that are looked at together


@dataclass
class LabelBlock:
    """A callout with the room it takes and, once placed, where it stands."""

    call: Callout
    lines: list[Text]
    width: float
    height: float
    x: float = 0.0
    y: float = 0.0
    anchor: tuple[float, float] = (0.0, 0.0)
    head: float = 0.0  # where the leader line leaves the block
    level: int = 0  # how many lines it must pass outside of
    lean: float = 0.0  # 0: its middle is wanted at its anchor; 1: its left edge; -1: its right edge

    def run(self) -> tuple[float, float]:
        """Stretch of the canvas that the leader line runs along, empty when it goes straight."""
        return min(self.head, self.anchor[0]), max(self.head, self.anchor[0])


class Silhouette:
    """Highest and lowest edge of the wire over a stretch of the canvas."""

    def __init__(self, flat: NDArray[np.float64], half: float) -> None:
        self.flat, self.half = flat, half
        self.top, self.bottom = float(flat[:, 1].min()) - half, float(flat[:, 1].max()) + half

    def over(self, x0: float, x1: float) -> tuple[float, float]:
        inside = (self.flat[:, 0] > x0 - self.half) & (self.flat[:, 0] < x1 + self.half)
        if not np.any(inside):
            middle = (self.top + self.bottom) / 2
            return middle, middle
        y = self.flat[inside, 1]
        return float(y.min()) - self.half, float(y.max()) + self.half


def sized(calls: Sequence[Callout], f: float, width: float) -> list[LabelBlock]:
    """Break each callout into lines of text at (0, 0) downwards, so narrow that all fit beside each other."""
    blocks = []
    widest = max(min(24 * f, (width - 4.4 * f) / max(len(calls), 1) - 2.6 * f), 7 * f)
    for call in calls:
        indent = 1.8 * f if call.severity is not None else 0.0
        head = wrapped(call.title, 1.05 * f, widest - indent, bold=True, most=6)
        body = [row for text in call.lines for row in wrapped(text, f, widest - indent, most=6)]
        lines, y = [], 0.0
        for text in head:
            y += 1.3 * f
            lines.append(Text(indent, y, text, 1.05 * f, INK, True))
        for text in body:
            y += 1.3 * f
            lines.append(Text(indent, y, text, f, INK if call.severity else SOFT))
        across = max((text_width(line.text, line.size, line.bold) for line in lines), default=0.0)
        blocks.append(LabelBlock(call, lines, across + indent, y + 0.3 * f))
    return blocks


def place_label(
    blocks: list[LabelBlock],
    view: View,
    edge: Silhouette,
    f: float,
    limits: tuple[float, float],
    *,
    up: bool,
    off: float = 1.2,
) -> None:
    """Give each block its place: beside its anchor, clear of its neighbours and so far off the wire, in heights of the font."""
    for block in blocks:
        flat, _ = view.project(block.call.point_mm)
        block.anchor = (float(flat[0, 0]), float(flat[0, 1]))
    blocks.sort(key=lambda block: block.anchor[0])
    gap = 2.0 * f
    left = spread(
        [block.anchor[0] + block.lean * (block.width / 2 - 0.8 * f) for block in blocks],
        [block.width + gap for block in blocks],
        limits[0] - gap / 2,
        limits[1] + gap / 2,
    )
    for block, x in zip(blocks, left, strict=True):
        block.x = x + gap / 2
        inset = min(0.8 * f if up else 0.14 * f, block.width / 2)
        block.head = min(max(block.anchor[0], block.x + inset), block.x + block.width - inset)
    for group in _groups(blocks, gap):
        reach = (
            min(min(block.x, block.anchor[0]) for block in group) - 0.5 * f,
            max(max(block.x + block.width, block.anchor[0]) for block in group) + 0.5 * f,
        )
        high, low = edge.over(*reach)
        room = off * f + STEP * f * max(block.level for block in group)
        for block in group:
            ring = 0.0 if not block.call.ring else 1.5 * f
            high, low = min(high, block.anchor[1] - edge.half), max(low, block.anchor[1] + edge.half + ring)
        for block in group:
            block.y = high - room - 0.5 * f - block.height if up else low + room + 0.7 * f


def _groups(blocks: list[LabelBlock], gap: float) -> list[list[LabelBlock]]:
    """Neighbours whose leader lines run past each other, which must stand in one row; sets the levels.

    Lines that lean the same way are nested: the farther a line runs, the nearer to the wire it runs, so
    that no two cross.
    """
    groups: list[list[LabelBlock]] = []
    for block in blocks:
        low, _ = block.run()
        crossed = False
        if groups:
            before = groups[-1]
            crossed = low < max(b.x + b.width for b in before) + gap / 2 and low < block.head
            crossed = crossed or max(b.run()[1] for b in before) > block.x - gap / 2
        if crossed:
            groups[-1].append(block)
        else:
            groups.append([block])
    for group in groups:
        for inner, outer in pairwise(group[::-1]):  # those that lean right
            if outer.anchor[0] > outer.head and outer.run()[1] > inner.head - gap:
                outer.level = inner.level + 1
        for inner, outer in pairwise(group):  # those that lean left
            if outer.anchor[0] < outer.head and outer.run()[0] < inner.head + gap:
                outer.level = max(outer.level, inner.level + 1)
    return groups


def centring(parts: list[LabelBlock], bends: list[LabelBlock], edge: Silhouette, top: float, bottom: float) -> float:
    """How far down to move joint and labels together so that they stand in the middle of top to bottom."""
    high = min([edge.top] + [block.y for block in parts])
    low = max([edge.bottom] + [block.y + block.height for block in bends])
    return (top + bottom) / 2 - (high + low) / 2


def spread(wanted: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Left edges of boxes in a row: nearest to the wanted middles (least squares), in order, not overlapping.

    The boxes are taken in the order given, which should be that of the middles. Boxes that do not fit
    between low and high run past high.

    >>> spread([5, 5], [4, 4], 0, 20)
    [1.0, 5.0]
    """
    if not widths:
        return []
    before = np.concatenate(([0.0], np.cumsum(widths)[:-1]))
    target = [middle - w / 2 - b for middle, w, b in zip(wanted, widths, before, strict=True)]
    groups: list[list[float]] = []
    for value in target:
        groups.append([value, 1.0])
        while len(groups) > 1 and groups[-2][0] >= groups[-1][0]:
            last = groups.pop()
            count = groups[-1][1] + last[1]
            groups[-1] = [(groups[-1][0] * groups[-1][1] + last[0] * last[1]) / count, count]
    level = [value for value, count in groups for _ in range(int(count))]
    room = max(high - float(np.sum(widths)), low)
    return [float(min(max(value, low), room) + b) for value, b in zip(level, before, strict=True)]


def beside(
    at: tuple[float, float],
    wire: Silhouette,
    size: tuple[float, float],
    box: Rectangle,
    taken: Sequence[Rectangle],
    f: float,
    lines: Sequence[Rectangle] = (),
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a mark of a size (half its width, half its height) stands beside a place on the wire, and its leader's end.

    Clear of the wire, of the boxes that are taken and of the edges of a box; as near as can be, its leader
    crossing as little wire as can be and ending where it meets the wire. lines: boxes of thin lines, which a mark keeps off and
    a leader may cross where there is no other way.
    """
    turns = np.radians(np.arange(0.0, 360.0, 15.0))
    reach = wire.half + max(size) + 0.5 * f + 0.8 * f * np.arange(14)
    x = (at[0] + reach[:, None] * np.cos(turns)).ravel()
    y = (at[1] + reach[:, None] * np.sin(turns)).ravel()
    near = wire.flat[np.hypot(*(wire.flat - at).T) < float(reach[-1]) + wire.half + 2 * max(size)][::2]
    over = np.maximum(
        np.abs(x[:, None] - near[:, 0]) - size[0], np.abs(y[:, None] - near[:, 1]) - size[1]
    ).min(axis=1, initial=np.inf) - wire.half  # fmt: skip
    free = over > 0.3 * f
    free &= (x - size[0] >= box[0]) & (x + size[0] <= box[2]) & (y - size[1] >= box[1]) & (y + size[1] <= box[3])
    for x0, y0, x1, y1 in (*taken, *lines):
        free &= (x + size[0] + 0.3 * f < x0) | (x - size[0] - 0.3 * f > x1) | (
            y + size[1] + 0.3 * f < y0) | (y - size[1] - 0.3 * f > y1)  # fmt: skip
    cost = np.hypot(x - at[0], y - at[1]) + np.where(
        y < at[1] + 0.5 * size[1], 6.0 * f, 0.0
    )  # below, where there is room
    bars = [*((box, 1e3) for box in taken), *((box, 5.0 * f) for box in lines)]
    share = np.linspace(0.0, 1.0, 25)

    def ways_to(rows: NDArray[np.intp]) -> NDArray[np.float64]:
        return np.stack([at[k] + share * (line[rows, None] - at[k]) for k, line in enumerate((x, y))], axis=-1)

    def within(ways: NDArray[np.float64]) -> NDArray[np.bool_]:
        square = (ways[..., 0, None] - near[:, 0]) ** 2
        square += (ways[..., 1, None] - near[:, 1]) ** 2
        inside: NDArray[np.bool_] = square.min(axis=2, initial=np.inf) < wire.half**2
        return inside

    def of_leader(rows: NDArray[np.intp]) -> NDArray[np.float64]:
        ways = ways_to(rows)
        price: NDArray[np.float64] = 8.0 * within(ways).mean(axis=1) * np.hypot(x[rows] - at[0], y[rows] - at[1])
        for (x0, y0, x1, y1), toll in bars:  # nor does its leader run through them
            through = (ways[..., 0] > x0) & (ways[..., 0] < x1) & (ways[..., 1] > y0) & (ways[..., 1] < y1)
            price += np.where(through.any(axis=1), toll, 0.0)
        return price

    best = cheapest(np.where(free, cost, 1e6 + cost - 10.0 * over), of_leader)
    way = ways_to(np.array([best]))
    inside, way = within(way)[0], way[0]
    near_it = np.hypot(*(way - at).T) < 4.0 * wire.half  # not where it leaves a barrel that it runs along
    met = np.flatnonzero(inside & near_it)
    end = way[int(met[-1])] if len(met) else way[0]
    return (float(x[best]), float(y[best])), (float(end[0]), float(end[1]))


def cheapest(cost: NDArray[np.float64], more: Callable[[NDArray[np.intp]], NDArray[np.float64]]) -> int:
    """Row whose cost and what comes on top of it, 0 or more, are least together; the second is worked out where it can matter.

    >>> cheapest(np.array([3.0, 1.0, 2.0]), lambda rows: np.where(rows == 1, 5.0, 0.0))
    2
    """
    order = np.argsort(cost, kind="stable")
    best, lowest = int(order[0]), np.inf
    for first in range(0, len(order), _TRIED):
        rows = order[first : first + _TRIED]
        if cost[rows[0]] > lowest:
            break
        whole = cost[rows] + more(rows)
        if whole.min() < lowest:
            best, lowest = int(rows[np.argmin(whole)]), float(whole.min())
    return best
