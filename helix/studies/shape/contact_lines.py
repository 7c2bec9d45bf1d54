"""Where the legs and the tag touch: lengths of the lines of contact that have no closed form, and what stands off."""

from __future__ import annotations

import math

import numpy as np

from helix.geometry.joint.exit_clearance import last_turn
from helix.geometry.maths.jets import Array
from helix.geometry.maths.quadrature import arc_lengths
from helix.geometry.twist.helices import helix_length
from helix.geometry.twist.ovals import oval_core_contact_length, oval_gap, oval_turn_contact_length
from helix.geometry.twist.strands import (
    coil_contact_angle,
    coil_core_contact_length,
    coil_gap,
    coil_turn_contact_length,
    leg_contact,
    leg_contact_length,
    pair_contact_angle,
)
from helix.geometry.wire.curves import Curve, Line, derivatives, positions
from helix.geometry.wire.joined import Flat
from helix.model.joint.joint_curves import Layout, Sizes

TOUCH_D = 1e-4  # a gap up to this counts as touching, of lift-off too [d]
_STEP = 0.01  # spacing of the samples along an opening [d]


def twist_contact(sizes: Sizes) -> float:
    """Length of contact of leg on leg in the even twist, all lines together [d].

    Off the axis there are two lines, and a place is nearest the other leg's place T further round: both are in the twist
    for all but T/(2 pi) of its turns.
    """
    if not sizes.turns:
        return 0.0
    if sizes.count > 1:  # tag on standing leg: two of the ring's four lines
        return 2.0 * helix_length(sizes.ring.contact_radius, sizes.lay) * sizes.turns
    a_s, a_t, lay = sizes.standing_radius, sizes.tag_radius, sizes.lay
    lines, _ = leg_contact(a_s, a_t, lay)
    off = pair_contact_angle(a_s, a_t, lay) / (2.0 * np.pi) if lines == 2 else 0.0
    return leg_contact_length(a_s, a_t, lay) * max(sizes.turns - off, 0.0)


def barrel_contact(sizes: Sizes) -> tuple[float, float]:
    """Length of contact of barrel on core, and of wrap on wrap; 0 where the wraps stand apart [d]."""
    if not sizes.wraps:
        return 0.0, 0.0
    if sizes.count > 1:
        touching = abs(oval_gap(sizes.pitch)) < 1e-9
        beside = oval_turn_contact_length(sizes.pitch) * max(2.0 * sizes.wraps - 1.0, 0.0) if touching else 0.0
        return 2.0 * oval_core_contact_length(sizes.pitch) * sizes.wraps, beside
    on_core = coil_core_contact_length(1.0, sizes.pitch) * sizes.wraps
    if abs(coil_gap(1.0, sizes.pitch)) >= 1e-9:
        return on_core, 0.0
    pairs = sizes.wraps - 1.0 + coil_contact_angle(1.0, sizes.pitch) / (2.0 * np.pi)
    return on_core, coil_turn_contact_length(1.0, sizes.pitch) * max(pairs, 0.0)


def exit_contact(layout: Layout) -> float:
    """Length of contact of the tag's exit and the leg [d]; 0 where they overlap.

    Where the tag rides and swings it touches all along; where it is lifted, or a tight lay is opened, only while the
    gap is at most TOUCH_D.
    """
    plan, exits = layout.planned.plan, layout.exits
    if layout.planned.overlaps:
        return 0.0
    total, first = 0.0, 0
    if plan.open_length:
        total, first = _opening_contact(layout), 1
    for k in range(first, len(exits.tag)):
        if isinstance(exits.tag[k], Flat | Line):  # touches neither of the two wires it lies on
            continue
        leg = exits.standing[k] if k < len(exits.standing) else None
        if leg is not None and plan.lift > 0.0:
            share = _touching_share(plan.lift)
            span = exits.tag[k].span
            total += _riding(exits.tag[k], leg, 0.0, share * span)
            total += _riding(exits.tag[k], leg, (1.0 - share) * span, span)
        else:
            total += _riding(exits.tag[k], leg, 0.0, exits.tag[k].span)
    return total


def opening_stands_off(layout: Layout) -> float:
    """How far the tag stands off the leg at most where a tight lay is opened, from samples [d]."""
    if not layout.planned.plan.open_length:
        return 0.0
    legs = [last_turn(layout.twist_end)[0], *layout.exits.standing]
    leg = np.concatenate([positions(c, np.linspace(0.0, c.span, int(200 * c.span))) for c in legs])
    tag = positions(layout.exits.tag[0], np.linspace(0.0, layout.exits.tag[0].span, 65))
    apart = np.sqrt(np.min(np.sum((tag[:, None] - leg[None]) ** 2, axis=2), axis=1)).max() - 1.0
    return float(apart) if apart > TOUCH_D else 0.0


def _riding(tag: Curve, leg: Curve | None, start: float, stop: float) -> float:
    """Length of the line halfway between the tag and the leg under it, between two places of the tag [d]."""

    def speed(u: Array) -> Array:
        moved = derivatives(tag, u, 1)[1]
        if leg is None:  # the leg is the axis: same height, no offset
            return np.asarray(np.hypot(np.hypot(moved[:, 0], moved[:, 1]) / 2.0, moved[:, 2]))
        halfway: Array = np.linalg.norm((moved + derivatives(leg, u, 1)[1]) / 2.0, axis=1)
        return halfway

    return float(arc_lengths(speed, np.linspace(start, stop, 9))[-1]) if stop > start else 0.0


def _touching_share(lift: float) -> float:
    """Share of a lifted run-in, at each of its ends, whose gap lift 256 t^4 (1 - t)^4 is at most TOUCH_D."""
    product = (TOUCH_D / (256.0 * lift)) ** 0.25
    return 0.5 if product >= 0.25 else 0.5 * (1.0 - math.sqrt(1.0 - 4.0 * product))


def _opening_contact(layout: Layout) -> float:
    """Length of the lines midway between the legs where a tight lay is opened and they touch still [d].

    From samples: every place of the tag where the distance to the leg has a minimum, the twist's last turn included, as
    long as one of the two is in the opening. Two lines from a twist with its contact off the axis, which part at once.
    """
    before_leg, before_tag = last_turn(layout.twist_end)
    leg, bound = _sampled([before_leg, *layout.exits.standing])
    tag, own = _sampled([before_tag, layout.exits.tag[0]])
    squared = np.sum((tag[:, None] - leg[None]) ** 2, axis=2)
    low, mid, high = squared[:, :-2], squared[:, 1:-1], squared[:, 2:]
    bend = low - 2.0 * mid + high
    with np.errstate(divide="ignore", invalid="ignore"):
        least = mid - (low - high) ** 2 / (8.0 * bend)  # of the parabola through three samples
        at = (low - high) / (2.0 * bend)
    near = (mid <= low) & (mid < high) & (least <= (1.0 + TOUCH_D) ** 2)
    total, last = 0.0, np.empty((0, 3))
    for row in range(len(tag)):
        k = np.flatnonzero(near[row]) + 1
        w = at[row, k - 1][:, None]
        foot = leg[k] + w * (leg[k + 1] - leg[k - 1]) / 2.0 + w**2 / 2.0 * (leg[k + 1] - 2.0 * leg[k] + leg[k - 1])
        middle = (tag[row] + foot) / 2.0
        if len(middle) and len(last):
            steps = np.linalg.norm(middle[:, None] - last[None], axis=2).min(axis=1)
            opened = (row >= own[0]) | ((k >= bound[0]) & (k < bound[1]))
            total += float(steps[opened & (steps < 5.0 * _STEP)].sum())
        last = middle
    return total


def _sampled(curves: list[Curve]) -> tuple[Array, list[int]]:
    """Points of curves on end, _STEP apart, and the row at which each but the first begins."""
    points: list[Array] = []
    starts: list[int] = []
    for curve in curves:
        u = np.linspace(0.0, curve.span, max(round(curve.span / _STEP), 2) + 1)
        points.append(positions(curve, u if not points else u[1:]))
        starts.append(sum(len(point) for point in points))
    return np.concatenate(points), starts
