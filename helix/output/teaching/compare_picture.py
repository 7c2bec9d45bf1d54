"""Good beside bad: the lesson first, then the joints in rows at one scale and from one side; PNG, SVG or HTML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import LIGHT, Box, Canvas, Frame, Theme, canvas_pixels, png_bytes
from helix.output.canvas.legend import legend_shapes
from helix.output.canvas.lettering import fitted_line, text_width, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.closeups import CloseUp, chosen, faulty_parts, panels
from helix.output.picture.picture import STEP_D
from helix.output.picture.picture_layout import SMALL_PRINT, break_sign, mark_outline, round_below, scale_bar
from helix.output.picture.render import Painter
from helix.output.picture.view import View, VisiblePart, shown_part, side_view
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Picture, Table
from helix.output.shape.colouring import ColourBy, Coloured, strain_scale
from helix.output.shape.labels import angle_shapes, guide_shapes, part_callouts
from helix.output.shape.wire_colours import wire_colours
from helix.output.words.compare_words import difference_lines, differences, key_fact, value_text
from helix.output.words.lesson_words import Lesson, first_lesson
from helix.output.words.words import shown_severity, title_of
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.units import MM_PER_INCH, UnitSystem, format_length

WIDTH_PX = 1600
MOST_JOINTS = 8
_TILT = float(np.radians(16.0))
_CLOSE = 0.42  # width of a close-up, as a proportion of the whole
_TALL = 0.42  # its height, as a proportion of its width
_GHOST = "#dedbd4"
_NAMES = {"stub": "end of the tag"}


@dataclass(frozen=True)
class _Joint:
    """A joint as it will be shown; the lesson of its most severe finding, if it has one."""

    result: ShapeResult
    shown: VisiblePart
    colours: Coloured
    panel: CloseUp | None
    severity: Severity
    lesson: Lesson | None


def compare_canvas(
    comparison: Comparison,
    units: UnitSystem = "metric",
    width_px: int = WIDTH_PX,
    *,
    colour: ColourBy = "verdict",
    theme: Theme = LIGHT,
) -> Canvas:
    """What is wrong, why and what to do; the joints one below the other, the part at fault close by; figures last.

    All joints are drawn at one scale, the throat at the same place in each row; all close-ups show the same window from
    the same side at one scale.
    """
    f = width_px / 84.0
    margin = 2.0 * f
    joints = _joints(comparison, colour, theme)
    wide = _CLOSE * width_px
    strip = width_px - 2 * margin - wide - 1.6 * f
    scale, throat = _common(joints, strip)
    zoom = wide / max((joint.panel.length_mm for joint in joints if joint.panel), default=1.0)
    frames: list[Frame] = []
    over: list[Primitive] = []
    under: list[Primitive] = []
    marks: list[tuple[Severity, float, float, float]] = []
    shapes, y = _lesson_head(joints, margin, margin + 0.4 * f, width_px - 2 * margin, f)
    over += shapes
    for k, joint in enumerate(joints):
        shapes, y = _heading(joint, k, len(joints) > 2, margin, y, width_px - 2 * margin, f, marks)
        over += shapes
        top = y + (2.0 if k == 0 else 0.6) * f
        up, down = _reach(joint, scale)
        tall = max(up + down + 0.6 * f, _TALL * wide)
        view = View(side_view(_TILT).axes, scale, (margin + throat, top + (tall - up - down) / 2 + up))
        frames.append(
            Frame((margin / 2, y, margin + strip + 0.6 * f, top + tall + 1.0 * f), view, joint.shown, joint.colours.rgb)
        )
        over += break_sign(joint.shown, view, joint.shown.d_mm * scale, f)
        over += _names(joint, view, y + 1.2 * f, margin + strip, units, f) if k == 0 else []
        under += _ghost(joint, joints[0], view, f)
        if joint.panel is not None:
            frame = _close_up(
                joint.panel, joint, (width_px - margin - wide, top, width_px - margin, top + tall), zoom, f
            )
            frames.append(frame)
            over += _close_words(joint.panel, frame, zoom / scale, f)
            over += _window(joint.panel, view, tall / zoom, f)
        y = top + tall + 2.6 * f
    bar = round_below(0.16 * strip / _unit(scale, units), (1.0, 2.0, 5.0)) * _unit(scale, units)
    over += scale_bar(scale, units, width_px - margin - bar, y + 0.9 * f, f, 0.8 * strip, "")
    legend = max((joint.colours.legend for joint in joints), key=lambda legend: len(legend.entries))
    over += legend_shapes(legend, margin, y - 1.2 * f, f, 0.6 * width_px)
    y += (4.2 if legend.scale is not None else 2.4) * f
    shapes, y = _figures(comparison, units, margin, y, width_px - 2 * margin, f)
    over += shapes
    for line in wrapped(f"{_diameter(comparison.results, units)} One scale; close-ups enlarged as marked. {SMALL_PRINT}",
                        0.85 * f, width_px - 2 * margin):  # fmt: skip
        over.append(Text(margin, y + 0.8 * f, line, 0.85 * f, SOFT))
        y += 1.2 * f
    title = " | ".join(title_of(result) for result in comparison.results)
    return Canvas(
        width_px, int(np.ceil(y - 0.4 * f + margin / 2)), tuple(frames), tuple(over), tuple(under), title, tuple(marks)
    )


def _part(results: Sequence[ShapeResult]) -> str:
    """The close-up that every joint has: of the part at fault, else of the exit."""
    return next(iter(faulty_parts(results)), chosen(results)[-1])


def _diameter(results: Sequence[ShapeResult], units: UnitSystem) -> str:
    """What d stands for."""
    sizes = {format_length(result.recipe.wire.diameter_mm, units) for result in results}
    return f"d: the wire's diameter{f', {sizes.pop()}' if len(sizes) == 1 else ''}."


def compare_png(canvas: Canvas, theme: Theme = LIGHT, by: Painter | None = None) -> bytes:
    """The canvas as a PNG file; raises CannotRender on a machine that cannot draw."""
    return png_bytes(canvas_pixels(canvas, theme, by=by))


def compare_document(comparison: Comparison, picture: bytes, kind: str, units: UnitSystem = "metric") -> Document:
    """The picture (PNG or SVG, as `kind` says), the differences, every number in a table."""
    names = [title_of(result) for result in comparison.results]
    title = f"{names[0]} beside {', '.join(names[1:])}"
    blocks: list[Block] = [
        Heading(title, 1),
        Picture(picture, kind, "The joints in rows, at one scale, the twists aligned"),
    ]
    for k, name in enumerate(names[1:], 1):
        blocks += [Heading(f"{name}, against {names[0]}"), Bullets(tuple(difference_lines(comparison, k, units)))]
    rows = tuple((row.name, *(value_text(row, value, units) for value in row.values)) for row in comparison.rows)
    marked = tuple(
        (number, k) for number, row in enumerate(comparison.rows) for k, differs in enumerate(row.differs, 1) if differs
    )
    blocks += [Table("Every number", ("", *names), rows, marked=marked), Para(SMALL_PRINT)]
    return Document(title, tuple(blocks))


def _joints(comparison: Comparison, colour: ColourBy, theme: Theme) -> list[_Joint]:
    shown = [shown_part(result.joint, STEP_D) for result in comparison.results]
    top = max(strain_scale(np.array([row.gauge_strain for row in result.sections])) for result in comparison.results)
    part = _part(comparison.results)
    joints = []
    for result, visible in zip(comparison.results, shown, strict=True):
        first = first_lesson(result)
        joints.append(
            _Joint(
                result,
                visible,
                wire_colours(result, visible, colour, theme.metal, top),
                next(iter(panels(result, visible, (part,), comparison.results)), None),
                shown_severity(result.judgement),
                first[1] if first else None,
            )
        )
    return joints


def _common(joints: list[_Joint], strip: float) -> tuple[float, float]:
    """Scale that all share, and where the throat stands from the left."""
    bare = side_view(_TILT)
    flats = [bare.project(joint.shown.points_mm)[0] for joint in joints]
    half = max(joint.shown.d_mm for joint in joints) / 2
    left = max(-float(flat[:, 0].min()) for flat in flats) + half
    right = max(float(flat[:, 0].max()) for flat in flats) + half
    scale = strip / (left + right)
    return scale, left * scale


def _reach(joint: _Joint, scale: float) -> tuple[float, float]:
    """How far the joint reaches above its axis and below it on the canvas."""
    y = side_view(_TILT).project(joint.shown.points_mm)[0][:, 1] * scale
    half = joint.shown.d_mm * scale / 2
    return half - float(y.min()), float(y.max()) + half


def _lesson_head(joints: list[_Joint], x: float, y: float, width: float, f: float) -> tuple[list[Primitive], float]:
    """The lesson of the one joint beside the good one; of several, how many are good and bad; and where it ends."""
    if len(joints) == 2 and joints[1].lesson is not None:
        return _lesson(joints[1].lesson, x, y, width, f, large=True)
    bad = sum(joint.severity > Severity.CAUTION for joint in joints)
    words = f"{len(joints) - bad} good against {bad} bad" if bad else "Nothing is wrong with any of these"
    return [Text(x, y + 1.5 * f, words, 2.0 * f, INK, True)], y + 3.0 * f


def _lesson(
    lesson: Lesson, x: float, y: float, width: float, f: float, *, large: bool
) -> tuple[list[Primitive], float]:
    """Headline, because and do this, a line each, and where they end."""
    shapes: list[Primitive] = []
    if large:
        y += 1.5 * f
        shapes.append(Text(x, y, fitted_line(lesson.headline, 2.0 * f, width, bold=True), 2.0 * f, INK, True))
        y += 0.5 * f
    for head, text in (("Because:", lesson.because), ("Do this:", lesson.do)):
        if text:
            y += 1.75 * f
            shapes.append(Text(x, y, head, 1.2 * f, INK, True))
            room = width - 7.2 * f
            shapes.append(Text(x + 7.2 * f, y, fitted_line(f"{text}.", 1.2 * f, room), 1.2 * f))
    return shapes, y + 1.4 * f


def _heading(
    joint: _Joint, k: int, own: bool, x: float, y: float, width: float, f: float,
    marks: list[tuple[Severity, float, float, float]],
) -> tuple[list[Primitive], float]:  # fmt: skip
    """The joint's verdict and title; its own lesson, where it is one of several; and where that ends."""
    severity = joint.severity
    word = "Good" if not severity else severity.word.capitalize() if severity < Severity.SHARP else severity.name
    title = joint.lesson.headline if own and joint.lesson else title_of(joint.result)
    shapes: list[Primitive] = [
        Area(mark_outline(severity, x + 0.7 * f, y + 0.75 * f, 0.6 * f), MARK_COLOURS[severity], role=f"mark {severity.word}"),
        Text(x + 2.0 * f, y + 1.2 * f, fitted_line(f"{word}: {title}", 1.25 * f, width - 2 * f, bold=True), 1.25 * f, INK, True),
    ]  # fmt: skip
    if severity:
        marks.append((severity, x + 0.7 * f, y + 0.75 * f, 0.6 * f))
    if own and joint.lesson and k:
        more, y = _lesson(joint.lesson, x + 2.0 * f, y + 1.2 * f, width - 2 * f, f, large=False)
        return shapes + more, y
    return shapes, y + 1.8 * f


def _names(joint: _Joint, view: View, level: float, right: float, units: UnitSystem, f: float) -> list[Primitive]:
    """The parts by name, above the wire, each with a line to its part."""
    calls = part_callouts(joint.result, joint.shown, units)
    at = [float(view.project(call.point_mm)[0][0, 0]) for call in calls]
    shapes: list[Primitive] = []
    free = right + f
    for x, call in sorted(zip(at, calls, strict=True), key=lambda pair: -pair[0]):
        words = _NAMES.get(call.name, call.title)
        half = text_width(words, 0.95 * f) / 2
        middle = min(x, free - half)
        free = middle - half - 0.7 * f
        low = float(view.project(call.point_mm)[0][0, 1]) - joint.shown.d_mm * view.scale / 2
        shapes.append(Text(middle, level, words, 0.95 * f, INK, anchor="middle"))
        shapes.append(Stroke(((middle, level + 0.35 * f), (x, low)), 0.08 * f, SOFT, f"name {call.name}"))
    return shapes


def _ghost(joint: _Joint, first: _Joint, view: View, f: float) -> list[Primitive]:
    """The twist of the first joint, pale, behind one that has none."""
    if joint is first or joint.result.counts.turns or not first.result.counts.turns:
        return []
    width = first.shown.d_mm * view.scale
    shapes: list[Primitive] = []
    for name in ("twist_standing", "twist_tag"):
        flat = view.project(first.shown.points_mm[first.shown.rows(name)])[0]
        shapes.append(Stroke(tuple((float(x), float(y)) for x, y in flat), width, _GHOST, "ghost"))
    place = view.project([[0.0, 0.0, first.result.joint.axial["exit"]]])[0][0]
    shapes.append(
        Text(
            float(place[0]),
            float(place[1]) - width - 0.5 * f,
            "the twist that is missing",
            0.95 * f,
            SOFT,
            anchor="end",
        )
    )
    return shapes


def _close_up(panel: CloseUp, joint: _Joint, box: Box, scale: float, f: float) -> Frame:
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


def _close_words(panel: CloseUp, frame: Frame, zoom: float, f: float) -> list[Primitive]:
    """What is drawn into a close-up and written below it."""
    x0, _, x1, y1 = frame.box
    shapes: list[Primitive] = []
    wire = frame.shown.d_mm * frame.view.scale
    if frame.shown.break_mm is not None:
        (left, _), (right, _) = frame.view.project([[0.0, 0.0, z] for z in frame.shown.break_mm])[0].tolist()
        if x0 < left and right < x1:
            shapes += break_sign(frame.shown, frame.view, wire, f)
    if panel.angle is not None:
        shapes += angle_shapes(panel.angle, frame.view, 0.9 * f, MARK_COLOURS[panel.severity], frame.box, frame.shown)
    for guide in panel.guides:
        shapes += guide_shapes(guide, frame.view, 0.95 * f, frame.box, frame.view.origin[1], wire)
    size, room = 0.9 * f, x1 - x0 - 4.0 * f
    shapes.append(Text(x0, y1 + 1.35 * f, fitted_line(panel.title, size, room), size, INK))
    shapes.append(Text(x1, y1 + 1.35 * f, f"x{zoom:.1f}", size, SOFT, anchor="end"))
    return shapes


def _figures(
    comparison: Comparison, units: UnitSystem, x: float, y: float, width: float, f: float
) -> tuple[list[Primitive], float]:
    """The figures, small: what each joint has that the first has not, the finding and the hold first; where they end."""
    shapes: list[Primitive] = []
    for k in range(1, len(comparison.results)):
        differing, fact = differences(comparison, k, units), key_fact(comparison.results[k], units)
        if differing.verdict and not shown_severity(comparison.results[k].judgement):
            fact = f"{fact}, against {key_fact(comparison.results[0], units)}"
        rest = " ".join(text for text in (differing.hold, *differing.lines) if text)
        rest = rest or " ".join(difference_lines(comparison, k, units))
        name = f"{title_of(comparison.results[k])}, " if len(comparison.results) > 2 else ""
        for line in wrapped(f"{name}{fact}. {rest}", 0.9 * f, width):
            shapes.append(Text(x, y + 0.9 * f, line, 0.9 * f, SOFT))
            y += 1.3 * f
        y += 0.3 * f
    return shapes, y


def _unit(scale: float, units: UnitSystem) -> float:
    return scale * (MM_PER_INCH if units == "inch" else 1.0)
