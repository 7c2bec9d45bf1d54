"""Which samples of one or several wires come near each other, found in blocks of bounded memory.

Unit: the wire diameter. Samples stand in chunks, each in a ball; only pairs of chunks whose balls come near are looked
at. Of long straight pieces only those stretches are sampled that come near anything else. Derivation:
docs/theory/clearance.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import derivatives, is_straight
from helix.geometry.wire.path import Path, Samples

_CHUNK = 8
_BLOCK = 4096  # pairs of chunks that are looked at together
_SWEPT = 1_000_000  # the same of a sweep's first, rough look
_LONG = 40.0  # a straight piece longer than this is sampled where something is near only [d]
_ENDS = 3.0  # of such a piece always sampled, at both ends [d]
_COARSE = 0.5  # spacing of the samples that say where that is [d]
_APART = 1e3  # how far arc length jumps between two wires [d]


def joined_samples(paths: Sequence[Path], step: float, places: Sequence[Mapping[int, Array]]) -> Samples:
    """Sample all wires as one chain.

    Parameters
    ----------
    paths : sequence of Path
        The wires; their pieces are numbered through, arc length jumps by more than any skip between them.
    step : float
        Spacing of the samples [d].
    places : sequence of mapping of int to array
        Of each path the pieces that are sampled elsewhere than everywhere, see `Path.sample`.

    Returns
    -------
    Samples
        Of all wires.
    """
    if len(paths) == 1:
        return paths[0].sample(step, places=places[0])
    count, shift, rows = 0, 0.0, []
    for path, own in zip(paths, places, strict=True):
        s = path.sample(step, places=own)
        rows.append(replace(s, s=s.s + shift, piece=s.piece + count))
        count += len(path.pieces)
        shift += path.length + _APART
    return Samples(*(np.concatenate([getattr(r, f) for r in rows]) for f in Samples.__dataclass_fields__))


def near_pairs(
    samples: Samples, skip: float, reach: float, step: float, wires: np.ndarray | None = None
) -> tuple[np.ndarray, np.ndarray, float]:
    """Find sample pairs near the least distance and locally nearest along the second.

    Parameters
    ----------
    samples : Samples
        Along one or several wires.
    skip : float
        Pairs nearer along the wire are left out [d].
    reach : float
        Pairs further apart are left out [d].
    step : float
        Spacing of the samples, where none are left out [d].
    wires : array, optional
        Which wire each piece belongs to (pieces,): only pairs on different ones are wanted.

    Returns
    -------
    tuple
        i and j (n,), i before j, and the least distance of pairs that are only just further apart along the wire
        than ``skip``: where the wire is bent below D/2 these come closer without being locally nearest.
    """
    points, s = samples.points, samples.s
    starts, stops = _chunks(s, step)
    a, b = _near_chunks(points, starts, stops, reach)
    edge = np.inf
    for most in (1.1, reach**2):  # all that matters in a joint, then whatever there is
        kept: list[tuple[np.ndarray, np.ndarray, Array]] = []
        least = np.inf
        for i, j in _in_blocks(a, b, starts, stops):
            apart = s[j] - s[i] > skip if wires is None else wires[samples.piece[i]] < wires[samples.piece[j]]
            i, j = i[apart], j[apart]
            d2 = np.sum((points[i] - points[j]) ** 2, axis=1)
            if wires is None:
                edge = min(edge, float(np.sqrt(d2[s[j - 1] - s[i] <= skip].min(initial=np.inf))))
            near = d2 < most if most < reach**2 else d2 <= most
            i, j, d2 = i[near], j[near], d2[near]
            dip = (d2 <= _beside(samples, i, j, -1)) & (d2 <= _beside(samples, i, j, 1))
            i, j, d2 = i[dip], j[dip], d2[dip]
            least = min(least, float(d2.min(initial=np.inf)))
            low = d2 < (np.sqrt(least) + 0.03) ** 2
            if low.any():
                kept.append((i[low], j[low], d2[low]))
        if kept:
            i, j, d2 = (np.concatenate(column) for column in zip(*kept, strict=True))
            low = d2 < (np.sqrt(least) + 0.03) ** 2
            return i[low], j[low], edge
    none = np.zeros(0, dtype=int)
    return none, none, edge


def _chunks(s: Array, step: float) -> tuple[np.ndarray, np.ndarray]:
    """First row of each chunk, and the row after its last; none reaches over stretches that are left out."""
    runs = np.concatenate([[0], np.flatnonzero(np.diff(s) > 1.5 * step) + 1, [s.size]])
    count = -(-np.diff(runs) // _CHUNK)
    before = np.repeat(np.cumsum(count) - count, count)
    starts = np.repeat(runs[:-1], count) + _CHUNK * (np.arange(count.sum()) - before)
    return starts, np.minimum(starts + _CHUNK, np.repeat(runs[1:], count))


def _balls(points: Array, starts: np.ndarray, stops: np.ndarray) -> tuple[Array, Array]:
    """Centres (m, 3) and radii (m,) of balls that hold the chunks' samples."""
    size = stops - starts
    centres = np.add.reduceat(points, starts) / size[:, None]
    from_centre = np.sum((points - np.repeat(centres, size, axis=0)) ** 2, axis=1)
    return centres, np.sqrt(np.maximum.reduceat(from_centre, starts))


def _near_chunks(points: Array, starts: np.ndarray, stops: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs a <= b of chunks whose balls' surfaces come within ``reach``: a sweep along the longest extent."""
    centres, radii = _balls(points, starts, stops)
    along = centres[:, int(np.argmax(np.ptp(centres, axis=0)))]
    order = np.argsort(along, kind="stable")
    last = np.searchsorted(along[order], along[order] + reach + 2.0 * radii.max(), side="right")
    count = last - np.arange(order.size)
    ends = np.cumsum(count)
    near_a, near_b, row = [], [], 0
    while row < order.size:
        stop = max(row + 1, int(np.searchsorted(ends, ends[row] - count[row] + _SWEPT, side="right")))
        own = count[row:stop]
        first = np.repeat(np.arange(row, stop), own)
        second = first + np.arange(first.size) - np.repeat(np.cumsum(own) - own, own)
        a, b = order[first], order[second]
        near = np.linalg.norm(centres[a] - centres[b], axis=1) - radii[a] - radii[b] < reach
        near_a.append(np.minimum(a[near], b[near]))
        near_b.append(np.maximum(a[near], b[near]))
        row = stop
    a, b = np.concatenate(near_a), np.concatenate(near_b)
    order = np.lexsort((b, a))
    return a[order], b[order]


def _in_blocks(
    a: np.ndarray, b: np.ndarray, starts: np.ndarray, stops: np.ndarray
) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Pairs i < j of samples in pairs of chunks, so many chunks at once."""
    offsets = np.arange(_CHUNK)
    for start in range(0, a.size, _BLOCK):
        one, other = a[start : start + _BLOCK], b[start : start + _BLOCK]
        i = (starts[one, None, None] + offsets[:, None]).repeat(_CHUNK, axis=2).ravel()
        j = (starts[other, None, None] + offsets[None, :]).repeat(_CHUNK, axis=1).ravel()
        block = _CHUNK * _CHUNK
        keep = (i < j) & (i < stops[one].repeat(block)) & (j < stops[other].repeat(block))
        yield i[keep], j[keep]


def _beside(samples: Samples, i: np.ndarray, j: np.ndarray, ahead: int) -> Array:
    """Squared distances from the samples ``i`` to the neighbours of ``j``; infinite past the end of a wire."""
    points, s = samples.points, samples.s
    other = np.clip(j + ahead, 0, len(points) - 1)
    d2: Array = np.sum((points[i] - points[other]) ** 2, axis=1)
    d2[(other == j) | (np.abs(s[other] - s[j]) > _APART / 2.0)] = np.inf
    return d2


# ------------------------------------------------------------------ long straight pieces


def places_needed(paths: Sequence[Path], step: float, reach: float) -> list[dict[int, Array]]:
    """Choose where long straight pieces are sampled: where anything else is near.

    Parameters
    ----------
    paths : sequence of Path
        The wires.
    step : float
        Spacing of the samples [d].
    reach : float
        What is further from everything else is left out [d].

    Returns
    -------
    list of dict of int to array
        For each path its long straight pieces, by their index, with the parameters of their samples.
    """
    long = [
        {k for k, p in enumerate(path.pieces) if path.lengths[k] > _LONG and is_straight(p.curve)} for path in paths
    ]
    if not any(long):
        return [{} for _ in paths]
    centres, radii, rods = [np.zeros((0, 3))], [np.zeros(0)], []
    for path, own in zip(paths, long, strict=True):
        rods += [(path, k) for k in sorted(own)]
        few = path.sample(_COARSE, places={k: np.zeros(0) for k in own})
        if few.s.size:
            starts, stops = _chunks(few.s, _COARSE)
            middle, radius = _balls(few.points, starts, stops)
            centres.append(middle)
            radii.append(radius + _COARSE / 2.0)
    ends = [_ends_of(path, k) for path, k in rods]
    places: list[dict[int, Array]] = [{} for _ in paths]
    for number, (path, k) in enumerate(rods):
        low, high = _beside_balls(ends[number], np.concatenate(centres), np.concatenate(radii) + reach + 2.0 * step)
        others = [_beside_rod(ends[number], end, reach + 2.0 * step) for end in ends[:number] + ends[number + 1 :]]
        low = np.concatenate([low, [other[0] for other in others], [0.0, path.lengths[k] - _ENDS]])
        high = np.concatenate([high, [other[1] for other in others], [_ENDS, path.lengths[k]]])
        owner = next(n for n, whole in enumerate(paths) if whole is path)
        places[owner][k] = _grid(path, k, low, high, step)
    return places


def _ends_of(path: Path, k: int) -> Array:
    """Compute the two ends (2, 3) of a straight piece."""
    curve = path.pieces[k].curve
    ends: Array = derivatives(curve, np.array([0.0, curve.span]), 0)[0]
    return ends


def _grid(path: Path, k: int, low: Array, high: Array, step: float) -> Array:
    """Those parameters of a straight piece's samples that lie in any of the stretches [low, high] of its length."""
    length, span = float(path.lengths[k]), path.pieces[k].curve.span
    count = max(1, int(np.ceil(length / step * (1 + 1e-12))))
    first = np.clip(np.floor(low / length * count), 0, count).astype(int)
    last = np.clip(np.ceil(high / length * count), 0, count).astype(int)
    wanted = first <= last
    marks = np.zeros(count + 2, dtype=np.int32)
    np.add.at(marks, first[wanted], 1)
    np.add.at(marks, last[wanted] + 1, -1)
    return np.asarray(np.flatnonzero(np.cumsum(marks)[: count + 1] > 0) * (span / count), dtype=float)


def _beside_balls(rod: Array, centres: Array, radii: Array) -> tuple[Array, Array]:
    """Find from where to where, along a rod with the ends (2, 3), it is inside each ball; low above high: nowhere."""
    along = rod[1] - rod[0]
    length = float(np.linalg.norm(along))
    at = (centres - rod[0]) @ (along / length)
    off2 = np.sum((centres - rod[0] - at[:, None] * (along / length)) ** 2, axis=1)
    half = np.sqrt(np.maximum(radii**2 - off2, 0.0))
    outside = (off2 > radii**2) | (at - half > length) | (at + half < 0.0)
    return np.where(outside, 1.0, at - half), np.where(outside, -1.0, at + half)


def _beside_rod(rod: Array, other: Array, reach: float) -> tuple[float, float]:
    """Find from where to where along a rod another is within reach; low above high: nowhere."""
    along = rod[1] - rod[0]
    length = float(np.linalg.norm(along))

    def off(at: float) -> float:
        point, run = rod[0] + along * (at / length), other[1] - other[0]
        share = np.clip((point - other[0]) @ run / (run @ run), 0.0, 1.0)
        return float(np.linalg.norm(point - other[0] - share * run))

    low, high = 0.0, length
    for _ in range(80):  # the distance is convex along the rod: to its least, then outward by bisection
        third = (high - low) / 3.0
        low, high = (low, high - third) if off(low + third) < off(high - third) else (low + third, high)
    nearest = min((0.0, length, (low + high) / 2.0), key=off)
    if off(nearest) > reach:
        return 1.0, -1.0
    ends = []
    for end in (0.0, length):
        inside, outside = nearest, end
        if off(end) <= reach:
            inside = end
        else:
            for _ in range(60):
                middle = (inside + outside) / 2.0
                inside, outside = (middle, outside) if off(middle) <= reach else (inside, middle)
        ends.append(inside)
    return ends[0], ends[1]
