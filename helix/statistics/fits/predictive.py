"""What one more piece will hold: a log-normal strength with prior knowledge of its location, updated by own pieces.

Log strengths of single joints (or of straight wire) are normal with location theta and scale sigma, both unknown. The
posterior stands on a grid that is refined once round its bulk. Derivation: docs/theory/evidence.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from helix.geometry.maths.jets import Array

_LOCATIONS, _SCALES = 121, 41
_TAIL = 4.0  # degrees of freedom of the prior of the location: a coil may lie far off its table
_WIDE = 6.0  # posterior standard deviations to each side of the refined grid


@dataclass(frozen=True)
class LogNormalPosterior:
    """Location and scale of log strengths on a grid: locations (p,), scales (q,), weights (p, q) that sum to 1."""

    locations: Array
    scales: Array
    weights: Array

    def draw(self, location_level: ArrayLike, scale_level: ArrayLike) -> tuple[Array, Array]:
        """Give locations and scales at even levels from 0 to 1, arrays (n,): seeded draws of both.

        Parameters
        ----------
        location_level, scale_level : array_like
            Levels from 0 to 1, shape (n,); the scale is drawn given the location's row.

        Returns
        -------
        tuple of ndarray
            theta and sigma, shape (n,).
        """
        u, v = np.asarray(location_level, dtype=float), np.asarray(scale_level, dtype=float)
        rows = self.weights.sum(axis=1)
        below = np.concatenate([[0.0], np.cumsum(rows)])
        step = self.locations[1] - self.locations[0]
        edges = np.concatenate([self.locations - 0.5 * step, [self.locations[-1] + 0.5 * step]])
        theta = np.interp(u * below[-1], below, edges)
        row = np.clip(np.searchsorted(below, u * below[-1], side="right") - 1, 0, len(rows) - 1)
        inner = np.cumsum(self.weights, axis=1)[row]
        column = (inner < (v * inner[:, -1])[:, None]).sum(axis=1)
        return theta, self.scales[np.minimum(column, len(self.scales) - 1)]

    @property
    def location(self) -> tuple[float, float]:
        """Mean and standard deviation of the location."""
        rows = self.weights.sum(axis=1)
        mean = float(rows @ self.locations)
        return mean, float(np.sqrt(rows @ (self.locations - mean) ** 2))


def update_log_normal(
    prior: tuple[float, float], scale_prior: tuple[float, float], loads: ArrayLike, failed: ArrayLike, units: ArrayLike
) -> LogNormalPosterior:
    """Give what pieces say of a strength that is known beforehand within limits.

    Parameters
    ----------
    prior : tuple of float
        Centre and spread (> 0) of the location of the log strength: a t distribution of 4 degrees of freedom, so that
        few pieces can say that a coil lies far off.
    scale_prior : tuple of float
        Median (> 0) of the scale, and the standard deviation (> 0) of its logarithm.
    loads : array_like
        Loads at which the pieces ended, > 0, shape (n,); n may be 0.
    failed : array_like
        Whether the piece ended by this failure, shape (n,); False: it ended otherwise, and only says "above this".
    units : array_like
        Number of alike units (joints) a piece shows the weakest of, 1 or more, shape (n,).

    Returns
    -------
    LogNormalPosterior
        The grid with its weights.

    Notes
    -----
    Likelihood of a failure: u f(x) (1 - F(x))^(u-1); of another end: (1 - F(x))^u.

    Examples
    --------
    >>> alone = update_log_normal((0.0, 0.1), (0.03, 0.5), [], [], [])
    >>> told = update_log_normal((0.0, 0.1), (0.03, 0.5), [0.8] * 30, [True] * 30, [1] * 30)
    >>> [abs(round(value, 2)) for value in alone.location], round(float(np.exp(told.location[0])), 2)
    ([0.0, 0.14], 0.8)
    """
    x = np.log(np.asarray(loads, dtype=float))
    ended, count = np.asarray(failed, dtype=bool), np.asarray(units, dtype=float)
    mean, spread = prior
    low, high = mean - _WIDE * spread, mean + _WIDE * spread
    scales = scale_prior[0] * np.exp(np.linspace(-4.0, 4.0, _SCALES) * scale_prior[1])
    if x.size:
        low, high = min(low, float(x.min()) - 0.2), max(high, float(x.max()) + 0.2)
        scales = np.geomspace(scales[0], max(scales[-1], 2.0 * float(np.ptp(x)) + 1e-3), _SCALES)
    locations = np.linspace(low, high, 4 * _LOCATIONS)
    for _ in range(2):
        weights = _weights(locations, scales, prior, scale_prior, x, ended, count)
        posterior = LogNormalPosterior(locations, scales, weights)
        centre, width = posterior.location
        reach = _WIDE * max(width, 1e-6)
        columns = np.flatnonzero(weights.sum(axis=0) > 1e-7)
        locations = np.linspace(centre - reach, centre + reach, _LOCATIONS)
        scales = np.geomspace(scales[max(columns[0] - 1, 0)], scales[min(columns[-1] + 1, len(scales) - 1)], _SCALES)
    return LogNormalPosterior(locations, scales, _weights(locations, scales, prior, scale_prior, x, ended, count))


def _weights(
    locations: Array,
    scales: Array,
    prior: tuple[float, float],
    scale_prior: tuple[float, float],
    x: Array,
    ended: np.ndarray,
    count: Array,
) -> Array:
    """Weights of the grid (p, q); the grid of the scales is even in the logarithm, so their prior is one of it."""
    theta, sigma = locations[:, None], scales[None, :]
    logs = (
        -0.5 * (_TAIL + 1.0) * np.log1p(((theta - prior[0]) / prior[1]) ** 2 / _TAIL)
        - 0.5 * (np.log(sigma / scale_prior[0]) / scale_prior[1]) ** 2
    )
    if ended.any():  # the squares of many pieces are those of their mean and their spread
        own, n = x[ended], int(ended.sum())
        apart = float(np.sum((own - own.mean()) ** 2))
        logs = logs - 0.5 * (n * (theta - own.mean()) ** 2 + apart) / (sigma * sigma) - n * np.log(sigma)
    above = np.where(ended, count - 1.0, count)  # units of each piece of which all that is known is that they held
    if above.any():
        from scipy.special import log_ndtr

        for load in np.unique(x[above > 0.0]):
            logs = logs + above[x == load].sum() * log_ndtr((theta - load) / sigma)
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())
