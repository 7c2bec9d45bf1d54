"""What is drawn into a close-up, as shapes: angles between two wires, arrows for hands, numbered turns, gaps, ghosts."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from helix.findings import Severity
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, MARK_COLOURS, PAPER, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.closeup.cards import Box, CanvasPoint, Room, card_size, over
from helix.output.picture.closeup.closeups import Angle
from helix.output.picture.closeup.guides import Guide
from helix.output.picture.view import View

_WHITE, _BLACK = "#ffffff", "#22262a"
_GHOST: Final = "#8f8a80"
_MISSING: Final = MARK_COLOURS[Severity.FAULT]
_AROUND: Final = np.radians(np.linspace(80.0, -80.0, 24))  # the half of a turn that lies in front
_MOST_OF_BOX: Final = 0.5  # so much of a close-up's width the words of an angle may take
_LESS: Final = np.radians(10.0)  # so far within square an arrow points that bends a wire back


def angle_shapes(angle: Angle, view: View, wire: float, room: Room) -> list[Primitive]:
    """Two lines from the corner along the wires they measure, and an arc between them, its size in words beside them.

    Where the second has to come back to square: a dashed line there, and an arrow from the one towards the other.
    """
    f, box = room.f, room.box
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
        shapes += over(_dashes((x, y), end, 0.7 * f), 0.17 * f, "square")
        back = square - np.sign(second - first) * _LESS
        out = 1.28 if box[1] + f < y - 1.28 * radius and y + 1.28 * radius < box[3] - f else 0.72
        hand = _arc(x, y, out * radius, second, back)
        shapes += arrow_shapes(hand, 0.32 * f, "hand")
        room.block(hand)
    for line in (*lines, arc):
        room.block(line, 0.25)
    room.taken.append((x - 0.4 * wire, y - 0.4 * wire, x + 0.4 * wire, y + 0.4 * wire))  # the bend itself
    words = angle.words()
    if 2.0 * card_size(words, 1.1 * f)[0] > _MOST_OF_BOX * (box[2] - box[0]):  # the caption tells the limit
        words = f"{angle.size_deg:.0f} deg"
    wide, high = card_size(words, 1.1 * f)
    at = (first + second) / 2
    reach = radius + 0.8 * f + wide * abs(float(np.cos(at))) + high * abs(float(np.sin(at)))
    on_arc = x + radius * float(np.cos(at)), y - radius * float(np.sin(at))
    room.want(x + reach * float(np.cos(at)), y - reach * float(np.sin(at)), words, on_arc, 1.1)
    return shapes


def guide_shapes(guide: Guide, view: View, wire: float, room: Room) -> list[Primitive]:
    """What a guide draws into a close-up: an arrow, a numbered stretch, a gap, a name or what is missing; its words are wanted."""
    f, box = room.f, room.box
    start, stop = ((float(x), float(y)) for x, y in view.project([guide.start_mm, guide.stop_mm])[0])
    match guide.kind:
        case "slant":
            return _slanted(start, stop, guide.text, room)
        case "push":
            inner = (box[0] + 0.6 * f, box[1] + 0.6 * f, box[2] - 0.6 * f, box[3] - 0.6 * f)
            tail = _from_edge(start, stop, inner)
            wide, flat = card_size(guide.text, f)[0], abs(stop[1] - tail[1]) < 0.3 * abs(stop[0] - tail[0])
            beside = (tail[0], tail[1] - 1.9 * f) if flat else (tail[0] + wide + 1.2 * f, tail[1] + 1.0 * f)
            room.block((tail, stop), 0.7)
            room.want(*beside, guide.text)
            return arrow_shapes((tail, stop), 0.42 * f, "push")
        case "round" | "round-both":
            return _round(start[0], wire, guide, room)
        case "turn" | "wrong" | "wanted":
            return _bracket(start[0], stop[0], guide, room)
        case "insert":
            return _insert(start, guide, room)
        case "ghost":
            return _ghost_wraps(start[0], stop[0], wire, guide, room)
        case "span":
            top, _ = room.over(*sorted((start[0], stop[0])))
            level = max(top - 0.5 * f, box[1] + 2.3 * f)
            ends = [((a, level - 0.5 * f), (a, room.axis)) for a in (start[0], stop[0])]
            middle = (start[0] + stop[0]) / 2
            room.block(((start[0], level), (stop[0], level)), 0.2)
            room.want(middle, level - 1.15 * f, guide.text, (middle, level))
            return over([((start[0], level), (stop[0], level)), *ends], 0.14 * f, "span")
        case "across":
            ends = [((x - 0.6 * f, y), (x + 0.6 * f, y)) for x, y in (start, stop)]
            room.block((start, stop), 0.15)
            middle = (start[1] + stop[1]) / 2
            room.want(start[0] + card_size(guide.text, f)[0] + 0.4 * f, middle, guide.text, (start[0], middle))
            return over([(start, stop), *ends], 0.16 * f, "across")
        case "gap":
            edge = min(start[1], stop[1]) - 0.5 * wire
            top = max(edge - 0.7 * f, box[1] + 2.2 * f)
            ends = [((a, top), (a, edge + 0.3 * wire)) for a in dict.fromkeys((start[0], stop[0]))]
            middle = (start[0] + stop[0]) / 2
            for line in ends:
                room.block(line, 0.3)
            room.want(middle, top - 0.8 * f, guide.text, (middle, top))
            return over([*ends, ((start[0], top), (stop[0], top))], 0.14 * f, "gap")
    up = guide.way > 0.0 or start[1] < room.axis - 0.2 * wire
    edge = start[1] + (-0.3 if up else 0.3) * wire
    room.want(start[0], start[1] + (-1.9 if up else 1.9) * wire, guide.text, (start[0], edge))
    return []


def arrow_shapes(points: tuple[CanvasPoint, ...], width: float, role: str) -> list[Primitive]:
    """An arrow along points, its head at the last."""
    return over([points, _tip(points[-2], points[-1], 3.2 * width)], width, role)


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


def ghost_strand(flat: np.ndarray, width: float, tone: str) -> Primitive:
    """A strand that is not there, pale, along points (n, 2): one smooth area."""
    way = np.gradient(flat, axis=0)
    way /= np.hypot(*way.T)[:, None]
    aside = width / 2.0 * np.stack((-way[:, 1], way[:, 0]), axis=1)
    outline = np.concatenate((flat + aside, (flat - aside)[::-1]))
    return Area(tuple((float(x), float(y)) for x, y in outline), tone, role="ghost")


def _slanted(start: CanvasPoint, stop: CanvasPoint, text: str, room: Room) -> list[Primitive]:
    f = room.f
    lines: list[tuple[CanvasPoint, ...]] = [(start, stop), _tip(start, stop, 1.3 * f)]
    down = 1.0 if stop[1] > start[1] else -1.0
    room.block((start, stop), 0.6)
    room.want(stop[0], stop[1] + down * 1.9 * f, text, stop)
    return over(lines, 0.3 * f, "slant")


def _round(x: float, wire: float, guide: Guide, room: Room) -> list[Primitive]:
    """A half turn in front; where both legs are turned, the other half behind it as well."""
    f, axis_y, box = room.f, room.axis, room.box
    high = min(1.75 * wire, axis_y - box[1] - 1.2 * f, box[3] - axis_y - 1.2 * f)
    both = guide.kind == "round-both"
    left, right = x - (0.7 * wire + 0.8 * f if both else 0.6 * f), x + 0.7 * wire + 0.8 * f
    room.taken.append((left, axis_y - high - 0.4 * f, right, axis_y + high + 0.4 * f))
    half = card_size(guide.text, f)[0]
    beside = right + half + 0.1 * f if right + 2.0 * half + 0.6 * f < box[2] else left - half - 0.1 * f
    room.want(beside, axis_y - high, guide.text)  # above: turns are counted below
    arrows = round_arrow((x + (0.12 * wire if both else 0.0), axis_y), (0.7 * wire, high), guide.way, 0.42 * f)
    if both:
        arrows += round_arrow((x - 0.12 * wire, axis_y), (-0.7 * wire, high), -guide.way, 0.42 * f)
    return arrows


def _bracket(x0: float, x1: float, guide: Guide, room: Room) -> list[Primitive]:
    """A stretch of the axis beside the wire, its number at it: above where way is 1; one that is wrong in the colour of a fault,
    one that is wanted dashed."""
    f, up = room.f, guide.way > 0.0
    if guide.kind == "turn" and (x1 > room.box[2] - 0.1 * f or x0 < room.box[0]):  # it runs out of the close-up
        return []
    y = max(room.top - 0.7 * f, room.box[1] + 1.9 * f) if up else min(room.bottom + 0.7 * f, room.box[3] - 2.1 * f)
    colour, width = (_MISSING, 0.24 * f) if guide.kind == "wrong" else (INK, 0.15 * f)
    ticks = [((a, y - 0.5 * f), (a, y + 0.5 * f)) for a in (x0, x1)]
    line = _dashes((x0, y), (x1, y), 0.6 * f) if guide.kind == "wanted" else [((x0, y), (x1, y))]
    half = text_width(guide.text, f, bold=True) / 2
    middle = max(min((x0 + x1) / 2, room.box[2] - half - 0.5 * f), room.box[0] + half + 0.5 * f)
    base = y - 0.75 * f if up else y + 1.5 * f
    behind = (middle - half - 0.2 * f, base - 0.95 * f, middle + half + 0.2 * f, base + 0.3 * f)
    room.taken += [behind, (x0, y - 0.5 * f, x1, y + 0.5 * f)]
    return [
        *over([*line, *ticks], width, guide.kind, colour),
        Area(rectangle(*behind), _WHITE),
        Text(middle, base, guide.text, f, _BLACK, True, "middle"),
    ]


def _insert(at: CanvasPoint, guide: Guide, room: Room) -> list[Primitive]:
    """An arrow, in the colour of a fault, to where something is missing: from above where way is 1, else from below."""
    f, up = room.f, guide.way > 0.0
    top, bottom = room.over(at[0], at[0])
    stop = (at[0], top - 0.2 * f) if up else (at[0], bottom + 0.2 * f)
    tail = (at[0], max(min(room.top, top) - 1.6 * f, room.box[1] + 2.0 * f)) if up else (
        at[0], min(max(room.bottom, bottom) + 1.2 * f, room.box[3] - 2.0 * f))  # fmt: skip
    room.block((tail, stop), 0.6)
    room.want(tail[0], tail[1] + (-1.0 if up else 1.0) * f, guide.text, tail)
    return over([(tail, stop), _tip(tail, stop, 1.2 * f)], 0.36 * f, "missing", _MISSING)


def _ghost_wraps(x0: float, x1: float, wire: float, guide: Guide, room: Room) -> list[Primitive]:
    room.taken.append((x0, room.axis - 1.5 * wire, x1, room.axis + 1.5 * wire))
    room.want((x0 + x1) / 2, room.axis - 1.5 * wire - 1.2 * room.f, guide.text, ((x0 + x1) / 2, room.axis - 1.5 * wire))
    return ghost_wraps(x0, x1, room.axis, wire, guide.way, room.f, _MISSING)


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
