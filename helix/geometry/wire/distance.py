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
from helix.geometry.wire.curves import is_straight
from helix.geometry.wire.feet import Chain, chain_paths, find_feet, polish_pairs
from helix.geometry.wire.near_pairs import joined_samples, near_pairs, places_needed
from helix.geometry.wire.path import Path, Samples

SKIP = 1.6  # pairs nearer than this along the wire are governed by curvature [d]
STEP = 0.06  # spacing of the samples [d]
_NOISE = 1e-13  # distances along an exact contact differ by less than this [d]
_LEAST_BOUND = 1e-12  # what rounding leaves open [d]
_REACH = 1.35  # pairs further apart cannot matter unless nothing is nearer; then three times as far, and so on [d]


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


def nearest(
    paths: Sequence[Path], step: float = STEP, skip: float = SKIP, across: Sequence[int] | None = None
) -> Nearest:
    """Find the least gap among all pairs of places further apart along a wire than ``skip``.

    Parameters
    ----------
    paths : sequence of Path
        Each a wire of its own; places on different ones are all compared.
    step : float
        Spacing of the first samples [d].
    skip : float
        Places nearer along one wire are governed by its curvature [d].
    across : sequence of int, optional
        Which wire each path is a part of: only places on different wires are compared.

    Returns
    -------
    Nearest
        The gap, where, and its bound.
    """
    chain, reach = chain_paths(paths), _REACH
    wires = None if across is None else np.repeat(across, [len(path.pieces) for path in paths])
    while True:
        samples = joined_samples(paths, step, places_needed(paths, step, reach))
        i, j, edge = near_pairs(samples, skip, reach, step, wires)
        if i.size or not np.any(np.ptp(samples.points, axis=0) > reach / 2.0):
            break
        reach *= 3.0
    folded = _folded(paths, samples, skip, step) if edge < 1.0 else None
    if i.size == 0:
        return folded or Nearest(np.inf, (0, 0), np.zeros((2, 3)), 0.0, {})
    first = samples.piece[i]
    piece, u, place, m = find_feet(chain, samples, i, j, step)
    links = _links(i, place, 3.0 * step)
    pick = _lowest(first.astype(np.int64) * len(chain.path.pieces) + piece, m, links)
    pieces, at, dist, points = polish_pairs(
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


def _along(chain: Chain, samples: Samples, piece: np.ndarray, u: Array) -> Array:
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
    chosen = np.zeros(m.size, dtype=bool)
    chosen[np.concatenate([dips, nearby, np.argsort(m, kind="stable")[:16]])] = True
    return np.flatnonzero(chosen)


def _folded(paths: Sequence[Path], samples: Samples, skip: float, step: float) -> Nearest | None:
    """Find the nearest of all places that are just ``skip`` apart along a wire, from samples and chords."""
    i, j, _, dist = _just_apart(samples, skip, 1.5 * step)
    if i.size == 0:
        return None
    pieces: set[int] = set()  # fine samples are made where coarse ones come near the least only
    for a, b in zip(*(samples.piece[rows[dist < dist.min() + 4.0 * step]] for rows in (i, j)), strict=True):
        pieces.update(range(a - 1, b + 2))
    count, none, fine = 0, np.zeros(0), step / 16.0
    places: list[dict[int, Array]] = []
    for path in paths:
        places.append({k: none for k in range(len(path.pieces)) if k + count not in pieces})
        for k, (piece, length) in enumerate(zip(path.pieces, path.lengths.tolist(), strict=True)):
            if k + count in pieces and length > 8.0 * skip and is_straight(piece.curve):  # nothing folds along it
                near = np.arange(0.0, 3.0 * skip, fine) * (piece.curve.span / length)
                places[-1][k] = np.concatenate([near, piece.curve.span - near[::-1]])
        count += len(path.pieces)
    samples = joined_samples(paths, fine, places)
    i, j, other, dist = _just_apart(samples, skip, step)
    if i.size == 0:
        return None
    k = int(np.argmin(dist))
    pair = (int(samples.piece[i[k]]), int(samples.piece[j[k]]))
    gap = float(dist[k]) - 1.0
    return Nearest(gap, pair, np.stack([samples.points[i[k]], other[k]]), fine, {pair: gap})


def _just_apart(samples: Samples, skip: float, step: float) -> tuple[np.ndarray, np.ndarray, Array, Array]:
    """Places just ``skip`` apart along a wire: i, the sample j behind the other one, that place (n, 3), the distance."""
    s, points = samples.s, samples.points
    i = np.flatnonzero(s + skip <= s[-1])
    j = np.searchsorted(s, s[i] + skip)
    unbroken = s[j] - s[j - 1] < step
    i, j = i[unbroken], j[unbroken]
    share = (s[i] + skip - s[j - 1]) / (s[j] - s[j - 1])
    other = points[j - 1] + share[:, None] * (points[j] - points[j - 1])
    return i, j, other, np.linalg.norm(points[i] - other, axis=1)


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
