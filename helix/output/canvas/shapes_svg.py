"""Text, lines and areas as SVG; needs no package and no font."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from helix.output.canvas.primitives import PAPER, Primitive, Stroke, Text

if TYPE_CHECKING:
    from helix.output.canvas.paper import Page

_FONT = "'DejaVu Sans', Verdana, 'Segoe UI', Helvetica, Arial, sans-serif"


def svg_document(
    size: tuple[float, float], title: str, body: Iterable[str], *, unit: str = "", paper: str = PAPER, more: str = ""
) -> str:
    """A whole SVG file: its size in a unit (pixels where none is named), the colour of its paper, its elements.

    more: further attributes of the root, each with a space before it.
    """
    width, height = (f"{side:g}" for side in size)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}{unit}" height="{height}{unit}" '
            f'viewBox="0 0 {width} {height}"{more} role="img">'
        ),
        f"<title>{escape(svg_text(title))}</title>",
        f'<rect width="{width}" height="{height}" fill="{paper}"/>',
        *body,
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def page_svg(page: Page) -> str:
    """A sheet of paper as SVG, measured in mm."""
    shapes = (shape_svg(item) for item in page.shapes)
    return svg_document((page.width, page.height), page.title, shapes, unit="mm", paper="#ffffff")


def shape_svg(item: Primitive, decimals: int = 3) -> str:
    """A shape as an element of SVG; decimals: of its points."""
    if isinstance(item, Text):
        weight = ' font-weight="bold"' if item.bold else ""
        anchor = "" if item.anchor == "start" else f' text-anchor="{item.anchor}"'
        return (
            f'<text x="{item.x:.3f}" y="{item.y:.3f}" font-family="{_FONT}" font-size="{item.size:.3f}" '
            f'fill="{item.colour}"{weight}{anchor}>{escape(svg_text(item.text))}</text>'
        )
    role = f" data-role={quoteattr(item.role)}" if item.role else ""
    data = "M" + "L".join(f"{x:.{decimals}f} {y:.{decimals}f}" for x, y in item.points)
    if isinstance(item, Stroke):
        return f'<path d="{data}" fill="none" stroke="{item.colour}" stroke-width="{item.width:.4f}"{role}/>'
    edge = f' stroke="{item.edge}" stroke-width="{item.edge_width:.4f}"' if item.edge else ""
    return f'<path d="{data}Z" fill="{item.fill or "none"}"{edge}{role}/>'


def svg_text(text: str) -> str:
    """Text without the characters that XML cannot hold."""
    return "".join(
        char for char in text if char in "\t\n" or (ord(char) >= 0x20 and not 0xD800 <= ord(char) <= 0xDFFF
        and ord(char) not in (0xFFFE, 0xFFFF))
    )  # fmt: skip
