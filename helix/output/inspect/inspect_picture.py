"""The joint to be inspected as a plain drawing: the wire, and the place of every reading with what it is to be."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from helix.model.measured.readings import ANGLES
from helix.output.picture.view import VisiblePart, shown_part, side_view
from helix.output.shape.colouring import tag_proportion
from helix.output.shape.wire_shapes import pieces
from helix.output.words.words import plain_count
from helix.studies.inspect.beside import Beside, intended_readings
from helix.studies.shape.joint_sizes import bight_height
from helix.studies.shape.outline import Outline
from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.inspect.inspection_result import Inspection

Point = tuple[float, float]

_STEP_D = 0.1
_ARC_D = 3.0  # radius of an angle's arc
_BESIDE_D = 1.7  # of one that stands beside its bend
_CLEAR_D = 1.8  # how far above the barrel: the line of its length lies between
ROWS: Final = ("counts", "above", "below", "whole")
"""Of labels, from above to below the joint: two above, two below."""


@dataclass(frozen=True)
class Place:
    """Where a reading is taken, in mm: a line or an arc that is measured, the point that its label points at, its row."""

    name: str
    line: tuple[Point, ...]
    row: str

    @property
    def at(self) -> Point:
        """The middle of the line."""
        return self.line[len(self.line) // 2] if len(self.line) > 2 else (
            (self.line[0][0] + self.line[-1][0]) / 2.0, (self.line[0][1] + self.line[-1][1]) / 2.0
        )  # fmt: skip


def inspect_picture(outline: Outline, units: UnitSystem = "metric") -> dict[str, Any]:
    """The drawing as plain data, in mm: along the joint to the right, y downwards, the eye's throat at (0, 0).

    box: x, y, width, height. wire: pieces from far to near, each the path of its
    dark edge, that of its body, which laps over its neighbours, and whether it is of the tag. places: each reading's
    name, the path that is measured, the point of its label, its row, and what it is to be.
    """
    shown = shown_part(outline.joint, _STEP_D)
    flat, _ = side_view().project(shown.points_mm)
    intended = intended_readings(outline)
    places = [place for place in _places(outline, shown, intended) if place.name in intended]
    ends = np.concatenate((flat, *(np.array(place.line) for place in places)))
    low, high = ends.min(axis=0) - shown.d_mm, ends.max(axis=0) + shown.d_mm
    tag = tag_proportion(shown.section, shown.names, shown.s_mm / shown.d_mm)
    return {
        "box": [round(float(value), 3) for value in (*low, *(high - low))],
        "d_mm": shown.d_mm,
        "wire": [
            {"edge": _path(flat[a : b + 1]), "body": _path(flat[c : d + 1]), "tag": bool(tag[(a + b) // 2] > 0.5)}
            for (a, b), (c, d) in ((piece.lapped(1), piece.lapped(2)) for piece in pieces(shown, side_view()))
        ],
        "places": [
            {
                "name": place.name,
                "path": _path(place.line),
                "at": [round(value, 3) for value in place.at],
                "row": place.row,
                "intended": reading_text(place.name, intended[place.name], units),
            }
            for place in places
        ],
    }


def picture_of_made(result: Inspection, outline: Outline, units: UnitSystem = "metric") -> dict[str, Any]:
    """What is laid over the drawing: the made joint's wire, and every reading with its severity, in words too."""
    from helix.studies.inspect.beside import readings_beside

    made = []
    if result.shaped is not None:
        shown = shown_part(result.shaped.joint, _STEP_D)
        flat, _ = side_view().project(shown.points_mm)
        made = [_path(flat[run]) for run in shown.pieces]
    rows = readings_beside(result, intended_readings(outline))
    return {"wire": made, "read": [_read(row, units) for row in rows]}


def reading_text(name: str, value: float, units: UnitSystem) -> str:
    """A reading's value as people say it.

    >>> reading_text("turns", 4.5, "metric"), reading_text("exit", 80.84, "metric"), reading_text("eye", 6.0, "inch")
    ('4.5', '81 deg', '0.236 in')
    """
    if name in ANGLES:
        return f"{value:.0f} deg"
    return plain_count(value) if name in ("turns", "wraps") else format_length(value, units)


def _read(row: Beside, units: UnitSystem) -> dict[str, str]:
    return {
        "name": row.name,
        "shown": reading_text(row.name, row.value, units),
        "intended": reading_text(row.name, row.intended, units),
        "severity": row.severity.word,
    }


def _places(outline: Outline, shown: VisiblePart, intended: Mapping[str, float]) -> Iterator[Place]:
    """Where everything is measured: lengths above or below the wire, diameters across it, angles at their bends."""
    joint, d, made = outline.joint, shown.d_mm, outline.finished
    axial, bight = joint.axial, (bight_height(joint) + 0.5) * d
    flat, _ = side_view().project(shown.points_mm)
    eye = flat[shown.rows("eye")]
    wide = eye[int(np.argmin(eye[:, 1]))]
    deep = float(np.abs(eye[:, 1]).max()) + 1.5 * d
    half = made.eye_inside_width_mm / 2.0
    yield Place("eye", ((float(wide[0]), -half), (float(wide[0]), half)), "above")
    yield Place("eye_length", ((bight, deep), (bight + made.eye_inside_length_mm, deep)), "below")
    yield from _angle("first_bend", (0.0, 0.0), (math.pi,), _seen(outline, "entry_tag"), d, "counts")
    twist = axial["exit"]
    over = 2.2 * d
    yield Place("turns", ((twist / 2.0, -d), (twist / 2.0, -over)), "counts")
    if outline.counts.turns:
        across = outline.finished.twist_diameter_mm or 2.0 * d
        lay = outline.recipe.twist.lay_mm
        yield Place("twist_length", ((0.0, -over), (twist, -over)), "above")
        yield Place("lay", ((0.0, over), (min(lay, twist), over)), "below")
        at = 0.62 * twist
        yield Place("twist_diameter", ((at, -across / 2.0), (at, across / 2.0)), "below")
    top = axial["top"] + d / 2.0  # the far face
    if outline.counts.wraps:
        across = made.barrel_diameter_mm or 3.0 * d
        out = across / 2.0 + 1.2 * d
        start = top - intended["barrel_length"]
        yield from _exit(outline, d)
        yield Place("barrel_length", ((start, -out), (top, -out)), "above")
        yield Place("barrel_diameter", ((top + 0.8 * d, -across / 2.0), (top + 0.8 * d, across / 2.0)), "whole")
    middle = top - outline.counts.wraps * joint.layout.sizes.pitch * d / 2.0
    yield Place("wraps", ((middle, -1.5 * d), (middle, -2.7 * d)), "counts")
    wire = float(flat[shown.rows("standing")][:, 0].max(initial=top + d)) - 0.9 * d
    yield Place("wire", ((wire, -d / 2.0), (wire, d / 2.0)), "above")
    yield Place("length", ((bight, deep + 2.0 * d), (top, deep + 2.0 * d)), "whole")
    outside = top - intended["outside_length"]
    yield Place("outside_length", ((outside, deep + 3.5 * d), (top, deep + 3.5 * d)), "whole")


def _seen(outline: Outline, name: str) -> float:
    """The angle that is seen of a bend [deg]; nan where there is none."""
    return next(
        (bend.visible_angle_deg for bend in outline.bends if bend.name == name and bend.visible_angle_deg), math.nan
    )


def _exit(outline: Outline, d: float) -> Iterator[Place]:
    """The exit's angle, above the place of the bend and clear of the wraps: from the standing leg's way from the eye to the tag."""
    angle = _seen(outline, "exit_tag")
    bend = next((bend for bend in outline.bends if bend.name == "exit_tag"), None)
    if bend is None or math.isnan(angle):
        return
    x, clear = bend.point_mm[2], 0.5 * (outline.finished.barrel_diameter_mm or 3.0 * d) + _CLEAR_D * d
    arc = np.radians(np.linspace(0.0, -angle, 13))
    yield Place("exit", _arc((x, -clear), arc, _BESIDE_D * d), "counts")


def _angle(name: str, at: Point, towards: Sequence[float], angle_deg: float, d: float, row: str) -> Iterator[Place]:
    """An angle between two legs, half of it on each side of a direction, drawn from its corner."""
    if math.isnan(angle_deg):
        return
    half = math.radians(angle_deg) / 2.0
    yield Place(name, _arc(at, np.linspace(towards[0] - half, towards[0] + half, 13), _ARC_D * d), row)


def _arc(at: Point, turn: Iterable[float], radius: float) -> tuple[Point, ...]:
    """An arc with both its arms."""
    rim = tuple((at[0] + radius * math.cos(angle), at[1] + radius * math.sin(angle)) for angle in turn)
    far = [(at[0] + 1.4 * (x - at[0]), at[1] + 1.4 * (y - at[1])) for x, y in (rim[0], rim[-1])]
    return (at, far[0], rim[0], *rim[1:], far[1], at)


def _path(points: Iterable[Sequence[float]]) -> str:
    return "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in points)
