"""Whether pieces agree with what was predicted: how probable what they did would be, were the prediction right."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

WEAKER_OF_TWO = (-1.0 / math.sqrt(math.pi), math.sqrt(1.0 - 1.0 / math.pi))
"""Mean and standard deviation of the lesser of two standard normals (exact)."""


def count_agreement(count: int, n: int, chances: ArrayLike, weights: ArrayLike | None = None) -> float:
    """Return how probable a count as far out as this one is, where the chance itself is one of several.

    Parameters
    ----------
    count, n : int
        How many of how many did, 0 <= count <= n, n >= 1.
    chances : array_like
        Possible probabilities of one piece, 0 to 1, shape (m,): all pieces share one of them.
    weights : array_like, optional
        How likely each of these is, >= 0, shape (m,); alike if not given.

    Returns
    -------
    float
        Twice the smaller tail of the mixed binomial distribution, at most 1.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(count_agreement(10, 10, [0.5]) * 2**9)
    1
    >>> count_agreement(10, 10, [0.0, 1.0])
    1.0
    """
    from scipy.special import bdtr, bdtrc

    p = np.asarray(chances, dtype=np.float64)
    w = np.ones_like(p) if weights is None else np.asarray(weights, dtype=np.float64)
    if not (0 <= count <= n and n >= 1 and p.size and p.shape == w.shape and w.min() >= 0.0 and w.sum() > 0.0):
        raise ValueError("a count of 0 to n, n of 1 or more, and a chance or more with weights are needed")
    if not (p.min() >= 0.0 and p.max() <= 1.0):
        raise ValueError("chances must be from 0 to 1")
    above = float(w @ bdtrc(count - 1.0, n, p) / w.sum())
    below = float(w @ bdtr(float(count), n, p) / w.sum())
    return min(1.0, 2.0 * min(above, below))


def mean_agreement(log_mean: float, n: int, centre: float, shared: float, scatter: float) -> float:
    """Return how probable a mean as far out as this one is.

    Parameters
    ----------
    log_mean : float
        Mean of the logarithms of n loads.
    n : int
        Pieces, 1 or more.
    centre, shared, scatter : float
        Of the log of one piece as predicted: its mean; the standard deviation that all pieces share (the coil, the
        model); that from piece to piece. The two not both 0.

    Returns
    -------
    float
        Two-sided p value of a normal with variance shared^2 + scatter^2/n.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(mean_agreement(0.196, 4, 0.0, 0.08, 0.12), 3)
    0.05
    """
    from scipy.special import ndtr

    spread = math.sqrt(shared**2 + scatter**2 / n) if n >= 1 else 0.0
    if not spread > 0.0:
        raise ValueError("a piece or more and a spread above 0 are needed")
    return 2.0 * float(ndtr(-abs(log_mean - centre) / spread))
