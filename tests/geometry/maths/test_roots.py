"""bracketed_root: the root to the last bit, whatever the shape of the function; refusals."""

from __future__ import annotations

import math
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.maths.roots import NoBracket, bracketed_root

HARD = {
    "ninefold": (lambda x: (x - 0.3) ** 9, 0.3, 1e-2),  # flat: the value underflows long before the root
    "steep": (lambda x: math.tanh(1e9 * (x - 1e-7)), 1e-7, 1e-15),
    "pole beside it": (lambda x: 1.0 / (x - 1.1) + 5.0, 0.9, 1e-15),
    "square root": (lambda x: math.copysign(math.sqrt(abs(x - 0.2)), x - 0.2), 0.2, 1e-15),
    "near zero": (lambda x: x * (1.0 + x) - 1e-200, 1e-200, 1e-210),
    "jump": (lambda x: -1.0 if x < 0.625 else 1.0, 0.625, 1e-15),
}


@pytest.mark.parametrize("name", HARD)
def test_hard_shapes(name):
    f, root, tol = HARD[name]
    assert abs(bracketed_root(f, 0.0, 1.0) - root) <= tol


@given(root=st.floats(-1e3, 1e3), width=st.floats(1e-3, 1e3), share=st.floats(0.01, 0.99), bend=st.floats(0.0, 9.0))
def test_a_rising_cubic_meets_its_root_to_the_last_bit(root, width, share, bend):
    def f(x):
        return (x - root) * (1.0 + bend * (x - root) ** 2)

    lo, hi = root - share * width, root + (1.0 - share) * width
    found = bracketed_root(f, lo, hi)
    assert abs(found - root) <= 2.0 * sys.float_info.epsilon * abs(root)
    assert bracketed_root(f, hi, lo) == pytest.approx(found, rel=4e-16, abs=0.0)


@given(st.floats(1e-6, 1e6))
def test_no_slower_than_twice_bisection_and_fast_where_smooth(target):
    calls = 0

    def f(x):
        nonlocal calls
        calls += 1
        return x * x - target

    root = bracketed_root(f, 0.0, 1e4)
    assert root == pytest.approx(math.sqrt(target), rel=4e-16)
    assert calls < 60


def test_a_wide_tolerance_stops_early_and_keeps_its_word():
    seen = []

    def f(x):
        seen.append(x)
        return math.exp(x) - 3.0

    root = bracketed_root(f, 0.0, 4.0, tol=1e-3)
    assert abs(root - math.log(3.0)) <= 1e-3
    assert len(seen) < 12


def test_a_root_at_an_end_is_that_end():
    assert bracketed_root(lambda x: x - 2.0, 2.0, 5.0) == 2.0
    assert bracketed_root(lambda x: x - 5.0, 2.0, 5.0) == 5.0


@pytest.mark.parametrize(
    ("f", "lo", "hi"),
    [
        (lambda x: x * x + 1.0, -1.0, 1.0),
        (lambda x: math.nan, 0.0, 1.0),
        (lambda x: x, -math.inf, 1.0),
        (lambda x: x, math.nan, 1.0),
        (lambda x: math.nan if 0.0 < x < 1.0 else x - 0.5, 0.0, 1.0),
    ],
)
def test_no_bracket_is_refused(f, lo, hi):
    with pytest.raises(NoBracket, match="must"):
        bracketed_root(f, lo, hi)


def test_negative_tolerance_and_too_few_steps_are_refused():
    with pytest.raises(ValueError, match="tol must be zero or more; got -1"):
        bracketed_root(lambda x: x, -1.0, 2.0, tol=-1.0)
    with pytest.raises(RuntimeError, match="no root to the asked width after 3 steps"):
        bracketed_root(lambda x: np.expm1(x) - 1e-3, -1.0, 2.0, max_steps=3)
