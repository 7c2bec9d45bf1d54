"""What holds a twisted joint: the barrel's hinge, and three rival models of the twist's grip. Arrays in, arrays out.

Loads are shares of the wire's own breaking load S = sigma_u pi d^2/4, so no length and no strength enters: all sizes
and all strengths behave alike by construction. Angles in rad, curvatures times d, `flow` is flow stress over
sigma_u, turns are of 360 deg. All arguments broadcast. None of the three models is proven, and each has an
effective friction number of its own: fitted, never a measured friction. Derivations: docs/theory/holding.md.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative, check_positive, check_proportion

# Model R: a fit to simulations of an elastic-plastic rod with frictional contact (an own trial at a lay of 3.75 d
# with a pin of 4 d and a barrel sprung loose, 3 to 6 turns, not validated against tests).
SIMULATED_FLOOR: Final = 0.558
SIMULATED_RATE: Final = (1.8, 1.08)  # of the exponent, per unit friction: at no turn, and per turn
SIMULATED_TURNS: Final = (3.0, 6.0)
SIMULATED_LAY_D: Final = 3.75
SIMULATED_ERROR: Final = 0.02  # how far the fit lies from the simulations at most, share of S
# The same simulations with five turns and no barrel held between these shares of S.
SIMULATED_NO_BARREL: Final = (0.4, 0.75)
_TINY: Final = 1e-300


def hinge_bending(flow: ArrayLike, curvature_d: ArrayLike) -> Array:
    """Pull that uncoils a set coil by bending, M_p kappa over S: (2/(3 pi)) flow kappa d.

    flow: flow stress over strength, 0 to 1; curvature_d: the coil's curvature times d, >= 0. However many coils
    there are, once a few are. Raises ValueError outside these. Source: plastic hinge, derived in
    docs/theory/holding.md; peel of a plastic strip: K. S. Kim & N. Aravas 1988 [mem].

    >>> float(hinge_bending(1.0, 1.0).round(4)), float(hinge_bending(0.9, 0.9747).round(4))
    (0.2122, 0.1862)
    """
    return 2.0 / (3.0 * np.pi) * check_proportion(flow, "flow") * check_nonnegative(curvature_d, "curvature_d")


def hinge_torsion(flow: ArrayLike) -> Array:
    """Pull that opens a set coil like an extension spring, by torsion, over S: flow/(3 sqrt 3).

    flow: flow stress over strength, 0 to 1; shear yield by von Mises, coil of mean diameter 2 d: T d = pi tau_y d^3/12.
    Raises ValueError outside this.

    >>> float(hinge_torsion(1.0).round(4))
    0.1925
    """
    return check_proportion(flow, "flow") / (3.0 * math.sqrt(3.0))


def throat_tension(lay_rad: ArrayLike, friction: ArrayLike = 0.0, sliding_rad: ArrayLike = 0.0) -> Array:
    """Tension of the tag where the twist begins, over the load: 1/[cos(beta) (1 + e^(mu theta))].

    lay_rad: lay angle beta, 0 to under pi/2; friction >= 0; sliding_rad: angle theta over which the wire slides
    round the pin, 0 where the pin turns with the wire. Raises ValueError outside these.

    >>> float(throat_tension(0.0)), float(throat_tension(np.radians(60.0)).round(6))
    (0.5, 1.0)
    """
    slide = _exp(check_nonnegative(friction, "friction") * check_nonnegative(sliding_rad, "sliding_rad"))
    return 1.0 / (np.cos(check_acute(lay_rad, "lay_rad")) * (1.0 + slide))


def wraps_alone(hinge: ArrayLike, friction: ArrayLike = 0.0, sliding_rad: ArrayLike = 0.0) -> Array:
    """Load over S at which a barrel without a twist gives way: (1 + e^(mu theta)) times its hinge.

    hinge: what a coil's hinge holds over S, >= 0; friction, sliding_rad: >= 0, see throat_tension. Assumes that
    the barrel, sprung open, sits loose on the leg, so that friction has nothing to amplify. ValueError outside.

    >>> float(wraps_alone(0.18))
    0.36
    """
    slide = _exp(check_nonnegative(friction, "friction") * check_nonnegative(sliding_rad, "sliding_rad"))
    return (1.0 + slide) * check_nonnegative(hinge, "hinge")


def leg_contact(curvature_d: ArrayLike, lay_rad: ArrayLike) -> Array:
    """Contact force of leg on leg per d of wire, over the load, in a twist that keeps its set shape: kappa d/(2 cos beta).

    curvature_d: a leg's curvature times d, >= 0; lay_rad: lay angle, 0 to under pi/2. Both legs together carry the
    load, and action equals reaction. Raises ValueError outside these.

    >>> float(leg_contact(0.763027, np.radians(38.14603)).round(4))
    0.4851
    """
    return check_nonnegative(curvature_d, "curvature_d") / (2.0 * np.cos(check_acute(lay_rad, "lay_rad")))


def slip_linear(
    hinge: ArrayLike, friction: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Model L, linear tail: the load over S at which the joint unwinds; infinite where it is locked.

    hinge: the barrel's hinge over S, >= 0; friction, turns, sliding_rad >= 0; lay_rad: 0 to under pi/2.
    hinge/[throat tension - mu pi N sin(beta)], locked where the bracket is not positive; never below the barrel
    alone. Assumes that the twist keeps its set shape: contact force even along it, so that the tag's tension falls
    by equal steps. Even legs that touch on the axis (lay of pi d and more). Raises ValueError outside these.

    >>> slip_linear(0.186, [0.0, 0.04, 0.07], 5.0, np.radians(45.0)).round(4)
    array([0.372 , 0.7077,    inf])
    """
    t, mu = check_nonnegative(hinge, "hinge"), check_nonnegative(friction, "friction")
    left = throat_tension(lay_rad, mu, sliding_rad) - mu * np.pi * check_nonnegative(turns, "turns") * np.sin(
        check_acute(lay_rad, "lay_rad")
    )
    raw = np.where(left > 0.0, t / np.maximum(left, _TINY), np.inf)
    return np.maximum(raw, wraps_alone(t, mu, sliding_rad))


def slip_exponential(
    hinge: ArrayLike, friction: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Model E, exponential tail: the load over S at which the joint unwinds.

    Arguments as slip_linear. hinge e^(2 pi mu N sin beta) over the throat tension, never below the barrel alone.
    Assumes flexible legs: the tag grips like a rope round a post, its own tension pressing it on.

    >>> slip_exponential(0.186, [0.0, 0.06], 5.0, np.radians(45.0)).round(4)
    array([0.372 , 0.9974])
    """
    t, mu = check_nonnegative(hinge, "hinge"), check_nonnegative(friction, "friction")
    grip = 2.0 * np.pi * mu * check_nonnegative(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    raw = t * _exp(grip) / throat_tension(lay_rad, mu, sliding_rad)
    return np.maximum(raw, wraps_alone(t, mu, sliding_rad))


def slip_simulated(friction: ArrayLike, turns: ArrayLike) -> Array:
    """Model R, rod simulations: the load over S at which the joint unwinds, 0.558 e^(mu (1.8 + 1.08 N)).

    friction >= 0; turns: 3 to 6 is the range of the fit, and it speaks for a lay of 3.75 d and a barrel of a few
    wraps sprung loose: it is the caller's to keep to that. Assumes an elastic-plastic rod whose set coils carry part
    of the load as springs. Raises ValueError for negative arguments.

    >>> slip_simulated([0.0, 0.08], 5.0).round(4)
    array([0.558 , 0.9926])
    """
    start, per_turn = SIMULATED_RATE
    return SIMULATED_FLOOR * _exp(
        check_nonnegative(friction, "friction") * (start + per_turn * check_nonnegative(turns, "turns"))
    )


def friction_linear(load: ArrayLike, hinge: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike) -> Array:
    """The friction number with which model L unwinds at that load; negative where less than none is asked for.

    load: over S, > 0; hinge >= 0; turns > 0; lay_rad: 0 to under pi/2, exclusive; no sliding at the eye. Inverse of
    slip_linear without its floor. Raises ValueError outside these.

    >>> float(friction_linear(0.7077, 0.186, 5.0, np.radians(45.0)).round(4))
    0.04
    """
    grip = np.pi * check_positive(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    return (
        throat_tension(lay_rad) - check_nonnegative(hinge, "hinge") / check_positive(load, "load")
    ) / check_positive(grip, "sin(lay_rad)")


def friction_exponential(load: ArrayLike, hinge: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike) -> Array:
    """The friction number with which model E unwinds at that load; negative where less than none is asked for.

    Arguments as friction_linear, hinge > 0. Inverse of slip_exponential without its floor.

    >>> float(friction_exponential(0.9975, 0.186, 5.0, np.radians(45.0)).round(4))
    0.06
    """
    grip = 2.0 * np.pi * check_positive(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    ratio = check_positive(load, "load") * throat_tension(lay_rad) / check_positive(hinge, "hinge")
    return np.log(ratio) / check_positive(grip, "sin(lay_rad)")


def friction_simulated(load: ArrayLike, turns: ArrayLike) -> Array:
    """The friction number with which model R unwinds at that load; negative below its 0.558 S.

    load: over S, > 0; turns: >= 0, 3 to 6 is the range. Inverse of slip_simulated. ValueError outside these.

    >>> float(friction_simulated(0.9927, 5.0).round(4))
    0.08
    """
    start, per_turn = SIMULATED_RATE
    return np.log(check_positive(load, "load") / SIMULATED_FLOOR) / (
        start + per_turn * check_nonnegative(turns, "turns")
    )


def tag_tension_linear(
    turns_made: ArrayLike, friction: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Tension of the tag over the load after so many turns from the throat, by model L; 0 where all is gripped.

    turns_made, friction, sliding_rad >= 0; lay_rad: 0 to under pi/2. Raises ValueError outside these.

    >>> tag_tension_linear([0.0, 5.0], 0.05, np.radians(45.0)).round(4)
    array([0.7071, 0.1517])
    """
    mu = check_nonnegative(friction, "friction")
    lost = mu * np.pi * check_nonnegative(turns_made, "turns_made") * np.sin(check_acute(lay_rad, "lay_rad"))
    return np.maximum(throat_tension(lay_rad, mu, sliding_rad) - lost, 0.0)


def tag_tension_exponential(
    turns_made: ArrayLike, friction: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Tension of the tag over the load after so many turns from the throat, by model E.

    Arguments as tag_tension_linear.

    >>> tag_tension_exponential([0.0, 5.0], 0.05, np.radians(45.0)).round(4)
    array([0.7071, 0.2329])
    """
    mu = check_nonnegative(friction, "friction")
    grip = 2.0 * np.pi * mu * check_nonnegative(turns_made, "turns_made") * np.sin(check_acute(lay_rad, "lay_rad"))
    return throat_tension(lay_rad, mu, sliding_rad) * np.exp(-grip)


def _exp(exponent: Array) -> Array:
    """e to that power, without overflow: anything past e^600 is as good as locked."""
    return np.exp(np.minimum(exponent, 600.0))
