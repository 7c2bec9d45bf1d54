"""A close-up on a picture: its frame, what is written round it and drawn into it, and the line that leads to it."""

from __future__ import annotations

import numpy as np

from helix.output.canvas.canvas import Box, Frame
from helix.output.canvas.lettering import fitted_line, text_width
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text
from helix.output.picture.closeup.cards import Room
from helix.output.picture.closeup.closeups import CloseUp
from helix.output.picture.closeup.guide_shapes import angle_shapes, guide_shapes
from helix.output.picture.picture_layout import mark_outline
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import Coloured

_ABOVE, _BELOW = ("gap", "span", "push", "ghost", "round", "round-both", "wanted"), ("slant",)
_CARD, _NUMBER, _EDGE = 2.9, 2.75, 0.8  # room for a card, for numbers, and for nothing, in heights of the font
_BEYOND_D = 0.5  # past the throat a wire's reach counts: the eye legs run out of the box


def close_up_shapes(
    panel: CloseUp, shown: VisiblePart, colours: Coloured, box: Box, f: float, whole_scale: float, *, beside: bool
) -> tuple[Frame, list[Primitive], tuple[float, float]]:
    """A close-up, what is written round it and drawn into it, and the stretch of its upper edge left clear of words.

    beside: its caption stands beside its title, not below.
    """
    x0, y0, x1, y1 = box
    view = panel_view(panel, shown, box, f, fitting_scale(panel, shown, box, f))
    colour = MARK_COLOURS[panel.severity]
    edge = colour if panel.severity else SOFT
    frame = Frame(box, view, shown, colours.rgb, True, edge, (0.22 if panel.severity else 0.08) * f)
    times = f"x{view.scale / whole_scale:.1f}"
    right = x1 - text_width(times, 0.85 * f) - (1.5 if beside else 0.5) * f
    title = fitted_line(panel.heading(), 1.15 * f, right - x0 - 2.4 * f, bold=True)
    shapes: list[Primitive] = [
        Area(mark_outline(panel.severity, x0 + 0.6 * f, y0 - 0.95 * f, 0.42 * f), colour),
        Text(x0 + 1.6 * f, y0 - 0.55 * f, title, 1.15 * f, INK, True),
    ]
    end = x0 + 2.1 * f + text_width(title, 1.15 * f, bold=True)
    if beside:
        tries = (", ".join(panel.caption[:count]) for count in range(len(panel.caption), 0, -1))
        words = next((text for text in tries if text_width(text, 0.95 * f) < right - end - 1.6 * f), "")
        shapes.append(Text(end + 0.6 * f, y0 - 0.55 * f, words, 0.95 * f, INK))
        end += 1.1 * f + text_width(words, 0.95 * f)
    else:
        for k, line in enumerate(panel.caption):
            shapes.append(Text(x0, y1 + (1.25 + 1.3 * k) * f, fitted_line(line, 0.95 * f, x1 - x0), 0.95 * f, INK))
    shapes += read_shapes(panel, shown, view, box, f)
    if not beside:
        shapes.append(Text(x1, y0 - 0.55 * f, times, 0.85 * f, SOFT, anchor="end"))
        return frame, shapes, (end, right - 0.3 * f)
    shapes.append(Text(end + 0.4 * f, y0 - 0.55 * f, times, 0.85 * f, SOFT))
    return frame, shapes, (end + text_width(times, 0.85 * f) + 1.2 * f, x1 - 0.8 * f)


def _rooms(panel: CloseUp, f: float) -> tuple[float, float]:
    """Heights that what is drawn above and below the wire takes."""
    kinds = {(guide.kind, guide.way > 0.0) for guide in panel.guides}
    above = any(kind in _ABOVE or (kind in ("insert", "name") and up) or kind == "slant" for kind, up in kinds)
    below = panel.angle is not None or any(
        kind in _BELOW or (kind in ("insert", "name") and not up) for kind, up in kinds
    )
    numbered = {up for kind, up in kinds if kind in ("turn", "wrong")}
    rooms = [(_CARD, above, below), (_NUMBER, True in numbered, False in numbered), (_EDGE, True, True)]
    return max(high for high, up, _ in rooms if up) * f, max(high for high, _, down in rooms if down) * f


def _reach(panel: CloseUp, shown: VisiblePart, length_mm: float) -> tuple[float, float]:
    """How far the wire reaches above and below the axis within a stretch of it [mm]."""
    flat = panel.view.project(shown.points_mm)[0]
    there = np.abs(flat[:, 0] - panel.middle_mm) < length_mm / 2.0
    if panel.name != "eye":
        there &= flat[:, 0] > _BEYOND_D * shown.d_mm
    if not there.any():
        return shown.d_mm, shown.d_mm
    return float(-flat[there, 1].min()) + shown.d_mm / 2.0, float(flat[there, 1].max()) + shown.d_mm / 2.0


def fitting_scale(panel: CloseUp, shown: VisiblePart, box: Box, f: float) -> float:
    """The largest scale at which the stretch of a close-up and what is drawn above and below it lie in a box."""
    widest = (box[2] - box[0]) / panel.length_mm
    if panel.name == "entry":
        return widest
    up, down = _reach(panel, shown, panel.length_mm)
    return min(widest, (box[3] - box[1] - sum(_rooms(panel, f))) / (up + down))


def panel_view(panel: CloseUp, shown: VisiblePart, box: Box, f: float, scale: float) -> View:
    """Where the wire stands in a close-up at a scale: in the middle of what is left beside what is drawn."""
    x0, y0, x1, y1 = box
    x, y = (x0 + x1) / 2 - panel.middle_mm * scale, (y0 + y1) / 2
    if panel.name != "entry":
        up, down = _reach(panel, shown, (x1 - x0) / scale)
        above, below = _rooms(panel, f)
        y = y0 + above + up * scale + (y1 - y0 - above - below - (up + down) * scale) / 2.0
    return View(panel.view.axes, scale, (x, y))


def read_shapes(panel: CloseUp, shown: VisiblePart, view: View, box: Box, f: float) -> list[Primitive]:
    """What is drawn into a close-up to read it by; no card lies over another, nor over wire where there is room."""
    wire = shown.d_mm * view.scale
    flat = view.project(shown.points_mm)[0]
    inside = (flat[:, 0] > box[0] - wire) & (flat[:, 0] < box[2] + wire) & (flat[:, 1] > box[1] - wire) & (
        flat[:, 1] < box[3] + wire)  # fmt: skip
    up, down = _reach(panel, shown, (box[2] - box[0]) / view.scale)
    axis = view.origin[1]
    room = Room(box, f, flat[inside], wire / 2.0, axis, axis - up * view.scale, axis + down * view.scale)
    shapes: list[Primitive] = []
    for guide in panel.guides:
        shapes += guide_shapes(guide, view, wire, room)
    if panel.angle is not None:
        shapes += angle_shapes(panel.angle, view, wire, room)
    return [*shapes, *room.cards()]


def zoom_lines(
    name: str, stretch: tuple[float, float], box: Box, clear: tuple[float, float], level: float, f: float
) -> list[Primitive]:
    """A bracket below the part of the whole joint that a close-up shows, and a line from it to the close-up."""
    x0, x1 = stretch
    bracket = ((x0, level - 0.5 * f), (x0, level), (x1, level), (x1, level - 0.5 * f))
    x = (x0 + x1) / 2
    target = min(max(x, clear[0]), max(clear[0], clear[1]))
    low = level + 0.7 * f
    path: tuple[tuple[float, float], ...] = ((x, level), (x, low), (target, low), (target, box[1]))
    path = path if abs(target - x) > 1.0 else ((x, level), (x, box[1]))
    return [Stroke(bracket, 0.12 * f, SOFT, f"zoom {name}"), Stroke(path, 0.08 * f, SOFT, "zoom line")]
