"""The map of simulated pulls, its table and its surface. What is tested, strongest first:

* each row of the table is the joint of its seed; the table is small and has the pulls that the page tells of;
* a fit finds coefficients again from loads of which many are known only to be higher, where one that takes these as seen does not;
* on joints that it did not see the surface is off by what the page says, and by less than half of what model R is.
"""

from __future__ import annotations

import importlib
import re
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from helix.studies.simulate.simulated_range import FRICTIONS, LAYS_D, PINS_D, TURNS, WRAPS

ROOT = Path(__file__).resolve().parents[3]
TABLE = ROOT / "validation" / "pull_map.csv"
PAGE = (ROOT / "docs" / "theory" / "pull-map.md").read_text(encoding="utf-8")


@pytest.fixture
def study(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(ROOT / "scripts"))
    return importlib.import_module("studies.pull_map")


def test_each_row_is_the_joint_of_its_seed(study: ModuleType) -> None:
    rows = list(study.read(TABLE))
    assert [int(row["seed"]) for row in rows] == list(range(1, len(rows) + 1))
    for row in rows:
        assert {key: float(row[key]) for key in study.RANGES} == pytest.approx(
            {key: float(value) for key, value in study.drawn(int(row["seed"])).items() if key != "seed"}
        )
    ends = [row["outcome"] for row in rows]
    assert set(ends) <= {"slips", "breaks", "held", "refused", "left out"}
    pulls = sum(ends.count(end) for end in ("slips", "breaks", "held"))
    assert f"{pulls} pulls" in PAGE and f"{ends.count('slips')} slip" in PAGE
    assert max(float(row["unaccounted"]) for row in rows if row["unaccounted"]) < 0.005
    assert TABLE.stat().st_size < 1_000_000


def test_what_is_drawn_is_within_what_is_simulated(study: ModuleType) -> None:
    names = {"lay_d": LAYS_D, "turns": TURNS, "wraps": WRAPS, "pin_d": PINS_D, "friction": FRICTIONS}
    for key, (low, high) in names.items():
        drawn = study.RANGES[key]
        assert low <= drawn[0] < drawn[1] <= high, key


def test_a_fit_sees_through_what_broke_first(study: ModuleType) -> None:
    random = np.random.default_rng(3)
    x = np.column_stack([np.ones(400), random.uniform(-1.0, 1.0, (400, 2))])
    true = np.array([-0.5, 0.2, -0.1])
    slips = x @ true + 0.02 * random.standard_normal(400)
    breaks = np.full(400, -0.45)
    at_least = slips > breaks
    seen = np.minimum(slips, breaks)
    assert 0.2 < at_least.mean() < 0.6
    assert study.fitted(x, seen, at_least) == pytest.approx(true, abs=0.01)
    assert np.abs(study.fitted(x, seen, np.zeros(400, dtype=bool)) - true).max() > 0.05


@pytest.mark.slow
def test_the_surface_is_off_by_what_the_page_says(study: ModuleType) -> None:
    rows = study.used(TABLE)
    slips = np.array([row["outcome"] == "slips" for row in rows])
    peak = np.array([float(row["peak"]) for row in rows])
    told = study.held_out(rows, 1)[0]
    r = np.array([study.model_r(row) for row in rows])
    off, off_r = (float(np.sqrt(np.mean((load - peak)[slips] ** 2))) for load in (told, r))
    said = [float(number) for number in re.findall(r"\| all that slip \| \d+ \| (0\.\d+) \| (0\.\d+) \|", PAGE)[0]]
    assert off == pytest.approx(said[0], abs=0.0015) and off_r == pytest.approx(said[1], abs=0.0006)
    assert off < 0.021 and off < 0.5 * off_r
