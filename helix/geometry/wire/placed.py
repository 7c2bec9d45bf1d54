"""A curve or a path moved, turned and scaled as one rigid shape: how two wires are brought together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import OfBase, Vector, speeds
from helix.geometry.wire.path import CurvePiece, Path

Rows = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


@dataclass(frozen=True)
class Pose:
    """Where a shape stands: each point p of it is at scale * turn p + shift.

    ``turn`` are the rows of a rotation (3, 3); ``shift`` (3,) and ``scale`` are in the unit of the place it is brought to.
    """

    turn: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    scale: float = 1.0

    def points(self, points: Array) -> Array:
        """Bring points (n, 3) there."""
        return np.asarray(self.scale * points @ np.array(self.turn).T + self.shift)

    def directions(self, vectors: Array) -> Array:
        """Turn unit vectors (n, 3) with the shape."""
        return np.asarray(vectors @ np.array(self.turn).T)

    def swung(self, angle_rad: float, height: float) -> Pose:
        """Turn the shape further about the line along y through the point (0, 0, height).

        Parameters
        ----------
        angle_rad : float
            From z towards x [rad].
        height : float
            Of the line, in the unit of the shift.

        Returns
        -------
        Pose
            After the turn.
        """
        cos, sin = np.cos(angle_rad), np.sin(angle_rad)
        further = np.array([[cos, 0.0, sin], [0.0, 1.0, 0.0], [-sin, 0.0, cos]])
        centre = np.array([0.0, 0.0, height])
        return pose(further @ np.array(self.turn), further @ (self.shift - centre) + centre, self.scale)


def pose(turn: Array, shift: Array, scale: float) -> Pose:
    """Make a pose from arrays.

    Parameters
    ----------
    turn : array
        Rows of a rotation (3, 3).
    shift : array
        (3,).
    scale : float
        Above 0.

    Returns
    -------
    Pose
        The same as a value.
    """
    first, second, third = ((float(x), float(y), float(z)) for x, y, z in turn)
    x, y, z = (float(value) for value in shift)
    return Pose((first, second, third), (x, y, z), scale)


@dataclass(frozen=True)
class Placed(OfBase):
    """The same curve in a pose; its parameter stays."""

    at: Pose

    @property
    def speed(self) -> float | None:
        """The base's, scaled."""
        return None if self.base.speed is None else self.base.speed * self.at.scale

    def speeds(self, u: Array) -> Array:
        """Compute |dr/du| at ``u`` (n,)."""
        return speeds(self.base, u) * self.at.scale

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        x, y, z = (jet * self.at.scale for jet in self.base.jets(u, order))
        a, b, c = (
            x * row[0] + y * row[1] + z * row[2] + way for row, way in zip(self.at.turn, self.at.shift, strict=True)
        )
        return a, b, c


def placed_path(path: Path, at: Pose) -> Path:
    """Bring a path to a pose.

    Parameters
    ----------
    path : Path
        Any wire.
    at : Pose
        Where it is wanted.

    Returns
    -------
    Path
        The same pieces, in the same order, with their names.
    """
    return Path(tuple(CurvePiece(piece.section, Placed(piece.curve, at)) for piece in path.pieces))
