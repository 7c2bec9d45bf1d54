"""The smooth centre line that contact sees: a quadratic B-spline over the nodes, its slope continuous everywhere.

Span i runs over u from -1/2 to 1/2 round node i. A rod that slides over another meets no corner. On an even arc the
spline lies inside the nodes by h^2 kappa/8 all along; `nodes_of` takes that back.
"""

from __future__ import annotations

import numpy as np

from helix.mechanics.rod.compiling import compiled

_ROUNDS = 60


@compiled
def weigh(u: float, weight: np.ndarray, slope: np.ndarray) -> None:
    """Write the weights of the three nodes of a span, and of their slope by node number.

    Parameters
    ----------
    u : float
        Place in the span, -1/2 to 1/2.
    weight, slope : array
        Written, (3,).
    """
    a, b = 0.5 - u, 0.5 + u
    weight[0], weight[1], weight[2] = 0.5 * a * a, 0.75 - u * u, 0.5 * b * b
    slope[0], slope[1], slope[2] = -a, -2.0 * u, b


@compiled
def foot_step(points: np.ndarray, place: float, x: float, y: float, z: float) -> float:
    """Bring the foot of a point on the centre line nearer by one step of Newton's.

    Parameters
    ----------
    points : array
        Nodes, (n, 3).
    place : float
        Foot so far, in nodes.
    x, y, z : float
        The point.

    Returns
    -------
    float
        The better foot, within one span of the old one and on the rod.
    """
    i = min(max(int(np.floor(place + 0.5)), 1), len(points) - 2)
    u = place - i
    a, b, c = 0.5 * (0.5 - u) ** 2, 0.75 - u * u, 0.5 * (0.5 + u) ** 2
    p, q, r = u - 0.5, -2.0 * u, u + 0.5
    along = rest = length = 0.0
    for k in range(3):
        at = a * points[i - 1, k] + b * points[i, k] + c * points[i + 1, k]
        slope = p * points[i - 1, k] + q * points[i, k] + r * points[i + 1, k]
        curve = points[i - 1, k] - 2.0 * points[i, k] + points[i + 1, k]
        away = (x if k == 0 else y if k == 1 else z) - at
        along += away * slope
        rest += away * curve
        length += slope * slope
    step = along / max(length - rest, 0.3 * length)
    step = min(max(step, -0.5), 0.5)
    return float(min(max(place + step, 0.5), len(points) - 1.5))


def nodes_of(points: np.ndarray) -> np.ndarray:
    """Give nodes whose smooth centre line runs through the points given, node by node.

    Parameters
    ----------
    points : ndarray
        Points of a curve at even steps, (n, 3).

    Returns
    -------
    ndarray
        Nodes, (n, 3); the ends stay.

    Examples
    --------
    >>> angle = np.arange(9) * 0.3
    >>> arc = np.stack([np.cos(angle), np.sin(angle), 0.0 * angle], axis=1)
    >>> nodes = nodes_of(arc)
    >>> middle = (nodes[3] + 6.0 * nodes[4] + nodes[5]) / 8.0
    >>> bool(np.allclose(middle, arc[4]))
    True
    """
    nodes = np.array(points, dtype=float)
    for _ in range(_ROUNDS):
        nodes[1:-1] += points[1:-1] - (nodes[:-2] + 6.0 * nodes[1:-1] + nodes[2:]) / 8.0
    return nodes
