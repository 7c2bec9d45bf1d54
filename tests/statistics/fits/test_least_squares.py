"""Weighted least squares with prior knowledge, against closed forms and scipy; and the table of a function.

Map of what must hold:
  one linear reading: the textbook's weighted mean; many: the normal equations solved at once
  a nonlinear problem: the minimum that scipy finds, and its covariance
  the tabulated response: exact at its nodes and on its diagonals, nearer with more nodes
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from helix.statistics.fits.least_squares import derivatives, estimate
from helix.statistics.fits.response import Axis, tabulated_response

NUMBERS = st.floats(-50.0, 50.0)
SPREADS = st.floats(0.01, 10.0)


@given(NUMBERS, SPREADS, NUMBERS, SPREADS)
def test_a_reading_and_a_prior_are_a_weighted_mean(reading: float, sd: float, prior: float, prior_sd: float) -> None:
    found = estimate(lambda v: v, np.array([reading]), np.array([sd]), np.array([prior]), np.array([prior_sd]))
    weights = np.array([1.0 / sd**2, 1.0 / prior_sd**2])
    assert found.values[0] == pytest.approx(weights @ [reading, prior] / weights.sum(), rel=1e-7, abs=1e-7)
    assert found.deviations[0] == pytest.approx(weights.sum() ** -0.5, rel=1e-6)
    assert found.settled


def test_linear_readings_solve_the_normal_equations() -> None:
    rng = np.random.default_rng(4)
    matrix, readings, sd = rng.normal(size=(7, 4)), rng.normal(size=7), rng.uniform(0.1, 2.0, 7)
    prior, prior_sd = rng.normal(size=4), rng.uniform(0.5, 3.0, 4)
    found = estimate(lambda v: matrix @ v, readings, sd, prior, prior_sd)
    normal = matrix.T @ np.diag(sd**-2.0) @ matrix + np.diag(prior_sd**-2.0)
    right = matrix.T @ (readings / sd**2) + prior / prior_sd**2
    assert found.values == pytest.approx(np.linalg.solve(normal, right), rel=1e-7)
    assert found.covariance == pytest.approx(np.linalg.inv(normal), rel=1e-6, abs=1e-9)
    assert found.misfit == pytest.approx((readings - matrix @ found.values) / sd)
    assert found.pull == pytest.approx((found.values - prior) / prior_sd)


def test_a_nonlinear_problem_against_scipy() -> None:
    def predict(v: np.ndarray) -> np.ndarray:
        return np.array([v[0] * v[1], np.hypot(v[0], v[2]), v[2] ** 2 / v[1]])

    readings, sd = np.array([12.1, 5.05, 4.2]), np.array([0.2, 0.05, 0.1])
    prior, prior_sd = np.array([2.5, 4.5, 3.5]), np.array([2.0, 0.5, 5.0])
    found = estimate(predict, readings, sd, prior, prior_sd)

    def residuals(v: np.ndarray) -> np.ndarray:
        return np.concatenate([(predict(v) - readings) / sd, (v - prior) / prior_sd])

    theirs = least_squares(residuals, prior, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert found.settled
    assert found.values == pytest.approx(theirs.x, rel=1e-6)
    assert found.covariance == pytest.approx(np.linalg.inv(theirs.jac.T @ theirs.jac), rel=1e-4)


def test_what_is_refused() -> None:
    one = np.ones(1)
    for bad in (np.zeros(1), np.array([np.nan]), np.array([np.inf])):
        with pytest.raises(ValueError, match="reading_sd must be above 0"):
            estimate(lambda v: v, one, bad, one, one)
        with pytest.raises(ValueError, match="prior_sd must be above 0"):
            estimate(lambda v: v, one, one, one, bad)
    with pytest.raises(ValueError, match="must have its standard deviation"):
        estimate(lambda v: v, one, np.ones(2), one, one)


def test_derivatives_are_those_of_the_function() -> None:
    v = np.array([0.3, 1.7])
    found = derivatives(lambda x: np.array([np.sin(x[0]) * x[1], x[1] ** 3]), v, np.ones(2))
    assert found == pytest.approx(np.array([[np.cos(0.3) * 1.7, np.sin(0.3)], [0.0, 3 * 1.7**2]]), rel=1e-8, abs=1e-8)


FIVE = Axis((-1.0, -0.5, 0.0, 0.5, 1.0))


def wavy(z: np.ndarray) -> np.ndarray:
    return np.array([np.sin(z[0]) + z[1] ** 2 + z[0] * z[1], np.exp(0.5 * z[0] - 0.3 * z[1])])


def test_a_table_is_exact_at_its_nodes_and_pairs() -> None:
    calls = []

    def f(z: np.ndarray) -> np.ndarray:
        calls.append(z)
        return wavy(z)

    table = tabulated_response(f, [FIVE, FIVE])
    assert len(calls) == 1 + 4 + 4 + 1
    points = np.array([[x, 0.0] for x in FIVE.nodes] + [[0.0, x] for x in FIVE.nodes] + [[1.0, 1.0]])
    assert table.at(points) == pytest.approx(np.array([wavy(z) for z in points]), abs=1e-12)
    assert table.slopes() == pytest.approx(np.array([[1.0, 0.5], [0.0, -0.3]]), abs=6e-3)
    assert len(tabulated_response(f, [FIVE, FIVE], pairs=[]).alone) == 2


def test_more_nodes_come_nearer() -> None:
    z = np.random.default_rng(0).uniform(-1.0, 1.0, (200, 1))
    exact = np.exp(2.0 * z)
    off = []
    for count in (3, 5, 9, 17):
        axis = Axis(tuple(float(x) for x in np.linspace(-1.0, 1.0, count)))
        off.append(float(np.abs(tabulated_response(lambda v: np.exp(2.0 * v), [axis]).at(z) - exact).max()))
    assert all(after < before / 4.0 for before, after in itertools.pairwise(off))


def test_pieces_do_not_overshoot_a_kink() -> None:
    axis = Axis((-1.0, -0.5, 0.0, 0.5, 1.0), smooth=False)
    table = tabulated_response(lambda v: np.maximum(0.0, -v), [axis])
    z = np.linspace(0.0, 1.0, 50)[:, None]
    assert np.all(table.at(z) == 0.0)
    assert np.all(table.at(-z) >= 0.0)
