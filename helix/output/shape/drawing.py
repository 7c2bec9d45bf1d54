"""The joint as a vector drawing (SVG), over and under as in the wire; needs numpy only, no graphics card."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from helix.output.canvas.primitives import PAPER, Area, Ink, Stroke, Text
from helix.output.files import write_whole
from helix.output.picture.picture_layout import Sheet, compose
from helix.output.picture.view import VisiblePart, shown_part, side_view
from helix.output.shape.wire_shapes import wire_shapes
from helix.output.words.words import title_of
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

Points = tuple[tuple[float, float], ...]

PAGE_MM = (320.0, 180.0)
_FONT = "'DejaVu Sans', Verdana, 'Segoe UI', Helvetica, Arial, sans-serif"


def drawing_svg(result: ShapeResult, units: UnitSystem = "metric", *, page_mm: tuple[float, float] = PAGE_MM) -> str:
    """The joint seen along the pin as SVG text: true to a stated scale, the page measured in mm.

    The same result gives the same text. Raises nothing of its own.
    """
    shown = shown_part(result.joint)
    page = compose(
        result, shown, side_view(), page_mm, units, whole_scale=True,
        scale_note=f"scale {{scale}} : 1 on a page of {page_mm[0]:g} x {page_mm[1]:g} mm",
    )  # fmt: skip
    width, height = page_mm
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
            f'viewBox="0 0 {width:g} {height:g}" data-scale="{page.view.scale:g}" role="img">'
        ),
        f"<title>{escape(svg_text(title_of(result)))}</title>",
        f'<rect width="{width:g}" height="{height:g}" fill="{PAPER}"/>',
        *(ink_svg(ink) for ink in page.under),
        '<g id="wire" fill="none" stroke-linejoin="round" stroke-linecap="butt">',
        *_wire(shown, page),
        "</g>",
        '<g id="labels">',
        *(ink_svg(ink) for ink in page.over),
        "</g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def write_drawing(
    result: ShapeResult,
    path: Path,
    units: UnitSystem = "metric",
    *,
    page_mm: tuple[float, float] = PAGE_MM,
    force: bool = False,
) -> None:
    """Write the drawing to an SVG file, whole or not at all; raises ValidationError when it cannot."""
    write_whole(path, drawing_svg(result, units, page_mm=page_mm), force=force)


def _wire(shown: VisiblePart, page: Sheet) -> list[str]:
    decimals = 2 if page.wire_width >= 2.0 else 3
    return [_shape(ink, decimals) for ink in wire_shapes(shown, page.view, page.wire_width)]


def _shape(ink: Area | Stroke, decimals: int) -> str:
    data = _path(ink.points, decimals)
    if isinstance(ink, Stroke):
        return f'<path d="{data}" stroke="{ink.colour}" stroke-width="{ink.width:.4f}"/>'
    edge = f' stroke="{ink.edge}" stroke-width="{ink.edge_width:.4f}"' if ink.edge else ""
    return f'<path d="{data}Z" fill="{ink.fill}"{edge}/>'


def _path(points: Points, decimals: int) -> str:
    return "M" + "L".join(f"{x:.{decimals}f} {y:.{decimals}f}" for x, y in points)


def ink_svg(ink: Ink) -> str:
    """A shape of a sheet as an element of SVG."""
    if isinstance(ink, Text):
        weight = ' font-weight="bold"' if ink.bold else ""
        anchor = "" if ink.anchor == "start" else f' text-anchor="{ink.anchor}"'
        return (
            f'<text x="{ink.x:.3f}" y="{ink.y:.3f}" font-family="{_FONT}" font-size="{ink.size:.3f}" '
            f'fill="{ink.colour}"{weight}{anchor}>{escape(svg_text(ink.text))}</text>'
        )
    role = f" data-role={quoteattr(ink.role)}" if ink.role else ""
    data = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in ink.points)
    if isinstance(ink, Stroke):
        return f'<path d="{data}" fill="none" stroke="{ink.colour}" stroke-width="{ink.width:.3f}"{role}/>'
    edge = f' stroke="{ink.edge}" stroke-width="{ink.edge_width:.3f}"' if ink.edge else ""
    return f'<path d="{data}Z" fill="{ink.fill or "none"}"{edge}{role}/>'


def svg_text(text: str) -> str:
    """Text without the characters that XML cannot hold."""
    return "".join(
        char for char in text if char in "\t\n" or (ord(char) >= 0x20 and not 0xD800 <= ord(char) <= 0xDFFF
        and ord(char) not in (0xFFFE, 0xFFFF))
    )  # fmt: skip
