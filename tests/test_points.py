"""What somebody else finds who has nothing but the table of points that `helix shape --points` writes.

The least gap, by cubic interpolation and a search of every pair of parts; curvature and lengths by differences.
Only numpy and scipy are used on the points.
"""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from helix.commands.main import main

FAULTS = Path(__file__).resolve().parents[1] / "docs" / "examples" / "faults"
ALONG = 1.6  # nearer than this along the wire [d] two places belong to one bend


class Table:
    """The columns of a file of points, and the numbers of the answer that it is compared with."""

    def __init__(self, name: str, step: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        target = folder / f"{name}-{step.replace(' ', '')}.csv"
        recipe = str(FAULTS / f"{name}.toml")
        assert main(["shape", recipe, "--json", "--force", "--points", str(target), "--step", step]) == 0
        self.answer = json.loads(capsys.readouterr().out)
        header, *lines = target.read_text(encoding="utf-8").splitlines()
        assert header == "s_mm,x_mm,y_mm,z_mm,curvature_per_mm,section"
        self.d = self.answer["wire"]["diameter_mm"]
        numbers = np.loadtxt(lines, delimiter=",", usecols=range(5))
        self.s, self.points, self.curvature = numbers[:, 0] / self.d, numbers[:, 1:4] / self.d, numbers[:, 4] * self.d
        self.section = np.array([line.rsplit(",", 1)[1] for line in lines])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("points")


def least_gaps(table: Table, within: float = 1.01) -> dict[tuple[str, str], float]:
    """Least gap [d] of every pair of parts that come within reach, self-pairs included.

    All pairs of points from a k-d tree; for each pair of parts the 40 nearest are closed in on, on the cubic
    spline through the points.
    """
    from scipy.interpolate import CubicSpline
    from scipy.spatial import cKDTree

    keep = np.flatnonzero(table.points[:, 2] < table.points[table.section == "stub", 2].max() + 3.0)
    s, points, section = table.s[keep], table.points[keep], table.section[keep]
    curve = CubicSpline(s, points)
    pairs = cKDTree(points).query_pairs(within, output_type="ndarray")
    pairs.sort(axis=1)
    pairs = pairs[s[pairs[:, 1]] - s[pairs[:, 0]] > ALONG]
    apart = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    pairs = pairs[np.argsort(apart, kind="stable")]
    names, number = np.unique(section, return_inverse=True)
    key = number[pairs[:, 0]] * len(names) + number[pairs[:, 1]]
    found = {}
    for one in np.unique(key):
        at = s[pairs[key == one][:40]]
        width = float(np.diff(s).max())
        steps = np.linspace(-1.0, 1.0, 9)
        best = np.inf
        for _ in range(8):
            u = np.clip(at[:, 0, None] + width * steps, s[0], s[-1])
            v = np.clip(at[:, 1, None] + width * steps, s[0], s[-1])
            grid = np.linalg.norm(curve(u)[:, :, None] - curve(v)[:, None], axis=-1)
            i, j = np.unravel_index(grid.reshape(len(at), -1).argmin(axis=1), grid.shape[1:])
            rows = np.arange(len(at))
            best = min(best, float(grid.min()))
            at = np.stack([u[rows, i], v[rows, j]], axis=1)
            width /= 3.0
        found[str(names[one // len(names)]), str(names[one % len(names)])] = best - 1.0
    return found


def test_the_least_gap_of_the_good_joint(folder, capsys):
    table = Table("good", "0.005 d", folder, capsys)
    assert np.diff(table.s).max() <= 0.005 * (1.0 + 1e-9)
    gaps = least_gaps(table)
    assert min(gaps.values()) == pytest.approx(table.answer["clearance"]["least_d"], abs=1e-6)
    assert table.answer["clearance"]["least_d"] == pytest.approx(0.0, abs=1e-9)
    # what has to touch does: legs, wraps on their core and on each other, the tag swinging on the leg
    for pair in (
        ("twist_standing", "twist_tag"), ("barrel_core", "barrel"), ("barrel", "barrel"), ("barrel_core", "exit_tag"),
        ("exit_standing", "exit_tag"),
    ):  # fmt: skip
        assert gaps[pair] == pytest.approx(0.0, abs=1e-6)
    assert tuple(table.answer["clearance"]["between"]) in gaps


@pytest.mark.parametrize("name", ["tight-pitch", "short-exit"])
def test_the_least_gap_of_a_joint_that_overlaps(name, folder, capsys):
    table = Table(name, "0.01 d", folder, capsys)
    gaps = least_gaps(table)
    between = tuple(table.answer["clearance"]["between"])
    assert gaps[between] == pytest.approx(min(gaps.values()), abs=1e-8)
    assert gaps[between] == pytest.approx(table.answer["clearance"]["least_d"], abs=1e-6)


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("good", ("0.02 d", "0.01 d")),
        pytest.param("wide-throat", ("0.006 d", "0.003 d"), marks=pytest.mark.slow),
        ("over-twist", ("0.02 d", "0.01 d")),
    ],
)
def test_the_largest_step_of_curvature_halves_with_the_step(name, steps, folder, capsys):
    """A jump of curvature at any join would stay as it is."""
    jumps = []
    for step in steps:
        table = Table(name, step, folder, capsys)
        jumps.append(np.abs(np.diff(table.curvature)).max())
    assert jumps[0] / jumps[1] == pytest.approx(2.0, abs=0.15)


def test_curvature_and_lengths_by_differences_of_the_points(folder, capsys):
    """Second differences of the points give the curvature column; chords add up to the lengths of the parts."""
    table = Table("good", "0.01 d", folder, capsys)
    s, p = table.s, table.points
    h = np.diff(s)[:, None]
    slope = np.diff(p, axis=0) / h
    bent = np.linalg.norm(2.0 * np.diff(slope, axis=0) / (h[:-1] + h[1:]), axis=1)
    assert np.abs(bent - table.curvature[1:-1]).max() < 0.05  # half a sample off where the curvature ramps
    assert np.abs(bent - table.curvature[1:-1]).mean() < 1e-4
    chords = np.linalg.norm(np.diff(p, axis=0), axis=1)
    starts = [0, *(np.flatnonzero(table.section[1:] != table.section[:-1]) + 1), len(s) - 1]
    for first, last in pairwise(starts):
        name = table.section[first]
        row = next(r for r in table.answer["sections"] if r["name"] == name)
        length = s[last] - s[first]
        assert length * table.d == pytest.approx(row["wire_mm"], rel=1e-9)
        assert chords[first:last].sum() == pytest.approx(length, rel=1e-5)
    assert s[-1] * table.d + table.answer["recipe"]["finish"]["handle_mm"] == pytest.approx(
        table.answer["cut"]["total_mm"], rel=1e-12
    )
