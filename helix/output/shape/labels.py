"""What is pointed at on a drawing or picture: the parts by name, the bends by verdict, every other finding.

And what is drawn into a close-up to read it by: angles, arrows along the wire, numbered turns, gaps.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from helix.findings import Severity
from helix.model.joint.section_names import part_name, sections_at
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, SOFT, Area, Primitive, Stroke, Text
from helix.output.picture.closeups import Angle, Guide
from helix.output.picture.view import View, VisiblePart, side_view
from helix.output.words.finding_words import capital
from helix.output.words.words import bend_name, plain_count, telling
from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.shape.bends import Bend
    from helix.studies.shape.outline import Outline

_MOST_FINDINGS = 5
_WHITE, _BLACK = "#ffffff", "#22262a"
Box = tuple[float, float, float, float]
CanvasPoint = tuple[float, float]


@dataclass(frozen=True)
class Callout:
    """Words and the place they belong to. severity: None for a part. ring: draw a mark round the place.

    also_mm: further places to mark.
    """

    name: str
    title: str
    lines: tuple[str, ...]
    point_mm: tuple[float, float, float]
    severity: Severity | None = None
    ring: bool = False
    also_mm: tuple[tuple[float, float, float], ...] = ()


def part_callouts(result: Outline, shown: VisiblePart, units: UnitSystem) -> list[Callout]:
    """The parts that the joint has, each with its main number and a point on it that can be seen from the side."""
    recipe, counts, made = result.recipe, result.counts, result.finished
    finish = recipe.finish

    def size(mm: float) -> str:
        return format_length(mm, units)

    left_out = ", not all shown" if shown.break_mm else ""
    callouts: list[tuple[str, tuple[str, ...], str, tuple[str, ...]]] = [
        ("eye", ("eye",), "eye", ("inside", f"{size(made.eye_inside_length_mm).split()[0]} x {size(made.eye_inside_width_mm)}")),
        ("standing", ("standing",), "standing leg", (size(finish.standing_mm) + left_out[:1], left_out[2:])),
    ]  # fmt: skip
    if counts.turns > 0:
        turns = "turn" if counts.turns == 1 else "turns"
        text = (f"{plain_count(counts.turns)} {turns}, {recipe.twist.hand}-hand,", f"lay {size(recipe.twist.lay_mm)}")
        callouts.append(("twist", ("twist_standing", "twist_tag"), "twist", text))
    if counts.swing > 0:
        callouts.append(
            ("exit", ("exit_tag",), "exit", (f"{recipe.exit.style}, swing", f"{plain_count(counts.swing)} turns"))
        )
    if counts.wraps > 0 and made.barrel_diameter_mm is not None:
        wraps = "wrap" if counts.wraps == 1 else "wraps"
        text = (f"{plain_count(counts.wraps)} {wraps},", f"{size(made.barrel_diameter_mm)} across")
        callouts.append(("barrel", ("barrel",), "barrel", text))
    if finish.stub_mm > 0:
        callouts.append(("stub", ("stub",), "stub", (size(finish.stub_mm),)))
    return [
        Callout(name, title, lines, point)
        for name, sections, title, lines in callouts
        if (point := _seen_point(shown, sections)) is not None
    ]


def bend_callouts(result: Outline, shown: VisiblePart, units: UnitSystem = "metric") -> list[Callout]:
    """Every finding but notes, the most severe first and at most a handful; then the bends that are ok, by pairs."""
    calls: list[Callout] = []
    for finding in telling(result, units)[:_MOST_FINDINGS]:
        place = finding.points_mm or (_seen_point(shown, _sections_of(finding.place, shown.names), low=True),)
        points = tuple(point for point in place if point is not None) or ((0.0, 0.0, 0.0),)
        lines = tuple(f"{capital(text)}." for text in (finding.why, finding.do) if text)
        title = f"{finding.severity.name}: {finding.what}"
        ring = bool(finding.points_mm)
        calls.append(Callout(finding.key, title, lines, points[0], finding.severity, ring, points[1:]))
    for pair, title in (("entry", "first bend"), ("exit", "exit bend")):
        bends = [bend for bend in result.bends if part_name(bend.name) == pair and bend.length_d > 0.0]
        sound = [bend for bend in bends if not bend.severity]
        if sound and len(calls) < _MOST_FINDINGS:
            name = title if len(sound) == len(bends) else bend_name(sound[-1].name)
            numbers = (_bend_numbers(sound),)
            calls.append(Callout(sound[-1].name, f"ok: {name}", numbers, sound[-1].point_mm, Severity.OK))
    return calls


def _bend_numbers(bends: Iterable[Bend]) -> str:
    bends = list(bends)
    radius = min((b.min_radius_d for b in bends if b.min_radius_d is not None), default=None)
    seen = max((b.visible_angle_deg for b in bends if b.visible_angle_deg is not None), default=None)
    parts = [] if seen is None else [f"seen {seen:.0f} deg"]
    parts += [] if radius is None else [f"radius {radius:.2f} d"]
    return ", ".join(parts)


def _sections_of(where: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Sections meant by a name that may be a whole part ("twist") or one section."""
    sections = sections_at(where)
    return tuple(name for name in names if name in sections)


def _seen_point(
    shown: VisiblePart, sections: tuple[str, ...], *, low: bool = False
) -> tuple[float, float, float] | None:
    """The point on the upper (or lower) edge of these sections, near the middle of their length."""
    rows = shown.rows(*sections)
    if shown.break_mm is not None and sections == ("standing",):
        rows = rows[shown.points_mm[rows, 2] >= shown.break_mm[1]]
    if not len(rows):
        return None
    flat, _ = side_view().project(shown.points_mm[rows])
    middle = (flat[:, 0].min() + flat[:, 0].max()) / 2
    reach = 0.18 * (flat[:, 0].max() - flat[:, 0].min()) + 1e-9
    close = np.abs(flat[:, 0] - middle) <= reach
    height = np.where(low, -flat[:, 1], flat[:, 1])
    score = np.where(close, height, np.inf)
    best = int(np.argmin(score)) if np.any(close) else len(rows) // 2
    x, y, z = (float(value) for value in shown.points_mm[rows[best]])
    return x, y, z


def _card_size(text: str, size: float) -> CanvasPoint:
    """Half the width and half the height of a card."""
    return text_width(text, size, bold=True) / 2.0 + 0.35 * size, 0.8 * size


def _in_box(x: float, y: float, text: str, size: float, box: Box) -> CanvasPoint:
    """The middle of a card nearest to (x, y) that stands clear of the edges of a box."""
    wide, high = _card_size(text, size)
    room = 0.45 * size
    return (
        min(max(x, box[0] + wide + room), box[2] - wide - room),
        min(max(y, box[1] + high + room), box[3] - high - room),
    )


def card(x: float, y: float, text: str, size: float, edge: str, box: Box) -> list[Primitive]:
    """Words on a white card round (x, y), moved so that it stands clear of the edges of a box."""
    wide, high = _card_size(text, size)
    x, y = _in_box(x, y, text, size, box)
    outline = ((x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high))
    return [
        Area(outline, _WHITE, edge, 0.09 * size, "card"),
        Text(x, y + 0.36 * size, text, size, _BLACK, True, "middle"),
    ]


def angle_shapes(angle: Angle, view: View, f: float, colour: str, box: Box, shown: VisiblePart) -> list[Primitive]:
    """Two lines from the corner along the wires they measure, and an arc between them, its size in words beside them."""
    wire = shown.d_mm * view.scale
    ((x, y),) = view.project(angle.corner_mm)[0].tolist()
    turns = []
    for direction in (angle.first, angle.second):
        along = np.asarray(direction) @ view.axes[:2].T
        turns.append(float(np.arctan2(along[1], along[0])))
    first, second = turns
    second = first + (second - first + np.pi) % (2 * np.pi) - np.pi
    near, far = 0.0, max(6.4 * f, 2.6 * wire)
    radius = min(max(4.2 * f, 1.7 * wire), 0.85 * far, 0.4 * (box[3] - box[1]))
    lines = []
    for a in (first, second):
        start, stop = _within(x, y, a, near, box), _within(x, y, a, far, box)
        lines.append((start, stop))
    swept = np.linspace(first, second, 40)
    arc = tuple((x + radius * float(np.cos(a)), y - radius * float(np.sin(a))) for a in swept)
    shapes: list[Primitive] = []
    for width, painted in ((0.36 * f, _WHITE), (0.17 * f, colour)):
        shapes += [Stroke(line, width, painted, "angle") for line in (*lines, arc)]
    middle, away = (first + second) / 2, radius + 1.9 * f
    at = (x + away * float(np.cos(middle)), y - away * float(np.sin(middle)))
    flat = view.project(shown.points_mm)[0]
    aside = [at, *((px, py) for px in (box[2], box[0]) for py in (box[1], box[3]))]
    words, size = angle.words(), 1.1 * f
    wide, high = _card_size(words, size)

    def covers(place: CanvasPoint) -> float:
        """How much of the bend, the arc and the other wire a card there would cover."""
        px, py = _in_box(*place, words, size, box)
        over = (np.abs(flat[:, 0] - px) < wide + wire / 2) & (np.abs(flat[:, 1] - py) < high + wire / 2)
        bend = abs(x - px) < wide + 0.9 * wire and abs(y - py) < high + 0.9 * wire
        kept = place == at and abs(place[1] - py) + abs(place[0] - px) < wire / 2  # where one looks for it
        return float(1e6 * bend + over.sum() * (0.0 if kept else 1.0))

    return shapes + card(*min(aside, key=covers), words, size, colour, box)


def guide_shapes(guide: Guide, view: View, f: float, box: Box, axis_y: float, wire: float) -> list[Primitive]:
    """What a guide draws into a close-up in box: an arrow, a numbered stretch, a gap or a name."""
    start, stop = ((float(x), float(y)) for x, y in view.project([guide.start_mm, guide.stop_mm])[0])
    if guide.kind == "slant":
        tip = _tip(start, stop, 1.1 * f)
        lines: list[tuple[CanvasPoint, ...]] = [(start, stop), tip]
        aside = _card_size(guide.text, f)[0] + 1.1 * f
        x = stop[0] + aside if stop[0] + 2.0 * aside < box[2] else stop[0] - aside
        foot = box[1] if start[1] > stop[1] else box[3]
        words = card(x, foot, guide.text, f, SOFT, box) if guide.text else []
        return [*_over(lines, 0.26 * f, "slant"), *words]
    if guide.kind == "push":
        words = card(start[0], start[1] - 1.9 * f, guide.text, f, SOFT, box) if guide.text else []
        return [*arrow_shapes((start, stop), 0.4 * f, "push"), *words]
    if guide.kind == "turn":
        y = axis_y + 1.45 * wire
        ticks = [((a, y - 0.5 * f), (a, y + 0.5 * f)) for a in (start[0], stop[0])]
        number = Text((start[0] + stop[0]) / 2, y + 1.5 * f, guide.text, f, INK, True, "middle")
        return [*(Stroke(line, 0.12 * f, INK, "turn") for line in (((start[0], y), (stop[0], y)), *ticks)), number]
    if guide.kind == "gap":
        edge = min(start[1], stop[1]) - 0.5 * wire
        top = edge - 0.9 * f
        ends = [((a, edge - 1.5 * f), (a, edge + 0.35 * wire)) for a in (start[0], stop[0])]
        return [
            *_over([*ends, ((start[0], top), (stop[0], top))], 0.12 * f, "gap"),
            *card((start[0] + stop[0]) / 2, edge - 2.6 * f, guide.text, f, SOFT, box),
        ]
    up = start[1] < axis_y - 0.2 * wire
    foot = box[1] + 1.3 * f if up else box[3] - 1.3 * f
    edge = start[1] + (-0.45 if up else 0.45) * wire
    leader = ((start[0], foot), (start[0], edge))
    return [
        *_over([leader], 0.12 * f, "name"),
        *card(start[0] + _card_size(guide.text, f)[0] - 0.6 * f, foot, guide.text, f, SOFT, box),
    ]


def arrow_shapes(points: tuple[CanvasPoint, ...], width: float, role: str) -> list[Primitive]:
    """An arrow along points, its head at the last."""
    return _over([points, _tip(points[-2], points[-1], 3.2 * width)], width, role)


def _over(lines: Iterable[tuple[CanvasPoint, ...]], width: float, role: str) -> list[Primitive]:
    """Dark lines with white beside them, so that they show on any wire."""
    lines = list(lines)
    return [
        *(Stroke(line, width + 0.22 * max(width, 0.6), _WHITE, "halo") for line in lines),
        *(Stroke(line, width, _BLACK, role) for line in lines),
    ]


def _tip(start: CanvasPoint, stop: CanvasPoint, long: float) -> tuple[CanvasPoint, ...]:
    """The head of an arrow."""
    turn = float(np.arctan2(stop[1] - start[1], stop[0] - start[0]))
    one, other = (
        (stop[0] - long * float(np.cos(turn + lean)), stop[1] - long * float(np.sin(turn + lean)))
        for lean in (-0.45, 0.45)
    )
    return one, stop, other


def _within(x: float, y: float, angle: float, long: float, box: Box) -> CanvasPoint:
    """The far end of a line of that length and direction, cut off just inside the box."""
    dx, dy = float(np.cos(angle)), -float(np.sin(angle))
    for start, step, low, high in ((x, dx, box[0], box[2]), (y, dy, box[1], box[3])):
        if abs(step) > 1e-9:
            long = min(long, max(0.0, ((high if step > 0 else low) - start) / step - 6.0))
    return x + long * dx, y + long * dy
