"""What a bend leaves of a wire's strength: limited ductility in a plastic section. Arrays in, arrays out.

Not backed by tests of this joint. Derivation: docs/theory/retained-strength.md.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.checks import check_nonnegative, check_positive


def fracture_strain(reduction_of_area: ArrayLike) -> Array:
    """Return the true strain at which the wire breaks.

    Parameters
    ----------
    reduction_of_area : array_like
        Reduction of area RA, between 0 and 1, both exclusive. 0.45 to 0.60 is typical of spring-hard stainless
        wire, from memory.

    Returns
    -------
    array
        -ln(1 - RA).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/retained-strength.md.

    Examples
    --------
    >>> fracture_strain([0.45, 0.6]).round(3)
    array([0.598, 0.916])
    """
    area = check_positive(reduction_of_area, "reduction_of_area")
    if not (area < 1.0).all():
        raise ValueError(f"reduction_of_area must be below 1; got {float(area[~(area < 1.0)].flat[0])!r}")
    return -np.log1p(-area)


def retained_share(bend_strain: ArrayLike, fracture: ArrayLike) -> Array:
    """Return the share of the straight wire's strength that a bend leaves.

    Parameters
    ----------
    bend_strain : array_like
        Outer-fibre strain d/(2R) of the bend, 0 or more, may be infinite.
    fracture : array_like
        True strain at which the wire breaks, above 0; broadcasts with bend_strain.

    Returns
    -------
    array
        (2/pi)(asin x + x sqrt(1 - x^2)), 0 to 1.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    x = fracture/ln(1 + strain) - 1, held between 0 and 1: how far off the middle, in radii, the neutral axis may stand
    before the outermost fibre has had all its strain; the share is N/N_p of `section_limit` there. Derivation:
    docs/theory/retained-strength.md.

    Examples
    --------
    >>> retained_share(0.5, [0.6, 0.7, 0.8]).round(2)
    array([0.59, 0.84, 0.99])
    """
    strain, most = check_nonnegative(bend_strain, "bend_strain"), check_positive(fracture, "fracture")
    with np.errstate(divide="ignore"):
        x = np.clip(most / np.log1p(strain) - 1.0, 0.0, 1.0)
    return 2.0 / np.pi * (np.arcsin(x) + x * np.sqrt(1.0 - x * x))


def strain_of_turn(turn_rad: ArrayLike, radius_d: ArrayLike) -> Array:
    """Return the outer-fibre strain of a planar bend, averaged over half a diameter.

    Parameters
    ----------
    turn_rad : array_like
        Angle of the bend, 0 or more [rad].
    radius_d : array_like
        Radius R of the centre line, above 0, or 0 for a kink [d].

    Returns
    -------
    array
        min(1/(2R), turn).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    A bend shorter than the gauge length of d/2 averages to its turn, however sharp. Derivation:
    docs/theory/retained-strength.md.

    Examples
    --------
    >>> strain_of_turn(np.radians([10.0, 90.0]), 0.8).round(3)
    array([0.175, 0.625])
    """
    turn, radius = check_nonnegative(turn_rad, "turn_rad"), check_nonnegative(radius_d, "radius_d")
    with np.errstate(divide="ignore"):
        return np.minimum(0.5 / radius, 0.5 * turn / limits.GAUGE_D)


def section_limit(angle_rad: ArrayLike) -> tuple[Array, Array]:
    """Return the tension and moment that a plastic round section carries together.

    Parameters
    ----------
    angle_rad : array_like
        th, from 0 (bending only) to pi/2 (tension only) [rad].

    Returns
    -------
    tuple of array
        N/N_p = (2/pi)(th + sin th cos th) and M/M_p = cos^3 th.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The neutral axis stands sin(th) radii off the middle. Derivation: docs/theory/retained-strength.md.

    Examples
    --------
    >>> [float(v.round(4)) for v in section_limit(np.pi / 6.0)]
    [0.609, 0.6495]
    """
    th = check_nonnegative(angle_rad, "angle_rad")
    if not (th <= 0.5 * np.pi).all():
        raise ValueError(f"angle_rad must be at most pi/2; got {float(th.max())!r}")
    return 2.0 / np.pi * (th + np.sin(th) * np.cos(th)), np.cos(th) ** 3
