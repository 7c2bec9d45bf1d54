"""A joint of several as a row: all of it at the scale they share, and its fault close by, beside the same of the good joint."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import Box, Frame
from helix.output.canvas.lettering import fitted_line
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Text, rectangle
from helix.output.picture.closeup.cards import CanvasPoint
from helix.output.picture.closeup.closeup_primitives import fitting_scale, panel_view, read_shapes
from helix.output.picture.closeup.closeups import CloseUp
from helix.output.picture.closeup.guide_shapes import arrow_shapes, ghost_strand
from helix.output.picture.part_names import PartNames
from helix.output.picture.picture_layout import break_sign
from helix.output.picture.view import View, VisiblePart, side_view
from helix.output.shape.colouring import Coloured
from helix.output.words.lesson_words import Lesson
from helix.studies.shape.shape import ShapeResult
from helix.units import UnitSystem

CLOSE = 0.46  # width of a close-up, as a proportion of the whole
MADE_RIGHT = "Made right"
_TILT = float(np.radians(16.0))
_TALL = 0.43  # height of a close-up, as a proportion of its width
_GHOST, _GHOST_TAG = "#cfcbc1", "#a39e93"
_GHOST_HIGH = 2.0  # height of a missing twist [d]


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
    top = y + 0.6 * f
    up, down = _reach(joint, scale)
    names = PartNames(joint.result, joint.shown, units, 0.95 * f, sheet.strip, figures=False, along=True)
    names.place(
        View(side_view(_TILT).axes, scale, (sheet.left + sheet.throat, 0.0)), (sheet.left, sheet.left + sheet.strip)
    )
    up, down = max(up, -names.top), max(down, names.bottom)
    panels = [(panel, whose) for panel, whose in ((joint.beside, joints[0]), (joint.panel, joint)) if panel is not None]
    high = _TALL * sheet.wide
    ghost = _GHOST_HIGH * joint.shown.d_mm * scale + 3.6 * f if _lacks_twist(joint, joints[0]) else 0.0
    tall = max(up + down + 0.6 * f + ghost, len(panels) * high + (len(panels) - 1) * 2.2 * f)
    axis = top + (tall - up - down - ghost) / 2 + up
    view = View(side_view(_TILT).axes, scale, (sheet.left + sheet.throat, axis))
    edge = sheet.left + sheet.strip
    box = (sheet.left / 2, y, edge + 0.6 * f, top + tall + 1.0 * f)
    sheet.frames.append(Frame(box, view, joint.shown, joint.colours.rgb))
    sheet.over += break_sign(joint.shown, view, joint.shown.d_mm * scale, f)
    alike = _alike(joints, joint)
    zoom = min(
        (fitting_scale(panel, whose.shown, (0.0, 0.0, sheet.wide, high), 0.95 * f) for panel, whose in alike),
        default=1.0,
    )
    if ghost:
        low = axis + down + 1.4 * f
        low = max(low, axis + high / zoom * scale / 2.0 + 1.4 * f)  # below the box round what its close-up shows
        sheet.under += _ghost(joints[0], view, low, f)
    for number, (panel, whose) in enumerate(panels):
        at = top + number * (high + 2.2 * f)
        stop = at + high if len(panels) > 1 else top + tall
        frame = _close_up(panel, whose, (sheet.right - sheet.wide, at, sheet.right, stop), zoom, f)
        sheet.frames.append(frame)
        sheet.over += _close_words(panel, frame, zoom / scale, f, MADE_RIGHT if len(panels) - number > 1 else "")
        if whose is joint:
            sheet.over += _window(
                panel,
                joint,
                view,
                (_along(panel, sheet.wide / zoom), (stop - at) / zoom),
                (0.3 * sheet.left, edge + 0.3 * f),
                f,
            )
    names.place(view, (sheet.left, edge))
    sheet.over += names.shapes(view, plates=True)
    return top + tall + 2.6 * f


def _along(panel: CloseUp, shown_mm: float) -> float:
    """How much of the axis a close-up is about: of an eye no more than that, else all that it shows."""
    return min(shown_mm, panel.length_mm) if panel.name == "eye" else shown_mm


def _alike(joints: list[JointRow], joint: JointRow) -> list[tuple[CloseUp, JointRow]]:
    """The close-ups that have one scale with those of a joint."""
    if joint.beside is not None and joint.panel is not None:
        return [(joint.beside, joints[0]), (joint.panel, joint)]
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


def _lacks_twist(joint: JointRow, first: JointRow) -> bool:
    return joint is not first and not joint.result.counts.turns and bool(first.result.counts.turns)


def _ghost(first: JointRow, view: View, top: float, f: float) -> list[Primitive]:
    """The twist of the first joint, pale, below one that has none, and an arrow to where it belongs; top: where that ends."""
    width, sides = first.shown.d_mm * view.scale, []
    lower = View(view.axes, view.scale, (view.origin[0], top + 1.6 * f + 1.0 * width))
    for name, tone in (("twist_standing", _GHOST), ("twist_tag", _GHOST_TAG)):
        flat, near = lower.project(first.shown.points_mm[first.shown.rows(name)])
        runs = np.split(
            np.arange(len(flat)), np.flatnonzero(np.diff(np.sign(near))) + 1
        )  # half turns, in front or behind
        sides += [
            (float(near[run].mean()), flat[max(run[0] - 1, 0) : run[-1] + 2], tone) for run in runs if len(run) > 2
        ]
    shapes: list[Primitive] = [
        ghost_strand(flat, 0.95 * width, tone) for _, flat, tone in sorted(sides, key=lambda side: side[0])
    ]
    (x, y), (end, _) = lower.project([[0.0, 0.0, 0.0], [0.0, 0.0, first.result.joint.axial["exit"]]])[0].tolist()
    shapes += arrow_shapes(((x, y - 1.2 * width), (x, top)), 0.3 * f, "belongs here")
    words = "the twist that is missing"
    return [*shapes, Text((x + end) / 2, y + width + 1.4 * f, words, 0.95 * f, SOFT, anchor="middle")]


def _close_up(panel: CloseUp, joint: JointRow, box: Box, scale: float, f: float) -> Frame:
    view = panel_view(panel, joint.shown, box, 0.95 * f, scale)
    edge = MARK_COLOURS[panel.severity] if panel.severity else SOFT
    return Frame(box, view, joint.shown, joint.colours.rgb, True, edge, (0.08 if edge == SOFT else 0.2) * f)


def _window(
    panel: CloseUp, joint: JointRow, view: View, shown_mm: tuple[float, float], limits: CanvasPoint, f: float
) -> list[Primitive]:
    """A box round what the close-up shows: so much along the axis, and across no more than the wire there takes."""
    ends = [[0.0, 0.0, panel.middle_mm + side * shown_mm[0] / 2] for side in (-1.0, 1.0)]
    (x0, y), (x1, _) = view.project(ends)[0].tolist()
    x0, x1 = max(x0, limits[0]), min(x1, limits[1])
    flat = view.project(joint.shown.points_mm)[0]
    there = flat[(flat[:, 0] > x0) & (flat[:, 0] < x1), 1]
    wire = 0.85 * joint.shown.d_mm * view.scale
    half = min(shown_mm[1] * view.scale / 2, float(np.abs(there - y).max(initial=0.0)) + wire)
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
