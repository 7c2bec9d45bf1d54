"""What the sheet for the bench is made of: blocks that stay together, of text, lines and areas; mm on paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from helix.output.canvas.lettering import wrapped
from helix.output.canvas.primitives import INK, SOFT, Area, Primitive, Stroke, Text, rectangle

PAGE_MM = (210.0, 297.0)
EDGE = 13.0
RIGHT = PAGE_MM[0] - EDGE
WIDE = RIGHT - EDGE
MM_PER_PT = 25.4 / 72.0
LINE = 0.21
"""Width of a line round an area [mm]."""


@dataclass(frozen=True)
class SheetBlock:
    """A part of the sheet that stays together: its height, and its shapes in mm from the page's left, its own top."""

    height: float
    shapes: tuple[Primitive, ...]
    heading: bool = False


def title_block(text: str, note: str) -> SheetBlock:
    """A heading over a line, a note at its right."""
    shapes = (
        words(EDGE, 5.5, text, 11, bold=True),
        words(RIGHT, 5.5, note, 7.5, SOFT, anchor="end"),
        Stroke(((EDGE, 7.2), (RIGHT, 7.2)), 0.28),
    )
    return SheetBlock(9.5, shapes, heading=True)


def words(
    x: float, y: float, text: str, points: float, colour: str = INK, *, bold: bool = False, anchor: str = "start"
) -> Text:
    """A line of text in letters of so many points."""
    return Text(x, y, text, points * MM_PER_PT, colour, bold, anchor)


def paragraph(y: float, lead: float, lines: Iterable[str], points: float) -> list[Primitive]:
    """Lines of text below each other from the left edge, the first at y."""
    return [words(EDGE, y + lead * k, line, points) for k, line in enumerate(lines)]


def wide_lines(texts: Sequence[str], points: float) -> list[str]:
    """Texts broken into lines as wide as the sheet."""
    return [line for text in texts for line in wrapped(text, points * MM_PER_PT, WIDE)]


def outlined(x: float, y: float, wide: float, tall: float, fill: str = "#ffffff") -> Area:
    """A rectangle with a line round it, from its upper left corner."""
    return Area(rectangle(x, y, x + wide, y + tall), fill, INK, LINE)


def hatched(x: float, y: float, wide: float, tall: float, step: float = 1.5) -> list[Primitive]:
    """Slanting lines that fill a rectangle."""
    lines: list[Primitive] = []
    for along in np.arange(step, wide + tall, step).tolist():
        low, high = max(along - wide, 0.0), min(along, tall)
        lines.append(Stroke(((x + along - low, y + tall - low), (x + along - high, y + tall - high)), LINE))
    return lines


def columns(blocks: list[SheetBlock], room: float) -> list[list[SheetBlock]]:
    """Blocks column by column, none broken, a heading with what follows it."""
    made: list[list[SheetBlock]] = [[]]
    for k, block in enumerate(blocks):
        needed = block.height + (blocks[k + 1].height if block.heading and k + 1 < len(blocks) else 0.0)
        if made[-1] and sum(placed.height for placed in made[-1]) + needed > room:
            made.append([])
        made[-1].append(block)
    return made
