"""The sheet round the joint: title, answer, labels with leader lines, marked bends, scale; as plain shapes.

A drawing writes the shapes as SVG, a picture paints them as pixels; both look alike. Canvas x runs to the
right and y down, in pixels for a picture and mm for a drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Severity
from helix.output.canvas.label_places import STEP, LabelBlock, Silhouette, centring, place_label, sized
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, MARK_COLOURS, PAPER, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.view import View, VisiblePart, fitted, placed
from helix.output.shape.labels import bend_callouts, part_callouts
from helix.output.words.answer_words import CAUTION
from helix.output.words.words import answer_line, more_words, telling, title_of, verdict_line
from helix.units import MM_PER_INCH, UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

_ROUND_SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
_LEAST_F = 7.0  # height that the joint itself is left, in heights of the font
_ROUND_LENGTHS = (1.0, 2.0, 5.0)


@dataclass(frozen=True)
class Sheet:
    """A canvas of width x height, the view that places the joint on it, and everything round the joint.

    under: shapes behind the wire; over: shapes in front of it. rings: (severity, x, y, radius) of each mark.
    """

    width: float
    height: float
    view: View
    under: tuple[Primitive, ...]
    over: tuple[Primitive, ...]
    rings: tuple[tuple[Severity, float, float, float], ...]
    wire_width: float


def compose(
    result: ShapeResult,
    shown: VisiblePart,
    view: View,
    size: tuple[float, float],
    units: UnitSystem,
    *,
    whole_scale: bool = False,
    scale_note: str = "",
) -> Sheet:
    """Place the joint and all that is written round it on a canvas of `size` (width, height).

    whole_scale: take the largest round scale that fits (1, 1.25, 1.5, 2 ... : 1) instead of filling the
    canvas. scale_note: text beside the scale bar, in which {scale} becomes that number.
    """
    width, height = size
    d = result.recipe.wire.diameter_mm
    f = min(height / 46, width / 78)
    margin = 2.2 * f
    shapes: list[Primitive] = []
    y = margin + 0.7 * f
    shapes.append(
        Text(margin, y, fitted_line(title_of(result), 1.55 * f, width - 2 * margin, bold=True), 1.55 * f, INK, True)
    )
    y += 2.0 * f
    shapes.append(Text(margin, y, fitted_line(answer_line(result, units), 1.2 * f, width - 2 * margin), 1.2 * f))
    for line in verdict_lines(result, units, 1.2 * f, width - 2 * margin):
        y += 1.65 * f
        shapes.append(Text(margin, y, line, 1.2 * f, INK, True))
    top, bottom = y + 1.6 * f, height - margin - 2.6 * f

    parts = sized(part_callouts(result, shown, units), f, width)
    calls = bend_callouts(result, shown, units)
    bends = sized(calls, f, width)
    above = max((block.height for block in parts), default=0.0) + 1.6 * f
    while True:
        below = max((block.height for block in bends), default=0.0) + 2.4 * f
        if len(calls) <= 1 or bottom - top - above - below >= _LEAST_F * f:
            break
        calls = calls[:-1]  # the least grave; those left have more width
        bends = sized(calls, f, width)
    box = (margin, top + above, width - margin, max(bottom - below, top + above + 4 * f))
    view = fitted(view, shown, box)
    if whole_scale:
        view = placed(View(view.axes, round_below(view.scale, _ROUND_SCALES)), shown, box)
    wire = d * view.scale
    edge = Silhouette(view.project(shown.points_mm)[0], wire / 2)

    place_label(parts, view, edge, f, (margin, width - margin), up=True)
    place_label(bends, view, edge, f, (margin, width - margin), up=False)
    shift = centring(parts, bends, edge, top, bottom)
    view = View(view.axes, view.scale, (view.origin[0], view.origin[1] + shift))
    for block in (*parts, *bends):
        block.y += shift
        block.anchor = (block.anchor[0], block.anchor[1] + shift)
    over: list[Primitive] = []
    rings: list[tuple[Severity, float, float, float]] = []
    for block in parts:
        over += part_shapes(block, f)
    for block in bends:
        others = [(float(x), float(y)) for x, y in view.project(np.reshape(block.call.also_mm, (-1, 3)))[0]]
        over += bend_shapes(block, f, wire, others, rings)
    over += break_sign(shown, view, wire, f)
    over += scale_bar(view.scale, units, margin, height - margin, f, width, scale_note)
    small = fitted_line(CAUTION, 0.85 * f, width * 0.62)
    meant = f"d: the wire's diameter, {format_length(d, units)}."
    more = len(telling(result)) - sum(bool(call.severity) for call in calls)
    meant = f"{more_words(more)}. {meant}" if more > 0 else meant
    over.append(Text(width - margin, height - margin - 1.25 * f, meant, 0.85 * f, SOFT, anchor="end"))
    over.append(Text(width - margin, height - margin, small, 0.85 * f, SOFT, anchor="end"))
    return Sheet(width, height, view, tuple(shapes), tuple(over), tuple(rings), wire)


def verdict_lines(result: ShapeResult, units: UnitSystem, size: float, width: float, most: int = 2) -> list[str]:
    """The verdict in bold lines, never cut: short words where it is long, then the most severe and how many more."""
    lines = wrapped(verdict_line(result, units), size, width, bold=True)
    for kept in range(len(telling(result)), 0, -1):
        if len(lines) <= most:
            break
        lines = wrapped(verdict_line(result, units, short=True, most=kept), size, width, bold=True)
    return lines[:most]


def round_below(value: float, steps: Sequence[float]) -> float:
    """The largest of `steps` times a power of ten that is not above value.

    >>> round_below(7.3, (1, 2, 5)), round_below(0.24, (1, 2, 5))
    (5.0, 0.2)
    """
    power = 10.0 ** np.floor(np.log10(value))
    fitting = [step * power for step in steps if step * power <= value * (1 + 1e-12)]
    return float(round(max(fitting, default=steps[-1] * power / 10), 12))


def part_shapes(block: LabelBlock, f: float) -> list[Primitive]:
    """Words, leader line and dot of a part."""
    x, y = block.anchor
    foot = block.y + block.height + 0.2 * f
    path = _elbow(block.head, foot, x, y, foot + (0.5 + STEP * block.level) * f)
    return [Stroke(path, 0.09 * f, INK, f"leader {block.call.name}"), *_dot(x, y, 0.24 * f, INK), *_moved(block)]


def bend_shapes(
    block: LabelBlock,
    f: float,
    wire: float,
    others: list[tuple[float, float]],
    rings: list[tuple[Severity, float, float, float]],
) -> list[Primitive]:
    """Leader line, marks in place, coloured bar and words of a bend or another finding."""
    x, y = block.anchor
    severity = block.call.severity or Severity.OK
    colour = MARK_COLOURS[severity]
    shapes: list[Primitive] = []
    start = y
    if not block.call.ring:
        shapes += _dot(x, y, 0.3 * f, colour)
    else:
        radius = max(1.8 * wire, 1.4 * f)  # wide and thin: what it points at is seen through it
        outlines = []
        for place in ((x, y), *others):
            if all(np.hypot(place[0] - ring[1], place[1] - ring[2]) > 0.7 * ring[3] for ring in rings):
                rings.append((severity, *place, radius))
                outlines.append(mark_outline(severity, *place, radius))
        role = f"mark {severity.word} {block.call.name}"
        shapes += [Area(outline, None, "#ffffff", 0.3 * f, "halo") for outline in outlines]
        shapes += [Area(outline, None, colour, 0.15 * f, role) for outline in outlines]
        start = max(py for _, py in mark_outline(severity, x, y, radius))
        if block.head != x:  # leave beside the tip, so that two marks at one place keep two lines
            aside = 0.45 * radius
            x += aside if block.head > x else -aside
            start -= aside if severity >= Severity.SHARP else 0.0
    path = _elbow(block.head, block.y + 0.25 * f, x, start, block.y - (0.45 + STEP * block.level) * f)
    shapes.append(Stroke(path, 0.14 * f, colour, f"leader {block.call.name}"))
    shapes.append(Area(rectangle(block.x, block.y + 0.25 * f, block.x + 0.28 * f, block.y + block.height), colour))
    shapes.append(Area(mark_outline(severity, block.x + 0.95 * f, block.y + 0.95 * f, 0.42 * f), colour))
    return shapes + _moved(block)


def _elbow(x0: float, y0: float, x1: float, y1: float, level: float) -> tuple[tuple[float, float], ...]:
    """From (x0, y0) to (x1, y1), straight where one stands over the other, else along the level."""
    if abs(x0 - x1) < 1e-9:
        return ((x0, y0), (x1, y1))
    return ((x0, y0), (x0, level), (x1, level), (x1, y1))


def _moved(block: LabelBlock) -> list[Primitive]:
    return [
        Text(block.x + line.x, block.y + line.y, line.text, line.size, line.colour, line.bold) for line in block.lines
    ]


def mark_outline(severity: Severity, x: float, y: float, radius: float) -> tuple[tuple[float, float], ...]:
    """A square on its corner for a fault, a triangle for a sharp bend, a hexagon for caution, a circle for the rest."""
    corners, grow, turned = {
        Severity.FAULT: (4, 1.3, 0.0), Severity.SHARP: (3, 1.45, -np.pi / 2.0), Severity.CAUTION: (6, 1.08, 0.0),
    }.get(severity, (24, 1.0, 0.0))  # fmt: skip
    angle = turned + 2 * np.pi * np.arange(corners) / corners
    return tuple((float(x + grow * radius * np.cos(a)), float(y + grow * radius * np.sin(a))) for a in angle)


def _dot(x: float, y: float, radius: float, colour: str) -> list[Primitive]:
    return [Area(mark_outline(Severity.OK, x, y, radius), colour, PAPER, radius * 0.5)]


def break_sign(shown: VisiblePart, view: View, wire: float, f: float) -> list[Primitive]:
    """Two slanted lines across the standing leg where a length of it is left out."""
    if shown.break_mm is None:
        return []
    flat, _ = view.project([[0.0, 0.0, z] for z in shown.break_mm])
    reach, lean = 1.1 * wire, 0.22 * wire
    return [
        Stroke(((float(x) - lean, float(y) + reach), (float(x) + lean, float(y) - reach)), 0.16 * f, INK, "break")
        for x, y in flat
    ]


def scale_bar(
    scale: float, units: UnitSystem, x: float, y: float, f: float, width: float, note: str
) -> list[Primitive]:
    """A bar of a round length with end ticks, its length in the units that people chose."""
    per_unit = scale * (MM_PER_INCH if units == "inch" else 1.0)
    length = round_below(0.2 * width / per_unit, _ROUND_LENGTHS)
    end = x + length * per_unit
    unit = "in" if units == "inch" else "mm"
    label = f"{length:g} {unit}" + (", " + note.format(scale=f"{scale:g}") if note else "")
    tick = 0.45 * f
    return [
        Stroke(((x, y), (end, y)), 0.22 * f, INK, "scale bar"),
        Stroke(((x, y - tick), (x, y + tick)), 0.16 * f),
        Stroke(((end, y - tick), (end, y + tick)), 0.16 * f),
        Text(x, y - 0.9 * f, label, f, INK),
    ]
