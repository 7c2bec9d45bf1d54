"""What a first bend costs: its strain by the angle at which hands wound it, and the least load of an opening throat.

g is half the angle between the legs at the throat. Lengths in wire diameters, loads over the straight wire's strength.
Simulated, not tested. Derivation: docs/theory/first-bend.md.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.strands import even_radius
from helix.mechanics.checks import check_acute, check_proportion

WIDEST_RAD: Final = math.radians(55.0)
"""Half throat up to which the first turn may be wound: 110 deg between the legs; the strain hardly grows beyond (simulated)."""
WIDEST_SPREAD_RAD: Final = math.radians(70.0)
"""The same of legs that were spread after the twist was wound: 140 deg (simulated)."""
SURPLUS: Final = 0.20
"""What a joint holds beyond opening its throat, over the strength (fitted to own simulations at a friction of 0.08)."""
GOOD_EXIT: Final = 0.487
"""Strain of a good joint's standing exit, that of a touching barrel (exact): a first bend wound no harder costs nothing."""
CLOSED_TENSION: Final = 0.68
"""Most tension that a leg keeps at the break, over the load: a wide throat closes (simulated)."""
TAKEN: Final = 0.67
"""Lay angle that hard wire takes of the angle at which it is held by hands that only lead it round (simulated)."""
PEELED: Final = ((math.degrees(2.0 * math.atan(math.pi / 4.0)), 90.0, 100.0, 120.0), (0.0, 0.1, 0.2, 0.25))
"""Angle between the legs [deg], from that of a lay of 4 d, and part of a turn that peels off under load (simulated at a friction of 0.12)."""


def wound_strain(half_throat_rad: ArrayLike) -> Array:
    """Give the outer-fibre strain of two touching legs wound at half a throat's angle: sin^2(g)/(2 a).

    Parameters
    ----------
    half_throat_rad : array_like
        Half the angle g between the legs [rad], 0 to below pi/2.

    Returns
    -------
    ndarray
        The strain e1. The radius a of the legs' helix is 1/2 up to 90 deg between the legs, where e1 is exactly 1/2, that
        of the wrapping test; beyond, the legs touch off the axis and a is that of the touching pair.

    Raises
    ------
    ValueError
        Outside the range, and where two legs cannot touch at so steep an angle.

    Examples
    --------
    >>> wound_strain(np.radians([38.0, 45.0, 50.0])).round(3).tolist()
    [0.379, 0.5, 0.566]
    """
    g = check_acute(half_throat_rad, "half_throat_rad")
    radius = np.full(g.shape, 0.5)
    for index in np.argwhere(g > np.pi / 4.0):
        radius[tuple(index)] = _touching_radius(float(g[tuple(index)]))
    return np.sin(g) ** 2 / (2.0 * radius)


def _touching_radius(g: float) -> float:
    """Radius of two touching legs whose lay angle is g: tan g = 2 pi a/lay, with a the touching pair's at that lay."""

    def miss(lay: float) -> float:
        return 2.0 * math.pi * even_radius(lay) / lay - math.tan(g)

    least = 2.0 + 1e-9
    if miss(least) <= 0.0:
        raise ValueError(f"half_throat_rad must be of legs that can touch; got {g!r}")
    return even_radius(bracketed_root(miss, least, np.pi * (1.0 + 1e-12)))


def opening_load(half_throat_rad: ArrayLike, lay_rad: ArrayLike | None = None, flow: ArrayLike = 1.0) -> Array:
    """Give the load over the strength that opens a throat: the work of unbending two legs as it opens.

    Parameters
    ----------
    half_throat_rad : array_like
        Half the angle g between the legs [rad], above 0 and below pi/2.
    lay_rad : array_like, optional
        Lay angle of the twist [rad]; by default g itself, a twist wound at the throat's angle.
    flow : array_like
        Flow stress over strength, 0 to 1.

    Returns
    -------
    ndarray
        F = (8/(3 pi)) f e1/(1/cos g - cos lay).

    Raises
    ------
    ValueError
        Outside the ranges.

    Examples
    --------
    >>> (opening_load(np.radians([45.0, 50.0, 55.0])) + SURPLUS).round(2).tolist()
    [0.8, 0.73, 0.63]
    """
    g = check_acute(half_throat_rad, "half_throat_rad")
    lay = g if lay_rad is None else check_acute(lay_rad, "lay_rad")
    strain = wound_strain(g)
    with np.errstate(divide="ignore"):
        return 8.0 / (3.0 * np.pi) * check_proportion(flow, "flow") * strain / (1.0 / np.cos(g) - np.cos(lay))


def leg_tension(half_throat_rad: ArrayLike) -> Array:
    """Give the tension of an eye leg at the break over the load: 1/(2 cos g), at most :data:`CLOSED_TENSION`.

    Parameters
    ----------
    half_throat_rad : array_like
        Half the angle between the legs [rad], 0 to below pi/2.

    Returns
    -------
    ndarray
        The tension over the load, from 0.5.

    Raises
    ------
    ValueError
        Outside the range.

    Examples
    --------
    >>> leg_tension(np.radians([0.0, 38.0, 60.0])).round(3).tolist()
    [0.5, 0.635, 0.68]
    """
    return np.minimum(0.5 / np.cos(check_acute(half_throat_rad, "half_throat_rad")), CLOSED_TENSION)


def peeled_turns(half_throat_rad: ArrayLike) -> Array:
    """Give the part of a turn that a wide throat peels off the twist under load, 0 to 0.25 (simulated).

    Parameters
    ----------
    half_throat_rad : array_like
        Half the angle between the legs [rad], 0 to below pi/2.

    Returns
    -------
    ndarray
        Turns, between the simulated points by straight lines.

    Raises
    ------
    ValueError
        Outside the range.

    Examples
    --------
    >>> peeled_turns(np.radians([38.0, 45.0, 50.0])).round(3).tolist()
    [0.0, 0.1, 0.2]
    """
    return np.interp(2.0 * np.degrees(check_acute(half_throat_rad, "half_throat_rad")), *PEELED)


def held_angle(lay_rad: ArrayLike) -> Array:
    """Give half the angle at which hands that only lead the legs round must hold hard wire for a lay angle [rad].

    Parameters
    ----------
    lay_rad : array_like
        Lay angle wanted [rad], 0 to below pi/2.

    Returns
    -------
    ndarray
        Half the angle between the legs in the hands: the lay angle over :data:`TAKEN`. Of hands that pull: `hand_twist.pulled_angle`.

    Raises
    ------
    ValueError
        Outside the range.

    Examples
    --------
    >>> float(2.0 * np.degrees(held_angle(np.arctan(np.pi / 4.0))).round(0))
    114.0
    """
    return check_acute(lay_rad, "lay_rad") / TAKEN


def even_pull(lay_rad: ArrayLike, flow: ArrayLike = 1.0) -> Array:
    """Give the pull on each leg, over the strength, that keeps a twist even though the hands differ: 6 M_p sin^2(lay)/d.

    Parameters
    ----------
    lay_rad : array_like
        Lay angle [rad], 0 to below pi/2.
    flow : array_like
        Flow stress over strength, 0 to 1.

    Returns
    -------
    ndarray
        The pull: (4/pi) f sin^2(lay) (simulated).

    Raises
    ------
    ValueError
        Outside the ranges.

    Examples
    --------
    >>> float(even_pull(np.radians(33.5), 0.9).round(2))
    0.35
    """
    return np.asarray(4.0 / np.pi * check_proportion(flow, "flow") * np.sin(check_acute(lay_rad, "lay_rad")) ** 2)
