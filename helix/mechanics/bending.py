"""Bending of round wire: yield, plastic moment, springback, outer-fibre strain, and the verdicts on a bend.

N, mm, MPa, rad. The wire is taken as elastic, then plastic at one flow stress (no hardening). Derivations:
docs/theory/bending.md.
"""

from __future__ import annotations

import math

from helix.findings import Severity
from helix.geometry.maths.roots import bracketed_root
from helix.mechanics import limits

# A bend up to here is certified by the wrapping test that spring-wire standards demand: the wire wound on
# its own diameter has d/(2R) = d/(d + d) = 0.50. EN 10218-1 by way of EN 10270-1, seen in a reprint.
# Above here a bend is called sharp. A working assumption, no source.
# The trade's own limit for the first bend and for the exit. Common practice, no source.
# Rounding that does not change a verdict.
_SLACK = 1e-9


def kappa_yield(yield_mpa: float, modulus_mpa: float, d_mm: float) -> float:
    """Return the curvature 2 sigma/(E d) at which the outer fibre of a round wire yields, per mm.

    yield_mpa, modulus_mpa, d_mm: yield (or flow) stress, Young's modulus, wire diameter, all > 0.
    Raises ValueError outside these.

    >>> round(kappa_yield(1800.0, 190000.0, 0.41), 6)
    0.046213
    """
    _positive(yield_mpa=yield_mpa, modulus_mpa=modulus_mpa, d_mm=d_mm)
    return 2.0 * yield_mpa / (modulus_mpa * d_mm)


def yield_moment(yield_mpa: float, d_mm: float) -> float:
    """Return the bending moment pi sigma d^3/32 at which a round wire begins to yield, N mm.

    yield_mpa, d_mm: yield stress and wire diameter > 0. Raises ValueError outside these.

    >>> round(yield_moment(1800.0, 1.0), 4)
    176.7146
    """
    _positive(yield_mpa=yield_mpa, d_mm=d_mm)
    return math.pi * yield_mpa * d_mm**3 / 32.0


def plastic_moment(flow_mpa: float, d_mm: float) -> float:
    """Return the bending moment sigma d^3/6 of a fully plastic round wire, N mm.

    flow_mpa, d_mm: flow stress and wire diameter > 0. Raises ValueError outside these.

    >>> round(plastic_moment(1800.0, 1.0), 6)
    300.0
    """
    _positive(flow_mpa=flow_mpa, d_mm=d_mm)
    return flow_mpa * d_mm**3 / 6.0


def moment_ratio(curvature_ratio: float) -> float:
    """Return the bending moment over the yield moment, M/M_y, of an elastic-plastic round wire.

    curvature_ratio: kappa/kappa_y >= 0, may be infinite (16/(3 pi)). Up to 1: the ratio itself. Above, with
    rho = 1/ratio: (2/(3 pi)) [(5 - 2 rho^2) sqrt(1 - rho^2) + 3 asin(rho)/rho]. ValueError outside this.

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
    """Return R0/R1, the bent over the sprung radius of a round wire that is let go.

    curvature_ratio: kappa/kappa_y >= 0 while bent, may be infinite. 0: springs straight (any bend up to the
    yield), 1: keeps its radius. R0/R1 = 1 - rho M/M_y = (2/(3 pi)) (3 p - 2 sin 2p + sin(4p)/4),
    cos(p) = rho = 1/ratio. ValueError outside this.

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
    """Return the centre-line radius to which a round wire bent to `radius_mm` springs back, mm.

    radius_mm: centre line while bent; d_mm: wire; flow_mpa: flow stress; modulus_mpa: Young's modulus,
    all > 0 and radius_mm >= d_mm/2. Infinite where the bend stays elastic. Raises ValueError outside these.

    >>> round(sprung_radius(1.0, 1.0, 1800.0, 190000.0), 4)
    1.0332
    """
    _bend_radius(radius_mm, d_mm)
    ratio = springback_ratio(1.0 / radius_mm / kappa_yield(flow_mpa, modulus_mpa, d_mm))
    return radius_mm / ratio if ratio > 0.0 else math.inf


def bent_radius(sprung_radius_mm: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float:
    """Return the radius to bend a round wire to so that it springs back to `sprung_radius_mm`, mm.

    sprung_radius_mm: centre line when let go; d_mm: wire; flow_mpa: flow stress; modulus_mpa: Young's
    modulus, all > 0. Inverse of sprung_radius. Raises ValueError outside these, and where the wire would
    have to be bent below a radius of d_mm/2.

    >>> round(bent_radius(1.033229, 1.0, 1800.0, 190000.0), 6)
    1.0
    """
    _positive(sprung_radius_mm=sprung_radius_mm)
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
    """Return R0/R1 = 1 - 3x + 4x^3 of a flat strip, bent over sprung radius.

    x: R0 sigma/(E t), t the strip's thickness, from 0 to 1/2 (at 1/2 and above the bend is elastic: 0).
    Raises ValueError for negative x. Source: the usual textbook result, from memory.

    >>> round(strip_springback_ratio(0.1), 6)
    0.704
    """
    if not x >= 0.0:
        raise ValueError(f"x must be zero or more; got {x!r}")
    return (1.0 - 2.0 * x) ** 2 * (1.0 + x) if x < 0.5 else 0.0


def outer_fibre_strain(radius: float, d: float = 1.0) -> float:
    """Return the strain d/(2R) of the outer fibre of a wire bent to the centre-line radius R.

    radius: R > 0, in the unit of d, may be infinite (0); d: wire diameter > 0. Below R = d/2 (strain 1) the
    wire would fold: the number still ranks bends. Raises ValueError outside these. On a mandrel of diameter m: R = (m + d)/2, strain d/(m + d).

    >>> outer_fibre_strain(1.0), outer_fibre_strain(2.0), round(outer_fibre_strain(1.02599), 4)
    (0.5, 0.25, 0.4873)
    """
    if radius == math.inf:
        return 0.0
    _positive(radius=radius, d=d)
    return 0.5 * d / radius


def bend_strain(curvature: float, d: float = 1.0) -> float:
    """Return the strain (d/2) |K| of the outer fibre under a curvature |K|.

    curvature: >= 0, one over the unit of d; for a verdict the mean over a gauge length of d/2, averaged as
    a vector in the rotation-minimising frame (an assumption: a plastic hinge spreads over about that), see
    helix.geometry.wire.frames.gauge_curvature; d: wire diameter > 0. Raises ValueError outside these.

    >>> bend_strain(1.0), bend_strain(0.5, d=0.8)
    (0.5, 0.2)
    """
    _positive(d=d)
    if not (curvature >= 0.0 and math.isfinite(curvature)):
        raise ValueError(f"curvature must be zero or more and finite; got {curvature!r}")
    return 0.5 * d * curvature


def strain_severity(strain: float) -> Severity:
    """Return how severe a bend of this strain is: ok up to 0.50, caution up to 0.75, else sharp.

    strain: (d/2) |K| or d/(2R), >= 0, may be infinite. Raises ValueError outside this.

    >>> [strain_severity(strain).word for strain in (0.4873, 0.5, 0.6, 0.8)]
    ['ok', 'ok', 'caution', 'sharp']
    """
    if not strain >= 0.0:
        raise ValueError(f"strain must be zero or more; got {strain!r}")
    if strain <= limits.STRAIN_OK + _SLACK:
        return Severity.OK
    return Severity.CAUTION if strain <= limits.STRAIN_CAUTION + _SLACK else Severity.SHARP


def angle_severity(visible_rad: float) -> Severity:
    """Return how severe the trade takes a visible angle: ok up to 90 deg, sharp above.

    visible_rad: 0 to 2 pi. Raises ValueError outside this. Common practice, no source; there is no band
    of caution.

    >>> angle_severity(math.radians(90.0)).word, angle_severity(math.radians(100.0)).word
    ('ok', 'sharp')
    """
    if not 0.0 <= visible_rad <= 2.0 * math.pi:
        raise ValueError(f"visible_rad must be from 0 to 2 pi rad; got {visible_rad!r}")
    return Severity.OK if visible_rad <= limits.ANGLE_LIMIT_RAD + _SLACK else Severity.SHARP


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise ValueError(f"{name} must be positive and finite; got {value!r}")


def _bend_radius(radius: float, d: float) -> None:
    _positive(d=d)
    if not (radius >= 0.5 * d * (1.0 - _SLACK) and math.isfinite(radius)):
        raise ValueError(f"the bend radius must be at least half the wire diameter {d!r}; got {radius!r}")
