"""What the sheet for the bench is drawn with: blocks that stay together, text, areas, boxes to tick; mm on paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from helix.output.canvas.primitives import INK, SOFT

PAGE_MM = (210.0, 297.0)
EDGE = 13.0
WIDE = PAGE_MM[0] - 2 * EDGE
MM_PER_PT = 25.4 / 72.0


@dataclass(frozen=True)
class SheetBlock:
    """A part of the sheet that stays together: its height, and what draws it below a height [mm]."""

    height: float
    draw: Callable[[Any, float], None]
    heading: bool = False


def title_block(text: str, note: str) -> SheetBlock:
    def draw(axes: Any, top: float) -> None:
        text_at(axes, EDGE, top - 5.5, text, 11, bold=True)
        text_at(axes, PAGE_MM[0] - EDGE, top - 5.5, note, 7.5, SOFT, anchor="right")
        axes.plot([EDGE, PAGE_MM[0] - EDGE], [top - 7.2] * 2, color=INK, linewidth=0.8)

    return SheetBlock(9.5, draw, heading=True)


def text_at(
    axes: Any,
    x: float,
    y: float,
    text: str,
    size: float,
    colour: str = INK,
    *,
    bold: bool = False,
    anchor: str = "left",
    halo: bool = False,
) -> None:
    box = {"facecolor": "white", "edgecolor": "none", "pad": 0.8} if halo else None
    axes.text(
        x,
        y,
        text.replace("$", r"\$"),
        fontsize=size,
        color=colour,
        fontweight="bold" if bold else "normal",
        ha=anchor,
        va="baseline",
        bbox=box,
    )


def area(
    axes: Any, x: float, y: float, wide: float, tall: float, fill: str, *, edge: str = INK, hatch: str | None = None
) -> None:
    from matplotlib.patches import Rectangle

    axes.add_patch(
        Rectangle((x, y), wide, tall, facecolor=fill, edgecolor=edge, linewidth=0.6, hatch=hatch, joinstyle="miter")
    )


def box(axes: Any, x: float, y: float, side: float) -> None:
    area(axes, x, y, side, side, "white")
