"""How many pieces: to show a mean, to show a tolerance bound, to tell two means or two shares apart."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from helix.statistics.samples import tolerance_factor

MOST_PIECES = 100_000


def pieces_for_margin(sd: float, margin: float, factor: float = 1.96) -> int:
    """Return how many pieces it takes to know a mean to within a margin, sd known.

    Parameters
    ----------
    sd, margin : float
        Above 0 [any one unit].
    factor : float
        1.96 for an interval at 95 %.

    Returns
    -------
    int
        n = (factor sd/margin)^2, rounded up; 2 or more.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: ASTM E122 (factor 3) [mem].

    Examples
    --------
    >>> pieces_for_margin(40.0, 25.0), pieces_for_margin(40.0, 25.0, factor=3.0)
    (10, 24)
    """
    if not sd > 0.0 or not margin > 0.0:
        raise ValueError(f"sd and margin must be above 0; got {sd} and {margin}")
    return max(2, math.ceil((factor * sd / margin) ** 2 - 1e-9))


def power_of_two_means(n: int, effect: float, significance: float = 0.05) -> float:
    """Return the chance that a two-sided t test tells two means apart.

    Parameters
    ----------
    n : int
        Pieces of each, 2 or more.
    effect : float
        By how much the means differ [SD].
    significance : float
        Between 0 and 1.

    Returns
    -------
    float
        From 0 to 1.

    Examples
    --------
    >>> round(power_of_two_means(17, 1.0), 3)
    0.807
    """
    from scipy.special import nctdtr, stdtrit

    freedom, shift = 2 * n - 2, abs(effect) * math.sqrt(n / 2.0)
    limit = float(stdtrit(freedom, 1.0 - significance / 2.0))
    return 1.0 - float(nctdtr(freedom, shift, limit)) + float(nctdtr(freedom, shift, -limit))


def pieces_to_tell_apart(effect: float, power: float = 0.9, significance: float = 0.05) -> int | None:
    """Return how many pieces of each of two recipes it takes to tell their means apart.

    Parameters
    ----------
    effect : float
        By how much the means differ [SD].
    power, significance : float
        Between 0 and 1.

    Returns
    -------
    int or None
        Of each; None if over 100,000.

    Notes
    -----
    Source: J. Cohen, Statistical Power Analysis (1988) [mem]: 17, 26 and 64 each for 1, 0.8 and 0.5 SD at power 0.8.

    Examples
    --------
    >>> [pieces_to_tell_apart(effect, 0.8) for effect in (1.0, 0.8, 0.5)]
    [17, 26, 64]
    """
    return _least(lambda n: power_of_two_means(n, effect, significance) >= power, 2)


def pieces_to_show_mean(effect: float, confidence: float = 0.95, power: float = 0.9) -> int | None:
    """Return how many pieces it takes until a one-sided t bound shows the mean above a target.

    Parameters
    ----------
    effect : float
        How far the target lies below the mean [SD].
    confidence, power : float
        Between 0 and 1.

    Returns
    -------
    int or None
        None for an effect of 0 or less, or if over 100,000.

    Examples
    --------
    >>> pieces_to_show_mean(1.0, 0.95, 0.9)
    11
    """
    from scipy.special import nctdtr, stdtrit

    def enough(n: int) -> bool:
        limit = float(stdtrit(n - 1, confidence))
        return 1.0 - float(nctdtr(n - 1, effect * math.sqrt(n), limit)) >= power

    return _least(enough, 2) if effect > 0.0 else None


def pieces_to_show_share(effect: float, share: float, confidence: float = 0.95, power: float = 0.9) -> int | None:
    """Return how many pieces it takes until the tolerance bound mean - k sd clears a target as often as asked.

    Parameters
    ----------
    effect : float
        How far the target lies below the true mean [true SD].
    share, confidence, power : float
        Between 0 and 1.

    Returns
    -------
    int or None
        None where that share does not clear the target at all, or if over 100,000.

    Notes
    -----
    Normal loads: (mean - target)/sd times sqrt(n) is a noncentral t of parameter effect sqrt(n).

    Examples
    --------
    >>> pieces_to_show_share(2.9110, 0.95), pieces_to_show_share(1.6, 0.95)
    (21, None)
    """
    from scipy.special import nctdtr, ndtri

    if effect <= float(ndtri(share)):
        return None

    def enough(n: int) -> bool:
        bound, root = tolerance_factor(n, share, confidence), math.sqrt(n)
        return 1.0 - float(nctdtr(n - 1, effect * root, bound * root)) >= power

    return _least(enough, 2)


def power_of_two_shares(n: int, first: float, second: float, significance: float = 0.05) -> float:
    """Return the chance that Fisher's exact test tells two shares apart, by summing over all outcomes.

    Parameters
    ----------
    n : int
        Pieces of each, 1 or more.
    first, second : float
        The shares, 0 to 1.
    significance : float
        Between 0 and 1.

    Returns
    -------
    float
        From 0 to 1.

    Examples
    --------
    >>> round(power_of_two_shares(10, 0.0, 0.5), 4)
    0.623
    """
    from scipy.special import gammaln, xlogy

    k = np.arange(n + 1)
    ways = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    chance = [np.exp(ways + xlogy(k, p) + xlogy(n - k, 1.0 - p)) for p in (first, second)]
    power = 0.0
    for total in range(2 * n + 1):
        i = np.arange(max(0, total - n), min(n, total) + 1)
        null = np.exp(ways[i] + ways[total - i])
        null /= null.sum()
        # p of each outcome: the chance of all that are no likelier, rounding aside
        rank = np.searchsorted(np.sort(null), null * (1.0 + 1e-7), side="right")
        p = np.cumsum(np.sort(null))[rank - 1]
        significant = p <= significance
        power += float((chance[0][i] * chance[1][total - i])[significant].sum())
    return power


def pieces_for_shares(first: float, second: float, power: float = 0.9, significance: float = 0.05) -> int | None:
    """Return how many pieces of each of two recipes it takes to tell apart their chances of unwinding.

    Parameters
    ----------
    first, second : float
        The chances, 0 to 1.
    power, significance : float
        Between 0 and 1.

    Returns
    -------
    int or None
        The least n from which on the power is held (it climbs in a saw-tooth); None if over 300.

    Examples
    --------
    >>> pieces_for_shares(0.05, 0.95)
    7
    """
    if first == second or power_of_two_shares(300, first, second, significance) < power:
        return None
    low, high = 1, 300
    while high - low > 1:
        middle = (low + high) // 2
        enough = power_of_two_shares(middle, first, second, significance) >= power
        low, high = (low, middle) if enough else (middle, high)
    for n in range(high + 10, 1, -1):
        if power_of_two_shares(n, first, second, significance) < power:
            return n + 1
    return 2


def _least(enough: Callable[[int], bool], start: int) -> int | None:
    """Return the least n that is enough, given that every larger one is; None above MOST_PIECES."""
    high = start
    while not enough(high):
        if high >= MOST_PIECES:
            return None
        high = min(2 * high, MOST_PIECES)
    low = max(start, high // 2)
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return high
