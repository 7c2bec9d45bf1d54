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
_MOST_STEPS = 40


@dataclass(frozen=True)
class Estimate:
    """values (n,) and their covariance (n, n); misfit (m,): reading less prediction, and pull (n,): value less
    what was known before, each in its own standard deviations; settled: whether the steps came to rest."""

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
    predict: Callable[[Floats], Floats],
    readings: Floats,
    reading_sd: Floats,
    prior: Floats,
    prior_sd: Floats,
) -> Estimate:
    """Return the values that fit readings and prior knowledge best, by Gauss-Newton steps.

    predict: (n,) values -> (m,) readings, smooth; readings, reading_sd (m,); prior, prior_sd (n,); all
    standard deviations above 0. The covariance is that of the linearised problem. Raises ValueError outside
    these.

    >>> found = estimate(lambda v: v[:1] * v[1:], np.array([12.0]), np.array([0.1]), np.array([3.0, 4.0]),
    ...                  np.array([100.0, 0.001]))
    >>> found.values.round(3).tolist(), found.deviations.round(4).tolist()
    ([3.0, 4.0], [0.025, 0.001])
    """
    for name, sd in (("reading_sd", reading_sd), ("prior_sd", prior_sd)):
        if not np.all((sd > 0.0) & np.isfinite(sd)):
            raise ValueError(f"{name} must be above 0 and finite; got {sd.tolist()}")
    if readings.shape != reading_sd.shape or prior.shape != prior_sd.shape:
        raise ValueError("every reading and every prior value must have its standard deviation")
    scaled = np.zeros(len(prior))  # values in standard deviations off the prior
    settled = False
    for _ in range(_MOST_STEPS):
        slope = derivatives(predict, prior + prior_sd * scaled, prior_sd) * prior_sd / reading_sd[:, None]
        miss = (readings - predict(prior + prior_sd * scaled)) / reading_sd
        normal = slope.T @ slope + np.eye(len(prior))
        step = np.linalg.solve(normal, slope.T @ miss - scaled)
        scaled = scaled + step
        if np.max(np.abs(step), initial=0.0) < 1e-9:
            settled = True
            break
    values = prior + prior_sd * scaled
    slope = derivatives(predict, values, prior_sd) * prior_sd / reading_sd[:, None]
    spread = np.linalg.inv(slope.T @ slope + np.eye(len(prior)))
    misfit = (readings - predict(values)) / reading_sd
    return Estimate(values, spread * np.outer(prior_sd, prior_sd), misfit, scaled, settled)


def derivatives(predict: Callable[[Floats], Floats], values: Floats, sizes: Floats) -> Floats:
    """Return the first derivatives (m, n) of a prediction, by central differences a millionth of `sizes` (n,) wide.

    >>> derivatives(lambda v: v**2, np.array([3.0]), np.array([1.0])).round(6).tolist()
    [[6.0]]
    """
    columns = []
    for k, size in enumerate(sizes):
        step = np.zeros(len(values))
        step[k] = max(_STEP * size, 1e-9 * abs(values[k]))
        columns.append((predict(values + step) - predict(values - step)) / (2.0 * step[k]))
    return np.stack(columns, axis=1)
