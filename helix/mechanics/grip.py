"""What holds a twisted joint: three rival models of the twist's grip. Arrays in, arrays out.

Loads are shares of the wire's own breaking load S = sigma_u pi d^2/4, so no length and no strength enters: all sizes
and all strengths behave alike by construction. Angles in rad, curvatures times d, `flow` is flow stress over
sigma_u, turns are of 360 deg. All arguments broadcast. None of the three models is proven, and each has an
effective friction number of its own: fitted, never a measured friction. Derivations: docs/theory/holding.md.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative, check_positive
from helix.mechanics.tag_tension import limited_exp, throat_tension

# Model R: a fit to simulations of an elastic-plastic rod with frictional contact (an own trial at a lay of 3.75 d
# with a pin of 4 d and a barrel sprung loose, 3 to 6 turns, not validated against tests).
SIMULATED_FLOOR: Final = 0.558
SIMULATED_RATE: Final = (1.8, 1.08)  # of the exponent, per unit friction: at no turn, and per turn
SIMULATED_TURNS: Final = (3.0, 6.0)
SIMULATED_LAY_D: Final = 3.75
SIMULATED_ERROR: Final = 0.02  # how far the fit lies from the simulations at most, share of S
# Uneven twists in the same simulations: at a friction of 0.06 the peak was 0.904 S at an evenness of 0.75 and 0.796 at 0.5,
# at 0.08 0.976 at 0.5, where an even one holds 0.994. Nothing is lost down to 0.75.
UNEVEN_FROM: Final = 0.75
UNEVEN_TO: Final = 0.5
UNEVEN_KEEPS: Final = ((0.06, 0.08), (0.796 / 0.904, 0.976 / 0.994))
# The same simulations with five turns and no barrel held between these shares of S.
SIMULATED_NO_BARREL: Final = (0.4, 0.75)
_TINY: Final = 1e-300


def wraps_alone(hinge: ArrayLike, friction: ArrayLike = 0.0, sliding_rad: ArrayLike = 0.0) -> Array:
    """Return the load over S at which a barrel without a twist gives way.

    Parameters
    ----------
    hinge : array_like
        What a coil's hinge holds, over S, 0 or more.
    friction : array_like
        Friction number mu, 0 or more.
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        (1 + e^(mu theta)) times the hinge.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Assumes that the barrel, sprung open, sits loose on the leg, so that friction has nothing to amplify. Derivation:
    docs/theory/holding.md.

    Examples
    --------
    >>> float(wraps_alone(0.18))
    0.36
    """
    slide = limited_exp(check_nonnegative(friction, "friction") * check_nonnegative(sliding_rad, "sliding_rad"))
    return (1.0 + slide) * check_nonnegative(hinge, "hinge")


def slip_linear(
    hinge: ArrayLike, friction: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Return the load over S at which the joint unwinds by model L, linear tail.

    Parameters
    ----------
    hinge : array_like
        What the barrel's hinge holds, over S, 0 or more.
    friction : array_like
        Friction number mu, 0 or more.
    turns : array_like
        Turns N of the twist, 0 or more.
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        hinge/[throat tension - mu pi N sin(beta)]; infinite (locked) where the bracket is not positive; never below
        the barrel alone.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Assumes that the twist keeps its set shape: contact force even along it, so that the tag's tension falls by equal
    steps. Even legs that touch on the axis (lay of pi d and more). Derivation: docs/theory/holding.md.

    Examples
    --------
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
    """Return the load over S at which the joint unwinds by model E, exponential tail.

    Parameters
    ----------
    hinge : array_like
        What the barrel's hinge holds, over S, 0 or more.
    friction : array_like
        Friction number mu, 0 or more.
    turns : array_like
        Turns N of the twist, 0 or more.
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        hinge e^(2 pi mu N sin beta) over the throat tension, never below the barrel alone.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Assumes flexible legs: the tag grips like a rope round a post, its own tension pressing it on. Derivation:
    docs/theory/holding.md.

    Examples
    --------
    >>> slip_exponential(0.186, [0.0, 0.06], 5.0, np.radians(45.0)).round(4)
    array([0.372 , 0.9974])
    """
    t, mu = check_nonnegative(hinge, "hinge"), check_nonnegative(friction, "friction")
    grip = 2.0 * np.pi * mu * check_nonnegative(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    raw = t * limited_exp(grip) / throat_tension(lay_rad, mu, sliding_rad)
    return np.maximum(raw, wraps_alone(t, mu, sliding_rad))


def slip_simulated(friction: ArrayLike, turns: ArrayLike) -> Array:
    """Return the load over S at which the joint unwinds by model R, rod simulations.

    Parameters
    ----------
    friction : array_like
        Friction number mu, 0 or more.
    turns : array_like
        Turns N of the twist, 0 or more; 3 to 6 is the range of the fit.

    Returns
    -------
    array
        0.558 e^(mu (1.8 + 1.08 N)).

    Raises
    ------
    ValueError
        For negative arguments.

    Notes
    -----
    Speaks for a lay of 3.75 d and a barrel of a few wraps sprung loose: it is the caller's to keep to that and to the
    range. Assumes an elastic-plastic rod whose set coils carry part of the load as springs. See docs/theory/holding.md.

    Examples
    --------
    >>> slip_simulated([0.0, 0.08], 5.0).round(4)
    array([0.558 , 0.9926])
    """
    start, per_turn = SIMULATED_RATE
    return SIMULATED_FLOOR * limited_exp(
        check_nonnegative(friction, "friction") * (start + per_turn * check_nonnegative(turns, "turns"))
    )


def uneven_keeps(evenness: ArrayLike, friction: ArrayLike) -> Array:
    """Return what an uneven twist keeps of the load at which the even one unwinds, by model R.

    Parameters
    ----------
    evenness : array_like
        Evenness of the twist, 0.5 to 1.
    friction : array_like
        Friction number mu, 0 or more.

    Returns
    -------
    array
        1 down to an evenness of 0.75, from there on a straight line to what was simulated at 0.5: 0.88 at a friction of
        0.06 and less, 0.98 at 0.08 and more.

    Raises
    ------
    ValueError
        Outside these ranges; below 0.5 twists hold still less, and no fit speaks.

    Notes
    -----
    Simulated at a handful of points, not tested. See docs/theory/holding.md.

    Examples
    --------
    >>> uneven_keeps([1.0, 0.75, 0.625, 0.5], 0.06).round(3)
    array([1.   , 1.   , 0.94 , 0.881])
    """
    even = np.asarray(evenness, dtype=float)
    if np.any(even < UNEVEN_TO) or np.any(even > 1.0):
        raise ValueError(f"evenness must be from {UNEVEN_TO:g} to 1; got {evenness!r}")
    at_least = np.interp(check_nonnegative(friction, "friction"), *UNEVEN_KEEPS)
    gone = np.clip((UNEVEN_FROM - even) / (UNEVEN_FROM - UNEVEN_TO), 0.0, 1.0)
    return np.asarray(1.0 - gone * (1.0 - at_least))


def friction_linear(load: ArrayLike, hinge: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike) -> Array:
    """Return the friction number with which model L unwinds at a load.

    Parameters
    ----------
    load : array_like
        Load over S, above 0.
    hinge : array_like
        What the barrel's hinge holds, over S, 0 or more.
    turns : array_like
        Turns N of the twist, above 0.
    lay_rad : array_like
        Lay angle beta, above 0 to under pi/2 [rad].

    Returns
    -------
    array
        Friction number; negative where less than none is asked for.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Inverse of `slip_linear` without its floor; no sliding at the eye. See docs/theory/holding.md.

    Examples
    --------
    >>> float(friction_linear(0.7077, 0.186, 5.0, np.radians(45.0)).round(4))
    0.04
    """
    grip = np.pi * check_positive(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    return (
        throat_tension(lay_rad) - check_nonnegative(hinge, "hinge") / check_positive(load, "load")
    ) / check_positive(grip, "sin(lay_rad)")


def friction_exponential(load: ArrayLike, hinge: ArrayLike, turns: ArrayLike, lay_rad: ArrayLike) -> Array:
    """Return the friction number with which model E unwinds at a load.

    Parameters
    ----------
    load : array_like
        Load over S, above 0.
    hinge : array_like
        What the barrel's hinge holds, over S, above 0.
    turns : array_like
        Turns N of the twist, above 0.
    lay_rad : array_like
        Lay angle beta, above 0 to under pi/2 [rad].

    Returns
    -------
    array
        Friction number; negative where less than none is asked for.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Inverse of `slip_exponential` without its floor; no sliding at the eye. See docs/theory/holding.md.

    Examples
    --------
    >>> float(friction_exponential(0.9975, 0.186, 5.0, np.radians(45.0)).round(4))
    0.06
    """
    grip = 2.0 * np.pi * check_positive(turns, "turns") * np.sin(check_acute(lay_rad, "lay_rad"))
    ratio = check_positive(load, "load") * throat_tension(lay_rad) / check_positive(hinge, "hinge")
    return np.log(ratio) / check_positive(grip, "sin(lay_rad)")


def friction_simulated(load: ArrayLike, turns: ArrayLike) -> Array:
    """Return the friction number with which model R unwinds at a load.

    Parameters
    ----------
    load : array_like
        Load over S, above 0.
    turns : array_like
        Turns N of the twist, 0 or more; 3 to 6 is the range.

    Returns
    -------
    array
        Friction number; negative below the model's 0.558 S.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Inverse of `slip_simulated`. See docs/theory/holding.md.

    Examples
    --------
    >>> float(friction_simulated(0.9927, 5.0).round(4))
    0.08
    """
    start, per_turn = SIMULATED_RATE
    return np.log(check_positive(load, "load") / SIMULATED_FLOOR) / (
        start + per_turn * check_nonnegative(turns, "turns")
    )
