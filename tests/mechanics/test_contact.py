"""Wire on wire. What is tested, strongest first:

* the elastic contact balances its load: the pressure integrates to the force, radius and approach fit each other;
* flats by brute force: the section that two crossed wires lose, the segment that a flat cuts off;
* published values stand in validation/; here scaling, limits, refusals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.mechanics import contact as c


@given(st.floats(0.1, 1e4), st.floats(0.05, 50.0), st.floats(1e4, 3e5))
def test_the_pressure_integrates_to_the_force(force, radius, modulus):
    a = float(c.contact_radius(force, radius, modulus))
    p0 = float(c.peak_pressure(force, a))
    x = np.linspace(0.0, 1.0, 2001)
    # p = p0 sqrt(1 - r^2/a^2) over the circle; with u = sqrt(1 - x^2) the integral is 2/3 p0 pi a^2
    total = 2.0 * np.pi * a * a * p0 * np.trapezoid(x * x, x)
    assert total == pytest.approx(force, rel=1e-6)
    # Hertz: the pressure over a circle presses the middle in by pi p0 a/(2 E*), which is the approach a^2/R
    assert math.pi * p0 * a / (2.0 * modulus) == pytest.approx(float(c.approach(a, radius)), rel=1e-9)


@given(st.floats(0.1, 3.0), st.floats(1e5, 2.2e5), st.floats(500.0, 2500.0))
def test_first_yield_is_where_the_peak_pressure_says(d, modulus, flow):
    star = float(c.contact_modulus(modulus))
    force = float(c.first_yield_force(d / 2.0, star, flow))
    peak = float(c.peak_pressure(force, c.contact_radius(force, d / 2.0, star)))
    assert peak == pytest.approx(c.FIRST_YIELD * flow, rel=1e-9)


def test_two_crossed_wires_lose_what_lies_inside_both():
    # wires of diameter 1 along x and along y, pressed together by t: where their surfaces would lie inside each other
    t = 0.01
    x = np.linspace(-0.2, 0.2, 1601)
    surface = 0.5 - np.sqrt(0.25 - x**2)
    inside = surface[:, None] + surface[None, :] < t
    area = inside.sum() * (x[1] - x[0]) ** 2
    flow = 2000.0
    force = c.PLASTIC_PRESSURE * flow * area
    assert 2.0 * c.crossing_depth(force, flow, 1.0) == pytest.approx(
        t, rel=1.1 * t
    )  # parabolas for circles: their next term


def test_two_parallel_wires_lose_what_lies_inside_both():
    depth = 0.005
    half = math.sqrt(0.25 - (0.5 - depth) ** 2)  # of the flat, exactly
    force = c.PLASTIC_PRESSURE * 2000.0 * 2.0 * half
    assert c.line_depth(force, 2000.0, 0.25) == pytest.approx(depth, rel=0.011)  # parabolas stand for circles


@given(st.floats(0.0, 1.0))
def test_area_lost_is_the_segment(depth):
    y = np.linspace(0.5 - depth, 0.5, 20001)
    lost = np.trapezoid(2.0 * np.sqrt(np.maximum(0.25 - y * y, 0.0)), y) / (math.pi / 4.0)
    assert c.area_lost(depth) == pytest.approx(lost, abs=2e-6)


def test_a_wire_crossed_at_its_own_strength_loses_a_few_hundredths():
    # the load of a whole wire, or half of it, pressed onto a crossing
    d, flow = 0.84, 1575.0
    strength = flow * math.pi * d * d / 4.0
    for share in (0.5, 1.0):
        depth = float(c.crossing_depth(share * strength, flow, d)) / d
        assert 0.02 < depth < 0.045
        assert 0.004 < c.area_lost(depth) < 0.04


@given(st.floats(0.1, 10.0), st.floats(1.0, 1000.0))
def test_scaling(k, force):
    assert c.contact_radius(force * k * k, 0.5 * k, 1e5) == pytest.approx(k * float(c.contact_radius(force, 0.5, 1e5)))
    depth = float(c.crossing_depth(force, 2000.0, 1.0))
    assert c.crossing_depth(force * k * k, 2000.0, k) == pytest.approx(k * depth)
    assert c.line_depth(force * k, 2000.0, 0.25 * k) == pytest.approx(k * float(c.line_depth(force, 2000.0, 0.25)))


def test_one_on_a_rigid_body_is_twice_as_stiff_as_two_alike():
    assert c.contact_modulus(2e5, 0.25, rigid=True) == 2.0 * c.contact_modulus(2e5, 0.25)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: c.contact_radius(-1.0, 1.0, 1e5), "force_n must be zero or more; got -1.0"),
        (lambda: c.contact_radius(1.0, 0.0, 1e5), "sphere_mm must be above zero; got 0.0"),
        (lambda: c.contact_modulus(2e5, 0.6), "poisson must be above -1 and at most 0.5"),
        (lambda: c.area_lost(1.1), "depth_d must be from 0 to 1; got 1.1"),
        (lambda: c.flat_area(1.0, math.nan), "flow_mpa must be above zero; got nan"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
