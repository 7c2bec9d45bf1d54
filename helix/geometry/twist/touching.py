"""The one equation of touching helices, and the checks of its inputs.

Lengths are in wire diameters (D = 1). `a` is a centre-line radius, `lay` (a twist) and `pitch` (a coil)
the axial length of one full turn of 360 deg, h = lay/(2 pi).

Two neighbours among N equal helices that stand psi = 2 pi/N apart (N = 1: a coil and its own next turn)
have the squared distance

    d^2(e) = 4 a^2 sin^2(e/2) + h^2 (psi - e)^2,      e: angle round the axis between the two points,

which is least where a^2 sin e = h^2 (psi - e). With u = psi - e, touching (d = 1) is therefore

    (h/a)^2 = sin(e)/u,      1/a^2 = 4 sin^2(e/2) + u sin(e) = f(e).

Farther neighbours are never nearer than the nearest one; docs/theory/strands.md has the proof.
"""

from __future__ import annotations

import math

from helix.geometry.maths.roots import bracketed_root

TAU = 2.0 * math.pi

# One start: where the least distance to the next turn ceases to exist, sin e + (2 pi - e) cos e = 0.
LAST_TURN_ANGLE = TAU - 4.493409457909064
LAST_TURN_RATIO = math.sin(LAST_TURN_ANGLE) / 4.493409457909064


def touch(e: float, psi: float) -> float:
    """Return f(e) = 1/a^2 of touching neighbours.

    Parameters
    ----------
    e : float
        Angle round the axis between the nearest points [rad].
    psi : float
        How far apart the neighbours stand round the axis [rad].

    Returns
    -------
    float
        4 sin^2(e/2) + (psi - e) sin(e) [1/d^2].
    """
    return 4.0 * math.sin(0.5 * e) ** 2 + (psi - e) * math.sin(e)


def least_strand_radius(strands: int) -> float:
    """Return the radius of straight touching strands round one axis.

    Parameters
    ----------
    strands : int
        Number N of strands, 1 or more.

    Returns
    -------
    float
        1/(2 sin(pi/N)), 0 for one [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> least_strand_radius(2)
    0.5
    """
    return 0.5 / math.sin(math.pi / check_count(strands, "strands")) if strands > 1 else 0.0


def off_opposite(a: float, h: float) -> float:
    """Return how far the nearest points of two helices stand off from opposite.

    Parameters
    ----------
    a : float
        Geometric mean of their radii, above 0 [d].
    h : float
        Lay over 2 pi, above 0 [d].

    Returns
    -------
    float
        T of sin(T)/T = (h/a)^2, 0 where that is 1 or more [rad].
    """
    ratio = (h / a) * (h / a) if h < a else 1.0
    if ratio >= 1.0 or ratio < 1e-15:
        return 0.0 if ratio >= 1.0 else math.pi  # the first term below pi, pi ratio, is less than a last bit
    return bracketed_root(lambda t: sinc(t) - ratio, 0.0, math.pi)


def sinc(x: float) -> float:
    """Return sin(x)/x, 1 at 0."""
    return math.sin(x) / x if x != 0.0 else 1.0


def sin_less_xcos(x: float) -> float:
    """Return sin x - x cos x without losing digits at small x."""
    if abs(x) > 0.5:
        return math.sin(x) - x * math.cos(x)
    term, total = x**3 / 6.0, x**3 / 3.0
    for k in range(2, 9):
        term *= -x * x / ((2 * k) * (2 * k + 1))
        total += 2 * k * term
    return total


def check_radius(a: float, name: str = "a") -> float:
    """Return a radius [d] that is 0 or more and finite; anything else raises ValueError."""
    if not (a >= 0.0 and math.isfinite(a)):
        raise ValueError(f"{name} must be zero or more and finite; got {a!r}")
    return a


def check_lay(lay: float, name: str = "lay") -> float:
    """Return a lay [d] that is above 0 and finite; anything else raises ValueError."""
    if not (lay > 0.0 and math.isfinite(lay)):
        raise ValueError(f"{name} must be positive and finite; got {lay!r}")
    return lay


def check_count(n: int, name: str) -> int:
    """Return a whole number of 1 or more; anything else raises ValueError."""
    if isinstance(n, bool) or n != int(n) or n < 1:
        raise ValueError(f"{name} must be a whole number of 1 or more; got {n!r}")
    return int(n)
