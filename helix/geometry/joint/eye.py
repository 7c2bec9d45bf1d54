"""Entry bends and eye: from the tag's throat round the pin to the standing leg's throat.

Unit: the wire diameter. Seen along the pin (the y axis) the wire is a planar curve of prescribed
curvature: straight at the twist's own angle while the twist's curvature fades out of the plane, then
the entry bend (if the throat is not tangent), a straight leg, a ramp, the arc in touch with the pin,
and the same back. The out-of-plane offset y runs from the tag's side to the standing leg's side and
is a piecewise polynomial. So the throat angle is exact as seen along the pin, the arc touches the
pin exactly, and closing the eye is a linear problem in the two leg lengths.

Everything is C2: the planar curvature and y'' are continuous. Derivation: docs/theory/eye.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np

from helix.geometry.maths.coefficients import Coefficients, added, derivative, integral, substituted, times, value
from helix.geometry.maths.jets import Array
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.wire.planar import PlanarPiece

FADE = 0.75  # length over which the twist's curvature fades into the eye leg [d]
KINK = float(np.deg2rad(20.0))  # turn given to a stated entry radius where the throat is tangent [rad]
RAMP = 1.0  # length of each curvature ramp between eye leg and arc [d]
SPREAD = 4.0  # length over which the leg's side slope is taken out again [d]

_FADE_SHAPE = (1.0, -3.0, 3.0, -1.0)  # (1 - t)^3: steep at first, so the legs never press
_FALL_SHAPE = (1.0, 0.0, -3.0, 2.0)
_RISE_SHAPE = (0.0, 0.0, 3.0, -2.0)
_SPREAD_SHAPE = (0.0, 0.0, 60.0, -180.0, 180.0, -60.0)  # bump of unit area


class EyeCannotClose(ValueError):
    """The legs cannot reach the throat at that angle round that pin.

    ``least_pin`` is the smallest pin [d] that works, or None where none does.
    """

    def __init__(self, least_pin: float | None) -> None:
        self.least_pin = least_pin
        super().__init__(f"the eye cannot close; least pin {least_pin} d")


@dataclass(frozen=True)
class Throat:
    """One leg at the throat: helix radius and curvature, lay angle, angle of its eye leg [rad].

    ``bend_radius`` is the radius of the entry bend's centre line [d]. ``kinked``: a leg that leaves at
    the twist's own angle is bent outward by KINK at that radius and gently back.
    """

    radius: float
    curvature: float
    lay: float
    leg_angle: float
    bend_radius: float
    kinked: bool = False

    @property
    def bend(self) -> float:
        """The turn of the entry bend, positive outward."""
        return self.leg_angle - self.lay

    @property
    def side_slope(self) -> float:
        """|dy/dsigma| once the twist's curvature has faded."""
        return self.curvature * FADE / 4.0

    @property
    def bends(self) -> tuple[tuple[float, float], ...]:
        """(turn, planar curvature at its middle) of each bend from the throat outward.

        The planar curvature is such that the wire has the stated radius in space on its side slope.
        """
        sharp = (1.0 + self.side_slope**2) / self.bend_radius
        if self.kinked:
            return ((KINK, sharp), (-KINK, sharp / 4.0))
        return ((self.bend, sharp),) if abs(self.bend) > 1e-12 else ()


@dataclass(frozen=True)
class EyeShape:
    """The closed eye: curves in order from the tag's throat to the standing leg's.

    ``entry_tag``, ``eye`` and ``entry_standing`` are tuples of curves; ``legs`` are the straight
    lengths (tag, standing); ``arc_radius`` the centre line's on the pin; ``planar_length`` the
    length seen along the pin. ``half`` is half the thickness of what is bent, seen along the pin: of two wires one over the
    other 1.
    """

    entry_tag: tuple[PlanarPiece, ...]
    eye: tuple[PlanarPiece, ...]
    entry_standing: tuple[PlanarPiece, ...]
    legs: tuple[float, float]
    arc_radius: float
    planar_length: float
    half: float = 0.5

    @cached_property
    def width(self) -> float:
        """Extent of the centre line across the eye, seen along the pin (exact where the arc makes it)."""
        x = [c.seen(np.linspace(0.0, c.span, 257))[0] for c in self.eye]
        extent = float(np.ptp(np.concatenate(x)))
        return 2.0 * self.arc_radius if abs(extent - 2.0 * self.arc_radius) < 1e-3 else extent

    @cached_property
    def bottom(self) -> float:
        """Lowest height of the centre line: that of the arc's middle."""
        arc = next(c for c in self.eye if len(c.theta) == 2 and c.theta[1] != 0.0)
        return float(arc.z0 - self.arc_radius * (np.sin(arc.theta[0]) + 1.0))

    @cached_property
    def apex(self) -> float:
        """Height at which the legs' inner edges cross, seen along the pin: the top of the eye's hole."""
        tag = np.concatenate([_inner_edge(c, self.half) for c in (*self.entry_tag, *self.eye)])
        back = (*self.entry_standing[::-1], *self.eye[::-1])
        standing = np.concatenate([_inner_edge(c, self.half)[::-1] for c in back])
        legs = [edge[: int(np.argmin(edge[:, 1])) + 1] for edge in (tag, standing)]

        def apart(z: Array) -> Array:
            x = [np.interp(-z, -leg[:, 1], leg[:, 0]) for leg in legs]
            return np.asarray(x[0] - x[1])

        top, bottom = min(leg[0, 1] for leg in legs), max(leg[-1, 1] for leg in legs)
        heights = np.linspace(top, bottom, 101)
        widest = heights[int(np.argmax(apart(heights)))]  # at the bottom the edges meet again
        return bracketed_root(lambda z: float(apart(np.array(z))), top, float(widest), 1e-12)


def _inner_edge(piece: PlanarPiece, half: float) -> Array:
    """Compute the edge of the wire that faces the hole, seen along the pin: (257, 2) of x and z."""
    u = np.linspace(0.0, piece.span, 257)
    theta = piece.heading(u)
    x, z = piece.seen(u)
    return np.stack([x - half * np.cos(theta), z - half * np.sin(theta)], axis=1)


@dataclass(frozen=True)
class _Step:
    """A stretch of the planar curve: length and curvature (ascending in local sigma)."""

    name: str
    length: float
    curvature: tuple[float, ...]


@lru_cache(maxsize=64)
def closed_eye(pin: float, tag: Throat, standing: Throat, ramp: float = RAMP, guide: bool = False) -> EyeShape:
    """Build the eye round a pin between two throats.

    Parameters
    ----------
    pin : float
        Diameter of the pin, above 0 [d].
    tag, standing : Throat
        The two legs at the throat.
    ramp : float
        Length of each curvature ramp, above 0 [d].
    guide : bool
        For wires that lie beside this line (`helix.geometry.joint.doubled_eye`): the curvature's slope is continuous too,
        and the line runs evenly from the tag's side to the standing leg's.

    Returns
    -------
    EyeShape
        Its curves.

    Raises
    ------
    EyeCannotClose
        Where a leg would need a negative length.

    Notes
    -----
    As ``ramp`` goes to 0 the planar length tends to the arc and two straight legs (a loop round a pin, closed
    form). Derivation: docs/theory/eye.md.
    """
    legs = _leg_lengths(pin, tag, standing, ramp, guide)
    if min(legs) < 0.0:
        raise EyeCannotClose(_least_pin(tag, standing, ramp, guide))
    steps = _steps(pin, tag, standing, ramp, legs, guide)
    rho = (pin + 1.0) / 2.0
    if guide:
        return _grouped(_plane(steps, tag.lay, _even_offsets(steps, tag.radius, standing.radius)), legs, rho)
    return _assemble(steps, tag, standing, legs, rho)


def _bend_steps(name: str, t: Throat) -> list[_Step]:
    """Each bend in three equal lengths: curvature rises, stays, falls (ramps scale with the turn)."""
    steps: list[_Step] = []
    for turn, sharp in t.bends:
        n = abs(turn) / (2.0 * sharp)
        k = float(np.sign(turn)) * sharp
        rise = tuple(c * k / n**j for j, c in enumerate(_RISE_SHAPE))
        fall = tuple(c * k / n**j for j, c in enumerate(_FALL_SHAPE))
        steps += [_Step(name, n, rise), _Step(name, n, (k,)), _Step(name, n, fall)]
    return steps


def _mirrored(s: _Step) -> _Step:
    """Run the same step from its other end."""
    return _Step(s.name, s.length, substituted(s.curvature, s.length, -1.0))


def _steps(
    pin: float, tag: Throat, standing: Throat, ramp: float, legs: tuple[float, float], guide: bool
) -> list[_Step]:
    rho = (pin + 1.0) / 2.0
    turn = np.pi + tag.leg_angle + standing.leg_angle
    w = min(ramp, 0.25 * rho * turn)
    k = -1.0 / rho
    rise = tuple(c * k / w**j for j, c in enumerate(_RISE_SHAPE)) if guide else (0.0, k / w)
    steps = [
        _Step("entry_tag", FADE, (0.0,)),
        *_bend_steps("entry_tag", tag),
        _Step("eye", legs[0], (0.0,)),
        _Step("eye", w, rise),
        _Step("eye", rho * turn - w, (k,)),
        _mirrored(_Step("eye", w, rise)),
        _Step("eye", legs[1], (0.0,)),
        *(_mirrored(s) for s in reversed(_bend_steps("entry_standing", standing))),
        _Step("entry_standing", FADE, (0.0,)),
    ]
    return [s for s in steps if s.length > 0.0]


def _leg_lengths(pin: float, tag: Throat, standing: Throat, ramp: float, guide: bool) -> tuple[float, float]:
    """Straight lengths that bring the planar curve back to the throat: a linear 2 x 2 problem."""
    pieces = _plane(_steps(pin, tag, standing, ramp, (0.0, 0.0), guide), tag.lay)
    x, z = pieces[-1][1].end
    out = np.array([np.sin(tag.leg_angle), -np.cos(tag.leg_angle)])
    back = np.array([np.sin(standing.leg_angle), np.cos(standing.leg_angle)])
    matrix = np.stack([out, back], axis=1)
    if abs(np.linalg.det(matrix)) < 1e-9:
        return -1.0, -1.0
    tag_leg, standing_leg = np.linalg.solve(matrix, [-x, -z])
    return float(tag_leg), float(standing_leg)


def _least_pin(tag: Throat, standing: Throat, ramp: float, guide: bool) -> float | None:
    def shortest(pin: float) -> float:
        return min(_leg_lengths(pin, tag, standing, ramp, guide))

    low, high = 1e-6, 1.0
    while shortest(high) < 0.0:
        low, high = high, 2.0 * high
        if high > 1e4:
            return None
    return bracketed_root(shortest, low, high, 1e-9)


def _plane(
    steps: list[_Step], heading: float, y: list[tuple[float, ...]] | None = None
) -> list[tuple[str, PlanarPiece]]:
    x, z, pieces = 0.0, 0.0, []
    for i, s in enumerate(steps):
        theta = integral(s.curvature, heading)
        piece = PlanarPiece(theta, y[i] if y else (0.0,), x, z, s.length)
        pieces.append((s.name, piece))
        x, z = piece.end
        heading = value(theta, s.length)
    return pieces


def _assemble(steps: list[_Step], tag: Throat, standing: Throat, legs: tuple[float, float], rho: float) -> EyeShape:
    total = sum(s.length for s in steps)
    entry_tag = sum(s.length for s in steps if s.name == "entry_tag")
    entry_standing = sum(s.length for s in steps if s.name == "entry_standing")
    middle = (entry_tag + total - entry_standing) / 2.0
    spread_t = min(SPREAD, middle - entry_tag)
    spread_s = min(SPREAD, total - entry_standing - middle)
    terms = _side_terms(tag, standing, total, entry_tag, entry_standing, spread_t, spread_s)
    cuts = [entry_tag + spread_t, total - entry_standing - spread_s]
    steps = _cut(steps, cuts)
    y, slope, at = tag.radius, 0.0, 0.0
    offsets: list[tuple[float, ...]] = []
    for s in steps:
        second: Coefficients = (0.0,)
        for start, length, shape in terms:
            if start - 1e-12 <= at + s.length / 2.0 <= start + length + 1e-12 and length > 0.0:
                second = added(second, substituted(shape, (at - start) / length, 1.0 / length))
        offset = integral(integral(second, slope), y)
        offsets.append(offset)
        y, slope = value(offset, s.length), value(derivative(offset), s.length)
        at += s.length
    return _grouped(_plane(steps, tag.lay, offsets), legs, rho)


def _even_offsets(steps: list[_Step], start: float, end: float) -> list[tuple[float, ...]]:
    """Side offset of each step, even from ``start`` on the tag's side to ``end`` on the other."""
    ends = np.concatenate([[0.0], np.cumsum([s.length for s in steps])])
    slope = -(start + end) / float(ends[-1])
    return [(start + slope * float(at), slope) for at in ends[:-1]]


def _grouped(pieces: list[tuple[str, PlanarPiece]], legs: tuple[float, float], rho: float) -> EyeShape:
    total = sum(p.span for _, p in pieces)
    groups = {name: tuple(p for n, p in pieces if n == name) for name in ("entry_tag", "eye", "entry_standing")}
    return EyeShape(groups["entry_tag"], groups["eye"], groups["entry_standing"], legs, rho, total)


def _side_terms(
    tag: Throat,
    standing: Throat,
    total: float,
    entry_tag: float,
    entry_standing: float,
    spread_t: float,
    spread_s: float,
) -> list[tuple[float, float, Coefficients]]:
    """Solve for the parts of y'': (start, length, shape of t), the two spread bumps solved for the far end."""
    fixed = [
        (0.0, FADE, times(_FADE_SHAPE, -tag.curvature)),
        (total - FADE, FADE, times(substituted(_FADE_SHAPE, 1.0, -1.0), standing.curvature)),
    ]
    bumps = [
        (entry_tag, spread_t, times(_SPREAD_SHAPE, 1.0 / spread_t)),
        (total - entry_standing - spread_s, spread_s, times(substituted(_SPREAD_SHAPE, 1.0, -1.0), 1.0 / spread_s)),
    ]

    def reach(term: tuple[float, float, Coefficients]) -> tuple[float, float]:
        start, length, shape = term
        once = integral(shape)
        slope = value(once, 1.0) * length
        return slope, value(integral(once), 1.0) * length**2 + slope * (total - start - length)

    slopes, drops = zip(*(reach(term) for term in fixed), strict=True)
    matrix = np.array([reach(term) for term in bumps]).T
    wanted = np.array([-sum(slopes), -standing.radius - tag.radius - sum(drops)])
    amplitude = np.linalg.solve(matrix, wanted)
    return fixed + [(p, q, times(shape, float(a))) for (p, q, shape), a in zip(bumps, amplitude, strict=True)]


def _cut(steps: list[_Step], cuts: list[float]) -> list[_Step]:
    """Split the same steps where y'' changes its formula."""
    out: list[_Step] = []
    at = 0.0
    for s in steps:
        inside = sorted({round(c - at, 12) for c in cuts if 1e-9 < c - at < s.length - 1e-9})
        edges = [0.0, *inside, s.length]
        for a, b in pairwise(edges):
            out.append(_Step(s.name, b - a, substituted(s.curvature, a)))
        at += s.length
    return out
