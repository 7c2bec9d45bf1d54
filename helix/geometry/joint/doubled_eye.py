"""The eye of two wires worked as one: side by side on the pin, or one over the other.

Unit: the wire diameter. The pair's middle line is the eye of one wire (`helix.geometry.joint.eye`), thrown round a pin
that leaves room for both; each wire lies half a diameter beside it, so that the two touch at every place. At the throat
the two are the neighbours in the ring of four strands: their line of contact is the middle line, their common normal lies
in the eye's plane. Derivation: docs/theory/doubled.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np

from helix.geometry.joint.exit_clearance import TOUCH, least_clearing
from helix.geometry.joint.eye import FADE, EyeCannotClose, EyeShape, Throat, closed_eye
from helix.geometry.maths.coefficients import Coefficients, added, substituted, times
from helix.geometry.maths.jets import QUINTIC_STEP
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import even_radius, strand_contact_angle
from helix.geometry.twist.touching import TAU
from helix.geometry.wire.curves import Curve, Reversed, Strand, positions
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.joined import Beside, Join, joined
from helix.geometry.wire.path import CurvePiece, Path
from helix.geometry.wire.planar import PlanarPiece

STRANDS = 4
OVER = "one over the other"
JOIN = 1.25  # eye leg over which the strands of the ring come to lie along it, beyond the fade [d]
_MOST_PIN = 1e4  # [d]
MOST_LIFT = 0.05  # how far each strand is moved aside at most there, to clear the other [d]
_NEAR_LIFT = (
    0.76,
    0.79,
)  # between which the lift that clears lies over how deep two joins press unlifted, at every lay
LEAST_QUARTER = 1.5  # leg in which a pair turns by a quarter, to lie side by side on the pin [d]


@dataclass(frozen=True)
class Ring:
    """Four touching strands in one ring: the tags (0, 1) side by side, opposite them the standing legs (2, 3).

    Seen at the throat 0 and 2 are the outer ones, at 45 and 225 deg; the middle of the tags lies on the y axis.
    """

    lay: float

    @property
    def radius(self) -> float:
        """Radius of the centre lines [d]."""
        return even_radius(self.lay, STRANDS)

    @property
    def half_contact(self) -> float:
        """Half the angle round the axis between the places where two neighbours touch [rad]."""
        return 0.5 * strand_contact_angle(self.lay, STRANDS)

    @property
    def contact_radius(self) -> float:
        """Radius of the line of contact [d]."""
        return self.radius * float(np.cos(self.half_contact))

    @property
    def open_centre(self) -> float:
        """Diameter of what would pass through the open middle [d]."""
        return 2.0 * self.radius - 1.0

    def foot(self, number: int) -> float:
        """Height of a strand's place of contact with its pair, where the middle of that contact is at the throat [d]."""
        shift = self.lay / TAU * (0.25 * np.pi - self.half_contact)
        return -shift if number % 2 else shift

    @property
    def throat(self) -> Throat:
        """The pair's line of contact as one leg at a tangent throat."""
        a, lay = self.contact_radius, lay_angle(self.contact_radius, self.lay)
        curvature = helix_curvature(a, self.lay)
        return Throat(a, curvature, lay, lay, 1.0 / curvature)

    def strand(self, number: int, low: float, high: float) -> Strand:
        """Lay one strand (0 to 3 in the ring's order) between two heights."""
        rate = TAU / self.lay
        start = (0.25 + 0.5 * number) * np.pi
        return Strand((self.radius,), (rate,), start + rate * low, low, high - low)


@dataclass(frozen=True)
class Loop:
    """One wire's way from its tag's throat round the pin to its standing leg's: which strands of the ring, and the curves."""

    tag: int
    standing: int
    entry_tag: Curve
    eye: tuple[Curve, ...]
    entry_standing: Curve


def doubled_eye(pin: float, ring: Ring, throat: float, over: bool) -> tuple[tuple[Loop, Loop], EyeShape]:
    """Build the eyes of both wires round a pin, from ring to ring.

    Parameters
    ----------
    pin : float
        Diameter of the pin, above 0 [d].
    ring : Ring
        The four strands.
    throat : float
        Angle between the two pairs of legs, seen along the pin [rad].
    over : bool
        One wire over the other on the pin; else they lie side by side.

    Returns
    -------
    tuple of two Loop, EyeShape
        Each wire's way, the one with the outer tag first, and the shape of the pair's middle line.

    Raises
    ------
    EyeCannotClose
        Where a leg would need a negative length, or is too short for the pair to turn in.
    """
    leg = replace(ring.throat, leg_angle=0.5 * throat)
    room = JOIN + (0.0 if over else LEAST_QUARTER)

    def middle_of(round_pin: float) -> EyeShape:
        return closed_eye(round_pin + 1.0 if over else round_pin, leg, leg, guide=True)

    if _spare(middle_of, pin, room) < 0.0:
        raise EyeCannotClose(_least_pin(middle_of, pin, room))
    shape = middle_of(pin)
    pieces = _within([*shape.entry_tag, *shape.eye, *shape.entry_standing], FADE + JOIN)
    straight = sum(p.span for p in shape.entry_tag) + shape.legs[0] - FADE - JOIN
    turned = _turned([p.span for p in pieces], straight, 0.0 if over else 0.5 * np.pi)
    beside = [tuple(Beside(p, side, phi) for p, phi in zip(pieces, turned, strict=True)) for side in (0.5, -0.5)]
    standing = (2, 3) if over else (3, 2)
    up = [ring.strand(number, ring.foot(number), 1.0 + ring.foot(number)) for number in range(STRANDS)]
    tags = (joined(Reversed(up[0]), beside[0][0]), joined(Reversed(up[1]), beside[1][0]))
    legs = (joined(beside[0][-1], up[standing[0]]), joined(beside[1][-1], up[standing[1]]))
    by = _clearing_lift(tags)  # half a turn of the joint carries the tags' joins into the legs'
    first, last = _lifted(tags, by), _lifted(legs, by)
    loops = [Loop(tag, standing[tag], first[tag], beside[tag], last[tag]) for tag in (0, 1)]
    return (loops[0], loops[1]), replace(shape, half=1.0 if over else 0.5)


@lru_cache(maxsize=64)
def _clearing_lift(pair: tuple[Join, Join]) -> float:
    """Find the least lift of two joins off each other that clears them [d]."""

    @cache
    def gap(by: float) -> float:
        return nearest([Path((CurvePiece("", join),)) for join in _lifted(pair, by)]).gap

    deep = -gap(0.0)
    low, high = (near * deep for near in _NEAR_LIFT)
    if deep > TOUCH and gap(low) < -TOUCH <= gap(high):
        return least_clearing(gap, low, high) or high
    least = least_clearing(gap, 0.0, MOST_LIFT)
    return MOST_LIFT if least is None else least


def _lifted(pair: tuple[Join, Join], by: float) -> tuple[Join, Join]:
    """Lift the middles of two joins off each other, so much each."""
    middles = [positions(join, np.array([0.5 * join.span]))[0] for join in pair]
    away = (middles[0] - middles[1]) / float(np.linalg.norm(middles[0] - middles[1]))
    x, y, z = (float(c) for c in by * away)
    return replace(pair[0], lift=(x, y, z)), replace(pair[1], lift=(-x, -y, -z))


def _within(pieces: list[PlanarPiece], ends: float) -> list[PlanarPiece]:
    """Cut so much off both ends of a chain."""
    total, at, kept = sum(p.span for p in pieces), 0.0, []
    for piece in pieces:
        low, high = max(ends - at, 0.0), min(total - ends - at, piece.span)
        at += piece.span
        if high - low > 1e-12:
            x, z = (float(c[0]) for c in piece.seen(np.array([low])))
            kept.append(PlanarPiece(substituted(piece.theta, low), substituted(piece.y, low), x, z, high - low))
    return kept


def _turned(spans: list[float], straight: float, quarter: float) -> list[Coefficients]:
    """Angle of the pair about its middle line, piece by piece: a quarter turn on each straight leg, none between."""
    total, at, phi = sum(spans), 0.0, []
    for span in spans:
        if at + 0.5 * span < straight:
            share: Coefficients = substituted(QUINTIC_STEP, at / straight, 1.0 / straight)
        elif at + 0.5 * span > total - straight:
            share = added((1.0,), substituted(QUINTIC_STEP, (at - total + straight) / straight, 1.0 / straight))
        else:
            share = (1.0,)
        phi.append(times(share, quarter))
        at += span
    return phi


def _spare(middle_of: Callable[[float], EyeShape], pin: float, room: float) -> float:
    """How much longer than ``room`` the shorter straight leg is; below 0 it is too short."""
    try:
        return min(middle_of(pin).legs) - room
    except EyeCannotClose:
        return -room


def _least_pin(middle_of: Callable[[float], EyeShape], pin: float, room: float) -> float | None:
    """Find the least pin whose eye has straight legs of at least ``room``."""
    high = 2.0 * pin
    while _spare(middle_of, high, room) < 0.0:
        high *= 2.0
        if high > _MOST_PIN:
            return None
    return bracketed_root(lambda around: _spare(middle_of, around, room), pin, high, 1e-9)
