"""Bent, then pulled straight. What is tested, strongest first:

* the root satisfies its equation; sharper is weaker, harder is stronger; limits;
* a section of fibres, bent and straightened step by step, agrees, and has converged.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.maths.jets import Array
from helix.mechanics.bends.straightening import axial_share, straightened_share


def offset_of(share: float) -> float:
    grid = np.linspace(0.0, 1.0, 200_001)
    return float(np.interp(share, axial_share(grid), grid))


@given(strain=st.floats(0.01, 1.5), hardening=st.floats(0.0, 0.45))
def test_the_root_satisfies_the_equation(strain: float, hardening: float) -> None:
    share = float(straightened_share(strain, hardening))
    x = offset_of(share)
    assert share * (1.0 + strain * x) == pytest.approx(1.0 + hardening * strain * (8.0 / (3.0 * np.pi) + x), abs=2e-5)


def test_sharper_is_weaker_and_harder_is_stronger() -> None:
    strain, hardening = np.linspace(0.0, 2.0, 81), np.linspace(0.0, 0.5, 26)
    share = straightened_share(strain[:, None], hardening[None, :])
    assert (np.diff(share, axis=0) <= 1e-12).all() and (np.diff(share, axis=1) >= -1e-12).all()
    assert np.abs(share[0] - 1.0).max() < 1e-12 and share.max() <= 1.0


@pytest.mark.parametrize("numbers", [(-0.1, 0.3), (0.1, -0.3)])
def test_negative_numbers_are_refused(numbers: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="must be zero or more"):
        straightened_share(*numbers)


def most_load(strain: float, hardening: float, fibres: int = 236, steps: int = 120) -> float:
    """Largest tension under which a section of fibres, bent to a strain, can be pulled straight; true area, isotropic
    hardening, rigid before it yields."""
    y = (np.arange(fibres) + 0.5) / fibres * 2.0 - 1.0
    area = np.sqrt(1.0 - y * y)
    area /= area.sum()

    def straightens(load: float) -> bool:
        now: Array = strain * y
        been = np.abs(now)
        for _ in range(steps):
            each = area * (1.0 + hardening * been) / (1.0 + now)
            if each.sum() < load:
                return False
            # the inside of the bend is stretched: fibres from there on until the load is carried
            carried = np.concatenate([[-each.sum()], -each.sum() + 2.0 * np.cumsum(each)])
            x = float(np.interp(load, carried, np.linspace(-1.0, 1.0, fibres + 1)))
            moved = strain / steps * (x - y)
            now, been = now + moved, been + np.abs(moved)
        return True

    low, high = 0.3, 1.2
    for _ in range(16):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if straightens(middle) else (low, middle)
    return low


@pytest.mark.parametrize("strain", [0.25, 0.38, 0.487, 0.57, 0.75])
@pytest.mark.parametrize(("hardening", "most"), [(0.0, 0.036), (0.1, 0.036), (0.3, 0.036), (0.5, 0.05)])
def test_a_section_of_fibres_agrees_within_five_hundredths(strain: float, hardening: float, most: float) -> None:
    # the closed form takes one neutral axis for the whole way, the fibres one for each step
    closed, stepped = float(straightened_share(strain, hardening)), most_load(strain, hardening)
    assert 0.0 < closed - stepped < most


def test_the_fibre_section_has_converged() -> None:
    coarse, fine, finest = (most_load(0.487, 0.3, 118 * k, 60 * k) for k in (1, 2, 4))
    assert abs(finest - fine) < 0.6 * abs(fine - coarse) + 2e-4
    assert abs(finest - fine) < 2e-3
