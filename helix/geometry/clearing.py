"""What an exit needs to clear: gaps of an exit's plan, and the least change that opens them.

Unit: the wire diameter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from helix.geometry.curves import Curve, Strand
from helix.geometry.distance import STEP, nearest
from helix.geometry.exits import ExitCurves, ExitPlan, TwistEnd, core_line, exit_curves
from helix.geometry.path import Path, Piece

TOUCH = 1e-10  # a gap above minus this counts as touching [d]


@dataclass(frozen=True)
class Look:
    """How closely an exit is looked for: spacing of the samples [d], overlap that counts as touching [d], how close a
    bracket of what clears is enough [d or rad], and how close a gradual leg's length [d]."""

    step: float
    touch: float
    width: float
    leg: float


FINE, COARSE = Look(STEP, TOUCH, 1e-9, 1e-8), Look(0.15, 5e-4, 0.03, 1e-3)


def leg_gap(end: TwistEnd, plan: ExitPlan, step: float) -> float:
    """Least gap of the tag against the standing leg from the last turn of the twist past the run-in."""
    curves = exit_curves(end, plan)
    standing, tag = last_turn(end)
    leg = [standing, *curves.standing, core_line(curves.run_in_z, curves.run_in_z + 3.0)]
    return nearest([_path(leg), _path([tag, *curves.tag])], step).gap


def opening_gap(end: TwistEnd, plan: ExitPlan, step: float) -> float:
    """Least gap between the legs while the lay is opened, even twists before and after it."""
    curves = exit_curves(end, plan)
    standing, tag = last_turn(end)
    length = 0.75 * plan.open_lay
    after = [
        Strand((r,), (2.0 * np.pi / plan.open_lay,), side.theta_end, curves.run_in_z, length)
        for r, side in zip(plan.open_radii, (curves.standing[0], curves.tag[0]), strict=True)
        if isinstance(side, Strand)
    ]
    legs = [[standing, *curves.standing, after[0]], [tag, *curves.tag, after[1]]]
    return nearest([_path(leg) for leg in legs], step).gap


def last_turn(end: TwistEnd) -> tuple[Strand, Strand]:
    """Three quarters of a turn of both legs before the twist's end."""
    height = 0.75 * end.lay
    start, rate = end.angle - 1.5 * np.pi, (2.0 * np.pi / end.lay,)
    return (
        Strand((end.standing_radius,), rate, start + np.pi, end.z - height, height),
        Strand((end.tag_radius,), rate, start, end.z - height, height),
    )


def _path(curves: list[Curve]) -> Path:
    return Path(tuple(Piece("", c) for c in curves))


def self_gap(end: TwistEnd, plan: ExitPlan, pitch: float, sign: float, step: float) -> float:
    """Least gap of the tag's exit against itself and the first wraps (wrap on wrap left out)."""
    curves = exit_curves(end, plan)
    _, tag = last_turn(end)
    barrel = barrel_coil(curves, pitch, sign, 2.0)
    chain = [tag, *curves.tag, barrel]
    found = nearest([_path(chain)], step)
    last = len(chain) - 1
    return min((g for (a, b), g in found.gaps.items() if (a, b) != (last, last)), default=np.inf)


def barrel_coil(curves: ExitCurves, pitch: float, sign: float, wraps: float) -> Strand:
    """The barrel from the end of the exit upward."""
    return Strand((1.0,), (sign * 2.0 * np.pi / pitch,), curves.chi_end, curves.z_end, wraps * pitch)


def least_clearing(gap: Callable[[float], float], low: float, high: float, look: Look = FINE) -> float | None:
    """The least value in [low, high] at which ``gap`` is no longer negative, as ``look`` has it; None where none is.

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
