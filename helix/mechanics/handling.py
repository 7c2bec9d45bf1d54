"""What hands must apply: torques, cranks, and how far the tag may stick out before it wanders. Arrays in, arrays out.

N, mm, MPa, rad. The wire is fully plastic at one flow stress. Derivations: docs/theory/handling.md.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative, check_positive
from helix.mechanics.pair.stiffness import CANTILEVER, bending_stiffness, column_load


def hinge_moment(flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the moment that bends the wire fully plastic: what winding a wrap takes.

    Parameters
    ----------
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        sigma d^3/6 [N mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(hinge_moment(1800.0, 1.0))
    300.0
    """
    return check_positive(flow_mpa, "flow_mpa") * check_positive(d_mm, "d_mm") ** 3 / 6.0


def twist_torque(lay_rad: ArrayLike, flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the torque that twists two legs round each other.

    Parameters
    ----------
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        2 sin(beta) sigma d^3/6 [N mm]; at 45 deg 0.2357 sigma d^3.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Work of bending both legs over one turn, no twist put into the wire itself. Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(twist_torque(np.radians(45.0), 1.0, 1.0).round(4))
    0.2357
    """
    return 2.0 * np.sin(check_acute(lay_rad, "lay_rad")) * hinge_moment(flow_mpa, d_mm)


def wire_torque(flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the torque that twists the bare wire plastically.

    Parameters
    ----------
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        pi tau d^3/12 with tau = sigma/sqrt 3 [N mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    It is less than winding a wrap takes: hold the twist, not the standing leg. Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(wire_torque(1.0, 1.0).round(4))
    0.1511
    """
    return np.pi / (12.0 * math.sqrt(3.0)) * check_positive(flow_mpa, "flow_mpa") * check_positive(d_mm, "d_mm") ** 3


def crank_length(moment_n_mm: ArrayLike, hand_force_n: ArrayLike) -> Array:
    """Return the least crank or handle with which a hand gives a moment.

    Parameters
    ----------
    moment_n_mm : array_like
        Moment, 0 or more [N mm].
    hand_force_n : array_like
        Force of the hand, above 0 [N].

    Returns
    -------
    array
        Length [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    See docs/theory/handling.md.

    Examples
    --------
    >>> float(crank_length(300.0, 20.0))
    15.0
    """
    return check_nonnegative(moment_n_mm, "moment_n_mm") / check_positive(hand_force_n, "hand_force_n")


def wander_slope(length_mm: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the slope at the tip of a free wire under the tip force that bends its root.

    Parameters
    ----------
    length_mm : array_like
        Free length L, 0 or more [mm].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        16/(3 pi) (sigma/E)(L/d) [rad].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Small slopes. Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(np.degrees(wander_slope(16.3, 1800.0, 190e3, 1.0)).round(1))
    15.0
    """
    ratio = check_positive(flow_mpa, "flow_mpa") / check_positive(modulus_mpa, "modulus_mpa")
    return 16.0 / (3.0 * np.pi) * ratio * check_nonnegative(length_mm, "length_mm") / check_positive(d_mm, "d_mm")


def free_length(slope_rad: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the free length at which a wire that is being wound leans by a slope.

    Parameters
    ----------
    slope_rad : array_like
        Slope, 0 or more [rad].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        Length [mm]: the inverse of `wander_slope`.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(free_length(np.radians(15.0), 1575.0, 190e3, 1.0).round(1))
    18.6
    """
    return check_nonnegative(slope_rad, "slope_rad") / wander_slope(1.0, flow_mpa, modulus_mpa, d_mm)


def wander_deflection(length_mm: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the deflection of the tip whose slope `wander_slope` gives.

    Parameters
    ----------
    length_mm : array_like
        Free length L, 0 or more [mm].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        M_p L^2/(3 E I), two thirds of slope times length [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/handling.md.

    Examples
    --------
    >>> float(wander_deflection(16.3, 1800.0, 190e3, 1.0).round(2))
    2.85
    """
    return 2.0 / 3.0 * wander_slope(length_mm, flow_mpa, modulus_mpa, d_mm) * check_nonnegative(length_mm, "length_mm")


def buckling_push(length_mm: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the axial push at which a free length of wire, held at one end, buckles.

    Parameters
    ----------
    length_mm : array_like
        Free length L, above 0 [mm].
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        pi^2 E I/(4 L^2) [N].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: Euler, any text on columns; see docs/theory/handling.md.

    Examples
    --------
    >>> float(buckling_push(16.0, 190e3, 1.0).round(1))
    89.9
    """
    return column_load(bending_stiffness(modulus_mpa, d_mm), length_mm, CANTILEVER)


def moves(worked_mm: ArrayLike, reach_mm: ArrayLike) -> Array:
    """Return how often a grip must move up while so much is worked.

    Parameters
    ----------
    worked_mm : array_like
        Length that is worked, 0 or more [mm].
    reach_mm : array_like
        How far the grip reaches, above 0 [mm].

    Returns
    -------
    array
        ceil(worked/reach) - 1, at least 0.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    See docs/theory/handling.md.

    Examples
    --------
    >>> moves([0.0, 10.0, 10.1, 25.0], 10.0)
    array([0., 0., 1., 2.])
    """
    count = np.ceil(check_nonnegative(worked_mm, "worked_mm") / check_positive(reach_mm, "reach_mm") * (1.0 - 1e-12))
    return np.maximum(count - 1.0, 0.0)
