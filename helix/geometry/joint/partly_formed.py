"""The wire while it is being formed: what is done lies as in the finished joint, the rest is straight.

Unit: the wire diameter. At any time of the making one stretch of the wire, from a place on the standing
side to a place on the tag's side, has its final shape; from both its ends the wire runs on straight
along its tangent. So each state is a real curve with a continuous tangent and the length of the whole wire.
Once the tag lies on a straight leg its straight rest first lifts off it, as the stub does.
Derivation: docs/theory/forming.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from helix.geometry.maths.jets import Array, Jet
from helix.geometry.wire.curves import Curve, Line, Reversed, TransitionCurve, Vector, curve_length, derivatives, speeds
from helix.geometry.wire.path import CurvePiece, Path

HANDLE = "handle"
_SLIVER = 1e-12  # no piece is shorter [d]
LEAST_FADE = 1e-9  # a shorter bend is none [d]


@dataclass(frozen=True)
class Trimmed:
    """The part of a curve from the parameter ``start`` on, ``span`` long."""

    base: Curve
    start: float
    span: float

    @property
    def speed(self) -> float | None:
        """As the base."""
        return self.base.speed

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        return self.base.jets(u + self.start, order)


@dataclass(frozen=True)
class Arc:
    """A circular arc of radius ``radius`` from ``start`` along ``ahead``, bending towards ``inward``; u is length."""

    start: tuple[float, float, float]
    ahead: tuple[float, float, float]
    inward: tuple[float, float, float]
    radius: float
    span: float
    speed: float | None = 1.0

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        sin, cos = (Jet.variable(u, order) / self.radius).sin_cos()
        x, y, z = (
            sin * (self.radius * t) + (cos * -1.0 + 1.0) * (self.radius * n) + p
            for p, t, n in zip(self.start, self.ahead, self.inward, strict=True)
        )
        return x, y, z


@dataclass(frozen=True)
class Rising:
    """How the straight rest of the tag leaves what it lies on: it straightens over ``fade`` [d], rising by ``lift``.

    ``lift`` is the tangent of the angle; ``upward`` the direction to rise towards. fade 0: straight at once.
    """

    fade: float
    lift: float
    upward: tuple[float, float, float] = (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class Crank:
    """How the handle is bent: after ``arm`` [d] through ``angle`` [rad] at ``radius`` [d], towards ``towards``.

    Rocked, it is bent at its root as well, where it will break: through ``rocked`` [rad] at ``root_radius`` [d].
    """

    arm: float
    radius: float
    angle: float
    towards: tuple[float, float, float] = (0.0, 0.0, 1.0)
    rocked: float = 0.0
    root_radius: float = 1.0


STRAIGHT = Rising(0.0, 0.0)


@dataclass(frozen=True)
class FormedPlace:
    """A place on a path: index of the piece, parameter in it."""

    piece: int
    u: float


def partly_formed(
    path: Path,
    low: FormedPlace,
    high: FormedPlace,
    handle: float,
    rising: tuple[Rising, Rising] = (STRAIGHT, STRAIGHT),
    crank: Crank | None = None,
) -> Path:
    """Lay the wire of a finished path of which only a part is formed, and a handle.

    Parameters
    ----------
    path : Path
        The finished wire.
    low, high : FormedPlace
        Ends of what is formed, low on the standing side; the same place: all of it is straight.
    handle : float
        Length of the handle [d].
    rising : tuple of Rising
        How the straight rest leaves at low and at high.
    crank : Crank, optional
        Bend of the handle.

    Returns
    -------
    Path
        Wire as long as path and handle; every piece keeps the name of the section that it will be part of, the last
        is "handle".

    Raises
    ------
    ValueError
        Where low comes after high.

    Examples
    --------
    >>> line = Path((CurvePiece("standing", Line((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 5.0)),))
    >>> partly_formed(line, FormedPlace(0, 2.0), FormedPlace(0, 3.0), 4.0).length
    9.0
    """
    if (low.piece, low.u) > (high.piece, high.u):
        raise ValueError(f"low must not come after high; got {low}, {high}")
    first, last = path.pieces[low.piece], path.pieces[high.piece]
    names = [p.section for p in path.pieces]
    lengths = path.lengths.tolist()
    before = [(first.section, curve_length(Trimmed(first.curve, 0.0, low.u)))]
    before += list(zip(names, lengths, strict=True))[: low.piece][::-1]
    after = [(last.section, curve_length(Trimmed(last.curve, high.u, last.curve.span - high.u)))]
    after += [*zip(names, lengths, strict=True)][high.piece + 1 :]
    after.append((HANDLE, handle))
    inward = Reversed(first.curve)
    head = _labelled(_rest(inward, inward.span - low.u, before, rising[0], None), before)
    tail = _labelled(_rest(last.curve, high.u, after, rising[1], crank), after)
    pieces = (*(CurvePiece(p.section, Reversed(p.curve)) for p in head[::-1]), *_between(path, low, high), *tail)
    return Path(tuple(p for p in pieces if p.curve.span > _SLIVER))


def place_at(path: Path, s: float) -> FormedPlace:
    """Find the place at arc length ``s`` from the standing end, to 1e-11."""
    k = int(np.clip(np.searchsorted(path.starts, s, side="right") - 1, 0, len(path.pieces) - 1))
    curve, rest = path.pieces[k].curve, min(max(s - float(path.starts[k]), 0.0), float(path.lengths[k]))
    if curve.speed is not None:
        return FormedPlace(k, min(rest / curve.speed, curve.span))
    low, high = 0.0, curve.span
    u = curve.span * rest / float(path.lengths[k])
    for _ in range(40):  # Newton's steps, halvings where one would leave the bracket
        missing = rest - curve_length(Trimmed(curve, 0.0, u))
        if abs(missing) <= 1e-11:
            break
        low, high = (u, high) if missing > 0.0 else (low, u)
        u += missing / float(speeds(curve, np.array([u]))[0])
        u = u if low < u < high else (low + high) / 2.0
    return FormedPlace(k, min(max(u, 0.0), curve.span))


def _between(path: Path, low: FormedPlace, high: FormedPlace) -> list[CurvePiece]:
    laid = []
    for k in range(low.piece, high.piece + 1):
        piece = path.pieces[k]
        start = low.u if k == low.piece else 0.0
        stop = high.u if k == high.piece else piece.curve.span
        whole = start == 0.0 and stop == piece.curve.span
        curve = piece.curve if whole else Trimmed(piece.curve, start, stop - start)
        laid.append(CurvePiece(piece.section, curve))
    return laid


def _rest(
    curve: Curve, u: float, sections: Sequence[tuple[str, float]], rising: Rising, crank: Crank | None
) -> list[Curve]:
    """Lay the straight wire from a place on: first it may rise, in its last section it may be bent to a crank."""
    point, ahead = _point_and_tangent(curve, u)
    length, last = sum(n for _, n in sections), sections[-1][1]
    bend: list[Curve] = []
    if rising.fade > LEAST_FADE and length > 2.0 * rising.fade:
        lifted = _rising(curve, u, rising)
        length -= curve_length(lifted)
        bend.append(lifted)
        point, ahead = _point_and_tangent(lifted, lifted.span)
    if crank is None or (crank.angle == 0.0 and crank.rocked == 0.0):
        return [*bend, Line(_tuple(point), _tuple(ahead), length)]
    arm = length - last
    return [*bend, Line(_tuple(point), _tuple(ahead), arm), *cranked(point + arm * ahead, ahead, last, crank)]


def cranked(start: Array, ahead: Array, handle: float, crank: Crank) -> list[Curve]:
    """Lay a handle from its root on: bent there if it is rocked, then its crank.

    Parameters
    ----------
    start, ahead : array (3,)
        Its root [d], and the unit vector along which it leaves.
    handle : float
        Its length [d].
    crank : Crank
        How it is bent; not more than its length has room for.

    Returns
    -------
    list of Curve
        Lines and arcs, the last a line.
    """
    laid: list[Curve] = []
    root, turn = crank.root_radius * crank.rocked, crank.radius * crank.angle
    for straight, radius, bent in ((0.0, crank.root_radius, root), (crank.arm - root, crank.radius, turn)):
        if bent == 0.0:
            continue
        if straight > 0.0:
            laid.append(Line(_tuple(start), _tuple(ahead), straight))
            start, handle = start + straight * ahead, handle - straight
        corner = Arc(_tuple(start), _tuple(ahead), _tuple(square_to(ahead, np.asarray(crank.towards))), radius, bent)
        start, ahead = _point_and_tangent(corner, bent)
        handle -= bent
        laid.append(corner)
    return [*laid, Line(_tuple(start), _tuple(ahead), handle)]


def _rising(curve: Curve, u: float, rising: Rising) -> TransitionCurve:
    d = derivatives(curve, np.array([u]), 2)[:, 0]
    t = d[1] / np.linalg.norm(d[1])
    bent = (d[2] - t * float(d[2] @ t)) / float(d[1] @ d[1])
    curvature = float(np.linalg.norm(bent))
    b = square_to(t, np.asarray(rising.upward))
    n = bent / curvature if curvature > 0.0 else np.cross(b, t)
    rows = (_tuple(d[0]), _tuple(t), _tuple(n), _tuple(b))
    return TransitionCurve(rows, curvature, rising.lift, rising.fade, 0, rising.fade)


def square_to(t: Array, direction: Array) -> Array:
    """Compute the unit vector square to the unit vector ``t`` that lies nearest to ``direction``."""
    n = direction - t * float(direction @ t)
    return np.asarray(n / np.linalg.norm(n))


def _labelled(curves: Sequence[Curve], sections: Sequence[tuple[str, float]]) -> list[CurvePiece]:
    """Cut curves end to end where one section ends and the next begins.

    Returns
    -------
    list of CurvePiece
        The pieces; a curve that is not straight keeps one name, that of the section in which it begins.
    """
    laid: list[CurvePiece] = []
    waiting = [(name, length) for name, length in sections if length > _SLIVER]
    for curve in curves:
        left = curve_length(curve)
        if not isinstance(curve, Line):
            laid.append(CurvePiece(waiting[0][0], curve))
            while left > _SLIVER and waiting:  # take its length off the sections that it runs through
                name, length = waiting.pop(0)
                if length > left + _SLIVER:
                    waiting.insert(0, (name, length - left))
                left -= length
            continue
        at, span = 0.0, curve.span
        while span - at > _SLIVER and waiting:
            name, length = waiting.pop(0)
            taken = min(length, span - at)
            if length - taken > _SLIVER:
                waiting.insert(0, (name, length - taken))
            start = np.asarray(curve.start) + at * np.asarray(curve.direction)
            laid.append(CurvePiece(name, replace(curve, start=_tuple(start), span=taken)))
            at += taken
    return laid


def _point_and_tangent(curve: Curve, u: float) -> tuple[Array, Array]:
    d = derivatives(curve, np.array([u]), 1)[:, 0]
    return d[0], d[1] / np.linalg.norm(d[1])


def _tuple(v: Array) -> tuple[float, float, float]:
    return float(v[0]), float(v[1]), float(v[2])
