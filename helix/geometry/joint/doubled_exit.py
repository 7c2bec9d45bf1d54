"""The exits of two wires worked as one: the standing pair comes onto the axis, each tag rides on its own standing wire.

Unit: the wire diameter. While the two standing wires move from their places in the ring of four to lie straight, side by
side, each tag rides on the one it touches in the ring (`helix.geometry.joint.riding`). Then the tags swing on the two
straight wires to the barrel's angle, one behind the other, so that they come out half a pitch apart, and lie down as a
coil of two starts on an oval (`helix.geometry.twist.ovals`). Derivation: docs/theory/doubled.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from helix.geometry.joint.doubled_eye import Ring
from helix.geometry.joint.exits import blend, psi_rate
from helix.geometry.joint.riding import ContactCurve, starting_angle
from helix.geometry.maths.coefficients import added, substituted, times, values
from helix.geometry.maths.jets import CUBIC_STEP, QUINTIC_STEP, SEPTIC_STEP, Array
from helix.geometry.maths.quadrature import Antiderivative
from helix.geometry.maths.roots import bracketed_root
from helix.geometry.twist.ovals import oval_lay, oval_length
from helix.geometry.twist.touching import TAU
from helix.geometry.wire.curves import CoreCoil, Curve, Line, Moved, Strand, positions
from helix.geometry.wire.joined import Flat, Place

_AHEAD = 1e-10  # so far ahead of a place it is looked for which part of the oval follows [d]
SPACING = 1.0  # the two standing wires touch [d]
_TURN_BUMP = tuple(140.0 * c for c in (0.0, 0.0, 0.0, 1.0, -3.0, 3.0, -1.0))  # C2 at its ends, area 1
_PSI_BUMP = tuple(30.0 * c for c in (0.0, 0.0, 1.0, -2.0, 1.0))  # C1 at its ends, area 1


@dataclass(frozen=True)
class DoubledPlan:
    """The numbers that fix the exits of a pair [d, rad].

    leg: height in which the standing wires come to lie straight. turned: how far the pair turns on beyond what its slowing
    rotation gives. apart: how far each tag turns about its standing wire beyond riding along. swing: length in which a
    tag comes to the barrel's angle.
    """

    leg: float
    turned: float
    apart: tuple[float, float]
    swing: float


@dataclass(frozen=True)
class DoubledExit:
    """Curves of both wires upward from the twist's end.

    standing, tag: of the standing strands 2 and 3 of the ring, and of the tags 1 and 0 that ride on them, in this order.
    tag_from: heights at which those tags leave the ring. row: direction from the middle to strand 2 once it is straight
    [rad]. run_in_z: height from which both are straight. starts: where each tag begins its barrel, as place round the oval
    from the tip at its own standing wire, and height. waits: what each tag runs on at its own lay before its swing.
    """

    standing: tuple[Strand, Strand]
    tag: tuple[tuple[Curve, ...], tuple[Curve, ...]]
    tag_from: tuple[float, float]
    row: float
    run_in_z: float
    starts: tuple[tuple[float, float], tuple[float, float]]
    waits: tuple[float, float]

    @property
    def z_end(self) -> float:
        """Height at which the later tag begins its barrel [d]."""
        return max(height for _, height in self.starts)


def doubled_exit(ring: Ring, top: float, plan: DoubledPlan, pitch: float | None) -> DoubledExit:
    """Build the exits of both wires from the end of the twist.

    Parameters
    ----------
    ring : Ring
        The four strands.
    top : float
        Height of the twist's end above the throat [d].
    plan : DoubledPlan
        The numbers that fix them.
    pitch : float, optional
        Of the barrel, one wire's [d]; None: no barrel, the tags end where the standing wires are straight.

    Returns
    -------
    DoubledExit
        The curves.
    """
    legs, tags, below = [], [], []
    slowing = blend(TAU / ring.lay, 0.0, QUINTIC_STEP)
    psi = psi_rate(ring.radius, ring.lay)
    for k, sign in enumerate((-1.0, 1.0)):
        own = added(slowing, times(_TURN_BUMP, (plan.turned + sign * 0.25 * np.pi) / plan.leg))
        strand = ring.strand(2 + k, top, top + 1.0)
        leg = Strand(blend(ring.radius, 0.5 * SPACING, SEPTIC_STEP), own, strand.theta0, top, plan.leg)
        z = _contact_height(ring, 1 - k, leg, top)
        start = positions(ring.strand(1 - k, z, z + 1.0), np.zeros(1))[0]
        bump = times(_PSI_BUMP, plan.apart[k] / plan.leg)
        legs.append(leg)
        tags.append(ContactCurve(leg, added((psi,), bump), starting_angle(leg, start)))
        below.append(z)
    row, z = legs[0].theta_end, top + plan.leg
    starts = tuple(_from_tip(tag.chi_end - row - k * np.pi) for k, tag in enumerate(tags))
    standing, tag_from = (legs[0], legs[1]), (below[0], below[1])
    if pitch is None:
        ends = ((starts[0], z), (starts[1], z))
        return DoubledExit(standing, ((tags[0],), (tags[1],)), tag_from, row, z, ends, (0.0, 0.0))
    lay_from, lay_to = (float(np.arctan(psi)), oval_lay(pitch, SPACING))
    gain = np.tan(lay_to) * np.cos(lay_from) - np.sin(
        lay_from
    )  # how far ahead a place is once it runs at the barrel's lay
    ahead = (starts[0] - starts[1]) / gain
    waits = (max(ahead, 0.0), max(-ahead, 0.0))
    swing = blend(lay_from, lay_to, CUBIC_STEP)
    tag, begins = [], []
    for k, (ride, wait, place) in enumerate(zip(tags, waits, starts, strict=True)):
        curves: list[Curve] = [ride]
        height = z
        for lay, length in (((lay_from,), wait), (swing, plan.swing)):
            if length > 1e-12:
                laid, place, height = laid_on_pair(lay, length, place, height, row + k * np.pi)
                curves += laid
        tag.append(tuple(curves))
        begins.append((place, height))
    return DoubledExit(standing, (tag[0], tag[1]), tag_from, row, z, (begins[0], begins[1]), waits)


def _contact_height(ring: Ring, tag: int, leg: Strand, top: float) -> float:
    """Find the height of the place on a tag that touches the start of a standing wire's exit."""
    foot = np.array([leg.radius[0] * np.cos(leg.theta0), leg.radius[0] * np.sin(leg.theta0), top])
    rate = leg.radius[0] * leg.rate[0]
    tangent = np.array([-rate * np.sin(leg.theta0), rate * np.cos(leg.theta0), 1.0])

    def ahead(z: float) -> float:
        return float((positions(ring.strand(tag, z, z + 1.0), np.zeros(1))[0] - foot) @ tangent)

    return bracketed_root(ahead, top - 0.25 * ring.lay, top + 0.25 * ring.lay)


def _from_tip(angle: float) -> float:
    """Return an angle within half a turn either way."""
    return float((angle + np.pi) % TAU - np.pi)


def _flat(lay: tuple[float, ...], start: Place, across: tuple[float, float], length: float) -> Curve:
    """Lay a wire on a flat, at an even angle as a straight line."""
    if any(lay[1:]):
        return Flat(lay, start, across, length)
    sin, cos = float(np.sin(lay[0])), float(np.cos(lay[0]))
    return Line(start, (sin * across[0], sin * across[1], cos), length)


def laid_on_pair(
    lay: tuple[float, ...], length: float, place: float, z: float, row: float
) -> tuple[list[Curve], float, float]:
    """Lay a wire on two straight touching wires: half circles and flats, its angle to them prescribed along itself.

    Parameters
    ----------
    lay : tuple of float
        Angle to the core [rad], ascending in t = s/length, between 0 and pi.
    length : float
        Arc length [d].
    place : float
        Where it starts round the oval, from the tip at ``row`` [d].
    z : float
        Height at which it starts [d].
    row : float
        Direction from the middle to one of the two wires [rad].

    Returns
    -------
    tuple of list of Curve and two floats
        The pieces; place and height at the end.

    Notes
    -----
    Seen along the core it runs on a stadium; unrolled, its direction is ``lay`` everywhere, so its turn and climb are the
    integrals of sin and cos.
    """

    def rates(s: Array) -> Array:
        angle = values(lay, s / length)
        return np.array([np.sin(angle), np.cos(angle)])

    way = Antiderivative(rates, length)

    def at(s: float) -> tuple[float, float]:
        turned, climbed = (float(v) for v in way(np.array([s]))[:, 0])
        return place + turned, z + climbed

    def short_of(edge: float, s: float) -> float:
        return at(s)[0] - edge

    half = 0.5 * oval_length(SPACING)  # a half circle and a flat
    pieces: list[Curve] = []
    start, (here, height) = 0.0, (place, z)
    end_place, end_height = at(length)
    while length - start > 1e-12:
        number, along = divmod(here + 0.5 * np.pi + _AHEAD, half)
        flat = along >= np.pi
        edge = number * half + (half if flat else np.pi) - 0.5 * np.pi
        end = length if end_place <= edge else bracketed_root(partial(short_of, edge), start, length)
        piece = substituted(lay, start / length, (end - start) / length)
        direction = row + number * np.pi
        tip = np.array([np.cos(direction), np.sin(direction)])
        if flat:
            side, across = np.array([-tip[1], tip[0]]), -tip
            x, y = (float(v) for v in 0.5 * SPACING * tip + side + across * (along - _AHEAD - np.pi))
            pieces.append(_flat(piece, (x, y, height), (float(across[0]), float(across[1])), end - start))
        else:
            coil = CoreCoil(piece, direction + along - _AHEAD - 0.5 * np.pi, height, end - start)
            x, y = (float(v) for v in 0.5 * SPACING * tip)
            pieces.append(Moved(coil, (x, y, 0.0)))
        start, (here, height) = end, at(end)
    return pieces, end_place, end_height
