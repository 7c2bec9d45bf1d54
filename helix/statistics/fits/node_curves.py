"""Smooth curves through a few values at nodes: the two kinds that a table of responses needs, arrays in, arrays out."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Kind = Literal["spline", "monotone"]


def curve_at(nodes: Floats, values: Floats, z: Floats, kind: Kind) -> Floats:
    """Return values at places z from values at nodes, going on as the outermost piece does beyond them.

    Parameters
    ----------
    nodes : array of float, (q,)
        Three or more, ascending.
    values : array of float, (q, m)
        What m curves are at the nodes.
    z : array of float, (n,)
        Places.
    kind : {"spline", "monotone"}
        "spline": a cubic spline whose third derivative does not jump at the second node and the last but one
        (through three nodes: a parabola). "monotone": cubic pieces that never overshoot the values.

    Returns
    -------
    array of float, (n, m)
        The curves at z.

    Notes
    -----
    Monotone pieces after Fritsch and Butland, "A method for constructing local monotone piecewise cubic
    interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300. scipy.interpolate has the same two (CubicSpline,
    PchipInterpolator) and is what the tests compare with; its import takes as long as a third of `helix spread`.

    Examples
    --------
    >>> nodes = np.array([-1.0, 0.0, 1.0])
    >>> curve_at(nodes, nodes[:, None] ** 2, np.array([0.5]), "spline").tolist()
    [[0.25]]
    """
    slopes = node_slopes(nodes, values, kind)
    k = np.clip(np.searchsorted(nodes, z, "right") - 1, 0, len(nodes) - 2)
    step = (nodes[k + 1] - nodes[k])[:, None]
    t = (z[:, None] - nodes[k, None]) / step
    low, high, first, last = values[k], values[k + 1], step * slopes[k], step * slopes[k + 1]
    bend = 3.0 * (high - low) - 2.0 * first - last
    return np.asarray(low + t * (first + t * (bend + t * (2.0 * (low - high) + first + last))))


def node_slopes(nodes: Floats, values: Floats, kind: Kind) -> Floats:
    """Return the first derivatives of those curves at the nodes.

    Parameters
    ----------
    nodes : array of float, (q,)
        Three or more, ascending.
    values : array of float, (q, m)
        What m curves are at the nodes.
    kind : {"spline", "monotone"}
        As `curve_at` has it.

    Returns
    -------
    array of float, (q, m)
        Derivatives.

    Examples
    --------
    >>> nodes = np.array([-1.0, 0.0, 1.0])
    >>> node_slopes(nodes, nodes[:, None] ** 2, "spline").ravel().tolist()
    [-2.0, 0.0, 2.0]
    """
    step = np.diff(nodes)
    secant = np.diff(values, axis=0) / step[:, None]
    return _spline_slopes(step, secant) if kind == "spline" else _monotone_slopes(step, secant)


def _spline_slopes(step: Floats, secant: Floats) -> Floats:
    """Slopes with which the second derivative does not jump, nor the third at the second node and the last but one."""
    q = len(step) + 1
    if q == 3:
        middle = (step[1] * secant[0] + step[0] * secant[1]) / (step[0] + step[1])
        return np.stack((2.0 * secant[0] - middle, middle, 2.0 * secant[1] - middle))
    a, b = np.zeros((q, q)), np.zeros((q, secant.shape[1]))
    for i in range(1, q - 1):
        a[i, i - 1 : i + 2] = step[i], 2.0 * (step[i - 1] + step[i]), step[i - 1]
        b[i] = 3.0 * (step[i] * secant[i - 1] + step[i - 1] * secant[i])
    for row, (i, j) in (
        (0, (0, 1)),
        (q - 1, (q - 2, q - 3)),
    ):  # the third derivatives of the two outermost pieces agree
        other = 2 if row == 0 else q - 3
        edge, inner = step[i], step[j]
        a[row, row], a[row, 1 if row == 0 else q - 2] = inner**2, inner**2 - edge**2
        a[row, other] = -(edge**2)
        b[row] = 2.0 * (inner**2 * secant[i] - edge**2 * secant[j])
    return np.asarray(np.linalg.solve(a, b))


def _monotone_slopes(step: Floats, secant: Floats) -> Floats:
    """Weighted harmonic means of the slopes to both sides, 0 where they differ in sign."""
    slopes = np.zeros((len(step) + 1, secant.shape[1]))
    before, after = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    alike = secant[:-1] * secant[1:] > 0.0
    some = np.where(alike, secant[:-1], 1.0), np.where(alike, secant[1:], 1.0)
    mean = (before + after)[:, None] / (before[:, None] / some[0] + after[:, None] / some[1])
    slopes[1:-1] = np.where(alike, mean, 0.0)
    slopes[0] = _end_slope(step[0], step[1], secant[0], secant[1])
    slopes[-1] = _end_slope(step[-1], step[-2], secant[-1], secant[-2])
    return slopes


def _end_slope(step: float, inner_step: float, secant: Floats, inner: Floats) -> Floats:
    """Slope at an end by three values, kept from overshooting."""
    slope = ((2.0 * step + inner_step) * secant - step * inner) / (step + inner_step)
    slope = np.where(np.sign(slope) == np.sign(secant), slope, 0.0)
    steep = (np.sign(secant) != np.sign(inner)) & (np.abs(slope) > 3.0 * np.abs(secant))
    return np.where(steep, 3.0 * secant, slope)
