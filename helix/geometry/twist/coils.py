"""Coils wound on a core: touching pitch, gap between turns, lines of contact.

Lengths are in wire diameters (D = 1). `a` is the radius of the wire's centre line, `pitch` what one wire
climbs in a turn of 360 deg. Derivations: docs/theory/coils.md.
"""

from __future__ import annotations

import math

from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.touching import (
    LAST_TURN_ANGLE,
    LAST_TURN_RATIO,
    TAU,
    check_count,
    check_lay,
    check_radius,
    least_strand_radius,
    sin_less_xcos,
    sinc,
    touch,
)


def touching_pitch(core_radius_sum: float = 1.0, starts: int = 1) -> float:
    """Return the pitch at which the neighbouring turns of a coil of unit wire touch.

    Parameters
    ----------
    core_radius_sum : float
        Radius of the coil's centre line: the core's and the wire's [d]. 1 is a core of the same wire.
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Pitch of one wire [d]; with k starts each turn climbs about k.

    Raises
    ------
    ValueError
        For fewer than 1 start; for a radius below 0.431093 (one start: the wire would bend below a radius of 1/2),
        below 1/2 (two), or at 1/(2 sin(pi/k)) and below (k > 2: the starts fill the ring).

    Notes
    -----
    It is not the wire diameter: 1.012939 on a core of the same wire. Sources: S. Przybyl & P. Pieranski, Eur. Phys.
    J. E 4 (2001) 445 (one start); docs/theory/coils.md.

    Examples
    --------
    >>> round(touching_pitch(), 6), round(touching_pitch(2.0), 6), round(touching_pitch(1.0, starts=2), 6)
    (1.012939, 1.003182, 2.11077)
    """
    k = check_count(starts, "starts")
    a = check_radius(core_radius_sum, "core_radius_sum")
    psi = TAU / k
    least = _tightest()[0] if k == 1 else least_strand_radius(k)
    if a < least * (1.0 - 1e-15) or (k > 2 and a <= least):
        word = "above" if k > 2 else "at least"
        raise ValueError(f"core_radius_sum must be {word} {least:.9g} D for {k} start(s); got {core_radius_sum!r}")
    if a > 1e8 * k:
        return float(k)  # the excess over k is below the last bit
    if k == 2 and a < 0.75:
        # 4 - f(e) = 4 sin x (sin x - x cos x), x = u/2: exact digits next to a = 1/2, where P = pi
        target = (2.0 * a - 1.0) * (2.0 * a + 1.0) / a / a
        if target <= 0.0:
            return math.pi
        x = bracketed_root(lambda x: 4.0 * math.sin(x) * sin_less_xcos(x) - target, 0.0, 0.5 * math.pi)
        return TAU * a * math.sqrt(sinc(2.0 * x))
    top = LAST_TURN_ANGLE if k == 1 else psi
    e = bracketed_root(lambda e: touch(e, psi) - 1.0 / a / a, 0.0, top)
    return TAU * a * math.sqrt(math.sin(e) / (psi - e))


def coil_contact_angle(a: float, pitch: float, starts: int = 1) -> float:
    """Return the angle round the axis from a point of a coil to the nearest point of its neighbour.

    Parameters
    ----------
    a : float
        Radius of the centre line, above 0 [d].
    pitch : float
        Axial length of one turn of one wire, above 0 [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Angle e of a^2 sin e = h^2 (2 pi/starts - e) [rad].

    Raises
    ------
    ValueError
        Outside these ranges, and for one start when the pitch is above 2.928 a: so open a coil has no nearest point
        on its next turn.

    Examples
    --------
    >>> round(math.degrees(coil_contact_angle(1.0, touching_pitch())), 6)
    9.157348
    """
    e = _contact_angle(a, pitch, starts)
    if e is None:
        raise ValueError(
            f"pitch must be below {TAU * math.sqrt(LAST_TURN_RATIO) * a:.6g} D at a radius of {a:.6g} D "
            f"for the next turn to have a nearest point; got {pitch!r}"
        )
    return e


def coil_gap(a: float, pitch: float, starts: int = 1) -> float:
    """Return the least gap between a coil and its neighbouring turn; the core is not looked at.

    Parameters
    ----------
    a : float
        Radius of the centre line, 0 or more [d].
    pitch : float
        Axial length of one turn of one wire, above 0 [d].
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Distance less 1 [d]: negative is overlap; infinite where one wire is wound so open (pitch above 2.928 a)
        that no point of the next turn is a nearest one.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(coil_gap(1.0, 1.0), 6), abs(coil_gap(1.0, touching_pitch())) < 1e-14
    (-0.012454, True)
    """
    e = _contact_angle(a, pitch, starts)
    if e is None:
        return math.inf
    return math.hypot(2.0 * a * math.sin(0.5 * e), pitch / TAU * (TAU / starts - e)) - 1.0


def coil_core_contact_length(a: float, pitch: float) -> float:
    """Return the length of the line of contact between a coil and its core, per turn.

    Parameters
    ----------
    a : float
        Radius of the centre line: the core's radius and 1/2, so 1/2 or more [d].
    pitch : float
        Axial length of one turn of one wire, above 0 [d].

    Returns
    -------
    float
        Length [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(coil_core_contact_length(1.0, touching_pitch()), 6)
    3.300856
    """
    if not check_radius(a) >= 0.5:
        raise ValueError(f"a must be 1/2 D or more for a coil round a core; got {a!r}")
    return math.hypot(TAU * (a - 0.5), check_lay(pitch, "pitch"))


def coil_turn_contact_length(a: float, pitch: float, starts: int = 1) -> float:
    """Return the length of the line of contact between neighbouring touching turns, per turn.

    Parameters
    ----------
    a : float
        Radius of the centre line, above 0 [d].
    pitch : float
        Touching pitch [d]; elsewhere the line midway between the nearest points is meant.
    starts : int
        Wires wound side by side, 1 or more.

    Returns
    -------
    float
        Length [d].

    Raises
    ------
    ValueError
        As `coil_contact_angle`.

    Examples
    --------
    >>> round(coil_turn_contact_length(1.0, touching_pitch()), 6)
    6.344516
    """
    e = coil_contact_angle(a, pitch, starts)
    return math.hypot(TAU * a * math.cos(0.5 * e), pitch)


def tightest_coil() -> tuple[float, float]:
    """Return the coil of one wire that touches its next turn and bends at radius 1/2: none can be coiled closer.

    Returns
    -------
    tuple of float
        Radius and pitch [d].

    Notes
    -----
    Source: A. Maritan, C. Micheletti, A. Trovato & J. R. Banavar, Nature 406 (2000) 287: pitch/radius = 2.512 (from
    memory).

    Examples
    --------
    >>> a, pitch = tightest_coil()
    >>> round(a, 6), round(pitch / a, 6)
    (0.431093, 2.512047)
    """
    a, e = _tightest()
    return a, TAU * a * math.sqrt(math.sin(e) / (TAU - e))


def _tightest() -> tuple[float, float]:
    """Return (a, e) of the tightest coil."""
    psi = TAU

    def miss(e: float) -> float:
        return 1.0 + math.sin(e) / (psi - e) - 0.5 * math.sqrt(touch(e, psi))

    e = bracketed_root(miss, 0.1, LAST_TURN_ANGLE)
    return 1.0 / math.sqrt(touch(e, psi)), e


def _contact_angle(a: float, pitch: float, starts: int) -> float | None:
    k = check_count(starts, "starts")
    h = check_lay(pitch, "pitch") / TAU
    if check_radius(a) == 0.0:
        return None if k == 1 else TAU / k
    psi = TAU / k
    ratio = (h / a) * (h / a)
    if k == 1 and ratio >= LAST_TURN_RATIO:
        return None
    if (k == 2 and h >= a) or not math.isfinite(ratio):
        return psi
    top = LAST_TURN_ANGLE if k == 1 else psi
    return bracketed_root(lambda e: math.sin(e) - ratio * (psi - e), 0.0, top)
