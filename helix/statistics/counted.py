"""Uncertainty of a chance that was counted in seeded draws. Arrays in, arrays out, numpy only."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array
from helix.mechanics.checks import check_positive, check_proportion

Z95 = 1.959963984540054  # two-sided 95 % of a normal distribution


def counted_interval(seen: ArrayLike, n: ArrayLike, z: float = Z95) -> tuple[Array, Array]:
    """Return the limits of a chance of which a share was seen in n independent draws.

    Parameters
    ----------
    seen : array_like
        Share, 0 to 1.
    n : array_like
        Number of draws, above 0; broadcasts with `seen`.
    z : float
        Normal quantile, 1.96 for 95 %.

    Returns
    -------
    tuple of array
        Lower and upper limit. Near the ends they stay within 0 and 1 and keep a width, where the usual plus-or-minus
        has none.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Wilson's score interval. Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 [mem].

    Examples
    --------
    >>> low, high = counted_interval(0.0, 10_000)
    >>> float(low), float(high.round(6))
    (0.0, 0.000384)
    """
    p, count = check_proportion(seen, "seen"), check_positive(n, "n")
    middle = (p + z * z / (2.0 * count)) / (1.0 + z * z / count)
    half = z / (1.0 + z * z / count) * np.sqrt(p * (1.0 - p) / count + z * z / (4.0 * count * count))
    low = np.where(p > 0.0, np.maximum(middle - half, 0.0), 0.0)
    return low, np.where(p < 1.0, np.minimum(middle + half, 1.0), 1.0)
