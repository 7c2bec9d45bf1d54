"""What is drawn into a close-up, as shapes: angles between two wires, arrows for hands, numbered turns, gaps, ghosts."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Final

import numpy as np

from helix.findings import Severity
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, MARK_COLOURS, PAPER, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.closeups import Angle
from helix.output.picture.guides import Guide
from helix.output.picture.view import View, VisiblePart

Box = tuple[float, float, float, float]
CanvasPoint = tuple[float, float]

_WHITE, _BLACK = "#ffffff", "#22262a"
_GHOST: Final = "#8f8a80"
_MISSING: Final = MARK_COLOURS[Severity.FAULT]
_AROUND: Final = np.radians(np.linspace(80.0, -80.0, 24))  # the half of a turn that lies in front
_MOST_OF_BOX: Final = 0.5  # so much of a close-up's width the words of an angle may take
_LESS: Final = np.radians(10.0)  # so far within square an arrow points that bends a wire back


def card_size(text: str, size: float) -> CanvasPoint:
    """Half the width and half the height of a card."""
    return text_width(text, size, bold=True) / 2.0 + 0.35 * size, 0.8 * size


def _in_box(x: float, y: float, text: str, size: float, box: Box) -> CanvasPoint:
    """The middle of a card nearest to (x, y) that stands clear of the edges of a box."""
    wide, high = card_size(text, size)
    room = 0.45 * size
    return (
        min(max(x, box[0] + wide + room), box[2] - wide - room),
        min(max(y, box[1] + high + room), box[3] - high - room),
    )


def _clear(at: CanvasPoint, half: CanvasPoint, taken: list[Box]) -> bool:
    """Whether a card of that half width and height round a place lies over nothing that is taken."""
    return not any(
        at[0] - half[0] < right and left < at[0] + half[0] and at[1] - half[1] < low and top < at[1] + half[1]
        for left, top, right, low in taken
    )


def card(x: float, y: float, text: str, size: float, box: Box, taken: list[Box]) -> list[Primitive]:
    """Words on a white card near (x, y), inside a box, clear of what is taken, to which it is added."""
    if not text:
        return []
    wide, high = card_size(text, size)
    steps = [0.0, *(side * k * high for k in (1.2, 2.4, 3.6, 4.8) for side in (-1.0, 1.0))]
    tries = [
        _in_box(x + aside, y + down, text, size, box)
        for aside in (0.0, -wide, wide, -2.2 * wide, 2.2 * wide)
        for down in steps
    ]

    def clear(at: CanvasPoint) -> bool:
        return not any(at[0] - wide < right and left < at[0] + wide and at[1] - high < low and top < at[1] + high
                       for left, top, right, low in taken)  # fmt: skip

    x, y = next((at for at in tries if clear(at)), tries[0])
    taken.append((x - wide, y - high, x + wide, y + high))
    outline = ((x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high))
    return [
        Area(outline, _WHITE, SOFT, 0.09 * size, "card"),
        Text(x, y + 0.36 * size, text, size, _BLACK, True, "middle"),
    ]


def angle_shapes(angle: Angle, view: View, f: float, box: Box, shown: VisiblePart, taken: list[Box]) -> list[Primitive]:
    """Two lines from the corner along the wires they measure, and an arc between them, its size in words beside them.

    Where the second has to come back to square: a dashed line there, and an arrow from the one towards the other.
    """
    wire = shown.d_mm * view.scale
    ((x, y),) = view.project(angle.corner_mm)[0].tolist()

    def turn_of(direction: tuple[float, float, float]) -> float:
        along = np.asarray(direction) @ view.axes[:2].T
        return float(np.arctan2(along[1], along[0]))

    first = turn_of(angle.first)
    second = first + (turn_of(angle.second) - first + np.pi) % (2 * np.pi) - np.pi
    far = max(6.4 * f, 2.6 * wire)
    radius = min(max(4.2 * f, 1.7 * wire), 0.85 * far, 0.4 * (box[3] - box[1]))
    lines = [((x, y), _within(x, y, a, far, box)) for a in (first, second)]
    arc = _arc(x, y, radius, first, second)
    shapes: list[Primitive] = []
    for width, painted in ((0.42 * f, PAPER), (0.17 * f, INK)):
        shapes += [Stroke(line, width, painted, "angle") for line in (*lines, arc)]
    if angle.square is not None:
        square = first + np.sign(second - first) * np.pi / 2.0
        end = _within(x, y, square, far, box)
        shapes += _over(_dashes((x, y), end, 0.7 * f), 0.17 * f, "square")
        back = square - np.sign(second - first) * _LESS
        out = 1.28 if box[1] + f < y - 1.28 * radius and y + 1.28 * radius < box[3] - f else 0.72
        shapes += arrow_shapes(_arc(x, y, out * radius, second, back), 0.32 * f, "hand")
    at, away = (first + second) / 2, radius + 0.8 * f
    words, size = angle.words(), 1.1 * f
    if 2.0 * card_size(words, size)[0] > _MOST_OF_BOX * (box[2] - box[0]):  # the caption below tells the limit
        words = f"{angle.size_deg:.0f} deg"
    wide, high = card_size(words, size)
    flat = view.project(shown.points_mm)[0]
    swept = np.array([*arc, *(point for line in lines for point in np.linspace(*line, 20).tolist())])

    def beside(turn: float, out: float) -> CanvasPoint:
        """Where a card stands that is so far out that way."""
        reach = out + wide * abs(np.cos(turn)) + high * abs(np.sin(turn))
        return _in_box(x + reach * float(np.cos(turn)), y - reach * float(np.sin(turn)), words, size, box)

    wanted = beside(at, away)
    ways = (at, *(first + part * (second - first) for part in (0.15, 0.3, 0.7, 0.85)), at + np.pi, second + 0.9)
    places = [beside(turn, out) for turn in ways for out in (away, away + 2.2 * f, away + 4.5 * f)]

    def cost(place: CanvasPoint) -> float:
        """How much of the bend, the arms and other wire a card there would cover, and how far off it is."""
        px, py = place
        over = (np.abs(flat[:, 0] - px) < wide + wire / 2) & (np.abs(flat[:, 1] - py) < high + wire / 2)
        crossed = (np.abs(swept[:, 0] - px) < wide + 0.3 * f) & (np.abs(swept[:, 1] - py) < high + 0.3 * f)
        bend = abs(x - px) < wide + 0.4 * wire and abs(y - py) < high + 0.4 * wire
        bend |= not _clear(place, (wide, high), taken)
        return float(
            1e6 * bend + 30.0 * crossed.sum() + 0.15 * over.sum() + np.hypot(px - wanted[0], py - wanted[1]) / f
        )

    return shapes + card(*min(places, key=cost), words, size, box, taken)


def guide_shapes(
    guide: Guide, view: View, f: float, box: Box, axis_y: float, wire: float, taken: list[Box]
) -> list[Primitive]:
    """What a guide draws into a close-up in box: an arrow, a numbered stretch, a gap, a name or what is missing."""
    start, stop = ((float(x), float(y)) for x, y in view.project([guide.start_mm, guide.stop_mm])[0])
    match guide.kind:
        case "slant":
            return _slanted(start, stop, guide.text, f, box, taken)
        case "push":
            inner = (box[0] + 0.6 * f, box[1] + 0.6 * f, box[2] - 0.6 * f, box[3] - 0.6 * f)
            tail = _from_edge(start, stop, inner)
            wide, flat = card_size(guide.text, f)[0], abs(stop[1] - tail[1]) < 0.3 * abs(stop[0] - tail[0])
            beside = (tail[0], tail[1] - 1.9 * f) if flat else (tail[0] + wide + 1.2 * f, tail[1] + 1.0 * f)
            xs, ys = sorted((tail[0], stop[0])), sorted((tail[1], stop[1]))
            taken.append((xs[0] - 0.4 * f, ys[0] - 0.7 * f, xs[1] + 0.4 * f, ys[1] + 0.7 * f))
            return [*arrow_shapes((tail, stop), 0.42 * f, "push"), *card(*beside, guide.text, f, box, taken)]
        case "round":
            return _round(start[0], axis_y, wire, guide, f, box, taken)
        case "turn" | "missing":
            return _bracket(start[0], stop[0], axis_y, wire, guide, f, box, taken)
        case "ghost":
            return _ghost_wraps(start[0], stop[0], axis_y, wire, guide, f, box, taken)
        case "span":
            level = max(axis_y - 1.95 * wire, box[1] + 2.6 * f)
            ends = [((a, level - 0.5 * f), (a, level + 0.5 * f)) for a in (start[0], stop[0])]
            middle = (start[0] + stop[0]) / 2
            return [
                *_over([((start[0], level), (stop[0], level)), *ends], 0.16 * f, "span"),
                *card(middle, level - 1.6 * f, guide.text, f, box, taken),
            ]
        case "gap":
            edge = min(start[1], stop[1]) - 0.5 * wire
            top = max(edge - 0.9 * f, box[1] + 0.7 * f)
            ends = [((a, top - 0.6 * f), (a, edge + 0.35 * wire)) for a in (start[0], stop[0])]
            return [
                *_over([*ends, ((start[0], top), (stop[0], top))], 0.12 * f, "gap"),
                *card((start[0] + stop[0]) / 2, edge - 2.6 * f, guide.text, f, box, taken),
            ]
    return _named(start, guide, axis_y, wire, f, box, taken)


def arrow_shapes(points: tuple[CanvasPoint, ...], width: float, role: str) -> list[Primitive]:
    """An arrow along points, its head at the last."""
    return _over([points, _tip(points[-2], points[-1], 3.2 * width)], width, role)


def round_arrow(middle: CanvasPoint, radii: CanvasPoint, way: float, width: float) -> list[Primitive]:
    """A half turn round the joint's axis, in front: downwards for a right-hand turn (way 1)."""
    points = tuple(
        (middle[0] + radii[0] * float(np.cos(a)), middle[1] - way * radii[1] * float(np.sin(a))) for a in _AROUND
    )
    return arrow_shapes(points, width, "hand")


def ghost_wraps(
    x0: float, x1: float, axis_y: float, wire: float, way: float, f: float, colour: str = _GHOST
) -> list[Primitive]:
    """Wraps that are not there, as outlines between two places of the axis."""
    count = max(round((x1 - x0) / wire), 1)
    shapes: list[Primitive] = []
    for k in range(count):
        x = x0 + (k + 0.5) * (x1 - x0) / count
        line = ((x - 0.16 * wire, axis_y - way * 1.0 * wire), (x + 0.16 * wire, axis_y + way * 1.0 * wire))
        outline = _capsule(*line, 0.46 * wire)
        shapes += [Stroke(dash, 0.16 * f, colour, "ghost") for dash in _dashed(outline, 0.45 * f)]
    return shapes


def _slanted(start: CanvasPoint, stop: CanvasPoint, text: str, f: float, box: Box, taken: list[Box]) -> list[Primitive]:
    lines: list[tuple[CanvasPoint, ...]] = [(start, stop), _tip(start, stop, 1.3 * f)]
    down = 1.0 if stop[1] > start[1] else -1.0
    taken += [(x - 0.6 * f, y - 0.6 * f, x + 0.6 * f, y + 0.6 * f) for x, y in np.linspace(start, stop, 12).tolist()]
    return [*_over(lines, 0.3 * f, "slant"), *card(stop[0], stop[1] + down * 1.9 * f, text, f, box, taken)]


def _round(x: float, axis_y: float, wire: float, guide: Guide, f: float, box: Box, taken: list[Box]) -> list[Primitive]:
    high = min(1.9 * wire, axis_y - box[1] - 1.2 * f, box[3] - axis_y - 1.2 * f)
    left, right, half = x - 0.6 * f, x + 0.7 * wire + 0.8 * f, card_size(guide.text, f)[0]
    taken.append((left, axis_y - high - 0.4 * f, right, axis_y + high + 0.4 * f))
    fits = right + 2.0 * half + 0.6 * f < box[2]
    beside = right + half + 0.1 * f if fits else left - half - 0.1 * f
    words = card(beside, axis_y - high, guide.text, f, box, taken)  # above: turns are counted below
    return [*round_arrow((x, axis_y), (0.7 * wire, high), guide.way, 0.42 * f), *words]


def _bracket(
    x0: float, x1: float, axis_y: float, wire: float, guide: Guide, f: float, box: Box, taken: list[Box]
) -> list[Primitive]:
    """A stretch of the axis below the wire, its number below it; dashed and pale where it is missing."""
    y = min(axis_y + 1.75 * wire, box[3] - 2.4 * f)
    missing = guide.kind == "missing"
    colour, role = (_MISSING, "missing") if missing else (INK, "turn")
    ticks = [((a, y - 0.5 * f), (a, y + 0.5 * f)) for a in (x0, x1)]
    line = _dashes((x0, y), (x1, y), 0.6 * f) if missing else [((x0, y), (x1, y))]
    strokes = [Stroke(part, 0.15 * f, colour, role) for part in (*line, *ticks)]
    half = text_width(guide.text, f, bold=True) / 2
    middle = max(min((x0 + x1) / 2, box[2] - half - 0.5 * f), x0 + half if missing else 0.0)
    behind = (middle - half - 0.2 * f, y + 0.55 * f, middle + half + 0.2 * f, y + 1.8 * f)
    taken.append(behind)
    return [
        *strokes,
        Area(rectangle(*behind), _WHITE),
        Text(middle, y + 1.5 * f, guide.text, f, _BLACK, True, "middle"),
    ]


def _ghost_wraps(
    x0: float, x1: float, axis_y: float, wire: float, guide: Guide, f: float, box: Box, taken: list[Box]
) -> list[Primitive]:
    shapes = ghost_wraps(x0, x1, axis_y, wire, guide.way, f, _MISSING)
    return [*shapes, *card((x0 + x1) / 2, axis_y - 1.5 * wire - 1.4 * f, guide.text, f, box, taken)]


def _named(
    start: CanvasPoint, guide: Guide, axis_y: float, wire: float, f: float, box: Box, taken: list[Box]
) -> list[Primitive]:
    """A word with a line to its place; way 1: above the axis wherever the place is."""
    up = guide.way > 0.0 or start[1] < axis_y - 0.2 * wire
    foot = box[1] + 1.3 * f if up else box[3] - 1.3 * f
    edge = start[1] + (-0.45 if up else 0.45) * wire
    words = card(start[0] + card_size(guide.text, f)[0] - 0.6 * f, foot, guide.text, f, box, taken)
    return [*_over([((start[0], foot), (start[0], edge))], 0.16 * f, "name"), *words]


def _over(lines: Iterable[tuple[CanvasPoint, ...]], width: float, role: str) -> list[Primitive]:
    """Lines of ink with paper beside them, so that they show on any wire."""
    lines = list(lines)
    return [
        *(Stroke(line, width + 0.3 * max(width, 0.9), PAPER, "halo") for line in lines),
        *(Stroke(line, width, INK, role) for line in lines),
    ]


def _tip(start: CanvasPoint, stop: CanvasPoint, long: float) -> tuple[CanvasPoint, ...]:
    """The head of an arrow."""
    turn = float(np.arctan2(stop[1] - start[1], stop[0] - start[0]))
    one, other = (
        (stop[0] - long * float(np.cos(turn + lean)), stop[1] - long * float(np.sin(turn + lean)))
        for lean in (-0.45, 0.45)
    )
    return one, stop, other


def _arc(x: float, y: float, radius: float, first: float, second: float) -> tuple[CanvasPoint, ...]:
    """A part of a circle."""
    swept = np.linspace(first, second, 40)
    return tuple((x + radius * float(np.cos(a)), y - radius * float(np.sin(a))) for a in swept)


def _dashes(start: CanvasPoint, stop: CanvasPoint, long: float) -> list[tuple[CanvasPoint, ...]]:
    """A straight line in dashes."""
    count = max(int(np.hypot(stop[0] - start[0], stop[1] - start[1]) / long), 2)
    points = [(float(px), float(py)) for px, py in np.linspace(start, stop, count + 1)]
    return [tuple(pair) for pair in pairwise(points)][::2]


def _dashed(points: tuple[CanvasPoint, ...], long: float) -> list[tuple[CanvasPoint, ...]]:
    """A closed line in dashes."""
    line = np.array([*points, points[0]])
    s = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    at = np.linspace(0.0, s[-1], 2 * max(int(s[-1] / (2.0 * long)), 2) + 1)
    xs, ys = (np.interp(at, s, line[:, k]).tolist() for k in (0, 1))
    return [tuple(pair) for pair in pairwise(zip(xs, ys, strict=True))][::2]


def _capsule(start: CanvasPoint, stop: CanvasPoint, radius: float) -> tuple[CanvasPoint, ...]:
    """The outline of a short round rod."""
    turn = float(np.arctan2(stop[1] - start[1], stop[0] - start[0]))
    half = np.linspace(-np.pi / 2, np.pi / 2, 10)
    ends = [(stop, turn + a) for a in half] + [(start, turn + np.pi + a) for a in half]
    return tuple((px + radius * float(np.cos(a)), py + radius * float(np.sin(a))) for (px, py), a in ends)


def _from_edge(start: CanvasPoint, stop: CanvasPoint, box: Box) -> CanvasPoint:
    """The start of a line, moved along it to where it is inside a box."""
    part = 0.0
    for k, (low, high) in enumerate(((box[0], box[2]), (box[1], box[3]))):
        away = start[k] - stop[k]
        for edge in (low, high):
            if abs(away) > 1e-9 and (start[k] - edge) * (stop[k] - edge) < 0.0:
                part = max(part, (start[k] - edge) / away)
    part = min(part, 0.7)
    return start[0] + part * (stop[0] - start[0]), start[1] + part * (stop[1] - start[1])


def _within(x: float, y: float, angle: float, long: float, box: Box) -> CanvasPoint:
    """The far end of a line of that length and direction, cut off just inside the box."""
    dx, dy = float(np.cos(angle)), -float(np.sin(angle))
    for start, step, low, high in ((x, dx, box[0], box[2]), (y, dy, box[1], box[3])):
        if abs(step) > 1e-9:
            long = min(long, max(0.0, ((high if step > 0 else low) - start) / step - 6.0))
    return x + long * dx, y + long * dy
