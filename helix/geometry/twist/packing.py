"""Two special lays of N touching strands: the most turns in a length of strand, and the closest packing.

Lengths are in wire diameters (D = 1). Derivations: docs/theory/strands.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.touching import TAU, check_count, least_strand_radius, touch


@dataclass(frozen=True)
class StrandPoint:
    """One shape of N equal touching helices.

    strands: N; pitch_angle: angle from the plane across the axis, rad; radius: of the centre lines, D;
    lay: axial length of one turn, D (infinite: straight strands); shortening: length of the rope over
    length of a strand; filling: the strands' share of the cylinder that just holds them.
    """

    strands: int
    pitch_angle: float
    radius: float
    lay: float
    shortening: float
    filling: float


def zero_twist(strands: int) -> StrandPoint:
    """Return the shape in which a given length of strand carries the most turns.

    Parameters
    ----------
    strands : int
        How many, 2 or more.

    Returns
    -------
    StrandPoint
        That shape.

    Raises
    ------
    ValueError
        For fewer than two: one strand's turns are limited by the bend radius of 1/2 only, see `tightest_coil`.

    Notes
    -----
    Solves u = 2 sin(e/2), u = 2 pi/N - e. Source: J. Olsen & J. Bohr, arXiv 1003.5358 (two strands, 39.4 deg).

    Examples
    --------
    >>> point = zero_twist(2)
    >>> round(math.degrees(point.pitch_angle), 4), round(point.radius, 6), round(point.lay, 6)
    (39.3771, 0.522936, 2.696702)
    """
    n = check_count(strands, "strands")
    if n < 2:
        raise ValueError(f"strands must be 2 or more; got {strands!r}")
    psi = TAU / n
    return _point(n, bracketed_root(lambda e: 2.0 * math.sin(0.5 * e) - (psi - e), 0.0, psi))


def close_packed(strands: int) -> StrandPoint:
    """Return the shape in which touching strands fill most of the cylinder that just holds them.

    Parameters
    ----------
    strands : int
        How many, 1 (a coil and its own turns) or more; from six up the closest packing is straight (pitch angle 90
        deg, lay infinite).

    Returns
    -------
    StrandPoint
        That shape.

    Raises
    ------
    ValueError
        For no whole number of 1 or more.

    Notes
    -----
    Solves f (1 + sqrt(f)/2) = 2 sin(e) (u + sin(e)). Source: J. Olsen & J. Bohr, Theor. Chem. Acc. 125 (2010) 207
    (two strands, 32.5 deg and 0.769; one, 18.1 deg; both from memory).

    Examples
    --------
    >>> point = close_packed(2)
    >>> round(math.degrees(point.pitch_angle), 4), round(point.filling, 6)
    (32.4487, 0.769412)
    """
    n = check_count(strands, "strands")
    if n >= 6:
        a = least_strand_radius(n)
        return StrandPoint(n, 0.5 * math.pi, a, math.inf, 1.0, 0.25 * n / (a + 0.5) ** 2)
    psi = TAU / n

    def rise(e: float) -> float:
        f = touch(e, psi)
        return 2.0 * math.sin(e) * (psi - e + math.sin(e)) - f * (1.0 + 0.5 * math.sqrt(f))

    return _point(n, bracketed_root(rise, 0.05 * psi, psi if n > 1 else 0.5 * math.pi))


def _point(n: int, e: float) -> StrandPoint:
    psi = TAU / n
    u = psi - e
    a = 1.0 / math.sqrt(touch(e, psi))
    h = a * math.sqrt(math.sin(e) / u)
    c = math.hypot(a, h)
    filling = 0.25 * n * c / ((a + 0.5) ** 2 * h)
    return StrandPoint(n, math.atan2(h, a), a, TAU * h, h / c, filling)
