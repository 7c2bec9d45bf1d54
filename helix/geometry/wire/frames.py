"""The rotation-minimising frame along a wire, and what is averaged in it."""

from __future__ import annotations

import numpy as np

from helix.geometry.maths.jets import Array


def frame_angles(points: Array, tangents: Array) -> tuple[Array, Array, Array]:
    """Compute a rotation-minimising frame along sampled points, by double reflection.

    Parameters
    ----------
    points, tangents : array (n, 3)
        Samples along the wire.

    Returns
    -------
    tuple of array
        U, V (n, 3), any smooth-enough frame normal to the tangents, and the angle phi (n,) by which the
        rotation-minimising frame's first vector, cos(phi) U + sin(phi) V, stands from it. Fourth order in the
        spacing.

    Notes
    -----
    Each step is independent of the others, so all are taken at once and the angles are summed. Source: Wang,
    Juettler, Zheng and Liu, "Computation of rotation minimizing frames", ACM TOG 27(1) art. 2 (2008), doi
    10.1145/1330511.1330513.
    """
    u, v, cos, sin = _steps(points, tangents)
    return u.T, v.T, np.concatenate([[0.0], np.cumsum(np.arctan2(sin, cos))])


def minimal_frame(points: Array, tangents: Array) -> tuple[Array, Array]:
    """Compute the rotation-minimising frame itself.

    Parameters
    ----------
    points, tangents : array (n, 3)
        Samples along the wire.

    Returns
    -------
    tuple of array
        Two unit normals (n, 3) to the tangents.

    Notes
    -----
    As `frame_angles`, with the turns multiplied as unit complex numbers instead of summed as angles.
    """
    u, v, cos, sin = _steps(points, tangents)
    turn = np.ones(len(points), dtype=complex)
    turn.real[1:], turn.imag[1:] = cos, sin
    np.cumprod(turn, out=turn)
    turn /= np.abs(turn)
    cos, sin = turn.real.copy(), turn.imag.copy()
    return (u * cos + v * sin).T, (v * cos - u * sin).T


def _steps(points: Array, tangents: Array) -> tuple[Array, Array, Array, Array]:
    """Compute a frame and the turn that each step adds to it.

    Returns
    -------
    tuple of array
        U, V (3, n) and the turn's cosine and sine (n - 1,).

    Notes
    -----
    Coordinates are the first axis here: whole rows of numbers, several times faster.
    """
    x, t = np.ascontiguousarray(points.T), np.ascontiguousarray(tangents.T)
    u = _any_normal(t)
    v = np.stack((t[1] * u[2] - t[2] * u[1], t[2] * u[0] - t[0] * u[2], t[0] * u[1] - t[1] * u[0]))
    step = x[:, 1:] - x[:, :-1]
    weight = _mirror_weight(step)
    moved = u[:, :-1] - step * (weight * _dot(step, u[:, :-1]))
    second = step * (weight * _dot(step, t[:, :-1]))
    second += t[:, 1:]
    second -= t[:, :-1]
    moved -= second * (_mirror_weight(second) * _dot(second, moved))
    return u, v, _dot(moved, u[:, 1:]), _dot(moved, v[:, 1:])


def _any_normal(t: Array) -> Array:
    """Compute unit vectors normal to the tangents (3, n): the least component's axis, made square to them."""
    column, axis = np.arange(t.shape[1]), np.argmin(np.abs(t), axis=0)
    u: Array = t * -t[axis, column]
    u[axis, column] += 1.0
    u /= np.sqrt(_dot(u, u))
    return u


def _mirror_weight(normal: Array) -> Array:
    """2/|normal|^2, or 2 where there is nothing to mirror in."""
    square = _dot(normal, normal)
    square[square == 0.0] = 1.0
    return 2.0 / square


def _dot(a: Array, b: Array) -> Array:
    total: Array = a[0] * b[0]
    total += a[1] * b[1]
    total += a[2] * b[2]
    return total


def gauge_curvature(s: Array, points: Array, tangents: Array, curvature: Array, gauge: float) -> Array:
    """Compute the mean of the curvature vector over a gauge length centred at each sample.

    Parameters
    ----------
    s : array (n,)
        Arc length [d].
    points, tangents : array (n, 3)
        Samples along the wire.
    curvature : array (n, 3)
        Curvature vectors [1/d].
    gauge : float
        The gauge length [d].

    Returns
    -------
    array (n,)
        Length of that mean [1/d]; on a helix kappa sin(x)/x, x = torsion gauge/2.

    Notes
    -----
    The mean is taken of the components in the rotation-minimising frame, so a bend that only changes direction
    round the wire is not counted as one bend. The window is cut off at the wire's ends, beyond which the wire is
    straight.
    """
    u, v, phi = frame_angles(points, tangents)
    component = (np.sum(curvature * u, axis=1) + 1j * np.sum(curvature * v, axis=1)) * np.exp(-1j * phi)
    total = np.concatenate([[0.0], np.cumsum((component[1:] + component[:-1]) / 2.0 * np.diff(s))])
    low, high = s - gauge / 2.0, s + gauge / 2.0
    mean = (_at(high, s, total, component) - _at(low, s, total, component)) / gauge
    return np.abs(mean)


def _at(x: Array, s: Array, total: Array, component: Array) -> Array:
    """Compute the running integral at ``x``: trapezoids with linear components inside a step."""
    inside = np.clip(x, s[0], s[-1])
    k = np.clip(np.searchsorted(s, inside, side="right") - 1, 0, s.size - 2)
    h = inside - s[k]
    slope = (component[k + 1] - component[k]) / (s[k + 1] - s[k])
    return total[k] + h * component[k] + 0.5 * h * h * slope
