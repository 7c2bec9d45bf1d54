"""The joint on paper: at true size, and enlarged with its dimensions and its bends marked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Severity
from helix.output.canvas.label_places import LabelBlock, Silhouette, place_label, sized, spread
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, SOFT, Primitive, Stroke, Text
from helix.output.picture.picture_layout import bend_shapes, break_sign, round_below
from helix.output.picture.view import View, VisiblePart, placed, side_view
from helix.output.shape.labels import bend_callouts
from helix.output.shape.wire_shapes import wire_shapes
from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

SCALES = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
LETTER = 2.35
"""Height of the small letters' font on the sheet [mm], 6.7 points."""
_THIN, _FINE = 0.13, 0.18
_LEAST_SHADED_MM = 0.2  # thinner wire on paper is a plain line
_ROW = 5.0  # from one row of dimensions to the next [mm]


@dataclass(frozen=True)
class Span:
    """A length along the joint to dimension: words, and from where to where along the axis [mm]."""

    text: str
    low_mm: float
    high_mm: float


def extent_mm(shown: VisiblePart) -> tuple[float, float]:
    """Length and height of what is shown from the side, wire included [mm]."""
    flat, _ = side_view().project(shown.points_mm)
    size = np.ptp(flat, axis=0) + shown.d_mm
    return float(size[0]), float(size[1])


def wire_on_paper(shown: VisiblePart, view: View) -> list[Primitive]:
    """The wire as it is painted on paper."""
    width = shown.d_mm * view.scale
    if width >= _LEAST_SHADED_MM:
        return list(wire_shapes(shown, view, width))
    flat, _ = view.project(shown.points_mm)
    return [Stroke(tuple((x, y) for x, y in flat[run].tolist()), width, INK, "wire") for run in shown.pieces]


def true_view(shown: VisiblePart, box: tuple[float, float, float, float]) -> View:
    """The joint at true size, at the left of the box and in its middle up and down."""
    length, _ = extent_mm(shown)
    return placed(View(side_view().axes), shown, (box[0], box[1], box[0] + length, box[3]))


def true_shapes(shown: VisiblePart, view: View, right: float) -> list[Primitive]:
    """The wire at true size, and where its standing leg runs on."""
    _, y = view.project([0.0, 0.0, 0.0])[0][0]
    x = float(view.project(shown.points_mm)[0][:, 0].max())
    shapes: list[Primitive] = []
    while x + 5.2 < right:
        shapes += [Stroke(((x + 1.0, y), (x + 4.0, y)), _THIN, SOFT), Stroke(((x + 4.8, y), (x + 5.2, y)), _THIN, SOFT)]
        x += 5.2
    return shapes + wire_on_paper(shown, view)


def enlarged_shapes(
    result: ShapeResult, shown: VisiblePart, box: tuple[float, float, float, float], units: UnitSystem, most: float
) -> tuple[list[Primitive], float]:
    """The joint as large as a round scale allows (at most `most`), dimensioned, its bends marked; its scale."""
    f = LETTER
    calls = [replace(call, lines=() if call.severity else call.lines) for call in bend_callouts(result, shown, units)]
    blocks = sized(calls, f, box[2] - box[0])
    below = max((block.height for block in blocks), default=0.0) + 3.6 * f
    spans = _spans(result)
    rows = 2 if spans else 1
    length, height = extent_mm(shown)
    wide, tall = box[2] - box[0] - 34.0, box[3] - box[1] - below - (rows + 1) * _ROW - 2.0
    scale = round_below(min(wide / length, max(tall, 6.0) / height, most), SCALES)
    top = box[1] + (rows + 1) * _ROW
    view = placed(View(side_view().axes, scale), shown, (box[0] + 17.0, top, box[2] - 17.0, box[3] - below))
    wire = shown.d_mm * scale
    edge = Silhouette(view.project(shown.points_mm)[0], wire / 2)
    shapes = break_sign(shown, view, wire, _FINE / 0.16)
    shapes += wire_on_paper(shown, view)
    low, high = _ends(result, shown)
    whole = Span("length, inside of eye to last wrap", low, high)
    shapes += _row([whole], view, edge, edge.top - 2.0 - rows * _ROW, units)
    shapes += _row(spans, view, edge, edge.top - 2.0 - _ROW, units)
    shapes += _across(result, shown, view, edge, units)
    place_label(blocks, view, edge, f, (box[0] + 17.0, box[2] - 4.0), up=False)
    shapes += _marked(blocks, view, f, wire)
    return shapes, scale


def _marked(blocks: list[LabelBlock], view: View, f: float, wire: float) -> list[Primitive]:
    shapes: list[Primitive] = []
    rings: list[tuple[Severity, float, float, float]] = []
    for block in blocks:
        others = [(float(x), float(y)) for x, y in view.project(np.reshape(block.call.also_mm, (-1, 3)))[0]]
        shapes += bend_shapes(block, f, wire, others, rings)
    return shapes


def _ends(result: ShapeResult, shown: VisiblePart) -> tuple[float, float]:
    """Inside of the eye's bight and far face of the last wrap, along the axis [mm]."""
    d = shown.d_mm
    high = result.joint.axial["top"] + d / 2
    return high - result.finished.length_mm, high


def _spans(result: ShapeResult) -> list[Span]:
    """The parts that follow each other along the axis, each with its name and count."""
    axial, d, counts = result.joint.axial, result.recipe.wire.diameter_mm, result.counts
    low = axial["top"] + d / 2 - result.finished.length_mm
    spans = [Span("eye, to where the legs cross", low, 0.0)]
    if counts.turns:
        spans.append(Span("twist", 0.0, axial["exit"]))
    if counts.wraps:
        foot = axial["barrel"] - d / 2
        if foot - axial["exit"] > 0.2 * d:
            spans.append(Span("exit", axial["exit"], foot))
        spans.append(Span("barrel", foot, axial["top"] + d / 2))
    return spans


def _row(spans: list[Span], view: View, edge: Silhouette, y: float, units: UnitSystem) -> list[Primitive]:
    """Dimension lines in one row, their words above them, moved apart where they are wider than their lines."""
    shapes: list[Primitive] = []
    ends = [[float(view.project([0.0, 0.0, z])[0][0, 0]) for z in (s.low_mm, s.high_mm)] for s in spans]
    texts = [f"{span.text} {_number(span.high_mm - span.low_mm, units)}" for span in spans]
    widths = [text_width(text, LETTER) * 0.95 + 1.5 for text in texts]
    starts = spread([(a + b) / 2 for a, b in ends], widths, ends[0][0] - 4.0, ends[-1][1] + 6.0)
    for (a, b), text, wide, start in zip(ends, texts, widths, starts, strict=True):
        shapes += _measure((a, y), (b, y))
        shapes += [Stroke(((q, y - 0.8), (q, edge.top - 0.8)), _THIN, SOFT) for q in (a, b)]
        shapes.append(Text(start + wide / 2, y - 1.1, text, LETTER, INK, anchor="middle"))
    return shapes


def _across(
    result: ShapeResult, shown: VisiblePart, view: View, edge: Silhouette, units: UnitSystem
) -> list[Primitive]:
    """The eye's inside width at the left, the barrel's diameter at the right."""
    made, half = result.finished, view.scale * shown.d_mm / 2
    flat, _ = view.project(shown.points_mm)
    eye = flat[shown.rows("eye", "entry_standing", "entry_tag")]
    shapes: list[Primitive] = []
    high, low = eye[np.argmin(eye[:, 1])], eye[np.argmax(eye[:, 1])]
    x = float(flat[:, 0].min()) - half - 4.0
    y0, y1 = float(high[1]) + half, float(low[1]) - half
    shapes += _measure((x, y0), (x, y1))
    shapes += [Stroke(((x - 1.0, y), (float(place[0]), y)), _THIN, SOFT) for y, place in ((y0, high), (y1, low))]
    shapes += [
        Text(x - 1.2, (y0 + y1) / 2 - 0.3, _size(made.eye_inside_width_mm, units), LETTER, INK, anchor="end"),
        Text(x - 1.2, (y0 + y1) / 2 + 2.5, "inside", LETTER, SOFT, anchor="end"),
    ]
    if result.counts.wraps and made.barrel_diameter_mm is not None:
        top = float(view.project([0.0, 0.0, result.joint.axial["top"]])[0][0, 0]) + half
        y = float(view.project([0.0, 0.0, 0.0])[0][0, 1])
        reach = made.barrel_diameter_mm / 2 * view.scale
        x = float(flat[:, 0].max()) + 4.0
        shapes += _measure((x, y - reach), (x, y + reach))
        shapes += [Stroke(((top - half, q), (x + 1.0, q)), _THIN, SOFT) for q in (y - reach, y + reach)]
        shapes += [
            Text(x + 1.4, y - 0.3, _size(made.barrel_diameter_mm, units), LETTER, INK),
            Text(x + 1.4, y + 2.5, "across", LETTER, SOFT),
        ]
    return shapes


def _measure(start: tuple[float, float], stop: tuple[float, float]) -> list[Primitive]:
    """A dimension line with a slanted tick at either end."""
    t = 0.75
    ticks = [Stroke(((x - t, y + t), (x + t, y - t)), 0.3, INK) for x, y in (start, stop)]
    return [Stroke((start, stop), _FINE, INK, "dimension"), *ticks]


def _number(mm: float, units: UnitSystem) -> str:
    return format_length(mm, units).split()[0]


def _size(mm: float, units: UnitSystem) -> str:
    return format_length(mm, units)
