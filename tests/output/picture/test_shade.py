"""How much light gets to the wire past the rest of it, against the solid angle itself and brute force."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.output.picture.shade import openness, pairs_within
from helix.output.picture.view import only, shown_part
from helix.studies.shape.shape import ShapeResult


@pytest.mark.parametrize("flat", [(1.0, 1.0, 1.0), (9.0, 1.0, 0.0), (0.0, 0.0, 0.0)])
def test_pairs_are_those_of_a_tree(flat: tuple[float, float, float]) -> None:
    random = np.random.default_rng(5)
    x, y = random.random((700, 3)) * flat, random.random((300, 3)) * flat
    first, second = pairs_within(x, y, 0.2)
    assert np.all(np.diff(first) >= 0)
    wanted = {(i, j) for i, near in enumerate(cKDTree(y).query_ball_point(x, 0.2)) for j in near}
    assert set(zip(first.tolist(), second.tolist(), strict=True)) == wanted
    assert len(first) == len(wanted)


def test_each_length_of_wire_takes_its_share(good: ShapeResult) -> None:
    shown = shown_part(good.joint, 0.1)
    d, run = shown.d_mm, shown.pieces[-1]
    light, u, v = openness(shown, run)
    count = np.floor((shown.s_mm - shown.s_mm[0]) / (0.2 * d))
    some = np.flatnonzero(np.diff(count, prepend=-1.0) > 0.0)
    for row in range(0, run.stop - run.start, 2)[::40]:
        at = shown.points_mm[run.start + row]
        near = some[np.linalg.norm(shown.points_mm[some] - at, axis=1) <= 2.6 * d]
        for k in range(16):
            out = np.cos(k * np.pi / 8) * u[row] + np.sin(k * np.pi / 8) * v[row]
            away = shown.points_mm[near] - (at + d / 2 * out)
            square = np.maximum(np.sum(away**2, axis=1), (0.3 * d) ** 2)
            above = np.clip(away @ out, 0.0, None) / np.sqrt(square)
            across = 1.0 - np.sum(away * shown.tangents[near], axis=1) ** 2 / square
            taken = above * np.sqrt(np.clip(across, 0.0, None)) * d * 0.2 * d / square / np.pi
            assert light[row, k] == pytest.approx(np.exp(-1.25 * taken.sum()), abs=1e-9)


def test_light_is_worked_out_once_and_is_that_of_a_part(good: ShapeResult) -> None:
    shown = shown_part(good.joint, 0.1)
    piece = shown.pieces[-1]
    whole = openness(shown, piece)
    part = openness(shown, slice(piece.start + 100, piece.start + 300))
    assert all(np.shares_memory(a, b) for a, b in zip(part, whole, strict=True))
    assert not only(shown, [piece]).shades  # another wire begins anew
