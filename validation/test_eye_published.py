"""The eye: closed form of arc and legs, the free elastic eye, the built eye as its ramps vanish."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from helix.geometry.joint.eye import Throat, closed_eye
from helix.geometry.twist.strands import helix_curvature, lay_angle
from tests.tools.ideal_eye import ideal_eye
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
PLANE = "plane geometry: L = rho (pi + 2 g) + 2 rho/tan g, rho = (pin + 1)/2"
ELASTICA = "half of a figure-eight elastica (Euler 1744): elliptic integrals, here by scipy"


def elastic_eye() -> tuple[float, float, float]:
    """Return (half angle at the crossing in deg, length over height, width over height) of a free elastic loop.

    The figure-eight elastica has 2 E(m) = K(m). With unit force scale the curvature is 2 k cn(s), the tangent's
    angle 2 asin(k sn(s)), x = 2 E(am s, m) - s, y = 2 k (1 - cn s); the loop runs from s = -K to K.
    """
    from scipy.optimize import brentq
    from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

    m = brentq(lambda m: 2.0 * ellipe(m) - ellipk(m), 0.5, 0.99, xtol=1e-15)
    k = math.sqrt(m)
    half_angle = math.degrees(2.0 * math.asin(k)) - 90.0
    am = math.asin(math.sqrt(0.5 / m))  # the tangent stands square to the x axis: widest there
    widest = 2.0 * ellipeinc(am, m) - ellipkinc(am, m)
    return half_angle, float(ellipk(m)) / k, widest / k


def built_length(ramp: float) -> float:
    """Return the length, seen along a 4 D pin, of the built eye tangent to a twist of lay 4, by its ramps."""
    beta = lay_angle(0.5, 4.0)
    throat = Throat(radius=0.5, curvature=helix_curvature(0.5, 4.0), lay=beta, leg_angle=beta, bend_radius=1.0)
    return closed_eye(4.0, throat, throat, ramp=ramp).planar_length


ROWS = [
    *(
        Row(
            f"length of the eye round a pin of {pin} at a half angle of {g} deg",
            PLANE,
            "der",
            value,
            lambda pin=pin, g=g: ideal_eye(pin, math.radians(g))[0],
            tolerance,
            why,
        )
        for pin, g, value, tolerance, why in (
            (4, 20, "23.336698", 5e-7, PRINTED),
            (4, 30, "19.132230", 5e-7, PRINTED),
            (4, 45, "16.780973", 1e-6, "the last printed digit is one too high: 3.75 pi + 5 = 16.78097245"),
            (6, 30, "26.785121", 5e-7, PRINTED),
            (10, 30, "42.090905", 5e-7, PRINTED),
        )
    ),
    Row(
        "crossing to centre over rho at a half angle of 30 deg",
        "plane geometry: 1/sin g",
        "der",
        "2",
        lambda: ideal_eye(4.0, math.radians(30.0))[2] / 2.5,
        1e-14,
        "rounding",
    ),
    Row(
        "throat angle of a tangent throat at a lay of pi, deg",
        "tan beta = pi/lay, the trade's limit of 90 deg",
        "der",
        "90",
        lambda: 2.0 * math.degrees(lay_angle(0.5, math.pi)),
        1e-12,
        "exact; rounding",
    ),
    Row(
        "length of the built eye seen along the pin, ramps of 0.001 D, pin 4, lay 4",
        PLANE,
        "der",
        lambda: ideal_eye(4.0, lay_angle(0.5, 4.0))[0],
        lambda: built_length(1e-3),
        1e-6,
        "the ramps add a term in the square of their length",
    ),
    Row(
        "half angle of the free elastic eye, deg", ELASTICA, "der", "40.709911", lambda: elastic_eye()[0], 5e-7, PRINTED
    ),
    Row("its length over its height", ELASTICA, "der", "2.553667", lambda: elastic_eye()[1], 5e-7, PRINTED),
    Row("its width over its height", ELASTICA, "der", "0.656133", lambda: elastic_eye()[2], 5e-7, PRINTED),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_the_built_eye_tends_to_the_closed_form_as_the_square_of_the_ramp() -> None:
    limit = ideal_eye(4.0, lay_angle(0.5, 4.0))[0]
    errors = [built_length(ramp) - limit for ramp in (0.4, 0.2, 0.1, 0.05)]
    ratios = np.array(errors[:-1]) / np.array(errors[1:])
    assert ratios == pytest.approx(np.full(3, 4.0), rel=0.02)


def test_the_free_elastic_eye_by_shooting() -> None:
    """The same loop with no elliptic integral: theta'' = -sin(theta) started at the top, closed by shooting."""
    from scipy.integrate import solve_ivp
    from scipy.optimize import brentq

    def run(peak: float) -> np.ndarray:
        def inflection(s: float, state: np.ndarray) -> Any:
            return state[1]

        vars(inflection).update(terminal=True, direction=-1)

        def slope(s, state):
            return [state[1], -math.sin(state[0]), math.cos(state[0]), math.sin(state[0])]

        out = solve_ivp(slope, (0.0, 20.0), [0.0, peak, 0.0, 0.0], events=inflection, rtol=1e-12, atol=1e-13)
        return np.array([out.t_events[0][0], *out.y_events[0][0]])

    peak = brentq(lambda peak: run(peak)[3], 1.7, 1.95, xtol=1e-13)
    length, theta, _, _, height = run(peak)
    half_angle, length_over_height, _ = elastic_eye()
    assert math.degrees(theta) - 90.0 == pytest.approx(half_angle, abs=1e-7)
    assert 2.0 * length / height == pytest.approx(length_over_height, abs=1e-8)
