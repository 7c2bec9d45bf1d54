"""Where a simulated pull starts: the exact joint's wire as nodes of a rod, its pin, and what is refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.errors import ValidationError, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.smooth_line import nodes_of
from helix.model.joint.joint import Joint, least_gap, shortened
from helix.model.recipe.recipe_checks import check_one_wire

LAYS_D: Final = (3.4, 6.0)
TURNS: Final = (2.0, 8.0)
MOST_WRAPS: Final = 12.0
PINS_D: Final = (2.0, 12.0)
FRICTIONS: Final = (0.01, 0.3)
"""What runs were looked at for; the capstan is verified at 0.1 and 0.3. At a lay of 3.2 d the book of energies did not close."""
OVERLAP_D: Final = 0.003
"""A deeper overlap at the start would push the joint apart."""
LEG_D: Final = 8.0
"""Standing leg that is kept above the barrel; the pull takes hold of its end."""
MESH_D: Final = 0.4
_FINE_D: Final = 0.005


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


def start_of(joint: Joint, mesh_d: float = MESH_D) -> PullStart:
    """The wire of a joint from 8 d above its barrel to the tip of its stub, at even steps near `mesh_d`.

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
    middle, tangent = (
        _at(np.array([joint.middle_d]), samples.s, array)[0] for array in (samples.points, samples.tangents)
    )
    radius = 0.5 * joint.layout.sizes.pin
    axis = np.cross(tangent, [0.0, 0.0, 1.0])
    centre = middle + [0.0, 0.0, radius + 0.5]
    lowest = int(np.argmin(np.abs(s - joint.middle_d)))
    return PullStart(
        points=points,
        nodes=nodes_of(points),
        s=s,
        section=section,
        lowest=lowest,
        pin_middle=centre,
        pin_axis=axis / np.linalg.norm(axis),
        pin_radius=radius,
        right_handed=bool(joint.layout.sizes.right_handed),
        leg_middles=_straight_middles(points, lowest, float(centre[2])),
    )


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
    seen = (
        ("lay_length", sizes.lay, LAYS_D, "d"),
        ("turns", sizes.turns, TURNS, ""),
        ("wraps", sizes.wraps, (0.0, MOST_WRAPS), ""),
        ("pin", sizes.pin, PINS_D, "d"),
    )
    issues = [
        argument_issue(key, f"must be from {low:g} to {high:g} {unit}".rstrip() + f" to be simulated; got {value:.4g}")
        for key, value, (low, high), unit in seen
        if not low - 1e-9 <= value <= high + 1e-9
    ]
    if not issues:
        gap = least_gap(shortened(joint))[0].gap
        if gap < -OVERLAP_D:
            issues.append(
                argument_issue("recipe", f"must not overlap to be simulated; its parts overlap by {-gap:.3f} d")
            )
    if issues:
        raise ValidationError(issues)
