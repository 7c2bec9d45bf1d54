"""Entry bends and eye: closing, throat angle, stated radii, bends, side offset, refusals."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helix.geometry.joint.eye import FADE, KINK, EyeCannotClose, EyeShape, Throat, closed_eye
from helix.geometry.maths.quadrature import Antiderivative
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.wire.curves import curvature_vectors, derivatives, positions
from helix.geometry.wire.planar import PlanarPiece
from tests.tools.ideal_eye import ideal_eye


def throat(
    lay: float = 4.0, a: float = 0.5, angle: float | None = None, radius: float = 1.3, kinked: bool = False
) -> Throat:
    own = lay_angle(a, lay) if a else 0.0
    return Throat(
        a, helix_curvature(a, lay) if a else 0.0, own, own if angle is None else math.radians(angle), radius, kinked
    )


def chain(eye: EyeShape) -> list:
    return [*eye.entry_tag, *eye.eye, *eye.entry_standing]


CASES = {
    "tangent": (6.0, throat(), throat()),
    "wide": (6.0, throat(angle=50.0), throat(angle=50.0)),
    "wide and sharp": (6.0, throat(angle=50.0, radius=0.6), throat(angle=50.0, radius=0.6)),
    "narrow": (6.0, throat(angle=12.0), throat(angle=12.0)),
    "kinked": (6.0, throat(radius=0.7, kinked=True), throat(radius=0.7, kinked=True)),
    "uneven": (10.0, throat(a=0.75), throat(a=0.25)),
    "straight standing leg": (6.0, throat(a=1.0), throat(a=0.0)),
    "tight lay": (15.0, throat(2.5, 0.55), throat(2.5, 0.55)),
    "large pin": (150.0, throat(), throat()),
    "small pin": (1.0, throat(), throat()),
}


@pytest.mark.parametrize("name", CASES)
def test_the_eye_starts_and_ends_on_the_twist_and_joins_smoothly(name):
    """At both ends: place, direction and curvature of the legs' helices; in between no jump of any of them."""
    pin, tag, standing = CASES[name]
    curves = chain(closed_eye(pin, tag, standing))
    first, last = derivatives(curves[0], np.zeros(1), 2), derivatives(curves[-1], np.array([curves[-1].span]), 2)
    assert first[0, 0] == pytest.approx([0.0, tag.radius, 0.0], abs=1e-12)
    assert last[0, 0] == pytest.approx([0.0, -standing.radius, 0.0], abs=1e-10 * (1.0 + pin))
    t_tag = np.array([math.sin(tag.lay), 0.0, -math.cos(tag.lay)])
    t_standing = np.array([math.sin(standing.lay), 0.0, math.cos(standing.lay)])
    assert first[1, 0] == pytest.approx(t_tag, abs=1e-12)
    assert last[1, 0] / np.linalg.norm(last[1, 0]) == pytest.approx(t_standing, abs=1e-10)
    assert curvature_vectors(first)[0] == pytest.approx([0.0, -tag.curvature, 0.0], abs=1e-12)
    assert curvature_vectors(last)[0] == pytest.approx([0.0, standing.curvature, 0.0], abs=1e-9)
    for before, after in pairwise(curves):
        ends = derivatives(before, np.array([before.span]), 2), derivatives(after, np.zeros(1), 2)
        assert ends[0] == pytest.approx(ends[1], abs=1e-10 * (1.0 + pin))


@pytest.mark.parametrize("name", CASES)
def test_the_straight_legs_stand_at_the_throat_angle_seen_along_the_pin(name):
    pin, tag, standing = CASES[name]
    eye = closed_eye(pin, tag, standing)
    straight = [c for c in eye.eye if len(c.theta) == 1 or not np.any(c.theta[1:])]
    assert straight
    headings = {round(c.theta[0] % (2.0 * math.pi), 9) for c in straight}
    wanted = {round(tag.leg_angle % (2.0 * math.pi), 9), round((math.pi - standing.leg_angle) % (2.0 * math.pi), 9)}
    assert headings <= wanted
    sides = sum(c.span for c in straight)
    assert sides == pytest.approx(sum(eye.legs), abs=1e-9 * (1.0 + pin))


@pytest.mark.parametrize("radius", [0.55, 0.8, 1.5, 5.0])
@pytest.mark.parametrize("angle", [20.0, 38.5, 60.0])
def test_an_entry_bend_has_its_stated_radius_in_space(angle, radius):
    """Whatever its turn, since its ramps scale with it: the least radius over the bend is the one that is stated."""
    one = throat(angle=angle, radius=radius)
    eye = closed_eye(40.0, one, one)
    bent = [c for c in eye.entry_tag if np.any(c.theta[1:])]
    k = np.concatenate(
        [np.linalg.norm(curvature_vectors(derivatives(c, np.linspace(0.0, c.span, 300), 2)), axis=1) for c in bent]
    )
    assert 1.0 / k.max() == pytest.approx(radius, rel=1e-9)
    turned = sum(np.polynomial.polynomial.polyval(c.span, c.theta) - c.theta[0] for c in bent)
    assert turned == pytest.approx(one.bend, abs=1e-12)
    assert math.degrees(one.lay + turned) == pytest.approx(angle)


def test_a_kink_turns_out_and_gently_back():
    one = throat(radius=0.7, kinked=True)
    assert [turn for turn, _ in one.bends] == [KINK, -KINK]
    eye = closed_eye(6.0, one, one)
    last = eye.entry_tag[-1]
    assert np.polynomial.polynomial.polyval(last.span, last.theta) == pytest.approx(one.lay, abs=1e-12)


@pytest.mark.parametrize(("pin", "angle"), [(4.0, 20.0), (4.0, 30.0), (6.0, 30.0), (10.0, 30.0), (10.0, 45.0)])
def test_without_ramps_the_eye_is_an_arc_and_two_legs(pin, angle):
    """A twist that leaves at the throat's own angle: the closed form, approached as the square of the ramps."""
    one = throat(lay=math.pi / math.tan(math.radians(angle)))
    limit = ideal_eye(pin, math.radians(angle))[0]
    errors = [closed_eye(pin, one, one, ramp).planar_length - limit for ramp in (0.2, 0.1, 0.05)]
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.03)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.01)


@settings(max_examples=40)
@given(st.floats(0.8, 40.0), st.floats(10.0, 60.0), st.floats(0.0, 1.0), st.floats(2.7, 12.0))
def test_the_side_offset_runs_monotonically_from_leg_to_leg(pin, angle, evenness, lay):
    """The wire never goes beyond the legs' own offset, nor comes back."""
    a = 0.5 * evenness
    tag, standing = throat(lay, 1.0 - a, angle), throat(lay, a, angle)
    try:
        eye = closed_eye(pin, tag, standing)
    except EyeCannotClose:
        return
    y = np.concatenate([positions(c, np.linspace(0.0, c.span, 40))[:, 1] for c in chain(eye)])
    assert y.max() <= tag.radius + 1e-12
    assert y.min() >= -standing.radius - 1e-10


@settings(max_examples=12)
@given(st.floats(20.0, 85.0), st.floats(0.6, 8.0), st.floats(0.0, 1.0), st.sampled_from([2.5, 4.0, 9.0]))
def test_the_least_pin_is_the_border(angle, radius, evenness, lay):
    a = 0.5 * evenness
    tag, standing = throat(lay, 1.0 - a, angle, radius), throat(lay, a, angle, radius)
    try:
        closed_eye(0.5, tag, standing)
    except EyeCannotClose as refused:
        least = refused.least_pin
    else:
        return
    assert least is not None and least > 0.5
    for factor in (1.0 + 1e-7, 1.5, 4.0):
        closed_eye(least * factor, tag, standing)
    for factor in (1.0 - 1e-7, 0.8):
        with pytest.raises(EyeCannotClose):
            closed_eye(least * factor, tag, standing)


def test_legs_that_part_for_good_have_no_pin():
    with pytest.raises(EyeCannotClose) as refused:
        closed_eye(6.0, throat(angle=90.0), throat(angle=90.0))
    assert refused.value.least_pin is None


def test_swapping_the_legs_mirrors_the_eye():
    tag, standing = throat(a=0.7, angle=40.0), throat(a=0.3, angle=25.0)
    one, other = chain(closed_eye(8.0, tag, standing)), chain(closed_eye(8.0, standing, tag))
    u = np.linspace(0.0, 1.0, 9)
    for a, b in zip(one, reversed(other), strict=True):
        there = positions(b, b.span * (1.0 - u)) * [-1.0, -1.0, 1.0]
        assert positions(a, a.span * u) == pytest.approx(there, abs=1e-10)


def test_the_twist_fades_within_its_length():
    eye = closed_eye(6.0, throat(), throat())
    assert eye.entry_tag[0].span == FADE
    end = derivatives(eye.entry_tag[0], np.array([FADE]), 2)
    assert np.abs(curvature_vectors(end)).max() < 1e-12


@pytest.mark.parametrize("curvature", [0.0, 1e-12, -1e-5, -0.3, 2.0])
def test_an_even_turn_in_closed_form_is_its_integral(curvature):
    """The chord at the mean heading, against a spectral antiderivative of the slopes."""
    piece, u = PlanarPiece((0.7, curvature), (0.0,), 2.0, -3.0, 6.0), np.linspace(0.0, 6.0, 61)
    across = Antiderivative(lambda u: np.sin(0.7 + curvature * u), 6.0)
    down = Antiderivative(lambda u: -np.cos(0.7 + curvature * u), 6.0)
    assert piece.seen(u) == pytest.approx(np.array([2.0 + across(u), -3.0 + down(u)]), abs=1e-14 * 6.0)
    assert piece.end == pytest.approx(tuple(piece.seen(u)[:, -1]), abs=1e-14)


def test_a_heading_of_one_number_is_a_straight_piece() -> None:
    alone, arc = (PlanarPiece(theta, (0.0, 0.3), 2.0, -3.0, 60.0) for theta in ((0.7,), (0.7, 0.0)))
    assert alone.straight and alone.end == arc.end == pytest.approx(
        (2.0 + 60.0 * np.sin(0.7), -3.0 - 60.0 * np.cos(0.7))
    )
