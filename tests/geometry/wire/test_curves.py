"""The curves against closed forms, mpmath and each other; curvature on the cylinder; speeds."""

from __future__ import annotations

import math
from typing import Any

import mpmath as mp
import numpy as np
import pytest

from helix.geometry.joint.exits import blend
from helix.geometry.maths.jets import CUBIC_STEP, SEPTIC_STEP
from helix.geometry.twist.helices import helix_curvature, helix_length, helix_torsion
from helix.geometry.wire.curves import (
    CoreCoil,
    Line,
    Mirrored,
    Reversed,
    Strand,
    TransitionCurve,
    curvature_vectors,
    curve_length,
    derivatives,
    positions,
    speeds,
)
from helix.geometry.wire.planar import PlanarPiece

FRAME = ((0.3, 0.1, 2.0), (0.0, 0.6, 0.8), (1.0, 0.0, 0.0), (0.0, -0.8, 0.6))
CURVES: dict[str, Any] = {
    "line": Line((1.0, 2.0, 3.0), (0.6, 0.0, 0.8), 2.5),
    "helix": Strand((0.5,), (2.0 * np.pi / 4.0,), 0.4, 1.0, 5.0),
    "run-in": Strand(blend(0.5, 0.0, SEPTIC_STEP), (2.0 * np.pi / 4.0,), 0.4, 1.0, 3.0),
    "opening": Strand(blend(0.55, 0.5, SEPTIC_STEP), blend(2.4, 1.8, CUBIC_STEP), 0.4, 1.0, 3.0),
    "swing": CoreCoil(blend(0.66, 1.41, CUBIC_STEP), 0.2, 1.0, 4.0),
    "overbent swing": CoreCoil(blend(1.9, -1.3, CUBIC_STEP), 0.2, 1.0, 6.0),
    "fade": TransitionCurve(FRAME, 0.97, 0.14, 0.6, 0, 0.6),
    "half a fade": TransitionCurve(FRAME, 0.97, 0.14, 0.6, 0, 0.3),
    "rest": TransitionCurve(FRAME, 0.97, 0.14, 0.6, 1, 0.7),
    "planar": PlanarPiece((0.66, 0.0, 0.3, -0.05), (-0.5, 0.2, 0.01), 0.1, 0.2, 1.4),
    "reversed": Reversed(CoreCoil(blend(0.66, 1.41, CUBIC_STEP), 0.2, 1.0, 4.0)),
    "mirrored": Mirrored(Strand(blend(0.5, 0.0, SEPTIC_STEP), (2.0 * np.pi / 4.0,), 0.4, 1.0, 3.0)),
}


@pytest.mark.parametrize("name", CURVES)
def test_derivatives_by_differences_of_fourth_order(name):
    curve = CURVES[name]
    u, errors = np.linspace(0.1, 0.9, 9) * curve.span, []
    exact = derivatives(curve, u, 3)
    for h in (0.016 * curve.span, 0.008 * curve.span):
        for k in range(3):
            p = [derivatives(curve, u + j * h, k)[k] for j in (-2, -1, 1, 2)]
            slope = (p[0] - 8.0 * p[1] + 8.0 * p[2] - p[3]) / (12.0 * h)
            errors.append(np.abs(slope - exact[k + 1]).max())
    for k in range(3):
        assert errors[k + 3] < 1e-10 or errors[k] / errors[k + 3] == pytest.approx(16.0, rel=0.3)


@pytest.mark.parametrize("name", CURVES)
def test_length_by_chords(name):
    """Chords fall short with the square of their length: extrapolated from two, to 1e-9."""
    curve = CURVES[name]
    sums = []
    for n in (2000, 4000):
        p = positions(curve, np.linspace(0.0, curve.span, n + 1))
        sums.append(np.linalg.norm(np.diff(p, axis=0), axis=1).sum())
    assert curve_length(curve) == pytest.approx((4.0 * sums[1] - sums[0]) / 3.0, rel=1e-9)


@pytest.mark.parametrize("name", [n for n in CURVES if CURVES[n].speed is not None])
def test_a_constant_speed_is_constant(name):
    curve = CURVES[name]
    d = derivatives(curve, np.linspace(0.0, curve.span, 50), 1)
    assert np.linalg.norm(d[1], axis=1) == pytest.approx(curve.speed, abs=1e-13)
    assert speeds(curve, np.zeros(2)) == pytest.approx(curve.speed)


def test_a_helix_has_its_curvature_torsion_and_length():
    for a, lay in ((0.5, 4.0), (0.25, 9.0), (1.0, 1.0129)):
        curve = Strand((a,), (2.0 * np.pi / lay,), 0.1, 0.0, 2.5 * lay)
        d = derivatives(curve, np.linspace(0.0, curve.span, 20), 3)
        k = np.linalg.norm(curvature_vectors(d), axis=1)
        assert k == pytest.approx(helix_curvature(a, lay), rel=1e-13)
        cross = np.cross(d[1], d[2])
        torsion = np.sum(cross * d[3], axis=1) / np.sum(cross**2, axis=1)
        assert torsion == pytest.approx(helix_torsion(a, lay), rel=1e-12)
        assert curve_length(curve) == pytest.approx(helix_length(a, lay, 2.5), rel=1e-14)


def test_a_strand_turns_as_its_rate_says():
    curve = CURVES["opening"]
    p = positions(curve, np.linspace(0.0, curve.span, 400))
    turned = np.unwrap(np.arctan2(p[:, 1], p[:, 0]))
    assert turned[-1] - turned[0] == pytest.approx(curve.theta_end - curve.theta0, abs=1e-12)
    assert curve.theta_end - curve.theta0 == pytest.approx(3.0 * (2.4 + 1.8) / 2.0)  # the step is even about its middle


@pytest.mark.parametrize("name", ["swing", "overbent swing"])
def test_a_swing_lies_on_its_cylinder_at_the_lay_angle_that_is_asked(name):
    curve = CURVES[name]
    t = np.linspace(0.0, 1.0, 60)
    d = derivatives(curve, t * curve.span, 2)
    assert np.hypot(d[0, :, 0], d[0, :, 1]) == pytest.approx(1.0, abs=1e-14)
    lay = np.polynomial.polynomial.polyval(t, curve.lay)
    assert d[1, :, 2] == pytest.approx(np.cos(lay), abs=1e-13)
    around = d[0, :, 0] * d[1, :, 1] - d[0, :, 1] * d[1, :, 0]
    assert around == pytest.approx(np.sin(lay), abs=1e-13)
    rate = np.polynomial.polynomial.polyval(t, np.polynomial.polynomial.polyder(curve.lay)) / curve.span
    k = np.linalg.norm(curvature_vectors(d), axis=1)
    assert k == pytest.approx(np.sqrt(rate**2 + np.sin(lay) ** 4), abs=1e-12)


def test_a_swing_ends_where_mpmath_says():
    curve = CURVES["swing"]

    def lay(u):
        return sum(c * (u / curve.span) ** k for k, c in enumerate(curve.lay))

    cuts = mp.linspace(0, curve.span, 5)
    assert curve.z_end == pytest.approx(1.0 + float(mp.quad(lambda u: mp.cos(lay(u)), cuts)), abs=1e-13)
    assert curve.chi_end == pytest.approx(0.2 + float(mp.quad(lambda u: mp.sin(lay(u)), cuts)), abs=1e-13)
    end = positions(curve, np.array([curve.span]))[0]
    assert end == pytest.approx([math.cos(curve.chi_end), math.sin(curve.chi_end), curve.z_end], abs=1e-13)


def test_a_departing_wire_fades_from_its_curvature_to_none():
    fade, rest = CURVES["fade"], CURVES["rest"]
    p, t, n, b = np.array(FRAME)
    start = derivatives(fade, np.zeros(1), 2)
    assert start[0, 0] == pytest.approx(p)
    assert start[1, 0] == pytest.approx(t)
    assert curvature_vectors(start)[0] == pytest.approx(0.97 * n)
    ends = derivatives(fade, np.array([fade.span]), 2), derivatives(rest, np.zeros(1), 2)
    assert ends[0] == pytest.approx(ends[1], abs=1e-12)
    assert np.abs(ends[0][2]).max() < 1e-12
    assert ends[0][1, 0] @ b == pytest.approx(0.14)
    whole, half = derivatives(fade, np.array([0.3]), 2), derivatives(CURVES["half a fade"], np.array([0.3]), 2)
    assert np.array_equal(whole, half)


def test_reversing_twice_and_mirroring_twice_change_nothing():
    for curve in CURVES.values():
        u = np.linspace(0.0, curve.span, 11)
        for twice in (Reversed(Reversed(curve)), Mirrored(Mirrored(curve))):
            assert derivatives(twice, u, 2) == pytest.approx(derivatives(curve, u, 2), abs=1e-12)
        back = derivatives(Reversed(curve), u, 2)[:, ::-1]
        assert back[0] == pytest.approx(positions(curve, u), abs=1e-12)
        assert curvature_vectors(back) == pytest.approx(curvature_vectors(derivatives(curve, u, 2)), abs=1e-11)
        assert curve_length(Reversed(curve)) == pytest.approx(curve_length(curve), rel=1e-13)
