"""Which samples of one or several wires come near each other, found in blocks of bounded memory.

Unit: the wire diameter. Samples stand in chunks, each in a ball; only pairs of chunks whose balls come near are looked
at. Of long straight pieces only those stretches are sampled that come near anything else. Derivation:
docs/theory/clearance.md.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import derivatives, is_straight
from helix.geometry.wire.path import Path, Samples
from helix.geometry.wire.screws import families, left_out

_CHUNK = 8
_BLOCK = 512  # pairs of chunks that are looked at together
_SWEPT = 1_000_000  # the same of a sweep's first, rough look
_LONG = 40.0  # a straight piece longer than this is sampled where something is near only [d]
_ENDS = 3.0  # of such a piece always sampled, at both ends [d]
_COARSE = 0.5  # spacing of the samples that say where that is [d]
_APART = 1e3  # how far arc length jumps between two wires [d]
_NOWHERE = 1e9  # where samples are that there are not [d]
_NEAREST = 0.03  # pairs further apart than the least distance and this are left out [d]


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
    chunks = _Chunks.of(samples, step)
    a, b, apart = _near_chunks(chunks, reach)
    own = samples.s if wires is None else wires[samples.piece]
    if wires is None:
        keep = chunks.last(own)[b] - own[chunks.starts[a]] > skip
    else:
        keep = chunks.last(own)[b] > own[chunks.starts[a]]
    a, b, apart = a[keep], b[keep], apart[keep]
    middle = chunks.starts + (chunks.stops - chunks.starts) // 2
    i, j = middle[a], middle[b]
    far = own[j] - own[i] > (skip if wires is None else 0)
    first = float(np.sqrt(_squared(samples.points, i[far], j[far]).min(initial=np.inf)))
    # what is nearest is no further than two middles, where it is not only just further along the wire than `skip`
    limit = min(max(first + _NEAREST, 1.0), reach)
    within = apart < limit
    found = _nearest_in(chunks, a[within], b[within], skip, limit, wires)
    if found[3] <= first:
        return found[:3]
    found = _nearest_in(chunks, a, b, skip, reach, wires)
    return found[:3]


def _nearest_in(
    chunks: _Chunks, a: np.ndarray, b: np.ndarray, skip: float, limit: float, wires: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray, float, float]:
    """Do the same in pairs of chunks, and tell the least distance; what is further apart than the limit is left out."""
    samples, least, edge = chunks.samples, np.inf, np.inf
    s, piece = samples.s, samples.piece
    kept: list[tuple[np.ndarray, np.ndarray, Array]] = []
    for start in range(0, a.size, _BLOCK):
        one, other = a[start : start + _BLOCK], b[start : start + _BLOCK]
        d2 = chunks.squared(one, other)
        pair, place = np.divmod(np.flatnonzero(d2[:, :, 1:-1] <= limit**2), _CHUNK * _CHUNK)
        row, column = np.divmod(place, _CHUNK)
        i, j = chunks.starts[one[pair]] + row, chunks.starts[other[pair]] + column
        apart = s[j] - s[i] > skip if wires is None else wires[piece[i]] < wires[piece[j]]
        apart &= (i < j) & (j < chunks.stops[other[pair]])
        pair, row, column, i, j = (which[apart] for which in (pair, row, column, i, j))
        here = d2[pair, row, column + 1]
        if wires is None:
            edge = min(edge, float(here[s[j - 1] - s[i] <= skip].min(initial=np.inf)))
        dip = (here <= d2[pair, row, column]) & (here <= d2[pair, row, column + 2]) & ~chunks.cut[j]
        i, j, here = i[dip], j[dip], here[dip]
        least = min(least, float(here.min(initial=np.inf)))
        low = here < (np.sqrt(least) + _NEAREST) ** 2
        if low.any():
            kept.append((i[low], j[low], here[low]))
    if not kept:
        none = np.zeros(0, dtype=int)
        return none, none, float(np.sqrt(edge)), np.inf
    i, j, here = (np.concatenate(column) for column in zip(*kept, strict=True))
    low = here < (np.sqrt(least) + _NEAREST) ** 2
    i, j = i[low], j[low]
    order = np.lexsort((j, i))
    return i[order], j[order], float(np.sqrt(edge)), float(np.sqrt(least))


@dataclass(frozen=True)
class _Chunks:
    """Samples in chunks: first row of each and the row after its last, and their coordinates chunk by chunk.

    rows (3, m, 8); with_neighbours (3, m, 10): and the sample before and after, on the same wire. What is none is far away.
    cut (n,): whether the samples beside one are left out.
    """

    samples: Samples
    starts: np.ndarray
    stops: np.ndarray
    rows: Array
    with_neighbours: Array
    cut: np.ndarray

    @classmethod
    def of(cls, samples: Samples, step: float) -> _Chunks:
        """Cut samples into chunks."""
        s = samples.s
        starts, stops = _chunks(s, step)
        at = starts[:, None] + np.arange(-1, _CHUNK + 1)
        no = (at < 0) | (at > stops[:, None]) | (at >= s.size)
        at = np.clip(at, 0, s.size - 1)
        no[:, 0] |= s[starts] - s[at[:, 0]] > _APART / 2.0
        end = np.clip(stops, 0, s.size - 1)
        broken = s[end] - s[stops - 1] > _APART / 2.0
        no[np.flatnonzero(broken), (stops - starts + 1)[broken]] = True
        beside = np.take(samples.points.T, at, axis=1)
        rows = beside[:, :, 1:-1].copy()
        beside[:, no] = _NOWHERE
        rows[:, at[:, 1:-1] >= stops[:, None]] = -_NOWHERE
        jump = np.diff(s, prepend=s[:1], append=s[-1:])
        gap = (jump > 1.5 * step) & (jump < _APART / 2.0)
        return cls(samples, starts, stops, rows, beside, gap[1:] | gap[:-1])

    def last(self, of: np.ndarray) -> np.ndarray:
        """Take from a column what each chunk's last sample has."""
        last: np.ndarray = of[self.stops - 1]
        return last

    def squared(self, one: np.ndarray, other: np.ndarray) -> Array:
        """Squared distances (k, 8, 10) from each sample of some chunks to each of others and its neighbours."""
        total: Array | None = None
        for rows, beside in zip(self.rows, self.with_neighbours, strict=True):
            off = beside[other][:, None, :] - rows[one][:, :, None]
            off *= off
            total = off if total is None else np.add(total, off, out=total)
        if total is None:
            raise ValueError("points must have three coordinates")
        return total


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


def _near_chunks(chunks: _Chunks, reach: float) -> tuple[np.ndarray, np.ndarray, Array]:
    """Pairs a <= b of chunks whose balls' surfaces come within ``reach``, and how far apart: a sweep along the longest extent."""
    centres, radii = _balls(chunks.samples.points, chunks.starts, chunks.stops)
    along = centres[:, int(np.argmax(np.ptp(centres, axis=0)))]
    order = np.argsort(along, kind="stable")
    last = np.searchsorted(along[order], along[order] + reach + 2.0 * radii.max(), side="right")
    count = last - np.arange(order.size)
    ends = np.cumsum(count)
    near_a, near_b, between, row = [], [], [], 0
    while row < order.size:
        stop = max(row + 1, int(np.searchsorted(ends, ends[row] - count[row] + _SWEPT, side="right")))
        own = count[row:stop]
        first = np.repeat(np.arange(row, stop), own)
        second = first + np.arange(first.size) - np.repeat(np.cumsum(own) - own, own)
        a, b = order[first], order[second]
        apart = np.sqrt(_squared(centres, a, b)) - radii[a] - radii[b]
        near = apart < reach
        near_a.append(np.minimum(a[near], b[near]))
        near_b.append(np.maximum(a[near], b[near]))
        between.append(apart[near])
        row = stop
    return np.concatenate(near_a), np.concatenate(near_b), np.concatenate(between)


def _squared(points: Array, i: np.ndarray, j: np.ndarray) -> Array:
    """Squared distances between rows of points (n, 3)."""
    off = points[i] - points[j]
    d2: Array = np.einsum("ij,ij->i", off, off)
    return d2


# ------------------------------------------------------------------ what need not be sampled


def places_needed(paths: Sequence[Path], step: float, reach: float) -> list[dict[int, Array]]:
    """Choose where long pieces are sampled: straight ones where anything else is near, of helices what does not repeat.

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
        For each path the pieces that are not sampled everywhere, by their index, with the parameters of their samples.
    """
    places: list[dict[int, Array]] = [{} for _ in paths]
    long = [
        {k for k, p in enumerate(path.pieces) if path.lengths[k] > _LONG and is_straight(p.curve)} for path in paths
    ]
    rods = [(n, k) for n, own in enumerate(long) for k in sorted(own)]
    ends = {(n, k): _ends_of(paths[n], k) for n, k in rods}
    near = reach + 2.0 * step
    if rods:
        centres, radii = _coarse_balls(paths, set(rods))
        for n, k in rods:
            low, high = _beside_balls(ends[n, k], centres, radii + near)
            others = [_beside_rod(ends[n, k], end, near) for place, end in ends.items() if place != (n, k)]
            length = paths[n].lengths[k]
            low = np.concatenate([low, [other[0] for other in others], [0.0, length - _ENDS]])
            high = np.concatenate([high, [other[1] for other in others], [_ENDS, length]])
            places[n][k] = _grid(paths[n], k, low, high, step)
    for family in families(paths, near):
        axis = np.array([[*family.axis, f(f(s.ends) for s in family.members.values())] for f in (min, max)])
        centres, radii = _coarse_balls(paths, {*family.members, *rods})
        low, high = _beside_balls(axis, centres, radii + near + family.radius)
        others = [_beside_rod(axis, end, near + family.radius) for at, end in ends.items() if at not in family.members]
        low, high = np.append(low, [other[0] for other in others]), np.append(high, [other[1] for other in others])
        inside = low <= high
        gone = left_out(family, low[inside] + axis[0, 2], high[inside] + axis[0, 2], near)
        if not gone:
            continue
        kept = np.array([[-np.inf, *(b for _, b in gone)], [*(a for a, _ in gone), np.inf]])
        for (n, k), screw in family.members.items():
            along = np.sort((np.nan_to_num(kept, posinf=1e9, neginf=-1e9) - screw.z0) / screw.slope, axis=0)
            low, high = along * (paths[n].lengths[k] / screw.span)
            wanted = _grid(paths[n], k, low, high, step)
            places[n][k] = np.intersect1d(places[n][k], wanted) if k in places[n] else wanted
    return places


def _coarse_balls(paths: Sequence[Path], without: set[tuple[int, int]]) -> tuple[Array, Array]:
    """Centres (m, 3) and radii (m,) of balls that hold all wires but for some pieces."""
    centres, radii = [np.zeros((0, 3))], [np.zeros(0)]
    for n, path in enumerate(paths):
        few = path.sample(_COARSE, places={k: np.zeros(0) for m, k in without if m == n})
        if few.s.size:
            starts, stops = _chunks(few.s, _COARSE)
            middle, radius = _balls(few.points, starts, stops)
            centres.append(middle)
            radii.append(radius + _COARSE / 2.0)
    return np.concatenate(centres), np.concatenate(radii)


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
