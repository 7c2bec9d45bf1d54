"""Where a simulated pull starts: the exact joint's wire as nodes of a rod, its pin, and what is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.errors import ValidationError, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.smooth_line import nodes_of
from helix.model.joint.joint import Joint, least_gap, shortened
from helix.model.recipe.recipe_checks import check_one_wire
from helix.studies.simulate.simulated_range import LAYS_D, out_of_range, size_rows

OVERLAP_D: Final = 0.003
"""A deeper overlap at the start would push the joint apart."""
LEG_D: Final = 8.0
"""Standing leg that is kept above the barrel; the pull takes hold of its end."""
MESH_D: Final = 0.4
_FINE_D: Final = 0.005
_RISE_D: Final = 1.6
_ARC: Final = 0.8  # of the eye's radius to either side of its lowest place: on the pin


@dataclass(frozen=True)
class PullStart:
    """A joint ready to be pulled, in wire diameters.

    points (n, 3): where the smooth centre line passes; nodes (n, 3) of the rod that runs there. s (n,): arc length along the
    joint's wire. section (n,): name of the part. lowest: number of the node at the middle of the eye. pin_middle, pin_axis (3,),
    pin_radius. right_handed: of the twist. leg_middles: nodes in the middle of both straight legs of the eye.
    """

    points: Array
    nodes: Array
    s: Array
    section: tuple[str, ...]
    lowest: int
    pin_middle: Array
    pin_axis: Array
    pin_radius: float
    right_handed: bool
    leg_middles: tuple[int, int]


def start_of(joint: Joint, mesh_d: float = MESH_D, wider_d: float = 0.0) -> PullStart:
    """The wire of a joint from 8 d above its barrel to the tip of its stub, at even steps near `mesh_d`.

    wider_d: by how much the barrel stands off the leg, beyond what its recipe says.

    Raises ValidationError for what was not looked at, and for parts that overlap.
    """
    _check(joint)
    path = joint.layout.path
    samples = path.sample(_FINE_D)
    starts = np.asarray(path.starts)[: len(path.pieces)]
    top = max(joint.axial_d["top"], joint.axial_d["on_axis"])
    standing = samples.s <= starts[1]
    above = standing & (samples.points[:, 2] <= top + LEG_D)
    first = float(samples.s[above][0]) if above.any() else 0.0
    count = round((path.length - first) / mesh_d)
    s = np.linspace(first, path.length, count + 1)
    points = _at(s, samples.s, samples.points)
    names = [piece.section for piece in path.pieces]
    section = tuple(names[k] for k in np.clip(np.searchsorted(starts, s + 1e-9, side="right") - 1, 0, None))
    points = _wider(points, s, np.array(section) == "barrel", wider_d)
    radius = 0.5 * joint.layout.sizes.pin
    axis = np.cross(_at(np.array([joint.middle_d]), samples.s, samples.tangents)[0], [0.0, 0.0, 1.0])
    axis /= np.linalg.norm(axis)
    lowest = int(np.argmin(points[:, 2]))
    centre = _pin_middle(points[np.abs(s - s[lowest]) < _ARC * (radius + 0.5)], axis)
    return PullStart(
        points=points,
        nodes=nodes_of(points),
        s=s,
        section=section,
        lowest=lowest,
        pin_middle=centre,
        pin_axis=axis,
        pin_radius=radius,
        right_handed=bool(joint.layout.sizes.right_handed),
        leg_middles=_straight_middles(points, lowest, float(centre[2])),
    )


def _wider(points: Array, s: Array, barrel: NDArray[np.bool_], by: float) -> Array:
    """The line with its barrel further from its axis, risen to over a quarter of a turn from where the barrel begins."""
    if by == 0.0 or not barrel.any():
        return points
    rise = np.clip((s - s[barrel][0]) / _RISE_D, 0.0, 1.0)
    share = np.where(s < s[barrel][0], 0.0, 0.5 - 0.5 * np.cos(np.pi * rise))
    radius = np.maximum(np.hypot(points[:, 0], points[:, 1]), 0.5)
    return np.asarray(points * np.stack([1.0 + by * share / radius] * 2 + [np.ones(len(s))], axis=1))


def _pin_middle(arc: Array, axis: Array) -> Array:
    """Middle of the circle that an arc of the eye lies on, seen along the pin; of an uneven joint it is off the joint's axis."""
    up = np.array([0.0, 0.0, 1.0])
    across = np.cross(up, axis)
    u, v = arc @ across, arc @ up
    solved = np.linalg.lstsq(np.column_stack([2.0 * u, 2.0 * v, np.ones(len(u))]), u * u + v * v, rcond=None)[0]
    return np.asarray(solved[0] * across + solved[1] * up + float(arc.mean(axis=0) @ axis) * axis)


def _at(s: Array, known: Array, values: Array) -> Array:
    return np.stack([np.interp(s, known, values[:, k]) for k in range(3)], axis=1)


def _straight_middles(points: Array, lowest: int, centre: float) -> tuple[int, int]:
    """Nodes halfway between the pin's middle and the throat, on either leg."""
    height = 0.5 * centre
    above = np.flatnonzero(points[:lowest, 2] >= height)
    before = int(above[-1]) if above.size else lowest - 1
    after = lowest + int(np.argmax(points[lowest:, 2] >= height))
    return before, after


def _check(joint: Joint) -> None:
    check_one_wire(joint.recipe, "simulate-of-two")
    sizes = joint.layout.sizes
    issues = out_of_range(("lay_length", sizes.lay, LAYS_D, "d"), *size_rows(sizes))
    if not issues:
        gap = least_gap(shortened(joint))[0].gap
        if gap < -OVERLAP_D:
            issues.append(
                argument_issue("recipe", f"must not overlap to be simulated; its parts overlap by {-gap:.3f} d")
            )
    if issues:
        raise ValidationError(issues)
