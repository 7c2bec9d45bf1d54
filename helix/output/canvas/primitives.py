"""What a sheet is made of: text, lines and areas, in the colours that every sheet shares."""

from __future__ import annotations

from dataclasses import dataclass

from helix.output.words.words import GRAVE

PAPER = "#f6f5f2"
INK = "#22262b"
SOFT = "#6b727a"
# Okabe and Ito's palette, told apart by colour-blind readers [pub]; the word and the shape say the same
MARK_COLOURS = {"caution": "#e69f00", "ok": "#009e73"} | dict.fromkeys(GRAVE, "#d55e00")
NOTE_COLOUR = "#0072b2"


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
    """A line through points ((x, y), ...)."""

    points: tuple[tuple[float, float], ...]
    width: float
    colour: str = INK
    role: str = ""


@dataclass(frozen=True)
class Area:
    """A closed shape: points ((x, y), ...), filled, or with an edge only."""

    points: tuple[tuple[float, float], ...]
    fill: str | None
    edge: str | None = None
    edge_width: float = 0.0
    role: str = ""


Ink = Text | Stroke | Area
