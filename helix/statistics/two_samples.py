"""Two samples, several comparisons: Welch's interval and test, a rank test, Holm's correction."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from helix.statistics.confidence import Array


@dataclass(frozen=True)
class Welch:
    """Difference of two means (first less second), its limits, t, degrees of freedom, two-sided p."""

    difference: float
    low: float
    high: float
    t: float
    freedom: float
    p: float


def welch(first: tuple[float, float, int], second: tuple[float, float, int], confidence: float = 0.95) -> Welch:
    """Return Welch's comparison of two samples.

    Parameters
    ----------
    first, second : tuple of float, float and int
        (mean, sd, n) of normal samples whose spreads may differ, n 2 or more [any one unit].
    confidence : float
        Between 0 and 1.

    Returns
    -------
    Welch
        Difference and limits in the same unit.

    Raises
    ------
    ValueError
        For fewer than two values in either.

    Notes
    -----
    Source: B. L. Welch, Biometrika 34 (1947) 28, as in the NIST/SEMATECH e-Handbook 1.3.5.3 [mem].

    Examples
    --------
    >>> result = welch((20.14458, 6.414700, 249), (30.48101, 6.107710, 79))
    >>> round(result.t, 4), round(result.freedom, 3)
    (-12.9463, 136.875)
    """
    from scipy.special import stdtr, stdtrit

    (a, sa, na), (b, sb, nb) = first, second
    if min(na, nb) < 2:
        raise ValueError(f"each sample must have at least 2 values; got {na} and {nb}")
    va, vb = sa * sa / na, sb * sb / nb
    error = math.sqrt(va + vb)
    if error == 0.0:
        return Welch(
            a - b, a - b, a - b, math.copysign(math.inf, a - b) if a != b else 0.0, na + nb - 2.0, float(a == b)
        )
    freedom = (va + vb) ** 2 / (va * va / (na - 1) + vb * vb / (nb - 1))
    half = float(stdtrit(freedom, 0.5 + confidence / 2.0)) * error
    t = (a - b) / error
    return Welch(a - b, a - b - half, a - b + half, t, freedom, 2.0 * float(stdtr(freedom, -abs(t))))


def rank_test(first: Array, second: Array) -> float:
    """Return the two-sided p of the Mann-Whitney rank test.

    Parameters
    ----------
    first, second : array of float, (n,) and (m,)
        Any one unit.

    Returns
    -------
    float
        Exact without ties up to 50 values each, else its normal limit.

    Notes
    -----
    Source: H. B. Mann & D. R. Whitney, Ann. Math. Stat. 18 (1947) 50 [mem]; scipy.stats.mannwhitneyu.

    Examples
    --------
    >>> round(rank_test(np.array([1.0, 2.0, 3.0]), np.array([4.0, 5.0, 6.0])), 3)
    0.1
    """
    from scipy.stats import mannwhitneyu

    ties = np.unique(np.concatenate((first, second))).size < first.size + second.size
    method = "asymptotic" if ties or max(first.size, second.size) > 50 else "exact"
    return float(mannwhitneyu(first, second, method=method).pvalue)


def holm(p: Sequence[float]) -> tuple[float, ...]:
    """Return p values corrected for several comparisons by Holm's step-down.

    Parameters
    ----------
    p : sequence of float
        From 0 to 1; nan does not count.

    Returns
    -------
    tuple of float
        In the order given; nan stays nan.

    Notes
    -----
    Source: S. Holm, Scand. J. Statist. 6 (1979) 65 [mem].

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03])
    (0.03, 0.06, 0.06)
    """
    values = np.asarray(p, dtype=np.float64)
    known = np.flatnonzero(~np.isnan(values))
    order = known[np.argsort(values[known], kind="stable")]
    out = np.full(values.size, math.nan)
    grown = 0.0
    for place, k in enumerate(order):
        grown = max(grown, min(1.0, float(values[k]) * (order.size - place)))
        out[k] = grown
    return tuple(float(v) for v in out)
