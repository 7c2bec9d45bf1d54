"""Weighted least squares with prior knowledge: what readings say about the sizes behind them.

Arrays in, arrays out. Every uncertainty is one standard deviation. Theory: docs/theory/inspection.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_STEP = 1e-6  # of a central difference, in standard deviations of the prior
_MOST_STEPS = 200
_NEAR = 1e-6  # at rest: a step shorter than this many of the values' own standard deviations
_ROUNDING = 1e-9  # the same where the fit cannot be made better by so small a share
_SHORTEST = 1e-10  # share of a step that is not tried any more


@dataclass(frozen=True)
class Estimate:
    """What readings and prior knowledge say together.

    values (n,) and their covariance (n, n); misfit (m,): reading less prediction, and pull (n,): value less what was
    known before, each in its own standard deviations; settled: whether the steps came to rest.
    """

    values: Floats
    covariance: Floats
    misfit: Floats
    pull: Floats
    settled: bool

    @property
    def deviations(self) -> Floats:
        """Standard deviations of the values (n,)."""
        return np.sqrt(np.diag(self.covariance))


def estimate(
    predict: Callable[[Floats], Floats], readings: Floats, reading_sd: Floats, prior: Floats, prior_sd: Floats
) -> Estimate:
    """Return the values that fit readings and prior knowledge best, by Gauss-Newton steps, halved where they lead away.

    Parameters
    ----------
    predict : callable
        Of values (n,) the readings (m,), smooth.
    readings, reading_sd : array of float, (m,)
        Readings and their standard deviations, above 0.
    prior, prior_sd : array of float, (n,)
        Values known before and their standard deviations, above 0.

    Returns
    -------
    Estimate
        Its covariance is that of the linearised problem.

    Raises
    ------
    ValueError
        Outside these ranges, or where the shapes differ.

    Notes
    -----
    Theory: docs/theory/inspection.md.

    Examples
    --------
    >>> answer = estimate(lambda v: v[:1] * v[1:], np.array([12.0]), np.array([0.1]), np.array([3.0, 4.0]),
    ...                  np.array([100.0, 0.001]))
    >>> answer.values.round(3).tolist(), answer.deviations.round(4).tolist()
    ([3.0, 4.0], [0.025, 0.001])
    """
    for name, sd in (("reading_sd", reading_sd), ("prior_sd", prior_sd)):
        if not np.all((sd > 0.0) & np.isfinite(sd)):
            raise ValueError(f"{name} must be above 0 and finite; got {sd.tolist()}")
    if readings.shape != reading_sd.shape or prior.shape != prior_sd.shape:
        raise ValueError("every reading and every prior value must have its standard deviation")
    scaled = np.zeros(len(prior))  # values in standard deviations off the prior

    def missed(at: Floats) -> Floats:
        return (readings - predict(prior + prior_sd * at)) / reading_sd

    miss, settled = missed(scaled), False
    worth = float(miss @ miss)
    for _ in range(_MOST_STEPS):
        slope = derivatives(predict, prior + prior_sd * scaled, prior_sd) * prior_sd / reading_sd[:, None]
        normal = slope.T @ slope + np.eye(len(prior))
        # of the stacked rows, not of the normal equations: a reading far closer than what was known squares its share
        step = np.linalg.lstsq(np.vstack([slope, np.eye(len(prior))]), np.concatenate([miss, -scaled]), rcond=None)[0]
        if step @ normal @ step < _NEAR**2:
            scaled, settled = scaled + step, True
            break
        size, before = 1.0, worth
        while size > _SHORTEST:  # halved while it makes the fit worse: far off, the readings are not nearly linear
            tried = scaled + size * step
            miss = missed(tried)
            worth = float(miss @ miss + tried @ tried)
            if worth < before:
                break
            size /= 2.0
        if not worth < before:  # nothing is gained any more: at rest where rounding is all that is left
            settled = bool(step @ normal @ step < _ROUNDING * (1.0 + before))
            break
        scaled = tried
    values = prior + prior_sd * scaled
    slope = derivatives(predict, values, prior_sd) * prior_sd / reading_sd[:, None]
    _, singular, axes = np.linalg.svd(np.vstack([slope, np.eye(len(prior))]), full_matrices=False)
    spread = (axes.T / singular**2) @ axes
    misfit = (readings - predict(values)) / reading_sd
    return Estimate(values, spread * np.outer(prior_sd, prior_sd), misfit, scaled, settled)


def derivatives(predict: Callable[[Floats], Floats], values: Floats, sizes: Floats) -> Floats:
    """Return the first derivatives of a prediction by central differences.

    Parameters
    ----------
    predict : callable
        Of values (n,) the readings (m,).
    values : array of float, (n,)
        Where.
    sizes : array of float, (n,)
        The differences are a millionth of these wide.

    Returns
    -------
    array of float, (m, n)
        Of each reading by each value.

    Examples
    --------
    >>> derivatives(lambda v: v**2, np.array([3.0]), np.array([1.0])).round(6).tolist()
    [[6.0]]
    """
    columns = []
    for k, size in enumerate(sizes):
        step = np.zeros(len(values))
        step[k] = max(_STEP * size, 1e-9 * abs(values[k]))
        columns.append((predict(values + step) - predict(values - step)) / (2.0 * step[k]))
    return np.stack(columns, axis=1)
