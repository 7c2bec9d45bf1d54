"""What an exit needs to clear: gaps of an exit's plan, and the least change that opens them.

Unit: the wire diameter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from helix.geometry.joint.exits import ExitCurves, ExitPlan, TwistEnd, core_line, exit_curves
from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import Curve, Strand, derivatives
from helix.geometry.wire.distance import SKIP, STEP, nearest
from helix.geometry.wire.path import CurvePiece, Path

_MOST_PAIRS = 500_000  # that are compared together
TOUCH = 1e-10  # a gap above minus this counts as touching [d]


@dataclass(frozen=True)
class Look:
    """How closely an exit is looked for.

    step: spacing of the samples [d]. exact: gaps are made exact from them. touch: overlap that counts as touching [d].
    width: how close a bracket of what clears is enough [d or rad]. leg: the same of a gradual leg's length [d].
    """

    step: float
    exact: bool
    touch: float
    width: float
    leg: float


FINE, COARSE = Look(STEP, True, TOUCH, 1e-9, 1e-8), Look(STEP, False, 5e-4, 0.03, 1e-3)


def leg_gap(end: TwistEnd, plan: ExitPlan, look: Look = FINE) -> float:
    """Find the least gap of the tag against the standing leg from the last turn of the twist past the run-in."""
    curves = exit_curves(end, plan)
    standing, tag = last_turn(end)
    leg = [standing, *curves.standing, core_line(curves.run_in_z, curves.run_in_z + 3.0)]
    return _between(leg, [tag, *curves.tag], look)


def opening_gap(end: TwistEnd, plan: ExitPlan, look: Look = FINE) -> float:
    """Find the least gap between the legs while the lay is opened, even twists before and after it."""
    curves = exit_curves(end, plan)
    standing, tag = last_turn(end)
    length = 0.75 * plan.open_lay
    after = [
        Strand((r,), (2.0 * np.pi / plan.open_lay,), side.theta_end, curves.run_in_z, length)
        for r, side in zip(plan.open_radii, (curves.standing[0], curves.tag[0]), strict=True)
        if isinstance(side, Strand)
    ]
    return _between([standing, *curves.standing, after[0]], [tag, *curves.tag, after[1]], look)


def last_turn(end: TwistEnd) -> tuple[Strand, Strand]:
    """Lay three quarters of a turn of both legs before the twist's end."""
    height = 0.75 * end.lay
    start, rate = end.angle - 1.5 * np.pi, (2.0 * np.pi / end.lay,)
    return (
        Strand((end.standing_radius,), rate, start + np.pi, end.z - height, height),
        Strand((end.tag_radius,), rate, start, end.z - height, height),
    )


def self_gap(end: TwistEnd, plan: ExitPlan, pitch: float, sign: float, look: Look = FINE) -> float:
    """Find the least gap of the tag's exit against itself and the first wraps (wrap on wrap left out)."""
    curves = exit_curves(end, plan)
    _, tag = last_turn(end)
    chain = [tag, *curves.tag, barrel_coil(curves, pitch, sign, 2.0)]
    last = len(chain) - 1
    if look.exact:
        closest = nearest([_path(chain)], look.step)
        return min((g for (a, b), g in closest.gaps.items() if (a, b) != (last, last)), default=np.inf)
    points, tangents, piece = _sampled(chain, look.step)
    along = np.cumsum(np.linalg.norm(np.diff(points, axis=0, prepend=points[:1]), axis=1))
    own = piece < last
    return _sampled_gap(points[own], points, tangents, along[own], along)


def _between(one: list[Curve], other: list[Curve], look: Look) -> float:
    if look.exact:
        return nearest([_path(one), _path(other)], look.step).gap
    return _sampled_gap(_sampled(one, look.step)[0], *_sampled(other, look.step)[:2])


def _path(curves: list[Curve]) -> Path:
    return Path(tuple(CurvePiece("", c) for c in curves))


def _sampled(curves: list[Curve], step: float) -> tuple[Array, Array, np.ndarray]:
    """Points and unit tangents (n, 3) evenly in the parameter, about a step apart, and whose they are (n,)."""
    points, tangents = zip(*(_evenly(curve, step) for curve in curves), strict=True)
    piece = np.repeat(np.arange(len(curves)), [len(own_points) for own_points in points])
    return np.concatenate(points), np.concatenate(tangents), piece


@lru_cache(maxsize=64)
def _evenly(curve: Curve, step: float) -> tuple[Array, Array]:
    length = curve.span * (curve.speed or 1.3)  # an exit's legs run at 1 to 1.6
    d = derivatives(curve, np.linspace(0.0, curve.span, int(length / step) + 2), 1)
    return d[0], d[1] / np.linalg.norm(d[1], axis=1, keepdims=True)


def _sampled_gap(
    points: Array, others: Array, tangents: Array, along: Array | None = None, along_others: Array | None = None
) -> float:
    """Find the least gap of points (n, 3) from the tangents at the nearest samples of a wire (m, 3).

    Returns
    -------
    float
        Gap [d], good to 2e-3 from samples a STEP apart (tests/geometry/joint/test_exit_choice.py); places nearer than
        SKIP by their arc lengths ``along`` (n,) and ``along_others`` (m,) are not compared.
    """
    least, block = np.inf, max(1, _MOST_PAIRS // len(others))
    for start in range(0, len(points), block):
        own = points[start : start + block]
        d2 = np.sum(own**2, axis=1)[:, None] + np.sum(others**2, axis=1) - 2.0 * own @ others.T
        if along is not None and along_others is not None:
            d2[np.abs(along[start : start + block, None] - along_others) < SKIP] = np.inf
        rows, nearest_one = np.arange(len(own)), np.argmin(d2, axis=1)
        foot = np.sum((own - others[nearest_one]) * tangents[nearest_one], axis=1)
        # a foot more than a step away belongs to what is not compared, or lies past a loose end
        beside = d2[rows, nearest_one] - np.minimum(foot**2, STEP**2)
        least = min(least, float(beside.min(initial=np.inf)))
    return float(np.sqrt(max(least, 0.0))) - 1.0


def barrel_coil(curves: ExitCurves, pitch: float, sign: float, wraps: float) -> Strand:
    """Lay the barrel from the end of the exit upward."""
    return Strand((1.0,), (sign * 2.0 * np.pi / pitch,), curves.chi_end, curves.z_end, wraps * pitch)


def least_clearing(gap: Callable[[float], float], low: float, high: float, look: Look = FINE) -> float | None:
    """Find the least value at which a gap is no longer negative.

    Parameters
    ----------
    gap : callable
        Gap at a value [d].
    low, high : float
        Ends of the search.
    look : Look
        How closely it is looked for.

    Returns
    -------
    float or None
        The value; None where none in [low, high] clears.

    Notes
    -----
    The gap levels off at zero once the parts touch, so it is extrapolated from the negative side.
    """
    touch = look.touch
    g = gap(low)
    if g >= -touch:
        return low
    if gap(high) < -touch:
        return None
    history = [(low, g)]
    for _ in range(60):
        if high - low < look.width or history[-1][1] > -10.0 * touch:
            break
        guess = (low + high) / 2.0
        if len(history) > 1:
            (x0, g0), (x1, g1) = history[-2:]
            if g1 > g0:
                guess = min(x1 - g1 * (x1 - x0) / (g1 - g0), guess + (high - low) * 0.4)
                guess = max(guess, low + 1e-3 * (high - low))
        g = gap(guess)
        if g >= -touch:
            high = guess
        else:
            low = guess
            history.append((guess, g))
    return high
