"""Truncated Taylor arithmetic against symbolic derivatives and against its own identities."""

from __future__ import annotations

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.maths.jets import CUBIC_STEP, QUINTIC_STEP, SEPTIC_STEP, Jet, polynomial

X = sp.symbols("x")
POINTS = np.array([-0.7, 0.2, 1.3])
FORMULAS = {
    "product": (lambda u: (u * u + 1.0) * (u - 2.0) * u, (X**2 + 1) * (X - 2) * X),
    "quotient": (lambda u: (u + 3.0) / (u * u + 1.0), (X + 3) / (X**2 + 1)),
    "root": (lambda u: (u * u + 0.5).sqrt(), sp.sqrt(X**2 + sp.Rational(1, 2))),
    "sine": (lambda u: (u * u).sin_cos()[0], sp.sin(X**2)),
    "cosine": (lambda u: (u * 3.0 - 1.0).sin_cos()[1], sp.cos(3 * X - 1)),
    "mixed": (lambda u: u.sin_cos()[0] / (u * u + 2.0).sqrt() - 1.0, sp.sin(X) / sp.sqrt(X**2 + 2) - 1),
    "scaled": (lambda u: 2.0 - (-u) / 4.0 + 0.5 * u, 2 + X / 4 + X / 2),
    "polynomial": (lambda u: polynomial((1.0, -2.0, 0.0, 4.0), u * u), 1 - 2 * X**2 + 4 * X**6),
}


@pytest.mark.parametrize("name", FORMULAS)
def test_derivatives_are_the_symbolic_ones(name):
    formula, symbol = FORMULAS[name]
    ours = formula(Jet.variable(POINTS, 5)).derivatives()
    for k in range(6):
        theirs = [float(sp.diff(symbol, X, k).subs(X, sp.Float(x, 30))) for x in POINTS]
        assert ours[k] == pytest.approx(theirs, rel=1e-12, abs=1e-12)


coefficients = st.lists(st.floats(-3.0, 3.0), min_size=4, max_size=4)


@given(coefficients, coefficients)
def test_quotient_times_divisor_is_the_numerator(a, b):
    one, two = Jet(np.array([a]).T), Jet(np.array([[1.5 + abs(b[0]), *b[1:]]]).T)
    assert ((one / two) * two).c == pytest.approx(one.c, abs=1e-11)


@given(coefficients)
def test_sine_and_cosine_and_root_keep_their_squares(a):
    one = Jet(np.array([a]).T)
    sin, cos = one.sin_cos()
    assert (sin * sin + cos * cos).c[:, 0] == pytest.approx([1.0, 0.0, 0.0, 0.0], abs=1e-11)
    square = one * one + 1.0
    assert (square.sqrt() * square.sqrt()).c == pytest.approx(square.c, rel=1e-10, abs=1e-10)


@given(coefficients)
def test_integral_undoes_derivative(a):
    one = Jet(np.array([a]).T)
    assert one.derivative().integral(one.c[0]).c == pytest.approx(one.c)
    assert one.integral(np.array([7.0])).derivative().c == pytest.approx(one.c)


def test_arithmetic_keeps_the_lower_order():
    low, high = Jet.variable(POINTS, 1), Jet.variable(POINTS, 4)
    for mixed in (low * high, low + high, high / (low + 5.0), high - low):
        assert mixed.order == 1
    assert high.truncated(2).order == 2
    assert Jet.variable(POINTS, 0).c.shape == (1, 3)


@pytest.mark.parametrize(("step", "smooth"), [(CUBIC_STEP, 1), (QUINTIC_STEP, 2), (SEPTIC_STEP, 3)])
def test_a_step_rises_from_0_to_1_and_is_flat_at_both_ends(step, smooth):
    ends = polynomial(step, Jet.variable([0.0, 1.0], smooth + 1)).derivatives()
    assert ends[0] == pytest.approx([0.0, 1.0], abs=1e-13)
    assert ends[1 : smooth + 1] == pytest.approx(0.0, abs=1e-11)
    assert np.all(np.abs(ends[smooth + 1]) > 1.0)
    inside = polynomial(step, Jet.variable(np.linspace(0.01, 0.99, 99), 1)).derivatives()
    assert np.all(inside[1] > 0.0)
    assert inside[0] + inside[0][::-1] == pytest.approx(1.0)
