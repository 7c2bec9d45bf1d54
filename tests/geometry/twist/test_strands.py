"""Touching helices. What is tested, strongest first:

* the least distance of touching strands, found by brute force over *all* neighbours, is 1 (N = 2 to 9);
* the nearest neighbour governs, and a strand's own next turn never does;
* the closed forms against 80-digit arithmetic, at the edges too (lay just above N, just below pi, huge);
* one function as the inverse or the limit of another; monotony; bounds;
* symbols: the helix formulas, the stationarity of the distance, the points of zero twist and closest packing.
"""

from __future__ import annotations

import math

import mpmath as mp
import numpy as np
import pytest
import sympy as sp
from hypothesis import assume, given
from hypothesis import strategies as st

from helix.geometry.twist import packing
from helix.geometry.twist.strands import (
    coil_gap,
    even_radius,
    helix_curvature,
    helix_length,
    helix_torsion,
    lay_angle,
    lead_angle,
    least_strand_radius,
    leg_contact,
    leg_contact_length,
    pair_contact_angle,
    pair_gap,
    strand_contact,
    strand_contact_angle,
    touching_pitch,
    uneven_radii,
)

TAU = 2.0 * math.pi


def helix_points(a, h, t, phase=0.0):
    return np.stack([a * np.cos(t + phase), a * np.sin(t + phase), h * t], axis=-1)


def distances_to(point, a, h, phase, span=2.0 * TAU, n=40001):
    """Distances from a point to a helix, at n parameters within +-span."""
    t = np.linspace(-span, span, n)
    return t, np.linalg.norm(helix_points(a, h, t, phase) - point, axis=1)


def local_minima(t, d):
    """Parameters and values of the least distances, each refined by a parabola through three samples of d^2."""
    q = d * d
    i = np.flatnonzero((q[1:-1] <= q[:-2]) & (q[1:-1] <= q[2:])) + 1
    low, mid, high = q[i - 1], q[i], q[i + 1]
    curve = low - 2.0 * mid + high
    shift = np.where(curve > 0.0, 0.5 * (low - high) / np.where(curve > 0.0, curve, 1.0), 0.0)
    return t[i] + shift * (t[1] - t[0]), np.sqrt(mid - 0.25 * (low - high) * shift)


def brute_least(a1, a2, h, phase):
    return local_minima(*distances_to(np.array([a1, 0.0, 0.0]), a2, h, phase))[1].min()


# ------------------------------------------------------------------ brute force


@pytest.mark.parametrize("strands", range(2, 10))
@pytest.mark.parametrize("stretch", [1.02, 1.2, 1.5, 2.5, 10.0])
def test_touching_strands_touch_by_brute_force_over_every_neighbour(strands, stretch):
    lay = stretch * strands
    a, h = even_radius(lay, strands), lay / TAU
    nearest = [brute_least(a, a, h, TAU * k / strands) for k in range(1, strands)]
    assert min(nearest) == pytest.approx(1.0, abs=2e-9)
    # k and N - k are mirror images; the farther ones are no nearer
    assert nearest[0] == pytest.approx(nearest[-1], abs=1e-9)
    assert all(x >= nearest[0] - 1e-9 for x in nearest)
    # the strand's own turns: every least distance but the point itself
    t, d = local_minima(*distances_to(np.array([a, 0.0, 0.0]), a, h, 0.0))
    assert np.all(d[np.abs(t) > 0.05] >= nearest[0] - 1e-9)


@given(a1=st.floats(0.05, 2.0), a2=st.floats(0.05, 2.0), lay=st.floats(0.5, 20.0))
def test_pair_gap_is_the_brute_force_least_distance(a1, a2, lay):
    h = lay / TAU
    assert 1.0 + pair_gap(a1, a2, lay) == pytest.approx(brute_least(a1, a2, h, math.pi), abs=3e-7)


@pytest.mark.parametrize(("a1", "a2", "lay"), [(0.5, 0.5, 2.6), (0.3, 0.8, 2.2), (0.6, 0.6, 2.0), (0.25, 0.75, 4.0)])
def test_the_contact_lines_run_midway_between_the_nearest_points(a1, a2, lay):
    point = np.array([a1, 0.0, 0.0])
    t, d = local_minima(*distances_to(point, a2, lay / TAU, math.pi, span=3.0))
    t = t[d <= d.min() + 1e-9]
    middles = 0.5 * (point + helix_points(a2, lay / TAU, t, math.pi))
    lines, radius = leg_contact(a1, a2, lay)
    assert lines == len(t)
    assert np.hypot(*middles[:, :2].T) == pytest.approx(radius, abs=1e-6)
    assert leg_contact_length(a1, a2, lay) == pytest.approx(lines * helix_length(radius, lay), rel=1e-15)


# ------------------------------------------------------------------ high precision


def exact_radius(lay, strands):
    """The same radius by 80-digit bisection on the textbook form of the equations."""
    with mp.workdps(80):
        lay, psi = mp.mpf(lay), 2 * mp.pi / strands
        lo, hi = mp.mpf(0), psi
        for _ in range(240):
            e = (lo + hi) / 2
            q = mp.sin(e) / (psi - e)
            f = 2 * (1 - mp.cos(e)) + (psi - e) * mp.sin(e)
            lo, hi = (e, hi) if 2 * mp.pi * mp.sqrt(q / f) < lay else (lo, e)
        return float(1 / mp.sqrt(f))


@pytest.mark.parametrize("strands", [2, 3, 4, 5, 6, 9, 40])
@pytest.mark.parametrize("above", [1e-12, 1e-9, 1e-5, 0.01, 0.3, 0.7, 1.1, 5.0, 1e3, 1e8, 1e15])
def test_even_radius_to_the_last_digits_from_the_least_lay_to_a_huge_one(strands, above):
    lay = strands + above
    exact = 0.5 if strands == 2 and lay >= math.pi else exact_radius(lay, strands)
    assert even_radius(lay, strands) == pytest.approx(exact, rel=1e-15)


def test_two_strands_around_a_lay_of_pi():
    assert even_radius(math.pi) == 0.5
    for below in (1e-15, 1e-12, 1e-8, 1e-6, 1e-3):
        lay = math.pi - below
        assert even_radius(lay) == pytest.approx(exact_radius(lay, 2), rel=3e-16)
    # a = 1/2 + O((pi - lay)^2): the radius and its slope are continuous
    assert (even_radius(math.pi - 1e-4) - 0.5) / 1e-8 == pytest.approx(
        (even_radius(math.pi - 1e-3) - 0.5) / 1e-6, rel=1e-2
    )


@given(theta=st.floats(1e-3, math.pi - 1e-3))
def test_two_strands_satisfy_the_published_parametrisation(theta):
    """tan^2 v = sin(T)/T, (D/a)^2 = 2 (1 + cos T) + T sin T (Olsen & Bohr 2010), with T as parameter."""
    with mp.workdps(40):
        exact = 1 / mp.sqrt(2 * (1 + mp.cos(theta)) + theta * mp.sin(theta))
        a, lay = float(exact), float(2 * mp.pi * exact * mp.sqrt(mp.sin(theta) / theta))
    # near a lay of 2 D the last bit of the lay moves the radius by eps/(lay - 2)
    assert even_radius(lay) == pytest.approx(a, rel=1e-15 + 4e-16 / (lay - 2.0))
    assert pair_contact_angle(a, a, lay) == pytest.approx(theta, abs=5e-15 / theta)


# ------------------------------------------------------------------ limits, inverses, monotony


@pytest.mark.parametrize("strands", range(2, 8))
def test_straight_strands_are_the_limit_of_a_long_lay(strands):
    assert even_radius(1e300, strands) == pytest.approx(least_strand_radius(strands), rel=1e-15)
    if strands > 2:  # approached as 1/lay^2
        excess = [even_radius(lay, strands) - least_strand_radius(strands) for lay in (200.0, 400.0)]
        assert excess[0] / excess[1] == pytest.approx(4.0, rel=2e-2)


@pytest.mark.parametrize("strands", range(2, 8))
def test_the_radius_grows_without_end_towards_a_lay_of_n(strands):
    # a^2 (lay - N) -> N/(2 psi^2)
    for above, rel in ((1e-4, 1e-3), (1e-7, 1e-6)):
        a = even_radius(strands + above, strands)
        assert a * a * above == pytest.approx(0.5 * strands / (TAU / strands) ** 2, rel=rel)


@given(st.integers(2, 12), st.floats(1e-3, 1e3), st.floats(1e-6, 1.0))
def test_the_radius_falls_as_the_lay_grows(strands, above, more):
    lay = strands + above
    first, second = even_radius(lay, strands), even_radius(lay * (1.0 + more), strands)
    assert second <= first
    if strands > 2 and lay < 100.0:
        assert second < first


@given(st.integers(2, 12), st.floats(1e-3, 30.0))
def test_a_k_start_coil_on_that_radius_has_that_pitch(strands, above):
    lay = strands + above
    assume(not (strands == 2 and lay > math.pi - 1e-3))
    assert touching_pitch(even_radius(lay, strands), strands) == pytest.approx(lay, rel=1e-11)
    assert coil_gap(even_radius(lay, strands), lay, strands) == pytest.approx(
        0.0, abs=2e-13 * even_radius(lay, strands)
    )


@given(st.integers(2, 12), st.floats(1e-3, 30.0))
def test_more_strands_stand_farther_out(strands, above):
    lay = strands + 1 + above
    assert even_radius(lay, strands + 1) > even_radius(lay, strands)


@given(st.floats(2.05, 60.0), st.floats(0.0, 1.0))
def test_uneven_legs_touch_and_keep_their_ratio(lay, evenness):
    standing, tag = uneven_radii(lay, evenness)
    assert pair_gap(standing, tag, lay) == pytest.approx(0.0, abs=1e-14)
    assert standing * (2.0 - evenness) == pytest.approx(tag * evenness, abs=1e-15)
    faces_the_axis = lay >= math.pi * math.sqrt(evenness * (2.0 - evenness))
    assert (standing + tag == pytest.approx(1.0, abs=1e-15)) or not faces_the_axis
    assert standing + tag >= 1.0 - 1e-15


def test_the_ends_of_evenness_are_the_even_pair_and_the_straight_leg():
    for lay in (2.05, 2.6, 3.5, 9.0):
        assert uneven_radii(lay, 1.0) == (even_radius(lay), even_radius(lay))
        assert uneven_radii(lay, 1.0 - 1e-9) == pytest.approx(uneven_radii(lay, 1.0), abs=1e-8)
        assert uneven_radii(lay, 0.0) == (0.0, 1.0)
    # a tag wound round a straight leg at the touching pitch is a barrel: no shorter lay fits
    assert uneven_radii(touching_pitch(), 0.0) == (0.0, 1.0)
    with pytest.raises(ValueError, match="lay must be longer: the tag, 1 D off the axis, overlaps itself"):
        uneven_radii(1.01, 0.0)
    # here the tag clears its own turns, but the standing leg would bend to a radius of 0.43 D
    with pytest.raises(ValueError, match="lay must be longer: the standing leg, 0.0734.* D off the axis"):
        uneven_radii(1.02, 0.14)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.1, 50.0), st.floats(0.0, 5.0))
def test_pair_gap_is_symmetric_bounded_and_rises_with_the_lay(a1, a2, lay, more):
    gap = pair_gap(a1, a2, lay)
    assert gap == pytest.approx(pair_gap(a2, a1, lay), abs=1e-14)
    assert abs(a1 - a2) - 1.0 - 1e-14 <= gap <= a1 + a2 - 1.0 + 1e-14
    assert pair_gap(a1, a2, lay + more) >= gap - 1e-13


@pytest.mark.parametrize(("a", "lay"), [(1e9, 0.6), (1e-200, 1e200), (1e5, 1e-3)])
def test_shapes_far_out_of_scale_still_have_a_gap(a, lay):
    # strands of almost no lay lie side by side, half a lay apart; of almost no radius, on one another
    gap = 0.5 * lay - 1.0 if a > 1.0 else 2.0 * a - 1.0
    assert pair_gap(a, a, lay) == pytest.approx(gap, abs=1e-12)


@given(st.floats(0.01, 3.0), st.floats(0.05, 40.0))
def test_an_even_pair_is_a_two_start_coil(a, lay):
    assert pair_gap(a, a, lay) == pytest.approx(coil_gap(a, lay, starts=2), abs=1e-13)


def test_contact_lines_of_n_strands():
    assert strand_contact(4.0) == (1, 0.0)
    assert strand_contact(2.6)[1] == pytest.approx(leg_contact(even_radius(2.6), even_radius(2.6), 2.6)[1], abs=1e-14)
    for strands in range(3, 7):
        lines, radius = strand_contact(1e9, strands)
        assert lines == strands  # straight strands touch halfway between their centres
        assert radius == pytest.approx(0.5 / math.tan(math.pi / strands), abs=1e-12)
    assert leg_contact_length(0.5, 0.5, 4.0) == 4.0


# ------------------------------------------------------------------ special lays


@pytest.mark.parametrize("strands", range(2, 8))
def test_zero_twist_is_the_most_turns_per_strand_length(strands):
    point = packing.zero_twist(strands)
    turns = [1.0 / helix_length(even_radius(x, strands), x) for x in point.lay * (1.0 + np.array([-1e-3, 0.0, 1e-3]))]
    assert turns[1] > turns[0] and turns[1] > turns[2]
    lays = strands + np.geomspace(1e-3, 50.0, 400)
    assert max(1.0 / helix_length(even_radius(x, strands), x) for x in lays) <= turns[1] * (1.0 + 1e-12)
    assert even_radius(point.lay, strands) == pytest.approx(point.radius, rel=1e-14)
    assert point.shortening == pytest.approx(math.sin(point.pitch_angle), rel=1e-14)
    assert lead_angle(point.radius, point.lay) == pytest.approx(point.pitch_angle, rel=1e-14)


def filling(a, lay, strands):
    """Volume of the strands over the volume of the cylinder that holds them, per turn."""
    return strands * 0.25 * math.pi * helix_length(a, lay) / (math.pi * (a + 0.5) ** 2 * lay)


@pytest.mark.parametrize("strands", range(1, 9))
def test_close_packed_fills_most(strands):
    point = packing.close_packed(strands)
    if math.isinf(point.lay):
        assert strands >= 6
        assert point.filling == pytest.approx(filling(even_radius(1e9, strands), 1e9, strands), rel=1e-9)
    else:
        assert point.filling == pytest.approx(filling(point.radius, point.lay, strands), rel=1e-13)
        near = [filling(a, touching_pitch(a, strands), strands) for a in point.radius * np.array([0.999, 1.001])]
        assert max(near) < point.filling
    least = 0.4311 if strands == 1 else least_strand_radius(strands)
    radii = least * (1.0 + np.geomspace(1e-6, 10.0, 300))
    assert max(filling(a, touching_pitch(a, strands), strands) for a in radii) <= point.filling * (1.0 + 1e-12)


# ------------------------------------------------------------------ symbols


def test_helix_formulas_by_differentiation():
    a, h, t = sp.symbols("a h t", positive=True)
    curve = sp.Matrix([a * sp.cos(t), a * sp.sin(t), h * t])
    d1, d2, d3 = curve.diff(t), curve.diff(t, 2), curve.diff(t, 3)
    cross = d1.cross(d2)
    speed = sp.sqrt(sp.simplify(d1.dot(d1)))
    kappa = sp.simplify(sp.sqrt(sp.simplify(cross.dot(cross))) / speed**3)
    tau = sp.simplify(cross.dot(d3) / cross.dot(cross))
    for radius, lay in ((0.5, 4.0), (1.0, 1.013), (0.2, 30.0)):
        at = {a: radius, h: lay / TAU}
        assert helix_curvature(radius, lay) == pytest.approx(float(kappa.subs(at)), rel=1e-14)
        assert helix_torsion(radius, lay) == pytest.approx(float(tau.subs(at)), rel=1e-14)
        assert helix_length(radius, lay, 2.5) == pytest.approx(float(5 * sp.pi * speed.subs(at)), rel=1e-14)


def test_the_touching_equations_by_differentiation():
    a, h, e, psi = sp.symbols("a h e psi", positive=True)
    d2 = 4 * a**2 * sp.sin(e / 2) ** 2 + h**2 * (psi - e) ** 2
    h2 = a**2 * sp.sin(e) / (psi - e)
    assert sp.simplify((sp.diff(d2, e) / 2).subs(h, sp.sqrt(h2))) == 0
    f = 4 * sp.sin(e / 2) ** 2 + (psi - e) * sp.sin(e)
    assert sp.simplify(d2.subs(h, sp.sqrt(h2)) - a**2 * f) == 0
    # zero twist: (1 + q)/f is stationary where psi - e = 2 sin(e/2)
    q = sp.sin(e) / (psi - e)
    slope = sp.diff(sp.log(1 + q) - sp.log(f), e)
    claimed = sp.diff(f, e) * (4 * sp.sin(e / 2) ** 2 - (psi - e) ** 2) / ((psi - e) ** 2 * (1 + q) * f)
    # closest packing: f (1 + sqrt(f)/2) = 2 sin e (psi - e + sin e)
    fill = sp.log(1 + 1 / q) / 2 - 2 * sp.log(1 / sp.sqrt(f) + sp.Rational(1, 2))
    rise = 2 * sp.sin(e) * (psi - e + sp.sin(e)) - f * (1 + sp.sqrt(f) / 2)
    part = sp.diff(f, e) / (2 * sp.sin(e) * (psi - e + sp.sin(e)) * f * (1 + sp.sqrt(f) / 2))
    for angle, apart in ((0.4, 2.1), (1.3, 3.1), (0.2, 6.2)):
        at = {e: sp.Float(angle, 30), psi: sp.Float(apart, 30)}
        assert abs((slope - claimed).subs(at).evalf(25)) < 1e-20
        assert abs((sp.diff(fill, e) - rise * part).subs(at).evalf(25)) < 1e-20


@given(st.floats(0.01, 5.0), st.floats(0.01, 50.0), st.floats(0.1, 10.0))
def test_helix_identities(a, lay, k):
    kappa, tau, beta = helix_curvature(a, lay), helix_torsion(a, lay), lay_angle(a, lay)
    assert kappa == pytest.approx(math.sin(beta) ** 2 / a, rel=1e-12)
    assert tau == pytest.approx(math.sin(beta) * math.cos(beta) / a, rel=1e-12)
    assert beta + lead_angle(a, lay) == pytest.approx(math.pi / 2, abs=1e-14)
    # the Frenet frame turns by 2 pi sin(v) per turn against the rotation-minimising frame
    assert tau * helix_length(a, lay) == pytest.approx(TAU * math.sin(lead_angle(a, lay)), rel=1e-12)
    assert helix_length(k * a, k * lay, 3.0) == pytest.approx(k * helix_length(a, lay, 3.0), rel=1e-14)
    assert helix_curvature(k * a, k * lay) == pytest.approx(kappa / k, rel=1e-13)


def test_a_helix_of_no_radius_is_straight():
    assert helix_curvature(0.0, 4.0) == 0.0
    assert helix_length(0.0, 4.0, 2.0) == 8.0
    assert lay_angle(0.0, 4.0) == 0.0


# ------------------------------------------------------------------ refusals


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: even_radius(2.0), "lay must be above 2 D for 2 touching strands; got 2.0"),
        (lambda: even_radius(3.0, 3), "lay must be above 3 D for 3 touching strands; got 3.0"),
        (lambda: even_radius(0.0), "lay must be positive and finite; got 0.0"),
        (lambda: even_radius(math.nan), "lay must be positive and finite; got nan"),
        (lambda: even_radius(math.inf), "lay must be positive and finite; got inf"),
        (lambda: even_radius(4.0, 1), "strands must be 2 or more; got 1"),
        (lambda: even_radius(4.0, 0), "strands must be a whole number of 1 or more; got 0"),
        (lambda: strand_contact_angle(9.0, 2.5), "strands must be a whole number of 1 or more; got 2.5"),
        (lambda: strand_contact(2.0), "lay must be above 2 D"),
        (lambda: uneven_radii(2.0, 1.0), "lay must be above 2 D"),
        (lambda: uneven_radii(4.0, 1.5), "evenness must be from 0 to 1; got 1.5"),
        (lambda: uneven_radii(4.0, math.nan), "evenness must be from 0 to 1; got nan"),
        (lambda: uneven_radii(1.0, 0.5), "lay must be above 1 D, or the tag overlaps its own next turn; got 1.0"),
        (lambda: uneven_radii(-4.0, 0.5), "lay must be positive and finite; got -4.0"),
        (lambda: pair_gap(-0.1, 0.5, 4.0), "a1 must be zero or more and finite; got -0.1"),
        (lambda: pair_gap(0.5, math.inf, 4.0), "a2 must be zero or more and finite; got inf"),
        (lambda: helix_length(0.5, 4.0, -1.0), "turns must be zero or more; got -1.0"),
        (lambda: helix_curvature(-1.0, 4.0), "a must be zero or more and finite; got -1.0"),
        (lambda: helix_torsion(1.0, 0.0), "lay must be positive and finite; got 0.0"),
        (lambda: lay_angle(math.nan, 4.0), "a must be zero or more and finite; got nan"),
        (lambda: lead_angle(1.0, -1.0), "pitch must be positive and finite; got -1.0"),
        (lambda: packing.zero_twist(1), "strands must be 2 or more; got 1"),
        (lambda: packing.close_packed(0), "strands must be a whole number of 1 or more; got 0"),
    ],
)
def test_what_is_refused_and_in_what_words(call, message):
    with pytest.raises(ValueError) as caught:
        call()
    assert message in str(caught.value)
