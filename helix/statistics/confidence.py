"""A confidence distribution: what a sample says about one number, as quantiles at every level.

The q-quantile of such a distribution is the one-sided limit below which the number lies with confidence
q. Student's t about a sample mean is the best known one. Two of them from independent samples combine
to that of a ratio or a difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]

LEVELS: Final = 801
_EDGE: Final = 1e-7


@dataclass(frozen=True)
class Confidence:
    """Quantiles ``values`` at the ``levels`` (both rising, shape (n,)); unit: that of the number."""

    levels: Array
    values: Array

    def quantile(self, level: float) -> float:
        """Return the limit below which the number lies with this confidence.

        Parameters
        ----------
        level : float
            Confidence, 0 to 1.

        Returns
        -------
        float
            Interpolated on the normal scale, in the number's unit.

        Examples
        --------
        >>> round(student_confidence(10.0, 1.0, 9).quantile(0.975), 3)
        12.262
        """
        from scipy.special import ndtri

        return float(np.interp(ndtri(level), ndtri(self.levels), self.values))

    def interval(self, confidence: float = 0.95) -> tuple[float, float]:
        """Return the two limits with equal tails at this confidence."""
        tail = (1.0 - confidence) / 2.0
        return self.quantile(tail), self.quantile(1.0 - tail)


def standard_levels(count: int = LEVELS) -> Array:
    """Return levels evenly spaced on the normal scale, shape (count,), from 1e-7 to 1 - 1e-7."""
    from scipy.special import ndtr, ndtri

    edge = float(ndtri(_EDGE))
    return np.asarray(ndtr(np.linspace(edge, -edge, count)), dtype=np.float64)


def student_confidence(centre: float, standard_error: float, freedom: float) -> Confidence:
    """Return Student's t about an estimate.

    Parameters
    ----------
    centre, standard_error : float
        The estimate and its standard error [any one unit].
    freedom : float
        Degrees of freedom, above 0.

    Returns
    -------
    Confidence
        In the same unit.

    Examples
    --------
    >>> low, high = student_confidence(0.0, 1.0, 9).interval(0.95)
    >>> round(high, 4)
    2.2622
    """
    from scipy.special import stdtrit

    levels = standard_levels()
    return Confidence(levels, centre + standard_error * np.asarray(stdtrit(freedom, levels)))


def ratio_confidence(above: Confidence, below: Confidence) -> Confidence:
    """Return the confidence distribution of above/below.

    Parameters
    ----------
    above, below : Confidence
        Two independent positive numbers.

    Returns
    -------
    Confidence
        Of the ratio.

    Raises
    ------
    ValueError
        When the one below reaches 0 within its limits at 99.9 %.

    Examples
    --------
    >>> ratio = ratio_confidence(student_confidence(90.0, 1.0, 30), student_confidence(100.0, 1.0, 30))
    >>> [round(limit, 3) for limit in ratio.interval()]
    [0.873, 0.928]
    """
    if below.quantile(0.0005) <= 0.0:
        raise ValueError("the number below must be clear of 0; its limits at 99.9 % are not")
    low = np.maximum(below.values, 1e-9 * below.quantile(0.5))
    return _combined(above, Confidence(below.levels, low), np.divide, np.multiply)


def difference_confidence(first: Confidence, second: Confidence) -> Confidence:
    """Return the confidence distribution of first - second.

    Parameters
    ----------
    first, second : Confidence
        Two independent numbers [any one unit].

    Returns
    -------
    Confidence
        Of the difference, in the same unit.

    Examples
    --------
    >>> apart = difference_confidence(student_confidence(90.0, 3.0, 1e6), student_confidence(50.0, 4.0, 1e6))
    >>> [round(limit, 1) for limit in apart.interval()]
    [30.2, 49.8]
    """
    return _combined(first, second, np.subtract, np.add)


def _combined(first: Confidence, second: Confidence, join: np.ufunc, undo: np.ufunc) -> Confidence:
    """Return the distribution of join(first, second), which rises with the first and falls with the second.

    Returns
    -------
    Confidence
        Of join(first, second).

    Notes
    -----
    P(join < v) is the mean of the first's level at undo(v, second) over the second, on its normal scale, where a
    sum over even nodes converges at once. The values are where both stand at opposite levels, which spans it all.
    """
    from scipy.special import ndtr, ndtri

    nodes = np.linspace(-6.0, 6.0, 161)
    weight = np.exp(-0.5 * nodes * nodes)
    other = np.interp(nodes, ndtri(second.levels), second.values)
    scores = np.linspace(-4.5, 4.5, 241)
    values = join(
        np.interp(scores, ndtri(first.levels), first.values), np.interp(-scores, ndtri(second.levels), second.values)
    )
    wanted = undo(values[:, None], other)
    reached = ndtr(np.interp(wanted, first.values, ndtri(first.levels))) @ weight / weight.sum()
    inside = (reached > 1e-6) & (reached < 1.0 - 1e-6) & (np.gradient(reached) > 0.0)
    return Confidence(reached[inside], values[inside])
