"""What hands apply. What is tested, strongest first:

* torque by the work of bending over one turn; slope, deflection and buckling against the beam equation integrated;
* the relation that makes the advice: winding a wrap takes more torque than the bare wire can pass on;
* scaling, inverse, counting, refusals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.twist.helices import helix_curvature, helix_length, lay_angle
from helix.mechanics import handling as h
from helix.mechanics.bends import bending


@pytest.mark.parametrize("lay", [3.2, 4.0, 7.5])
def test_the_torque_is_the_work_of_bending_both_legs_over_one_turn(lay):
    moment = bending.plastic_moment(1800.0, 0.7)
    work = 2.0 * moment * helix_curvature(0.5, lay) * helix_length(0.5, lay)  # curvature per d times wire in d
    assert h.twist_torque(lay_angle(0.5, lay), 1800.0, 0.7) * 2.0 * math.pi == pytest.approx(work, rel=1e-12)
    assert h.hinge_moment(1800.0, 0.7) == pytest.approx(moment, rel=1e-15)


def test_slope_and_deflection_are_those_of_the_beam():
    d, flow, modulus, length = 0.6, 1700.0, 190e3, 9.0
    inertia = math.pi * d**4 / 64.0
    force = bending.plastic_moment(flow, d) / length
    x = np.linspace(0.0, length, 20001)
    curvature = force * (length - x) / (modulus * inertia)
    slope = np.concatenate([[0.0], np.cumsum((curvature[1:] + curvature[:-1]) / 2.0 * np.diff(x))])
    down = np.trapezoid(slope, x)
    assert h.wander_slope(length, flow, modulus, d) == pytest.approx(slope[-1], rel=1e-8)
    assert h.wander_deflection(length, flow, modulus, d) == pytest.approx(down, rel=1e-8)


def test_the_push_buckles_the_discretised_column():
    d, modulus, length, n = 0.6, 190e3, 9.0, 200
    stiff = modulus * math.pi * d**4 / 64.0
    # y'' = -(P/EI) y, y'(0) = 0 at the free end's mirror and y = 0 at the other: the least eigenvalue
    step = length / n
    main, side = np.full(n, 2.0), np.full(n - 1, -1.0)
    main[0] = 1.0  # half a step off the symmetry point
    matrix = (np.diag(main) + np.diag(side, 1) + np.diag(side, -1)) / step**2
    least = np.linalg.eigvalsh(matrix)[0]
    assert h.buckling_push(length, modulus, d) == pytest.approx(stiff * least, rel=0.02)  # first order in the step


def test_winding_takes_more_than_the_bare_wire_can_pass_on():
    assert h.hinge_moment(1800.0, 0.7) > h.wire_torque(1800.0, 0.7)
    radii = np.linspace(0.0, 0.35, 20001)
    torque = np.trapezoid(2.0 * np.pi * radii**2 * 1800.0 / math.sqrt(3.0), radii)
    assert h.wire_torque(1800.0, 0.7) == pytest.approx(torque, rel=1e-7)


@given(st.floats(0.1, 10.0), st.floats(200.0, 3000.0), st.floats(0.1, 5.0))
def test_scaling_and_inverse(k, flow, d):
    beta = 0.66
    assert h.twist_torque(beta, flow, k * d) == pytest.approx(k**3 * float(h.twist_torque(beta, flow, d)))
    length = float(h.free_length(math.radians(15.0), flow, 190e3, d))
    assert h.free_length(math.radians(15.0), flow, 190e3, k * d) == pytest.approx(k * length)
    assert h.wander_slope(length, flow, 190e3, d) == pytest.approx(math.radians(15.0))
    assert h.crank_length(k * 100.0, 20.0) == pytest.approx(k * 5.0)


@given(st.floats(0.0, 500.0), st.floats(0.5, 50.0))
def test_moves_are_enough_and_not_one_too_many(worked, reach):
    count = float(h.moves(worked, reach))
    assert (count + 1.0) * reach >= worked * (1.0 - 1e-9)
    assert count == 0.0 or count * reach < worked


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: h.twist_torque(1.6, 1800.0, 0.7), "lay_rad must be from 0 to below pi/2; got 1.6"),
        (lambda: h.crank_length(100.0, 0.0), "hand_force_n must be above zero; got 0.0"),
        (lambda: h.buckling_push(0.0, 190e3, 0.7), "length_mm must be above zero; got 0.0"),
        (lambda: h.hinge_moment(-1.0, 0.7), "flow_mpa must be above zero; got -1.0"),
        (lambda: h.moves(1.0, 0.0), "reach_mm must be above zero; got 0.0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
