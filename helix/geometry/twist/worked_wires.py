"""Twist and barrel of one wire, or of two worked as one: the closed forms by the number of wires.

Lengths are in wire diameters (D = 1). A joint of n wires has 2 n strands in its twist and n starts in its barrel, wound on one
straight wire or on two side by side.
"""

from __future__ import annotations

import math

from helix.geometry.twist.coils import coil_gap, touching_pitch
from helix.geometry.twist.ovals import oval_gap, oval_length, oval_touching_pitch
from helix.geometry.twist.strands import even_radius
from helix.geometry.twist.touching import TAU


def strand_radius(lay: float, wires: int) -> float:
    """Return the radius of the strands of an even twist that touch.

    Parameters
    ----------
    lay : float
        Length of one turn, above 2 n [d].
    wires : int
        Wires worked as one, n = 1 or 2.

    Returns
    -------
    float
        Centre-line radius [d].

    Raises
    ------
    ValueError
        For a lay that no even twist has.

    Examples
    --------
    >>> strand_radius(4.0, 1), round(strand_radius(6.7, 2), 6)
    (0.5, 0.829617)
    """
    return even_radius(lay, 2 * wires)


def strand_lay_angle(lay: float, wires: int) -> float:
    """Return the angle of the strands of an even twist from its axis.

    Parameters
    ----------
    lay : float
        Length of one turn, above 2 n [d].
    wires : int
        Wires worked as one, n = 1 or 2.

    Returns
    -------
    float
        atan(2 pi a/H) [rad].

    Raises
    ------
    ValueError
        For a lay that no even twist has.

    Examples
    --------
    >>> round(math.degrees(strand_lay_angle(6.7, 2)), 1)
    37.9
    """
    return math.atan2(TAU * strand_radius(lay, wires), lay)


def core_round(wires: int) -> float:
    """Return the length of a barrel's centre line once round its core, seen along it.

    Parameters
    ----------
    wires : int
        Wires worked as one, 1 or 2.

    Returns
    -------
    float
        2 pi, of two wires 2 pi + 2 [d].

    Examples
    --------
    >>> round(core_round(1), 6), round(core_round(2), 6)
    (6.283185, 8.283185)
    """
    return TAU if wires == 1 else oval_length()


def barrel_touching_pitch(wires: int) -> float:
    """Return the pitch of a barrel whose wraps touch.

    Parameters
    ----------
    wires : int
        Wires worked as one, 1 or 2.

    Returns
    -------
    float
        What one wire climbs in one wrap [d].

    Examples
    --------
    >>> round(barrel_touching_pitch(1), 6), round(barrel_touching_pitch(2), 6)
    (1.012939, 2.061295)
    """
    return touching_pitch() if wires == 1 else oval_touching_pitch()


def barrel_gap(radius: float, pitch: float, wires: int) -> float:
    """Return the least gap between neighbouring wraps of a barrel.

    Parameters
    ----------
    radius : float
        Of the wraps' centre line, 1 where they lie on the core, above 0 [d]. Of two wires it is left out: as far as a barrel
        springs open, 0.03, it changes the gap by 0.002.
    pitch : float
        What one wire climbs in one wrap, above 0 [d].
    wires : int
        Wires worked as one, 1 or 2.

    Returns
    -------
    float
        Distance less 1 [d]; negative is overlap, infinite where it is wound too open to have a nearest place.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> abs(barrel_gap(1.0, barrel_touching_pitch(2), 2)) < 1e-12, round(barrel_gap(1.0, 1.1, 1), 6)
    (True, 0.083473)
    """
    return coil_gap(radius, pitch) if wires == 1 else oval_gap(pitch)
