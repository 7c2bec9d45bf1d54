"""The tag riding on the leg: touching by construction, exact derivatives, sharp run-ins, the frame's closed form."""

from __future__ import annotations

import mpmath as mp
import numpy as np
import pytest

from helix.geometry.joint.exits import ExitPlan, TwistEnd, blend, exit_curves, psi_rate
from helix.geometry.joint.riding import BUMP, ContactCurve, starting_angle
from helix.geometry.maths.jets import SEPTIC_STEP
from helix.geometry.wire.curves import Line, Strand, curve_length, derivatives, positions


def run_in(leg: float, lay: float = 4.0, a: float = 0.5, lift: float = 0.0) -> tuple[Strand, ContactCurve]:
    """A leg that comes onto the axis in `leg`, and the tag riding on it from the twist's own place."""
    end = TwistEnd(a, 1.0 - a, lay, 0.7, 2.0)
    curves = exit_curves(end, ExitPlan(leg, (), lift=lift))
    return curves.standing[0], curves.tag[0]


@pytest.mark.parametrize("lay", [3.2, 4.0, 9.0])
@pytest.mark.parametrize("a", [0.1, 0.25, 0.5])
def test_on_a_helix_the_tag_is_the_opposite_helix(lay, a):
    """psi' = the leg's torsion keeps the tag at the far side of the axis: an exact helix of radius 1 - a."""
    leg = Strand((a,), (2.0 * np.pi / lay,), 0.3, 1.0, 2.0 * lay)
    tag = Strand((1.0 - a,), (2.0 * np.pi / lay,), 0.3 + np.pi, 1.0, 2.0 * lay)
    u = np.linspace(0.0, leg.span, 41)
    ride = ContactCurve(leg, psi_rate(a, lay), starting_angle(leg, positions(tag, np.zeros(1))[0]))
    assert np.abs(derivatives(ride, u, 2) - derivatives(tag, u, 2)).max() < 1e-12


def test_on_the_axis_the_tag_is_a_coil():
    axis = Line((0.0, 0.0, 0.5), (0.0, 0.0, 1.0), 3.0)
    ride = ContactCurve(axis, 2.0 * np.pi / 1.3, 0.4)
    coil = Strand((1.0,), (2.0 * np.pi / 1.3,), 0.4, 0.5, 3.0)
    u = np.linspace(0.0, 3.0, 31)
    assert np.abs(derivatives(ride, u, 2) - derivatives(coil, u, 2)).max() < 1e-12


@pytest.mark.parametrize("leg", [0.6, 1.0, 2.0, 3.68, 8.0])
@pytest.mark.parametrize("a", [0.1, 0.5])
def test_the_tag_is_one_diameter_off_square_to_the_leg(leg, a):
    core, ride = run_in(leg, a=a)
    u = np.linspace(0.0, leg, 101)
    apart = positions(ride, u) - positions(core, u)
    assert np.abs(np.linalg.norm(apart, axis=1) - 1.0).max() < 1e-13
    assert np.abs(np.sum(apart * derivatives(core, u, 1)[1], axis=1)).max() < 1e-12


def test_lifting_off_adds_the_bump_and_nothing_at_its_ends():
    core, ride = run_in(3.0, lift=0.05)
    u = np.linspace(0.0, 3.0, 61)
    off = np.linalg.norm(positions(ride, u) - positions(core, u), axis=1) - 1.0
    assert off == pytest.approx(0.05 * np.polynomial.polynomial.polyval(u / 3.0, BUMP), abs=1e-13)
    assert off[30] == pytest.approx(0.05, abs=1e-13)
    plain = run_in(3.0)[1]
    for end in (0.0, 3.0):
        at = np.array([end])
        assert np.abs(derivatives(ride, at, 2) - derivatives(plain, at, 2)).max() < 1e-11


@pytest.mark.parametrize("leg", [0.4, 1.0, 3.0])
def test_derivatives_agree_with_differences_of_positions(leg):
    """Fourth-order central differences: the angle's integral and its rate must belong together."""
    _, ride = run_in(leg)
    u, errors = np.linspace(0.1, 0.9, 17) * leg, []
    exact = derivatives(ride, u, 2)
    for h in (8e-3 * leg, 4e-3 * leg):
        p = [positions(ride, u + k * h) for k in (-2, -1, 0, 1, 2)]
        first = (p[0] - 8.0 * p[1] + 8.0 * p[3] - p[4]) / (12.0 * h)
        second = (-p[0] + 16.0 * p[1] - 30.0 * p[2] + 16.0 * p[3] - p[4]) / (12.0 * h * h)
        errors.append([np.abs(first - exact[1]).max(), np.abs(second - exact[2]).max()])
    assert np.log2(np.array(errors[0]) / np.array(errors[1])) == pytest.approx([4.0, 4.0], abs=0.25)


@pytest.mark.parametrize(
    ("leg", "lay", "a"), [(0.4024, 17.2, 0.25), (0.6232, 17.35, 0.2161), (1.0, 4.0, 0.5), (3.68, 4.0, 0.5)]
)
def test_length_of_a_tag_against_quadrature(leg, lay, a):
    """Swung too sharply the tag races round its bend; failed once by 4 % of the length at a leg of 0.40 D."""
    _, ride = run_in(leg, lay, a)

    def speed(u: mp.mpf) -> float:
        return float(np.linalg.norm(derivatives(ride, np.array([float(u)]), 1)[1, 0]))

    cuts = list(np.linspace(0.0, leg, 17))
    theirs = float(mp.quad(speed, cuts, maxdegree=6))
    assert curve_length(ride) == pytest.approx(theirs, rel=1e-11)


def rotation_minimising(core, psi: float, points: int) -> np.ndarray:
    """The riding tag by another way: parallel transport along the leg, then a steady turn against it."""
    u = np.linspace(0.0, core.span, points)
    d = derivatives(core, u, 1)
    t = d[1] / np.linalg.norm(d[1], axis=1, keepdims=True)
    v = np.array([1.0, 0.0, 0.0]) - t[0] * t[0, 0]
    v /= np.linalg.norm(v)
    frames = [v]
    for k in range(points - 1):  # the smallest rotation that takes one tangent to the next
        axis, cos = np.cross(t[k], t[k + 1]), float(t[k] @ t[k + 1])
        v = v * cos + np.cross(axis, v) + axis * float(axis @ v) / (1.0 + cos)
        frames.append(v)
    e = np.array(frames)
    w = np.cross(t, e)
    length = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(d[0], axis=0), axis=1))])
    angle = psi * length[:, None]
    return d[0] + np.cos(angle) * e + np.sin(angle) * w


def test_the_closed_form_of_the_frame_is_parallel_transport():
    """Second order in the spacing of the transport, so halving it quarters the difference."""
    core = Strand(blend(0.5, 0.0, SEPTIC_STEP), (2.0 * np.pi / 4.0,), 0.0, 0.0, 3.0)
    errors = []
    for points in (501, 1001):
        theirs = rotation_minimising(core, psi_rate(0.5, 4.0), points)
        ride = ContactCurve(core, psi_rate(0.5, 4.0), starting_angle(core, theirs[0]))
        errors.append(np.abs(positions(ride, np.linspace(0.0, 3.0, points)) - theirs).max())
    assert errors[1] < 1e-5
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.05)
