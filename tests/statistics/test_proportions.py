"""Shares, bounds without a distribution, outliers, plotting positions: against brute force and scipy.stats."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from helix.statistics.proportions import clean_pieces_needed, fisher, lower_share, quantile_lower_bound, share_interval
from helix.statistics.samples import outliers, plotting_positions, spread, tolerance_factor


@pytest.mark.parametrize("n", [1, 2, 5, 10, 37])
def test_share_interval_is_scipys_and_mirrors(n: int) -> None:
    for count in range(n + 1):
        theirs = stats.binomtest(count, n).proportion_ci(0.95, method="exact")
        assert share_interval(count, n) == pytest.approx((theirs.low, theirs.high), abs=1e-10)
        low, high = share_interval(n - count, n)
        assert share_interval(count, n) == pytest.approx((1.0 - high, 1.0 - low), abs=1e-10)


def test_share_interval_covers_at_least_what_it_claims() -> None:
    n = 12
    limits = [share_interval(k, n) for k in range(n + 1)]
    for p in np.linspace(0.01, 0.99, 99):
        held = sum(stats.binom.pmf(k, n, p) for k, (low, high) in enumerate(limits) if low <= p <= high)
        assert held >= 0.95


def test_fisher_against_counting_every_small_table() -> None:
    for a, b in product(range(7), range(6)):
        # ways to have i of 6 in the first sample and the rest of a + b in the second of 5, in whole numbers
        ways = {i: math.comb(6, i) * math.comb(5, a + b - i) for i in range(max(0, a + b - 5), min(6, a + b) + 1)}
        theirs = sum(way for way in ways.values() if way <= ways[a]) / sum(ways.values())
        assert fisher((a, 6), (b, 5)) == pytest.approx(theirs, abs=1e-9)
        assert fisher((b, 5), (a, 6)) == pytest.approx(theirs, abs=1e-9)


@given(st.floats(0.5, 0.99), st.floats(0.5, 0.99))
def test_clean_pieces_are_the_fewest_that_show_the_share(share: float, confidence: float) -> None:
    n = clean_pieces_needed(share, confidence)
    assert lower_share(n, n, confidence) >= share - 1e-9
    assert n == 1 or lower_share(n - 1, n - 1, confidence) < share


@pytest.mark.parametrize(("share", "n"), [(0.5, 5), (0.5, 10), (0.5, 20), (0.75, 10)])
def test_the_bound_without_a_distribution_holds_for_any(share: float, n: int) -> None:
    rng = np.random.default_rng(n)
    for draw in (rng.standard_normal, rng.standard_exponential, lambda size: np.round(rng.standard_normal(size), 1)):
        truth = float(np.quantile(draw(400_000), share))
        samples = draw((4000, n))
        held = np.mean([quantile_lower_bound(row, share) <= truth + 1e-9 for row in samples])
        assert held >= 0.95 - 4.0 * math.sqrt(0.05 * 0.95 / 4000)


def test_the_bound_is_the_highest_order_statistic_that_holds() -> None:
    x = np.arange(1.0, 11.0)
    bound = quantile_lower_bound(x, 0.5)
    k = int(bound)
    assert stats.binom.sf(k - 1, 10, 0.5) >= 0.95 > stats.binom.sf(k, 10, 0.5)
    assert math.isnan(quantile_lower_bound(np.array([3.0, 4.0, 5.0, 6.0]), 0.5))


def test_readings_that_stand_out() -> None:
    x = 800.0 + 20.0 * stats.norm.ppf((np.arange(20) + 0.5) / 20)
    assert outliers(x) == ()
    x[7] = 600.0
    (found,) = outliers(x)
    assert found.place == 7
    assert found.off > found.limit
    assert found.off == pytest.approx(abs(x[7] - x.mean()) / x.std(ddof=1))
    assert outliers([1.0, 2.0, 1.0, 900.0]) == ()
    assert outliers([5.0] * 9) == ()


def test_a_clean_sample_is_flagged_as_often_as_the_level_says() -> None:
    rng = np.random.default_rng(12)
    flagged = np.mean([bool(outliers(rng.standard_normal(10))) for _ in range(4000)])
    assert abs(flagged - 0.05) < 4.0 * math.sqrt(0.05 * 0.95 / 4000)


def test_tolerance_factor_gives_the_confidence_it_claims() -> None:
    rng = np.random.default_rng(3)
    x = rng.standard_normal((20_000, 10))
    bounds = x.mean(axis=1) - tolerance_factor(10, 0.95, 0.95) * x.std(axis=1, ddof=1)
    held = np.mean(bounds <= stats.norm.ppf(0.05))
    assert abs(held - 0.95) < 4.0 * math.sqrt(0.05 * 0.95 / 20_000)


def test_tolerance_factor_falls_to_the_normal_quantile() -> None:
    factors = [tolerance_factor(n, 0.95, 0.95) for n in (2, 5, 10, 100, 10_000, 1_000_000)]
    assert factors == sorted(factors, reverse=True)
    assert factors[-1] == pytest.approx(stats.norm.ppf(0.95), abs=3e-3)
    with pytest.raises(ValueError, match="n must be 2 or more"):
        tolerance_factor(1, 0.95, 0.95)


def test_plotting_positions_without_censoring_and_with() -> None:
    x, p = plotting_positions(np.array([5.0, 3.0, 4.0, 1.0]), [True] * 4)
    assert x.tolist() == [1.0, 3.0, 4.0, 5.0]
    assert p == pytest.approx([0.125, 0.375, 0.625, 0.875])
    # a piece that ended otherwise below all others thins nothing that matters: the steps stay even
    _, q = plotting_positions(np.array([0.5, 5.0, 3.0, 4.0, 1.0]), [False, True, True, True, True])
    assert q == pytest.approx(p)
    # Kaplan-Meier by hand: steps 1/4, then (3/4)/2 twice
    _, r = plotting_positions(np.array([1.0, 2.0, 3.0, 4.0]), [True, False, True, True])
    assert r == pytest.approx([0.125, 0.25 + 0.1875, 0.25 + 0.5625])


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=40))
def test_spread_is_numpys(values: list[float]) -> None:
    assert spread(values) == pytest.approx(float(np.std(values, ddof=1)), rel=1e-9, abs=1e-9)
