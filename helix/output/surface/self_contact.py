"""Facets kept out of each other where parts of the wire touch.

Flat facets of a round wire stand out from it at their corners, so where two parts just touch their facets
would cut into each other. Here those corners are set back, by less than a hundredth of the diameter at
the usual quality, and the rest of the surface makes up for the volume.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.distance import SKIP
from helix.geometry.wire.path import Path
from helix.geometry.wire.rings import Rings
from helix.output.surface.tube import Tube, corner_radius, volume

Floats = NDArray[np.float64]

_OVERLAP_D = 1e-4  # parts deeper in each other than this overlap, and are left as they are
_SPREAD = 0.5  # share of a corner's way that its neighbours go with it
_ROUNDS = 3


def kept_apart(body: Tube, path: Path, stations: Rings, tolerance_d: float, others: Sequence[Path] = ()) -> Tube:
    """The surface of a wire of diameter 1 whose touching parts do not cut into each other, nor into other wires.

    body: swept along the rings `stations` of `path`, its facets within tolerance_d of the wire along bends.
    The volume is that of the wire, to 1e-9. Parts that overlap by more than 1e-4 d stay in each other.
    """
    margin = corner_radius(1.0, body.sides) - 0.5 + 1.35 * tolerance_d
    step = 0.7 * float(np.sqrt(tolerance_d))
    lines = [path.sample(step), *(each.sample(step) for each in others)]
    beyond = np.cumsum([0.0, *(each.s[-1] + 2.0 * SKIP for each in lines)])  # other wires are far along this one
    s = np.concatenate([each.s + start for each, start in zip(lines, beyond[:-1], strict=True)])
    points, tangents = (np.concatenate([getattr(each, name) for each in lines]) for name in ("points", "tangents"))
    middle = stations.points[:, None]
    corners = body.rings.copy()
    inside = np.hypot(0.5 + margin, 0.7 * step)  # a corner further from a sample needs no room from it
    out = corners - middle
    radius = float(np.linalg.norm(out, axis=2).max())
    near = _near(stations, s, points, radius + inside)
    ring, corner, other = _facing(out, near, stations, points, radius, inside)
    order = np.argsort(ring * body.sides + corner, kind="stable")
    ring, corner, other = ring[order], corner[order], other[order]
    starts = np.flatnonzero(np.diff(ring * body.sides + corner, prepend=-1))
    beside_at, beside_along = points[other], tangents[other]
    for turn in range(_ROUNDS):
        away = corners[ring, corner] - beside_at
        along = np.einsum("mc,mc->m", away, beside_along)
        square = np.einsum("mc,mc->m", away, away) - along**2
        square[np.abs(along) > 0.7 * step] = np.inf
        need = np.zeros(corners.shape[:2])
        if ring.size:
            most = np.maximum.reduceat(0.5 + margin - np.sqrt(square), starts)
            need[ring[starts], corner[starts]] = np.maximum(most, 0.0)
        if turn < _ROUNDS - 1:
            beside = [np.roll(need, k, axis) for axis in (0, 1) for k in (-1, 1)]
            need = np.maximum.reduce([need, *(_SPREAD * other_need for other_need in beside)])
        out = corners - middle
        corners -= out * (need / np.linalg.norm(out, axis=2))[:, :, None]
    back = np.linalg.norm(corners - body.rings, axis=2) > 0.0
    return _refilled(body, corners, middle, back, np.pi / 4.0 * path.length)


Rows = NDArray[np.intp]


def _near(stations: Rings, s: Floats, points: Floats, reach: float) -> tuple[Rows, Rows]:
    """Pairs (ring, sample) near enough for a corner, farther apart along the wire than neighbours, not overlapping."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(stations.points).sparse_distance_matrix(cKDTree(points), reach, output_type="coo_matrix")
    apart = np.abs(stations.s[pairs.row] - s[pairs.col]) > SKIP
    keep = apart & (pairs.data > 1.0 - _OVERLAP_D)
    return pairs.row[keep].astype(np.intp), pairs.col[keep].astype(np.intp)


def _facing(
    out: Floats, pairs: tuple[Rows, Rows], stations: Rings, points: Floats, radius: float, inside: float
) -> tuple[Rows, Rows, Rows]:
    """The corners of the rings that come near enough to the samples of their pairs: ring, corner, sample.

    out (n, sides, 3): from the middle of each ring to its corners. With the sample w from the middle, |w'| of it in the
    ring's plane, a corner at the angle phi from it is |w|^2 + r^2 - 2 r |w'| cos phi away, squared.
    """
    ring, other = pairs
    sides = out.shape[1]
    each = 2.0 * np.pi / sides
    size = np.linalg.norm(out[:, :2], axis=2)
    first, second = out[:, 0] / size[:, :1], out[:, 1] / size[:, 1:]
    square_to_first = (second - np.cos(each) * first) / np.sin(each)
    w = points[other] - stations.points[ring]
    x, y = (np.einsum("mc,mc->m", w, way[ring]) for way in (first, square_to_first))
    whole = np.einsum("mc,mc->m", w, w) + radius**2 - inside**2
    least_cos = whole / np.maximum(2.0 * radius * np.hypot(x, y), 1e-9)
    keep = least_cos < 1.0
    ring, other, least_cos = ring[keep], other[keep], least_cos[keep]
    at, half = np.arctan2(y[keep], x[keep]) / each, np.arccos(np.maximum(least_cos, -1.0)) / each + 1e-9
    low, high = np.ceil(at - half).astype(np.intp), np.floor(at + half).astype(np.intp)
    count = np.maximum(high - low + 1, 0)
    pair = np.repeat(np.arange(ring.size), count)
    number = np.arange(pair.size) - np.repeat(np.cumsum(count) - count, count)
    return ring[pair], (low[pair] + number) % sides, other[pair]


def _refilled(body: Tube, corners: Floats, middle: Floats, back: NDArray[np.bool_], wanted: float) -> Tube:
    """Move the corners that were not set back a little outwards, until the volume is what is wanted."""
    out = np.where(back[:, :, None], 0.0, corners - middle)
    wider, gain = 0.0, 2.0 * float(np.mean(~back))  # share of volume gained for a small widening
    made = _with(body, corners)
    lack = 1.0 - volume(made) / wanted
    for _ in range(8):
        if abs(lack) < 1e-11:
            break
        step = lack / gain
        wider += step
        made = _with(body, corners + wider * out)
        left = 1.0 - volume(made) / wanted
        gain = (lack - left) / step
        lack = left
    return made


def _with(body: Tube, rings: Floats) -> Tube:
    vertices = body.vertices.copy()
    vertices[:-2] = rings.reshape(-1, 3)
    return replace(body, vertices=vertices)
