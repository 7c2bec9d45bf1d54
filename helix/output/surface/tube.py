"""The wire's surface: a round section swept along a centre line, as plain arrays."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from helix.geometry.wire.frames import minimal_frame

Floats = NDArray[np.float64]
Ints = NDArray[np.int32] | NDArray[np.int64]


@dataclass(frozen=True)
class Tube:
    """A closed triangle mesh of the wire, with what each vertex belongs to.

    vertices (v, 3) in the unit of the points: ring after ring of ``sides`` vertices, then the middles of
    the two ends; faces (f, 3) vertex numbers, outward by the right-hand rule; section (v,) and scalar
    (v,) copied from the vertex's own point of the centre line.
    """

    vertices: Floats
    faces: Ints
    section: Ints
    scalar: Floats
    sides: int

    @property
    def rings(self) -> Floats:
        """The vertices without the middles of the ends, (n, sides, 3)."""
        return self.vertices[:-2].reshape(-1, self.sides, 3)

    @property
    def normals(self) -> Floats:
        """Unit normals (v, 3): straight out from the wire's middle, and along the wire at the ends."""
        rings = self.rings
        out = rings - rings.mean(axis=1, keepdims=True)
        out /= np.linalg.norm(out, axis=2, keepdims=True)
        ends = np.cross(out[[0, -1], 0], out[[0, -1], 1]) * [[-1.0], [1.0]]
        ends /= np.linalg.norm(ends, axis=1, keepdims=True)
        return np.concatenate((out.reshape(-1, 3), ends))


def rotation_minimising_frame(points: ArrayLike, tangents: ArrayLike) -> tuple[Floats, Floats]:
    """Two unit normals (n, 3) that turn as little as possible along points (n, 3) with tangents (n, 3).

    Source and order: helix.geometry.wire.frames.frame_angles.

    >>> u, v = rotation_minimising_frame([[0, 0, 0], [0, 0, 1]], [[0, 0, 1], [0, 0, 1]])
    >>> bool(np.allclose(u[0], u[1]))
    True
    """
    x, t = np.asarray(points, dtype=float), np.asarray(tangents, dtype=float)
    return minimal_frame(x, t)


def tube(
    points: ArrayLike,
    tangents: ArrayLike,
    diameter: float,
    *,
    sides: int = 24,
    section: ArrayLike | None = None,
    scalar: ArrayLike | None = None,
    widening: ArrayLike | None = None,
) -> Tube:
    """Sweep a round section of one diameter along points (n, 3) with unit tangents (n, 3); both ends closed.

    The section is a regular polygon with the *area* of the circle, so that volume = pi d^2/4 x length in
    the limit of short steps, whatever the number of sides. widening (n,): factor on the radius of each
    ring, see :func:`even_volume`. Raises ValueError for fewer than 2 points or 3 sides, or a diameter
    that is not positive.

    >>> rod = tube([[0, 0, 0], [0, 0, 2]], [[0, 0, 1], [0, 0, 1]], 1.0, sides=6)
    >>> rod.vertices.shape, rod.faces.shape
    ((14, 3), (24, 3))
    >>> round(volume(rod), 12) == round(2 * np.pi / 4, 12)
    True
    """
    x = np.asarray(points, dtype=float)
    t = np.asarray(tangents, dtype=float)
    if len(x) < 2 or sides < 3 or not diameter > 0:
        raise ValueError(f"tube must have 2 points, 3 sides and a diameter > 0; got {len(x)}, {sides}, {diameter}")
    n = len(x)
    u, v = minimal_frame(x, t)
    if widening is not None:
        wider = np.asarray(widening, dtype=float)[:, None]
        u, v = u * wider, v * wider
    turn = 2 * np.pi * np.arange(sides) / sides
    radius = corner_radius(diameter, sides)
    cos, sin = radius * np.cos(turn), radius * np.sin(turn)
    vertices = np.empty((n * sides + 2, 3))
    rings = vertices[:-2].reshape(n, sides, 3)
    # one coordinate at a time through two small buffers: memory that is touched anew costs most here
    along, beside = np.empty((n, sides)), np.empty((n, sides))
    for k in range(3):
        np.multiply(u[:, k, None], cos, out=along)
        np.multiply(v[:, k, None], sin, out=beside)
        along += beside
        np.add(along, x[:, k, None], out=rings[:, :, k])
    vertices[-2:] = x[[0, -1]]
    return Tube(
        vertices,
        _faces(n, sides),
        _per_vertex(section, n, sides, np.int64),
        _per_vertex(scalar, n, sides, np.float64),
        sides,
    )


def closed_tube(rings: Floats, ends: Floats, section: ArrayLike, scalar: ArrayLike) -> Tube:
    """A tube of given rings (n, sides, 3), closed by the middles of its first and last one, ends (2, 3)."""
    n, sides = rings.shape[:2]
    return Tube(
        np.concatenate((rings.reshape(-1, 3), ends)),
        _faces(n, sides),
        _per_vertex(section, n, sides, np.int64),
        _per_vertex(scalar, n, sides, np.float64),
        sides,
    )


def corner_radius(diameter: float, sides: int) -> float:
    """Distance of the corners from the middle of a regular polygon with the area of a circle.

    >>> round(corner_radius(2.0, 24), 6)
    1.005741
    """
    turn = 2 * np.pi / sides
    return float(diameter / 2 * np.sqrt(turn / np.sin(turn)))


def even_volume(points: ArrayLike, tangents: ArrayLike) -> Floats:
    """Widening (n,) of each ring that makes up for the corners which straight facets cut off a bend.

    Between two rings square to an arc of angle theta, flat facets enclose sin(theta)/theta of the arc's
    volume, whatever the section (Pappus; docs/theory/tube.md). Each step's share goes to its two rings by
    length. With this the volume of a tube tends to section times length at fourth order in the spacing
    of the rings instead of second. points (n, 3), tangents (n, 3) unit.

    >>> bool(np.all(even_volume([[0, 0, 0], [0, 0, 2]], [[0, 0, 1], [0, 0, 1]]) == 1.0))
    True
    """
    x, t = np.asarray(points, dtype=float).T, np.asarray(tangents, dtype=float).T
    step, turn = x[:, 1:] - x[:, :-1], t[:, 1:] - t[:, :-1]
    long = np.sqrt(step[0] ** 2 + step[1] ** 2 + step[2] ** 2)
    square = np.minimum(turn[0] ** 2 + turn[1] ** 2 + turn[2] ** 2, 1.0)  # 4 sin^2(theta/2)
    # theta/sin(theta) less 1, up to square^3/140
    wanted = long * (square / 6.0 + square**2 / 30.0)
    share, both = np.zeros(x.shape[1]), np.zeros(x.shape[1])
    for total, part in ((share, wanted), (both, long)):
        total[1:], total[0] = part, 0.0
        total[:-1] += part
    return np.sqrt(1.0 + share / both)


def volume(mesh: Tube) -> float:
    """Volume enclosed by the mesh, in the cube of its unit (divergence theorem; outward faces)."""
    columns, corners = np.ascontiguousarray(mesh.vertices.T), np.ascontiguousarray(mesh.faces.T)
    x, y, z = (column.take(corners) for column in columns)  # (3, f) each
    across = y[1] * z[2] - z[1] * y[2], z[1] * x[2] - x[1] * z[2], x[1] * y[2] - y[1] * x[2]
    return float(sum((own[0] * area).sum() for own, area in zip((x, y, z), across, strict=True)) / 6)


@functools.lru_cache(maxsize=4)
def _faces(n: int, sides: int) -> Ints:
    """The wall from ring to ring, then a fan at each end; read only, for every tube with so many rings.

    The quads of the wall are cut along one diagonal and, in the next step along the wire, along the other:
    on a wire that winds, the volumes that the two ways gain and lose make up for each other.
    """
    ring = np.arange(sides, dtype=np.int32)
    after = np.roll(ring, -1)
    one = np.stack((ring, after, sides + after, ring, sides + after, sides + ring), -1).ravel()
    other = np.stack((ring, after, sides + ring, after, sides + after, sides + ring), -1).ravel()
    count = 2 * sides * (n - 1)
    faces = np.empty((count + 2 * sides, 3), dtype=np.int32)
    wall = faces[:count].reshape(n - 1, -1)
    first = np.arange(n - 1, dtype=np.int32)[:, None] * sides
    np.add(first[::2], one, out=wall[::2])
    np.add(first[1::2], other, out=wall[1::2])
    tail, head, last = n * sides, n * sides + 1, (n - 1) * sides
    faces[count : count + sides] = np.stack((np.full_like(ring, tail), after, ring), -1)
    faces[count + sides :] = np.stack((np.full_like(ring, head), last + ring, last + after), -1)
    faces.flags.writeable = False
    return faces


def _per_vertex(values: ArrayLike | None, n: int, sides: int, kind: type) -> NDArray[Any]:
    if values is None:
        return np.broadcast_to(np.zeros((), kind), (n * sides + 2,))
    given: NDArray[Any] = np.asarray(values, kind)
    return np.concatenate((np.repeat(given, sides), given[:1], given[-1:]))
