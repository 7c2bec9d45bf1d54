"""What a load-extension curve shows: peak, stiffness, slip drops, where it leaves its straight line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.mechanics import limits
from helix.statistics.confidence import Array

_WINDOW: Final = 0.25  # of the peak, span of loads over which stiffness is fitted


@dataclass(frozen=True)
class Drop:
    """A fall of the load: at which extension, from and to which load."""

    at: float
    before: float
    after: float


@dataclass(frozen=True)
class CurveEvents:
    """Events of one curve in its own units.

    slack: extension at which the fitted straight line starts. departure: extension and load from which the
    curve stays off that line by more than 5 % of the elastic extension at the peak; None if it breaks first.
    """

    peak: float
    peak_at: float
    stiffness: float
    slack: float
    fitted: tuple[float, float]
    drops: tuple[Drop, ...]
    end: Drop | None
    departure: tuple[float, float] | None


def curve_events(extension: object, load: object) -> CurveEvents:
    """Return the events of a curve.

    Parameters
    ----------
    extension, load : array_like, (n,)
        In the order measured, 20 points or more, finite; the load rises from the start to a peak above 0 [any units].

    Returns
    -------
    CurveEvents
        In the same units.

    Raises
    ------
    ValueError
        Outside these ranges.
    """
    x, f = np.asarray(extension, dtype=np.float64), np.asarray(load, dtype=np.float64)
    if x.shape != f.shape or x.ndim != 1 or x.size < 20:
        raise ValueError(f"extension and load must be of one length of at least 20 points; got {x.shape} and {f.shape}")
    if not (np.isfinite(x).all() and np.isfinite(f).all()):
        raise ValueError("extension and load must be finite")
    top = int(np.argmax(f))
    peak = float(f[top])
    if not peak > 0.0 or top < 8 or not x[top] > x[0]:
        raise ValueError("the load must rise from the start to a peak above 0")
    noise = _noise(f)
    drops = _drops(x, f, max(limits.CURVE_DROP * peak, 8.0 * noise))
    end = None
    if drops and drops[-1].after < limits.CURVE_BROKEN * peak and float(f[-1]) < limits.CURVE_BROKEN * peak:
        end = drops[-1]
    stiffness, slack, fitted = _stiffness(x[: top + 1], f[: top + 1], peak)
    last = int(np.flatnonzero(x >= end.at)[0]) if end else x.size - 1
    departure = _departure(x[: last + 1], f[: last + 1], stiffness, slack, peak, noise)
    return CurveEvents(
        peak, float(x[top]), stiffness, slack, fitted, tuple(drop for drop in drops if drop is not end), end, departure
    )


def _noise(f: Array) -> float:
    """SD of the noise from second differences (their median is blind to slow change and to single drops)."""
    return float(np.median(np.abs(np.diff(f, 2)))) / 0.6745 / math.sqrt(6.0)


def _drops(x: Array, f: Array, least: float) -> list[Drop]:
    """Falls of at least that much between turning points."""
    turns = np.flatnonzero(np.diff(np.sign(np.diff(f))) != 0) + 1
    at = np.concatenate(([0], turns, [f.size - 1]))
    loads, places = f[at].tolist(), at.tolist()
    drops: list[Drop] = []
    high, low = 0, 0
    for k in range(1, len(loads)):
        if loads[k] >= loads[high] or loads[k] > loads[low] + least:
            if loads[high] - loads[low] >= least:
                drops.append(Drop(float(x[places[high]]), loads[high], loads[low]))
                high = low = k
                continue
            if loads[k] >= loads[high]:
                high = low = k
        elif loads[k] < loads[low]:
            low = k
    if loads[high] - loads[low] >= least:
        drops.append(Drop(float(x[places[high]]), loads[high], loads[low]))
    return drops


def _stiffness(x: Array, f: Array, peak: float) -> tuple[float, float, tuple[float, float]]:
    """Steepest straight line through a window of loads between a tenth and nine tenths of the peak."""
    risen = np.maximum.accumulate(f)
    best = (0.0, 0.0, (0.0, 0.0))
    for low in np.arange(0.10, 0.90 - _WINDOW + 1e-9, 0.05):
        first = int(np.searchsorted(risen, low * peak))
        last = int(np.searchsorted(risen, (low + _WINDOW) * peak))
        if last - first < 5 or not np.ptp(x[first:last]) > 0.0:
            continue
        dx, df = x[first:last] - x[first:last].mean(), f[first:last] - f[first:last].mean()
        slope = float(dx @ df / (dx @ dx))
        if slope > best[0]:
            slack = float(x[first:last].mean() - f[first:last].mean() / slope)
            best = (slope, slack, (float(low) * peak, (float(low) + _WINDOW) * peak))
    if best[0] <= 0.0:
        raise ValueError("the load must rise over at least 5 points between a tenth and nine tenths of its peak")
    return best


def _departure(
    x: Array, f: Array, stiffness: float, slack: float, peak: float, noise: float
) -> tuple[float, float] | None:
    """First point from which the extension stays beyond what the straight line gives."""
    allowed = max(limits.CURVE_DEPARTS * peak / stiffness, 8.0 * noise / stiffness)
    beyond = x - slack - f / stiffness > allowed
    beyond &= f > 0.1 * peak  # the slack at the start is not a departure
    within = np.flatnonzero(~beyond & (f > 0.1 * peak))
    start = int(within[-1]) + 1 if within.size else 0
    if x.size - start < 3:
        return None
    return float(x[start]), float(f[start])
