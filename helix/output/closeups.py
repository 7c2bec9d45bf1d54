"""Close-ups of a joint: the first bend as seen along the pin, the exit turned so that its bend faces the viewer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from helix.output.view import Shown, View, side_view
from helix.output.words import severity_rank
from helix.studies.along import severities

if TYPE_CHECKING:
    from helix.studies.bends import Bend
    from helix.studies.shape import ShapeResult

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Angle:
    """An angle to draw: its corner in mm, two unit directions from there, and its size in degrees."""

    corner_mm: Point
    first: Point
    second: Point
    size_deg: float


@dataclass(frozen=True)
class CloseUp:
    """A close-up: what it shows, its verdict, the numbers of the bend, from where it is seen, and how much.

    middle_mm: height along the joint's axis that stands in the middle; length_mm: how much of the axis is
    shown. rows: samples of the bend itself. angle: the one that can be seen on the bench.
    """

    name: str
    title: str
    verdict: str
    caption: tuple[str, ...]
    view: View
    middle_mm: float
    length_mm: float
    rows: np.ndarray
    angle: Angle | None


def close_ups(result: ShapeResult, shown: Shown) -> tuple[CloseUp, ...]:
    """The first bend and the exit; a joint that swings its tag nowhere has no exit to show."""
    bends = {bend.name: bend for bend in result.bends}
    found = [_entry(result, shown, bends)]
    if bends["exit_tag"].length_d > 0.0:
        found.append(_exit(result, shown, bends))
    return tuple(found)


def _entry(result: ShapeResult, shown: Shown, bends: dict[str, Bend]) -> CloseUp:
    pair = [bends["entry_standing"], bends["entry_tag"]]
    d = shown.d_mm
    seen = bends["entry_tag"].visible_angle_deg
    throats = result.joint.layout.sizes.tag_throat, result.joint.layout.sizes.standing_throat
    # the tag's eye leg is on the side of +x as the wire runs towards the twist
    way = float(np.sign(shown.points_mm[shown.rows("entry_tag")[0], 0]) or 1.0)
    legs = [
        (float(side * np.sin(throat.leg_angle)), 0.0, -float(np.cos(throat.leg_angle)))
        for side, throat in zip((way, -way), throats, strict=True)
    ]
    return CloseUp(
        name="entry",
        title="First bend",
        verdict=_worst(result, pair),
        caption=(f"the eye legs cross at {seen:.0f} deg", _numbers(pair)),
        view=side_view(),
        middle_mm=-1.0 * d,
        length_mm=9.5 * d,
        rows=shown.rows("entry_standing", "entry_tag"),
        angle=Angle((0.0, 0.0, 0.0), legs[0], legs[1], seen),
    )


def _exit(result: ShapeResult, shown: Shown, bends: dict[str, Bend]) -> CloseUp:
    pair = [bends["exit_standing"], bends["exit_tag"]]
    tag, d = bends["exit_tag"], shown.d_mm
    axial = result.joint.axial
    rows = shown.rows("exit_tag")
    wound = shown.rows("barrel")
    first_wrap = wound[shown.s_mm[wound] <= shown.s_mm[wound[0]] + 6.4 * d] if len(wound) else wound
    both = np.concatenate((rows, first_wrap))
    slant = np.degrees(np.arccos(np.clip(shown.tangents[both, 2], -1.0, 1.0)))
    off = np.abs(slant - tag.visible_angle_deg)  # not merely the largest: where parts overlap that is not trusted
    peak = int(both[np.flatnonzero(off <= off.min() + 0.05)[0]])
    x, y, z = (float(v) for v in shown.points_mm[peak])
    facing = side_view(float(np.arctan2(x, y)))
    start, stop = axial["exit"], max(axial["barrel"], axial["on_axis"])
    length = max(stop - start + 4.5 * d, 9.5 * d)
    t = tuple(float(v) for v in shown.tangents[peak])
    return CloseUp(
        name="exit",
        title="Exit",
        verdict=_worst(result, pair),
        caption=(
            f"tag at up to {tag.visible_angle_deg:.0f} deg, over {tag.length_d:.1f} d",
            _numbers(pair),
        ),
        view=facing,
        middle_mm=(start + stop) / 2.0 + 1.4 * d,
        length_mm=length,
        rows=shown.rows("exit_standing", "exit_tag"),
        angle=Angle((x, y, z), (0.0, 0.0, 1.0), (t[0], t[1], t[2]), tag.visible_angle_deg),
    )


def _worst(result: ShapeResult, bends: list[Bend]) -> str:
    said = severities(result)
    return min((said[bend.name] for bend in bends if bend.length_d > 0.0), key=severity_rank, default="ok")


def _numbers(bends: list[Bend]) -> str:
    radius = min((b.min_radius_d for b in bends if b.min_radius_d is not None), default=None)
    strain = max((b.strain for b in bends), default=0.0)
    return ("" if radius is None else f"least radius {radius:.2f} d, ") + f"strain {strain:.2f}"
