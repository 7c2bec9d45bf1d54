"""The exits: the standing leg comes onto the axis, the tag swings from the twist to the barrel.

Unit: the wire diameter. In order: the lay is opened where the twist is tight (``open``), the leg runs
in onto the axis over ``leg`` with the tag riding on it (:mod:`helix.geometry.joint.riding`), then the tag
swings on the straight core to the barrel's lay angle. Derivation: docs/theory/exit.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from helix.geometry.joint.riding import BUMP, ContactCurve, starting_angle
from helix.geometry.maths.coefficients import derivative, value, values
from helix.geometry.maths.jets import CUBIC_STEP, QUINTIC_STEP, SEPTIC_STEP, Array
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.wire.curves import CoreCoil, Curve, Line, Strand, positions

_GAUSS = np.polynomial.legendre.leggauss(40)
# close to the end too, where a gradual swing comes up to the barrel's own curvature
_ALONG = np.concatenate([np.linspace(0.0, 1.0, 401), 1.0 - np.logspace(-6.0, -2.0, 33)])


@dataclass(frozen=True)
class TwistEnd:
    """Where the even twist ends: radii of standing leg and tag, lay, tag's angle [rad], height."""

    standing_radius: float
    tag_radius: float
    lay: float
    angle: float
    z: float


@dataclass(frozen=True)
class Swing:
    """One stretch of the tag on the straight core: arc length and lay angle at its two ends [rad]."""

    length: float
    lay_from: float
    lay_to: float


@dataclass(frozen=True)
class ExitPlan:
    """The numbers that fix an exit [d, rad].

    ``open_length`` 0 = the lay is not opened; else it goes to ``open_lay`` with the radii
    ``open_radii`` (standing, tag). ``bulge`` lifts both legs off each other while opening, ``lift``
    the tag off the leg while running in, each by that much at most.
    """

    leg: float
    swings: tuple[Swing, ...]
    open_length: float = 0.0
    open_lay: float = 0.0
    open_radii: tuple[float, float] = (0.5, 0.5)
    bulge: float = 0.0
    lift: float = 0.0


@dataclass(frozen=True)
class ExitCurves:
    """Curves upward from the twist: ``standing`` (to the axis) and ``tag``; where the barrel starts."""

    standing: tuple[Curve, ...]
    tag: tuple[Curve, ...]
    run_in_z: float
    run_in_turn: float
    chi_end: float
    z_end: float
    lay_end: float


def blend(start: float, end: float, step: tuple[float, ...]) -> tuple[float, ...]:
    """Return coefficients of start + (end - start) step(t).

    Parameters
    ----------
    start, end : float
        Values at 0 and 1.
    step : tuple of float
        Coefficients of a step from 0 to 1, ascending.

    Returns
    -------
    tuple of float
        Coefficients, ascending.

    Examples
    --------
    >>> blend(1.0, 3.0, (0.0, 0.0, 3.0, -2.0))
    (1.0, 0.0, 6.0, -4.0)
    """
    return (start, *((end - start) * c for c in step[1:]))


def psi_rate(standing_radius: float, lay: float) -> float:
    """Return the torsion of the standing leg's helix: the tag's turn on it per unit of its length.

    Parameters
    ----------
    standing_radius, lay : float
        Of the leg [d].

    Returns
    -------
    float
        Torsion [rad/d].
    """
    h = lay / (2.0 * np.pi)
    return float(h / (standing_radius**2 + h**2))


def riding_lay(standing_radius: float, lay: float) -> float:
    """Return the lay angle of the tag once the leg under it is straight.

    Parameters
    ----------
    standing_radius, lay : float
        Of the leg in the twist [d].

    Returns
    -------
    float
        Angle [rad].
    """
    return float(np.arctan(psi_rate(standing_radius, lay)))


def mean_sine(lay_from: float, lay_to: float) -> float:
    """Return the mean of |sin lay| over a cubic swing: rotation of the tag per unit of its length.

    Parameters
    ----------
    lay_from, lay_to : float
        Lay angle at the two ends, signed [rad].

    Returns
    -------
    float
        Rotation [rad/d].
    """
    lay = blend(lay_from, lay_to, CUBIC_STEP)
    cuts = [0.0, 1.0]
    if lay_from * lay_to < 0.0:  # a swing to the other hand stands straight along the leg once
        cuts.insert(1, bracketed_root(lambda t: value(lay, t), 0.0, 1.0))
    x, w = _GAUSS
    total = 0.0
    for a, b in pairwise(cuts):
        sine = np.sin(values(lay, a + (b - a) * (x + 1.0) / 2.0))
        total += (b - a) * float(np.sum(w * np.abs(sine))) / 2.0
    return total


def swing_peak_curvature(swing: Swing) -> float:
    """Return the largest curvature of a cubic swing on the core.

    Parameters
    ----------
    swing : Swing
        The swing.

    Returns
    -------
    float
        Largest sqrt(lay'^2 + sin^4 lay) [1/d].
    """
    turning, winding = _swing_terms(swing.lay_from, swing.lay_to)
    return float(np.sqrt(turning / swing.length**2 + winding).max())


def shortest_swing(lay_from: float, lay_to: float, cap: float) -> float | None:
    """Return the length of the shortest cubic swing whose curvature stays at or below a cap.

    Parameters
    ----------
    lay_from, lay_to : float
        Lay angle at the two ends, signed [rad].
    cap : float
        Largest curvature, above 0 [1/d].

    Returns
    -------
    float or None
        Length [d]; None where no swing does.

    Notes
    -----
    At every place turning/length^2 + winding <= cap^2, so each place asks for a length of its own.
    """
    turning, winding = _swing_terms(lay_from, lay_to)
    moving = turning > 0.0
    left = cap * cap - winding[moving]
    if np.any(left <= 0.0):
        return None
    return float(np.sqrt((turning[moving] / left).max(initial=0.0)))


def _swing_terms(lay_from: float, lay_to: float) -> tuple[Array, Array]:
    """(lay' x length)^2 and sin^4 lay of a cubic swing: its curvature's squared parts, at many places."""
    lay = blend(lay_from, lay_to, CUBIC_STEP)
    return values(derivative(lay), _ALONG) ** 2, np.sin(values(lay, _ALONG)) ** 4


def exit_curves(end: TwistEnd, plan: ExitPlan) -> ExitCurves:
    """Build the curves of an exit from the twist's end upward.

    Parameters
    ----------
    end : TwistEnd
        Where the twist ends.
    plan : ExitPlan
        The numbers that fix the exit.

    Returns
    -------
    ExitCurves
        Both legs' curves, and where the barrel starts.

    Notes
    -----
    Derivation: docs/theory/exit.md.
    """
    standing: list[Curve] = []
    tag: list[Curve] = []
    opened = end
    if plan.open_length > 0.0:
        leg, other, opened = _opening(end, plan)
        standing.append(leg)
        tag.append(other)
    lay_from = riding_lay(opened.standing_radius, opened.lay)
    chi, z = opened.angle, opened.z
    if plan.leg > 0.0:
        core, ride = _run_in(opened, plan.leg, plan.lift)
        standing.append(core)
        tag.append(ride)
        chi, z = ride.chi_end, z + plan.leg
    run_in_z, run_in_turn = z, unwound(tuple(tag), end.angle)
    for s in plan.swings:
        coil = CoreCoil(blend(s.lay_from, s.lay_to, CUBIC_STEP), chi, z, s.length)
        tag.append(coil)
        chi, z, lay_from = coil.chi_end, coil.z_end, s.lay_to
    return ExitCurves(tuple(standing), tuple(tag), run_in_z, run_in_turn, chi, z, lay_from)


def run_in(end: TwistEnd, plan: ExitPlan) -> tuple[Strand, ContactCurve]:
    """Build the run-in of `exit_curves` alone.

    Parameters
    ----------
    end : TwistEnd
        Where the twist ends.
    plan : ExitPlan
        The numbers that fix the exit.

    Returns
    -------
    tuple of Strand and ContactCurve
        The leg coming onto the axis, and the tag riding on it.
    """
    return _run_in(_opened(end, plan), plan.leg, plan.lift)


def _opened(end: TwistEnd, plan: ExitPlan) -> TwistEnd:
    """Where the run-in begins: the end of the twist, or of its opening."""
    return _opening(end, plan)[2] if plan.open_length > 0.0 else end


def _opening(end: TwistEnd, plan: ExitPlan) -> tuple[Strand, Strand, TwistEnd]:
    """Leg and tag while a tight lay is opened, and the end of the twist after that."""
    (to_s, to_t), z, angle = plan.open_radii, end.z, end.angle
    rate = blend(2 * np.pi / end.lay, 2 * np.pi / plan.open_lay, QUINTIC_STEP)
    leg = Strand(_bulged(end.standing_radius, to_s, plan.bulge), rate, angle + np.pi, z, plan.open_length)
    tag = Strand(_bulged(end.tag_radius, to_t, plan.bulge), rate, angle, z, plan.open_length)
    return leg, tag, TwistEnd(to_s, to_t, plan.open_lay, leg.theta_end - np.pi, z + plan.open_length)


def run_in_leg(end: TwistEnd, plan: ExitPlan) -> Strand:
    """Build the leg of a run-in alone.

    Parameters
    ----------
    end : TwistEnd
        Where the twist ends.
    plan : ExitPlan
        The numbers that fix the exit.

    Returns
    -------
    Strand
        The leg coming onto the axis.
    """
    return _leg(_opened(end, plan), plan.leg)


def _leg(end: TwistEnd, leg: float) -> Strand:
    radius = blend(end.standing_radius, 0.0, SEPTIC_STEP)
    return Strand(radius, (2 * np.pi / end.lay,), end.angle + np.pi, end.z, leg)


@lru_cache(maxsize=64)
def _run_in(end: TwistEnd, leg: float, lift: float) -> tuple[Strand, ContactCurve]:
    a_s, a_t, lay, angle, z = end.standing_radius, end.tag_radius, end.lay, end.angle, end.z
    core = _leg(end, leg)
    start = np.array([a_t * np.cos(angle), a_t * np.sin(angle), z])
    return core, ContactCurve(core, psi_rate(a_s, lay), starting_angle(core, start), lift)


def _bulged(start: float, end: float, bulge: float) -> tuple[float, ...]:
    """Radius from start to end (septic step), raised by ``bulge`` in the middle (C3 at the ends)."""
    base = np.zeros(9)
    base[:8] = blend(start, end, SEPTIC_STEP)
    return tuple(float(v) for v in base + bulge * np.array(BUMP))


@lru_cache(maxsize=64)
def unwound(curves: tuple[Curve, ...], angle: float) -> float:
    """Rotation round the axis along curves that start at ``angle`` [rad], by following them."""
    total, last = 0.0, angle
    for c in curves:
        p = positions(c, np.linspace(0.0, c.span, max(9, int(16 * c.span))))
        turned = np.unwrap(np.concatenate([[last], np.arctan2(p[:, 1], p[:, 0])]))
        total += float(turned[-1] - turned[0])
        last = float(turned[-1])
    return total


def core_line(z0: float, z1: float) -> Line:
    """Lay the straight core on the axis between two heights."""
    return Line((0.0, 0.0, z0), (0.0, 0.0, 1.0), z1 - z0)
