"""Places of two wires brought together exactly: the foot of one on the other, and pairs moved to the nearest of both.

Unit: the wire diameter. `distance` takes its candidates from samples and has them made exact here.
Derivation: docs/theory/clearance.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.path import Path, Samples

_STILL = 1e-15  # a step of the polish that gains less has arrived [d]
_AT_ONCE = 20_000  # places whose feet are sought together


@dataclass(frozen=True)
class Chain:
    """Several wires side by side as one list of pieces; ``s`` jumps between them."""

    path: Path
    breaks: frozenset[int]

    @cached_property
    def spans(self) -> Array:
        """Span of each piece (n,)."""
        return np.array([p.curve.span for p in self.path.pieces])

    @cached_property
    def goes_on(self) -> np.ndarray:
        """Whether another piece follows on each (n,)."""
        last = len(self.path.pieces) - 1
        return np.array([k < last and k not in self.breaks for k in range(last + 1)], dtype=bool)

    @cached_property
    def follows(self) -> np.ndarray:
        """Whether each piece follows on another (n,)."""
        return np.concatenate([[False], self.goes_on[:-1]])

    def advance(self, piece: np.ndarray, u: Array, du: Array, speed: Array) -> tuple[np.ndarray, Array]:
        """Move along the wire, across joins, stopping at loose ends.

        Parameters
        ----------
        piece, u : ndarray
            Where from (n,).
        du : ndarray
            By how much of the parameter (n,).
        speed : ndarray
            Arc length by the parameter there (n,).

        Returns
        -------
        tuple
            Piece and parameter (n,).
        """
        piece, u = piece.copy(), u + du
        spans = self.spans
        for _ in range(2):
            over, under = u > spans[piece], u < 0.0
            can = over & self.goes_on[piece]
            rest = (u - spans[piece]) * speed
            piece = np.where(can, piece + 1, piece)
            u = np.where(can, rest, u)
            back = under & self.follows[piece]
            rest = u * speed
            piece = np.where(back, piece - 1, piece)
            u = np.where(back, spans[piece] + rest, u)
        return piece, np.clip(u, 0.0, spans[piece])

    def at_end(self, piece: np.ndarray, u: Array) -> np.ndarray:
        """Whether each place is a loose end of a wire.

        Parameters
        ----------
        piece, u : ndarray
            The places (n,).

        Returns
        -------
        ndarray
            Booleans (n,).
        """
        first, last = ~self.follows[piece], ~self.goes_on[piece]
        loose: np.ndarray = (first & (u <= 0.0)) | (last & (u >= self.spans[piece]))
        return loose


def chain_paths(paths: Sequence[Path]) -> Chain:
    """Set wires side by side as one chain.

    Parameters
    ----------
    paths : sequence of Path
        Each a wire of its own.

    Returns
    -------
    Chain
        Their pieces, with a break behind each wire's last.
    """
    if len(paths) == 1:
        return Chain(paths[0], frozenset())
    lasts = np.cumsum([len(path.pieces) for path in paths]) - 1
    return Chain(Path(tuple(p for path in paths for p in path.pieces)), frozenset(lasts.tolist()))


def find_feet(
    chain: Chain, samples: Samples, i: np.ndarray, j: np.ndarray, step: float
) -> tuple[np.ndarray, Array, Array, Array]:
    """Find the places near the samples j that are nearest to the samples i, so many at once.

    Parameters
    ----------
    chain : Chain
        The wires.
    samples : Samples
        Places along them.
    i, j : ndarray
        Indices of samples that are near each other (n,).
    step : float
        The furthest that one step goes [d].

    Returns
    -------
    tuple
        Piece and parameter of each foot (n,), the place (n, 3) and its distance (n,) [d].
    """
    per_length = _parameter_rates(chain, samples)
    parts = []
    for start in range(0, i.size, _AT_ONCE):
        a, b = i[start : start + _AT_ONCE], j[start : start + _AT_ONCE]
        # the first step of Newton's is known: samples have their derivatives with respect to arc length
        r, rate = samples.points[b] - samples.points[a], per_length[b]
        slope = _dot(r, samples.tangents[b])
        bend = 1.0 + _dot(r, samples.curvature[b])
        ds = np.clip(-slope / np.where(bend > 1e-3, bend, 1.0), -step, step)
        piece, u = chain.advance(samples.piece[b], samples.u[b], ds * rate, 1.0 / rate)
        parts.append(_foot(chain, samples.points[a], piece, u, step, 2))
    piece, u, place, m = (np.concatenate(column) for column in zip(*parts, strict=True))
    return piece, u, place, m


def _parameter_rates(chain: Chain, samples: Samples) -> Array:
    """How fast the parameter runs along the wire at each sample (n,) [1/d], from its neighbours in its piece."""
    spans, lengths = chain.spans, np.array(chain.path.lengths)
    whole = np.divide(spans, lengths, out=np.ones_like(spans), where=lengths > 0.0)
    du, ds = np.diff(samples.u), np.diff(samples.s)
    inside = np.diff(samples.piece) == 0
    up = np.concatenate([np.where(inside, du, 0.0), [0.0]])
    along = np.concatenate([np.where(inside, ds, 0.0), [0.0]])
    up[1:] += up[:-1].copy()
    along[1:] += along[:-1].copy()
    rates: Array = whole[samples.piece]
    np.divide(up, along, out=rates, where=along > 0.0)
    return rates


def _foot(
    chain: Chain, p: Array, piece: np.ndarray, u: Array, step: float, rounds: int = 3
) -> tuple[np.ndarray, Array, Array, Array]:
    """Newton along the other part: the place nearest to each fixed point ``p`` (n, 3)."""
    for _ in range(rounds):
        d = chain.path.evaluate(piece, u)
        r = d[0] - p
        slope = _dot(r, d[1])
        v2 = _dot(d[1], d[1])
        bend = v2 + _dot(r, d[2])
        du = -slope / np.where(bend > 1e-3 * v2, bend, v2)
        speed = np.sqrt(v2)
        du = np.clip(du, -step / speed, step / speed)
        piece, u = chain.advance(piece, u, du, speed)
    place = chain.path.evaluate(piece, u, 0)[0]
    off = place - p
    return piece, u, place, np.sqrt(_dot(off, off))


def _dot(a: Array, b: Array) -> Array:
    """Scalar products of rows (n, 3)."""
    products: Array = np.einsum("ij,ij->i", a, b)
    return products


def polish_pairs(
    chain: Chain, piece: np.ndarray, u: Array, step: float, rounds: int = 6
) -> tuple[np.ndarray, Array, Array, Array]:
    """Move pairs of places together by damped Newton in both parameters; the best seen is kept.

    Parameters
    ----------
    chain : Chain
        The wires.
    piece, u : ndarray
        Pieces and parameters of the pairs (2, n).
    step : float
        The furthest that one step goes [d].
    rounds : int
        Steps at most.

    Returns
    -------
    tuple
        Pieces and parameters (2, n), distances (n,) and places (2, n, 3).

    Notes
    -----
    Where one place has stopped at a loose end, the other is brought square to it at
    last.
    """
    count = u.shape[1]
    best = np.full(count, np.inf)
    best_piece, best_u = piece.copy(), u.copy()
    best_points = np.zeros((2, count, 3))
    rows = np.arange(count)  # those that move still
    for k in range(rounds):
        d = chain.path.evaluate(piece.ravel(), u.ravel())
        a, b = d[:, : rows.size], d[:, rows.size :]
        r = a[0] - b[0]
        dist = np.sqrt(_dot(r, r))
        gain = best[rows] - dist
        better = gain > 0.0
        won = rows[better]
        best[won] = dist[better]
        best_piece[:, won], best_u[:, won] = piece[:, better], u[:, better]
        best_points[:, won] = d[0].reshape(2, -1, 3)[:, better]
        if k == rounds - 1:
            break
        va, vb = np.sqrt(_dot(a[1], a[1])), np.sqrt(_dot(b[1], b[1]))
        ga, gb = _dot(r, a[1]), -_dot(r, b[1])
        haa = va**2 + _dot(r, a[2])
        hbb = vb**2 - _dot(r, b[2])
        hab = -_dot(a[1], b[1])
        haa, hbb = haa + 1e-7 * va**2, hbb + 1e-7 * vb**2
        trace, det = haa + hbb, haa * hbb - hab**2
        shift = np.maximum(0.0, -(trace / 2.0 - np.sqrt(np.maximum(trace**2 / 4.0 - det, 0.0)))) * 1.5
        haa, hbb = haa + shift, hbb + shift
        det = haa * hbb - hab**2
        det = np.where(np.abs(det) < 1e-12, 1e-12, det)
        da, db = -(hbb * ga - hab * gb) / det, -(haa * gb - hab * ga) / det
        scale = np.maximum(1.0, np.maximum(np.abs(da) * va, np.abs(db) * vb) / (step / 2.0))
        go = np.abs(ga * da + gb * db) > 2.0 * _STILL * dist  # what the step would gain
        if k > 1:
            go &= gain > _STILL
        if not go.any():
            break
        rows, scale = rows[go], scale[go]
        pa, ua = chain.advance(piece[0, go], u[0, go], da[go] / scale, va[go])
        pb, ub = chain.advance(piece[1, go], u[1, go], db[go] / scale, vb[go])
        piece, u = np.stack([pa, pb]), np.stack([ua, ub])
    for side in (0, 1):
        rows = np.flatnonzero(chain.at_end(best_piece[1 - side], best_u[1 - side]))
        if rows.size == 0:
            continue
        piece, moved, place, dist = _foot(
            chain, best_points[1 - side, rows], best_piece[side, rows], best_u[side, rows], step
        )
        better = dist < best[rows]
        rows = rows[better]
        best[rows], best_piece[side, rows], best_points[side, rows] = dist[better], piece[better], place[better]
        best_u[side, rows] = moved[better]
    return best_piece, best_u, best, best_points
