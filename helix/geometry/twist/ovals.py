"""Coils wound on two straight wires that lie side by side: an oval of two half circles and two flats.

Lengths are in wire diameters (D = 1). `spacing` is the distance of the two core wires' centre lines, 1 where they touch
and 0 where they are one wire. The centre line of a wire wound tightly round them runs, seen along the core, round a
stadium: half circles of radius 1 about each core wire and flats of length `spacing` between. Derivations:
docs/theory/doubled.md.
"""

from __future__ import annotations

import math

from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.touching import LAST_TURN_ANGLE, LAST_TURN_RATIO, TAU, check_count, check_lay, touch


def oval_length(spacing: float = 1.0) -> float:
    """Return the length round the oval, seen along the core.

    Parameters
    ----------
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].

    Returns
    -------
    float
        2 pi + 2 spacing [d].

    Raises
    ------
    ValueError
        Outside this range.

    Examples
    --------
    >>> round(oval_length(1.0), 6)
    8.283185
    """
    if not (spacing >= 0.0 and math.isfinite(spacing)):
        raise ValueError(f"spacing must be 0 or more and finite; got {spacing!r}")
    return TAU + 2.0 * spacing


def oval_touching_pitch(spacing: float = 1.0, starts: int = 2) -> float:
    """Return the pitch at which neighbouring turns of a coil on two wires touch: on the half circles.

    Parameters
    ----------
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        What one wire climbs in one turn round both [d].

    Raises
    ------
    ValueError
        Outside these ranges; from three starts up where they would fill the ring (spacing 0).

    Notes
    -----
    On the half circles the coil is a helix of radius 1 that climbs h = P/L a radian (L the oval's length); a neighbour
    lies P/starts higher, which is L/starts along the helix. So touching is the equation of neighbours that stand
    psi = L/starts apart: 1 = 4 sin^2(e/2) + (psi - e) sin(e), h^2 = sin(e)/(psi - e). On the flats, where both are
    straight, they stand a little apart: `oval_flat_gap`.

    Examples
    --------
    >>> round(oval_touching_pitch(1.0), 6), round(oval_touching_pitch(0.0), 6), round(oval_touching_pitch(0.0, 1), 6)
    (2.061295, 2.11077, 1.012939)
    """
    length, k = oval_length(spacing), check_count(starts, "starts")
    psi = length / k
    top = min(psi, LAST_TURN_ANGLE)
    if touch(top, psi) < 1.0:
        raise ValueError(f"{k} starts do not fit side by side round wires {spacing!r} D apart")
    e = bracketed_root(lambda e: touch(e, psi) - 1.0, 0.0, top)
    return length * math.sqrt(math.sin(e) / (psi - e))


def oval_lay(pitch: float, spacing: float = 1.0) -> float:
    """Return the angle of a coil on two wires from their direction.

    Parameters
    ----------
    pitch : float
        What it climbs in one turn, above 0 [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].

    Returns
    -------
    float
        atan(L/P) [rad], the same on half circles and flats.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(math.degrees(oval_lay(oval_touching_pitch())), 4)
    76.0256
    """
    return math.atan2(oval_length(spacing), check_lay(pitch, "pitch"))


def oval_turn_length(pitch: float, spacing: float = 1.0) -> float:
    """Return the length of wire in one turn of a coil on two wires.

    Parameters
    ----------
    pitch : float
        What it climbs in one turn, above 0 [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].

    Returns
    -------
    float
        sqrt(L^2 + P^2) [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(oval_turn_length(oval_touching_pitch()), 6)
    8.535812
    """
    return math.hypot(oval_length(spacing), check_lay(pitch, "pitch"))


def oval_gap(pitch: float, spacing: float = 1.0, starts: int = 2) -> float:
    """Return the least gap between neighbouring turns of a coil on two wires.

    Parameters
    ----------
    pitch : float
        What one wire climbs in one turn, above 0 [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Distance less 1 [d], on the half circles; negative is overlap, infinite where it is wound so open that no place of
        the neighbour is a nearest one.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    A neighbour's nearest place must lie on the same half circle, less than pi away, for the formula; where the coil is
    so open that it does not, the gap on the flats is given, which is the larger.

    Examples
    --------
    >>> abs(oval_gap(oval_touching_pitch())) < 1e-12, round(oval_gap(2.0), 6)
    (True, -0.028052)
    """
    length, k = oval_length(spacing), check_count(starts, "starts")
    h, psi = check_lay(pitch, "pitch") / length, length / k
    if spacing == 0.0 and k == 1 and h * h >= LAST_TURN_RATIO:
        return math.inf
    top = min(psi, LAST_TURN_ANGLE)
    if math.sin(top) - h * h * (psi - top) <= 0.0:
        return oval_flat_gap(pitch, spacing, starts)
    e = bracketed_root(lambda e: math.sin(e) - h * h * (psi - e), 0.0, top)
    return math.hypot(2.0 * math.sin(0.5 * e), h * (psi - e)) - 1.0


def oval_flat_gap(pitch: float, spacing: float = 1.0, starts: int = 2) -> float:
    """Return the gap between neighbouring turns along the flats of a coil on two wires.

    Parameters
    ----------
    pitch : float
        What one wire climbs in one turn, above 0 [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Distance of two parallel straight pieces less 1 [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(oval_flat_gap(oval_touching_pitch()), 6)
    0.000144
    """
    climb = check_lay(pitch, "pitch") / check_count(starts, "starts")
    return climb * math.sin(oval_lay(pitch, spacing)) - 1.0


def oval_core_contact_length(pitch: float, spacing: float = 1.0) -> float:
    """Return the length of the lines of contact between a coil on two wires and its core, per turn.

    Parameters
    ----------
    pitch : float
        What it climbs in one turn, above 0 [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].

    Returns
    -------
    float
        Two half turns of a helix of radius 1/2, one on each core wire [d]; on the flats it touches neither.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(oval_core_contact_length(oval_touching_pitch()), 6)
    3.50919
    """
    climb = check_lay(pitch, "pitch") * math.pi / oval_length(spacing)  # of one half circle
    return 2.0 * math.hypot(math.pi / 2.0, climb)


def oval_turn_contact_length(pitch: float, spacing: float = 1.0, starts: int = 2) -> float:
    """Return the length of the line of contact between neighbouring touching turns of a coil on two wires, per turn.

    Parameters
    ----------
    pitch : float
        Touching pitch [d].
    spacing : float
        Distance of the two core wires' centre lines, 0 or more [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        The part on the two half circles [d]; along the flats neighbours stand a little apart.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    The places that touch are an angle e apart round the half circle, both on it over pi - e of it.

    Examples
    --------
    >>> round(oval_turn_contact_length(oval_touching_pitch()), 6)
    5.930643
    """
    length, k = oval_length(spacing), check_count(starts, "starts")
    h, psi = check_lay(pitch, "pitch") / length, length / k
    e = bracketed_root(lambda e: math.sin(e) - h * h * (psi - e), 0.0, min(psi, LAST_TURN_ANGLE))
    return 2.0 * (math.pi - e) * math.hypot(math.cos(0.5 * e), h)
