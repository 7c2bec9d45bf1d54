"""Choosing an exit: the gradual one by search, the bench one by rule, a given one as it is told.

Unit: the wire diameter. The family that is searched is named in :data:`FAMILY`; why it is this one,
and what the numbers come to, is in docs/theory/exit.md.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from helix.geometry.joint.doubled_exit import DoubledPlan
from helix.geometry.joint.exit_clearance import COARSE, FINE, Look, least_clearing, leg_gap, opening_gap, self_gap
from helix.geometry.joint.exits import (
    ExitPlan,
    Swing,
    TwistEnd,
    mean_sine,
    riding_lay,
    run_in,
    run_in_leg,
    shortest_swing,
)
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import touching_pitch
from helix.geometry.wire.curves import Curve, curvature_vectors, derivatives
from helix.geometry.wire.screws import screw_of

FAMILY = (
    "leg onto the axis by a seventh-degree step while the twist's rate of turn stays, the tag riding on "
    "it; then the tag's lay angle by a cubic step along itself; below a lay of about 3.4 d the lay is "
    "opened first over 3 d"
)
BENCH_LEG = 0.9  # share of the gradual leg length that hands take (common practice, no source)
BENCH_SWING = 0.375  # turns of swing that hands take: a quarter to half a turn (same)
OPEN_LENGTH = 3.0  # axial length in which a tight lay is opened [d]
OPEN_CURVATURE = 0.86  # the lay is opened until the sharper leg's curvature is down to this [1/d]
CLIMB_TURN = 0.25  # turns from an overbent peak down to the climb, and again to the barrel's lay
_LONGEST_LEG = 12.0  # a run-in longer than this is not looked for [d]
_LONGEST_SWING = 200.0  # the same of a swing [d]
CAP_SLACK = 9e-12  # a swing that comes up to the cap at its end may pass it by this [1/d]
_USUAL_LEGS = (
    (3.4, 3.5, 3.6, 3.8, 4.0, 4.5, 5.0, 6.0),
    (6.47, 5.43, 4.83, 4.11, 3.68, 3.08, 2.89, 2.81),
)  # lay, leg [d]
_MOST_LIFT = 0.4
_PEAK_NODES, _PEAK_GRID = 13, 129  # a polynomial round the largest curvature, and the places where it is looked at


@dataclass(frozen=True)
class ExitRequest:
    """What the recipe asks: style, leg [d], swing [turns], peak angle [rad]; None where it is silent.

    ``barrel_lay`` is the signed lay angle of the barrel [rad], None for a twist without a barrel;
    ``first_lay`` the tag's lay angle where the swing starts if it is not on a twist (wraps only).
    """

    style: str
    leg: float | None
    swing: float | None
    peak: float | None
    barrel_lay: float | None
    pitch: float
    first_lay: float | None = None


@dataclass(frozen=True)
class Planned:
    """The plan with what the search found.

    doubled: of two wires worked as one, theirs; ``plan`` then has the same leg and swing. cap: largest curvature [1/d]. overlaps: nothing clears. climbs: the swing climbs before it settles. checked: overlaps
    were looked for closely.
    """

    plan: ExitPlan
    cap: float
    overlaps: bool
    climbs: bool
    checked: bool = True
    doubled: DoubledPlan | None = None


def plan_exit(end: TwistEnd, request: ExitRequest, checked: bool = True) -> Planned:
    """Choose the exit for a twist's end, see :data:`FAMILY`.

    Parameters
    ----------
    end : TwistEnd
        Where the twist ends.
    request : ExitRequest
        What the recipe asks.
    checked : bool
        False: overlaps are not looked for in a gradual exit, and only roughly in others.

    Returns
    -------
    Planned
        The plan, and what was found on the way.

    Notes
    -----
    It depends on the twist's radii and lay only, not on how far up and round its end lies. The last answers are
    kept: advice on a bend asks for the gradual exit beside the one that was stated, and more turns have the same.
    """
    return _plan_exit(replace(end, angle=np.pi / 2.0, z=0.0), request, checked)


@lru_cache(maxsize=256)
def _plan_exit(end: TwistEnd, request: ExitRequest, checked: bool) -> Planned:
    barrel = lay_angle(1.0, touching_pitch()) if request.barrel_lay is None else abs(request.barrel_lay)
    twist = max(
        helix_curvature(end.standing_radius, end.lay) if end.standing_radius > 0.0 else 0.0,
        helix_curvature(end.tag_radius, end.lay) if request.first_lay is None else 0.0,
    )
    cap = max(np.sin(barrel) ** 2, twist)
    look = FINE if checked else COARSE
    plan = _run_in(end, request, float(cap), look) if request.first_lay is None else ExitPlan(0.0, ())
    overlaps = False
    gradual = request.style == "gradual"
    if end.standing_radius > 0.0 and plan.leg > 0.0 and (checked or not gradual or plan.open_length):
        plan, overlaps = _cleared(end, plan, gradual, look)
    if request.barrel_lay is None:
        return Planned(plan, float(cap), overlaps, False, checked)
    if request.first_lay is not None:
        lay_from = request.first_lay
    else:
        lay = plan.open_lay if plan.open_length else end.lay
        lay_from = riding_lay(plan.open_radii[0] if plan.open_length else end.standing_radius, lay)
    plan, climbs, clear = _swings(end, plan, request, lay_from, float(cap), look)
    return Planned(plan, float(cap), overlaps or not clear, climbs, checked)


def _run_in(end: TwistEnd, request: ExitRequest, cap: float, look: Look) -> ExitPlan:
    """Plan the opening of the lay (where needed) and the run-in."""
    plain = ExitPlan(0.0, ())
    curvature = max(helix_curvature(r, end.lay) for r in (end.standing_radius, end.tag_radius) if r > 0.0)
    off_axis = end.standing_radius + end.tag_radius > 1.0 + 1e-12
    straight = end.standing_radius == 0.0
    tight = off_axis or (curvature > OPEN_CURVATURE and not straight)
    opened = _opened(end) if tight else None
    if request.style == "given" and request.leg is not None:
        base = opened if off_axis and opened else plain
        return replace(base, leg=request.leg)
    if straight:
        return plain
    share = 1.0 if request.style == "gradual" else BENCH_LEG
    options = [base for base in (None if off_axis else plain, opened) if base is not None]
    plans = []
    for base in options:
        leg = _gradual_leg(end, base, cap, look)
        if leg is not None:
            plans.append(replace(base, leg=leg * share))
    if not plans:
        plans = [replace(options[-1], leg=12.0 * share)]
    return min(plans, key=lambda p: p.leg + p.open_length)


def _opened(end: TwistEnd) -> ExitPlan:
    """Plan one that first opens the lay at touching radii until the sharper leg is down to the limit."""
    total = end.standing_radius + end.tag_radius
    radii = (end.standing_radius / total, end.tag_radius / total)
    a = max(radii)
    h = np.sqrt(a / OPEN_CURVATURE - a * a)
    lay = max(2.0 * np.pi * h, end.lay, 2.0 * np.pi * np.sqrt(radii[0] * radii[1]) * 1.0001)
    return ExitPlan(0.0, (), OPEN_LENGTH, float(lay), radii)


@lru_cache(maxsize=256)
def _gradual_leg(end: TwistEnd, base: ExitPlan, cap: float, look: Look) -> float | None:
    """Find the shortest run-in whose leg and riding tag both stay at or below the cap; None if none does."""
    closely = look == FINE

    def over(leg: float) -> list[float]:
        return [peak_curvature(curve, closely) - cap for curve in run_in(end, replace(base, leg=leg))]

    usual = float(np.interp(base.open_lay or end.lay, *_USUAL_LEGS))
    high, step = usual * 1.02, 1.1
    while max(over_high := over(high)) > -1e-9:
        if high >= _LONGEST_LEG:
            return None
        high, step = min(high * step, _LONGEST_LEG), step * 1.2
    low, step = high / 1.05, 1.1
    while max(over_low := over(low)) < 0.0:
        high, low, step, over_high = low, low / step, step * 1.2, over_low
        if low < 0.05:
            return low
    if look != FINE and high < 1.06 * low:  # so near, two steps of a secant do
        slope = (max(over_high) - max(over_low)) / (high - low)
        between = low - max(over_low) / slope
        more = max(over(between)) / slope
        if abs(more) < 5.0 * look.leg:
            return between - more
    sharper = int(np.argmax(over_low))
    if sharper == np.argmax(over_high):  # one of the two is the sharper all along: the other need not be followed
        leg = bracketed_root(lambda leg: _sharpness(end, base, leg, sharper) - cap + 2e-9, low, high, look.leg)
        if max(over(leg)) == over(leg)[sharper]:
            return leg
    return bracketed_root(lambda leg: max(over(leg)) + 2e-9, low, high, look.leg)


def _sharpness(end: TwistEnd, base: ExitPlan, leg: float, which: int) -> float:
    """Compute the largest curvature of the leg (0) or of the tag (1) of a run-in."""
    plan = replace(base, leg=leg)
    return peak_curvature(run_in(end, plan)[1] if which else run_in_leg(end, plan))


@lru_cache(maxsize=512)
def peak_curvature(curve: Curve, closely: bool = True) -> float:
    """Compute the largest curvature of a smooth curve: samples, and a polynomial through places round the largest of them.

    Parameters
    ----------
    curve : Curve
        The curve.
    closely : bool
        False: a parabola through the samples.

    Returns
    -------
    float
        Curvature [1/d].
    """
    if screw_of(curve) is not None:  # the same all along
        return float(_curvature(curve, np.zeros(1))[0])
    u = np.linspace(0.0, curve.span, 48)
    k = _curvature(curve, u)
    i = int(np.argmax(k))
    if closely:
        nodes, to_grid = _peak_series()
        low, high = u[max(i - 1, 0)], u[min(i + 1, u.size - 1)]
        k = to_grid @ _curvature(curve, low + (high - low) * nodes)
        i = int(np.argmax(k))
    if 0 < i < k.size - 1:
        left, middle, right = k[i - 1], k[i], k[i + 1]
        drop = left - 2.0 * middle + right
        if drop < 0.0:
            return float(middle - (right - left) ** 2 / (8.0 * drop))
    return float(k[i])


@lru_cache(maxsize=1)
def _peak_series() -> tuple[np.ndarray, np.ndarray]:
    """Chebyshev's places between 0 and 1, both ends among them, and what makes values on an even grid of values there."""
    angle = np.pi * np.arange(_PEAK_NODES) / (_PEAK_NODES - 1)
    nodes = 0.5 - 0.5 * np.cos(angle)
    grid = np.linspace(0.0, 1.0, _PEAK_GRID)
    order = np.arange(_PEAK_NODES)
    at_nodes = np.cos(np.outer(np.arccos(2.0 * nodes - 1.0), order))
    at_grid = np.cos(np.outer(np.arccos(2.0 * grid - 1.0), order))
    return nodes, at_grid @ np.linalg.inv(at_nodes)


def _curvature(curve: Curve, u: np.ndarray) -> np.ndarray:
    size: np.ndarray = np.linalg.norm(curvature_vectors(derivatives(curve, u, 2)), axis=1)
    return size


@lru_cache(maxsize=256)
def _cleared(end: TwistEnd, plan: ExitPlan, gradual: bool, look: Look) -> tuple[ExitPlan, bool]:
    """Take a gradual leg as long as it must be, lift the tag off any other; True where nothing clears."""
    if plan.open_length > 0.0:
        bulge = least_clearing(lambda b: opening_gap(end, replace(plan, bulge=b, leg=0.0), look), 0.0, 0.2, look)
        if bulge is None:
            return plan, True
        plan = replace(plan, bulge=bulge)
    if gradual:
        longer = least_clearing(
            lambda v: leg_gap(end, replace(plan, leg=v), look), plan.leg, max(3.0 * plan.leg, 9.0), look
        )
        return (plan, True) if longer is None else (replace(plan, leg=longer), False)
    lift = least_clearing(lambda v: leg_gap(end, replace(plan, lift=v), look), 0.0, _MOST_LIFT, look)
    if lift is None:
        return plan, True
    return replace(plan, lift=lift), False


def _swings(
    end: TwistEnd, plan: ExitPlan, request: ExitRequest, lay_from: float, cap: float, look: Look
) -> tuple[ExitPlan, bool, bool]:
    """Plan the swing: (plan, whether it climbs, whether it clears itself)."""
    lay_to = request.barrel_lay
    if lay_to is None:
        raise ValueError("a swing needs a barrel")
    sign = 1.0 if lay_to > 0.0 else -1.0
    if request.peak is None or request.peak <= abs(lay_to):
        if abs(lay_to - lay_from) < 1e-12:
            return plan, False, True
        if request.swing is None and request.style == "gradual":
            length = _gradual_swing(lay_from, lay_to, cap)
        else:
            length = _turned(request.swing or BENCH_SWING, lay_from, lay_to)
        return replace(plan, swings=(Swing(length, lay_from, lay_to),)), False, True
    peak = sign * request.peak
    turns = request.swing or BENCH_SWING
    up = Swing(_turned(turns, lay_from, peak), lay_from, peak)

    def climbing(drop: float) -> ExitPlan:
        low = lay_to - sign * drop
        if drop <= 0.0:
            return replace(plan, swings=(up, Swing(_turned(2 * CLIMB_TURN, peak, lay_to), peak, lay_to)))
        down = Swing(_turned(CLIMB_TURN, peak, low), peak, low)
        settle = Swing(_turned(CLIMB_TURN, low, lay_to), low, lay_to)
        return replace(plan, swings=(up, down, settle))

    drop = least_clearing(
        lambda v: self_gap(end, climbing(v), request.pitch, sign, look), 0.0, abs(lay_to) - np.deg2rad(25.0), look
    )
    if drop is None:
        return climbing(0.0), False, False
    return climbing(drop), drop > 0.0, True


def _turned(turns: float, lay_from: float, lay_to: float) -> float:
    """Arc length of a cubic swing that goes ``turns`` round the core."""
    return 2.0 * np.pi * turns / mean_sine(lay_from, lay_to)


def _gradual_swing(lay_from: float, lay_to: float, cap: float) -> float:
    """Find the shortest cubic swing whose curvature stays at or below the cap."""
    length = shortest_swing(lay_from, lay_to, cap + CAP_SLACK)
    return _LONGEST_SWING if length is None else float(np.clip(length, 1e-3, _LONGEST_SWING))
