"""Two wires worked as one: ring, eye and exits.

Map of what must hold:
  where a pair of the ring touches, the two places are one diameter apart, square to the line of contact between them
  in the eye the two wires are one diameter apart at every place, both ways of lying; side by side they are equally long,
    one over the other the outer is longer by the angle it turns through
  each tag rides one diameter from its standing wire all through the run-in
  everything is C2 but at the flats of the barrel, where the curvature steps by sin^2 of its lay
  the barrel of one wire is that of the other, half a turn round
  nothing overlaps, by brute force on samples, at every lay; nothing is sharper than barrel and twist
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.geometry.joint.doubled_choice import plan_two, straight_wire
from helix.geometry.joint.doubled_exit import DoubledExit, doubled_exit, laid_on_pair
from helix.geometry.joint.doubled_eye import Ring, doubled_eye
from helix.geometry.joint.exit_choice import ExitRequest, peak_curvature
from helix.geometry.joint.eye import EyeCannotClose
from helix.geometry.twist.ovals import oval_lay, oval_touching_pitch, oval_turn_length
from helix.geometry.wire.curves import Curve, Line, Reversed, curve_length, derivatives, positions
from helix.geometry.wire.joined import Beside, Flat, contact_element

PITCH = oval_touching_pitch()
LAYS = (4.6, 6.7, pytest.param(10.0, marks=pytest.mark.slow), 30.0)
PIN = 9.0


def jumps(curves: list[Curve]) -> list[tuple[Curve, Curve, float, float, float]]:
    """Each join: the two curves, and by how much place, tangent and curvature vector differ."""
    ends = [(a, b, np.subtract(contact_element(a, a.span), contact_element(b, 0.0))) for a, b in pairwise(curves)]
    found = [(a, b, np.abs(apart).max(axis=1)) for a, b, apart in ends]
    return [(a, b, float(most[0]), float(most[1]), float(most[2])) for a, b, most in found]


@lru_cache
def planned(lay: float, style: str = "gradual"):
    return plan_two(Ring(lay), ExitRequest(style, None, None, None, oval_lay(PITCH), PITCH))


@lru_cache
def exits(lay: float, style: str = "gradual") -> DoubledExit:
    plan = planned(lay, style).doubled
    assert plan is not None
    return doubled_exit(Ring(lay), 0.0, plan, PITCH)


def chains(lay: float):
    """Standing wires and tags from the last turn of the twist to three turns of barrel."""
    ring, ends = Ring(lay), exits(lay)
    for k in (0, 1):
        yield [ring.strand(2 + k, -lay, 0.0), ends.standing[k], straight_wire(ends, k, ends.z_end + 4.0)]
        wraps, _, _ = laid_on_pair(
            (oval_lay(PITCH),), 1.5 * oval_turn_length(PITCH), *ends.starts[k], ends.row + k * np.pi
        )
        yield [ring.strand(1 - k, ends.tag_from[k] - lay, ends.tag_from[k]), *ends.tag[k], *wraps]


@pytest.mark.parametrize("lay", LAYS)
def test_pairs_of_the_ring_touch_where_it_says(lay: float) -> None:
    ring = Ring(lay)
    for one, other, side in ((0, 1, 1.0), (2, 3, -1.0)):
        ends = [contact_element(ring.strand(k, ring.foot(k), ring.foot(k) + 1.0), 0.0) for k in (one, other)]
        between = np.subtract(ends[0][0], ends[1][0])
        assert np.linalg.norm(between) == pytest.approx(1.0, abs=1e-14)
        assert [abs(float(between @ end[1])) for end in ends] == pytest.approx([0.0, 0.0], abs=1e-14)
        middle = np.add(ends[0][0], ends[1][0]) / 2.0
        assert middle == pytest.approx([0.0, side * ring.contact_radius, 0.0], abs=1e-14)


@pytest.mark.parametrize("over", [False, True])
@pytest.mark.parametrize("throat_deg", [None, 90.0])
def test_the_eye_touches_all_along(over: bool, throat_deg: float | None) -> None:
    ring = Ring(6.7)
    throat = 2.0 * ring.throat.lay if throat_deg is None else float(np.radians(throat_deg))
    loops, shape = doubled_eye(PIN, ring, throat, over)
    for one, other in zip(loops[0].eye, loops[1].eye, strict=True):
        u = np.linspace(0.0, one.span, 41)
        apart = positions(one, u) - positions(other, u)
        assert np.linalg.norm(apart, axis=1) == pytest.approx(np.ones(41), abs=1e-14)
        for curve in (one, other):  # square to both wires: no nearer place beside
            assert np.abs(np.sum(apart * derivatives(curve, u, 1)[1], axis=1)).max() < 1e-13
    for loop in loops:  # the ring runs on into the eye and back
        strands = [ring.strand(k, ring.foot(k), ring.foot(k) + 1.0) for k in (loop.tag, loop.standing)]
        chain = [Reversed(strands[0]), loop.entry_tag, *loop.eye, loop.entry_standing, strands[1]]
        assert max(max(apart) for _, _, *apart in jumps(chain)) < 1e-10
    lengths = [sum(curve_length(curve) for curve in loop.eye) for loop in loops]
    turned = np.pi + throat
    if over:
        # a parallel curve is longer by the angle it turns through; the side slope takes a part in a thousand of it
        assert lengths[0] - lengths[1] == pytest.approx(turned, rel=2e-3)
    else:
        assert lengths[0] == pytest.approx(lengths[1], rel=1e-13)
    arc = [curve for loop in loops for curve in loop.eye if isinstance(curve, Beside) and len(curve.base.theta) == 2]
    z0 = shape.bottom + shape.arc_radius
    nearest = min(
        float(
            np.hypot(*(positions(curve, np.linspace(0.0, curve.span, 101))[:, [0, 2]] - [_middle(shape), z0]).T).min()
        )
        for curve in arc
    )
    assert nearest == pytest.approx((PIN + 1.0) / 2.0, abs=1e-4)  # on the pin but for the side slope, never in it
    assert nearest >= (PIN + 1.0) / 2.0 - 1e-12


def _middle(shape) -> float:
    arc = next(c for c in shape.eye if len(c.theta) == 2 and c.theta[1] != 0.0)
    start = arc.seen(np.zeros(1))[:, 0]
    heading = float(arc.heading(np.zeros(1))[0])
    return float(start[0] - shape.arc_radius * np.cos(heading))


@pytest.mark.parametrize("over", [False, True])
def test_a_pin_that_is_too_small_is_told_with_the_least_that_works(over: bool) -> None:
    ring, throat = Ring(6.7), float(np.radians(100.0))
    with pytest.raises(EyeCannotClose) as refused:
        doubled_eye(1.0, ring, throat, over)
    least = refused.value.least_pin
    assert least is not None
    doubled_eye(least * 1.0001, ring, throat, over)
    with pytest.raises(EyeCannotClose):
        doubled_eye(least * 0.999, ring, throat, over)


@pytest.mark.parametrize("lay", LAYS)
def test_each_tag_rides_on_its_standing_wire(lay: float) -> None:
    ends = exits(lay)
    for leg, tag in zip(ends.standing, ends.tag, strict=True):
        u = np.linspace(0.0, leg.span, 33)
        apart = positions(tag[0], u) - positions(leg, u)
        assert np.linalg.norm(apart, axis=1) == pytest.approx(np.ones(33), abs=1e-13)
        assert np.abs(np.sum(apart * derivatives(leg, u, 1)[1], axis=1)).max() < 1e-12


@pytest.mark.parametrize("lay", LAYS)
def test_nothing_overlaps_and_nothing_is_sharper_than_the_barrel(lay: float) -> None:
    assert not planned(lay).overlaps
    wires = [
        np.concatenate([positions(c, np.linspace(0.0, c.span, int(150 * c.span) + 8)) for c in chain])
        for chain in chains(lay)
    ]
    for k, points in enumerate(wires):
        for other in wires[k + 1 :]:
            assert cKDTree(other).query(points)[0].min() > 1.0 - 1e-9
    ends = exits(lay)
    curves = [*ends.standing, *(curve for tag in ends.tag for curve in tag)]
    assert max(peak_curvature(curve) for curve in curves) <= planned(lay).cap + 1e-8


@pytest.mark.parametrize("lay", LAYS)
def test_curvature_steps_at_the_flats_only(lay: float) -> None:
    for chain in chains(lay):
        for one, other, place, tangent, curvature in jumps(chain):
            assert max(place, tangent) < 1e-11
            if isinstance(one, Flat | Line) != isinstance(other, Flat | Line):
                bent = [contact_element(one, one.span)[2], contact_element(other, 0.0)[2]]
                step = float(np.linalg.norm(np.subtract(*bent)))
                assert step <= np.sin(oval_lay(PITCH)) ** 2 + 1e-9
            else:
                assert curvature < 1e-7


@pytest.mark.parametrize("lay", LAYS)
def test_the_barrel_of_one_wire_is_that_of_the_other_half_a_turn_round(lay: float) -> None:
    ends = exits(lay)
    heights = np.linspace(ends.z_end, ends.z_end + 2.0, 9)
    seen = []
    for k in (0, 1):
        wraps, _, _ = laid_on_pair(
            (oval_lay(PITCH),), 2.0 * oval_turn_length(PITCH), *ends.starts[k], ends.row + k * np.pi
        )
        points = np.concatenate([positions(c, np.linspace(0.0, c.span, 4001)) for c in wraps])
        seen.append(np.stack([np.interp(heights, points[:, 2], points[:, axis]) for axis in (0, 1)]))
    assert seen[0] == pytest.approx(-seen[1], abs=1e-6)  # straight between samples a thousandth apart


def test_a_bench_exit_is_shorter_and_sharper() -> None:
    plans = {style: planned(6.7, style) for style in ("gradual", "bench")}
    assert plans["bench"].plan.leg < plans["gradual"].plan.leg
    sharpest = {style: max(peak_curvature(c) for tag in exits(6.7, style).tag for c in tag) for style in plans}
    assert sharpest["bench"] > sharpest["gradual"]
