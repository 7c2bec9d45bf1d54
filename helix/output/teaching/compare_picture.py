"""Good beside bad: joints in rows, at one scale and from one side, the twists one below the other; PNG, SVG or HTML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import LIGHT, Box, Canvas, Frame, Theme, canvas_pixels, png_bytes
from helix.output.canvas.label_places import Silhouette, beside
from helix.output.canvas.legend import legend_shapes
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Stroke, Text
from helix.output.picture.closeups import CloseUp, chosen, faulty_parts, panels
from helix.output.picture.markers import places, spots
from helix.output.picture.picture import STEP_D
from helix.output.picture.picture_layout import SMALL_PRINT, break_sign, mark_outline, round_below, scale_bar
from helix.output.picture.render import Painter
from helix.output.picture.view import View, VisiblePart, shown_part, side_view
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Picture, Table
from helix.output.shape.colouring import ColourBy, Coloured, strain_scale
from helix.output.shape.labels import angle_shapes, guide_shapes
from helix.output.shape.wire_colours import wire_colours
from helix.output.words.compare_words import difference_lines, differences, key_fact, value_text
from helix.output.words.words import shown_severity, title_of
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.units import MM_PER_INCH, UnitSystem, format_length

WIDTH_PX = 1600
MOST_JOINTS = 8
_TILT = float(np.radians(16.0))
_CLOSE = 0.19  # width of a close-up, as a share of the whole
_TALL = 0.74  # least height of a row, as a share of that
_BESIDE = ("entry", "exit")


@dataclass(frozen=True)
class _Joint:
    """A joint as it will be shown."""

    result: ShapeResult
    shown: VisiblePart
    colours: Coloured
    panels: tuple[CloseUp, ...]


def compare_canvas(
    found: Comparison,
    units: UnitSystem = "metric",
    width_px: int = WIDTH_PX,
    *,
    colour: ColourBy = "verdict",
    theme: Theme = LIGHT,
) -> Canvas:
    """The joints one below the other, their bends close by, and below each what makes it differ from the first.

    All are drawn at one scale; the throat, where the twist begins, stands at the same place in each row.
    """
    f = width_px / 84.0
    margin, gap = 2.0 * f, 1.2 * f
    joints = _joints(found, colour, theme)
    close = _CLOSE * width_px
    parts = _parts(found.results)
    wide = {part: 2 * close + gap if len(parts) == 1 else close for part in parts}
    strip = width_px - 2 * margin - 2 * (close + gap)
    scale, throat = _common(joints, strip)
    zooms = {
        part: wide[part] / max((panel.length_mm for joint in joints for panel in joint.panels if panel.name == part),
                               default=1.0)
        for part in parts
    }  # fmt: skip
    y = margin
    frames: list[Frame] = []
    over: list[Primitive] = []
    under: list[Primitive] = []
    marks: list[tuple[Severity, float, float, float]] = []
    for k, joint in enumerate(joints):
        over += _heading(joint, k, margin, y, width_px, f)
        top = y + 2.3 * f
        up, down = _reach(joint, scale)
        tall = max(up + down + 0.6 * f, _TALL * close)
        view = View(side_view(_TILT).axes, scale, (margin + throat, top + (tall - up - down) / 2 + up))
        box = (margin / 2, top - f, margin + strip + 0.6 * f, top + tall + 1.6 * f)
        frames.append(Frame(box, view, joint.shown, joint.colours.rgb))
        over += break_sign(joint.shown, view, joint.shown.d_mm * scale, f)
        over += _marks(joint, view, (margin, top, margin + strip, top + tall + 0.4 * f), f, marks)
        captions = 1
        left = width_px - margin - 2 * close - gap
        for part in parts:
            panel = next((each for each in joint.panels if each.name == part), None)
            if panel is not None:
                frames.append(_close_up(panel, joint, (left, top, left + wide[part], top + tall), zooms[part], f))
                shapes, lines = _close_words(panel, frames[-1], zooms[part] / scale, f)
                over, captions = over + shapes, max(captions, lines)
            left += wide[part] + gap
        under += _throat_line(margin + throat, top, top + tall, f, "" if k else _throat_words(found.results))
        y = top + tall + 2.2 * f
        shapes, height = _told(found, k, units, margin, y, strip, f)
        over += shapes
        y = max(y + height, top + tall + (1.35 + 1.25 * captions) * f) + 1.6 * f
    bar = round_below(0.16 * strip / _unit(scale, units), (1.0, 2.0, 5.0)) * _unit(scale, units)
    over += scale_bar(scale, units, width_px - margin - bar, y + 0.9 * f, f, 0.8 * strip, "")
    legend = max((joint.colours.legend for joint in joints), key=lambda each: len(each.entries))
    over += legend_shapes(legend, margin, y - 0.8 * f, f, 0.6 * width_px)
    y += (4.2 if legend.scale is not None else 2.6) * f
    for line in wrapped(f"{_diameter(found.results, units)} One scale; close-ups enlarged as marked. {SMALL_PRINT}",
                        0.85 * f, width_px - 2 * margin):  # fmt: skip
        over.append(Text(margin, y + 0.8 * f, line, 0.85 * f, SOFT))
        y += 1.2 * f
    title = " | ".join(title_of(result) for result in found.results)
    return Canvas(
        width_px, int(np.ceil(y - 0.4 * f + margin / 2)), tuple(frames), tuple(over), tuple(under), title, tuple(marks)
    )


def _parts(results: Sequence[ShapeResult]) -> tuple[str, ...]:
    """The close-ups of every joint: a wide one of the part at fault, if it is one and no bend; else two."""
    faulty = list(faulty_parts(results))
    if len(faulty) == 1 and faulty[0] not in _BESIDE:
        return (faulty[0],)
    return chosen(results)


def _diameter(results: Sequence[ShapeResult], units: UnitSystem) -> str:
    """What d stands for."""
    sizes = {format_length(result.recipe.wire.diameter_mm, units) for result in results}
    return f"d: the wire's diameter{f', {sizes.pop()}' if len(sizes) == 1 else ''}."


def compare_png(canvas: Canvas, theme: Theme = LIGHT, by: Painter | None = None) -> bytes:
    """The canvas as a PNG file; raises CannotRender on a machine that cannot draw."""
    return png_bytes(canvas_pixels(canvas, theme, by=by))


def compare_document(found: Comparison, picture: bytes, kind: str, units: UnitSystem = "metric") -> Document:
    """The picture (PNG or SVG, as `kind` says), the differences, every number in a table."""
    names = [title_of(result) for result in found.results]
    title = f"{names[0]} beside {', '.join(names[1:])}"
    blocks: list[Block] = [
        Heading(title, 1),
        Picture(picture, kind, "The joints in rows, at one scale, the twists aligned"),
    ]
    for k, name in enumerate(names[1:], 1):
        blocks += [Heading(f"{name}, against {names[0]}"), Bullets(tuple(difference_lines(found, k, units)))]
    rows = tuple((row.name, *(value_text(row, value, units) for value in row.values)) for row in found.rows)
    marked = tuple(
        (number, k) for number, row in enumerate(found.rows) for k, differs in enumerate(row.differs, 1) if differs
    )
    blocks += [Table("Every number", ("", *names), rows, marked=marked), Para(SMALL_PRINT)]
    return Document(title, tuple(blocks))


def _joints(found: Comparison, colour: ColourBy, theme: Theme) -> list[_Joint]:
    shown = [shown_part(result.joint, STEP_D) for result in found.results]
    top = max(strain_scale(np.array([row.gauge_strain for row in result.sections])) for result in found.results)
    return [
        _Joint(
            result,
            part,
            wire_colours(result, part, colour, theme.metal, top),
            panels(result, part, _parts(found.results), found.results),
        )
        for result, part in zip(found.results, shown, strict=True)
    ]


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


def _heading(joint: _Joint, k: int, x: float, y: float, width: float, f: float) -> list[Primitive]:
    severity = shown_severity(joint.result.judgement)
    said = severity.name if severity else severity.word
    title = fitted_line(f"{k + 1}  {title_of(joint.result)}: {said}", 1.3 * f, width - 2 * x, bold=True)
    return [
        Area(mark_outline(severity, x + 0.6 * f, y + 0.75 * f, 0.5 * f), MARK_COLOURS[severity]),
        Text(x + 1.8 * f, y + 1.2 * f, title, 1.3 * f, INK, True),
    ]


def _marks(
    joint: _Joint, view: View, box: Box, f: float, marks: list[tuple[Severity, float, float, float]]
) -> list[Primitive]:
    """A mark beside each place of a finding, outside the wire, with a short leader to it."""
    flat = view.project(joint.shown.points_mm)[0]
    half, size = joint.shown.d_mm * view.scale / 2, 0.75 * f
    wire, shapes = Silhouette(flat, half), list[Primitive]()
    taken: list[tuple[float, float, float, float]] = []
    for place in places(spots(joint.result, joint.shown, view), view, 4.0 * half):
        (x, y), end = beside((place.x, place.y), wire, (size, size), box, taken, f)
        taken.append((x - size, y - size, x + size, y + size))
        colour = MARK_COLOURS[place.severity]
        shapes.append(Stroke(((x, y), end), 0.22 * f, colour, "mark leader"))
        outline = mark_outline(place.severity, x, y, 0.75 * size)
        shapes.append(Area(outline, colour, "#ffffff", 0.1 * f, f"mark {place.severity.word}"))
        marks.append((place.severity, x, y, 0.75 * size))
    return shapes


def _close_up(panel: CloseUp, joint: _Joint, box: tuple[float, float, float, float], scale: float, f: float) -> Frame:
    x0, y0, x1, y1 = box
    view = View(panel.view.axes, scale, ((x0 + x1) / 2 - panel.middle_mm * scale, (y0 + y1) / 2))
    edge = MARK_COLOURS[panel.severity] if panel.severity else SOFT
    return Frame(box, view, joint.shown, joint.colours.rgb, True, edge, (0.08 if edge == SOFT else 0.2) * f)


def _close_words(panel: CloseUp, frame: Frame, zoom: float, f: float) -> tuple[list[Primitive], int]:
    """What is drawn into a close-up and written below it, and in how many lines."""
    x0, _, x1, y1 = frame.box
    shapes: list[Primitive] = []
    colour = MARK_COLOURS[panel.severity]
    wire = frame.shown.d_mm * frame.view.scale
    if frame.shown.break_mm is not None:
        (left, _), (right, _) = frame.view.project([[0.0, 0.0, z] for z in frame.shown.break_mm])[0].tolist()
        if x0 < left and right < x1:
            shapes += break_sign(frame.shown, frame.view, wire, f)
    if panel.angle is not None:
        shapes += angle_shapes(panel.angle, frame.view, 0.8 * f, colour, frame.box, frame.shown)
    for guide in panel.guides:
        shapes += guide_shapes(guide, frame.view, 0.85 * f, frame.box, frame.view.origin[1], wire)
    size, room = 0.95 * f, x1 - x0 - 4.0 * f
    title = fitted_line(panel.heading(), size, room, bold=True)
    shapes.append(Area(mark_outline(panel.severity, x0 + 0.5 * f, y1 + 1.0 * f, 0.38 * f), colour))
    shapes.append(Text(x0 + 1.3 * f, y1 + 1.35 * f, title, size, INK, True))
    size = 0.85 * f
    shapes.append(Text(x1, y1 + 1.35 * f, f"x{zoom:.1f}", size, SOFT, anchor="end"))
    lines = wrapped(", ".join(panel.caption), size, x1 - x0, most=3)
    shapes += [Text(x0, y1 + (2.6 + 1.25 * j) * f, line, size, INK) for j, line in enumerate(lines)]
    return shapes, 1 + len(lines)


def _told(
    found: Comparison, k: int, units: UnitSystem, x: float, y: float, width: float, f: float
) -> tuple[list[Primitive], float]:
    """What a joint has that the first has not: the one thing to know in bold, then the numbers; and their height.

    The first itself has nothing to be told.
    """
    if k == 0:
        return [], 0.0
    told, head = differences(found, k, units), key_fact(found.results[k], units)
    if told.verdict and not shown_severity(found.results[k].judgement):
        head = f"{head}, against {key_fact(found.results[0], units)}"
    shapes: list[Primitive] = []
    top = y
    for line in wrapped(head, 1.1 * f, width, bold=True):
        shapes.append(Text(x, y, line, 1.1 * f, INK, True))
        y += 1.5 * f
    parts = [text for text in (told.hold, " ".join(told.lines)) if text] or difference_lines(found, k, units)
    for text in parts:
        for line in wrapped(text, f, width):
            shapes.append(Text(x, y, line, f))
            y += 1.35 * f
        y += 0.35 * f
    return shapes, y - top - 1.4 * f


def _throat_words(results: Sequence[ShapeResult]) -> str:
    """What the line at the throat is called: where a joint has no twist, none begins there."""
    return "twist begins" if all(result.counts.turns for result in results) else "throat"


def _throat_line(x: float, top: float, bottom: float, f: float, words: str) -> list[Primitive]:
    """A broken line behind each row at the throat, named in the first."""
    shapes: list[Primitive] = []
    for y in np.arange(top, bottom - 0.6 * f, 1.2 * f).tolist():
        shapes.append(Stroke(((x, y), (x, y + 0.6 * f)), 0.09 * f, SOFT, "throat"))
    if words:
        shapes.append(Text(x + 0.5 * f, top + 0.7 * f, words, 0.85 * f, SOFT))
    return shapes


def _unit(scale: float, units: UnitSystem) -> float:
    return scale * (MM_PER_INCH if units == "inch" else 1.0)
