"""A wire drawn tight over another wire or a ring: how hard that bends it. Arrays in, arrays out.

Lengths in mm or d alike. Derivation: docs/theory/linked-eyes.md.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_positive


def crossing_radius(diameter: ArrayLike, over: ArrayLike) -> Array:
    """Return the radius of the centre line of a wire drawn tight over something round.

    Parameters
    ----------
    diameter : array_like
        Of the wire, above 0.
    over : array_like
        Diameter of the other wire or of the ring's bar, above 0, in the same unit.

    Returns
    -------
    array
        (diameter + over)/2.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Neither section flattens: a dent, which would make the bend gentler, is left out. Derivation:
    docs/theory/linked-eyes.md.

    Examples
    --------
    >>> float(crossing_radius(0.8, 0.8))
    0.8
    """
    return 0.5 * (check_positive(diameter, "diameter") + check_positive(over, "over"))


def crossing_strain(diameter: ArrayLike, over: ArrayLike) -> Array:
    """Return the strain of the outer fibre of a wire drawn tight over something round.

    Parameters
    ----------
    diameter : array_like
        Of the wire, above 0.
    over : array_like
        Diameter of the other wire or of the ring's bar, above 0, in the same unit.

    Returns
    -------
    array
        diameter/(diameter + over): 0.5 over a wire of its own size, which is the wrapping test.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/linked-eyes.md.

    Examples
    --------
    >>> crossing_strain(1.0, [0.5, 1.0, 3.0]).round(3)
    array([0.667, 0.5  , 0.25 ])
    """
    return 0.5 * check_positive(diameter, "diameter") / crossing_radius(diameter, over)


def least_bar(diameter: ArrayLike, strain: ArrayLike) -> Array:
    """Return the diameter of the thinnest bar that strains a wire drawn over it no more than that.

    Parameters
    ----------
    diameter : array_like
        Of the wire, above 0.
    strain : array_like
        Of its outer fibre, above 0 and at most 1.

    Returns
    -------
    array
        diameter (1/strain - 1), in the unit of the diameter.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Derivation: docs/theory/linked-eyes.md.

    Examples
    --------
    >>> least_bar(0.8, [0.5, 0.2]).round(3)
    array([0.8, 3.2])
    """
    most = check_positive(strain, "strain")
    if not (most <= 1.0).all():
        raise ValueError(f"strain must be at most 1; got {float(most.max())!r}")
    return check_positive(diameter, "diameter") * (1.0 / most - 1.0)
