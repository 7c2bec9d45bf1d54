"""Range checks of kernels that take arrays: the array itself, or "X must be Y; got Z" with the first that is not."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array


def check_nonnegative(value: ArrayLike, name: str) -> Array:
    """Return the values as floats, all zero or more.

    Parameters
    ----------
    value : array_like
        Values of any shape.
    name : str
        What the message calls it.

    Returns
    -------
    array
        The values, in the same shape.

    Raises
    ------
    ValueError
        Unless all are zero or more.

    Examples
    --------
    >>> check_nonnegative([0, 2], "turns").tolist()
    [0.0, 2.0]
    """
    array = np.asarray(value, dtype=float)
    return _kept(array, array >= 0.0, name, "zero or more")


def check_positive(value: ArrayLike, name: str) -> Array:
    """Return the values as floats, all above zero.

    Parameters
    ----------
    value : array_like
        Values of any shape.
    name : str
        What the message calls it.

    Returns
    -------
    array
        The values, in the same shape.

    Raises
    ------
    ValueError
        Unless all are above zero.

    Examples
    --------
    >>> check_positive(0.0, "load")
    Traceback (most recent call last):
        ...
    ValueError: load must be above zero; got 0.0
    """
    array = np.asarray(value, dtype=float)
    return _kept(array, array > 0.0, name, "above zero")


def check_proportion(value: ArrayLike, name: str) -> Array:
    """Return the values as floats, all from 0 to 1.

    Parameters
    ----------
    value : array_like
        Values of any shape.
    name : str
        What the message calls it.

    Returns
    -------
    array
        The values, in the same shape.

    Raises
    ------
    ValueError
        Unless all are from 0 to 1.

    Examples
    --------
    >>> float(check_proportion(0.9, "flow"))
    0.9
    """
    array = np.asarray(value, dtype=float)
    return _kept(array, (array >= 0.0) & (array <= 1.0), name, "from 0 to 1")


def check_acute(value: ArrayLike, name: str) -> Array:
    """Return the angles as floats, all from 0 to below pi/2.

    Parameters
    ----------
    value : array_like
        Angles of any shape [rad].
    name : str
        What the message calls it.

    Returns
    -------
    array
        The angles [rad], in the same shape.

    Raises
    ------
    ValueError
        Unless all are from 0 to below pi/2.

    Examples
    --------
    >>> float(check_acute(1.5, "lay_rad"))
    1.5
    """
    array = np.asarray(value, dtype=float)
    return _kept(array, (array >= 0.0) & (array < 0.5 * np.pi), name, "from 0 to below pi/2")


def _kept(array: Array, good: np.ndarray, name: str, wanted: str) -> Array:
    if not good.all():
        raise ValueError(f"{name} must be {wanted}; got {float(array[~good].flat[0])!r}")
    return array
