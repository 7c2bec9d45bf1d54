"""Confidence distributions and the integrated likelihood of one joint.

Map of identities:
  a complete normal sample gives Student's t, chi-square and the noncentral t exactly
  moving and scaling the loads moves and scales every limit
  the weakest of m Weibull joints is a Weibull joint, shifted: the same fit, estimate and limits
  a piece that says "at least" far below all others says nothing; the order of pieces is nothing
  the fit for thousands of pieces is that for hundreds
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from helix.mechanics import limits
from helix.statistics.confidence import (
    Confidence,
    difference_confidence,
    ratio_confidence,
    standard_levels,
    student_confidence,
)
from helix.statistics.fits import integrated as module
from helix.statistics.fits.censored import fit
from helix.statistics.fits.likelihood import Sample, log_likelihood, maximum_likelihood, sample
from helix.statistics.samples import mean_interval, single_from_smaller, spread, spread_interval, tolerance_bound


def loads(n: int, seed: int = 3, joints: int = 1) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return (900.0 + 45.0 * rng.standard_normal((joints, n))).min(axis=0)


def mixed(n: int = 14, seed: int = 4) -> Sample:
    """Pieces with two joints, some of which broke clear."""
    weaker = loads(n, seed, 2)
    wire = 905.0 + 30.0 * np.random.default_rng(seed + 1).standard_normal(n)
    return sample(np.minimum(weaker, wire), weaker < wire, 2)


@pytest.mark.parametrize("n", [3, 4, 5, 10, 30, 200])
def test_a_complete_normal_sample_gives_the_exact_limits(n: int) -> None:
    x = loads(n)
    found = fit(sample(x, np.ones(n, dtype=bool)), shares=(0.05, 0.10))
    mean, sd = float(x.mean()), spread(x)
    # both are exact; the grid gives some 1e-3 of an SD at n = 3, where the tails are heaviest, and 2e-4 from 4 on
    near = (2e-3 if n == 3 else 3e-4) * sd
    assert found.location == pytest.approx(mean, abs=1e-7 * sd)
    assert found.scale == pytest.approx(sd * math.sqrt((n - 1) / n), rel=1e-7)
    assert found.location_confidence.interval() == pytest.approx(mean_interval(mean, sd, n), abs=near)
    assert found.scale_confidence.interval() == pytest.approx(spread_interval(sd, n), rel=5e-4)
    for share, lower in zip((0.95, 0.90), found.lower, strict=True):
        assert lower.quantile(0.05) == pytest.approx(tolerance_bound(mean, sd, n, share, 0.95), abs=near)


@pytest.mark.parametrize("confidence", [0.5, 0.8, 0.95, 0.99])
def test_every_level_of_the_exact_limits(confidence: float) -> None:
    x = loads(12)
    found = fit(sample(x, np.ones(12, dtype=bool)))
    exact = mean_interval(float(x.mean()), spread(x), 12, confidence)
    assert found.location_confidence.interval(confidence) == pytest.approx(exact, abs=3e-4 * spread(x))


def test_moving_and_scaling_the_loads_moves_and_scales_every_limit() -> None:
    data = mixed()
    moved = Sample(3.0 * data.values - 500.0, data.failed, data.joints)
    one, two = fit(data, shares=(0.05,)), fit(moved, shares=(0.05,))
    assert two.location == pytest.approx(3.0 * one.location - 500.0, rel=1e-9)
    assert two.scale == pytest.approx(3.0 * one.scale, rel=1e-7)
    for level in (0.025, 0.5, 0.975):
        assert two.location_confidence.quantile(level) == pytest.approx(
            3.0 * one.location_confidence.quantile(level) - 500.0, rel=1e-6
        )
        assert two.scale_confidence.quantile(level) == pytest.approx(
            3.0 * one.scale_confidence.quantile(level), rel=1e-6
        )
        assert two.lower[0].quantile(level) == pytest.approx(3.0 * one.lower[0].quantile(level) - 500.0, rel=1e-6)


@pytest.mark.parametrize("joints", [2, 3])
def test_the_weakest_of_weibull_joints_is_the_same_joint_shifted(joints: int) -> None:
    # eta_min = eta m^(-1/k): ln eta - ln(m)/k, so location less ln(m) times scale; the shape stays
    data = mixed()
    single = Sample(np.log(data.values), data.failed, np.ones(data.values.size))
    several = Sample(np.log(data.values), data.failed, np.full(data.values.size, float(joints)))
    one, many = fit(single, "smallest"), fit(several, "smallest")
    assert many.scale == pytest.approx(one.scale, rel=1e-6)
    assert many.location == pytest.approx(one.location + math.log(joints) * one.scale, rel=1e-9)
    assert many.scale_confidence.interval() == pytest.approx(one.scale_confidence.interval(), rel=1e-3)


def test_pieces_that_say_nothing_change_nothing_and_order_is_nothing() -> None:
    data = mixed()
    plain = fit(data)
    low = data.values.min() - 5000.0
    more = Sample(
        np.append(data.values, [low, low]), np.append(data.failed, [False, False]), np.append(data.joints, [2.0, 2.0])
    )
    again = fit(more)
    turned = fit(Sample(data.values[::-1], data.failed[::-1], data.joints[::-1]))
    for other in (again, turned):
        assert other.location == pytest.approx(plain.location, rel=1e-9)
        assert other.scale == pytest.approx(plain.scale, rel=1e-7)
        assert other.location_confidence.interval() == pytest.approx(plain.location_confidence.interval(), rel=1e-6)


def test_the_estimate_is_a_stationary_top_and_beats_its_neighbourhood() -> None:
    for family in ("normal", "smallest"):
        data = mixed() if family == "normal" else Sample(np.log(mixed().values), mixed().failed, mixed().joints)
        location, scale = maximum_likelihood(data, family)
        best = float(log_likelihood(data, location, scale, family))
        rng = np.random.default_rng(8)
        around = rng.standard_normal((200, 2)) * scale * np.geomspace(1e-3, 1.0, 200)[:, None]
        others = log_likelihood(data, location + around[:, 0], np.abs(scale + around[:, 1]) + 1e-9, family)
        assert (others <= best).all()


def test_two_joints_without_censoring_agree_with_the_moments_of_the_smaller() -> None:
    x = loads(4000, 9, 2)
    found = fit(sample(x, np.ones(x.size, dtype=bool), 2))
    mean, sd = single_from_smaller(float(x.mean()), spread(x))
    # two consistent estimators of one thing: they differ by less than a standard error of either
    assert found.location == pytest.approx(mean, abs=sd / math.sqrt(x.size))
    assert found.scale == pytest.approx(sd, abs=sd / math.sqrt(x.size))


def test_the_fit_for_thousands_is_the_fit_for_hundreds(monkeypatch: pytest.MonkeyPatch) -> None:
    data = mixed(1500)
    assert data.failures > module._MANY
    fast = fit(data, shares=(0.05,))
    monkeypatch.setattr(module, "_MANY", 10**9)
    slow = fit(data, shares=(0.05,))
    for one, two in ((fast.location_confidence, slow.location_confidence), (fast.lower[0], slow.lower[0])):
        assert one.interval() == pytest.approx(two.interval(), rel=1e-7)
    assert fast.scale_confidence.interval() == pytest.approx(slow.scale_confidence.interval(), rel=1e-5)


def test_every_confidence_distribution_rises() -> None:
    rng = np.random.default_rng(2)
    for _ in range(30):
        n = int(rng.integers(4, 15))
        failed = rng.random(n) < 0.6
        failed[: limits.FEWEST_FAILURES] = True
        found = fit(sample(900.0 + 45.0 * rng.standard_normal(n), failed, 2), shares=(0.05,))
        for each in (found.location_confidence, found.scale_confidence, found.lower[0]):
            assert (np.diff(each.levels) > 0.0).all()
            assert (np.diff(each.values) > 0.0).all()
            assert each.levels[0] < 0.005
            assert each.levels[-1] > 0.995
        low, high = found.scale_confidence.interval()
        assert low < found.scale < high


def test_ratio_and_difference_against_draws() -> None:
    rng = np.random.default_rng(1)
    one, two = fit(mixed()).location_confidence, student_confidence(980.0, 6.0, 5)
    levels = standard_levels(4001)
    draws = [
        np.interp(rng.random(400_000), each.levels, each.values)
        for each in (one, Confidence(levels, np.array([two.quantile(q) for q in levels])))
    ]
    for combine, found in ((np.divide, ratio_confidence(one, two)), (np.subtract, difference_confidence(one, two))):
        expected = np.quantile(combine(draws[0], draws[1]), (0.025, 0.5, 0.975))
        width = expected[2] - expected[0]
        # noise of 400,000 draws at 2.5 %: about 0.5 % of the width
        assert [found.quantile(q) for q in (0.025, 0.5, 0.975)] == pytest.approx(expected, abs=0.01 * width)


def test_what_cannot_be_fitted_is_refused() -> None:
    with pytest.raises(ValueError, match="failures must be at least 3; got 2"):
        fit(sample([1.0, 2.0, 3.0], [True, True, False]))
    with pytest.raises(ValueError, match="must not all be alike"):
        fit(sample([2.0, 2.0, 2.0], [True, True, True]))
    with pytest.raises(ValueError, match="finite"):
        sample([1.0, float("nan")], [True, True])
    with pytest.raises(ValueError, match="one length"):
        sample([1.0, 2.0], [True])
    with pytest.raises(ValueError, match="clear of 0"):
        ratio_confidence(student_confidence(1.0, 0.1, 5), student_confidence(0.1, 1.0, 5))


def test_student_confidence_is_students_t() -> None:
    found = student_confidence(5.0, 2.0, 7)
    for q in (0.001, 0.025, 0.3, 0.975):
        assert found.quantile(q) == pytest.approx(5.0 + 2.0 * float(stats.t.ppf(q, 7)), abs=2e-3)


def test_two_values_have_a_wide_interval_and_one_has_none() -> None:
    low, high = mean_interval(10.0, 1.0, 2)
    assert (low, high) == pytest.approx((10.0 - 12.7062 / math.sqrt(2.0), 10.0 + 12.7062 / math.sqrt(2.0)), rel=1e-5)
    assert all(math.isnan(limit) for limit in mean_interval(10.0, 0.0, 1))
