"""The wire's surface.

Map of what must hold:
  a straight rod encloses pi d^2/4 x length exactly, whatever the number of sides
  along any curve the volume tends to that at second order in the step (Weyl's tube law)
  the mesh is closed, faces outward, is one piece without handles
  every vertex of a ring lies at one distance from its centre, square to the wire
  the frame turns as one carried step by step does (the method's own definition)
"""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from helix.output.surface.tube import Tube, rotation_minimising_frame, tube, volume
from helix.studies.shape.shape import ShapeResult


def helix_line(n: int, a: float = 1.0, h: float = 0.3, turns: float = 2.0) -> tuple[np.ndarray, np.ndarray]:
    t = np.linspace(0.0, 2 * np.pi * turns, n)
    points = np.stack((a * np.cos(t), a * np.sin(t), h * t), axis=1)
    tangents = np.stack((-a * np.sin(t), a * np.cos(t), np.full(n, h)), axis=1) / np.hypot(a, h)
    return points, tangents


def as_trimesh(mesh: Tube) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.vertices, mesh.faces, process=False)


@pytest.mark.parametrize("sides", [3, 6, 24, 101])
def test_rod_encloses_the_volume_of_the_cylinder(sides: int) -> None:
    mesh = tube([[0, 0, 0], [0, 0, 1], [0, 0, 3]], [[0, 0, 1]] * 3, 0.8, sides=sides)
    assert volume(mesh) == pytest.approx(np.pi * 0.8**2 / 4 * 3, rel=1e-13)


def test_volume_tends_to_section_times_length_at_second_order() -> None:
    length = np.hypot(1.0, 0.3) * 4 * np.pi
    exact = np.pi * 0.9**2 / 4 * length
    errors = []
    for n in (101, 201, 401):
        points, tangents = helix_line(n)
        errors.append(volume(tube(points, tangents, 0.9, sides=16)) / exact - 1)
    ratios = np.array(errors[:-1]) / np.array(errors[1:])
    assert abs(errors[-1]) < 1e-3
    assert np.allclose(ratios, 4.0, atol=0.1)


def test_volume_of_a_whole_joint(good: ShapeResult) -> None:
    d = good.recipe.wire.diameter_mm
    errors = []
    for step in (0.1, 0.05):
        line = good.joint.sample(step)
        exact = np.pi * d**2 / 4 * (line.s_mm[-1] - line.s_mm[0])
        errors.append(abs(volume(tube(line.points_mm, line.tangents, d)) / exact - 1))
    assert errors[1] < 1e-4
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.1)


def test_mesh_is_closed_outward_and_of_one_piece(good: ShapeResult) -> None:
    line = good.joint.sample(0.1)
    mesh = as_trimesh(tube(line.points_mm, line.tangents, good.recipe.wire.diameter_mm, sides=12))
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume > 0
    assert mesh.euler_number == 2
    assert mesh.body_count == 1


def test_rings_are_round_and_square_to_the_wire() -> None:
    points, tangents = helix_line(60)
    mesh = tube(points, tangents, 1.0, sides=10)
    rings = mesh.vertices[:-2].reshape(60, 10, 3) - points[:, None]
    assert np.allclose(np.linalg.norm(rings, axis=2), np.linalg.norm(rings[0, 0]), rtol=1e-13)
    assert np.abs(np.einsum("nks,ns->nk", rings, tangents)).max() < 1e-13
    assert np.allclose(mesh.normals[:-2].reshape(60, 10, 3), rings / np.linalg.norm(rings[0, 0]), atol=1e-12)
    assert np.array_equal(mesh.vertices[-2:], points[[0, -1]])


def test_labels_are_carried_to_the_vertices() -> None:
    points, tangents = helix_line(5)
    mesh = tube(points, tangents, 1.0, sides=4, section=[0, 0, 1, 2, 2], scalar=[0.0, 1.0, 2.0, 3.0, 4.0])
    assert mesh.section.tolist() == [0] * 8 + [1] * 4 + [2] * 8 + [0, 2]
    assert mesh.scalar.tolist() == [float(k) for k in range(5) for _ in range(4)] + [0.0, 4.0]


def test_frame_turns_as_one_carried_step_by_step() -> None:
    rng = np.random.default_rng(5)
    knots = np.cumsum(rng.normal(size=(9, 3)), axis=0)
    t = np.linspace(0, 1, 400)
    points = np.stack([np.polynomial.Polynomial.fit(np.linspace(0, 1, 9), knots[:, k], 7)(t) for k in range(3)], 1)
    tangents = np.gradient(points, axis=0)
    tangents /= np.linalg.norm(tangents, axis=1)[:, None]
    u, v = rotation_minimising_frame(points, tangents)
    r = u[0]
    for k in range(len(points) - 1):
        step = points[k + 1] - points[k]
        mirrored = r - 2 * (step @ r) / (step @ step) * step
        ahead = tangents[k] - 2 * (step @ tangents[k]) / (step @ step) * step
        second = tangents[k + 1] - ahead
        r = mirrored - 2 * (second @ mirrored) / (second @ second) * second
        assert np.allclose(u[k + 1], r, atol=1e-10)
    assert np.allclose(np.cross(tangents, u), v, atol=1e-14)


@pytest.mark.parametrize(
    ("points", "diameter", "sides"),
    [([[0, 0, 0]], 1.0, 8), ([[0, 0, 0], [0, 0, 1]], 0.0, 8), ([[0, 0, 0], [0, 0, 1]], 1.0, 2)],
)
def test_what_makes_no_tube_is_refused(points: list[list[float]], diameter: float, sides: int) -> None:
    with pytest.raises(ValueError, match=r"must have 2 points, 3 sides and a diameter > 0"):
        tube(points, [[0, 0, 1]] * len(points), diameter, sides=sides)
