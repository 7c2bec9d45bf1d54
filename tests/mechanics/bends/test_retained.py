"""What a bend leaves of the strength. What is tested, strongest first:

* the share and the limit curve against a section cut into fibres;
* the values written down for R = d and R >= 1.5 d;
* more ductility or less bending never leaves less; limits; refusals.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.mechanics.bends import retained as r


def fibres(neutral, count=400_000):
    """(N/N_p, M/M_p) of a round section of radius 1 that is in tension above -neutral and in compression below."""
    y = (np.arange(count) + 0.5) / count * 2.0 - 1.0
    area = 2.0 * np.sqrt(1.0 - y * y) * (2.0 / count)
    stress = np.where(y > -neutral, 1.0, -1.0)
    return float((area * stress).sum() / np.pi), float((area * stress * y).sum() / (4.0 / 3.0))


@pytest.mark.parametrize("angle", [0.0, 0.3, 0.9, 1.4, math.pi / 2.0])
def test_the_limit_curve_is_that_of_a_section_of_fibres(angle):
    tension, moment = r.section_limit(angle)
    n, m = fibres(math.sin(angle))
    assert tension == pytest.approx(n, abs=2e-5)
    assert moment == pytest.approx(m, abs=2e-5)


@pytest.mark.parametrize(("strain", "fracture"), [(0.5, 0.6), (0.5, 0.7), (0.8, 0.75), (0.4873, 0.744), (1.2, 0.9)])
def test_the_share_is_the_tension_at_which_the_outermost_fibre_has_had_all_its_strain(strain, fracture):
    # strain across the section: k (y + y0), k = ln(1 + e) of the bend; the outermost fibre, y = 1, reaches `fracture`
    k = math.log1p(strain)
    neutral = fracture / k - 1.0
    assert k * (1.0 + neutral) == pytest.approx(fracture)
    assert r.retained_share(strain, fracture) == pytest.approx(fibres(neutral)[0], abs=2e-5)
    assert r.retained_share(strain, fracture) == pytest.approx(float(r.section_limit(math.asin(neutral))[0]), rel=1e-13)


@given(st.floats(0.0, 3.0), st.floats(0.0, 1.0), st.floats(0.1, 2.0), st.floats(0.0, 1.0))
def test_more_ductility_or_less_bending_never_leaves_less(strain, more, fracture, added):
    base = float(r.retained_share(strain, fracture))
    assert 0.0 <= base <= 1.0
    assert r.retained_share(strain + more, fracture) <= base + 1e-15
    assert r.retained_share(strain, fracture + added) >= base - 1e-15


def test_limits():
    assert r.retained_share(0.0, 0.5) == 1.0
    assert r.retained_share(math.inf, 0.5) == 0.0
    assert r.retained_share(math.expm1(0.75), 0.75) == 0.0  # the bend alone uses up all the strain
    assert r.retained_share(math.expm1(0.375), 0.75) == pytest.approx(1.0)  # half of it: nothing is lost
    assert r.retained_share(1.0 / 3.0, 0.6) == 1.0  # R = 1.5 d, in the least ductile wire of the band


def test_the_strain_of_a_bend_is_its_radius_or_its_turn():
    assert r.strain_of_turn(math.pi, 1.0) == 0.5
    assert r.strain_of_turn(0.3, 0.0) == pytest.approx(0.3)
    assert r.strain_of_turn(0.3, 0.5) == pytest.approx(0.3)  # 0.15 d of arc, within the gauge length


@given(st.floats(0.01, 0.99))
def test_true_strain_at_break_is_that_of_a_bar_that_keeps_its_volume(area):
    length = 1.0 / (1.0 - area)
    assert r.fracture_strain(area) == pytest.approx(math.log(length), rel=1e-12)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: r.fracture_strain(0.0), "reduction_of_area must be above zero; got 0.0"),
        (lambda: r.fracture_strain(1.0), "reduction_of_area must be below 1; got 1.0"),
        (lambda: r.retained_share(-0.1, 0.7), "bend_strain must be zero or more; got -0.1"),
        (lambda: r.retained_share(0.5, 0.0), "fracture must be above zero; got 0.0"),
        (lambda: r.retained_share(math.nan, 0.7), "bend_strain must be zero or more; got nan"),
        (lambda: r.section_limit(2.0), "angle_rad must be at most pi/2; got 2.0"),
        (lambda: r.strain_of_turn(-1.0, 1.0), "turn_rad must be zero or more; got -1.0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
