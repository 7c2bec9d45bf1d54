"""Clearance: the least gap between any two parts of a wire, with a bound on what samples can miss.

Unit: the wire diameter. Coarse candidates come from samples in chunks; from each candidate the
distance from a sample to the other part is made exact (Newton along the curve), then the lowest are
made exact in both parameters (damped Newton: contact *lines* make the Hessian singular). Pairs nearer
along the wire than ``SKIP`` are governed by curvature instead (the tube is sound while D kappa/2 < 1).
Derivation and error bound: docs/theory/clearance.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.path import Path, Samples

SKIP = 1.6  # pairs nearer than this along the wire are governed by curvature [d]
STEP = 0.06  # spacing of the samples [d]
_CHUNK = 8
_NOISE = 1e-13  # distances along an exact contact differ by less than this [d]
_STILL = 1e-15  # a step of the polish that gains less has arrived [d]
_LEAST_BOUND = 1e-12  # what rounding leaves open [d]
_REACHES = (1.35, 4.0, np.inf)  # pairs of chunks further apart cannot matter unless nothing is nearer [d]
_APART = 1e3  # how far arc length jumps between two wires [d]


@dataclass(frozen=True)
class Nearest:
    """The least gap found [d] (negative = overlap), where, and how far the search can be trusted.

    ``pieces`` are two indices into the chained pieces, ``points`` (2, 3) the two places, ``gaps`` the
    least gap for each pair of pieces that comes close; ``bound`` how far the true least gap may lie
    below ``gap`` between samples.
    """

    gap: float
    pieces: tuple[int, int]
    points: Array
    bound: float
    gaps: dict[tuple[int, int], float]


@dataclass(frozen=True)
class _Chain:
    """Several wires side by side as one list of pieces; ``s`` jumps between them."""

    path: Path
    breaks: frozenset[int]

    def advance(self, piece: np.ndarray, u: Array, du: Array, speed: Array) -> tuple[np.ndarray, Array]:
        """Move along the wire, across joins, stopping at loose ends."""
        piece, u = piece.copy(), u + du
        spans = np.array([p.curve.span for p in self.path.pieces])
        last = spans.size - 1
        for _ in range(2):
            over, under = u > spans[piece], u < 0.0
            can = over & np.array([k < last and k not in self.breaks for k in piece], dtype=bool)
            rest = (u - spans[piece]) * speed
            piece = np.where(can, piece + 1, piece)
            u = np.where(can, rest, u)
            back = under & np.array([k > 0 and (k - 1) not in self.breaks for k in piece], dtype=bool)
            rest = u * speed
            piece = np.where(back, piece - 1, piece)
            u = np.where(back, spans[piece] + rest, u)
        return piece, np.clip(u, 0.0, spans[piece])

    def at_end(self, piece: np.ndarray, u: Array) -> np.ndarray:
        """Whether each place is a loose end of a wire."""
        spans = np.array([p.curve.span for p in self.path.pieces])
        lasts = {spans.size - 1, *self.breaks}
        last = np.array([k in lasts for k in piece], dtype=bool)
        first = np.array([k - 1 in lasts or k == 0 for k in piece], dtype=bool)
        loose: np.ndarray = (first & (u <= 0.0)) | (last & (u >= spans[piece]))
        return loose


def nearest(paths: Sequence[Path], step: float = STEP, skip: float = SKIP) -> Nearest:
    """Find the least gap among all pairs of places further apart along a wire than ``skip``.

    Parameters
    ----------
    paths : sequence of Path
        Each a wire of its own; places on different ones are all compared.
    step : float
        Spacing of the first samples [d].
    skip : float
        Places nearer along one wire are governed by its curvature [d].

    Returns
    -------
    Nearest
        The gap, where, and its bound.
    """
    chain, samples = _joined(paths, step)
    i, j, edge = _candidates(samples, skip)
    folded = _folded(paths, skip, step) if edge < 1.0 else None
    if i.size == 0:
        return folded or Nearest(np.inf, (0, 0), np.zeros((2, 3)), 0.0, {})
    first = samples.piece[i]
    piece, u, place, m = _foot(chain, samples.points[i], samples.piece[j].copy(), samples.u[j].copy(), step)
    links = _links(i, place, 3.0 * step)
    pick = _lowest(first.astype(np.int64) * len(chain.path.pieces) + piece, m, links)
    pieces, at, dist, points = _polish(
        chain, np.stack([first[pick], piece[pick]]), np.stack([samples.u[i[pick]], u[pick]]), step
    )
    if folded is not None:  # round a fold the polish may slide nearer along the wire than it may
        apart = np.abs(np.subtract(*(_along(chain, samples, pieces[k], at[k]) for k in (0, 1))))
        dist = np.where(apart < skip - 1e-6, np.inf, dist)
    gaps: dict[tuple[int, int], float] = {}
    for k in range(pick.size):
        pair = (int(pieces[0, k]), int(pieces[1, k]))
        gaps[pair] = min(gaps.get(pair, np.inf), float(dist[k]) - 1.0)
    best = int(np.argmin(dist))
    if folded is not None and folded.gap < float(dist[best]) - 1.0:
        return replace(folded, gaps=gaps | folded.gaps)
    return Nearest(
        float(dist[best]) - 1.0,
        (int(pieces[0, best]), int(pieces[1, best])),
        points[:, best],
        _between(samples, i, place, m, links, step),
        gaps,
    )


def _along(chain: _Chain, samples: Samples, piece: np.ndarray, u: Array) -> Array:
    """Arc length of places on the chain, between the samples of their piece."""
    s = np.empty(u.size)
    for k in np.unique(piece):
        rows, on = samples.piece == k, piece == k
        start, span = samples.s[rows][0], chain.path.pieces[k].curve.span
        known = np.append(samples.u[rows], span), np.append(samples.s[rows], start + chain.path.lengths[k])
        s[on] = np.interp(u[on], *known)
    return s


def _links(i: np.ndarray, place: Array, near: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of candidates that follow each other along one line of nearest approach (i rises)."""
    first, second = [], []
    for ahead in range(1, 7):
        if ahead >= i.size:
            break
        a = np.arange(i.size - ahead)
        b = a + ahead
        keep = (i[b] == i[a] + 1) & (np.sum((place[a] - place[b]) ** 2, axis=1) < near**2)
        first.append(a[keep])
        second.append(b[keep])
    none = np.zeros(0, dtype=int)
    return (np.concatenate(first), np.concatenate(second)) if first else (none, none)


def _lowest(keys: np.ndarray, m: Array, links: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Candidates worth polishing: local dips along a line, the lowest of each pair of pieces and of all."""
    a, b = links
    dip = np.ones(m.size, dtype=bool)
    dip[a[m[a] >= m[b] - _NOISE]] = False
    dip[b[m[b] >= m[a] - _NOISE]] = False
    dips = np.flatnonzero(dip)
    dips = dips[np.argsort(m[dips], kind="stable")[:96]]
    order = np.lexsort((m, keys))
    starts = np.flatnonzero(np.diff(keys[order], prepend=-1))
    nearby = np.concatenate([order[starts], order[np.minimum(starts + 1, order.size - 1)]])
    return np.unique(np.concatenate([dips, nearby, np.argsort(m, kind="stable")[:16]]))


def _joined(paths: Sequence[Path], step: float) -> tuple[_Chain, Samples]:
    """All wires as one chain; arc length jumps by more than any skip between wires."""
    if len(paths) == 1:
        return _Chain(paths[0], frozenset()), paths[0].sample(step)
    pieces = tuple(p for path in paths for p in path.pieces)
    breaks, count, shift, rows = set(), 0, 0.0, []
    for path in paths:
        s = path.sample(step)
        rows.append(Samples(s.s + shift, s.points, s.tangents, s.curvature, s.piece + count, s.u))
        count += len(path.pieces)
        shift += path.length + _APART
        breaks.add(count - 1)
    merged = Samples(*(np.concatenate([getattr(r, f) for r in rows]) for f in Samples.__dataclass_fields__))
    return _Chain(Path(pieces), frozenset(breaks)), merged


def _candidates(samples: Samples, skip: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Find sample pairs near the least distance and locally nearest along the second.

    Returns
    -------
    tuple
        i and j (n,), i before j, and the least distance of pairs that are only just further apart along the wire
        than ``skip``: where the wire is bent below D/2 these come closer without being locally nearest.
    """
    points, s = samples.points, samples.s
    none, edge = np.zeros(0, dtype=int), np.inf
    for reach in _REACHES:
        i, j = _within(points, reach)
        keep = s[j] - s[i] > skip
        i, j = i[keep], j[keep]
        if i.size == 0:
            continue
        d2 = np.sum((points[i] - points[j]) ** 2, axis=1)
        edge = float(np.sqrt(d2[s[j - 1] - s[i] <= skip].min(initial=np.inf)))
        for near in (d2 < 1.1, d2 <= reach**2):  # all that matters in a joint, then whatever there is
            a, b, c2 = i[near], j[near], d2[near]
            keep = (c2 <= _beside(samples, a, b, -1)) & (c2 <= _beside(samples, a, b, 1))
            if keep.any():
                a, b, c2 = a[keep], b[keep], c2[keep]
                keep = c2 < (np.sqrt(c2.min()) + 0.03) ** 2
                return a[keep], b[keep], edge
    return none, none, edge


def _within(points: Array, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs i < j of samples in chunks that come within ``reach`` of each other."""
    n = len(points)
    starts = np.arange(0, n, _CHUNK)
    centres = np.add.reduceat(points, starts) / np.diff(np.append(starts, n))[:, None]
    owner = np.arange(n) // _CHUNK
    radii = np.sqrt(np.maximum.reduceat(np.sum((points - centres[owner]) ** 2, axis=1), starts))
    a, b = _near_chunks(centres, radii, reach)
    offsets = np.arange(_CHUNK)
    i = (a[:, None, None] * _CHUNK + offsets[:, None]).repeat(_CHUNK, axis=2).ravel()
    j = (b[:, None, None] * _CHUNK + offsets[None, :]).repeat(_CHUNK, axis=1).ravel()
    keep = (i < j) & (j < n)
    return i[keep], j[keep]


def _beside(samples: Samples, i: np.ndarray, j: np.ndarray, ahead: int) -> Array:
    """Squared distances from the samples ``i`` to the neighbours of ``j``; infinite past the end of a wire."""
    points, s = samples.points, samples.s
    other = np.clip(j + ahead, 0, len(points) - 1)
    d2: Array = np.sum((points[i] - points[other]) ** 2, axis=1)
    d2[(other == j) | (np.abs(s[other] - s[j]) > _APART / 2.0)] = np.inf
    return d2


def _folded(paths: Sequence[Path], skip: float, step: float) -> Nearest | None:
    """Find the nearest of all places that are just ``skip`` apart along a wire, from samples and chords."""
    fine = step / 16.0
    _, samples = _joined(paths, fine)
    s, points = samples.s, samples.points
    i = np.flatnonzero(s + skip <= s[-1])
    j = np.searchsorted(s, s[i] + skip)
    i, j = i[s[j] - s[j - 1] < step], j[s[j] - s[j - 1] < step]
    if i.size == 0:
        return None
    share = (s[i] + skip - s[j - 1]) / (s[j] - s[j - 1])
    other = points[j - 1] + share[:, None] * (points[j] - points[j - 1])
    dist = np.linalg.norm(points[i] - other, axis=1)
    k = int(np.argmin(dist))
    pair = (int(samples.piece[i[k]]), int(samples.piece[j[k]]))
    gap = float(dist[k]) - 1.0
    return Nearest(gap, pair, np.stack([points[i[k]], other[k]]), fine, {pair: gap})


def _near_chunks(centres: Array, radii: Array, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs a <= b of balls whose surfaces come within ``reach``: a sweep along the longest extent."""
    along = centres[:, int(np.argmax(np.ptp(centres, axis=0)))]
    order = np.argsort(along, kind="stable")
    last = np.searchsorted(along[order], along[order] + reach + 2.0 * radii.max(), side="right")
    count = last - np.arange(order.size)
    first = np.repeat(np.arange(order.size), count)
    second = first + np.arange(first.size) - np.repeat(np.cumsum(count) - count, count)
    a, b = order[first], order[second]
    near = np.linalg.norm(centres[a] - centres[b], axis=1) - radii[a] - radii[b] < reach
    a, b = a[near], b[near]
    a, b = np.minimum(a, b), np.maximum(a, b)
    order = np.lexsort((b, a))
    return a[order], b[order]


def _foot(
    chain: _Chain, p: Array, piece: np.ndarray, u: Array, step: float, rounds: int = 3
) -> tuple[np.ndarray, Array, Array, Array]:
    """Newton along the other part: the place nearest to each fixed point ``p`` (n, 3)."""
    for _ in range(rounds):
        d = chain.path.evaluate(piece, u)
        r = d[0] - p
        slope = np.sum(r * d[1], axis=1)
        v2 = np.sum(d[1] ** 2, axis=1)
        bend = v2 + np.sum(r * d[2], axis=1)
        du = -slope / np.where(bend > 1e-3 * v2, bend, v2)
        speed = np.sqrt(v2)
        du = np.clip(du, -step / speed, step / speed)
        piece, u = chain.advance(piece, u, du, speed)
    d = chain.path.evaluate(piece, u, 1)
    return piece, u, d[0], np.linalg.norm(d[0] - p, axis=1)


def _polish(
    chain: _Chain, piece: np.ndarray, u: Array, step: float, rounds: int = 6
) -> tuple[np.ndarray, Array, Array, Array]:
    """Move pairs of places together by damped Newton in both parameters; the best seen is kept.

    Returns
    -------
    tuple
        Pieces and parameters (2, n), distances (n,) and places (2, n, 3).

    Notes
    -----
    ``piece`` and ``u`` are (2, n). Where one place has stopped at a loose end, the other is brought square to it at
    last.
    """
    count = u.shape[1]
    best = np.full(count, np.inf)
    best_piece, best_u = piece.copy(), u.copy()
    best_points = np.zeros((2, count, 3))
    for k in range(rounds):
        d = chain.path.evaluate(piece.ravel(), u.ravel())
        a, b = d[:, :count], d[:, count:]
        r = a[0] - b[0]
        dist = np.linalg.norm(r, axis=1)
        better = dist < best
        still = k > 1 and not np.any(best - dist > _STILL)
        best = np.where(better, dist, best)
        best_piece, best_u = np.where(better, piece, best_piece), np.where(better, u, best_u)
        best_points[:, better] = np.stack([a[0], b[0]])[:, better]
        if still or k == rounds - 1:
            break
        va, vb = np.linalg.norm(a[1], axis=1), np.linalg.norm(b[1], axis=1)
        ga, gb = np.sum(r * a[1], axis=1), -np.sum(r * b[1], axis=1)
        haa = va**2 + np.sum(r * a[2], axis=1)
        hbb = vb**2 - np.sum(r * b[2], axis=1)
        hab = -np.sum(a[1] * b[1], axis=1)
        haa, hbb = haa + 1e-7 * va**2, hbb + 1e-7 * vb**2
        trace, det = haa + hbb, haa * hbb - hab**2
        shift = np.maximum(0.0, -(trace / 2.0 - np.sqrt(np.maximum(trace**2 / 4.0 - det, 0.0)))) * 1.5
        haa, hbb = haa + shift, hbb + shift
        det = haa * hbb - hab**2
        det = np.where(np.abs(det) < 1e-12, 1e-12, det)
        da, db = -(hbb * ga - hab * gb) / det, -(haa * gb - hab * ga) / det
        scale = np.maximum(1.0, np.maximum(np.abs(da) * va, np.abs(db) * vb) / (step / 2.0))
        pa, ua = chain.advance(piece[0], u[0], da / scale, va)
        pb, ub = chain.advance(piece[1], u[1], db / scale, vb)
        piece, u = np.stack([pa, pb]), np.stack([ua, ub])
    for side in (0, 1):
        rows = np.flatnonzero(chain.at_end(best_piece[1 - side], best_u[1 - side]))
        piece, moved, place, dist = _foot(
            chain, best_points[1 - side, rows], best_piece[side, rows], best_u[side, rows], step
        )
        better = dist < best[rows]
        rows = rows[better]
        best[rows], best_piece[side, rows], best_points[side, rows] = dist[better], piece[better], place[better]
        best_u[side, rows] = moved[better]
    return best_piece, best_u, best, best_points


def _between(
    samples: Samples, i: np.ndarray, place: Array, m: Array, links: tuple[np.ndarray, np.ndarray], step: float
) -> float:
    """Bound how far the distance can dip between two neighbouring samples of one line of nearest approach.

    Returns
    -------
    float
        Depth [d].

    Notes
    -----
    At the samples the distance to the other part and its slope along the wire are exact, so between two neighbours
    it stays within h^4/384 times the largest fourth derivative of a cubic through them. That derivative is
    estimated from how the third derivatives of neighbouring cubics differ, and doubled: an estimate for smooth
    lines of contact, not a proof.
    """
    a, b = links
    low = (m[a] < m.min() + 1e-3) & (m[b] < m.min() + 1e-3)
    a, b = a[low], b[low]
    if a.size < 2:
        return _LEAST_BOUND
    slope = np.sum((samples.points[i] - place) * samples.tangents[i], axis=1) / m
    h = samples.s[i[b]] - samples.s[i[a]]
    rise = (m[b] - m[a]) / h
    start = (6.0 * rise - 4.0 * slope[a] - 2.0 * slope[b]) / h
    end = (-6.0 * rise + 2.0 * slope[a] + 4.0 * slope[b]) / h
    third = np.full(m.size, np.nan)
    third[b] = (end - start) / h
    fourth = np.abs((end - start) / h - third[a]) / h
    fourth = fourth[np.isfinite(fourth)]
    if fourth.size == 0:
        return _LEAST_BOUND
    return float(max(_LEAST_BOUND, 2.0 * fourth.max() * step**4 / 384.0))
