"""The wire's surface: a round section swept along a centre line, as plain arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from helix.geometry.frames import frame_angles

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Tube:
    """A closed triangle mesh of the wire, with what each vertex belongs to.

    vertices (v, 3) and normals (v, 3) in the unit of the points; faces (f, 3) vertex numbers, outward
    by the right-hand rule; section (v,) and scalar (v,) copied from the nearest point of the centre line.
    """

    vertices: Floats
    faces: Ints
    normals: Floats
    section: Ints
    scalar: Floats


def rotation_minimising_frame(points: ArrayLike, tangents: ArrayLike) -> tuple[Floats, Floats]:
    """Two unit normals (n, 3) that turn as little as possible along points (n, 3) with tangents (n, 3).

    Neighbouring points must differ. Source and order: helix.geometry.frames.frame_angles.

    >>> u, v = rotation_minimising_frame([[0, 0, 0], [0, 0, 1]], [[0, 0, 1], [0, 0, 1]])
    >>> bool(np.allclose(u[0], u[1]))
    True
    """
    x, t = np.asarray(points, dtype=float), np.asarray(tangents, dtype=float)
    own, beside, angle = frame_angles(x, t)
    u = np.cos(angle)[:, None] * own + np.sin(angle)[:, None] * beside
    return u, np.cross(t, u)


def tube(
    points: ArrayLike,
    tangents: ArrayLike,
    diameter: float,
    *,
    sides: int = 24,
    section: ArrayLike | None = None,
    scalar: ArrayLike | None = None,
) -> Tube:
    """Sweep a round section of one diameter along points (n, 3) with unit tangents (n, 3); both ends closed.

    The section is a regular polygon with the *area* of the circle, so that volume = pi d^2/4 x length in
    the limit of short steps, whatever the number of sides. Raises ValueError for fewer than 2 points or
    3 sides, or a diameter that is not positive.

    >>> rod = tube([[0, 0, 0], [0, 0, 2]], [[0, 0, 1], [0, 0, 1]], 1.0, sides=6)
    >>> rod.vertices.shape, rod.faces.shape
    ((14, 3), (24, 3))
    >>> round(volume(rod), 12) == round(2 * np.pi / 4, 12)
    True
    """
    x = np.asarray(points, dtype=float)
    t = np.asarray(tangents, dtype=float)
    if len(x) < 2 or sides < 3 or not diameter > 0:
        raise ValueError(
            f"tube must have 2 points, 3 sides and a diameter > 0; got {len(x)}, {sides}, {diameter}"
        )
    n = len(x)
    u, v = rotation_minimising_frame(x, t)
    turn = 2 * np.pi * np.arange(sides) / sides
    radius = diameter / 2 * np.sqrt((2 * np.pi / sides) / np.sin(2 * np.pi / sides))
    outward = np.cos(turn)[None, :, None] * u[:, None, :] + np.sin(turn)[None, :, None] * v[:, None, :]
    rings = x[:, None, :] + radius * outward
    vertices = np.concatenate((rings.reshape(-1, 3), x[:1], x[-1:]))
    normals = np.concatenate((outward.reshape(-1, 3), -t[:1], t[-1:]))
    return Tube(
        vertices,
        _faces(n, sides),
        normals,
        _per_vertex(section, n, sides, np.int64),
        _per_vertex(scalar, n, sides, np.float64),
    )


def volume(mesh: Tube) -> float:
    """Volume enclosed by the mesh, in the cube of its unit (divergence theorem; outward faces)."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    return float(np.sum(_dot(a, np.cross(b, c))) / 6)


def _faces(n: int, sides: int) -> Ints:
    ring = np.arange(sides)
    after = (ring + 1) % sides
    first = (np.arange(n - 1) * sides)[:, None]
    a, b, c, d = first + ring, first + after, first + sides + after, first + sides + ring
    wall = np.stack((np.stack((a, b, c), -1), np.stack((a, c, d), -1)), 2).reshape(-1, 3)
    tail, head = np.full(sides, n * sides), np.full(sides, n * sides + 1)
    last = (n - 1) * sides
    start_cap = np.stack((tail, after, ring), -1)
    end_cap = np.stack((head, last + ring, last + after), -1)
    return np.concatenate((wall, start_cap, end_cap)).astype(np.int64)


def _per_vertex(values: ArrayLike | None, n: int, sides: int, kind: type) -> NDArray:
    given: NDArray = np.zeros(n, kind) if values is None else np.asarray(values, kind)
    return np.concatenate((np.repeat(given, sides), given[:1], given[-1:]))


def _dot(a: Floats, b: Floats) -> Floats:
    return np.einsum("ij,ij->i", a, b)
