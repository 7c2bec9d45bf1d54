"""A close-up on a picture: its frame, what is written round it and drawn into it, and the line that leads to it."""

from __future__ import annotations

from helix.output.canvas.canvas import Box, Frame
from helix.output.canvas.lettering import fitted_line, text_width
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text
from helix.output.picture.closeups import CloseUp
from helix.output.picture.guide_shapes import angle_shapes, guide_shapes
from helix.output.picture.picture_layout import mark_outline, round_below, scale_bar
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import Coloured
from helix.units import MM_PER_INCH, UnitSystem


def close_up_shapes(
    panel: CloseUp, shown: VisiblePart, colours: Coloured, box: Box, f: float, units: UnitSystem
) -> tuple[Frame, list[Primitive], tuple[float, float]]:
    """A close-up, what is written round it and drawn into it, and the stretch of its upper edge left clear of words."""
    x0, y0, x1, y1 = box
    scale = (x1 - x0) / panel.length_mm
    middle = panel.middle_mm * scale
    view = View(panel.view.axes, scale, ((x0 + x1) / 2 - middle, (y0 + y1) / 2))
    colour = MARK_COLOURS[panel.severity]
    edge = colour if panel.severity else SOFT
    frame = Frame(box, view, shown, colours.rgb, True, edge, (0.22 if panel.severity else 0.08) * f)
    unit = MM_PER_INCH if units == "inch" else 1.0
    bar = round_below(5.0 * f / (scale * unit), (1.0, 2.0, 5.0)) * scale * unit
    title = fitted_line(panel.heading(), 1.15 * f, x1 - x0 - 8.0 * f, bold=True)
    shapes: list[Primitive] = [
        Area(mark_outline(panel.severity, x0 + 0.6 * f, y0 - 0.95 * f, 0.42 * f), colour),
        Text(x0 + 1.6 * f, y0 - 0.55 * f, title, 1.15 * f, INK, True),
    ]
    for k, line in enumerate(panel.caption):
        shapes.append(Text(x0, y1 + (1.25 + 1.3 * k) * f, fitted_line(line, 0.95 * f, x1 - x0), 0.95 * f, INK))
    shapes += read_shapes(panel, shown, view, box, f)
    shapes += scale_bar(scale, units, x1 - max(bar, 2.4 * f), y0 - 0.55 * f, 0.8 * f, 25.0 * f, "")
    clear = x0 + 2.1 * f + text_width(title, 1.15 * f, bold=True), x1 - max(bar, 2.4 * f) - 0.6 * f
    return frame, shapes, clear


def read_shapes(panel: CloseUp, shown: VisiblePart, view: View, box: Box, f: float) -> list[Primitive]:
    """What is drawn into a close-up to read it by; no card lies over another."""
    taken: list[Box] = []
    shapes: list[Primitive] = []
    for guide in panel.guides:
        shapes += guide_shapes(guide, view, f, box, view.origin[1], shown.d_mm * view.scale, taken)
    if panel.angle is not None:
        shapes += angle_shapes(panel.angle, view, f, box, shown, taken)
    return shapes


def zoom_lines(
    name: str, stretch: tuple[float, float], box: Box, clear: tuple[float, float], levels: tuple[float, float], f: float
) -> list[Primitive]:
    """A bracket below the part of the whole joint that a close-up shows, and a line to the close-up."""
    (x0, x1), (low, level) = stretch, levels
    bracket = ((x0, low - 0.5 * f), (x0, low), (x1, low), (x1, low - 0.5 * f))
    x = (x0 + x1) / 2
    target = min(max(x, clear[0]), clear[1])
    path: tuple[tuple[float, float], ...] = ((x, low), (x, level), (target, level), (target, box[1]))
    path = path if abs(target - x) > 1.0 else ((x, low), (x, box[1]))
    return [Stroke(bracket, 0.12 * f, SOFT, f"zoom {name}"), Stroke(path, 0.08 * f, SOFT)]
