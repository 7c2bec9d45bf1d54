"""Bending of round wire. What is tested, strongest first:

* moment and springback against the integral of the stress over the section, by quadrature and by symbols;
* the two ways to the springback are one formula; bending to the answer of the inverse gives the radius back;
* limits (elastic, fully plastic, just past the yield), monotony, scaling;
* verdicts at their limits; refusals.
"""

from __future__ import annotations

import math

import mpmath as mp
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st

from helix.findings import Severity
from helix.mechanics.bends import bend_strain
from helix.mechanics.bends import bending as b


def moment_by_quadrature(ratio):
    """M/M_y from the stress min(ratio y, 1) over a round section of radius 1, y from the neutral axis."""
    with mp.workdps(30):
        x = mp.mpf(ratio)

        def part(y):
            return 2 * mp.sqrt(1 - y * y) * y * min(x * y, mp.mpf(1))

        return float(2 * mp.quad(part, [0, min(1, 1 / x), 1]) / (mp.pi / 4))


@pytest.mark.parametrize("ratio", [0.3, 1.0, 1.0001, 1.1, 2.0, 5.0, 20.0, 1e3])
def test_the_closed_moment_is_the_integral_of_the_stress(ratio):
    assert b.moment_ratio(ratio) == pytest.approx(moment_by_quadrature(ratio), rel=1e-13)


def test_the_closed_forms_by_symbols():
    y, p = sp.symbols("y p", positive=True)
    # elastic core |y| < cos p, plastic outside; lengths in wire radii, moments in yield moments
    core = sp.integrate((sp.sin(y) * sp.cos(y)) ** 2, (y, 0, sp.pi / 2 - p)) / sp.cos(p)
    rim = sp.Rational(1, 3) * sp.sin(p) ** 3
    moment = 16 / sp.pi * (core + rim)
    rho = sp.cos(p)
    claimed = 2 / (3 * sp.pi) * ((5 - 2 * rho**2) * sp.sin(p) + 3 * (sp.pi / 2 - p) / rho)
    assert sp.simplify(moment - claimed) == 0
    spring = 1 - rho * claimed
    assert sp.simplify(spring - 2 / (3 * sp.pi) * (3 * p - 2 * sp.sin(2 * p) + sp.sin(4 * p) / 4)) == 0
    assert sp.simplify(sp.diff(spring, p) - 16 / (3 * sp.pi) * sp.sin(p) ** 4) == 0
    x = sp.symbols("x", positive=True)
    # flat strip: core of half height 2 x (in half thicknesses), stress 1 outside; M_y = 2/3
    strip = 2 * (sp.integrate(y * y / (2 * x), (y, 0, 2 * x)) + sp.integrate(y, (y, 2 * x, 1))) / sp.Rational(2, 3)
    assert sp.expand(1 - 2 * x * strip - (1 - 3 * x + 4 * x**3)) == 0


@given(st.floats(1.0, 1e6))
def test_springback_is_one_less_the_elastic_share_of_the_moment(ratio):
    assert b.springback_ratio(ratio) == pytest.approx(1.0 - b.moment_ratio(ratio) / ratio, abs=2e-15)


@pytest.mark.parametrize("excess", [1e-14, 1e-9, 1e-4, 1e-2, 0.032, 0.0323, 0.1, 3.0])
def test_springback_keeps_its_digits_right_above_the_yield(excess):
    ratio = 1.0 + excess
    with mp.workdps(80):
        p = mp.acos(1 / mp.mpf(ratio))
        exact = 2 / (3 * mp.pi) * (3 * p - 2 * mp.sin(2 * p) + mp.sin(4 * p) / 4)
    # the last bit of the ratio itself moves the answer by 2.5 eps/excess
    assert b.springback_ratio(ratio) == pytest.approx(float(exact), rel=2e-13 + 1e-15 / excess, abs=0.0)


def test_limits_of_moment_and_springback():
    assert b.moment_ratio(0.0) == 0.0 and b.moment_ratio(1.0) == 1.0
    assert b.moment_ratio(math.inf) == pytest.approx(16.0 / (3.0 * math.pi), rel=1e-15)
    assert b.plastic_moment(1.0, 1.0) / b.yield_moment(1.0, 1.0) == pytest.approx(b.moment_ratio(math.inf), rel=1e-15)
    assert b.springback_ratio(0.0) == b.springback_ratio(1.0) == 0.0
    assert b.springback_ratio(math.inf) == pytest.approx(1.0, abs=1e-15)
    # far past the yield the core no longer counts: 1 - 1.69765/ratio
    assert 1.0 - b.springback_ratio(1e4) == pytest.approx(16.0 / (3.0 * math.pi) * 1e-4, rel=1e-7)
    # both elastic laws meet the plastic ones without a step
    assert b.moment_ratio(1.0 + 1e-12) == pytest.approx(1.0, abs=2e-12)
    assert b.strip_springback_ratio(0.0) == 1.0 and b.strip_springback_ratio(0.5) == 0.0


@given(st.floats(0.0, 1e4), st.floats(1e-3, 10.0))
def test_more_bending_takes_more_moment_and_springs_back_less(ratio, more):
    assert b.moment_ratio(ratio) <= b.moment_ratio(ratio + more) < 16.0 / (3.0 * math.pi) + 1e-15
    assert b.springback_ratio(ratio) <= b.springback_ratio(ratio + more) <= 1.0


WIRE = {"d": st.floats(0.1, 5.0), "flow": st.floats(200.0, 3000.0), "modulus": st.floats(1e5, 2.2e5)}


@given(radius_d=st.floats(0.5, 50.0), **WIRE)
def test_bending_to_the_inverse_gives_the_radius(radius_d, d, flow, modulus):
    sprung = b.sprung_radius(radius_d * d, d, flow, modulus)
    assert sprung > radius_d * d
    if math.isfinite(sprung) and b.springback_ratio(1.0 / (radius_d * d * b.kappa_yield(flow, modulus, d))) > 1e-3:
        assert b.bent_radius(sprung, d, flow, modulus) == pytest.approx(radius_d * d, rel=1e-11)


@given(radius_d=st.floats(0.5, 30.0), k=st.floats(0.1, 10.0), **WIRE)
def test_springback_has_no_length_scale(radius_d, k, d, flow, modulus):
    one = b.sprung_radius(radius_d * d, d, flow, modulus) / d
    other = b.sprung_radius(k * radius_d * d, k * d, flow, modulus) / (k * d)
    if math.isfinite(one) and one < 1e3:
        assert other == pytest.approx(one, rel=1e-9)


def test_a_bend_below_the_yield_springs_straight():
    kappa = b.kappa_yield(1800.0, 190000.0, 0.5)
    assert b.sprung_radius(1.001 / kappa, 0.5, 1800.0, 190000.0) == math.inf
    assert b.sprung_radius(0.9 / kappa, 0.5, 1800.0, 190000.0) > 10.0 / kappa
    assert bend_strain.outer_fibre_strain(1.0 / kappa, 0.5) == pytest.approx(1800.0 / 190000.0, rel=1e-15)


# ------------------------------------------------------------------ verdicts and refusals


def test_verdicts_at_their_limits():
    assert bend_strain.strain_severity(bend_strain.outer_fibre_strain(1.0)) is Severity.OK
    assert bend_strain.strain_severity(0.5 + 1e-12) is Severity.OK
    assert bend_strain.strain_severity(0.5 + 1e-6) is Severity.CAUTION
    assert bend_strain.strain_severity(0.75) == bend_strain.strain_severity(0.75 + 1e-12) is Severity.CAUTION
    assert bend_strain.strain_severity(0.75 + 1e-6) is Severity.SHARP
    assert bend_strain.strain_severity(math.inf) is Severity.SHARP
    assert bend_strain.angle_severity(math.radians(90.0)) is Severity.OK
    assert bend_strain.angle_severity(math.radians(90.0) + 9e-10) is Severity.OK
    assert bend_strain.angle_severity(math.radians(90.0) + 2e-9) is Severity.SHARP
    assert bend_strain.angle_severity(0.0) is Severity.OK and bend_strain.angle_severity(math.pi) is Severity.SHARP


@given(st.floats(0.01, 100.0), st.floats(0.1, 10.0))
def test_strain_by_radius_is_strain_by_curvature(radius, d):
    assert bend_strain.outer_fibre_strain(radius, d) == pytest.approx(
        bend_strain.bend_strain(1.0 / radius, d), rel=1e-15
    )
    # the wire round a mandrel of diameter m: the outer fibre is (m + 2 d)/(m + d) as long as the centre line
    mandrel = 2.0 * radius
    assert bend_strain.outer_fibre_strain(0.5 * (mandrel + d), d) == pytest.approx(
        (mandrel + 2.0 * d) / (mandrel + d) - 1.0, rel=1e-9
    )


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_more_strain_is_never_a_better_verdict(one, two):
    low, high = sorted([one, two])
    assert bend_strain.strain_severity(low) <= bend_strain.strain_severity(high)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: b.kappa_yield(0.0, 1.9e5, 1.0), "yield_mpa must be positive and finite; got 0.0"),
        (lambda: b.kappa_yield(1800.0, math.inf, 1.0), "modulus_mpa must be positive and finite; got inf"),
        (lambda: b.yield_moment(1800.0, -1.0), "d_mm must be positive and finite; got -1.0"),
        (lambda: b.plastic_moment(math.nan, 1.0), "flow_mpa must be positive and finite; got nan"),
        (lambda: b.moment_ratio(-1.0), "curvature_ratio must be zero or more; got -1.0"),
        (lambda: b.springback_ratio(math.nan), "curvature_ratio must be zero or more; got nan"),
        (
            lambda: b.sprung_radius(0.4, 1.0, 1800.0, 1.9e5),
            "radius must be at least half the wire diameter 1.0; got 0.4",
        ),
        (lambda: b.bent_radius(0.5, 1.0, 1800.0, 1.9e5), "sprung_radius_mm must be at least 0.508"),
        (lambda: b.strip_springback_ratio(-0.1), "x must be zero or more; got -0.1"),
        (lambda: bend_strain.outer_fibre_strain(0.0), "radius must be positive and finite; got 0.0"),
        (lambda: bend_strain.outer_fibre_strain(math.nan), "radius must be positive and finite; got nan"),
        (lambda: bend_strain.strain_severity(math.nan), "strain must be zero or more; got nan"),
        (lambda: bend_strain.angle_severity(-0.1), "visible_rad must be from 0 to 2 pi rad; got -0.1"),
        (lambda: bend_strain.bend_strain(-1.0), "curvature must be zero or more and finite; got -1.0"),
        (lambda: bend_strain.bend_strain(1.0, d=0.0), "d must be positive and finite; got 0.0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
