"""Wire pressed on wire: elastic contact, first yield, and the flat that plastic contact leaves. Arrays in, arrays out.

N, mm, MPa. Derivations: docs/theory/contact-force.md.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative, check_positive, check_proportion

FIRST_YIELD = 1.6  # peak pressure over yield stress at first yield below a round contact, nu = 0.3 [mem]
PLASTIC_PRESSURE = 3.0  # mean pressure over flow stress of a fully plastic contact [mem]


def contact_modulus(modulus_mpa: ArrayLike, poisson: ArrayLike = 0.3, *, rigid: bool = False) -> Array:
    """Return E* of two equal bodies, or of one on a rigid body.

    Parameters
    ----------
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    poisson : array_like
        Poisson's ratio nu, above -1 and at most 0.5.
    rigid : bool
        Whether the other body is rigid.

    Returns
    -------
    array
        E/(2 (1 - nu^2)) of two equal bodies, E/(1 - nu^2) on a rigid one [MPa].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> float(contact_modulus(200e3).round(1)), float(contact_modulus(1000.0, rigid=True).round(1))
    (109890.1, 1098.9)
    """
    nu = np.asarray(poisson, dtype=float)
    if not ((nu > -1.0) & (nu <= 0.5)).all():
        raise ValueError("poisson must be above -1 and at most 0.5")
    modulus: Array = check_positive(modulus_mpa, "modulus_mpa") / ((1.0 if rigid else 2.0) * (1.0 - nu * nu))
    return modulus


def contact_radius(force_n: ArrayLike, sphere_mm: ArrayLike, contact_modulus_mpa: ArrayLike) -> Array:
    """Return the radius of the elastic contact of a sphere on a flat.

    Parameters
    ----------
    force_n : array_like
        Force P, 0 or more [N].
    sphere_mm : array_like
        Radius R of the sphere, above 0 [mm].
    contact_modulus_mpa : array_like
        E*, above 0 [MPa].

    Returns
    -------
    array
        (3 P R/(4 E*))^(1/3) [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Equal cylinders of diameter d crossed at 90 deg are a sphere of R = d/2. Source: Hertz, any text on contact; see
    docs/theory/contact-force.md.

    Examples
    --------
    >>> float(contact_radius(500.0, 25.0, contact_modulus(200e3)).round(4))
    0.4402
    """
    force, radius = check_nonnegative(force_n, "force_n"), check_positive(sphere_mm, "sphere_mm")
    return np.cbrt(0.75 * force * radius / check_positive(contact_modulus_mpa, "contact_modulus_mpa"))


def peak_pressure(force_n: ArrayLike, contact_radius_mm: ArrayLike) -> Array:
    """Return the greatest pressure of an elastic round contact.

    Parameters
    ----------
    force_n : array_like
        Force P, 0 or more [N].
    contact_radius_mm : array_like
        Radius a of the contact, above 0 [mm].

    Returns
    -------
    array
        3 P/(2 pi a^2) [MPa].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> float(peak_pressure(500.0, 0.44014).round(1))
    1232.3
    """
    return (
        1.5
        * check_nonnegative(force_n, "force_n")
        / (np.pi * check_positive(contact_radius_mm, "contact_radius_mm") ** 2)
    )


def approach(contact_radius_mm: ArrayLike, sphere_mm: ArrayLike) -> Array:
    """Return how far two bodies come together in an elastic round contact.

    Parameters
    ----------
    contact_radius_mm : array_like
        Radius a of the contact, 0 or more [mm].
    sphere_mm : array_like
        Radius R of the sphere, above 0 [mm].

    Returns
    -------
    array
        a^2/R [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> float(approach(0.5, 2.0))
    0.125
    """
    return check_nonnegative(contact_radius_mm, "contact_radius_mm") ** 2 / check_positive(sphere_mm, "sphere_mm")


def first_yield_force(sphere_mm: ArrayLike, contact_modulus_mpa: ArrayLike, yield_mpa: ArrayLike) -> Array:
    """Return the force at which a round contact first yields.

    Parameters
    ----------
    sphere_mm : array_like
        Radius R of the sphere, above 0 [mm].
    contact_modulus_mpa : array_like
        E*, above 0 [MPa].
    yield_mpa : array_like
        Yield stress Y, above 0 [MPa].

    Returns
    -------
    array
        pi^3 R^2 (1.6 Y)^3/(6 E*^2) [N].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    About 1 N for spring wire of 0.84 mm crossed on itself: anything that a joint carries is far past it. Derivation:
    docs/theory/contact-force.md.

    Examples
    --------
    >>> float(first_yield_force(0.42, contact_modulus(190e3), 1575.0).round(2))
    1.34
    """
    pressure = FIRST_YIELD * check_positive(yield_mpa, "yield_mpa")
    modulus = check_positive(contact_modulus_mpa, "contact_modulus_mpa")
    return np.pi**3 * check_positive(sphere_mm, "sphere_mm") ** 2 * pressure**3 / (6.0 * modulus**2)


def flat_area(force_n: ArrayLike, flow_mpa: ArrayLike) -> Array:
    """Return the area of the flat that a fully plastic contact leaves.

    Parameters
    ----------
    force_n : array_like
        Force P, 0 or more [N].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].

    Returns
    -------
    array
        P/(3 sigma) [mm2].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> float(flat_area(600.0, 2000.0))
    0.1
    """
    return check_nonnegative(force_n, "force_n") / (PLASTIC_PRESSURE * check_positive(flow_mpa, "flow_mpa"))


def crossing_depth(force_n: ArrayLike, flow_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the depth of the flat in each of two equal wires crossed at 90 deg.

    Parameters
    ----------
    force_n : array_like
        Force P, 0 or more [N].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        Area/(2 pi d) [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The round flat of radius a takes a^2/d off the two together, no pile-up. Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> round(float(crossing_depth(600.0, 2000.0, 0.8)) / 0.8, 4)
    0.0249
    """
    return flat_area(force_n, flow_mpa) / (2.0 * np.pi * check_positive(d_mm, "d_mm"))


def line_depth(force_per_mm: ArrayLike, flow_mpa: ArrayLike, relative_radius_mm: ArrayLike) -> Array:
    """Return the depth of the flat in each of two equal wires that touch along a line.

    Parameters
    ----------
    force_per_mm : array_like
        Force per length of the line, 0 or more [N/mm].
    flow_mpa : array_like
        Flow stress, above 0 [MPa].
    relative_radius_mm : array_like
        R, above 0, where 1/R is the sum of both wires' curvatures across the line: d/4 for parallel wires [mm].

    Returns
    -------
    array
        w^2/(16 R) [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The flat is w = force/(3 sigma) wide and takes w^2/(8 R) off the two together. Derivation:
    docs/theory/contact-force.md.

    Examples
    --------
    >>> round(float(line_depth(600.0, 2000.0, 0.25)), 6)
    0.0025
    """
    width = check_nonnegative(force_per_mm, "force_per_mm") / (PLASTIC_PRESSURE * check_positive(flow_mpa, "flow_mpa"))
    return width**2 / (16.0 * check_positive(relative_radius_mm, "relative_radius_mm"))


def area_lost(depth_d: ArrayLike) -> Array:
    """Return the share of a round wire's section that a flat takes away.

    Parameters
    ----------
    depth_d : array_like
        Depth of the flat over wire diameter, 0 to 1.

    Returns
    -------
    array
        Share, 0 to 1.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/contact-force.md.

    Examples
    --------
    >>> area_lost([0.0, 0.03, 0.5]).round(4)
    array([0.    , 0.0087, 0.5   ])
    """
    rise = 1.0 - 2.0 * check_proportion(depth_d, "depth_d")
    return (np.arccos(rise) - rise * np.sqrt(np.maximum(1.0 - rise * rise, 0.0))) / np.pi
