"""Fibres of a simulated rod: what a section bears, and when it breaks.

* a straight section breaks at its strength; one bent and straightened agrees with an own section of strips where nothing
  hardens; sharper is weaker, harder is stronger;
* finer fibres change little.
"""

from __future__ import annotations

import numpy as np
import pytest

from helix.mechanics.rod.fibres import fibre_places, follow_fibres, formed_fibres, section_pull
from tests.mechanics.bends.test_straightening import most_load

pytestmark = pytest.mark.xdist_group("rod")


def straightened(strain: float, hardening: float, stiffness: float = 110.0, rings: int = 8, spokes: int = 16) -> float:
    """Largest tension under which a section bent from straight is pulled straight."""
    places, bend = fibre_places(rings, spokes), np.array([[2.0 * strain, 0.0]])

    def survives(load: float) -> bool:
        plastic, stretch = formed_fibres(bend, stiffness, hardening, places)
        broken = np.zeros(1, dtype=np.bool_)
        for share in np.linspace(0.1, 1.0, 10):
            follow_fibres(places, plastic, stretch, bend, np.array([share * load]), broken, stiffness, hardening)
        for left in np.linspace(1.0, 0.0, 200):
            follow_fibres(places, plastic, stretch, left * bend, np.array([load]), broken, stiffness, hardening)
        return not broken[0]

    low, high = 0.3, 1.2
    for _ in range(12):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if survives(middle) else (low, middle)
    return low


def test_a_straight_section_bears_its_strength() -> None:
    # stretched to yield it is thinner by that much
    assert straightened(0.0, 0.0) == pytest.approx(1.0 / (1.0 + 1.0 / 110.0), abs=1e-3)


@pytest.mark.parametrize("strain", [0.25, 0.487])
def test_a_stiff_section_that_does_not_harden_agrees_with_strips(strain: float) -> None:
    # the strips are rigid until they yield
    assert straightened(strain, 0.0, stiffness=3000.0, rings=12, spokes=24) == pytest.approx(
        most_load(strain, 0.0, steps=240), abs=0.01
    )


def test_sharper_is_weaker_and_harder_is_stronger() -> None:
    loads = [[straightened(strain, hardening) for hardening in (0.1, 0.5)] for strain in (0.2, 0.5)]
    assert (np.diff(loads, axis=0) < -0.02).all() and (np.diff(loads, axis=1) > 0.02).all()


def test_finer_fibres_change_little() -> None:
    assert straightened(0.487, 0.3, rings=16, spokes=32) == pytest.approx(straightened(0.487, 0.3), abs=3e-3)


def test_what_yields_bears_no_more_than_it_hardens() -> None:
    places = fibre_places()
    none = np.zeros(len(places))
    assert section_pull(places, none, 0.005, 0.0, 0.0, 110.0, 0.3) == pytest.approx(0.55 / 1.005)
    assert section_pull(places, none, 0.1, 0.0, 0.0, 110.0, 0.0) == pytest.approx(1.0 / 1.1)
    assert section_pull(places, none, 0.0, 1.0, 0.0, 110.0, 0.3) < 0.0  # the inside of a bend is thicker
