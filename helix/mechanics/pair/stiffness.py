"""Stiffness of one wire and of two side by side, and what it is worth against a kink. Arrays in, arrays out.

N, mm, MPa. Derivation: docs/theory/pair.md.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative, check_positive

PINNED: Final = 1.0
CLAMPED: Final = 0.5
CANTILEVER: Final = 2.0
"""Lengths between two points of a buckled column where it does not bend, over its length: both ends free to turn, both held,
one held and one free to move."""


def bending_stiffness(modulus_mpa: ArrayLike, d_mm: ArrayLike) -> Array:
    """Return the bending stiffness of one round wire.

    Parameters
    ----------
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Wire diameter, above 0 [mm].

    Returns
    -------
    array
        E I = E pi d^4/64 [N mm2].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: second moment of a circle, any text on beams.

    Examples
    --------
    >>> float(bending_stiffness(200e3, 1.0).round(1))
    9817.5
    """
    return check_positive(modulus_mpa, "modulus_mpa") * np.pi * check_positive(d_mm, "d_mm") ** 4 / 64.0


def pair_stiffness(modulus_mpa: ArrayLike, d_mm: ArrayLike) -> tuple[Array, Array]:
    """Return the least and the most bending stiffness of two wires that lie side by side.

    Parameters
    ----------
    modulus_mpa : array_like
        Young's modulus E, above 0 [MPa].
    d_mm : array_like
        Diameter of each, above 0 [mm].

    Returns
    -------
    tuple of array
        2 E I where they slide on each other, and at any rate across the plane in which they lie; 10 E I in that plane if
        they could not slide at all, an upper bound [N mm2].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Parallel axes: 2 (I + A (d/2)^2), A d^2/4 = 4 I. Source: any text on beams. Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> [float((part / bending_stiffness(200e3, 1.0)).round(6)) for part in pair_stiffness(200e3, 1.0)]
    [2.0, 10.0]
    """
    one = bending_stiffness(modulus_mpa, d_mm)
    return 2.0 * one, 10.0 * one


def column_load(stiffness_n_mm2: ArrayLike, length_mm: ArrayLike, ends: float = PINNED) -> Array:
    """Return the push along itself at which a straight length buckles.

    Parameters
    ----------
    stiffness_n_mm2 : array_like
        Bending stiffness, above 0 [N mm2].
    length_mm : array_like
        Length, above 0 [mm].
    ends : float
        PINNED, CLAMPED or CANTILEVER.

    Returns
    -------
    array
        pi^2 E I/(ends L)^2 [N].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: Euler, any text on columns. Elastic: short lengths yield first.

    Examples
    --------
    >>> float(column_load(10_000.0, 100.0).round(3)), float(column_load(10_000.0, 100.0, CLAMPED).round(3))
    (9.87, 39.478)
    """
    between = check_positive(ends, "ends") * check_positive(length_mm, "length_mm")
    return np.pi**2 * check_positive(stiffness_n_mm2, "stiffness_n_mm2") / between**2


def bow_load(stiffness_n_mm2: ArrayLike, length_mm: ArrayLike, rise_mm: ArrayLike, set_per_mm: ArrayLike) -> Array:
    """Return the push along itself at which a bowed length takes a set.

    Parameters
    ----------
    stiffness_n_mm2 : array_like
        Bending stiffness, above 0 [N mm2].
    length_mm : array_like
        Length between its ends, which are free to turn, above 0 [mm].
    rise_mm : array_like
        Height of the bow without load, 0 or more, small beside the length [mm].
    set_per_mm : array_like
        Change of curvature at which the wire takes a set, above 0 [1/mm].

    Returns
    -------
    array
        P k/(k + pi^2 rise/L^2), P the load at which it buckles straight [N]: all of P without a bow.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    A bow of half a sine grows by 1/(1 - F/P). Source: Timoshenko and Gere, Theory of Elastic Stability, the bar with an initial
    curvature [mem]. The push itself is small beside the bending and left out. Derivation: docs/theory/pair.md.

    Examples
    --------
    >>> bow_load(10_000.0, 100.0, [0.0, 5.0], 0.02).round(3).tolist()
    [9.87, 7.916]
    """
    bow = np.pi**2 * check_nonnegative(rise_mm, "rise_mm") / check_positive(length_mm, "length_mm") ** 2
    limit = check_positive(set_per_mm, "set_per_mm")
    return np.asarray(column_load(stiffness_n_mm2, length_mm) * limit / (limit + bow))
