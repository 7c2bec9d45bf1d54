"""Limits of a counted chance, against scipy's Wilson interval; ends, width, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from helix.statistics.counted import counted_interval


@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_it_is_wilsons_interval(counted):
    k, n = counted
    theirs = binomtest(k, n).proportion_ci(0.95, "wilson")
    low, high = counted_interval(k / n, n)
    assert float(low) == pytest.approx(theirs.low, abs=1e-12)
    assert float(high) == pytest.approx(theirs.high, abs=1e-12)


def test_it_keeps_a_width_at_the_ends_and_narrows_with_more_draws():
    low, high = counted_interval([0.0, 1.0], 10_000)
    assert low[0] == 0.0 and high[1] == 1.0 and high[0] > 0.0 and low[1] < 1.0
    few, many = counted_interval(0.3, 100), counted_interval(0.3, 10_000)
    assert many[1] - many[0] == pytest.approx((few[1] - few[0]) / 10.0, rel=0.02)


@pytest.mark.parametrize(("seen", "n"), [(1.1, 10), (-0.1, 10), (0.5, 0)])
def test_what_is_refused(seen, n):
    with pytest.raises(ValueError, match="must be"):
        counted_interval(seen, n)
