"""Shares of pieces: exact intervals, the bound from clean breaks alone, bounds without any distribution."""

from __future__ import annotations

import math

import numpy as np

from helix.statistics.confidence import Array


def share_interval(count: int, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the Clopper-Pearson limits of a share, count of n.

    Parameters
    ----------
    count, n : int
        0 to n, of 0 or more.
    confidence : float
        Between 0 and 1; the limits cover at least what it claims.

    Returns
    -------
    tuple of float
        Lower and upper limit; nan for n = 0.

    Raises
    ------
    ValueError
        Where count is not from 0 to n.

    Notes
    -----
    Source: C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404 [mem]; NIST/SEMATECH e-Handbook 7.2.4.2 [pub].

    Examples
    --------
    >>> [round(limit, 6) for limit in share_interval(4, 20, 0.90)]
    [0.071354, 0.401028]
    """
    from scipy.special import betaincinv

    if not 0 <= count <= n:
        raise ValueError(f"count must be from 0 to n = {n}; got {count}")
    if n == 0:
        return math.nan, math.nan
    tail = (1.0 - confidence) / 2.0
    low = float(betaincinv(count, n - count + 1, tail)) if count else 0.0
    high = float(betaincinv(count + 1, n - count, 1.0 - tail)) if count < n else 1.0
    return low, high


def lower_share(count: int, n: int, confidence: float = 0.95) -> float:
    """Return the one-sided Clopper-Pearson lower limit of a share.

    Parameters
    ----------
    count, n : int
        0 to n, of 1 or more.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    float
        The limit, 0 to 1.

    Raises
    ------
    ValueError
        Where count is not from 0 to n, or n is 0.

    Examples
    --------
    >>> round(lower_share(10, 10), 4), round(lower_share(29, 29), 3)
    (0.7411, 0.902)
    """
    from scipy.special import betaincinv

    if not 0 <= count <= n or n == 0:
        raise ValueError(f"count must be from 0 to n, n above 0; got {count} of {n}")
    return float(betaincinv(count, n - count + 1, 1.0 - confidence)) if count else 0.0


def clean_pieces_needed(share: float, confidence: float) -> int:
    """Return how many pieces must all hold to show that at least this share does.

    Parameters
    ----------
    share, confidence : float
        Between 0 and 1.

    Returns
    -------
    int
        The least n with share^n <= 1 - confidence.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> clean_pieces_needed(0.90, 0.95), clean_pieces_needed(0.95, 0.95)
    (29, 59)
    """
    if not 0.0 < share < 1.0 or not 0.0 < confidence < 1.0:
        raise ValueError(f"share and confidence must be between 0 and 1; got {share} and {confidence}")
    n = max(1, math.floor(math.log(1.0 - confidence) / math.log(share)))
    while share**n > (1.0 - confidence) * (1.0 + 1e-12):
        n += 1
    return n


def quantile_lower_bound(values: Array, share: float, confidence: float = 0.95) -> float:
    """Return a lower bound, from order statistics, of the load below which this share of pieces ends.

    Parameters
    ----------
    values : array of float, (n,)
        Loads of any distribution; some may be only "at least this": they count as reached [any one unit].
    share, confidence : float
        Between 0 and 1.

    Returns
    -------
    float
        In the same unit; nan if the values are too few.

    Notes
    -----
    Source: H. A. David, Order Statistics [mem]: the k-th of n values lies below that load with the probability that a
    binomial count (n, share) is at least k.

    Examples
    --------
    >>> quantile_lower_bound(np.array([5.0, 4.0, 3.0, 2.0, 1.0]), 0.5)
    1.0
    """
    from scipy.special import bdtr

    x = np.sort(values)
    # largest k with P(count >= k) >= confidence
    k = np.arange(1, x.size + 1)
    sure = 1.0 - bdtr(k - 1, x.size, share)
    good = np.flatnonzero(sure >= confidence - 1e-12)
    return float(x[good[-1]]) if good.size else math.nan


def fisher(first: tuple[int, int], second: tuple[int, int]) -> float:
    """Return the two-sided p of Fisher's exact test.

    Parameters
    ----------
    first, second : tuple of int
        (count, n) of either, count from 0 to n.

    Returns
    -------
    float
        From 0 to 1.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(fisher((10, 10), (6, 10)), 4), round(fisher((10, 10), (5, 10)), 4)
    (0.0867, 0.0325)
    """
    from scipy.stats import fisher_exact

    (a, n), (b, m) = first, second
    if not (0 <= a <= n and 0 <= b <= m):
        raise ValueError(f"counts must be from 0 to n; got {first} and {second}")
    return float(fisher_exact([[a, n - a], [b, m - b]]).pvalue)
