"""A wire as a chain of curves: arc length, curvature, sampling, and evaluation at scattered places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.maths.quadrature import Antiderivative, arc_lengths
from helix.geometry.wire.curves import (
    MOST_PANELS,
    Curve,
    curvature_vectors,
    curve_length,
    derivatives,
    is_straight,
    speeds,
)

_FEWEST_STEPS = 16  # of a curved piece: a kink shorter than the step would vanish between its ends
_MOST_KEPT = 2000  # samples of a piece that are kept for when it is met again
_BLOCK = 20_000  # places that are worked out at once
_MOST_STRAIGHT = 50_000  # samples of a straight piece, where straight ones need fewer
_SPECTRAL = 20.0  # arc lengths of a longer piece are integrated by series, of a shorter one between its samples [d]
_NEARLY_STRAIGHT = 20.0  # a long piece whose radius is larger is sampled in longer steps [d]


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
        if u.size and np.all(piece[1:] >= piece[:-1]):  # along the wire
            edges = np.flatnonzero(np.diff(piece, prepend=-1, append=len(self.pieces)))
            for first, stop in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
                derivatives(self.pieces[piece[first]].curve, u[first:stop], order, out[:, first:stop])
            return out
        for k in np.flatnonzero(np.bincount(piece)):  # np.unique would load numpy.ma
            mask = np.flatnonzero(piece == k)
            out[:, mask] = derivatives(self.pieces[k].curve, u[mask], order)
        return out

    def sample(
        self, step: float, straight_step: float | None = None, places: Mapping[int, Array] | None = None
    ) -> Samples:
        """Sample no further apart along the wire than ``step``.

        Parameters
        ----------
        step : float
            Largest distance of samples, above 0 [d].
        straight_step : float, optional
            The same on straight lines; on long pieces that are nearly straight the step grows up to it.
        places : mapping of int to array, optional
            Of some straight pieces, by their index, the parameters of their samples; none where it is empty.

        Returns
        -------
        Samples
            Points, tangents and curvature along the wire.
        """
        rows: list[tuple[Array, Array, Array, Array, np.ndarray, Array]] = []
        for k, (p, length) in enumerate(zip(self.pieces, self.lengths.tolist(), strict=True)):
            if length <= 0.0:
                continue
            if places is not None and k in places:
                u = places[k]
                if u.size == 0:
                    continue
                sampled_piece = _at(p.curve, u, u * (p.curve.speed or 1.0))
            else:
                own_step = step if straight_step is None else _step_of(p.curve, length, step, straight_step)
                sampled = _kept if length < _MOST_KEPT * own_step else _sampled
                sampled_piece = sampled(p.curve, length, own_step)
            count = len(sampled_piece[0]) - (k < len(self.pieces) - 1)
            s, points, tangents, curvature, u = (column[:count] for column in sampled_piece)
            rows.append((self.starts[k] + s, points, tangents, curvature, np.full(count, k), u))
        if not rows:
            none, nowhere = np.zeros(0), np.zeros((0, 3))
            return Samples(none, nowhere, nowhere, nowhere, np.zeros(0, dtype=int), none)
        return Samples(*(np.concatenate(column) for column in zip(*rows, strict=True)))


@lru_cache(maxsize=256)
def _length(curve: Curve) -> float:
    return curve_length(curve)


def _sampled(curve: Curve, length: float, step: float) -> tuple[Array, ...]:
    """Arc lengths from the curve's start, points, unit tangents, curvature vectors and parameters."""
    return _at(curve, *_knots(curve, length, step))


def _at(curve: Curve, u: Array, s: Array) -> tuple[Array, ...]:
    """Do the same at parameters (n,) whose arc lengths are known, in blocks."""
    parts = []
    for start in range(0, u.size, _BLOCK):
        d = derivatives(curve, u[start : start + _BLOCK], 2)
        tangents = d[1] / np.linalg.norm(d[1], axis=1, keepdims=True)
        parts.append((d[0], tangents, curvature_vectors(d)))
    if len(parts) == 1:
        return s, *parts[0], u
    return s, *(np.concatenate(column) for column in zip(*parts, strict=True)), u


def _step_of(curve: Curve, length: float, step: float, straight_step: float) -> float:
    """Choose a piece's step: of a straight line the longest, of a long piece of large radius as many times longer."""
    if is_straight(curve):
        return max(straight_step, length / _MOST_STRAIGHT)
    if length < _MOST_KEPT * step:
        return step
    return float(np.clip(step / (_NEARLY_STRAIGHT * _largest_curvature(curve) + 1e-12), step, max(step, straight_step)))


@lru_cache(maxsize=64)
def _largest_curvature(curve: Curve) -> float:
    """Compute the largest curvature of a long smooth piece from samples [1/d]."""
    return float(
        np.linalg.norm(curvature_vectors(derivatives(curve, np.linspace(0.0, curve.span, 257), 2)), axis=1).max()
    )


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
    fastest = speeds(curve, np.linspace(0.0, curve.span, max(9, int(4 * min(length, MOST_PANELS))))).max() * 1.02
    steps = max(fewest, int(np.ceil(fastest * curve.span / step)))
    whole = None
    if length > _SPECTRAL:
        whole = Antiderivative(lambda v: speeds(curve, v), curve.span, panel=max(0.4, curve.span / MOST_PANELS))
    while True:
        u = np.linspace(0.0, curve.span, steps + 1)
        s = whole(u) if whole else arc_lengths(lambda v: speeds(curve, v), u, 4 if step <= 0.1 else 12)
        longest = float(np.diff(s).max())
        if longest <= step:
            return u, s
        steps = int(np.ceil(steps * 1.01 * longest / step))
