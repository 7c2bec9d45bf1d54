"""The parts of a joint by name: above the wire and below it, each beside its part; turns and wraps counted where they are."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from helix.output.canvas.label_places import STEP, LabelBlock, Silhouette, place_label, sized
from helix.output.canvas.primitives import INK, PAPER, Area, Primitive, Stroke, Text, rectangle
from helix.output.picture.picture_layout import mark_outline
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.labels import Callout, part_callouts
from helix.output.words.words import number_of
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

_UNDER = ("exit", "stub")  # they stand too near to their neighbours for one row
_UNDER_EYE = ("exit", "barrel")  # of a joint without a twist: the eye rises beside them
_COUNTED = ("twist", "barrel")
_LEANS = {"exit": -1.0, "stub": 1.0}  # apart, so that there is room for a mark between them


class PartNames:
    """The names of a joint's parts, to be placed on a canvas.

    figures: each with its sizes below its name; else turns and wraps alone are told, in the name. along: the joint is seen from
    a side on which its axis lies level.
    """

    def __init__(
        self,
        result: ShapeResult,
        shown: VisiblePart,
        units: UnitSystem,
        f: float,
        width: float,
        *,
        figures: bool,
        along: bool,
    ) -> None:
        calls = part_callouts(result, shown, units)
        if not figures:
            calls = [replace(call, title=_titled(result, call), lines=()) for call in calls]
        self.result, self.shown, self.f, self.along = result, shown, f, along
        self.inside: list[LabelBlock] = []  # names that stand in their part or at its end, without a line
        under = _UNDER if result.counts.turns else _UNDER_EYE
        room = width if figures else 4.0 * width  # names alone are a line each
        self.up = sized([call for call in calls if call.name not in under], f, room)
        self.down = sized([call for call in calls if call.name in under], f, room)
        for block in (*self.up, *self.down):
            block.lean = _LEANS.get(block.call.name, 0.0)

    @property
    def height(self) -> float:
        """Of the tallest above the wire."""
        return max((block.height for block in self.up), default=0.0)

    @property
    def top(self) -> float:
        """Where the highest begins, once they are placed."""
        return min((block.y for block in self.up), default=float("inf"))

    @property
    def bottom(self) -> float:
        """Where the lowest ends, once they are placed."""
        return max((block.y + block.height for block in self.down), default=-float("inf"))

    def place(self, view: View, limits: tuple[float, float]) -> None:
        """Place them all beside the wire as it is seen."""
        edge = Silhouette(view.project(self.shown.points_mm)[0], self.shown.d_mm * view.scale / 2)
        self.inside = []
        for block in [block for block in self.up if block.call.name == "eye" and not block.call.lines]:
            x, y = _hole(self.shown, view)
            room = 0.7 * self.result.finished.eye_inside_width_mm * view.scale
            if self.along and block.width < room and block.height < room:
                block.x, block.y = x - block.width / 2, y - 0.6 * block.height
                self.inside = [block]
        for block in [block for block in self.up if block.call.name == "standing" and not block.call.lines]:
            (x, y), room = view.project(block.call.point_mm)[0][0].tolist(), 0.8 * self.f
            x = float(edge.flat[:, 0].max()) + edge.half + room
            if self.along and not self.result.counts.turns and x + block.width < limits[1]:
                block.x, block.y = x, y - 0.6 * block.height
                self.inside.append(block)  # beside its end: the eye leaves little room above
        outside = [block for block in self.up if block not in self.inside]
        place_label(outside, view, edge, self.f, limits, up=True, off=0.8)
        place_label(self.down, view, edge, self.f, limits, up=False, off=0.3)

    def shapes(self, view: View, *, plates: bool = False) -> list[Primitive]:
        """Words, leaders with a dot on their part, and brackets over what is counted; plates: paper behind the words."""
        f, shapes = self.f, list[Primitive]()
        axial = self.result.joint.axial
        ends = {"twist": (0.0, axial["exit"]), "barrel": (axial["barrel"], axial["top"])}
        edge = Silhouette(view.project(self.shown.points_mm)[0], self.shown.d_mm * view.scale / 2)
        for block in (*self.up, *self.down):
            if block in self.inside:
                continue
            x, y = block.anchor
            side = -1.0 if block in self.up else 1.0  # of the wire
            foot = block.y + (block.height + 0.2 * f if side < 0.0 else 0.25 * f)
            level = foot - side * (0.5 + STEP * block.level) * f
            if self.along and block.call.name in _COUNTED:
                (x0, _), (x1, _) = view.project([[0.0, 0.0, z] for z in ends[block.call.name]])[0].tolist()
                high, low = edge.over(x0, x1)
                at = min(high - 0.55 * f, y - 0.8 * f) if side < 0.0 else low + 0.55 * f
                x = min(max(block.head, x0), x1)
                bracket = ((x0, at - side * 0.4 * f), (x0, at), (x1, at), (x1, at - side * 0.4 * f))
                shapes.append(Stroke(bracket, 0.09 * f, INK, f"counted {block.call.name}"))
                shapes.append(Stroke(_elbow(block, foot, x, at, level), 0.09 * f, INK, f"leader {block.call.name}"))
            else:
                path = _elbow(block, foot, x, y, level)
                shapes += [Stroke(path, 0.09 * f, INK, f"leader {block.call.name}"), *_dot(x, y, f)]
        for block in (*self.up, *self.down):
            if plates and block not in self.inside:
                low = block.y + block.height
                shapes.append(
                    Area(rectangle(block.x - 0.2 * f, low - 1.4 * f, block.x + block.width + 0.2 * f, low), PAPER)
                )
            shapes += [
                Text(block.x + line.x, block.y + line.y, line.text, line.size, line.colour, line.bold)
                for line in block.lines
            ]
        return shapes


def _hole(shown: VisiblePart, view: View) -> tuple[float, float]:
    """The middle of the eye on the canvas."""
    flat = view.project(shown.points_mm[shown.rows("eye")])[0]
    middle = int(np.argmin(flat[:, 1])), int(np.argmax(flat[:, 1]))
    x, y = (float(np.mean(flat[list(middle), k])) for k in (0, 1))
    return x, y


def _titled(result: ShapeResult, call: Callout) -> str:
    """The name of a part, with its turns or wraps."""
    count = {"twist": (result.counts.turns, "turn"), "barrel": (result.counts.wraps, "wrap")}.get(call.name)
    return f"{call.title}: {number_of(*count)}" if count else call.title


def _elbow(block: LabelBlock, foot: float, x: float, y: float, level: float) -> tuple[tuple[float, float], ...]:
    if abs(block.head - x) < 1e-9:
        return ((block.head, foot), (x, y))
    return ((block.head, foot), (block.head, level), (x, level), (x, y))


def _dot(x: float, y: float, f: float) -> list[Primitive]:
    from helix.findings import Severity

    return [Area(mark_outline(Severity.OK, x, y, 0.24 * f), INK, PAPER, 0.12 * f, "dot")]
