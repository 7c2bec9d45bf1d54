"""Shares of pieces: exact intervals, the bound from clean breaks alone, bounds without any distribution."""

from __future__ import annotations

import math

import numpy as np

from helix.statistics.confidence import Array


def share_interval(count: int, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Clopper-Pearson limits of a share, count of n; nan for n = 0.

    Covers at least what it claims. Source: C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404 [mem];
    NIST/SEMATECH e-Handbook 7.2.4.2 [pub].

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
    """One-sided Clopper-Pearson lower limit of a share.

    >>> round(lower_share(10, 10), 4), round(lower_share(29, 29), 3)
    (0.7411, 0.902)
    """
    from scipy.special import betaincinv

    if not 0 <= count <= n or n == 0:
        raise ValueError(f"count must be from 0 to n, n above 0; got {count} of {n}")
    return float(betaincinv(count, n - count + 1, 1.0 - confidence)) if count else 0.0


def clean_pieces_needed(share: float, confidence: float) -> int:
    """Pieces that must all hold to show that at least this share does: the least n with share^n <= 1 - confidence.

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
    """Lower bound of the load below which this share of pieces ends, from order statistics; nan if too few.

    Holds for any distribution, and also when some values are only "at least this": they count as reached.
    Source: H. A. David, Order Statistics [mem]: the k-th of n values lies below that load with the
    probability that a binomial count (n, share) is at least k.

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
    """Two-sided p of Fisher's exact test, (count, n) against (count, n).

    >>> round(fisher((10, 10), (6, 10)), 4), round(fisher((10, 10), (5, 10)), 4)
    (0.0867, 0.0325)
    """
    from scipy.stats import fisher_exact

    (a, n), (b, m) = first, second
    if not (0 <= a <= n and 0 <= b <= m):
        raise ValueError(f"counts must be from 0 to n; got {first} and {second}")
    return float(fisher_exact([[a, n - a], [b, m - b]]).pvalue)
