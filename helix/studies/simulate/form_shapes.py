"""What is read off a wire in two hands: the twist, its strains, the barrel. Simulated, not tested."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.hands import Twisting, touching
from helix.mechanics.rod.winding import last_on_leg
from helix.studies.simulate.form_result import BarrelShape, TwistShape

_HEIGHTS: Final = 240
_ENDS_D: Final = 1.0  # of the twist that are left out where it is measured
_EXIT_D: Final = 1.6  # of wire from the twist to where the barrel is measured


def legs_of(work: Twisting) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Nodes of both legs in the hands, from the eye on."""
    return np.arange(work.middle, work.tips[0] - 1, -1), np.arange(work.middle, work.tips[1] + 1)


def twist_shape(work: Twisting, front: float) -> TwistShape:
    """Lay, evenness, gap and press of the twist up to a height, without its ends."""
    low, high = work.throat + _ENDS_D, front - _ENDS_D
    height = np.linspace(low, high, _HEIGHTS)
    one, two = (_at_heights(work.state.points[leg], height) for leg in legs_of(work))
    apart = one - two
    angle = np.unwrap(np.arctan2(apart[:, 1], apart[:, 0]))
    lay = 2.0 * math.pi * (high - low) / abs(angle[-1] - angle[0])
    window = max(3, min(round(_HEIGHTS * lay / (high - low)), _HEIGHTS - 1))
    radii = [_radius(leg, window) for leg in (one, two)]
    # the gap is seen square to the legs, which go round at the lay angle: the nearest place is not at the same height
    legs = [smooth(work.state.points[leg]) for leg in legs_of(work)]
    gap = float(np.mean([nearest_to(legs[1], place) for place in legs[0] if low < place[2] < high])) - 1.0
    node, _, press = touching(work)
    at = work.state.points[node, 2]
    tangent = work.state.tangent
    below = [leg[np.argmin(np.abs(work.state.points[leg, 2] - 0.5 * work.throat))] for leg in legs_of(work)]
    cosine = float(-tangent[below[0]] @ tangent[below[1]])
    return TwistShape(
        lay_d=lay,
        evenness=min(radii) / max(radii),
        gap_d=gap,
        press=float(press[(at > low) & (at < high)].sum()) / (high - low),
        throat_deg=math.degrees(math.acos(min(1.0, max(-1.0, cosine)))),
    )


def _at_heights(points: Array, height: Array) -> Array:
    """A leg's places across the axis at given heights, (n, 2)."""
    line = smooth(points)
    order = np.argsort(line[:, 2])
    return np.stack([np.interp(height, line[order, 2], line[order, k]) for k in range(2)], axis=1)


def smooth(points: Array) -> Array:
    """The smooth centre line where it passes the nodes."""
    line = points.copy()
    line[1:-1] = (points[:-2] + 6.0 * points[1:-1] + points[2:]) / 8.0
    return line


def _radius(leg: Array, window: int) -> float:
    """Radius of a leg about its own mean over a lay."""
    middle = np.stack([np.convolve(leg[:, k], np.full(window, 1.0 / window), "valid") for k in range(2)], axis=1)
    own = leg[window // 2 : window // 2 + len(middle)]
    return float(np.sqrt(np.mean(np.sum((own - middle) ** 2, axis=1))))


def nearest_to(line: Array, place: Array) -> float:
    """Least distance of a place from a line of nodes."""
    a, along = line[:-1], np.diff(line, axis=0)
    share = np.clip(np.sum((place - a) * along, axis=1) / np.sum(along * along, axis=1), 0.0, 1.0)
    return float(np.sqrt(np.min(np.sum((place - a - share[:, None] * along) ** 2, axis=1))))


@dataclass(frozen=True)
class TwistStrains:
    """Angle [deg] and strain of the first crossing; mean strain of the other turns; largest shear; largest of any fibre."""

    first_deg: float = 0.0
    first: float = 0.0
    mean: float = 0.0
    shear: float = 0.0
    fibre: float = 0.0


def twist_strains(work: Twisting) -> TwistStrains:
    """How hard a twist in the hands is bent and twisted."""
    state, wire = work.state, work.wire
    bend = 0.5 * np.linalg.norm(state.bend, axis=1) / wire.node_length
    shear = 0.5 * np.abs(state.twist) / wire.node_length
    node, place, _ = touching(work)
    lowest = int(np.argmin(state.points[node, 2]))
    one, two = int(node[lowest]), round(float(place[lowest]))
    cosine = float(-state.tangent[one] @ state.tangent[two])
    turns = [
        leg[(state.points[leg, 2] < work.front - _ENDS_D) & (np.abs(leg - work.middle) > 2)] for leg in legs_of(work)
    ]
    at = state.points[node[lowest], 2]
    near = [leg[np.abs(state.points[leg, 2] - at) < 2.0] for leg in turns]
    far = [leg[state.points[leg, 2] > at + 4.0] for leg in turns]
    first = max(float(bend[leg].max(initial=0.0)) for leg in near)
    rest = float(np.mean(np.concatenate([bend[leg] for leg in far])))
    own = np.concatenate(turns)
    fibre = float(np.sqrt(bend[own] ** 2 + shear[own] ** 2 / 3.0).max())
    first_deg = math.degrees(math.acos(min(1.0, max(-1.0, cosine))))
    return TwistStrains(first_deg, first, rest, float(shear[own].max()), fibre)


def barrel_nodes(work: Twisting, front: float) -> NDArray[np.int64]:
    """Nodes of the tag that are wound on the standing leg, from a little past the twist's end at height `front`."""
    tag = legs_of(work)[1]
    tag = tag[tag <= last_on_leg(work)]
    above = tag[work.state.points[tag, 2] > front]
    return np.asarray(above[(above - above[0]) * work.wire.length[0] > _EXIT_D] if above.size else above)


def barrel_shape(work: Twisting, front: float) -> BarrelShape | None:
    """The barrel above the twist's end; None where there is none."""
    nodes = barrel_nodes(work, front)
    if nodes.size < 3:
        return None
    line = smooth(work.state.points)
    standing, tag = legs_of(work)
    leg = line[standing][line[standing, 2] > front - _EXIT_D]
    order = np.argsort(leg[:, 2])
    axis = np.stack([np.interp(line[nodes, 2], leg[order, 2], leg[order, k]) for k in range(2)], axis=1)
    off = line[nodes, :2] - axis
    angle = np.abs(np.unwrap(np.arctan2(off[:, 1], off[:, 0])) - math.atan2(off[0, 1], off[0, 0]))
    bend = 0.5 * np.linalg.norm(work.state.bend, axis=1) / work.wire.node_length
    exits = tag[(tag < nodes[0]) & (work.state.points[tag, 2] > front - _EXIT_D)]
    near = standing[np.abs(work.state.points[standing, 2] - front) < _EXIT_D]
    return BarrelShape(
        turns=float(angle[-1]) / (2.0 * math.pi),
        off_d=float(np.mean([nearest_to(leg, place) for place in line[nodes]])) - 1.0,
        pitch_d=2.0 * math.pi * float(np.polyfit(angle, line[nodes, 2], 1)[0]),
        tag_strain=float(bend[exits].max(initial=0.0)),
        leg_strain=float(bend[near].max(initial=0.0)),
    )
