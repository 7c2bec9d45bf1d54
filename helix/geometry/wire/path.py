"""A wire as a chain of curves: arc length, curvature, sampling, and evaluation at scattered places."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.maths.quadrature import arc_lengths
from helix.geometry.wire.curves import Curve, curvature_vectors, curve_length, derivatives, is_straight, speeds

_FEWEST_STEPS = 16  # of a curved piece: a kink shorter than the step would vanish between its ends
_MOST_KEPT = 2000  # samples of a piece that are kept for when it is met again


@dataclass(frozen=True)
class CurvePiece:
    """One curve of the wire and the section it belongs to."""

    section: str
    curve: Curve


@dataclass(frozen=True)
class Samples:
    """Points along a wire (unit: the wire diameter).

    s (n,), points (n, 3), tangents (n, 3), curvature (n, 3) vectors, piece (n,) index, u (n,) the
    parameter within the piece. A join between two pieces appears once.
    """

    s: Array
    points: Array
    tangents: Array
    curvature: Array
    piece: np.ndarray
    u: Array


@dataclass(frozen=True)
class Path:
    """Curves joined end to end, in the order of the wire."""

    pieces: tuple[CurvePiece, ...]
    lengths: Array = field(init=False, compare=False)
    starts: Array = field(init=False, compare=False)

    def __post_init__(self) -> None:
        lengths = np.array([_length(p.curve) for p in self.pieces])
        object.__setattr__(self, "lengths", lengths)
        object.__setattr__(self, "starts", np.concatenate([[0.0], np.cumsum(lengths)]))

    @property
    def length(self) -> float:
        """The whole length."""
        return float(self.starts[-1])

    def section_length(self, name: str) -> float:
        """Sum the wire in the section ``name``."""
        return float(sum(n for p, n in zip(self.pieces, self.lengths, strict=True) if p.section == name))

    def evaluate(self, piece: np.ndarray, u: Array, order: int = 2) -> Array:
        """Compute plain derivatives (order + 1, n, 3) at the parameters ``u`` of the pieces ``piece`` (n,)."""
        out = np.empty((order + 1, u.size, 3))
        for k in np.unique(piece):
            mask = piece == k
            out[:, mask] = derivatives(self.pieces[k].curve, u[mask], order)
        return out

    def sample(self, step: float, straight_step: float | None = None) -> Samples:
        """Sample no further apart along the wire than ``step`` (straight lines: ``straight_step``)."""
        rows: list[tuple[Array, Array, Array, Array, np.ndarray, Array]] = []
        for k, (p, length) in enumerate(zip(self.pieces, self.lengths.tolist(), strict=True)):
            if length <= 0.0:
                continue
            straight = straight_step is not None and is_straight(p.curve)
            own_step = (straight_step or step) if straight else step
            sampled = _kept if length < _MOST_KEPT * own_step else _sampled
            sampled_piece = sampled(p.curve, length, own_step)
            count = len(sampled_piece[0]) - (k < len(self.pieces) - 1)
            s, points, tangents, curvature, u = (column[:count] for column in sampled_piece)
            rows.append((self.starts[k] + s, points, tangents, curvature, np.full(count, k), u))
        return Samples(*(np.concatenate(column) for column in zip(*rows, strict=True)))


@lru_cache(maxsize=256)
def _length(curve: Curve) -> float:
    return curve_length(curve)


def _sampled(curve: Curve, length: float, step: float) -> tuple[Array, ...]:
    """Arc lengths from the curve's start, points, unit tangents, curvature vectors and parameters."""
    u, s = _knots(curve, length, step)
    d = derivatives(curve, u, 2)
    tangents = d[1] / np.linalg.norm(d[1], axis=1, keepdims=True)
    return s, d[0], tangents, curvature_vectors(d), u


@lru_cache(maxsize=64)
def _kept(curve: Curve, length: float, step: float) -> tuple[Array, ...]:
    """Do the same, kept: most pieces of a joint stay as they are when one of its numbers changes."""
    sampled_piece = _sampled(curve, length, step)
    for column in sampled_piece:
        column.setflags(write=False)
    return sampled_piece


def _knots(curve: Curve, length: float, step: float) -> tuple[Array, Array]:
    """Parameters from 0 to the span whose arc-length steps stay at or below ``step``, and their arc lengths."""
    fewest = 1 if is_straight(curve) else _FEWEST_STEPS
    if curve.speed is not None:
        u = np.linspace(0.0, curve.span, max(fewest, int(np.ceil(length / step * (1 + 1e-12)))) + 1)
        return u, u * curve.speed
    fastest = speeds(curve, np.linspace(0.0, curve.span, max(9, int(4 * length)))).max() * 1.02
    steps = max(fewest, int(np.ceil(fastest * curve.span / step)))
    while True:
        u = np.linspace(0.0, curve.span, steps + 1)
        s = arc_lengths(lambda v: speeds(curve, v), u, 4 if step <= 0.1 else 12)
        longest = float(np.diff(s).max())
        if longest <= step:
            return u, s
        steps = int(np.ceil(steps * 1.01 * longest / step))
