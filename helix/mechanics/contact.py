"""Wire pressed along wire: the flat that plastic contact leaves. Arrays in, arrays out.

N, mm, MPa. Derivations: docs/theory/contact-force.md.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative, check_positive

PLASTIC_PRESSURE = 3.0  # mean pressure over flow stress of a fully plastic contact [mem]


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
