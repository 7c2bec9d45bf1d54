"""The likelihood of a location and a scale, integrated with d mu d sigma/sigma on a grid.

Rows are values of ln sigma, evenly spaced; along a row mu runs over nodes about that row's most likely
value. All integrals are sums over even nodes, which converge faster than any power of the spacing for a
smooth integrand that vanishes at both ends; running integrals carry Euler's end correction.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.statistics.confidence import Array, Confidence
from helix.statistics.fits.likelihood import Family, Sample, log_likelihood, survival_bend, survival_slope

_SPACING: Final = 0.25  # of nodes along a row, in the row's own width
_ROW_SPACING: Final = 0.35  # of rows, in units of 1/sqrt(2 failures), the width of a complete sample
_NEGLECTED: Final = 18.0  # rows end where the logarithm of their mass has dropped by this much
_DEGREE: Final = 12
_MANY: Final = 400  # failures from which the log-likelihood is interpolated by Chebyshev polynomials


@dataclass(frozen=True)
class Integrated:
    """Running and whole masses of the integrand in units of the sample's own location and scale.

    logs (r,): ln sigma; middle, width (r,): the nodes of row r are middle + width steps; steps (k,);
    mass (r,): of a row, summing to 1; density, reached (r, k): along a row, each row's whole mass being 1.
    """

    centre: float
    spread: float
    logs: Array
    middle: Array
    width: Array
    steps: Array
    mass: Array
    density: Array
    reached: Array

    def linear(self, factor: float) -> Confidence:
        """Return the confidence distribution of mu + factor sigma, in the data's unit."""
        sigma = np.exp(self.logs)
        middle = self.middle + factor * sigma
        heavy = self.mass > 1e-7
        ends = np.array([self.steps[0], self.steps[-1]])
        reach = middle[heavy, None] + self.width[heavy, None] * ends
        best = int(np.argmax(self.mass))
        centre, scale = float(middle[best]), float(self.width[best])
        low, high = np.arcsinh((np.array([reach.min(), reach.max()]) - centre) / scale).tolist()
        at = centre + scale * np.sinh(np.linspace(low, high, 321))
        reached = self._row_reached((at[:, None] - middle) / self.width) @ self.mass
        return _confidence(reached, self.centre + self.spread * at)

    def scales(self) -> Confidence:
        """Return the confidence distribution of sigma, in the data's unit."""
        step = float(self.logs[1] - self.logs[0])
        reached = running(self.mass / step, step)
        fine = np.linspace(0.0, self.logs.size - 1.0, 4 * self.logs.size)
        only = np.zeros(fine.size, dtype=np.intp)
        levels = _hermite(reached[None, :], self.mass[None, :] / step, step, only, fine)
        return _confidence(levels, self.spread * np.exp(self.logs[0] + step * fine))

    def _row_reached(self, steps: Array) -> Array:
        """Share of each row's mass below these steps, shape (q, r)."""
        step = float(self.steps[1] - self.steps[0])
        place = np.clip((steps - self.steps[0]) / step, 0.0, self.steps.size - 1.0)
        rows = np.broadcast_to(np.arange(self.mass.size), place.shape)
        return _hermite(self.reached, self.density, step, rows, place)


def integrated(data: Sample, family: Family, location: float, scale: float) -> Integrated:
    """Return the integrated likelihood of a sample about its most likely location and scale."""
    unit = Sample((data.values - location) / scale, data.failed, data.joints)
    failures = unit.failures
    right = 7.5 if family == "normal" else max(7.5, 16.0 / float(np.sqrt(failures)))
    step = _ROW_SPACING / float(np.sqrt(2.0 * failures))
    below = np.arange(-int(np.ceil(7.0 / _ROW_SPACING)), 0) * step
    above = np.arange(int(np.ceil(7.0 / _ROW_SPACING)) + 1) * step
    while True:
        logs = np.concatenate((below, above))
        many = failures >= _MANY
        middle, width = _straight_rows(unit, logs, family) if many else _rows(unit, logs, family)
        wide = max(1.0, min(5.0, float((np.exp(logs) / np.sqrt(failures) / width).max())))
        steps = np.asarray(np.arange(-int(7.5 / _SPACING), int(right * wide / _SPACING) + 1) * _SPACING, dtype=float)
        table = (_interpolated if many else _evaluated)(unit, logs, middle, width, steps, family)
        table = table - table.max()
        density = np.exp(table)
        weight = density.sum(axis=1) * width
        light = np.log(weight.max()) - np.log(np.maximum(weight[[0, -1]], 1e-300))
        if light[1] >= _NEGLECTED and light[0] >= _NEGLECTED:
            break
        if light[1] < _NEGLECTED:
            above = np.arange(2 * above.size) * step
        if light[0] < _NEGLECTED:
            below = np.arange(-2 * below.size, 0) * step
    used = np.log(weight.max()) - np.log(np.maximum(weight, 1e-300)) < 1.5 * _NEGLECTED
    keep = slice(int(np.argmax(used)), used.size - int(np.argmax(used[::-1])))
    logs, middle, width, density, weight = logs[keep], middle[keep], width[keep], density[keep], weight[keep]
    density = density / (density.sum(axis=1, keepdims=True) * _SPACING)
    return Integrated(
        location, scale, logs, middle, width, steps, weight / weight.sum(), density, running(density, _SPACING)
    )


def running(density: Array, step: float) -> Array:
    """Return the integral up to each even node along the last axis: trapezoids with Euler's end correction."""
    halves = (density[..., 1:] + density[..., :-1]) * (step / 2.0)
    total = np.concatenate((np.zeros((*density.shape[:-1], 1)), np.cumsum(halves, axis=-1)), axis=-1)
    slope = np.gradient(density, step, axis=-1)
    # np.gradient's own error, step^2 f'''/6, joins the next term of the series
    bend = np.gradient(np.gradient(slope, step, axis=-1), step, axis=-1)
    corrected = total - step**2 / 12.0 * slope + step**4 * (1.0 / 720.0 + 1.0 / 72.0) * bend
    return np.asarray(np.clip(corrected / corrected[..., -1:], 0.0, 1.0))


def _hermite(reached: Array, density: Array, step: float, rows: NDArray[np.intp], place: Array) -> Array:
    """Cubic between nodes from values and slopes; place: in node spacings, rows: the row of each."""
    left = np.minimum(place.astype(np.intp), reached.shape[-1] - 2)
    t = place - left
    y0, y1 = reached[rows, left], reached[rows, left + 1]
    d0, d1 = density[rows, left] * step, density[rows, left + 1] * step
    return np.asarray(y0 + t * (d0 + t * (3.0 * (y1 - y0) - 2.0 * d0 - d1 + t * (d0 + d1 - 2.0 * (y1 - y0)))))


def _confidence(reached: Array, values: Array) -> Confidence:
    """Return a confidence distribution from a running mass, its flat ends taken off."""
    inside = (reached > 1e-6) & (reached < 1.0 - 1e-6)
    inside &= np.concatenate(([True], np.diff(np.maximum.accumulate(reached)) > 0.0))
    return Confidence(reached[inside], values[inside])


def _evaluated(unit: Sample, logs: Array, middle: Array, width: Array, steps: Array, family: Family) -> Array:
    at = middle[:, None] + width[:, None] * steps
    return log_likelihood(unit, at, np.broadcast_to(np.exp(logs)[:, None], at.shape), family)


def _interpolated(unit: Sample, logs: Array, middle: Array, width: Array, steps: Array, family: Family) -> Array:
    """Return the same by a polynomial in ln sigma and the step through Chebyshev nodes, for samples of thousands."""
    from numpy.polynomial import chebyshev

    nodes = chebyshev.chebpts1(_DEGREE + 1)
    row = (logs[-1] + logs[0]) / 2.0 + (logs[-1] - logs[0]) / 2.0 * nodes
    step = (steps[-1] + steps[0]) / 2.0 + (steps[-1] - steps[0]) / 2.0 * nodes
    values = _evaluated(unit, row, np.interp(row, logs, middle), np.interp(row, logs, width), step, family)
    change = np.linalg.inv(chebyshev.chebvander(nodes, _DEGREE))
    terms = change @ values @ change.T
    left = chebyshev.chebvander(np.linspace(-1.0, 1.0, logs.size), _DEGREE)
    right = chebyshev.chebvander(np.linspace(-1.0, 1.0, steps.size), _DEGREE)
    return np.asarray(left @ terms @ right.T)


def _straight_rows(unit: Sample, logs: Array, family: Family) -> tuple[Array, Array]:
    """Nodes that lie on a straight line in ln sigma: middle and width at the most likely scale."""
    middle, width = _rows(unit, np.array([-1e-2, 0.0, 1e-2]), family)
    slope = (middle[2] - middle[0]) / 2e-2
    return middle[1] + slope * logs, np.full(logs.size, width[1])


def _rows(unit: Sample, logs: Array, family: Family) -> tuple[Array, Array]:
    """For each scale the most likely location, and the width of the likelihood there, shapes (r,)."""
    sigma = np.exp(logs)
    times = np.where(unit.failed, unit.joints - 1.0, unit.joints)
    middle = np.zeros_like(sigma)
    width = sigma.copy()
    for _ in range(60):
        z = (unit.values - middle[:, None]) / sigma[:, None]
        slope = times * survival_slope(z, family)
        bend = times * survival_bend(z, family)
        if family == "normal":
            slope, bend = slope - unit.failed * z, bend - unit.failed
        else:
            with np.errstate(over="ignore", invalid="ignore"):
                rise = np.where(unit.failed, np.exp(z), 0.0)
            slope, bend = slope + unit.failed - rise, bend - rise
        down, curve = -slope.sum(axis=1), -bend.sum(axis=1)
        width = sigma / np.sqrt(curve)
        moved = np.clip(down / curve, -1.0, 1.0) * sigma
        middle = middle + moved
        if bool((np.abs(moved) < 1e-4 * width).all()):
            break
    return middle, width
