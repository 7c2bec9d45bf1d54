"""Antiderivatives and arc lengths against mpmath, and how fast they converge."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest

from helix.geometry.maths.quadrature import Antiderivative, arc_lengths


@pytest.mark.parametrize("span", [1e-9, 0.3, 1.5, 4.0, 31.0])
def test_antiderivative_of_a_smooth_function(span):
    """cos(sin 2u) has no closed integral; mpmath's is good to 15 digits."""
    ours = Antiderivative(lambda u: np.cos(np.sin(2.0 * u)), span)
    at = np.linspace(0.0, span, 7)
    theirs = [float(mp.quad(lambda u: mp.cos(mp.sin(2 * u)), mp.linspace(0, float(u), 9))) for u in at]
    assert ours(at) == pytest.approx(theirs, abs=1e-13 * max(1.0, span))
    assert ours.total == pytest.approx(theirs[-1], abs=1e-13 * max(1.0, span))


@pytest.mark.parametrize("span", [0.9, 5.0, 40.0])
def test_several_functions_at_once_are_each_alone(span):
    """One panel, a few, and so many that each place sums its own."""
    one, other = np.cos, lambda u: np.exp(-0.1 * u)
    both = Antiderivative(lambda u: np.array([one(u), other(u)]), span)
    at = np.linspace(0.0, span, 57)
    for row, alone in zip(both(at), (one, other), strict=True):
        assert row == pytest.approx(Antiderivative(alone, span)(at), abs=1e-14 * span)
    assert both.totals == pytest.approx([math.sin(span), (1.0 - math.exp(-0.1 * span)) / 0.1], abs=1e-14 * span)


def test_its_derivative_is_the_function():
    def f(u):
        return np.exp(-u) * np.sin(3.0 * u)

    ours, u, h = Antiderivative(f, 5.0), np.linspace(0.1, 4.9, 23), 1e-3
    slope = (ours(u - 2 * h) - 8.0 * ours(u - h) + 8.0 * ours(u + h) - ours(u + 2 * h)) / (12.0 * h)
    assert slope == pytest.approx(f(u), abs=1e-10)


def test_panels_join_without_a_step():
    ours = Antiderivative(np.cos, 6.0, panel=0.5)
    edges = ours.width * np.arange(1, ours.count)
    assert ours(edges - 1e-12) == pytest.approx(ours(edges + 1e-12), abs=1e-11)
    assert ours(np.array([0.0, 6.0])) == pytest.approx([0.0, math.sin(6.0)], abs=1e-14)


def test_nothing_over_nothing_is_nothing():
    assert Antiderivative(np.cos, 0.0)(np.zeros(3)).tolist() == [0.0, 0.0, 0.0]


def test_arc_length_of_an_ellipse():
    """A quarter of the perimeter 4 a E(m), by the complete elliptic integral."""
    a, b = 2.0, 1.0

    def speed(u):
        return np.hypot(a * np.sin(u), b * np.cos(u))

    quarter = float(a * mp.ellipe(1 - (b / a) ** 2))
    found = arc_lengths(speed, np.linspace(0.0, math.pi / 2.0, 4))
    assert found[0] == 0.0
    assert found[-1] == pytest.approx(quarter, rel=1e-14)
    assert np.all(np.diff(found) > 0.0)


def test_arc_length_converges_as_theory_says():
    """12 Gauss points a panel: the error falls as rho^-24, rho of the ellipse through the pole at u = 0.2 i."""
    exact = math.atan(5.0) / 5.0
    for panels in (1, 2):
        found = arc_lengths(lambda u: 1.0 / (1.0 + 25.0 * u * u), np.linspace(0.0, 1.0, panels + 1))[-1]
        pole = complex(-1.0, 0.4 * panels)
        rho = max(abs(pole + sign * (pole * pole - 1.0) ** 0.5) for sign in (-1.0, 1.0))
        assert 0.01 < abs(found - exact) * rho**24 < 10.0
