"""The rotation-minimising frame along a wire, and what is averaged in it."""

from __future__ import annotations

import numpy as np

from helix.geometry.jets import Array


def frame_angles(points: Array, tangents: Array) -> tuple[Array, Array, Array]:
    """A rotation-minimising frame along sampled points, by double reflection.

    points, tangents: (n, 3). Returns (U, V, phi): any smooth-enough frame U, V (n, 3) normal to the
    tangents and the angle phi (n,) by which the rotation-minimising frame's first vector,
    cos(phi) U + sin(phi) V, stands from it. Fourth order in the spacing.

    Source: Wang, Juettler, Zheng and Liu, "Computation of rotation minimizing frames", ACM TOG 27(1)
    art. 2 (2008), doi 10.1145/1330511.1330513. Each step is independent of the others, so all are
    taken at once and the angles are summed.
    """
    u = _any_normal(tangents)
    v = np.cross(tangents, u)
    step = points[1:] - points[:-1]
    c1 = np.sum(step**2, axis=1, keepdims=True)
    c1 = np.where(c1 == 0.0, 1.0, c1)
    moved = u[:-1] - step * (2.0 / c1) * np.sum(step * u[:-1], axis=1, keepdims=True)
    tangent = tangents[:-1] - step * (2.0 / c1) * np.sum(step * tangents[:-1], axis=1, keepdims=True)
    second = tangents[1:] - tangent
    c2 = np.sum(second**2, axis=1, keepdims=True)
    c2 = np.where(c2 == 0.0, 1.0, c2)
    moved = moved - second * (2.0 / c2) * np.sum(second * moved, axis=1, keepdims=True)
    turn = np.arctan2(np.sum(moved * v[1:], axis=1), np.sum(moved * u[1:], axis=1))
    return u, v, np.concatenate([[0.0], np.cumsum(turn)])


def _any_normal(tangents: Array) -> Array:
    """Unit vectors normal to the tangents: the least component's axis, made square to them."""
    axis = np.zeros_like(tangents)
    axis[np.arange(len(tangents)), np.argmin(np.abs(tangents), axis=1)] = 1.0
    u = axis - tangents * np.sum(axis * tangents, axis=1, keepdims=True)
    return u / np.linalg.norm(u, axis=1, keepdims=True)


def gauge_curvature(s: Array, points: Array, tangents: Array, curvature: Array, gauge: float) -> Array:
    """|mean of the curvature vector| over a gauge length centred at each sample (n,).

    The mean is taken of the components in the rotation-minimising frame, so a bend that only changes
    direction round the wire is not counted as one bend. s (n,) arc length; the window is cut off at
    the wire's ends, beyond which the wire is straight. On a helix: kappa sin(x)/x, x = torsion
    gauge/2.
    """
    u, v, phi = frame_angles(points, tangents)
    component = (np.sum(curvature * u, axis=1) + 1j * np.sum(curvature * v, axis=1)) * np.exp(-1j * phi)
    total = np.concatenate([[0.0], np.cumsum((component[1:] + component[:-1]) / 2.0 * np.diff(s))])
    low, high = s - gauge / 2.0, s + gauge / 2.0
    mean = (_at(high, s, total, component) - _at(low, s, total, component)) / gauge
    return np.abs(mean)


def _at(x: Array, s: Array, total: Array, component: Array) -> Array:
    """The running integral at ``x``: trapezoids with linear components inside a step."""
    inside = np.clip(x, s[0], s[-1])
    k = np.clip(np.searchsorted(s, inside, side="right") - 1, 0, s.size - 2)
    h = inside - s[k]
    slope = (component[k + 1] - component[k]) / (s[k + 1] - s[k])
    return total[k] + h * component[k] + 0.5 * h * h * slope
