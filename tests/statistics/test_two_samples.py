"""Comparisons, logistic regression, numbers of pieces: against scipy, brute force and simulation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from helix.statistics.fits.logistic import CannotSeparate, chance_interval, logistic, separated
from helix.statistics.proportions import fisher
from helix.statistics.sample_size import (
    pieces_for_shares,
    pieces_to_show_mean,
    pieces_to_show_share,
    pieces_to_tell_apart,
    power_of_two_means,
    power_of_two_shares,
)
from helix.statistics.two_samples import holm, rank_test, welch


def summary(x: np.ndarray) -> tuple[float, float, int]:
    return float(x.mean()), float(x.std(ddof=1)), x.size


def test_welch_is_scipys_and_turns_round() -> None:
    rng = np.random.default_rng(1)
    one, two = rng.normal(800, 20, 9), rng.normal(830, 40, 14)
    found, theirs = welch(summary(one), summary(two)), stats.ttest_ind(one, two, equal_var=False)
    limits = theirs.confidence_interval(0.95)
    assert (found.t, found.p, found.freedom) == pytest.approx((theirs.statistic, theirs.pvalue, theirs.df), rel=1e-9)
    assert (found.low, found.high) == pytest.approx((limits.low, limits.high), rel=1e-9)
    back = welch(summary(two), summary(one))
    assert (back.difference, back.low, back.high) == pytest.approx((-found.difference, -found.high, -found.low))


def test_rank_test_against_every_arrangement() -> None:
    one, two = np.array([1.0, 4.0, 6.0]), np.array([2.0, 5.0, 7.0, 8.0])
    theirs = stats.permutation_test(
        (one, two), lambda a, b: stats.mannwhitneyu(a, b).statistic, n_resamples=np.inf, alternative="two-sided"
    ).pvalue
    assert rank_test(one, two) == pytest.approx(theirs, abs=1e-9)
    assert rank_test(np.array([1.0, 2.0, 2.0]), np.array([2.0, 3.0, 4.0])) < 0.3  # ties do not stop it


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=12))
def test_holm_by_its_definition(p: list[float]) -> None:
    found = holm(p)
    order = sorted(range(len(p)), key=lambda k: p[k])
    for place, k in enumerate(order):
        wanted = max(min(1.0, p[order[j]] * (len(p) - j)) for j in range(place + 1))
        assert found[k] == pytest.approx(wanted)


def test_holm_leaves_out_what_is_no_number() -> None:
    found = holm([0.01, math.nan, 0.03])
    assert found[0] == pytest.approx(0.02)
    assert math.isnan(found[1])


def test_logistic_stands_on_the_top_of_its_likelihood() -> None:
    rng = np.random.default_rng(4)
    x = np.column_stack((rng.integers(3, 7, 60), rng.integers(2, 6, 60))).astype(float)
    chance = 1.0 / (1.0 + np.exp(-(8.0 - 1.5 * x[:, 0] - 0.3 * x[:, 1])))
    y = rng.random(60) < chance
    found = logistic(x, y)
    design = np.column_stack((np.ones(60), x))
    fitted = 1.0 / (1.0 + np.exp(-design @ found.coefficients))
    assert design.T @ (y - fitted) == pytest.approx(0.0, abs=1e-6)
    assert found.low[1] < found.coefficients[1] < found.high[1] < 0.0
    middle, low, high = chance_interval(found, np.array([4.0, 3.0]))
    assert low < middle < high


@pytest.mark.slow
def test_profile_limits_hold_as_often_as_they_claim() -> None:
    rng, held, told = np.random.default_rng(9), 0, 0
    x = np.repeat([3.0, 4.0, 5.0, 6.0], 10)[:, None]
    chance = 1.0 / (1.0 + np.exp(-(6.3 - 1.4 * x[:, 0])))
    for _ in range(300):
        try:
            found = logistic(x, rng.random(40) < chance)
        except CannotSeparate:
            continue
        told += 1
        held += found.low[1] <= -1.4 <= found.high[1]
    assert told > 290
    assert abs(held / told - 0.95) < 4.0 * math.sqrt(0.05 * 0.95 / told)


@pytest.mark.parametrize(
    ("columns", "ended", "said"),
    [
        ([[3.0], [4.0], [5.0], [6.0]], [1, 1, 0, 0], "boundary separates"),
        ([[3.0], [4.0], [4.0], [6.0]], [1, 1, 0, 0], "boundary separates"),
        ([[3.0, 3.0], [4.0, 4.0], [5.0, 5.0], [6.0, 6.0]], [1, 0, 1, 0], "vary together"),
        ([[3.0, 5.0], [4.0, 5.0], [3.0, 5.0], [4.0, 5.0]], [1, 0, 0, 1], "does not vary"),
        ([[3.0], [4.0]], [1, 1], "ended alike"),
    ],
)
def test_what_the_data_cannot_tell_is_refused(columns: list[list[float]], ended: list[int], said: str) -> None:
    with pytest.raises(CannotSeparate, match=said):
        logistic(np.array(columns), ended)


def test_separation_against_a_search_of_directions() -> None:
    rng = np.random.default_rng(2)
    angles = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    tried = {True: 0, False: 0}
    for _ in range(200):
        x = rng.integers(0, 4, 6).astype(float)
        y = rng.integers(0, 2, 6).astype(float)
        design = np.column_stack((np.ones(6), x))
        signed = design * np.where(y > 0.5, 1.0, -1.0)[:, None]
        # in two dimensions: a direction (cos, sin) at the places where some row is on the boundary, and between
        edges = np.concatenate((np.arctan2(1.0, -x), np.arctan2(-1.0, x)))
        ways = np.concatenate((angles, edges, edges + np.pi))
        values = signed @ np.stack((np.cos(ways), np.sin(ways)))
        brute = bool(((values >= -1e-9).all(axis=0) & (values > 1e-7).any(axis=0)).any())
        assert separated(design, y) is brute
        tried[brute] += 1
    assert min(tried.values()) > 20


def test_power_of_two_means_against_simulation() -> None:
    rng = np.random.default_rng(5)
    one, two = rng.standard_normal((8000, 10)), 1.2 + rng.standard_normal((8000, 10))
    told = np.mean(stats.ttest_ind(one, two, axis=1).pvalue <= 0.05)
    assert abs(told - power_of_two_means(10, 1.2)) < 4.0 * math.sqrt(0.25 / 8000)
    assert power_of_two_means(10, 0.0) == pytest.approx(0.05, abs=1e-9)


def test_numbers_of_pieces_are_the_least() -> None:
    n = pieces_to_tell_apart(0.9, 0.9)
    assert n is not None
    assert power_of_two_means(n, 0.9) >= 0.9 > power_of_two_means(n - 1, 0.9)
    assert pieces_to_show_mean(0.0) is None
    assert pieces_to_show_share(1.0, 0.95) is None
    assert pieces_to_tell_apart(1e-4) is None


def test_power_of_two_shares_against_every_outcome() -> None:
    for n, p, q in ((6, 0.1, 0.8), (9, 0.0, 0.5)):
        brute = sum(
            stats.binom.pmf(i, n, p) * stats.binom.pmf(j, n, q)
            for i in range(n + 1)
            for j in range(n + 1)
            if fisher((i, n), (j, n)) <= 0.05
        )
        assert power_of_two_shares(n, p, q) == pytest.approx(float(brute), abs=1e-9)
    least = pieces_for_shares(0.1, 0.6)
    assert least is not None
    assert all(power_of_two_shares(k, 0.1, 0.6) >= 0.9 for k in range(least, least + 10))
    assert power_of_two_shares(n - 1, 0.1, 0.6) < 0.9
    assert pieces_for_shares(0.3, 0.3) is None


def test_samples_without_scatter_differ_surely_or_not_at_all() -> None:
    less, same = (welch((a, 0.0, 3), (800.0, 0.0, 4)) for a in (700.0, 800.0))
    assert (less.difference, less.low, less.high, less.t, less.p) == (-100.0, -100.0, -100.0, -math.inf, 0.0)
    assert (same.difference, same.t, same.p, same.freedom) == (0.0, 0.0, 1.0, 5.0)
