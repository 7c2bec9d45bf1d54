"""A joint of several as a row: all of it at the scale they share, and its fault close by, beside the same of the good joint."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import Box, Frame
from helix.output.canvas.lettering import fitted_line, text_width
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.closeup_primitives import read_shapes
from helix.output.picture.closeups import CloseUp
from helix.output.picture.guide_shapes import arrow_shapes
from helix.output.picture.picture_layout import break_sign
from helix.output.picture.view import View, VisiblePart, side_view
from helix.output.shape.colouring import Coloured
from helix.output.shape.labels import part_callouts
from helix.output.words.lesson_words import Lesson
from helix.studies.shape.shape import ShapeResult
from helix.units import UnitSystem

CLOSE = 0.46  # width of a close-up, as a proportion of the whole
MADE_RIGHT = "Made right"
_TILT = float(np.radians(16.0))
_TALL = 0.42  # height of a close-up, as a proportion of its width
_GHOST, _GHOST_TAG = "#d9d6ce", "#bdb9af"
_MISSING_LOW = 4.6  # so far below the axis a missing twist is drawn [d]


@dataclass(frozen=True)
class JointRow:
    """A joint as it will be shown; the lesson of its most severe finding, if it has one.

    beside: the close-up of the good joint that belongs above the joint's own.
    """

    result: ShapeResult
    shown: VisiblePart
    colours: Coloured
    panel: CloseUp | None
    beside: CloseUp | None
    severity: Severity
    lesson: Lesson | None


@dataclass
class Drawing:
    """What is drawn so far, and what all rows share: the font f, edges, widths, scale and place of the throat."""

    f: float
    left: float
    right: float
    wide: float
    strip: float
    scale: float
    throat: float
    frames: list[Frame] = field(default_factory=list)
    over: list[Primitive] = field(default_factory=list)
    under: list[Primitive] = field(default_factory=list)
    marks: list[tuple[Severity, float, float, float]] = field(default_factory=list)


def draw_row(sheet: Drawing, joints: list[JointRow], k: int, y: float, units: UnitSystem) -> float:
    """A joint with its close-up, and that of the good joint above it where they have one of their own; where it ends."""
    f, scale, joint = sheet.f, sheet.scale, joints[k]
    named = k == 0
    top = y + (2.0 if named else 0.6) * f
    up, down = _reach(joint, scale)
    panels = [(panel, whose) for panel, whose in ((joint.beside, joints[0]), (joint.panel, joint)) if panel is not None]
    zoom = sheet.wide / max((panel.length_mm for panel, _ in _alike(joints, joint)), default=1.0)
    high = _TALL * sheet.wide
    ghost = _MISSING_LOW * joint.shown.d_mm * scale + 1.4 * f if _lacks_twist(joint, joints[0]) else 0.0
    tall = max(up + down + 0.6 * f + ghost, len(panels) * high + (len(panels) - 1) * 2.2 * f)
    axis = top + (tall - up - down - ghost) / 2 + up
    view = View(side_view(_TILT).axes, scale, (sheet.left + sheet.throat, axis))
    edge = sheet.left + sheet.strip
    box = (sheet.left / 2, y, edge + 0.6 * f, top + tall + 1.0 * f)
    sheet.frames.append(Frame(box, view, joint.shown, joint.colours.rgb))
    sheet.over += break_sign(joint.shown, view, joint.shown.d_mm * scale, f)
    sheet.over += _names(joint, view, y + 1.2 * f, edge, units, f) if named else []
    if ghost:
        sheet.under += _ghost(joints[0], view, f)
    for number, (panel, whose) in enumerate(panels):
        at = top + number * (high + 2.2 * f)
        stop = at + high if len(panels) > 1 else top + tall
        frame = _close_up(panel, whose, (sheet.right - sheet.wide, at, sheet.right, stop), zoom, f)
        sheet.frames.append(frame)
        sheet.over += _close_words(panel, frame, zoom / scale, f, MADE_RIGHT if len(panels) - number > 1 else "")
        if whose is joint:
            sheet.over += _window(panel, view, (stop - at) / zoom, f)
    return top + tall + 2.6 * f


def _alike(joints: list[JointRow], joint: JointRow) -> list[tuple[CloseUp, JointRow]]:
    """The close-ups that have one scale with those of a joint."""
    if joint.beside is not None and joint.panel is not None:
        return [(joint.beside, joint), (joint.panel, joint)]
    return [(each.panel, each) for each in joints if each.panel is not None and each.beside is None]


def common_scale(joints: list[JointRow], strip: float) -> tuple[float, float]:
    """Scale that all share, and where the throat stands from the left."""
    bare = side_view(_TILT)
    flats = [bare.project(joint.shown.points_mm)[0] for joint in joints]
    half = max(joint.shown.d_mm for joint in joints) / 2
    left = max(-float(flat[:, 0].min()) for flat in flats) + half
    right = max(float(flat[:, 0].max()) for flat in flats) + half
    scale = strip / (left + right)
    return scale, left * scale


def _reach(joint: JointRow, scale: float) -> tuple[float, float]:
    """How far the joint reaches above its axis and below it on the canvas."""
    y = side_view(_TILT).project(joint.shown.points_mm)[0][:, 1] * scale
    half = joint.shown.d_mm * scale / 2
    return half - float(y.min()), float(y.max()) + half


def _names(joint: JointRow, view: View, level: float, right: float, units: UnitSystem, f: float) -> list[Primitive]:
    """The parts by name, above the wire, each with a line to its part."""
    calls = part_callouts(joint.result, joint.shown, units)
    at = [float(view.project(call.point_mm)[0][0, 0]) for call in calls]
    shapes: list[Primitive] = []
    free = right + f
    for x, call in sorted(zip(at, calls, strict=True), key=lambda pair: -pair[0]):
        words = call.title
        half = text_width(words, 0.95 * f) / 2
        middle = min(x, free - half)
        free = middle - half - 0.7 * f
        low = float(view.project(call.point_mm)[0][0, 1]) - joint.shown.d_mm * view.scale / 2
        shapes.append(Text(middle, level, words, 0.95 * f, INK, anchor="middle"))
        shapes.append(Stroke(((middle, level + 0.35 * f), (x, low)), 0.08 * f, SOFT, f"name {call.name}"))
    return shapes


def _lacks_twist(joint: JointRow, first: JointRow) -> bool:
    return joint is not first and not joint.result.counts.turns and bool(first.result.counts.turns)


def _ghost(first: JointRow, view: View, f: float) -> list[Primitive]:
    """The twist of the first joint, pale, below one that has none, and an arrow to where it belongs."""
    width = first.shown.d_mm * view.scale
    lower = View(view.axes, view.scale, (view.origin[0], view.origin[1] + _MISSING_LOW * width))
    shapes: list[Primitive] = []
    for name, tone in (("twist_standing", _GHOST), ("twist_tag", _GHOST_TAG)):
        flat = lower.project(first.shown.points_mm[first.shown.rows(name)])[0]
        shapes.append(Stroke(tuple((float(x), float(y)) for x, y in flat), 0.9 * width, tone, "ghost"))
    (x, y), (end, _) = lower.project([[0.0, 0.0, 0.0], [0.0, 0.0, first.result.joint.axial["exit"]]])[0].tolist()
    shapes += arrow_shapes(((x, y - 1.2 * width), (x, y - (_MISSING_LOW - 1.7) * width)), 0.3 * f, "belongs here")
    words = "the twist that is missing"
    return [*shapes, Text((x + end) / 2, y + width + 1.4 * f, words, 0.95 * f, SOFT, anchor="middle")]


def _close_up(panel: CloseUp, joint: JointRow, box: Box, scale: float, f: float) -> Frame:
    x0, y0, x1, y1 = box
    view = View(panel.view.axes, scale, ((x0 + x1) / 2 - panel.middle_mm * scale, (y0 + y1) / 2))
    edge = MARK_COLOURS[panel.severity] if panel.severity else SOFT
    return Frame(box, view, joint.shown, joint.colours.rgb, True, edge, (0.08 if edge == SOFT else 0.2) * f)


def _window(panel: CloseUp, view: View, high_mm: float, f: float) -> list[Primitive]:
    """A box round what the close-up shows."""
    ends = [[0.0, 0.0, panel.middle_mm + side * panel.length_mm / 2] for side in (-1.0, 1.0)]
    (x0, y), (x1, _) = view.project(ends)[0].tolist()
    half = high_mm * view.scale / 2
    edge = MARK_COLOURS[panel.severity] if panel.severity else SOFT
    return [Area(rectangle(x0, y - half, x1, y + half), None, edge, 0.12 * f, "window")]


def _close_words(panel: CloseUp, frame: Frame, zoom: float, f: float, note: str = "") -> list[Primitive]:
    """What is drawn into a close-up and written below it; note: whose it is."""
    x0, _, x1, y1 = frame.box
    shapes: list[Primitive] = []
    shapes += read_shapes(panel, frame.shown, frame.view, frame.box, 0.95 * f)
    size, room = 0.9 * f, x1 - x0 - 4.0 * f
    shapes.append(
        Text(
            x0,
            y1 + 1.35 * f,
            fitted_line(f"{panel.title}: {_small(note)}" if note else panel.title, size, room),
            size,
            INK,
        )
    )
    shapes.append(Text(x1, y1 + 1.35 * f, f"x{zoom:.1f}", size, SOFT, anchor="end"))
    return shapes


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
