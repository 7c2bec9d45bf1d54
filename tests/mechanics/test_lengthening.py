"""How a joint lengthens. What is tested, strongest first:

* the strain of a twist against the exact length of its helices; its compliance against the energy in its legs;
* axial and bending stretch against the work of the load; limits; scaling; refusals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.twist.helices import lay_angle
from helix.mechanics import lengthening as s


@pytest.mark.parametrize("lay", [3.2, 4.0, 8.0])
@pytest.mark.parametrize(("wire", "radius"), [(1e-6, 0.0), (0.0, -1e-6), (2e-6, -3e-6)])
def test_the_twist_strain_is_the_exact_one_to_first_order(lay, wire, radius):
    a = 0.5
    length = math.hypot(2.0 * math.pi * a, lay)
    longer = length * (1.0 + wire)
    after = math.sqrt(longer**2 - (2.0 * math.pi * a * (1.0 + radius)) ** 2)
    assert s.twist_strain(wire, lay_angle(a, lay), radius) == pytest.approx(after / lay - 1.0, rel=2e-5)


@given(st.floats(0.0, 1.4))
def test_the_pair_is_the_energy_in_its_two_legs(beta):
    share = 1.0 / (2.0 * math.cos(beta))
    wire = 1.0 / math.cos(beta)
    assert s.axial_stretch([share, share], [wire, wire]) == pytest.approx(float(s.pair_compliance(beta)), rel=1e-12)
    # and the geometry says the same: the wire's strain t/(E A) over cos^2
    assert s.twist_strain(share, beta) == pytest.approx(float(s.pair_compliance(beta)), rel=1e-12)


def test_legs_that_share_unevenly_stretch_more():
    beta = 0.66
    even = float(s.axial_stretch([0.6, 0.6], [1.0, 1.0]))
    assert s.axial_stretch([0.8, 0.4], [1.0, 1.0]) > even
    assert s.pair_compliance(beta) > s.pair_compliance(0.0) == 0.5


def test_bending_is_the_work_of_the_moment():
    d, modulus, force = 0.7, 190e3, 300.0
    area, inertia = math.pi * d**2 / 4.0, math.pi * d**4 / 64.0
    x = np.linspace(0.0, 5.0, 4001)
    y = 0.35 * np.cos(x) ** 2
    energy = np.trapezoid((force * y) ** 2 / (2.0 * modulus * inertia), x)
    ds = np.gradient(x)
    got = float(s.bending_stretch(y, np.full(x.size, x[1] - x[0]), d)) * force / (modulus * area)
    assert got == pytest.approx(2.0 * energy / force, rel=2e-3)  # a sum for an integral
    assert s.bending_stretch(y, ds, d, 0.5) == pytest.approx(0.25 * float(s.bending_stretch(y, ds, d)), rel=1e-12)


def test_a_straight_wire_stretches_by_its_length():
    assert s.axial_stretch([1.0], [123.0]) == 123.0
    assert s.bending_stretch([0.0], [123.0], 0.7) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: s.axial_stretch([1.0], [-1.0]), "length_mm must be zero or more; got -1.0"),
        (lambda: s.bending_stretch([1.0], [1.0], 0.0), "d_mm must be above zero; got 0.0"),
        (lambda: s.twist_strain(0.001, 1.6), "lay_rad must be from 0 to below pi/2; got 1.6"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
