"""What hands must apply: torques, cranks, and how far the tag may stick out before it wanders. Arrays in, arrays out.

N, mm, MPa, rad. The wire is fully plastic at one flow stress. Derivations: docs/theory/handling.md.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative, check_positive


def hinge_moment(flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Moment that bends the wire fully plastic, sigma d^3/6 (N mm): what winding a wrap takes.

    flow_mpa, d_mm > 0. Raises ValueError outside these.

    >>> float(hinge_moment(1800.0, 1.0))
    300.0
    """
    return check_positive(flow_mpa, "flow_mpa") * check_positive(d_mm, "d_mm") ** 3 / 6.0


def twist_torque(lay_rad: ArrayLike, flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Torque that twists two legs round each other, 2 sin(beta) sigma d^3/6 (N mm).

    lay_rad: lay angle beta, 0 to below pi/2; flow_mpa, d_mm > 0. Work of bending both legs over one turn, no twist
    put into the wire itself. At 45 deg: 0.2357 sigma d^3. Raises ValueError outside these.

    >>> float(twist_torque(np.radians(45.0), 1.0, 1.0).round(4))
    0.2357
    """
    return 2.0 * np.sin(check_acute(lay_rad, "lay_rad")) * hinge_moment(flow_mpa, d_mm)


def wire_torque(flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Torque that twists the bare wire plastically, pi tau d^3/12 with tau = sigma/sqrt 3 (N mm).

    flow_mpa, d_mm > 0. It is less than winding a wrap takes: hold the twist, not the standing leg. ValueError else.

    >>> float(wire_torque(1.0, 1.0).round(4))
    0.1511
    """
    return np.pi / (12.0 * math.sqrt(3.0)) * check_positive(flow_mpa, "flow_mpa") * check_positive(d_mm, "d_mm") ** 3


def crank_length(moment_n_mm: ArrayLike, hand_force_n: ArrayLike) -> Array:
    """Least crank or handle with which a hand of that force gives the moment (mm).

    moment_n_mm >= 0; hand_force_n > 0. Raises ValueError outside these.

    >>> float(crank_length(300.0, 20.0))
    15.0
    """
    return check_nonnegative(moment_n_mm, "moment_n_mm") / check_positive(hand_force_n, "hand_force_n")


def wander_slope(length_mm: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Slope at the tip of a free length of wire under the tip force that bends its root: 16/(3 pi) (sigma/E)(L/d) (rad).

    length_mm >= 0; flow_mpa, modulus_mpa, d_mm > 0. Small slopes. Raises ValueError outside these.

    >>> float(np.degrees(wander_slope(16.3, 1800.0, 190e3, 1.0)).round(1))
    15.0
    """
    ratio = check_positive(flow_mpa, "flow_mpa") / check_positive(modulus_mpa, "modulus_mpa")
    return 16.0 / (3.0 * np.pi) * ratio * check_nonnegative(length_mm, "length_mm") / check_positive(d_mm, "d_mm")


def free_length(slope_rad: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Free length at which a wire that is being wound leans by that slope (mm). Inverse of wander_slope.

    slope_rad >= 0; flow_mpa, modulus_mpa, d_mm > 0. Raises ValueError outside these.

    >>> float(free_length(np.radians(15.0), 1575.0, 190e3, 1.0).round(1))
    18.6
    """
    return check_nonnegative(slope_rad, "slope_rad") / wander_slope(1.0, flow_mpa, modulus_mpa, d_mm)


def wander_deflection(length_mm: ArrayLike, flow_mpa: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Deflection of that tip, M_p L^2/(3 E I) (mm): two thirds of slope times length.

    length_mm >= 0; flow_mpa, modulus_mpa, d_mm > 0. Raises ValueError outside these.

    >>> float(wander_deflection(16.3, 1800.0, 190e3, 1.0).round(2))
    2.85
    """
    return 2.0 / 3.0 * wander_slope(length_mm, flow_mpa, modulus_mpa, d_mm) * check_nonnegative(length_mm, "length_mm")


def buckling_push(length_mm: ArrayLike, modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Axial push at which a free length of wire, held at one end, buckles: pi^2 E I/(4 L^2) (N).

    length_mm, modulus_mpa, d_mm > 0. Raises ValueError outside these. Source: Euler, any text on columns.

    >>> float(buckling_push(16.0, 190e3, 1.0).round(1))
    89.9
    """
    second_moment = np.pi * check_positive(d_mm, "d_mm") ** 4 / 64.0
    return (
        np.pi**2
        * check_positive(modulus_mpa, "modulus_mpa")
        * second_moment
        / (4.0 * check_positive(length_mm, "length_mm") ** 2)
    )


def moves(worked_mm: ArrayLike, reach_mm: ArrayLike) -> Array:
    """How often a grip must move up while so much is worked, when it reaches so far: ceil(worked/reach) - 1.

    worked_mm >= 0; reach_mm > 0. Raises ValueError outside these.

    >>> moves([0.0, 10.0, 10.1, 25.0], 10.0)
    array([0., 0., 1., 2.])
    """
    count = np.ceil(check_nonnegative(worked_mm, "worked_mm") / check_positive(reach_mm, "reach_mm") * (1.0 - 1e-12))
    return np.maximum(count - 1.0, 0.0)
