"""Range checks of kernels that take arrays: the values as floats in their shape, or ValueError "X must be Y; got Z" with the first that is not."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array


def check_nonnegative(value: ArrayLike, name: str) -> Array:
    """Return the values, all zero or more."""
    array = np.asarray(value, dtype=float)
    return _kept(array, array >= 0.0, name, "zero or more")


def check_positive(value: ArrayLike, name: str) -> Array:
    """Return the values, all above zero."""
    array = np.asarray(value, dtype=float)
    return _kept(array, array > 0.0, name, "above zero")


def check_proportion(value: ArrayLike, name: str) -> Array:
    """Return the values, all from 0 to 1."""
    array = np.asarray(value, dtype=float)
    return _kept(array, (array >= 0.0) & (array <= 1.0), name, "from 0 to 1")


def check_acute(value: ArrayLike, name: str) -> Array:
    """Return the angles [rad], all from 0 to below pi/2."""
    array = np.asarray(value, dtype=float)
    return _kept(array, (array >= 0.0) & (array < 0.5 * np.pi), name, "from 0 to below pi/2")


def _kept(array: Array, good: np.ndarray, name: str, wanted: str) -> Array:
    if not good.all():
        raise ValueError(f"{name} must be {wanted}; got {float(array[~good].flat[0])!r}")
    return array
