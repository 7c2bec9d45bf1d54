"""One sample of loads: mean, spread, their intervals, tolerance bounds, and readings that stand out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.mechanics import limits
from helix.statistics.confidence import Array

SD_OF_MIN_OF_TWO: Final = math.sqrt(1.0 - 1.0 / math.pi)
"""SD of the smaller of two independent normal values over their own SD, 0.8256453."""

SHIFT_OF_MIN_OF_TWO: Final = 1.0 / math.sqrt(math.pi)
"""Mean less the mean of the smaller of two independent normal values, over their SD, 0.5641896."""


@dataclass(frozen=True)
class Outlier:
    """Place of a value in its sample, how many SD it stands off, and the limit there."""

    place: int
    off: float
    limit: float


def spread(values: object) -> float:
    """Return the standard deviation with divisor n - 1.

    Parameters
    ----------
    values : array_like, (n,)
        Any one unit.

    Returns
    -------
    float
        In the same unit; nan for fewer than two values.

    Notes
    -----
    In two passes, the mean taken off first (NIST StRD asks for it: a spread of 0.1 on 10,000,000.2).

    Examples
    --------
    >>> spread([10000000.2, 10000000.1, 10000000.3]) - 0.1 < 1e-8
    True
    """
    x = np.asarray(values, dtype=np.float64)
    if x.size < 2:
        return math.nan
    return float(np.std(x, ddof=1))


def mean_interval(mean: float, sd: float, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the limits of a mean by Student's t.

    Parameters
    ----------
    mean, sd : float
        Of a normal sample [any one unit].
    n : int
        Its size.
    confidence : float
        Between 0 and 1.

    Returns
    -------
    tuple of float
        Lower and upper limit, in the same unit; nan for fewer than two values.

    Notes
    -----
    Source: NIST/SEMATECH e-Handbook 1.3.5.2 [mem].

    Examples
    --------
    >>> [round(limit, 6) for limit in mean_interval(9.261460, 0.2278881e-1, 195)]
    [9.258241, 9.264679]
    """
    from scipy.special import stdtrit

    if n < 2:
        return math.nan, math.nan
    half = float(stdtrit(n - 1, 0.5 + confidence / 2.0)) * sd / math.sqrt(n)
    return mean - half, mean + half


def spread_interval(sd: float, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the limits of a standard deviation by chi-square, equal tails; nan for fewer than two values."""
    from scipy.special import chdtri

    if n < 2:
        return math.nan, math.nan
    tail = (1.0 - confidence) / 2.0
    return tuple(sd * math.sqrt((n - 1) / float(chdtri(n - 1, p))) for p in (tail, 1.0 - tail))  # type: ignore[return-value]


def tolerance_factor(n: int, share: float, confidence: float) -> float:
    """Return k of the bound mean - k sd that a share of all pieces exceeds with that confidence.

    Parameters
    ----------
    n : int
        Size of a normal sample, 2 or more.
    share, confidence : float
        Between 0 and 1.

    Returns
    -------
    float
        k = t'(n - 1, z sqrt(n))/sqrt(n) at the confidence, t' being noncentral t.

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    Source: NIST/SEMATECH e-Handbook 7.2.6.3 [pub].

    Examples
    --------
    >>> round(tolerance_factor(10, 0.95, 0.95), 4), round(tolerance_factor(10, 0.90, 0.95), 4)
    (2.911, 2.3546)
    """
    from scipy.special import nctdtrit, ndtri

    if n < 2 or not 0.0 < share < 1.0 or not 0.0 < confidence < 1.0:
        raise ValueError(f"n must be 2 or more, share and confidence between 0 and 1; got {n}, {share}, {confidence}")
    root = math.sqrt(n)
    return float(nctdtrit(n - 1, float(ndtri(share)) * root, confidence)) / root


def tolerance_bound(mean: float, sd: float, n: int, share: float, confidence: float) -> float:
    """Return the load that a share of all pieces exceeds with that confidence; nan for fewer than two values."""
    return mean - tolerance_factor(n, share, confidence) * sd if n >= 2 else math.nan


def single_from_smaller(mean: float, sd: float) -> tuple[float, float]:
    """Return mean and SD of single values from those of the smaller of two independent normal ones.

    Parameters
    ----------
    mean, sd : float
        Of the smaller of two [any one unit].

    Returns
    -------
    tuple of float
        Mean mu and SD sigma of single values, in the same unit.

    Notes
    -----
    Source: H. L. Jones, Ann. Math. Stat. 19 (1948) 270 [rep]: E = mu - sigma/sqrt(pi), SD = sigma sqrt(1 - 1/pi).

    Examples
    --------
    >>> mean, sd = single_from_smaller(100.0, 1.0)
    >>> round(mean, 6), round(sd, 6)
    (100.683332, 1.211174)
    """
    single = sd / SD_OF_MIN_OF_TWO
    return mean + SHIFT_OF_MIN_OF_TWO * single, single


def outliers(values: object, significance: float | None = None, most: int | None = None) -> tuple[Outlier, ...]:
    """Return the values that stand off by the generalised extreme studentised deviate.

    Parameters
    ----------
    values : array_like, (n,)
        Any one unit; fewer than 5 show none.
    significance : float, optional
        Between 0 and 1; limits.OUTLIER_SIGNIFICANCE if it is left out.
    most : int, optional
        How many to look for, at most (default: a tenth of the sample, at least 1); never more than n - 3 or 50.

    Returns
    -------
    tuple of Outlier
        The farthest first.

    Notes
    -----
    Source: B. Rosner, Technometrics 25 (1983) 165, as in the NIST/SEMATECH e-Handbook 1.3.5.17.3 [mem]; looking for one
    only is Grubbs' test, two-sided.

    Examples
    --------
    >>> [value.place for value in outliers([199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57])]
    [7]
    """
    from scipy.special import stdtrit

    x = np.asarray(values, dtype=np.float64)
    n = x.size
    if n < limits.FEWEST_FOR_OUTLIERS:
        return ()
    wanted = min(max(1, n // 10) if most is None else most, n - 3, 50)
    level = limits.OUTLIER_SIGNIFICANCE if significance is None else significance
    left = np.arange(n)
    outlying: list[Outlier] = []
    count = 0
    for step in range(1, wanted + 1):
        sd = spread(x[left])
        if not sd > 0.0:
            break
        off = np.abs(x[left] - x[left].mean()) / sd
        far = int(np.argmax(off))
        tail = level / (2.0 * (n - step + 1))
        t = float(stdtrit(n - step - 1, 1.0 - tail))
        limit = (n - step) * t / math.sqrt((n - step - 1 + t * t) * (n - step + 1))
        outlying.append(Outlier(int(left[far]), float(off[far]), limit))
        if off[far] > limit:
            count = step
        left = np.delete(left, far)
    return tuple(outlying[:count])


def plotting_positions(values: Array, failed: object) -> tuple[Array, Array]:
    """Return the values that failed and the share estimated to lie below each.

    Parameters
    ----------
    values : array of float, (n,)
        Any one unit.
    failed : array_like, (n,)
        Whether each failed, else it is censored: it takes no step of its own but thins what is above it.

    Returns
    -------
    tuple of array
        The values in rising order, and the shares (Kaplan-Meier, middle of step).

    Notes
    -----
    Source: E. L. Kaplan & P. Meier, J. Amer. Statist. Assoc. 53 (1958) 457; midpoints after W. Q. Meeker & L. A.
    Escobar (1998) [mem].

    Examples
    --------
    >>> x, p = plotting_positions(np.array([3.0, 1.0, 2.0]), [True, True, True])
    >>> p.round(4).tolist()
    [0.1667, 0.5, 0.8333]
    """
    ended = np.asarray(failed, dtype=np.bool_)
    order = np.lexsort((~ended, values))
    x, ended = values[order], ended[order]
    at_risk = np.arange(x.size, 0, -1)
    after = np.cumprod(np.where(ended, 1.0 - 1.0 / at_risk, 1.0))
    before = np.concatenate(([1.0], after[:-1]))
    return x[ended], 1.0 - (before[ended] + after[ended]) / 2.0
