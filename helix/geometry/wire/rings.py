"""Where to put the rings of a wire's surface: close together in bends, far apart where it is straight."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import curvature_vectors, derivatives
from helix.geometry.wire.path import Path

LONGEST = 8.0  # the longest step along a straight wire [d]
CLOSE = 0.7  # curvature as for which rings are set where parts touch [1/d]
_LOOK = 0.08  # spacing at which the curvature is looked at beforehand [d]


@dataclass(frozen=True)
class Rings:
    """Places along a wire (unit: the wire diameter), each exactly on its curve.

    s (n,) arc length, points (n, 3), tangents (n, 3) unit, piece (n,) index (a join has the later one).
    """

    s: Array
    points: Array
    tangents: Array
    piece: np.ndarray


def rings(path: Path, tolerance: float, longest: float = LONGEST, close: frozenset[str] = frozenset()) -> Rings:
    """Place rings so close that straight facets between them stay within a tolerance of the wire's surface.

    Parameters
    ----------
    path : Path
        The wire.
    tolerance : float
        Largest distance of facets from the surface, above 0 [d].
    longest : float
        Longest step, above 0 [d].
    close : frozenset of str
        Sections that get rings as for a curvature of at least CLOSE: lines of contact wind round them.

    Returns
    -------
    Rings
        The places; every join has one.

    Raises
    ------
    ValueError
        Unless both numbers are positive.

    Notes
    -----
    A chord of length h on the outside of a bend of curvature k cuts off h^2/8 k (1 + k/2); the spacing follows the
    largest curvature nearby.
    """
    if not (tolerance > 0.0 and longest > 0.0):
        raise ValueError(f"tolerance and longest must be above 0; got {tolerance}, {longest}")
    rows: list[tuple[Array, Array, Array, np.ndarray]] = []
    last = len(path.pieces) - 1
    for k, (piece, length) in enumerate(zip(path.pieces, path.lengths, strict=True)):
        if length <= 0.0:
            continue
        curve = piece.curve
        look = np.linspace(0.0, curve.span, max(9, int(np.ceil(length / _LOOK)) + 1))
        d = derivatives(curve, look, 2)
        speed = np.linalg.norm(d[1], axis=1)
        bent = np.linalg.norm(curvature_vectors(d), axis=1)
        if piece.section in close:
            bent = np.maximum(bent, CLOSE)
        steps_per_d = np.maximum(np.sqrt(bent * (1.0 + bent / 2.0) / (8.0 * tolerance)), 1.0 / longest)
        count = _running(look, steps_per_d * speed)
        s = _running(look, speed)
        s *= length / s[-1]
        wanted = np.linspace(0.0, count[-1], max(int(np.ceil(count[-1] - 1e-9)), 1) + 1)
        u = np.interp(wanted, count, look)[: None if k == last else -1]
        there = derivatives(curve, u, 1)
        ahead = there[1] / np.linalg.norm(there[1], axis=1, keepdims=True)
        rows.append((path.starts[k] + np.interp(u, look, s), there[0], ahead, np.full(u.size, k)))
    return Rings(*(np.concatenate(column) for column in zip(*rows, strict=True)))


def _running(u: Array, rate: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2.0 * np.diff(u))])
