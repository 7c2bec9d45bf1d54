"""What the tag of a twist carries, and how leg presses on leg, by models L and E. Arrays in, arrays out.

Loads are shares of the load on the joint, angles in rad, lengths in d. Derivations: docs/theory/holding.md.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_acute, check_nonnegative


def throat_tension(lay_rad: ArrayLike, friction: ArrayLike = 0.0, sliding_rad: ArrayLike = 0.0) -> Array:
    """Return the tension of the tag where the twist begins, over the load.

    Parameters
    ----------
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    friction : array_like
        Friction number mu, 0 or more.
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        1/[cos(beta) (1 + e^(mu theta))].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/holding.md.

    Examples
    --------
    >>> float(throat_tension(0.0)), float(throat_tension(np.radians(60.0)).round(6))
    (0.5, 1.0)
    """
    slide = limited_exp(check_nonnegative(friction, "friction") * check_nonnegative(sliding_rad, "sliding_rad"))
    return 1.0 / (np.cos(check_acute(lay_rad, "lay_rad")) * (1.0 + slide))


def leg_contact(curvature_d: ArrayLike, lay_rad: ArrayLike) -> Array:
    """Return the contact force of leg on leg per d of wire, over the load.

    Parameters
    ----------
    curvature_d : array_like
        A leg's curvature times d, 0 or more.
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].

    Returns
    -------
    array
        kappa d/(2 cos beta).

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    In a twist that keeps its set shape. Both legs together carry the load, and action equals reaction. Derivation:
    docs/theory/holding.md.

    Examples
    --------
    >>> float(leg_contact(0.763027, np.radians(38.14603)).round(4))
    0.4851
    """
    return check_nonnegative(curvature_d, "curvature_d") / (2.0 * np.cos(check_acute(lay_rad, "lay_rad")))


def tag_tension_linear(
    turns_made: ArrayLike, friction: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Return the tension of the tag over the load after so many turns, by model L.

    Parameters
    ----------
    turns_made : array_like
        Turns from the throat, 0 or more.
    friction : array_like
        Friction number mu, 0 or more.
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        Tension over the load; 0 where all is gripped.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/holding.md.

    Examples
    --------
    >>> tag_tension_linear([0.0, 5.0], 0.05, np.radians(45.0)).round(4)
    array([0.7071, 0.1517])
    """
    mu = check_nonnegative(friction, "friction")
    lost = mu * np.pi * check_nonnegative(turns_made, "turns_made") * np.sin(check_acute(lay_rad, "lay_rad"))
    return np.maximum(throat_tension(lay_rad, mu, sliding_rad) - lost, 0.0)


def tag_tension_exponential(
    turns_made: ArrayLike, friction: ArrayLike, lay_rad: ArrayLike, sliding_rad: ArrayLike = 0.0
) -> Array:
    """Return the tension of the tag over the load after so many turns, by model E.

    Parameters
    ----------
    turns_made : array_like
        Turns from the throat, 0 or more.
    friction : array_like
        Friction number mu, 0 or more.
    lay_rad : array_like
        Lay angle beta, 0 to under pi/2 [rad].
    sliding_rad : array_like
        Angle theta over which the wire slides round the pin, 0 or more; 0 where the pin turns with the wire [rad].

    Returns
    -------
    array
        Tension over the load.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/holding.md.

    Examples
    --------
    >>> tag_tension_exponential([0.0, 5.0], 0.05, np.radians(45.0)).round(4)
    array([0.7071, 0.2329])
    """
    mu = check_nonnegative(friction, "friction")
    grip = 2.0 * np.pi * mu * check_nonnegative(turns_made, "turns_made") * np.sin(check_acute(lay_rad, "lay_rad"))
    return throat_tension(lay_rad, mu, sliding_rad) * np.exp(-grip)


def limited_exp(exponent: Array) -> Array:
    """Return e to a power, without overflow.

    Parameters
    ----------
    exponent : array
        Any shape; anything past 600 is as good as locked and counts as that.

    Returns
    -------
    array
        The same shape.
    """
    return np.exp(np.minimum(exponent, 600.0))
