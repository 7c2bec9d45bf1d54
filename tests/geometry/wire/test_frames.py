"""The rotation-minimising frame: order, rigid motion, closed forms; curvature averaged in it."""

from __future__ import annotations

import numpy as np
import pytest

from helix.geometry.twist.helices import helix_curvature, helix_torsion
from helix.geometry.wire.frames import frame_angles, gauge_curvature


def helix(n: int, a: float = 0.5, lay: float = 4.0, turns: float = 3.0):
    """s, points, tangents, curvature vectors of a helix at n + 1 samples."""
    c = np.hypot(2.0 * np.pi * a, lay)
    s = np.linspace(0.0, turns * c, n + 1)
    t = 2.0 * np.pi * s / c
    h = lay / (2.0 * np.pi)
    w = 2.0 * np.pi / c
    points = np.stack([a * np.cos(t), a * np.sin(t), h * t], axis=1)
    tangents = w * np.stack([-a * np.sin(t), a * np.cos(t), 0.0 * t + h], axis=1)
    bent = -a * w * w * np.stack([np.cos(t), np.sin(t), 0.0 * t], axis=1)
    return s, points, tangents, bent


def vectors(points, tangents):
    u, v, phi = frame_angles(points, tangents)
    return np.cos(phi)[:, None] * u + np.sin(phi)[:, None] * v


def test_the_frame_stays_square_to_the_wire():
    _, points, tangents, _ = helix(200)
    u, v, _ = frame_angles(points, tangents)
    for a, b in ((u, v), (u, tangents), (v, tangents)):
        assert np.abs(np.sum(a * b, axis=1)).max() < 1e-14
    assert np.linalg.norm(u, axis=1) == pytest.approx(1.0) and np.linalg.norm(v, axis=1) == pytest.approx(1.0)


def test_on_a_helix_the_frenet_frame_turns_at_the_torsion_and_the_error_falls_as_the_fourth_power():
    errors = []
    for n in (60, 120, 240):
        s, points, tangents, bent = helix(n)
        e = vectors(points, tangents)
        normal = bent / np.linalg.norm(bent, axis=1, keepdims=True)
        angle = np.unwrap(np.arctan2(np.sum(np.cross(e, normal) * tangents, axis=1), np.sum(e * normal, axis=1)))
        errors.append(abs(angle[-1] - angle[0] - helix_torsion(0.5, 4.0) * s[-1]))
    assert np.log2(np.array(errors[:-1]) / errors[1:]) == pytest.approx([4.0, 4.0], abs=0.1)


def test_rigid_motion_turns_the_frame_with_the_wire():
    _, points, tangents, _ = helix(400)
    angle = np.deg2rad(37.0)
    turn = np.array([[np.cos(angle), 0.0, np.sin(angle)], [0.0, 1.0, 0.0], [-np.sin(angle), 0.0, np.cos(angle)]])
    one, other = vectors(points, tangents) @ turn.T, vectors(points @ turn.T + [3.0, -2.0, 1.0], tangents @ turn.T)
    moved = vectors(points @ turn.T, tangents @ turn.T)
    assert np.abs(other - moved).max() < 1e-12  # shifting changes nothing
    cosine = np.sum(one * moved, axis=1)  # the start is free: one constant angle lies between the two
    assert np.ptp(cosine) < 1e-9


def test_in_a_plane_the_frame_does_not_turn():
    t = np.linspace(0.0, 5.0, 301)
    points = np.stack([np.cos(t), 0.0 * t, np.sin(t)], axis=1)
    tangents = np.stack([-np.sin(t), 0.0 * t, np.cos(t)], axis=1)
    along = vectors(points, tangents)[:, 1]
    assert np.ptp(along) < 1e-12


@pytest.mark.parametrize("gauge", [0.1, 0.5, 2.0])
def test_averaged_curvature_of_a_helix(gauge):
    """kappa sin(x)/x with x = torsion gauge/2."""
    s, points, tangents, bent = helix(6000)
    x = helix_torsion(0.5, 4.0) * gauge / 2.0
    mean = gauge_curvature(s, points, tangents, bent, gauge)
    inside = (s > gauge) & (s < s[-1] - gauge)
    assert mean[inside] == pytest.approx(helix_curvature(0.5, 4.0) * np.sin(x) / x, abs=1e-6)


def test_averaged_curvature_of_an_arc_and_at_its_end():
    t = np.linspace(0.0, 2.0, 2001)
    points = np.stack([np.cos(t), np.sin(t), 0.0 * t], axis=1)
    tangents = np.stack([-np.sin(t), np.cos(t), 0.0 * t], axis=1)
    mean = gauge_curvature(t, points, tangents, -points, 0.5)
    assert mean[1000] == pytest.approx(1.0, abs=1e-9)
    assert mean[0] == pytest.approx(0.5, abs=1e-3)  # half the gauge lies beyond the end, where the wire is straight


def test_a_bend_that_turns_back_averages_to_less():
    """Half the gauge one way and half the other: nothing is left in the middle."""
    s = np.linspace(-1.0, 1.0, 4001)
    heading = np.where(s < 0.0, s, -s)
    tangents = np.stack([np.sin(heading), 0.0 * s, np.cos(heading)], axis=1)
    points = np.concatenate([np.zeros((1, 3)), np.cumsum((tangents[1:] + tangents[:-1]) / 2.0 * 5e-4, axis=0)])
    bent = np.where(s < 0.0, 1.0, -1.0)[:, None] * np.stack([np.cos(heading), 0.0 * s, -np.sin(heading)], axis=1)
    mean = gauge_curvature(s, points, tangents, bent, 0.5)
    assert mean[2000] < 2e-3
    assert mean[1200] == pytest.approx(1.0, abs=1e-6)
