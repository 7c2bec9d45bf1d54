"""The load of one more piece, from pieces alone: no model and nothing known beforehand."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

FEWEST = 3


def next_piece_bound(loads: ArrayLike, below: float = 0.05) -> float | None:
    """Return the load that one more piece stays above, but for so small a part of all benches and pieces.

    Parameters
    ----------
    loads : array_like
        Loads of pieces that ended alike, > 0, shape (n,).
    below : float, optional
        Part that may lie below, 0 to 1.

    Returns
    -------
    float or None
        Above 0, in the loads' unit; None for fewer than three pieces, or none that differ.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Student's prediction limit on the logarithms: exp(m + t s sqrt(1 + 1/n)), exact where they are normal. G. J. Hahn,
    Technometrics 11 (1969) 878 [mem].

    Examples
    --------
    >>> round(next_piece_bound([800.0, 820.0, 840.0, 810.0, 830.0]))
    784
    """
    from scipy.special import stdtrit

    x = np.asarray(loads, dtype=np.float64)
    if x.ndim != 1 or not (np.isfinite(x).all() and (x > 0.0).all()) or not 0.0 < below < 1.0:
        raise ValueError("loads must be finite and above 0, and the part below from 0 to 1")
    n = x.size
    if n < FEWEST or not np.ptp(x) > 0.0:
        return None
    logs = np.log(x)
    spread = float(logs.std(ddof=1))
    return math.exp(float(logs.mean()) + float(stdtrit(n - 1, below)) * spread * math.sqrt(1.0 + 1.0 / n))
