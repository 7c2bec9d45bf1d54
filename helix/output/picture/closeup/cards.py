"""Words on white cards in a close-up: each as near to what it is about as it can be, off the wire and off each other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.label_places import cheapest
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, PAPER, SOFT, Area, Primitive, Stroke, Text

Box = tuple[float, float, float, float]
CanvasPoint = tuple[float, float]

_WHITE, _BLACK = "#ffffff", "#22262a"
_NEAR = 1.0  # heights of the font that a card may stand off its place without a line to it


@dataclass(frozen=True)
class Card:
    """Words wanted near a place; to: where a line from them ends, None where what is drawn says it already."""

    x: float
    y: float
    text: str
    size: float
    to: CanvasPoint | None = None


@dataclass
class Room:
    """A close-up with what lies in it.

    flat: points of the wire's centre line on the canvas (n, 2); half: half the wire's thickness there. top, bottom: how far
    the wire reaches beyond its throat. axis: height of the joint's axis. taken: where no card may stand.
    """

    box: Box
    f: float
    flat: NDArray[np.float64]
    half: float
    axis: float
    top: float
    bottom: float
    taken: list[Box] = field(default_factory=list)
    wanted: list[Card] = field(default_factory=list)

    def over(self, x0: float, x1: float) -> tuple[float, float]:
        """Highest and lowest edge of the wire over a stretch of the canvas; the axis where there is none."""
        there = self.flat[(self.flat[:, 0] > x0 - self.half) & (self.flat[:, 0] < x1 + self.half), 1]
        return (
            (float(there.min()) - self.half, float(there.max()) + self.half) if len(there) else (self.axis, self.axis)
        )

    def block(self, points: Iterable[CanvasPoint], room: float = 0.4) -> None:
        """Keep cards off a line."""
        for (ax, ay), (bx, by) in pairwise(points):
            for part in np.linspace(0.0, 1.0, 2 + int(np.hypot(bx - ax, by - ay) / self.f)):
                x, y, off = ax + part * (bx - ax), ay + part * (by - ay), room * self.f
                self.taken.append((x - off, y - off, x + off, y + off))

    def want(self, x: float, y: float, text: str, to: CanvasPoint | None = None, size: float = 1.0) -> None:
        """Ask for a card."""
        if text:
            self.wanted.append(Card(x, y, text, size * self.f, to))

    def cards(self) -> list[Primitive]:
        """All that were asked for, each in its place, with a line to what it is about where it stands off that."""
        lines: list[Primitive] = []
        shapes: list[Primitive] = []
        for card in self.wanted:
            x, y = self._place(card)
            wide, high = card_size(card.text, card.size)
            self.taken.append((x - wide, y - high, x + wide, y + high))
            if card.to is not None:
                start = min(max(card.to[0], x - wide), x + wide), min(max(card.to[1], y - high), y + high)
                if np.hypot(start[0] - card.to[0], start[1] - card.to[1]) > _NEAR * self.f:
                    lines += over([(start, card.to)], 0.14 * self.f, "card leader")
                    self.block((start, card.to), 0.2)
            outline = ((x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high))
            shapes.append(Area(outline, _WHITE, SOFT, 0.09 * card.size, "card"))
            shapes.append(Text(x, y + 0.36 * card.size, card.text, card.size, _BLACK, True, "middle"))
        return [*lines, *shapes]

    def _place(self, card: Card) -> CanvasPoint:
        """The middle of a card: near where it is wanted, in the box, over nothing that is taken and as little wire as can be."""
        wide, high = card_size(card.text, card.size)
        steps = 0.55 * card.size * np.arange(-24, 25)
        x, y = (grid.ravel() for grid in np.meshgrid(card.x + steps, card.y + steps))
        room = 0.35 * card.size
        x = np.clip(x, self.box[0] + wide + room, max(self.box[2] - wide - room, self.box[0] + wide + room))
        y = np.clip(y, self.box[1] + high + room, max(self.box[3] - high - room, self.box[1] + high + room))
        cost = np.hypot(x - card.x, y - card.y) / card.size
        for x0, y0, x1, y1 in self.taken:
            hit = (x - wide < x1) & (x0 < x + wide) & (y - high < y1) & (y0 < y + high)
            cost = cost + np.where(hit, 1e3, 0.0)
        near = self.flat[:: max(len(self.flat) // 300, 1)]

        def hidden(rows: NDArray[np.intp]) -> NDArray[np.float64]:
            across, along = (np.abs(line[rows, None] - near[:, k]) for k, line in enumerate((x, y)))
            deep = np.minimum(wide + self.half - across, high + self.half - along)
            covered: NDArray[np.float64] = 8.0 / card.size * deep.max(axis=1, initial=0.0)
            return covered

        best = cheapest(cost, hidden)
        return float(x[best]), float(y[best])


def card_size(text: str, size: float) -> CanvasPoint:
    """Half the width and half the height of a card."""
    return text_width(text, size, bold=True) / 2.0 + 0.35 * size, 0.8 * size


def over(lines: Iterable[tuple[CanvasPoint, ...]], width: float, role: str, colour: str = INK) -> list[Primitive]:
    """Lines with paper beside them, so that they show on any wire."""
    lines = list(lines)
    return [
        *(Stroke(line, width + 0.3 * max(width, 0.9), PAPER, "halo") for line in lines),
        *(Stroke(line, width, colour, role) for line in lines),
    ]
