"""Triangles of a mesh that cut each other: the slow and certain way."""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree


def crossings(vertices: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Pairs (n, 2) of triangles without a common vertex, an edge of one of which runs through the other."""
    corners = vertices[faces]
    middles = corners.mean(axis=1)
    reach = np.linalg.norm(corners - middles[:, None], axis=2).max(axis=1)
    large = reach > 1.5 * np.median(reach)
    near = cKDTree(middles).query_pairs(2.0 * reach[~large].max(), output_type="ndarray")
    found = [near[~(large[near[:, 0]] | large[near[:, 1]])]]
    for k in np.flatnonzero(large):
        others = np.flatnonzero(np.linalg.norm(middles - middles[k], axis=1) <= reach[k] + reach)
        found.append(np.stack((np.full(len(others), k), others), axis=1))
    pairs = np.unique(np.sort(np.concatenate(found), axis=1), axis=0)
    low, high = corners.min(axis=1), corners.max(axis=1)
    a, b = pairs.T
    pairs = pairs[np.all((low[a] <= high[b]) & (low[b] <= high[a]), axis=1)]
    common = (faces[pairs[:, 0]][:, :, None] == faces[pairs[:, 1]][:, None, :]).any(axis=(1, 2))
    pairs = pairs[~common]
    cut = np.zeros(len(pairs), dtype=bool)
    for one, other in ((0, 1), (1, 0)):
        edges, through = corners[pairs[:, one]], corners[pairs[:, other]]
        normal = np.cross(through[:, 1] - through[:, 0], through[:, 2] - through[:, 0])
        for corner in range(3):
            start, end = edges[:, corner], edges[:, (corner + 1) % 3]
            above, below = (np.einsum("ij,ij->i", p - through[:, 0], normal) for p in (start, end))
            crosses = above * below < 0.0
            share = np.divide(above, above - below, out=np.zeros(len(pairs)), where=crosses)
            point = start + share[:, None] * (end - start)
            for j in range(3):
                side = np.cross(through[:, (j + 1) % 3] - through[:, j], point - through[:, j])
                crosses &= np.einsum("ij,ij->i", side, normal) > 0.0
            cut |= crosses
    return pairs[cut]
