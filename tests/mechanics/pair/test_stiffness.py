"""Stiffness of two wires side by side, and what buckles. What is tested, strongest first:

* a discretised column, straight and bowed, agrees at its order; a section cut into squares has the stiffness of the pair;
* two of the size have twice, two of the same area half of one wire; no bow gives Euler's load, a higher bow less; scaling.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import eigh_tridiagonal, solve_banded

from helix.mechanics.pair.stiffness import (
    CANTILEVER,
    CLAMPED,
    PINNED,
    bending_stiffness,
    bow_load,
    column_load,
    pair_stiffness,
)


def buckles_at(pieces: int) -> float:
    """Load of a pinned column of stiffness 1 and length 1, by differences."""
    inside = np.full(pieces - 1, 2.0 * pieces**2)
    return float(eigh_tridiagonal(inside, np.full(pieces - 2, -float(pieces**2)), eigvals_only=True)[0])


def test_the_column_is_the_limit_of_differences_at_second_order() -> None:
    off = [float(column_load(1.0, 1.0)) - buckles_at(n) for n in (20, 40, 80)]
    assert off[0] / off[1] == pytest.approx(4.0, rel=0.01) and off[1] / off[2] == pytest.approx(4.0, rel=0.01)


@pytest.mark.parametrize("rise", [0.003, 0.02])
def test_a_bow_under_its_load_has_the_curvature_of_its_set(rise: float) -> None:
    pieces, limit = 400, 0.35
    load = float(bow_load(1.0, 1.0, rise, limit))
    x = np.arange(1, pieces) / pieces
    bow = rise * np.sin(np.pi * x)
    # y'' = -F (y + bow), pinned: y is what the load adds to the bow
    bands = np.zeros((3, x.size))
    bands[0, 1:] = bands[2, :-1] = pieces**2
    bands[1] = -2.0 * pieces**2 + load
    added = solve_banded((1, 1), bands, -load * bow)
    assert float((load * (added + bow)).max()) == pytest.approx(limit, rel=1e-4)


def test_the_pair_is_its_section_cut_into_squares() -> None:
    cut = (np.arange(400) + 0.5) / 200.0 - 1.0  # one section, in radii
    y, z = np.meshgrid(cut, cut)
    inside = y * y + z * z <= 1.0
    area = np.pi / 4.0 / inside.sum()  # d = 1
    across, along = 2.0 * area * (0.25 * y[inside] ** 2).sum(), 2.0 * area * (0.25 * (y[inside] + 1.0) ** 2).sum()
    assert [float(part) for part in pair_stiffness(1.0, 1.0)] == pytest.approx([across, along], rel=2e-4)


def test_against_one_wire_of_the_size_and_of_the_area() -> None:
    free, bonded = pair_stiffness(193e3, 0.7)
    assert float(free / bending_stiffness(193e3, 0.7)) == pytest.approx(2.0, rel=1e-12)
    assert float(free / bending_stiffness(193e3, 0.7 * np.sqrt(2.0))) == pytest.approx(0.5, rel=1e-12)
    assert float(bonded / bending_stiffness(193e3, 0.7 * np.sqrt(2.0))) == pytest.approx(2.5, rel=1e-12)


def test_a_higher_bow_takes_less_and_none_is_the_column() -> None:
    rise = np.linspace(0.0, 20.0, 41)
    load = bow_load(9000.0, 120.0, rise, 0.03)
    assert load[0] == float(column_load(9000.0, 120.0)) and (np.diff(load) < 0.0).all()


def test_scaling_and_ends() -> None:
    assert float(column_load(1.0, 2.0)) == pytest.approx(float(column_load(1.0, 1.0, CANTILEVER)), rel=1e-12)
    assert float(column_load(1.0, 2.0, CLAMPED)) == pytest.approx(float(column_load(1.0, 1.0, PINNED)), rel=1e-12)
    # all lengths twice: curvatures halve, stiffness is 16 times, loads are 4 times
    once, twice = bow_load(1.0, 10.0, 0.5, 0.1), bow_load(16.0, 20.0, 1.0, 0.05)
    assert float(twice) == pytest.approx(4.0 * float(once), rel=1e-12)


@pytest.mark.parametrize(
    ("numbers", "named"),
    [
        ((0.0, 1.0, 0.0, 1.0), "stiffness_n_mm2"),
        ((1.0, 0.0, 0.0, 1.0), "length_mm"),
        ((1.0, 1.0, -1.0, 1.0), "rise_mm"),
        ((1.0, 1.0, 0.0, 0.0), "set_per_mm"),
    ],
)
def test_what_cannot_be_is_refused(numbers: tuple[float, float, float, float], named: str) -> None:
    with pytest.raises(ValueError, match=named):
        bow_load(*numbers)
