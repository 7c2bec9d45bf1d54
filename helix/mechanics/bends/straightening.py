"""Bent, then pulled straight: the load at which a set bend that tension straightens breaks. Arrays in, arrays out.

The section bends to an outer-fibre strain e, hardens as it does, and is then straightened by the pull: with the neutral
axis at x radii off the middle it carries N(x) of its own strength, straightening stretches its axis by e x and thins
it. It breaks where the load that the thinned section carries reaches its most. Simulated, not tested: helix's own
elastic-plastic rod, judged with fibres, agrees within 0.03 up to a hardening of 0.3. Derivation:
docs/theory/straightening.md.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_nonnegative

HARDENING: Final = (0.1, 0.3, 0.5)
"""Strength gained per unit strain, over the strength: low, nominal, high (assumed)."""
_STEPS: Final = 22  # of Newton's at most, held inside 0 to 1: to 1e-13, slowest where there is no strain
_STANDS: Final = 1e-15  # a step less than this is rounding
_FLATTEST: Final = 1e-12


def axial_share(offset: ArrayLike) -> Array:
    """Give the tension of a plastic round section over its full strength.

    Parameters
    ----------
    offset : array_like
        Distance x of the neutral axis from the middle, in radii, 0 to 1.

    Returns
    -------
    ndarray
        N/N_p = (2/pi)(asin x + x sqrt(1 - x^2)), the shape of `offset`.

    Examples
    --------
    >>> axial_share([0.0, 0.5, 1.0]).round(4).tolist()
    [0.0, 0.609, 1.0]
    """
    x = np.clip(np.asarray(offset, dtype=float), 0.0, 1.0)
    return np.asarray(np.minimum(2.0 / np.pi * (np.arcsin(x) + x * np.sqrt(1.0 - x * x)), 1.0))


def straightened_share(strain: ArrayLike, hardening: ArrayLike = HARDENING[1]) -> Array:
    """Give the load over the straight wire's strength at which a bend breaks that the load pulls straight.

    Parameters
    ----------
    strain : array_like
        Outer-fibre strain e = d/(2R) of the set bend, >= 0.
    hardening : array_like
        Strength gained per unit strain, over the strength, >= 0; broadcasts with `strain`.

    Returns
    -------
    ndarray
        The root N of N (1 + e x(N)) = 1 + H (8 e/(3 pi) + e x), at most 1.

    Raises
    ------
    ValueError
        For a negative number.

    Notes
    -----
    For bends that the load straightens: the standing leg's exit, and a throat. Not for what lies on something, the eye
    and the barrel (`helix.mechanics.bends.retained`). Trusted to 0.03 up to H = 0.3 and too sensitive above (own fibre section).

    Examples
    --------
    >>> straightened_share([0.25, 0.487, 1.0]).round(2).tolist(), float(straightened_share(0.487, 0.0).round(2))
    ([0.93, 0.89, 0.85], 0.76)
    """
    e, h = np.broadcast_arrays(check_nonnegative(strain, "strain"), check_nonnegative(hardening, "hardening"))

    x = np.full(e.shape, 0.5)
    for _ in range(_STEPS):
        root = np.sqrt(1.0 - x * x)
        share = 2.0 / np.pi * (np.arcsin(x) + x * root)
        surplus = share * (1.0 + e * x) - 1.0 - h * e * (8.0 / (3.0 * np.pi) + x)
        slope = 4.0 / np.pi * root * (1.0 + e * x) + e * (share - h)
        before, x = x, np.clip(x - surplus / np.maximum(slope, _FLATTEST), 0.0, 1.0)
        if np.abs(x - before).max(initial=0.0) < _STANDS:
            break
    return axial_share(x)
