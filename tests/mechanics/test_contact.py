"""Wire on wire. What is tested, strongest first:

* the flat by brute force: the section that two parallel wires lose;
* scaling, refusals.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.mechanics import contact as c


def test_two_parallel_wires_lose_what_lies_inside_both():
    depth = 0.005
    half = math.sqrt(0.25 - (0.5 - depth) ** 2)  # of the flat, exactly
    force = c.PLASTIC_PRESSURE * 2000.0 * 2.0 * half
    assert c.line_depth(force, 2000.0, 0.25) == pytest.approx(depth, rel=0.011)  # parabolas stand for circles


@given(st.floats(0.1, 10.0), st.floats(1.0, 1000.0))
def test_scaling(k, force):
    assert c.line_depth(force * k, 2000.0, 0.25 * k) == pytest.approx(k * float(c.line_depth(force, 2000.0, 0.25)))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: c.line_depth(-1.0, 2000.0, 0.25), "force_per_mm must be zero or more; got -1.0"),
        (lambda: c.line_depth(1.0, math.nan, 0.25), "flow_mpa must be above zero; got nan"),
        (lambda: c.line_depth(1.0, 2000.0, 0.0), "relative_radius_mm must be above zero; got 0.0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
