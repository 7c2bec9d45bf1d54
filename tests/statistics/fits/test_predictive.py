"""What one more piece will hold. What is tested, strongest first:

* the posterior against numerical integration of another kind: a conjugate case, limits of none and of many pieces;
* pieces that ended otherwise, or show the weaker of two, by simulation;
* the lower limit covers the next piece, over coils and makers of known truth.
"""

from __future__ import annotations

import numpy as np
import pytest

from helix.statistics.fits.predictive import update_log_normal

PRIOR, SCALE = (-0.15, 0.11), (0.05, 1.0)


def limit(loads: np.ndarray, failed: np.ndarray, units: np.ndarray, level: float = 0.05) -> float:
    from scipy.special import ndtri

    u, v, w = np.random.default_rng(0).random((3, 4000))
    theta, sigma = update_log_normal(PRIOR, SCALE, loads, failed, units).draw(u, v)
    return float(np.quantile(np.exp(theta + sigma * ndtri(w)), level))


def test_without_pieces_the_prior_stands() -> None:
    from scipy.stats import t

    found = update_log_normal(PRIOR, SCALE, [], [], [])
    below = np.cumsum(found.weights.sum(axis=1))
    for level in (0.05, 0.5, 0.95):
        at = float(np.interp(level, below, found.locations + 0.5 * np.diff(found.locations)[0]))
        # cut at six posterior deviations, where a t distribution still has a little left
        assert at == pytest.approx(PRIOR[0] + PRIOR[1] * t.ppf(level, 4), abs=0.01)


@pytest.mark.parametrize("truth", [-0.5, -0.15, 0.1])
def test_many_pieces_outweigh_the_prior(truth: float) -> None:
    loads = np.exp(truth + 0.03 * np.random.default_rng(1).standard_normal(400))
    found = update_log_normal(PRIOR, SCALE, loads, np.full(400, True), np.ones(400))
    mean, spread = found.location
    assert mean == pytest.approx(float(np.log(loads).mean()), abs=2e-4)
    assert spread == pytest.approx(float(np.log(loads).std() / 20.0), rel=0.02)


def test_an_other_end_only_says_above() -> None:
    few = update_log_normal(PRIOR, SCALE, [0.8, 0.82], [True, True], [1, 1]).location[0]
    told = update_log_normal(PRIOR, SCALE, [0.8, 0.82, 0.5], [True, True, False], [1, 1, 1]).location[0]
    high = update_log_normal(PRIOR, SCALE, [0.8, 0.82, 0.95], [True, True, False], [1, 1, 1]).location[0]
    assert told == pytest.approx(few, abs=0.01) and high > few + 0.01


def test_two_joints_show_the_weaker() -> None:
    rng = np.random.default_rng(2)
    loads = np.exp(-0.2 + 0.05 * rng.standard_normal((400, 2))).min(axis=1)
    found = update_log_normal(PRIOR, SCALE, loads, np.full(400, True), np.full(400, 2))
    assert found.location[0] == pytest.approx(-0.2, abs=3.0 * 0.05 / 20.0)


CASES = [(-0.15, 0.03, 3), (-0.15, 0.03, 10), (-0.15, 0.03, 30), (-0.5, 0.03, 3), (-0.5, 0.03, 10), (-0.3, 0.05, 5)]


def coverage(truth: float, spread: float, pieces: int, benches: int) -> float:
    """Share of next pieces above the limit that a bench of so many pieces gives, truth and spread of the log known."""
    from scipy.special import ndtr

    rng = np.random.default_rng(3)
    held = 0.0
    for _ in range(benches):
        loads = np.exp(truth + spread * rng.standard_normal(pieces))
        least = limit(loads, np.full(pieces, True), np.ones(pieces))
        held += float(1.0 - ndtr((np.log(least) - truth) / spread))
    return held / benches


@pytest.mark.parametrize(("truth", "spread", "pieces"), CASES[:2])
def test_the_lower_limit_covers_the_next_piece(truth: float, spread: float, pieces: int) -> None:
    assert 0.93 <= coverage(truth, spread, pieces, 60) <= 0.985  # 60 benches: one sigma of 0.006 and less


@pytest.mark.slow
@pytest.mark.parametrize(("truth", "spread", "pieces"), CASES)
def test_the_lower_limit_covers_in_two_thousand_benches(truth: float, spread: float, pieces: int) -> None:
    assert 0.93 <= coverage(truth, spread, pieces, 2000) <= 0.97
