"""Two eyes linked, or an eye on a ring: where they touch when they are pulled, and how far they may move.

Unit: the mean of the two wires' diameters, at which their centre lines touch. The first hangs from above: its load runs
along +z, its bight is lowest; the second is the same upside down and turned by a quarter turn, so that the bights cross.
The centres of the eyes stand on one line, the line of pull. Everything is found on the curves themselves by the
clearance search. Derivation: docs/theory/linked-eyes.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from typing import Final

import numpy as np

from helix.geometry.joint.eye import EyeShape
from helix.geometry.maths.jets import Array
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.wire.distance import STEP, Nearest, nearest
from helix.geometry.wire.path import CurvePiece, Path
from helix.geometry.wire.placed import Pose, Rows, placed_path
from helix.geometry.wire.planar import PlanarPiece

_OVER: Final[Rows] = ((0.0, 1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))  # upside down, a quarter turn; undoes itself
_PARTS: Final = (0.02, 0.002, 0.0002, 0.1, 0.3, 0.5, 0.7, 0.0)  # of the room, at which a gap is looked for
_FOUND: Final = 1e-13  # how closely a distance is found
_MET: Final = 1e-6  # how closely an angle is found [rad]
_STEP: Final = 0.5  # half a wire: no step as short passes one
_GAPS: Final = 20.0  # so many gaps on at once, where the gap closes slowly
_SAMPLES: Final = 2000  # of both wires at the first look of an exact search, and their largest distance
_COARSEST: Final = 0.3
_ROUND: Final = "eye"  # name of the pieces that a bight may slide along
_LOOP: Final = ("eye", "entry_tag", "entry_standing")  # what a bight in the hole can meet
_COARSE: Final = 0.4  # spacing of the samples that say whether wires are near at all
_MOST: Final = 1500  # of them along one wire


class NoRoomError(ValueError):
    """The wires overlap wherever the other bight is put in the hole."""


@dataclass(frozen=True)
class LinkEnd:
    """One of the two that are linked: an eye with its joint, or a ring.

    ``path`` in its own wire's diameters: load along +z, bight lowest, the pieces of the eye named "eye". ``diameter``:
    of its wire, in mean diameters. ``centre``: x and z of the middle of the eye's round part, ``radius`` of its centre
    line, ``hole``: length of the hole along z, all in own diameters. ``round_rad``: from the bight to the end of the
    round part; pi for a ring.
    """

    path: Path
    diameter: float
    centre: tuple[float, float]
    radius: float
    hole: float
    round_rad: float

    @property
    def depth(self) -> float:
        """How far the bight's centre line lies below the origin."""
        return (self.radius - self.centre[1]) * self.diameter

    @property
    def above(self) -> Pose:
        """Where it stands as the first of the two."""
        return Pose(shift=(-self.centre[0] * self.diameter, 0.0, 0.0), scale=self.diameter)

    def below(self, apart: float) -> Pose:
        """Where it stands as the second, its origin so far below that of the first."""
        return Pose(_OVER, (0.0, -self.centre[0] * self.diameter, -apart), self.diameter)


@dataclass(frozen=True)
class LinkedEyes:
    """Two ends that are linked, in mean diameters.

    ``pulled``: from origin to origin when pulled apart, the bights touching; ``pushed``: when pushed together until a
    bight meets the other's throat. ``points`` (2, 3): the two centre lines' places of touch when pulled; ``gap``: what is
    left between the wires there; ``bound``: how far the search can be trusted.
    """

    first: LinkEnd
    second: LinkEnd
    pulled: float
    pushed: float
    points: Array
    gap: float
    bound: float

    @property
    def play(self) -> float:
        """How far the two can move along the line of pull."""
        return self.pulled - self.pushed


def eye_end(path: Path, eye: EyeShape, half_rad: float, diameter: float) -> LinkEnd:
    """Make an end of a joint's eye.

    Parameters
    ----------
    path : Path
        The joint's wire, or what of it can be met [own diameters].
    eye : EyeShape
        Its eye.
    half_rad : float
        Half the angle between the eye legs [rad].
    diameter : float
        Of its wire [mean diameters].

    Returns
    -------
    LinkEnd
        With the eye's round part as its bight.
    """
    arc = next(piece for piece in eye.eye if len(piece.theta) == 2 and piece.theta[1] != 0.0)
    across = arc.x0 - eye.arc_radius * np.cos(arc.theta[0])
    up = eye.bottom + eye.arc_radius
    hole = eye.apex - eye.bottom - 0.5
    return LinkEnd(path, diameter, (float(across), up), eye.arc_radius, hole, np.pi / 2.0 + half_rad)


def ring_end(inside: float, diameter: float) -> LinkEnd:
    """Make an end of a closed ring; its origin is the far side of its centre line, where it is hung.

    Parameters
    ----------
    inside : float
        Its inside diameter, above 0 [diameters of its bar].
    diameter : float
        Of its bar [mean diameters].

    Returns
    -------
    LinkEnd
        Round all the way.
    """
    radius = (inside + 1.0) / 2.0
    circle = PlanarPiece((0.0, -1.0 / radius), (0.0,), radius, -radius, 2.0 * np.pi * radius)
    return LinkEnd(Path((CurvePiece(_ROUND, circle),)), diameter, (0.0, -radius), radius, inside, np.pi)


def gap_between(first: Sequence[Path], second: Sequence[Path]) -> Nearest:
    """Find the least gap between two wires, whatever either does with itself [mean diameters].

    Parameters
    ----------
    first, second : sequence of Path
        Unbroken lengths of each, in mean diameters.

    Returns
    -------
    Nearest
        As of all clearance; its gap is the distance of centre lines less 1.
    """
    both = [*first, *second]
    step = min(max(STEP, sum(path.length for path in both) / _SAMPLES), _COARSEST)  # large eyes are gentle
    return nearest(both, step, across=[0] * len(first) + [1] * len(second))


@lru_cache(maxsize=32)
def link(first: LinkEnd, second: LinkEnd, overlap: float = 0.0) -> LinkedEyes:
    """Pull two linked ends apart until they touch, and push them together until they do.

    Parameters
    ----------
    first, second : LinkEnd
        Their diameters' mean is 1.
    overlap : float, optional
        As much of it is none, where they fit with no room to move.

    Returns
    -------
    LinkedEyes
        Distances, and the place of touch.

    Raises
    ------
    NoRoomError
        Where they overlap wherever they stand.

    Notes
    -----
    Of even eyes in one line ``pulled`` is the sum of both depths less 1. Derivation: docs/theory/linked-eyes.md.
    """
    one, other = (_Sampled.of(end, _LOOP) for end in (first, second))

    @cache
    def near(apart: float) -> Nearest:
        return gap_between(one.placed(first.above), other.placed(second.below(apart)))

    def gap(apart: float, exact: bool = True) -> float:
        return near(apart).gap if exact else _gap(one, first.above, other, second.below(apart), exact)

    outer = first.depth + second.depth - 1.0
    room = min(first.hole * first.diameter - second.diameter, second.hole * second.diameter - first.diameter)
    if room <= 0.0:
        raise NoRoomError(f"the hole leaves {room}")
    tried: dict[float, float] = {}
    for part in _PARTS:
        inner = outer - part * room
        tried[inner] = gap(inner)
        if tried[inner] > 0.0:
            break
    inner = max(tried, key=lambda apart: tried[apart])
    if tried[inner] < -overlap:
        raise NoRoomError(f"the wires overlap by {-tried[inner]}")
    if tried[inner] <= 0.0:  # it fits exactly: there is no room to move
        pulled = pushed = inner
    else:
        pulled = outer if abs(gap(outer)) <= _FOUND else bracketed_root(gap, inner, outer + 0.5, _FOUND)
        pushed = _until_met(gap, inner, tried[inner])
    at = near(pulled)
    return LinkedEyes(first, second, pulled, pushed, at.points, at.gap, at.bound)


_FARTHEST = 1e5  # longer than any eye that is linked [d]


def _until_met(gap: Callable[..., float], start: float, free: float) -> float:
    """Move on from a distance with a gap to where it closes.

    Returns
    -------
    float
        The distance there.

    Raises
    ------
    NoRoomError
        Where none is met.

    Notes
    -----
    A step is as long as the gap, or half a diameter, which no wire is passed in; or to where a gap that closes slowly will
    have closed, at most so many gaps on: in the hole there is nothing but the throat to meet.
    """
    at, left, step, near = start, free, free, False
    while True:
        before, was_near = at, near
        at -= step
        if start - at > _FARTHEST:
            raise NoRoomError("no wire is met on the way together")
        rough = gap(at, False)
        near = rough <= 0.5 * _COARSE
        now = gap(at) if near else rough
        if now <= 0.0:
            return bracketed_root(gap, at, before, _FOUND) if now < 0.0 else at
        closing = (left - now) / step if near and was_near else 1.0
        step = max(now, _STEP, min(1.1 / closing, _GAPS) * now if closing > 0.0 else 0.0)
        left = now


def swing(linked: LinkedEyes) -> tuple[float, bool]:
    """Swing the second round the eye of the first, its bight sliding along, until it leaves the round or a wire meets another.

    Parameters
    ----------
    linked : LinkedEyes
        Pulled tight.

    Returns
    -------
    tuple of float and bool
        The angle to the line of pull, to either side [rad], and whether a wire is met before the bight has come to the end
        of the round part.
    """
    first, second = linked.first, linked.second
    height, start = first.centre[1] * first.diameter, second.below(linked.pulled)
    rest = tuple(piece.section for piece in first.path.pieces if piece.section != _ROUND)
    own = tuple(piece.section for piece in second.path.pieces if piece.section != _ROUND)
    # what the bights do along each other is no meeting: a bight against all but the other's eye, and the rest against all
    pairs = [
        (_Sampled.of(first, some), _Sampled.of(second, others))
        for some, others in ((rest, (_ROUND, *own)), ((_ROUND,), own))
        if some and others
    ]

    def gap(angle: float) -> float:
        there = start.swung(angle, height)
        return min(_gap(one, first.above, other, there) for one, other in pairs)

    if not pairs:
        return first.round_rad, False  # two rings
    reached, met = first.round_rad, False
    for side in (1.0, -1.0):
        free = angle = 0.0
        while True:
            there = start.swung(side * angle, height)
            freely, half_wire = (
                min(turns)
                for turns in zip(*(_turns(one, first.above, other, there, height) for one, other in pairs), strict=True)
            )
            if freely < 0.0 and gap(side * angle) < 0.0:
                met = True
                reached = _meeting(gap, side, free, angle) if angle else 0.0
            if angle >= reached:
                break
            free, angle = angle, min(angle + max(freely, half_wire), reached)
    return reached, met


def _meeting(gap: Callable[[float], float], side: float, free: float, met: float) -> float:
    """Find the angle between one that is free and one where wires overlap."""
    return bracketed_root(lambda angle: gap(side * angle), free, met, _MET)


@dataclass(frozen=True)
class _Sampled:
    """Unbroken lengths of a wire, with samples so close that whatever touches it lies within ``step`` of one."""

    runs: tuple[Path, ...]
    points: Array
    step: float

    @classmethod
    def of(cls, end: LinkEnd, sections: Sequence[str]) -> _Sampled:
        """Sample some sections of an end in its own unit."""
        runs = tuple(
            Path(tuple(run)) for kept, run in groupby(end.path.pieces, lambda piece: piece.section in sections) if kept
        )
        step = max(_COARSE / end.diameter, sum(run.length for run in runs) / _MOST)
        return cls(runs, np.concatenate([run.sample(step).points for run in runs]), step)

    def placed(self, at: Pose) -> list[Path]:
        """Bring its lengths to a pose."""
        return [placed_path(run, at) for run in self.runs]


def _gap(one: _Sampled, at: Pose, other: _Sampled, there: Pose, exact: bool = True) -> float:
    """Compute the gap between two wires in their poses; not exact: no more than that, from samples."""
    if exact:
        return gap_between(one.placed(at), other.placed(there)).gap
    return float(_gaps(one, at, other, there).min())


def _gaps(one: _Sampled, at: Pose, other: _Sampled, there: Pose) -> Array:
    """Compute for each pair of samples (n, m) what gap there is at the least near them."""
    a, b = at.points(one.points), there.points(other.points)
    square = np.sum(a**2, axis=1)[:, None] + np.sum(b**2, axis=1) - 2.0 * a @ b.T
    slack = 0.5 * (one.step * at.scale + other.step * there.scale)
    return np.asarray(np.sqrt(np.maximum(square, 0.0)) - 1.0 - slack)


def _turns(one: _Sampled, at: Pose, other: _Sampled, there: Pose, height: float) -> tuple[float, float]:
    """Compute two angles by which the other may be swung on: surely, as no place moves further than its gap; by half a wire."""
    away = np.linalg.norm(there.points(other.points) - [0.0, 0.0, height], axis=1) + 1.0
    freely = _gaps(one, at, other, there) / away
    _, nearest_place = np.unravel_index(int(freely.argmin()), freely.shape)
    return float(freely.min()), float(_STEP / away[nearest_place])


def swapped(linked: LinkedEyes) -> LinkedEyes:
    """Look at the same two from the other's side.

    Parameters
    ----------
    linked : LinkedEyes
        Two ends.

    Returns
    -------
    LinkedEyes
        The second first; distances stay, the places of touch are given where the second stands above.
    """
    turned = Pose(_OVER, (0.0, 0.0, -linked.pulled)).points(linked.points)[::-1]
    return LinkedEyes(linked.second, linked.first, linked.pulled, linked.pushed, turned, linked.gap, linked.bound)
