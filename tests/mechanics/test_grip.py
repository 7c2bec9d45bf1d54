"""The barrel's hinge and the three models of the twist's grip. What is tested, strongest first:

* both tails against the tension equation of the tag, integrated step by step;
* each inverse gives the friction back; the closed form at 45 deg that is written down elsewhere;
* the hinges by virtual work of a coil that uncoils, and of a coil that opens like a spring;
* identities: more friction or turns never hold less, no turns is the barrel alone, no friction lets it unwind;
* limits, refusals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.twist.helices import helix_curvature, helix_length, lay_angle
from helix.mechanics import barrel_hinge, grip, tag_tension

FRICTION = st.floats(0.0, 0.3)
TURNS = st.floats(0.0, 12.0)
LAY = st.floats(math.pi, 12.0)
HINGE = st.floats(0.05, 0.25)


def marched(rate, start, length, steps=4000):
    """The tension after that length of wire by Runge and Kutta's fourth order."""
    t, h = start, length / steps
    for _ in range(steps):
        a = rate(t)
        b = rate(t + 0.5 * h * a)
        c = rate(t + 0.5 * h * b)
        t += h / 6.0 * (a + 2.0 * b + 2.0 * c + rate(t + h * c))
    return t


@pytest.mark.parametrize(("lay", "turns", "mu"), [(4.0, 5.0, 0.05), (3.5, 3.0, 0.06), (8.0, 2.5, 0.15)])
def test_the_linear_tail_is_the_tension_left_by_an_even_contact_force(lay, turns, mu):
    beta = lay_angle(0.5, lay)
    press = float(tag_tension.leg_contact(helix_curvature(0.5, lay), beta))
    wire = helix_length(0.5, lay, turns)
    # the legs slide past each other along the axis: of that friction a part cos(beta) runs along the tag
    left = marched(lambda t: -mu * press * math.cos(beta), float(tag_tension.throat_tension(beta)), wire)
    assert tag_tension.tag_tension_linear(turns, mu, beta) == pytest.approx(left, rel=1e-12)
    assert grip.slip_linear(left * 0.99, mu, turns, beta) == pytest.approx(0.99, rel=1e-11)


@pytest.mark.parametrize(("lay", "turns", "mu"), [(4.0, 5.0, 0.07), (3.5, 3.0, 0.06), (8.0, 2.5, 0.2)])
def test_the_exponential_tail_is_a_rope_round_a_post(lay, turns, mu):
    beta, kappa = lay_angle(0.5, lay), helix_curvature(0.5, lay)
    left = marched(lambda t: -mu * kappa * t, float(tag_tension.throat_tension(beta)), helix_length(0.5, lay, turns))
    assert tag_tension.tag_tension_exponential(turns, mu, beta) == pytest.approx(left, rel=1e-10)
    assert grip.slip_exponential(0.5 * left, mu, turns, beta) == pytest.approx(0.5, rel=1e-9)


@given(HINGE, st.floats(0.001, 0.2), st.floats(1.0, 8.0), LAY)
def test_each_inverse_gives_the_friction_back(hinge, mu, turns, lay):
    beta = lay_angle(0.5, lay)
    floor = float(grip.wraps_alone(hinge))
    load = float(grip.slip_linear(hinge, mu, turns, beta))
    if floor * (1.0 + 1e-9) < load < 1e6:
        assert grip.friction_linear(load, hinge, turns, beta) == pytest.approx(mu, rel=1e-9)
    load = float(grip.slip_exponential(hinge, mu, turns, beta))
    if load > floor * (1.0 + 1e-9):
        assert grip.friction_exponential(load, hinge, turns, beta) == pytest.approx(mu, rel=1e-9)
    assert grip.friction_simulated(grip.slip_simulated(mu, turns), turns) == pytest.approx(mu, rel=1e-12)


@given(st.floats(0.0, 0.06), st.floats(0.0, 5.0))
def test_the_closed_form_at_45_deg(mu, turns):
    hinge = float(barrel_hinge.hinge_bending(0.9, 0.974668))
    raw = hinge * math.sqrt(2.0) / (1.0 - math.pi * mu * turns)
    assert hinge * math.sqrt(2.0) == pytest.approx(0.263, abs=5e-4)
    assert grip.slip_linear(hinge, mu, turns, math.pi / 4.0) == pytest.approx(max(raw, 2.0 * hinge), rel=1e-12)


@pytest.mark.parametrize(("flow", "radius"), [(0.9, 1.02599), (1.0, 1.0), (0.8, 2.5)])
def test_the_bending_hinge_is_the_work_of_uncoiling(flow, radius):
    # a length of wire that leaves the coil loses the curvature 1/R against the fully plastic moment
    sigma, d = 1900.0, 0.7
    strength = sigma * math.pi * d**2 / 4.0
    moment = flow * sigma * d**3 / 6.0
    work = moment * (1.0 / (radius * d))  # per length
    assert barrel_hinge.hinge_bending(flow, 1.0 / radius) == pytest.approx(work / strength, rel=1e-14)


def test_the_torsion_hinge_is_the_plastic_torque_of_a_coil_of_two_diameters():
    sigma, d, flow = 1900.0, 0.7, 0.9
    tau = flow * sigma / math.sqrt(3.0)
    radii = np.linspace(0.0, d / 2.0, 20001)
    torque = np.trapezoid(2.0 * np.pi * radii**2 * tau, radii)
    assert torque == pytest.approx(math.pi * tau * d**3 / 12.0, rel=1e-8)
    pull = torque / d  # the coil's centre line runs d off the line of pull
    assert barrel_hinge.hinge_torsion(flow) == pytest.approx(pull / (sigma * math.pi * d**2 / 4.0), rel=1e-8)
    assert 0.19 < barrel_hinge.hinge_torsion(1.0) < barrel_hinge.hinge_bending(1.0, 0.974668) < 0.21


@given(HINGE, FRICTION, FRICTION, TURNS, TURNS, LAY)
def test_more_friction_turns_or_hinge_never_hold_less(hinge, mu, more, turns, added, lay):
    beta = lay_angle(0.5, lay)
    for slip in (grip.slip_linear, grip.slip_exponential):
        base = slip(hinge, mu, turns, beta)
        assert slip(hinge, mu + more, turns, beta) >= base * (1.0 - 1e-12)
        assert slip(hinge, mu, turns + added, beta) >= base * (1.0 - 1e-12)
        assert slip(hinge * 1.1, mu, turns, beta) >= base
        assert slip(hinge, mu, turns, beta, math.pi) >= base * (1.0 - 1e-12)
    assert grip.slip_simulated(mu + more, turns + added) >= grip.slip_simulated(mu, turns)


@given(HINGE, FRICTION, LAY, st.floats(0.0, math.pi))
def test_no_turns_is_the_barrel_alone(hinge, mu, lay, sliding):
    beta = lay_angle(0.5, lay)
    alone = float(grip.wraps_alone(hinge, mu, sliding))
    assert grip.slip_linear(hinge, mu, 0.0, beta, sliding) == alone
    assert grip.slip_exponential(hinge, mu, 0.0, beta, sliding) == alone
    assert alone == pytest.approx((1.0 + math.exp(mu * sliding)) * hinge, rel=1e-14)


@given(HINGE, TURNS, LAY)
def test_without_friction_it_unwinds_far_below_the_wire(hinge, turns, lay):
    beta = lay_angle(0.5, lay)
    assert grip.slip_linear(hinge, 0.0, turns, beta) == 2.0 * hinge
    assert grip.slip_exponential(hinge, 0.0, turns, beta) == 2.0 * hinge
    assert grip.slip_simulated(0.0, turns) == grip.SIMULATED_FLOOR < 0.6


def test_a_twist_without_a_barrel_holds_nothing_in_both_tails_until_one_of_them_locks():
    beta = lay_angle(0.5, 4.0)
    assert grip.slip_linear(0.0, 0.05, 5.0, beta) == 0.0
    assert grip.slip_exponential(0.0, 0.05, 50.0, beta) == 0.0
    assert grip.slip_linear(0.0, 0.05, 10.0, beta) == math.inf


def test_the_tag_pulls_half_the_load_in_parallel_legs_and_less_where_the_wire_slides():
    assert tag_tension.throat_tension(0.0) == 0.5
    assert tag_tension.throat_tension(math.radians(38.146)) == pytest.approx(0.5 / math.cos(math.radians(38.146)))
    assert tag_tension.throat_tension(0.0, 0.1, math.pi) < 0.5


def test_all_arguments_broadcast_and_huge_ones_do_not_overflow():
    mu, turns = np.linspace(0.0, 0.1, 5)[:, None], np.arange(4.0)
    assert grip.slip_linear(0.18, mu, turns, 0.7).shape == (5, 4)
    assert np.isfinite(grip.slip_exponential(0.18, 50.0, 1000.0, 0.7))
    assert np.isfinite(grip.slip_simulated(1e6, 1000.0))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: grip.slip_linear(0.18, -0.01, 5.0, 0.7), "friction must be zero or more; got -0.01"),
        (lambda: grip.slip_linear(0.18, math.nan, 5.0, 0.7), "friction must be zero or more; got nan"),
        (lambda: grip.slip_exponential(0.18, 0.1, [1.0, -2.0], 0.7), "turns must be zero or more; got -2.0"),
        (lambda: grip.slip_linear(0.18, 0.1, 5.0, 1.6), "lay_rad must be from 0 to below pi/2; got 1.6"),
        (lambda: barrel_hinge.hinge_bending(1.2, 1.0), "flow must be from 0 to 1; got 1.2"),
        (lambda: grip.friction_linear(0.0, 0.18, 5.0, 0.7), "load must be above zero; got 0.0"),
        (lambda: grip.friction_simulated(0.5, -1.0), "turns must be zero or more; got -1.0"),
        (lambda: grip.friction_exponential(0.5, 0.18, 0.0, 0.7), "turns must be above zero; got 0.0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)


def test_flexible_uneven_legs_do_not_balance_at_the_throat():
    import sympy as sp

    a, h, load = sp.symbols("a h F", positive=True)  # of the standing leg; the tag's is 1 - a

    def press(radius, tension):
        cos = h / sp.sqrt(radius**2 + h**2)
        return tension * radius / (radius**2 + h**2) / cos  # per length of axis

    def along(radius, tension):
        return tension * h / sp.sqrt(radius**2 + h**2)

    standing, tag = sp.symbols("T_s T_t", positive=True)
    solved = sp.solve(
        [press(a, standing) - press(1 - a, tag), along(a, standing) + along(1 - a, tag) - load],
        [standing, tag],
        dict=True,
    )[0]
    share = sp.simplify(along(1 - a, solved[tag]) / load)
    assert sp.simplify(share - a) == 0  # the tag's share of the load is the standing leg's radius over d
    assert sp.solve(share - sp.Rational(1, 2), a) == [sp.Rational(1, 2)]  # half, as at the throat, for even legs only


# ------------------------------------------------------------------ uneven twists


def test_an_uneven_twist_keeps_what_was_simulated_and_never_more_than_a_more_even_one():
    # peaks over the strength at evenness 0.75 and 0.5, friction 0.06; 0.5 and an even twist at 0.08
    assert grip.uneven_keeps(0.75, 0.06) == 1.0
    assert 0.904 * grip.uneven_keeps(0.5, 0.06) == pytest.approx(0.796, rel=1e-12)
    assert 0.994 * grip.uneven_keeps(0.5, 0.08) == pytest.approx(0.976, rel=1e-12)
    even, mu = np.linspace(0.5, 1.0, 201), np.linspace(0.0, 0.2, 101)[:, None]
    keeps = grip.uneven_keeps(even, mu)
    assert np.all(np.diff(keeps, axis=1) >= 0.0) and np.all(np.diff(keeps, axis=0) >= 0.0)
    assert np.abs(np.diff(keeps, axis=1)).max() < 2e-3  # no step
    for beyond in (0.49, 1.01):
        with pytest.raises(ValueError, match="evenness must be from"):
            grip.uneven_keeps(beyond, 0.06)
