"""Linked joints as a picture: the pair pulled, where they touch, and close by the bend that the load draws them down to."""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import LIGHT, Box, Canvas, Frame, Theme, canvas_pixels, png_bytes
from helix.output.canvas.label_places import Silhouette, beside
from helix.output.canvas.lettering import fitted_line, fitted_title, text_width, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, PAPER, SOFT, Area, Primitive, Stroke, Text, disc
from helix.output.link.link_parts import LinkPart, link_parts, touch_mm
from helix.output.link.link_report import length_line, link_heading, load_line, percents
from helix.output.picture.picture_layout import mark_outline, round_below, scale_bar
from helix.output.picture.view import View, side_view
from helix.output.words.answer_words import CAUTION, headline
from helix.output.words.link_words import named_joints, other_words
from helix.output.words.words import shown_severity
from helix.studies.link.link_result import LinkedJoint, LinkResult
from helix.units import MM_PER_INCH, UnitSystem, format_length

SIZE_PX: Final = (1600, 900)
_TURN_RAD: Final = float(np.radians(38.0))  # of the pair about the line of pull: both eyes are seen into
_LEGS: Final = 0.9  # how far the drawn-tight legs are shown, in circles of the bend
_DASH: Final = 0.09  # of a dashed arc, rad


def link_canvas(
    result: LinkResult, units: UnitSystem = "metric", size_px: tuple[int, int] = SIZE_PX, theme: Theme = LIGHT
) -> Canvas:
    """The pair along the top, the crossing close by below it, words beside that."""
    width, height = size_px
    f = min(height / 46.0, width / 80.0)
    margin = 2.2 * f
    room = width - 2 * margin
    title = link_heading(result, units)
    over: list[Primitive] = [Text(margin, margin + 0.7 * f, fitted_title(title, 1.55 * f, room), 1.55 * f, INK, True)]
    for k, line in enumerate((headline(result.judgement, units), load_line(result, units))):
        over.append(Text(margin, margin + (2.7 + 1.75 * k) * f, fitted_line(line, 1.2 * f, room), 1.2 * f, INK, k == 0))
    parts = link_parts(result, theme.metal)
    top, low = margin + 6.0 * f, 0.52 * height
    whole, shapes = _whole(result, parts, (margin, top, width - margin, low), f, units)
    over += shapes
    column = 0.47 * room
    box = (margin, low + 3.6 * f, margin + column, height - margin - 2.0 * f)
    close, shapes = _crossing(result, parts, box, f, units)
    over += shapes
    over += _words(result, units, (margin + column + 2.0 * f, low + 3.6 * f, width - margin, box[3]), f)
    over.append(Text(margin, height - 0.7 * margin, "d: the diameter of the joint's own wire.", 0.85 * f, SOFT))
    over.append(Text(width - margin, height - 0.7 * margin, CAUTION, 0.85 * f, SOFT, anchor="end"))
    return Canvas(width, height, (whole, close), tuple(over), title=title)


def link_png(result: LinkResult, units: UnitSystem = "metric") -> bytes:
    """The same as a PNG file; raises CannotRender on a machine that cannot draw."""
    return png_bytes(canvas_pixels(link_canvas(result, units)))


def _frame(parts: tuple[LinkPart, ...], box: Box, view: View, **more: object) -> Frame:
    first, *others = parts
    return Frame(box, view, first.shown, first.rgb, others=tuple((part.shown, part.rgb) for part in others), **more)  # type: ignore[arg-type]


def _points(parts: tuple[LinkPart, ...]) -> np.ndarray:
    return np.concatenate([part.shown.points_mm for part in parts])


def _whole(
    result: LinkResult, parts: tuple[LinkPart, ...], box: Box, f: float, units: UnitSystem
) -> tuple[Frame, list[Primitive]]:
    """The pair, its joints named above it, the touch ringed, a scale bar."""
    view = side_view(_TURN_RAD)
    flat, _ = view.project(_points(parts))
    thick = max(part.shown.d_mm for part in parts)
    size = np.ptp(flat, axis=0) + thick
    inner = (box[0] + 1.0 * f, box[1] + 2.2 * f, box[2] - 1.0 * f, box[3] - 2.0 * f)
    scale = float(min((inner[2] - inner[0]) / size[0], (inner[3] - inner[1]) / size[1]))
    middle = scale * (flat.min(axis=0) + flat.max(axis=0)) / 2.0
    view = View(view.axes, scale, ((inner[0] + inner[2]) / 2 - middle[0], (inner[1] + inner[3]) / 2 - middle[1]))
    shapes: list[Primitive] = []
    for part in parts:
        own, _ = view.project(part.shown.points_mm)
        far = own[int(np.argmax(np.abs(own[:, 0] - view.project([touch_mm(result)])[0][0, 0])))]
        x = float(np.clip(far[0], box[0] + 6.0 * f, box[2] - 6.0 * f))
        y = float(own[np.abs(own[:, 0] - x) < 3.0 * f][:, 1].min(initial=far[1])) - part.shown.d_mm * scale / 2
        shapes.append(Text(x, y - 0.8 * f, part.name, 1.1 * f, INK, anchor="middle"))
    (x, y), *_ = view.project([touch_mm(result)])[0].tolist()
    severity = (
        shown_severity(result.judgement) if result.judgement.code in ("tight-crossing", "wire-on-wire") else Severity.OK
    )
    colour = MARK_COLOURS[severity]
    radius = max(1.6 * min(part.shown.d_mm for part in parts) * scale, 1.2 * f)
    shapes.append(Area(disc(x, y, radius), None, "#ffffff", 0.34 * f, "halo"))
    shapes.append(Area(disc(x, y, radius), None, colour, 0.16 * f, f"mark {severity.word}"))
    label = "they touch here"
    wire = Silhouette(view.project(_points(parts))[0], thick * scale / 2)
    (tx, ty), _ = beside((x, y), wire, (0.5 * text_width(label, f) + 0.3 * f, 0.8 * f), box, [], f)
    edge = np.array([tx - x, ty - y]) / max(float(np.hypot(tx - x, ty - y)), 1e-9)
    shapes.append(
        Stroke(((x + edge[0] * radius, y + edge[1] * radius), (tx, ty - 0.2 * f)), 0.14 * f, colour, "leader")
    )
    shapes.append(Area(_pad(tx, ty, label, f), PAPER, None, role="halo"))
    shapes.append(Text(tx, ty + 0.35 * f, label, f, INK, anchor="middle"))
    unit = scale * (MM_PER_INCH if units == "inch" else 1.0)
    bar = round_below(0.14 * (box[2] - box[0]) / unit, (1.0, 2.0, 5.0)) * unit
    shapes += scale_bar(scale, units, box[2] - bar, box[3] - 0.2 * f, f, 0.7 * (box[2] - box[0]), "")
    return _frame(parts, box, view), shapes


def _pad(x: float, y: float, label: str, f: float) -> tuple[tuple[float, float], ...]:
    half = 0.5 * text_width(label, f)
    return ((x - half, y - 0.7 * f), (x + half, y - 0.7 * f), (x + half, y + 0.7 * f), (x - half, y + 0.7 * f))


def _crossing(
    result: LinkResult, parts: tuple[LinkPart, ...], box: Box, f: float, units: UnitSystem
) -> tuple[Frame, list[Primitive]]:
    """The crossing seen along the other wire: the eye at rest, and drawn tight as a dashed outline."""
    joint = result.joints[0]
    d_mm, over_mm = joint.recipe.wire.diameter_mm, joint.over_mm
    span = 2.6 * (over_mm + 2.0 * d_mm)
    scale = min((box[3] - box[1]) / span, (box[2] - box[0]) / (2.0 * span))
    other = np.array(touch_mm(result)) + [0.0, 0.0, 0.5 * over_mm]
    view = View(side_view().axes, scale)
    (cx, cy), *_ = view.project([other])[0].tolist()
    view = View(view.axes, scale, (box[0] + 0.55 * (box[2] - box[0]) - cx, (box[1] + box[3]) / 2 - cy))
    (x, y), *_ = view.project([other])[0].tolist()
    severity = joint.pulled.severity
    colour = MARK_COLOURS[Severity.CAUTION if result.ring is None and not severity else severity]
    inner, outer = 0.5 * over_mm * scale, (0.5 * over_mm + d_mm) * scale
    shapes: list[Primitive] = []
    for radius in (inner, outer):
        shapes += _dashed(x, y, radius, colour, f)
    tip = (x - outer * float(np.cos(0.9)), y - outer * float(np.sin(0.9)))
    words = ("drawn tight:", f"inside radius {format_length(0.5 * over_mm, units)}")
    foot = (box[0] + 0.8 * f + 0.5 * text_width(words[1], f, True), box[1] + 3.4 * f)
    shapes.append(Stroke((tip, foot), 0.14 * f, colour, "leader"))
    shapes += [
        Text(box[0] + 0.8 * f, box[1] + (1.6 + 1.35 * k) * f, line, f, INK, True) for k, line in enumerate(words)
    ]
    rest = f"at rest: radius {joint.rest.radius_d:.2f} d"
    shapes.append(Text(box[0] + 0.8 * f, box[3] - 0.8 * f, rest, f, INK))
    head = f"The crossing, seen along {other_words(result)}"
    mark = Severity.CAUTION if result.ring is None and not severity else severity
    shapes += [
        Area(mark_outline(mark, box[0] + 0.6 * f, box[1] - 0.95 * f, 0.42 * f), colour, role=f"mark {mark.word}"),
        Text(box[0] + 1.6 * f, box[1] - 0.55 * f, head, 1.15 * f, INK, True),
    ]
    return _frame(parts, box, view, panel=True, edge=SOFT, edge_width=0.08 * f), shapes


def _dashed(x: float, y: float, radius: float, colour: str, f: float) -> list[Primitive]:
    """A dashed outline of a wire drawn round a place from the right, where its load is, and back to it."""
    dash = max(_DASH, 0.6 * f / radius)
    turns = np.arange(0.5 * np.pi, 1.5 * np.pi, 2.0 * dash)
    arcs = [np.linspace(turn, turn + dash, 6) for turn in turns]
    lines = [tuple((x + radius * float(np.cos(a)), y - radius * float(np.sin(a))) for a in arc) for arc in arcs]
    reach = x + 2.0 * _LEGS * radius + 2.0 * f
    for side in (1.0, -1.0):
        for start in np.arange(x, reach, 1.2 * f):
            lines.append(((float(start), y + side * radius), (float(min(start + 0.6 * f, reach)), y + side * radius)))
    return [Stroke(line, 0.18 * f, colour, "drawn tight") for line in lines]


def _words(result: LinkResult, units: UnitSystem, box: Box, f: float) -> list[Primitive]:
    """What there is to know, as much as there is room for."""
    x0, y, x1, y1 = box
    lines: list[tuple[str, bool]] = []
    for name, joint in named_joints(result):
        lines += [(text, k == 0) for k, text in enumerate(_bend_words(name, joint, result))]
    lines += [(length_line(result, units), False), (_play(result, units), False)]
    shapes: list[Primitive] = []
    for text, bold in lines:
        y += 0.4 * f
        for line in wrapped(text, 1.05 * f, x1 - x0, bold=bold):
            y += 1.35 * f
            if y > y1:
                return shapes
            shapes.append(Text(x0, y, line, 1.05 * f, INK, bold))
    return shapes


def _bend_words(name: str, joint: LinkedJoint, result: LinkResult) -> tuple[str, str]:
    who = f"{name.capitalize()}: drawn" if name else "Drawn"
    tight = joint.pulled
    return (
        f"{who} tight over {other_words(result)}: radius {tight.radius_d:.2f} d, strain {tight.strain:.2f}, {tight.severity.word}.",
        f"That leaves {percents(joint.leaves)}. At rest: radius {joint.rest.radius_d:.2f} d, strain {joint.rest.strain:.2f}.",
    )


def _play(result: LinkResult, units: UnitSystem) -> str:
    play = result.room.play_mm
    return f"Room along the pull: {format_length(play, units)}." if play > 0.0 else "No room along the pull."
