"""Bending of round wire: yield, plastic moment, springback.

N, mm, MPa, rad. The wire is taken as elastic, then plastic at one flow stress (no hardening). Derivations:
docs/theory/bending.md.
"""

from __future__ import annotations

import math

from helix.geometry.maths.roots import bracketed_root

_SLACK = 1e-9  # rounding that is no fault


def kappa_yield(yield_mpa: float, modulus_mpa: float, d_mm: float) -> float:
    """Return the curvature at which the outer fibre of a round wire yields.

    Parameters
    ----------
    yield_mpa : float
        Yield (or flow) stress, above 0 [MPa].
    modulus_mpa : float
        Young's modulus, above 0 [MPa].
    d_mm : float
        Wire diameter, above 0 [mm].

    Returns
    -------
    float
        2 sigma/(E d) [1/mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(kappa_yield(1800.0, 190000.0, 0.41), 6)
    0.046213
    """
    check_each_positive(yield_mpa=yield_mpa, modulus_mpa=modulus_mpa, d_mm=d_mm)
    return 2.0 * yield_mpa / (modulus_mpa * d_mm)


def yield_moment(yield_mpa: float, d_mm: float) -> float:
    """Return the bending moment at which a round wire begins to yield.

    Parameters
    ----------
    yield_mpa : float
        Yield stress, above 0 [MPa].
    d_mm : float
        Wire diameter, above 0 [mm].

    Returns
    -------
    float
        pi sigma d^3/32 [N mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(yield_moment(1800.0, 1.0), 4)
    176.7146
    """
    check_each_positive(yield_mpa=yield_mpa, d_mm=d_mm)
    return math.pi * yield_mpa * d_mm**3 / 32.0


def plastic_moment(flow_mpa: float, d_mm: float) -> float:
    """Return the bending moment of a fully plastic round wire.

    Parameters
    ----------
    flow_mpa : float
        Flow stress, above 0 [MPa].
    d_mm : float
        Wire diameter, above 0 [mm].

    Returns
    -------
    float
        sigma d^3/6 [N mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(plastic_moment(1800.0, 1.0), 6)
    300.0
    """
    check_each_positive(flow_mpa=flow_mpa, d_mm=d_mm)
    return flow_mpa * d_mm**3 / 6.0


def moment_ratio(curvature_ratio: float) -> float:
    """Return the bending moment over the yield moment of an elastic-plastic round wire.

    Parameters
    ----------
    curvature_ratio : float
        kappa/kappa_y, 0 or more, may be infinite.

    Returns
    -------
    float
        M/M_y. Up to a ratio of 1 the ratio itself; above, with rho = 1/ratio, (2/(3 pi)) [(5 - 2 rho^2) sqrt(1 -
        rho^2) + 3 asin(rho)/rho]; 16/(3 pi) at infinity.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> [round(moment_ratio(x), 5) for x in (0.5, 2.0, 5.0, 20.0)]
    [0.5, 1.49366, 1.6639, 1.69553]
    """
    if not curvature_ratio >= 0.0:
        raise ValueError(f"curvature_ratio must be zero or more; got {curvature_ratio!r}")
    if curvature_ratio <= 1.0:
        return float(curvature_ratio)
    rho = 1.0 / curvature_ratio
    last = math.asin(rho) / rho if rho > 0.0 else 1.0
    return 2.0 / (3.0 * math.pi) * ((5.0 - 2.0 * rho * rho) * math.sqrt(1.0 - rho * rho) + 3.0 * last)


def springback_ratio(curvature_ratio: float) -> float:
    """Return the bent over the sprung radius of a round wire that is let go.

    Parameters
    ----------
    curvature_ratio : float
        kappa/kappa_y while bent, 0 or more, may be infinite.

    Returns
    -------
    float
        R0/R1 = 1 - rho M/M_y = (2/(3 pi)) (3 p - 2 sin 2p + sin(4p)/4), cos(p) = rho = 1/ratio. 0: springs straight
        (any bend up to the yield), 1: keeps its radius.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(springback_ratio(5.0), 6), springback_ratio(1.0)
    (0.667219, 0.0)
    """
    if not curvature_ratio >= 0.0:
        raise ValueError(f"curvature_ratio must be zero or more; got {curvature_ratio!r}")
    if curvature_ratio <= 1.0:
        return 0.0
    rho = 1.0 / curvature_ratio
    # cos(p) = rho through half angles: no digits are lost as rho comes near 1
    y = 4.0 * math.atan2(math.sqrt(1.0 - rho), math.sqrt(1.0 + rho))
    if y > 1.0:
        return 2.0 / (3.0 * math.pi) * (1.5 * y - 2.0 * math.sin(y) + 0.25 * math.sin(2.0 * y))
    # series of 1.5 y - 2 sin y + sin(2y)/4 = sum (-1)^k y^(2k+1)/(2k+1)! (2^(2k-1) - 2), from y^5/20
    total, power = 0.0, y**5 / 120.0
    for k in range(2, 13):
        total += (-1.0) ** k * power * (2.0 ** (2 * k - 1) - 2.0)
        power *= y * y / ((2 * k + 2) * (2 * k + 3))
    return 2.0 / (3.0 * math.pi) * total


def sprung_radius(radius_mm: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float:
    """Return the radius to which a round wire springs back that was bent to `radius_mm`.

    Parameters
    ----------
    radius_mm : float
        Radius of the centre line while bent, d_mm/2 or more [mm].
    d_mm : float
        Wire diameter, above 0 [mm].
    flow_mpa : float
        Flow stress, above 0 [MPa].
    modulus_mpa : float
        Young's modulus, above 0 [MPa].

    Returns
    -------
    float
        Radius of the centre line [mm]; infinite where the bend stays elastic.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(sprung_radius(1.0, 1.0, 1800.0, 190000.0), 4)
    1.0332
    """
    check_bend_radius(radius_mm, d_mm)
    ratio = springback_ratio(1.0 / radius_mm / kappa_yield(flow_mpa, modulus_mpa, d_mm))
    return radius_mm / ratio if ratio > 0.0 else math.inf


def bent_radius(sprung_radius_mm: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float:
    """Return the radius to bend a round wire to so that it springs back to `sprung_radius_mm`.

    Parameters
    ----------
    sprung_radius_mm : float
        Radius of the centre line when let go, above 0 [mm].
    d_mm : float
        Wire diameter, above 0 [mm].
    flow_mpa : float
        Flow stress, above 0 [MPa].
    modulus_mpa : float
        Young's modulus, above 0 [MPa].

    Returns
    -------
    float
        Radius of the centre line while bent [mm]: the inverse of `sprung_radius`.

    Raises
    ------
    ValueError
        Outside these ranges, and where the wire would have to be bent below a radius of d_mm/2.

    Notes
    -----
    Derivation: docs/theory/bending.md.

    Examples
    --------
    >>> round(bent_radius(1.033229, 1.0, 1800.0, 190000.0), 6)
    1.0
    """
    check_each_positive(sprung_radius_mm=sprung_radius_mm)
    least = sprung_radius(0.5 * d_mm, d_mm, flow_mpa, modulus_mpa)
    if sprung_radius_mm < least:
        raise ValueError(f"sprung_radius_mm must be at least {least:.6g} mm (bent to d/2); got {sprung_radius_mm!r}")
    if sprung_radius_mm <= least * (1.0 + 1e-15):
        return 0.5 * d_mm
    bound = 1.0 / kappa_yield(flow_mpa, modulus_mpa, d_mm)

    def miss(radius: float) -> float:
        return springback_ratio(bound / radius) - radius / sprung_radius_mm

    return bracketed_root(miss, 0.5 * d_mm, bound)


def strip_springback_ratio(x: float) -> float:
    """Return the bent over the sprung radius of a flat strip.

    Parameters
    ----------
    x : float
        R0 sigma/(E t), t the strip's thickness, 0 or more.

    Returns
    -------
    float
        R0/R1 = 1 - 3x + 4x^3 for x from 0 to 1/2; at 1/2 and above the bend is elastic: 0.

    Raises
    ------
    ValueError
        For negative x.

    Notes
    -----
    Source: the usual textbook result, from memory; see docs/theory/bending.md.

    Examples
    --------
    >>> round(strip_springback_ratio(0.1), 6)
    0.704
    """
    if not x >= 0.0:
        raise ValueError(f"x must be zero or more; got {x!r}")
    return (1.0 - 2.0 * x) ** 2 * (1.0 + x) if x < 0.5 else 0.0


def check_each_positive(**values: float) -> None:
    """Refuse a value that is not positive and finite.

    Parameters
    ----------
    **values : float
        By their names.

    Raises
    ------
    ValueError
        Naming the first that is not.
    """
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise ValueError(f"{name} must be positive and finite; got {value!r}")


def check_bend_radius(radius: float, d: float) -> None:
    """Refuse a bend of a centre line that no wire can have.

    Parameters
    ----------
    radius, d : float
        Radius of the centre line and diameter of the wire, in one unit.

    Raises
    ------
    ValueError
        For a diameter that is not positive, and a radius under half of it.
    """
    check_each_positive(d=d)
    if not (radius >= 0.5 * d * (1.0 - _SLACK) and math.isfinite(radius)):
        raise ValueError(f"the bend radius must be at least half the wire diameter {d!r}; got {radius!r}")
