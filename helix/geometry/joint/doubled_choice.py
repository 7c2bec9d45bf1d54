"""Choosing the exits of two wires worked as one: the gradual ones by search, the bench ones by rule, given ones as told.

Unit: the wire diameter. As `helix.geometry.joint.exit_choice` does for one wire; why the tags are turned as they are is in
docs/theory/doubled.md.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from helix.geometry.joint.doubled_exit import SPACING, DoubledExit, DoubledPlan, doubled_exit, laid_on_pair
from helix.geometry.joint.doubled_eye import Ring
from helix.geometry.joint.exit_choice import BENCH_LEG, BENCH_SWING, CAP_SLACK, ExitRequest, Planned, peak_curvature
from helix.geometry.joint.exit_clearance import TOUCH
from helix.geometry.joint.exits import ExitPlan, Swing, mean_sine, riding_lay, shortest_swing
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.helices import helix_curvature
from helix.geometry.twist.ovals import oval_length
from helix.geometry.twist.touching import TAU
from helix.geometry.wire.curves import Curve, Line
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import CurvePiece, Path

APART = (0.6, -1.0)  # how far the two tags turn about their standing wires while the ring opens [rad]
LATER_PLACE = float(np.deg2rad(85.0))  # where the later tag starts on its half circle, which ends at 90 deg
_LEGS = (2.0, 12.0)  # between which a gradual leg is looked for [d]
_LEG_STEP = 0.5
_LONGER = 0.1  # by how much a leg that presses is made longer [d]
_TAILS = (0.75, 0.5)  # turns of the twist and of the barrel that are looked at beside the exits


def plan_two(ring: Ring, request: ExitRequest, checked: bool = True) -> Planned:
    """Choose the exits of two wires for a twist's end.

    Parameters
    ----------
    ring : Ring
        The four strands.
    request : ExitRequest
        What the recipe asks; ``peak`` and ``first_lay`` are not looked at.
    checked : bool
        False: overlaps are not looked for.

    Returns
    -------
    Planned
        The plan, and what was found on the way.

    Notes
    -----
    The gradual exits have the shortest leg in which nothing bends more sharply than barrel and twist. One that presses is
    made longer until it clears.
    """
    return _plan_two(ring, request, checked)


@lru_cache(maxsize=64)
def _plan_two(ring: Ring, request: ExitRequest, checked: bool) -> Planned:
    lay_from = riding_lay(ring.radius, ring.lay)
    lay_to = request.barrel_lay
    twist = helix_curvature(ring.radius, ring.lay)
    cap = float(max(twist, np.sin(lay_to) ** 2 if lay_to else 0.0))
    swing = 0.0
    if lay_to is not None:
        turned = mean_sine(lay_from, lay_to)
        if request.swing is not None:
            swing = request.swing * oval_length(SPACING) / turned
        elif request.style == "bench":
            swing = BENCH_SWING * TAU / turned  # as much wire round the core as of one wire
        else:
            swing = shortest_swing(lay_from, lay_to, cap + CAP_SLACK) or oval_length(SPACING)
    leg, style = request.leg, request.style
    if leg is None:
        leg = _gradual_leg(ring, cap) * (BENCH_LEG if style == "bench" else 1.0)
    plan = turned_exit(ring, leg, swing)
    overlaps = False
    if checked:
        while (overlaps := _gap(ring, plan, request) < -TOUCH) and style == "gradual" and plan.leg < _LEGS[1]:
            plan = turned_exit(ring, plan.leg + _LONGER, swing)
    swings = (Swing(swing, lay_from, lay_to),) if lay_to is not None else ()
    return Planned(ExitPlan(plan.leg, swings), cap, overlaps, False, checked, plan)


def turned_exit(ring: Ring, leg: float, swing: float) -> DoubledPlan:
    """Turn the pair so far that the later tag starts at its place on the half circle.

    Parameters
    ----------
    ring : Ring
        The four strands.
    leg : float
        Height in which the standing wires come to lie straight, above 0 [d].
    swing : float
        Length in which a tag comes to the barrel's angle, 0 or more [d].

    Returns
    -------
    DoubledPlan
        The exits' numbers.
    """
    plain = DoubledPlan(leg, 0.0, APART, swing)
    place, _ = doubled_exit(ring, 0.0, plain, None).starts[1]
    return replace(plain, turned=place - LATER_PLACE)


@lru_cache(maxsize=64)
def _gradual_leg(ring: Ring, cap: float) -> float:
    """Find the shortest leg whose curves stay at or below the cap."""

    def excess(leg: float) -> float:
        exits = doubled_exit(ring, 0.0, turned_exit(ring, leg, 0.0), None)
        curves: list[Curve] = [*exits.standing, *(curve for tag in exits.tag for curve in tag)]
        return max(peak_curvature(curve) for curve in curves) - cap

    low, most = _LEGS
    while low + _LEG_STEP < most and excess(low + _LEG_STEP) > 0.0:
        low += _LEG_STEP
    if excess(low) <= 0.0 or low + _LEG_STEP >= most:
        return low
    return bracketed_root(lambda leg: excess(leg) + 2e-9, low, low + _LEG_STEP, 1e-8)


def _gap(ring: Ring, plan: DoubledPlan, request: ExitRequest) -> float:
    """Find the least gap of the exits against each other, the last of the twist, the straight wires and the first wraps."""
    pitch = request.pitch if request.barrel_lay is not None else None
    exits = doubled_exit(ring, 0.0, plan, pitch)
    paths: list[Path] = []
    own: list[bool] = []
    for k in (0, 1):
        below = _TAILS[0] * ring.lay
        leg: list[Curve] = [ring.strand(2 + k, -below, 0.0), exits.standing[k]]
        leg.append(straight_wire(exits, k, exits.z_end + 2.0))
        tag: list[Curve] = [ring.strand(1 - k, exits.tag_from[k] - below, exits.tag_from[k]), *exits.tag[k]]
        if pitch is not None and request.barrel_lay is not None:
            length = _TAILS[1] * float(np.hypot(oval_length(SPACING), pitch))
            wraps, _, _ = laid_on_pair((request.barrel_lay,), length, *exits.starts[k], exits.row + k * np.pi)
            tag += wraps
        for chain, last in ((leg, 1), (tag, len(exits.tag[k]))):
            paths.append(Path(tuple(CurvePiece("", curve) for curve in chain)))
            own += [0 < number <= last for number in range(len(chain))]
    gaps = nearest(paths).gaps
    return min((gap for (a, b), gap in gaps.items() if own[a] or own[b]), default=np.inf)


def straight_wire(exits: DoubledExit, number: int, top: float) -> Line:
    """Lay one of the two standing wires from where it is straight to a height."""
    direction = exits.row + number * np.pi
    x, y = 0.5 * SPACING * float(np.cos(direction)), 0.5 * SPACING * float(np.sin(direction))
    return Line((x, y, exits.run_in_z), (0.0, 0.0, 1.0), top - exits.run_in_z)
