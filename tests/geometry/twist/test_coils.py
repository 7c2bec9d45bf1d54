"""Coils on a core: touching by brute force, limits, inverse functions, contact lines, refusals."""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.geometry.twist.coils import (
    coil_contact_angle,
    coil_core_contact_length,
    coil_gap,
    coil_turn_contact_length,
    tightest_coil,
    touching_pitch,
)
from helix.geometry.twist.helices import helix_curvature, helix_length
from tests.tools.ideal_eye import ideal_eye

TAU = 2.0 * math.pi


def brute_least(a, pitch, starts):
    """Least distance from (a, 0, 0) to every neighbouring wire and to its own other turns, by dense search."""
    h = pitch / TAU
    best = math.inf
    t = np.linspace(-3.0 * TAU, 3.0 * TAU, 60001)
    for k in range(starts):
        q = 4.0 * a * a * np.sin(0.5 * (t + TAU * k / starts)) ** 2 + (h * t) ** 2
        i = np.flatnonzero((q[1:-1] <= q[:-2]) & (q[1:-1] <= q[2:])) + 1
        if k == 0:
            i = i[np.abs(t[i]) > 0.1]  # the point itself
        low, mid, high = q[i - 1], q[i], q[i + 1]
        # the parabola through three samples of the squared distance
        refined = mid - 0.125 * (low - high) ** 2 / (low - 2.0 * mid + high)
        best = min(best, math.sqrt(refined.min()) if len(i) else math.inf)
    return best


@pytest.mark.parametrize("starts", range(1, 7))
@pytest.mark.parametrize("out", [0.02, 0.1, 0.5, 1.0, 3.0])
def test_touching_turns_touch_by_brute_force(starts, out):
    least = {1: tightest_coil()[0], 2: 0.5}.get(starts, 0.5 / math.sin(math.pi / starts))
    a = least + out
    assert brute_least(a, touching_pitch(a, starts), starts) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0.2, 6.0), st.floats(0.1, 8.0), st.integers(1, 6))
def test_coil_gap_is_the_brute_force_least_distance(a, pitch, starts):
    least = brute_least(a, pitch, starts)
    gap = coil_gap(a, pitch, starts)
    if math.isinf(gap):
        # nearly: at the very edge the two nearest points melt into one
        assert math.isinf(least) or pitch < 2.93 * a
    else:
        assert 1.0 + gap == pytest.approx(least, abs=1e-7)


@pytest.mark.parametrize(
    ("a", "starts"),
    [(a, k) for a in (0.45, 0.75, 1.0, 1.5, 2.0, 17.0, 1e3, 1e6) for k in (1, 2, 3, 7) if k == 1 or a > 0.35 * k - 0.1],
)
def test_touching_pitch_to_the_last_digits(a, starts):
    with mp.workdps(40):
        psi = 2 * mp.pi / starts
        lo, hi = mp.mpf(0), (psi if starts > 1 else mp.mpf("1.78"))
        for _ in range(160):
            e = (lo + hi) / 2
            inside = 2 * (1 - mp.cos(e)) + (psi - e) * mp.sin(e) < 1 / mp.mpf(a) ** 2
            lo, hi = (e, hi) if inside else (lo, e)
        exact = float(2 * mp.pi * a * mp.sqrt(mp.sin(e) / (psi - e)))
    assert touching_pitch(a, starts) == pytest.approx(exact, rel=2e-15)
    assert coil_gap(a, exact, starts) == pytest.approx(0.0, abs=1e-15 * max(1.0, a))


def test_two_starts_right_beside_the_thinnest_core():
    assert touching_pitch(0.5, starts=2) == math.pi
    for out in (1e-14, 1e-10, 1e-6, 1e-3, 0.2499, 0.2501):
        a = 0.5 + out
        with mp.workdps(50):
            # T from (1/a)^2 = 2 (1 + cos T) + T sin T, by bisection: findroot is lost in the fourth power
            lo, hi = mp.mpf(0), mp.pi
            for _ in range(160):
                t = (lo + hi) / 2
                lo, hi = (t, hi) if 2 * (1 + mp.cos(t)) + t * mp.sin(t) > 1 / mp.mpf(a) ** 2 else (lo, t)
            exact = float(2 * mp.pi * a * mp.sqrt(mp.sin(t) / t))
        assert touching_pitch(a, starts=2) == pytest.approx(exact, rel=1e-15)


@pytest.mark.parametrize("starts", [1, 2, 3, 5])
def test_on_a_thick_core_the_pitch_tends_to_the_number_of_starts(starts):
    # P/k = 1 + 1/(2 psi^2 a^2) and smaller terms, psi = 2 pi/k: the turns lie side by side
    for a, rel in ((30.0, 1e-2), (300.0, 1e-4)):
        excess = touching_pitch(a, starts) / starts - 1.0
        assert excess * 2.0 * (TAU / starts) ** 2 * a * a == pytest.approx(1.0, rel=rel)
    assert touching_pitch(1e200, starts) == starts


@given(st.floats(0.5, 50.0), st.floats(1e-3, 1.0), st.integers(1, 6))
def test_a_thicker_core_shortens_the_pitch_and_more_starts_lengthen_it(out, more, starts):
    a = out + 0.5 / math.sin(math.pi / (starts + 1))
    pitch = touching_pitch(a, starts)
    assert touching_pitch(a * (1.0 + more), starts) < pitch
    assert pitch > starts
    assert touching_pitch(a, starts + 1) > pitch


def test_a_pitch_of_one_wire_diameter_overlaps_on_every_core():
    for a in (0.6, 1.0, 2.0, 10.0, 100.0):
        assert coil_gap(a, 1.0) < 0.0 < coil_gap(a, 1.0001 * touching_pitch(a))


def test_an_open_coil_has_no_nearest_point_on_its_next_turn():
    a, edge = 1.0, TAU * 0.4660818
    assert math.isfinite(coil_gap(a, edge - 1e-3))
    assert math.isinf(coil_gap(a, edge + 1e-3)) and math.isinf(brute_least(a, edge + 1e-3, 1))
    assert coil_gap(0.0, 1.0) == math.inf
    with pytest.raises(ValueError, match="pitch must be below 2.92"):
        coil_contact_angle(a, edge + 1e-3)


def test_the_tightest_coil_touches_and_bends_at_half_a_wire():
    a, pitch = tightest_coil()
    assert coil_gap(a, pitch) == pytest.approx(0.0, abs=1e-15)
    assert helix_curvature(a, pitch) == pytest.approx(2.0, abs=1e-14)
    assert touching_pitch(a) == pytest.approx(pitch, rel=1e-14)
    with pytest.raises(ValueError, match="core_radius_sum must be at least 0.431092"):
        touching_pitch(a - 1e-9)


@pytest.mark.parametrize(("a", "starts"), [(1.0, 1), (1.5, 1), (4.0, 1), (1.0, 2), (2.0, 3)])
def test_contact_lines_by_their_points(a, starts):
    """Midway between nearest points for turn on turn; half a wire nearer the axis for turn on core."""
    pitch = touching_pitch(a, starts)
    h, e, psi = pitch / TAU, coil_contact_angle(a, pitch, starts), TAU / starts
    t = np.linspace(0.0, TAU, 20001)
    first = np.stack([a * np.cos(t), a * np.sin(t), h * t], axis=1)
    # the neighbour stands psi ahead at the same height: its point at angle t + e is (psi - e) h lower
    second = np.stack([a * np.cos(t + e), a * np.sin(t + e), h * (t + e - psi)], axis=1)
    assert np.linalg.norm(first - second, axis=1) == pytest.approx(1.0, abs=1e-13)
    middle = 0.5 * (first + second)
    length = np.linalg.norm(np.diff(middle, axis=0), axis=1).sum()
    assert coil_turn_contact_length(a, pitch, starts) == pytest.approx(length, rel=1e-8)
    on_core = first * np.array([1.0 - 0.5 / a, 1.0 - 0.5 / a, 1.0])
    length = np.linalg.norm(np.diff(on_core, axis=0), axis=1).sum()
    assert coil_core_contact_length(a, pitch) == pytest.approx(length, rel=1e-8)


@given(st.floats(0.5, 20.0))
def test_contact_lines_are_shorter_than_the_wire(a):
    pitch = touching_pitch(a)
    wire = helix_length(a, pitch)
    assert coil_core_contact_length(a, pitch) < coil_turn_contact_length(a, pitch) < wire


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: touching_pitch(0.4), "core_radius_sum must be at least 0.431092"),
        (lambda: touching_pitch(0.49, starts=2), "core_radius_sum must be at least 0.5 D for 2 start(s); got 0.49"),
        (lambda: touching_pitch(0.57, starts=3), "core_radius_sum must be above 0.577350269 D for 3 start(s)"),
        (lambda: touching_pitch(1.0, starts=0), "starts must be a whole number of 1 or more; got 0"),
        (lambda: touching_pitch(1.0, starts=True), "starts must be a whole number"),
        (lambda: touching_pitch(math.nan), "core_radius_sum must be zero or more and finite; got nan"),
        (lambda: coil_gap(1.0, 0.0), "pitch must be positive and finite; got 0.0"),
        (lambda: coil_gap(-1.0, 1.0), "a must be zero or more and finite; got -1.0"),
        (lambda: coil_core_contact_length(0.4, 1.0), "a must be 1/2 D or more"),
        (lambda: ideal_eye(0.0, 0.5), "pin must be positive and finite; got 0.0"),
        (lambda: ideal_eye(4.0, 0.0), "half_angle must be above 0 and below pi/2 rad; got 0.0"),
        (lambda: ideal_eye(4.0, 1.6), "half_angle must be above 0 and below pi/2 rad; got 1.6"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)


@given(st.floats(0.1, 50.0), st.floats(0.05, 1.5))
def test_the_ideal_eye_closes(pin, half_angle):
    """Walked along: crossing, leg, arc and leg lead back to the crossing, tangent at both joins."""
    length, leg, to_centre = ideal_eye(pin, half_angle)
    r = 0.5 * (pin + 1.0)
    join = leg * np.array([math.sin(half_angle), -math.cos(half_angle)])
    centre = np.array([0.0, -to_centre])
    assert np.linalg.norm(join - centre) == pytest.approx(r, rel=1e-11)
    assert np.dot(join - centre, join) == pytest.approx(0.0, abs=1e-9 * to_centre**2)
    assert length - 2.0 * leg == pytest.approx(r * (math.pi + 2.0 * half_angle), rel=1e-9)
