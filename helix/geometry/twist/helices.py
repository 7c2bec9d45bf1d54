"""One helix: curvature, torsion, length and angles. Lengths in wire diameters (D = 1)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from helix.geometry.twist.touching import TAU, check_lay, check_radius


def helix_curvature(a: float, lay: float) -> float:
    """Return the curvature of a helix.

    Parameters
    ----------
    a : float
        Radius of the centre line, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        Curvature a/(a^2 + h^2), h = lay/(2 pi) [1/d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(helix_curvature(0.5, 4.0), 6)
    0.763027
    """
    h = check_lay(lay) / TAU
    c = math.hypot(check_radius(a), h)
    return a / c / c


def helix_torsion(a: float, lay: float) -> float:
    """Return the torsion of a right-handed helix; a left-handed one has the negative.

    Parameters
    ----------
    a : float
        Radius of the centre line, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        Torsion h/(a^2 + h^2), h = lay/(2 pi) [1/d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(helix_torsion(0.5, math.pi), 12)
    1.0
    """
    h = check_lay(lay) / TAU
    c = math.hypot(check_radius(a), h)
    return h / c / c


def helix_length(a: float, lay: float, turns: float = 1.0) -> float:
    """Return the length of wire in some turns of a helix.

    Parameters
    ----------
    a : float
        Radius of the centre line, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].
    turns : float
        Turns of 360 deg, 0 or more.

    Returns
    -------
    float
        Length of wire [d].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(helix_length(0.5, 4.0, 5), 6)
    25.431086
    """
    if not (turns >= 0.0 and math.isfinite(turns)):
        raise ValueError(f"turns must be zero or more; got {turns!r}")
    return turns * math.hypot(TAU * check_radius(a), check_lay(lay))


def lay_angle(a: float, lay: float) -> float:
    """Return the angle between a helix and its axis.

    Parameters
    ----------
    a : float
        Radius of the centre line, 0 or more [d].
    lay : float
        Axial length of one turn, above 0 [d].

    Returns
    -------
    float
        Angle from 0 (straight) to pi/2 (a ring) [rad].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(math.degrees(lay_angle(0.5, 4.0)), 5)
    38.14603
    """
    return math.atan2(TAU * check_radius(a), check_lay(lay))


def lay_angles(a: ArrayLike, lay: ArrayLike) -> NDArray[np.float64]:
    """Return `lay_angle` of many helices at once; nothing is checked.

    Parameters
    ----------
    a, lay : array_like
        Radii of the centre lines, 0 or more, and lays, above 0; arrays that broadcast [d].

    Returns
    -------
    array
        Angles [rad].

    Examples
    --------
    >>> lay_angles(0.5, [4.0, math.pi]).round(4).tolist()
    [0.6658, 0.7854]
    """
    angles: NDArray[np.float64] = np.arctan2(TAU * np.asarray(a, dtype=float), np.asarray(lay, dtype=float))
    return angles


def lead_angle(a: float, pitch: float) -> float:
    """Return the angle between a coil and the plane across its axis.

    Parameters
    ----------
    a : float
        Radius of the centre line, above 0 [d].
    pitch : float
        Axial length of one turn of one wire, above 0 [d].

    Returns
    -------
    float
        Angle, which is pi/2 less the lay angle [rad].

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(math.degrees(lead_angle(1.0, 1.012938757)), 6)
    9.158097
    """
    return math.atan2(check_lay(pitch, "pitch"), TAU * check_radius(a))
