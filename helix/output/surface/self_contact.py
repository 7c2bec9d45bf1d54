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
_PAIRS = 10_000  # looked at together


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
    ring, other = _near(stations, s, points, 1.0 + 2.0 * margin + 0.02)
    middle = stations.points[:, None]
    corners = body.rings.copy()
    for turn in range(_ROUNDS):
        need = np.zeros(corners.shape[:2])
        for k in range(0, ring.size, _PAIRS):
            i, j = ring[k : k + _PAIRS], other[k : k + _PAIRS]
            away = corners[i] - points[j][:, None]
            along = np.einsum("mkc,mc->mk", away, tangents[j])
            square = np.einsum("mkc,mkc->mk", away, away) - along**2
            square[np.abs(along) > 0.7 * step] = np.inf
            np.maximum.at(need, i, 0.5 + margin - np.sqrt(square))
        if turn < _ROUNDS - 1:
            beside = [np.roll(need, k, axis) for axis in (0, 1) for k in (-1, 1)]
            need = np.maximum.reduce([need, *(_SPREAD * other_need for other_need in beside)])
        out = corners - middle
        corners -= out * (need / np.linalg.norm(out, axis=2))[:, :, None]
    back = np.linalg.norm(corners - body.rings, axis=2) > 0.0
    return _refilled(body, corners, middle, back, np.pi / 4.0 * path.length)


def _near(stations: Rings, s: Floats, points: Floats, reach: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs (ring, sample) within reach, farther apart along the wire than neighbours are, not overlapping."""
    from scipy.spatial import cKDTree

    pairs = cKDTree(stations.points).sparse_distance_matrix(cKDTree(points), reach, output_type="coo_matrix")
    apart = np.abs(stations.s[pairs.row] - s[pairs.col]) > SKIP
    keep = apart & (pairs.data > 1.0 - _OVERLAP_D)
    return pairs.row[keep].astype(np.intp), pairs.col[keep].astype(np.intp)


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
