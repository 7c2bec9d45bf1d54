"""Strands twisted together: exact radii, gaps and lines of contact.

Lengths are in wire diameters (D = 1). `a` is a centre-line radius, `lay` the axial length of one full
turn of 360 deg. Derivations: docs/theory/strands.md. The functions of one helix and of coils can be had
from here too.
"""

from __future__ import annotations

import math

from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.coils import (
    coil_contact_angle,
    coil_core_contact_length,
    coil_gap,
    coil_turn_contact_length,
    tightest_coil,
    touching_pitch,
)
from helix.geometry.twist.helices import helix_curvature, helix_length, helix_torsion, lay_angle, lead_angle
from helix.geometry.twist.touching import (
    TAU,
    check_count,
    check_lay,
    check_radius,
    least_strand_radius,
    off_opposite,
    sinc,
    touch,
)

__all__ = [
    "coil_contact_angle",
    "coil_core_contact_length",
    "coil_gap",
    "coil_turn_contact_length",
    "even_radius",
    "helix_curvature",
    "helix_length",
    "helix_torsion",
    "lay_angle",
    "lead_angle",
    "least_strand_radius",
    "leg_contact",
    "leg_contact_length",
    "pair_contact_angle",
    "pair_gap",
    "strand_contact",
    "strand_contact_angle",
    "tightest_coil",
    "touching_pitch",
    "uneven_radii",
]


def even_radius(lay: float, strands: int = 2) -> float:
    """Return the radius of the centre lines of N touching equal helices round one axis.

    Parameters
    ----------
    lay : float
        Axial length of one turn, above N: there the radius grows without end [d].
    strands : int
        Number N of strands, 2 or more.

    Returns
    -------
    float
        Radius [d]: exactly 1/2 for two strands from a lay of pi up; below it the contact leaves the axis.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: J. Olsen & J. Bohr, Theor. Chem. Acc. 125 (2010) 207, doi 10.1007/s00214-009-0639-4; solved for N
    strands in docs/theory/strands.md.

    Examples
    --------
    >>> even_radius(4.0), round(even_radius(2.6), 6), round(even_radius(8.0, strands=3), 6)
    (0.5, 0.538478, 0.595655)
    """
    return 1.0 / math.sqrt(touch(strand_contact_angle(lay, strands), TAU / strands))


def strand_contact_angle(lay: float, strands: int = 2) -> float:
    """Return the angle round the axis between the nearest points of two touching neighbours.

    Parameters
    ----------
    lay : float
        Axial length of one turn, above N: there the radius grows without end [d].
    strands : int
        Number N of strands, 2 or more.

    Returns
    -------
    float
        Angle e [rad]: pi (opposite) for two strands at a lay of pi and above.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> strand_contact_angle(4.0) == math.pi, round(strand_contact_angle(2.6), 6)
    (True, 1.458835)
    """
    n = check_count(strands, "strands")
    if n < 2:
        raise ValueError(f"strands must be 2 or more; got {strands!r}")
    if not check_lay(lay) > n:
        raise ValueError(f"lay must be above {n} D for {n} touching strands; got {lay!r}")
    psi = TAU / n
    if n == 2 and lay >= math.pi:
        return psi
    # 1/h^2 = u (2 tan(e/2) + u); psi^2 is taken off both sides so that a lay just above N keeps its digits.
    target = psi * psi * ((lay - n) / lay) * ((lay + n) / lay)

    def miss(e: float) -> float:
        u = psi - e
        if u <= 0.0:
            return psi * psi - (4.0 if n == 2 else 0.0) - target
        return e * psi - u * (2.0 * math.tan(0.5 * e) - e) - target

    return bracketed_root(miss, 0.0, psi) if miss(psi) > 0.0 else psi


def strand_contact(lay: float, strands: int = 2) -> tuple[int, float]:
    """Return how many lines of contact N touching equal strands have, and where.

    Parameters
    ----------
    lay : float
        Axial length of one turn, above N: there the radius grows without end [d].
    strands : int
        Number N of strands, 2 or more.

    Returns
    -------
    tuple of int and float
        Number of lines and their radius from the axis [d]: two strands touch along one line on the axis from a lay
        of pi up and along two off it below, more strands along N.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> strand_contact(4.0), strand_contact(2.6)  # doctest: +ELLIPSIS
    ((1, 0.0), (2, 0.401469...))
    """
    e = strand_contact_angle(lay, strands)
    if e == math.pi:
        return 1, 0.0
    return check_count(strands, "strands"), even_radius(lay, strands) * math.cos(0.5 * e)


def uneven_radii(lay: float, evenness: float) -> tuple[float, float]:
    """Return the radii of the centre lines of two touching legs that twist unevenly.

    Parameters
    ----------
    lay : float
        Axial length of one turn, above 1 [d].
    evenness : float
        0 (the tag winds round a straight leg) to 1 (both alike); the radii stand as evenness : 2 - evenness.

    Returns
    -------
    tuple of float
        Radii of standing leg and tag [d]. Their sum is 1 while lay >= pi sqrt(evenness (2 - evenness)), where the
        contact faces the axis; below it both grow by one factor until the least distance is 1.

    Raises
    ------
    ValueError
        Where a leg would overlap its own next turn or bend below a radius of 1/2 (an even pair: at a lay of 2 and
        less).

    Notes
    -----
    Derivation: docs/theory/strands.md.

    Examples
    --------
    >>> uneven_radii(4.0, 0.5)
    (0.25, 0.75)
    """
    if not 0.0 <= evenness <= 1.0:
        raise ValueError(f"evenness must be from 0 to 1; got {evenness!r}")
    if evenness == 1.0:
        a = even_radius(lay)
        return a, a
    if not check_lay(lay) > 1.0:
        raise ValueError(f"lay must be above 1 D, or the tag overlaps its own next turn; got {lay!r}")
    h2 = (lay / TAU) ** 2
    p = 0.25 * evenness * (2.0 - evenness)
    scale = 1.0
    if h2 < p:
        apart = (1.0 - evenness) ** 2

        def miss(t: float) -> float:  # 1/h^2 less its target, times sin(t)/t
            near = p * (4.0 * math.cos(0.5 * t) ** 2 + t * math.sin(t))
            return h2 * (apart + near) - p * sinc(t)

        t = bracketed_root(miss, 0.0, math.pi)
        scale = 1.0 / math.sqrt(apart + p * (4.0 * math.cos(0.5 * t) ** 2 + t * math.sin(t)))
    standing, tag = 0.5 * evenness * scale, (1.0 - 0.5 * evenness) * scale
    for leg, a in (("standing leg", standing), ("tag", tag)):
        if helix_curvature(a, lay) > 2.0 or coil_gap(a, lay) < -1e-12:
            raise ValueError(f"lay must be longer: the {leg}, {a:.6g} D off the axis, overlaps itself; got {lay!r}")
    return standing, tag


def pair_contact_angle(a1: float, a2: float, lay: float) -> float:
    """Return the angle by which the nearest points of two opposite helices stand off from opposite.

    Parameters
    ----------
    a1, a2 : float
        Radii of the two centre lines, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        0 while lay >= 2 pi sqrt(a1 a2), where they are at one height; below, T of sin(T)/T = h^2/(a1 a2) [rad].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> pair_contact_angle(0.5, 0.5, 4.0), round(pair_contact_angle(0.5, 0.5, 2.6), 6)
    (0.0, 1.449225)
    """
    h = check_lay(lay) / TAU
    mean = math.sqrt(check_radius(a1, "a1")) * math.sqrt(check_radius(a2, "a2"))
    return off_opposite(mean, h)


def pair_gap(a1: float, a2: float, lay: float) -> float:
    """Return the least gap of two opposite helices of one lay.

    Parameters
    ----------
    a1, a2 : float
        Radii of the two centre lines, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        Distance less 1 [d]; negative is overlap.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(pair_gap(0.5, 0.5, 2.6), 6), round(pair_gap(0.25, 0.75, 4.0), 12)
    (-0.040694, 0.0)
    """
    t = pair_contact_angle(a1, a2, lay)
    if t == 0.0:
        return a1 + a2 - 1.0
    across = math.hypot(a1 - a2, 2.0 * math.sqrt(a1) * math.sqrt(a2) * math.cos(0.5 * t))
    return math.hypot(across, lay / TAU * t) - 1.0


def leg_contact(a1: float, a2: float, lay: float) -> tuple[int, float]:
    """Return how many lines of contact two touching opposite legs have, and where.

    Parameters
    ----------
    a1, a2 : float
        Radii of the two centre lines, 0 or more, such that the legs touch [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    tuple of int and float
        Number of lines and their radius from the axis [d]: one, |a1 - a2|/2 off the axis, while lay >= 2 pi sqrt(a1
        a2), two below. Where the legs do not touch, the line midway between the nearest points is meant.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> leg_contact(0.5, 0.5, 4.0), leg_contact(0.25, 0.75, 4.0)
    ((1, 0.0), (1, 0.25))
    """
    t = pair_contact_angle(a1, a2, lay)
    radius = math.hypot(0.5 * (a1 - a2), math.sqrt(a1) * math.sqrt(a2) * math.sin(0.5 * t))
    return (2 if t > 1e-6 else 1), radius


def leg_contact_length(a1: float, a2: float, lay: float) -> float:
    """Return the length of contact of leg on leg per turn.

    Parameters
    ----------
    a1, a2 : float
        Radii of the two centre lines, 0 or more, such that the legs touch [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        Length of all lines together [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> leg_contact_length(0.5, 0.5, 4.0), round(leg_contact_length(0.25, 0.75, 4.0), 6)
    (4.0, 4.297371)
    """
    lines, radius = leg_contact(a1, a2, lay)
    return lines * math.hypot(TAU * radius, lay)
