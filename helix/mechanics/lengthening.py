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
    """Return the elastic stretch, over F/(E A), of pieces of wire that carry shares of the load.

    Parameters
    ----------
    tension_share : array_like (..., n)
        Tension over load, any sign.
    length_mm : array_like (..., n)
        Wire of each piece, 0 or more [mm].

    Returns
    -------
    array (...)
        Sum of t^2 ds [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Castigliano: the load's own way, so a slanting leg counts with t = 1/(2 cos beta) over its wire. Derivation:
    docs/theory/stretch.md.

    Examples
    --------
    >>> float(axial_stretch([1.0, 0.5, 0.5], [10.0, 8.0, 8.0]))
    14.0
    """
    stretch: Array = np.sum(
        np.asarray(tension_share, dtype=float) ** 2 * check_nonnegative(length_mm, "length_mm"), axis=-1
    )
    return stretch


def bending_stretch(offset_mm: ArrayLike, length_mm: ArrayLike, d_mm: float, tension_share: ArrayLike = 1.0) -> Array:
    """Return the stretch, over F/(E A), by elastic bending of wire beside its line of pull.

    Parameters
    ----------
    offset_mm : array_like (..., n)
        Distance y of the wire from the line of pull [mm].
    length_mm : array_like (..., n)
        Wire of each piece, 0 or more [mm].
    d_mm : float
        Wire diameter, above 0 [mm].
    tension_share : array_like
        Share t of the load that pulls there, one for all or (..., n).

    Returns
    -------
    array (...)
        16/d^2 sum of (t y)^2 ds [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    E I = E A d^2/16. Derivation: docs/theory/stretch.md.

    Examples
    --------
    >>> float(bending_stretch([0.5], [1.0], 1.0))
    4.0
    """
    if not d_mm > 0.0:
        raise ValueError(f"d_mm must be above zero; got {d_mm!r}")
    arm = np.asarray(offset_mm, dtype=float) * np.asarray(tension_share, dtype=float)
    stretch: Array = 16.0 / d_mm**2 * np.sum(arm**2 * check_nonnegative(length_mm, "length_mm"), axis=-1)
    return stretch


def twist_strain(wire_strain: ArrayLike, lay_rad: ArrayLike, radius_change: ArrayLike = 0.0) -> Array:
    """Return the axial strain of an even twist whose wire is strained and whose radius changes.

    Parameters
    ----------
    wire_strain : array_like
        Strain e of the wire.
    lay_rad : array_like
        Lay angle beta, 0 to below pi/2 [rad].
    radius_change : array_like
        da/a, negative where the legs close up.

    Returns
    -------
    array
        (e - sin^2(beta) da/a)/cos^2(beta), first order.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The ends are held from turning. Derivation: docs/theory/stretch.md.

    Examples
    --------
    >>> float(twist_strain(0.001, np.radians(45.0)).round(6)), float(twist_strain(0.0, np.radians(45.0), -0.01).round(6))
    (0.002, 0.01)
    """
    beta = check_acute(lay_rad, "lay_rad")
    closing = np.sin(beta) ** 2 * np.asarray(radius_change, dtype=float)
    strain: Array = (np.asarray(wire_strain, dtype=float) - closing) / np.cos(beta) ** 2
    return strain


def pair_compliance(lay_rad: ArrayLike) -> Array:
    """Return the stretch of an even twist per length, over that of the straight wire under the same load.

    Parameters
    ----------
    lay_rad : array_like
        Lay angle beta, 0 to below pi/2 [rad].

    Returns
    -------
    array
        1/(2 cos^3 beta).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Both legs share the load, the radius is kept. Derivation: docs/theory/stretch.md.

    Examples
    --------
    >>> float(pair_compliance(0.0)), float(pair_compliance(np.radians(60.0)).round(6))
    (0.5, 4.0)
    """
    return 0.5 / np.cos(check_acute(lay_rad, "lay_rad")) ** 3
