"""Good beside bad: the lesson first, then the joints in rows at one scale and from one side; PNG, SVG or HTML."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from helix.findings import Severity
from helix.output.canvas.canvas import LIGHT, Canvas, Theme, canvas_pixels, png_bytes
from helix.output.canvas.legend import legend_shapes
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, SOFT, Area, Primitive, Text
from helix.output.picture.closeup.closeups import chosen, faulty_parts, panels
from helix.output.picture.picture import STEP_D
from helix.output.picture.picture_layout import mark_outline, round_below, scale_bar
from helix.output.picture.render import Painter
from helix.output.picture.view import shown_part
from helix.output.report.document import Block, Bullets, Document, Heading, Picture, Table
from helix.output.shape.colouring import ColourBy, strain_scale
from helix.output.shape.wire_colours import wire_colours
from helix.output.teaching.compare_rows import CLOSE, MADE_RIGHT, Drawing, JointRow, common_scale, draw_row
from helix.output.words.answer_words import CAUTION
from helix.output.words.compare_words import difference_lines, differences, key_fact, tally, value_text
from helix.output.words.lesson_words import Lesson, first_lesson
from helix.output.words.words import shown_severity, small_eye_line, title_of, verdict_word
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison
from helix.units import MM_PER_INCH, UnitSystem, format_length

WIDTH_PX = 1600
MOST_JOINTS = 8
_BAR_ROOM = 10.5  # for the words on the scale bar, in letters' heights


def compare_canvas(
    comparison: Comparison,
    units: UnitSystem = "metric",
    width_px: int = WIDTH_PX,
    *,
    colour: ColourBy = "verdict",
    theme: Theme = LIGHT,
) -> Canvas:
    """What is wrong, why and what to do; the joints one below the other, the part at fault close by; figures last.

    All joints are drawn at one scale, the throat at the same place in each row. A close-up of a fault shows the same
    window from the same side at the same scale as that of the good joint: beside the good joint where all others have
    their fault in one part, else above that of the fault.
    """
    f = width_px / 84.0
    margin = 2.0 * f
    joints = _joints(comparison, colour, theme)
    wide = CLOSE * width_px
    strip = width_px - 2 * margin - wide - 1.6 * f
    scale, throat = common_scale(joints, strip)
    sheet = Drawing(f, margin, width_px - margin, wide, strip, scale, throat)
    shapes, y = _lesson_head(comparison, joints, units, margin, margin + 0.4 * f, width_px - 2 * margin, f)
    sheet.over += shapes
    for k, joint in enumerate(joints):
        shapes, y = _heading(joint, k, len(joints) > 2, margin, y, width_px - 2 * margin, f, sheet.marks)
        sheet.over += shapes
        y = draw_row(sheet, joints, k, y, units)
    bar = round_below(0.16 * strip / _unit(scale, units), (1.0, 2.0, 5.0)) * _unit(scale, units)
    at = width_px - margin - max(bar, _BAR_ROOM * f)
    sheet.over += scale_bar(scale, units, at, y + 0.9 * f, f, 0.8 * strip, "whole joints")
    legend = max((joint.colours.legend for joint in joints), key=lambda legend: len(legend.entries))
    sheet.over += legend_shapes(legend, margin, y - 1.2 * f, f, 0.6 * width_px)
    y += (4.2 if legend.scale is not None else 2.4) * f
    shapes, y = _figures(comparison, units, margin, y, width_px - 2 * margin, f)
    sheet.over += shapes
    for line in wrapped(f"{_diameter(comparison.results, units)} One scale; close-ups enlarged as marked. {CAUTION}",
                        0.85 * f, width_px - 2 * margin):  # fmt: skip
        sheet.over.append(Text(margin, y + 0.8 * f, line, 0.85 * f, SOFT))
        y += 1.2 * f
    title = " | ".join(title_of(result) for result in comparison.results)
    height = int(np.ceil(y - 0.4 * f + margin / 2))
    return Canvas(
        width_px, height, tuple(sheet.frames), tuple(sheet.over), tuple(sheet.under), title, tuple(sheet.marks)
    )


_SHOWS: Final = (
    ("eye", ("eye_mm",)), ("twist", ("lay_d", "tag_share")), ("exit", ("exit_deg", "exit_d", "leg_d")),
    ("entry", ("entry_deg", "entry_radius_d")), ("barrel", ("wraps", "gap_d", "barrel_hand")), ("twist", ("turns",)),
)  # fmt: skip
"""The close-up that shows a difference where nothing is wrong: the first of these that differs."""


def _part(comparison: Comparison, results: Sequence[ShapeResult]) -> str:
    """The close-up that every joint has: of the part at fault, else of what differs, else of the exit."""
    differing = (part for part, keys in _SHOWS if any(any(comparison.row(key).differs) for key in keys))
    return next(iter(faulty_parts(results)), "") or next(differing, "") or chosen(results)[-1]


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
    blocks += [Table("Every number", ("", *names), rows, marked=marked)]
    return Document(title, tuple(blocks))


def _joints(comparison: Comparison, colour: ColourBy, theme: Theme) -> list[JointRow]:
    shown = [shown_part(result.joint, STEP_D) for result in comparison.results]
    top = max(strain_scale(np.array([row.gauge_strain for row in result.sections])) for result in comparison.results)
    good, *others = comparison.results
    parts = [_part(comparison, (result,)) if shown_severity(result.judgement) else "" for result in others]
    one = len({part for part in parts if part}) < 2
    common = _part(comparison, comparison.results)
    joints = []
    for k, (result, visible) in enumerate(zip(comparison.results, shown, strict=True)):
        first = first_lesson(result)
        part = common if one else (parts[k - 1] if k else "")
        pair = list(comparison.results) if one else [good, result]
        panel = next(iter(panels(result, visible, (part,), pair)), None) if part else None
        beside = None if one or panel is None else next(iter(panels(good, shown[0], (part,), pair)), None)
        joints.append(
            JointRow(
                result,
                visible,
                wire_colours(result, visible, colour, theme.metal, top),
                panel,
                beside,
                shown_severity(result.judgement),
                first[1] if first else None,
            )
        )
    return joints


def _lesson_head(
    comparison: Comparison, joints: list[JointRow], units: UnitSystem, x: float, y: float, width: float, f: float
) -> tuple[list[Primitive], float]:
    """The lesson of the one joint beside the good one; of several, how many are good and bad; where nothing is wrong, what
    differs; and where it ends."""
    if len(joints) == 2 and joints[1].lesson is not None:
        return _lesson(joints[1].lesson, x, y, width, f, large=True)
    if any(joint.severity for joint in joints):
        return [Text(x, y + 1.5 * f, tally([joint.result for joint in joints]), 2.0 * f, INK, True)], y + 3.0 * f
    differing = differences(comparison, 1, units).lines[:1] if len(joints) == 2 else ()
    head = "Both are made right: what differs" if differing else "Nothing is wrong with any of these"
    shapes: list[Primitive] = [Text(x, y + 1.5 * f, head, 2.0 * f, INK, True)]
    y += 3.0 * f
    eye = small_eye_line(joints[1].result) if differing else ""
    for line in (part for text in (*differing, eye) if text for part in wrapped(text, 1.2 * f, width)):
        shapes.append(Text(x, y + 0.6 * f, line, 1.2 * f, INK))
        y += 1.65 * f
    return shapes, y + 0.4 * f


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
    joint: JointRow, k: int, own: bool, x: float, y: float, width: float, f: float,
    marks: list[tuple[Severity, float, float, float]],
) -> tuple[list[Primitive], float]:  # fmt: skip
    """The joint's verdict and title; its own lesson, where it is one of several; and where that ends."""
    severity = joint.severity
    told = verdict_word(joint.result.judgement)
    word = MADE_RIGHT if not severity else told.capitalize() if severity < Severity.SHARP else told
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


def _figures(
    comparison: Comparison, units: UnitSystem, x: float, y: float, width: float, f: float
) -> tuple[list[Primitive], float]:
    """The figures, small: what is found of each joint, what it holds, and what else differs most; where they end."""
    shapes: list[Primitive] = []
    for k in range(1, len(comparison.results)):
        differing, fact = differences(comparison, k, units), key_fact(comparison.results[k], units)
        first = key_fact(comparison.results[0], units)
        if differing.verdict and not shown_severity(comparison.results[k].judgement) and fact != first:
            fact = f"{fact}, against {first}"
        name = f"{title_of(comparison.results[k])}, " if len(comparison.results) > 2 else ""
        headed = len(comparison.results) == 2 and not shown_severity(comparison.results[1].judgement)
        lines = ["" if headed else f"{name}{fact}.", differing.hold, " ".join(differing.lines[headed : 2 + headed])]
        lines = lines if any(lines) else [f"{name}{line}" for line in difference_lines(comparison, k, units)[:1]]
        for line in (part for text in lines if text for part in wrapped(text, 0.98 * f, width)):
            shapes.append(Text(x, y + 0.9 * f, line, 0.98 * f, INK))
            y += 1.4 * f
        y += 0.3 * f
    return shapes, y


def _unit(scale: float, units: UnitSystem) -> float:
    return scale * (MM_PER_INCH if units == "inch" else 1.0)
