"""How a joint lengthens under load: elastic wire, legs that close up, and bends that open. Arrays in, arrays out.

Stretch is given per load over the wire's own stiffness E A, so in mm for F/(E A) = 1: multiply by F/(E A).
Derivations: docs/theory/stretch.md.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative

POISSON = 0.3  # steels and nickel alloys, typical [mem]


def axial_stretch(tension_share: ArrayLike, length_mm: ArrayLike) -> Array:
    """Elastic stretch of pieces of wire that carry shares of the load, over F/(E A): the sum of t^2 ds (mm).

    tension_share: tension over load, any sign, (n,); length_mm: wire >= 0, (n,). Castigliano: the load's own way, so
    a slanting leg counts with t = 1/(2 cos beta) over its wire. Raises ValueError outside these.

    >>> float(axial_stretch([1.0, 0.5, 0.5], [10.0, 8.0, 8.0]))
    14.0
    """
    stretch: Array = np.sum(
        np.asarray(tension_share, dtype=float) ** 2 * check_nonnegative(length_mm, "length_mm"), axis=-1
    )
    return stretch


def bending_stretch(offset_mm: ArrayLike, length_mm: ArrayLike, d_mm: float, tension_share: ArrayLike = 1.0) -> Array:
    """Stretch by elastic bending of wire that runs beside its line of pull, over F/(E A): 16/d^2 sum of (t y)^2 ds (mm).

    offset_mm: distance y of the wire from the line of pull, (n,); length_mm: wire >= 0, (n,); d_mm > 0;
    tension_share: share of the load that pulls there. E I = E A d^2/16. Raises ValueError outside these.

    >>> float(bending_stretch([0.5], [1.0], 1.0))
    4.0
    """
    if not d_mm > 0.0:
        raise ValueError(f"d_mm must be above zero; got {d_mm!r}")
    arm = np.asarray(offset_mm, dtype=float) * np.asarray(tension_share, dtype=float)
    stretch: Array = 16.0 / d_mm**2 * np.sum(arm**2 * check_nonnegative(length_mm, "length_mm"), axis=-1)
    return stretch


def twist_strain(wire_strain: ArrayLike, lay_rad: ArrayLike, radius_change: ArrayLike = 0.0) -> Array:
    """Axial strain of an even twist whose wire is strained and whose radius changes, ends held from turning.

    wire_strain: strain of the wire; lay_rad: lay angle beta, 0 to below pi/2; radius_change: da/a, negative where
    the legs close up. (e - sin^2(beta) da/a)/cos^2(beta), first order. Raises ValueError outside these.

    >>> float(twist_strain(0.001, np.radians(45.0)).round(6)), float(twist_strain(0.0, np.radians(45.0), -0.01).round(6))
    (0.002, 0.01)
    """
    beta = check_acute(lay_rad, "lay_rad")
    closing = np.sin(beta) ** 2 * np.asarray(radius_change, dtype=float)
    strain: Array = (np.asarray(wire_strain, dtype=float) - closing) / np.cos(beta) ** 2
    return strain


def pair_compliance(lay_rad: ArrayLike) -> Array:
    """Stretch of an even twist per length, over that of the straight wire under the same load: 1/(2 cos^3 beta).

    lay_rad: lay angle, 0 to below pi/2; both legs share the load, the radius is kept. ValueError outside this.

    >>> float(pair_compliance(0.0)), float(pair_compliance(np.radians(60.0)).round(6))
    (0.5, 4.0)
    """
    return 0.5 / np.cos(check_acute(lay_rad, "lay_rad")) ** 3
