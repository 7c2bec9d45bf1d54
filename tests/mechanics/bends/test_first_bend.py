"""What a first bend costs. What is tested, strongest first:

* at 90 deg the strain is exactly that of the wrapping test; beyond, the radius is the touching pair's;
* the low edge of the band as the own simulations had it; limits of the other rules.
"""

from __future__ import annotations

import numpy as np
import pytest

from helix.geometry.twist.strands import even_radius, helix_curvature, touching_pitch
from helix.mechanics.bends import first_bend as f
from helix.mechanics.bends.bending import plastic_moment
from helix.mechanics.limits import STRAIN_OK


def half(angle_deg: float) -> float:
    return float(np.radians(angle_deg) / 2.0)


def test_a_square_throat_is_bent_as_the_wrapping_test() -> None:
    assert float(f.wound_strain(half(90.0))) == pytest.approx(STRAIN_OK, abs=1e-15)


@pytest.mark.parametrize("lay", [3.1, 2.9, 2.7])
def test_the_radius_is_that_of_the_touching_pair(lay: float) -> None:
    radius = even_radius(lay)
    g = np.arctan(2.0 * np.pi * radius / lay)
    assert float(f.wound_strain(g)) == pytest.approx(np.sin(g) ** 2 / (2.0 * radius), rel=1e-9)


def test_the_strain_grows_with_the_throat() -> None:
    assert (np.diff(f.wound_strain(np.radians(np.linspace(1.0, 55.0, 60)))) > 0.0).all()


@pytest.mark.parametrize(
    ("angle_deg", "least"), [(90, 0.80), (95, 0.77), (100, 0.73), (105, 0.68), (110, 0.63), (120, 0.53)]
)
def test_the_low_edge_is_that_of_the_simulations(angle_deg: float, least: float) -> None:
    assert float(f.opening_load(half(angle_deg))) + f.SURPLUS == pytest.approx(least, abs=0.005)


def test_a_wide_throat_closes_and_peels() -> None:
    assert f.leg_tension(np.radians([0.0, 60.0])).tolist() == pytest.approx([0.5, f.CLOSED_TENSION])
    assert f.peeled_turns(np.radians([30.0, 70.0])).tolist() == [0.0, 0.25]


def test_hands_that_lead_the_legs_round_stand_wide() -> None:
    assert np.degrees(2.0 * f.held_angle(np.arctan(np.pi / 4.0))) == pytest.approx(114.0, abs=0.5)


@pytest.mark.parametrize("function", [f.wound_strain, f.opening_load, f.leg_tension, f.peeled_turns])
def test_no_throat_of_a_straight_angle(function: object) -> None:
    with pytest.raises(ValueError, match="must be from 0 to below pi/2"):
        function(np.pi / 2.0)


def test_a_good_exit_is_bent_as_a_touching_barrel() -> None:
    assert pytest.approx(helix_curvature(1.0, touching_pitch()) / 2.0, abs=5e-4) == f.GOOD_EXIT


def test_the_pull_that_keeps_a_twist_even_is_six_plastic_moments() -> None:
    lay = np.radians([20.0, 38.0])
    strength_n, flow, d = 1500.0 * np.pi * 0.7**2 / 4.0, 0.9, 0.7
    pull = 6.0 * plastic_moment(flow * 1500.0, d) * np.sin(lay) ** 2 / d
    assert f.even_pull(lay, flow) * strength_n == pytest.approx(pull)
