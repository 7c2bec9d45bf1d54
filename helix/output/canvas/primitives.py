"""What every flat drawing is made of: text, lines and areas, in mm or pixels, in the colours that all of them share.

One list of these is painted in three ways: pixels (canvas.py), SVG (shapes_svg.py) and PDF (paper.py).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from helix.findings import Severity

Points = tuple[tuple[float, float], ...]

PAPER = "#f6f5f2"
INK = "#22262b"
SOFT = "#6b727a"
# Okabe and Ito's palette, told apart by colour-blind readers [pub]; the word and the shape say the same
MARK_COLOURS = {
    Severity.OK: "#009e73", Severity.NOTE: "#0072b2", Severity.CAUTION: "#e69f00",
    Severity.SHARP: "#d55e00", Severity.FAULT: "#d55e00",
}  # fmt: skip


@dataclass(frozen=True)
class Text:
    """A line of text: x, y of its start, middle or end on the base line; size is the height of the font."""

    x: float
    y: float
    text: str
    size: float
    colour: str = INK
    bold: bool = False
    anchor: str = "start"


@dataclass(frozen=True)
class Stroke:
    """A line through points ((x, y), ...), its ends cut square."""

    points: Points
    width: float
    colour: str = INK
    role: str = ""


@dataclass(frozen=True)
class Area:
    """A closed shape: points ((x, y), ...), filled, or with an edge only."""

    points: Points
    fill: str | None
    edge: str | None = None
    edge_width: float = 0.0
    role: str = ""


Primitive = Text | Stroke | Area


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Points:
    """Corners of a rectangle between two opposite ones."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def moved(item: Primitive, down: float, right: float = 0.0) -> Primitive:
    """A shape so much further down and to the right."""
    if isinstance(item, Text):
        return replace(item, x=item.x + right, y=item.y + down)
    return replace(item, points=tuple((x + right, y + down) for x, y in item.points))


def disc(x: float, y: float, radius: float, corners: int = 40) -> Points:
    """Corners of a round area."""
    turn = np.linspace(0.0, 2 * np.pi, corners, endpoint=False)
    return tuple((x + radius * float(np.cos(a)), y + radius * float(np.sin(a))) for a in turn)
