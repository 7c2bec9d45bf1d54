"""What hands do at a step, drawn into its picture: which way legs and tag are turned, where to grip; letters of ink marks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, product
from typing import TYPE_CHECKING, Final

import numpy as np

from helix.output.canvas.canvas import Box
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import INK, Primitive, Stroke, Text
from helix.output.picture.closeup.cards import CanvasPoint
from helix.output.picture.closeup.guide_shapes import arrow_shapes, round_arrow
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import tag_proportion

if TYPE_CHECKING:
    from helix.output.teaching.bench import Bench
    from helix.studies.teaching.steps import Step

_LETTER_WAYS: Final = np.radians(np.arange(0.0, 360.0, 30.0) - 90.0)


def hand_shapes(
    bench: Bench, step: Step, shown: VisiblePart, view: View, formed_d: Sequence[tuple[float, float]], f: float
) -> list[Primitive]:
    """Arrows for the motion of a step, and a bar where a leg or the tag may be gripped at the farthest.

    formed_d: what is formed of each wire.
    """
    d, recipe = bench.d_mm, bench.result.recipe
    wire = d * view.scale
    _, axis = view.project([[0.0, 0.0, 0.0]])[0][0].tolist()
    ends = [(start + low * d, start + high * d) for start, (low, high) in zip(bench.starts_mm, formed_d, strict=True)]
    work = _place(shown, view, ends[0][1])
    tags = [bar for _, high in ends for bar in _grip(bench, shown, view, (high, 1.0), f)]
    turn = 1.0 if recipe.twist.hand == "right" else -1.0
    if step.kind in ("wrap", "swing") and recipe.barrel.hand == "opposite":
        turn = -turn
    match step.kind:
        case "twist":
            return [
                *round_arrow((work[0] + 3.0 * wire, axis), (1.1 * wire, 3.4 * wire), turn, 0.35 * f),
                *(bar for low, _ in ends for bar in _grip(bench, shown, view, (low, -1.0), f)),
                *tags,
            ]
        case "wrap" | "swing":
            round_leg = round_arrow((work[0] + 2.2 * wire, axis), (0.9 * wire, 2.6 * wire), turn, 0.35 * f)
            return [*round_leg, *tags]
        case "bend":
            x, y = view.project(bench.pin_mm)[0][0].tolist()
            radius = recipe.eye.pin_mm / 2.0 * view.scale + 2.6 * wire
            return [arrow for side in (1.0, -1.0) for arrow in _bent(x, y, radius, side, f)]
        case "cross":
            at = work[0] + 5.0 * wire
            return [
                arrow
                for side in (1.0, -1.0)
                for arrow in arrow_shapes(((at, axis + side * 6.0 * wire), (at, axis + side * 3.6 * wire)), 0.35 * f, "hand")
            ]  # fmt: skip
        case "straighten":
            line = ((work[0] + 4.0 * wire, axis - 1.6 * wire), (work[0] + 9.0 * wire, axis - 1.6 * wire))
            return arrow_shapes(line, 0.35 * f, "hand")
        case "handle":
            return [arrow for _, high in ends for arrow in _rocked(bench, shown, view, high, f)]
    return []


def inside(shapes: Sequence[Primitive], box: Box) -> bool:
    """Whether all lines lie in a box."""
    points = [point for shape in shapes if isinstance(shape, Stroke) for point in shape.points]
    return all(box[0] <= x <= box[2] and box[1] <= y <= box[3] for x, y in points)


def letter_shapes(
    bench: Bench, shown: VisiblePart, view: View, box: Box, f: float, hands: Sequence[Primitive] = ()
) -> list[Primitive]:
    """The letters of the ink marks that can be seen, each beside its mark, off the wire and off what hands do."""
    drawn = [_along(shape.points, 0.3 * f) for shape in hands if isinstance(shape, Stroke)]
    over = np.concatenate(drawn) if drawn else np.empty((0, 2))
    flat = view.project(shown.points_mm)[0]
    wire = bench.d_mm * view.scale
    shapes: list[Primitive] = []
    taken: list[CanvasPoint] = []
    pin = view.project(bench.pin_mm)[0][0].tolist()
    round_pin = bench.result.recipe.eye.pin_mm / 2.0 * view.scale + 0.6 * f
    for mark in bench.marks:
        first: CanvasPoint | None = None
        for start, place in zip(bench.starts_mm, mark.places, strict=True):
            x, y = _place(shown, view, start + place.from_standing_end_mm)
            if first and np.hypot(x - first[0], y - first[1]) < 2.5 * f:  # one letter for both
                continue
            first = first or (x, y)
            away = wire / 2.0 + 1.0 * f
            for way in _LETTER_WAYS.tolist():
                at = (x + away * float(np.cos(way)), y + away * float(np.sin(way)))
                clear = np.hypot(flat[:, 0] - at[0], flat[:, 1] - at[1]).min() > wire / 2.0 + 0.5 * f
                clear &= np.hypot(at[0] - pin[0], at[1] - pin[1]) > round_pin
                clear &= not len(over) or np.hypot(over[:, 0] - at[0], over[:, 1] - at[1]).min() > 0.85 * f
                inside = box[0] + f < at[0] < box[2] - f and box[1] + f < at[1] < box[3] - f
                if clear and inside and all(np.hypot(at[0] - a, at[1] - b) > 1.3 * f for a, b in taken):
                    shapes.append(Text(at[0], at[1] + 0.35 * f, mark.letter, 0.95 * f, INK, True, "middle"))
                    taken.append(at)
                    break
    return shapes


def name_shapes(
    bench: Bench,
    shown: VisiblePart,
    view: View,
    box: Box,
    f: float,
    beside: Sequence[Primitive],
    formed_d: Sequence[tuple[float, float]],
) -> list[Primitive]:
    """What the light and the dark wire are called, each where it is still straight, off all that is drawn there."""
    flat = view.project(shown.points_mm)[0]
    wire = bench.d_mm * view.scale
    tag = tag_proportion(shown.section, shown.names, shown.s_mm / bench.d_mm)
    free = (flat > (box[0], box[1])).all(axis=1) & (flat < (box[2], box[3])).all(axis=1)
    for start, (low, high) in zip(bench.starts_mm, formed_d, strict=True):
        free &= (shown.s_mm < start + low * bench.d_mm) | (shown.s_mm > start + high * bench.d_mm)
    pin = view.project(bench.pin_mm)[0]
    bare = [(flat, wire / 2.0), (pin, bench.result.recipe.eye.pin_mm / 2.0 * view.scale)]
    bare += [(_along(shape.points, 0.3 * f), 0.0) for shape in beside if isinstance(shape, Stroke)]
    bare += [(_along(_row(shape), 0.3 * f), 0.5 * f) for shape in beside if isinstance(shape, Text)]
    shapes: list[Primitive] = []
    for name, own, other in (("standing leg", tag < 0.02, tag > 0.98), ("tag", tag > 0.98, tag < 0.02)):
        rows = np.flatnonzero(own & free)
        rows = rows[np.argsort(-np.hypot(*(flat[rows] - pin).T))][:: max(len(rows) // 40, 1)]
        places = np.concatenate([points for points, _ in bare])
        room = np.repeat([half for _, half in bare], [len(points) for points, _ in bare])
        for row in rows.tolist():
            beneath = np.hypot(*(flat[other] - flat[row]).T).min(initial=np.inf) < 1.5 * wire
            at = None if beneath else _clear(name, flat[row], wire, box, (places, room), f)
            if at is not None:
                shapes.append(label := Text(*at, name, 0.95 * f, INK, anchor="middle"))
                bare.append((_along(_row(label), 0.3 * f), 0.5 * f))
                break
    return shapes


def _clear(
    name: str, at: np.ndarray, wire: float, box: Box, taken: tuple[np.ndarray, np.ndarray], f: float
) -> CanvasPoint | None:
    """Where a name can stand beside a place of the wire: off everything (n, 2) by its half width (n,)."""
    places, room = taken
    half = text_width(name, 0.95 * f) / 2.0
    reach = (2.0 * half + wire, 0.5 * wire + 1.9 * f)  # across and along: nothing farther away comes near
    near = (np.abs(places - at) <= np.array(reach) + room.max(initial=0.0) + 0.55 * f).all(axis=1)
    places, room = places[near], room[near]
    asides = (0.0, half + 0.5 * wire, -half - 0.5 * wire, box[2] - 0.5 * f - half - float(at[0]))
    for off, way, aside in product((1.1, 1.9), (1.0, -1.0), asides):
        x, y = float(at[0]) + aside, float(at[1]) + way * (wire / 2.0 + off * f)
        if abs(aside) > half + wire or not (box[0] + 0.4 * f < x - half and x + half < box[2] - 0.4 * f):
            continue
        line = np.stack([np.linspace(x - half, x + half, 9), np.full(9, y)], axis=1)
        gap = np.hypot(*(places[:, None] - line).transpose(2, 0, 1)).min(axis=1) - room
        if box[1] + f < y < box[3] - f and gap.min(initial=np.inf) > 0.55 * f:
            return x, y + 0.35 * f
    return None


def _row(text: Text) -> tuple[CanvasPoint, CanvasPoint]:
    """The middle line of a text, from its first letter to its last."""
    wide = text_width(text.text, text.size, text.bold)
    left = text.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    return (left, text.y - 0.35 * text.size), (left + wide, text.y - 0.35 * text.size)


def _along(points: Sequence[CanvasPoint], step: float) -> np.ndarray:
    """Places (n, 2) along a line, a step apart or less."""
    parts = [np.linspace(a, b, max(int(np.hypot(b[0] - a[0], b[1] - a[1]) / step), 1) + 1) for a, b in pairwise(points)]
    return np.concatenate(parts)


def _place(shown: VisiblePart, view: View, s_mm: float) -> CanvasPoint:
    """Where an arc length falls on the canvas."""
    row = int(np.argmin(np.abs(shown.s_mm - s_mm)))
    x, y = view.project(shown.points_mm[row])[0][0].tolist()
    return x, y


def _bent(x: float, y: float, radius: float, side: float, f: float) -> list[Primitive]:
    """A leg bent round the pin, from the far side of the pin to the joint's."""
    points = tuple(
        (x - radius * float(np.cos(a)), y - side * radius * float(np.sin(a)))
        for a in np.radians(np.linspace(25.0, 100.0, 20))
    )
    return arrow_shapes(points, 0.35 * f, "hand")


def _grip(bench: Bench, shown: VisiblePart, view: View, start: tuple[float, float], f: float) -> list[Primitive]:
    """A bar across a leg at the farthest place to grip it: (arc length where the work is [mm], which way from there)."""
    s_mm, way = start
    s = s_mm + way * bench.reach_mm
    row = int(np.argmin(np.abs(shown.s_mm - s)))
    if not shown.s_mm[0] <= s <= shown.s_mm[-1] or abs(shown.s_mm[row] - s) > bench.d_mm:  # no wire so far out
        return []
    x, y = view.project(shown.points_mm[row])[0][0].tolist()
    along = np.asarray(shown.tangents[row]) @ view.axes[:2].T
    length = float(np.hypot(*along))
    if length < 0.3:  # it runs at the viewer
        return []
    across = (float(along[1]) / length, float(along[0]) / length)
    half = bench.d_mm * view.scale / 2.0 + 0.9 * f
    ends = tuple((x + side * half * across[0], y + side * half * across[1]) for side in (-1.0, 1.0))
    return [Stroke(ends, 0.3 * f, INK, "grip")]


def _rocked(bench: Bench, shown: VisiblePart, view: View, s_mm: float, f: float) -> list[Primitive]:
    """The handle, to and fro."""
    x, y = _place(shown, view, s_mm)
    rows = (shown.s_mm > s_mm) & (shown.s_mm < s_mm + 1.01 * bench.making.handle_d * bench.d_mm)
    if not rows.any():
        return []
    far = view.project(shown.points_mm[rows])[0]
    k = int(np.argmax(np.hypot(far[:, 0] - x, far[:, 1] - y)))
    radius, middle = float(np.hypot(far[k, 0] - x, far[k, 1] - y)), float(np.arctan2(far[k, 1] - y, far[k, 0] - x))
    shapes: list[Primitive] = []
    for side in (-1.0, 1.0):
        swept = middle + side * np.radians(np.linspace(4.0, 16.0, 12))
        points = tuple((x + 0.8 * radius * float(np.cos(a)), y + 0.8 * radius * float(np.sin(a))) for a in swept)
        shapes += arrow_shapes(points, 0.35 * f, "hand")
    return shapes
