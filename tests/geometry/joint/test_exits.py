"""The exit's curves: where they begin and end, how they join, the tag on the leg, swings by quadrature."""

from __future__ import annotations

import math
from itertools import pairwise

import mpmath as mp
import numpy as np
import pytest

from helix.geometry.joint.exits import (
    ExitCurves,
    ExitPlan,
    Swing,
    TwistEnd,
    core_line,
    exit_curves,
    mean_sine,
    riding_lay,
    swing_peak_curvature,
)
from helix.geometry.twist.helices import lay_angle
from helix.geometry.twist.strands import even_radius, touching_pitch, uneven_radii
from helix.geometry.wire.curves import CoreCoil, Strand, curvature_vectors, derivatives, positions
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import CurvePiece, Path

BARREL = lay_angle(1.0, touching_pitch())


def planned(lay: float, evenness: float = 1.0, leg: float = 3.7, **more) -> tuple[TwistEnd, ExitPlan]:
    a_s, a_t = uneven_radii(lay, evenness)
    end = TwistEnd(a_s, a_t, lay, 0.9, 2.0)
    opened = more.get("open_lay", lay)
    radii = more.get("open_radii", (a_s, a_t))
    swing = Swing(4.0, riding_lay(radii[0], opened), BARREL)
    return end, ExitPlan(leg, (swing,), **more)


CASES = {
    "lay 4": planned(4.0),
    "uneven": planned(5.0, 0.5),
    "straight leg": planned(4.0, 0.0, leg=0.0),
    "opened": planned(3.1, open_length=3.0, open_lay=3.6, open_radii=(0.5, 0.5)),
    "opened, over-twist": planned(2.5, open_length=3.0, open_lay=3.6, open_radii=(0.5, 0.5), bulge=0.01),
    "lifted": planned(4.0, leg=2.5, lift=0.05),
}


def ends(curve, u):
    d = derivatives(curve, np.array([u]), 2)
    return np.array([d[0, 0], d[1, 0] / np.linalg.norm(d[1, 0]), curvature_vectors(d)[0]])


@pytest.mark.parametrize("name", CASES)
def test_the_exit_leaves_the_twist_and_joins_smoothly(name):
    end, plan = CASES[name]
    curves = exit_curves(end, plan)
    rate = (2.0 * math.pi / end.lay,)
    twist = {
        "tag": Strand(
            (end.tag_radius,), rate, end.angle - 1.0, end.z - end.lay / (2.0 * math.pi), end.lay / (2.0 * math.pi)
        ),
        "standing": Strand(
            (end.standing_radius,),
            rate,
            end.angle - 1.0 + math.pi,
            end.z - end.lay / (2.0 * math.pi),
            end.lay / (2.0 * math.pi),
        ),
    }
    top = core_line(curves.run_in_z, curves.run_in_z + 1.0)
    for before, after in (
        *pairwise([twist["tag"], *curves.tag]),
        *pairwise([twist["standing"], *curves.standing, top]),
    ):
        assert ends(before, before.span) == pytest.approx(ends(after, 0.0), abs=2e-10)


@pytest.mark.parametrize("name", CASES)
def test_the_numbers_of_an_exit_are_those_of_its_curves(name):
    end, plan = CASES[name]
    curves = exit_curves(end, plan)
    tip = positions(curves.tag[-1], np.array([curves.tag[-1].span]))[0]
    assert tip == pytest.approx([math.cos(curves.chi_end), math.sin(curves.chi_end), curves.z_end], abs=1e-12)
    assert curves.lay_end == BARREL
    assert curves.run_in_z == pytest.approx(end.z + plan.open_length + plan.leg)
    assert curves.run_in_turn == pytest.approx(unwound(curves, end), abs=1e-9)


def unwound(curves: ExitCurves, end: TwistEnd) -> float:
    """Rotation of the tag about the axis up to where the leg is straight, by fine steps."""
    total, last = 0.0, end.angle
    for curve in (c for c in curves.tag if not isinstance(c, CoreCoil)):
        p = positions(curve, np.linspace(0.0, curve.span, 4001))
        angles = np.unwrap(np.concatenate([[last], np.arctan2(p[:, 1], p[:, 0])]))
        total, last = total + angles[-1] - angles[0], angles[-1]
    return total


@pytest.mark.parametrize("lay", [3.3, 4.0, 6.0, 12.0])
@pytest.mark.parametrize("evenness", [1.0, 0.4])
def test_the_leg_ends_on_the_axis_pointing_along_it(lay, evenness):
    end, plan = planned(lay, evenness)
    leg = exit_curves(end, plan).standing[-1]
    top = ends(leg, leg.span)
    assert top == pytest.approx(np.array([[0.0, 0.0, end.z + plan.leg], [0.0, 0.0, 1.0], [0.0, 0.0, 0.0]]), abs=1e-11)


@pytest.mark.parametrize("lay", [3.5, 4.0, 5.0, 8.0, 14.0])
def test_the_swing_starts_at_the_lay_the_tag_arrives_with(lay):
    end, plan = planned(lay)
    ride = exit_curves(end, plan).tag[0]
    along = ends(ride, ride.span)[1, 2]
    assert math.acos(along) == pytest.approx(riding_lay(end.standing_radius, lay), abs=1e-12)


@pytest.mark.parametrize(("lay_from", "lay_to"), [(0.6, 1.41), (0.7, 2.0), (2.0, 1.1), (0.6, -1.41), (1.3, 1.3)])
def test_the_mean_sine_of_a_swing(lay_from, lay_to):
    def sine(t):
        return abs(mp.sin(lay_from + (lay_to - lay_from) * (3 * t**2 - 2 * t**3)))

    cuts = [0, 1]
    if lay_from * lay_to < 0:
        cuts.insert(1, mp.findroot(lambda t: lay_from + (lay_to - lay_from) * (3 * t**2 - 2 * t**3), 0.4))
    theirs = float(mp.quad(sine, cuts))
    assert mean_sine(lay_from, lay_to) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize(
    ("length", "lay_from", "lay_to"), [(4.0, 0.6, 1.41), (1.0, 0.6, 1.41), (2.0, 0.7, 2.0), (3.0, 2.0, 1.1)]
)
def test_the_peak_curvature_of_a_swing(length, lay_from, lay_to):
    t = np.linspace(0.0, 1.0, 1_000_001)
    lay = lay_from + (lay_to - lay_from) * (3.0 * t**2 - 2.0 * t**3)
    rate = (lay_to - lay_from) * 6.0 * t * (1.0 - t) / length
    peak = np.sqrt(rate**2 + np.sin(lay) ** 4).max()
    assert swing_peak_curvature(Swing(length, lay_from, lay_to)) == pytest.approx(peak, rel=1e-5)


def gap_of(lay: float, leg: float) -> float:
    """Least gap of the tag against the leg without lifting off, one turn of twist below and 3 D of leg above."""
    end = TwistEnd(0.5, 0.5, lay, 0.9, 2.0)
    curves = exit_curves(end, ExitPlan(leg, ()))
    rate = (2.0 * math.pi / lay,)
    leg_path = [
        Strand((0.5,), rate, 0.9 - math.pi, 2.0 - lay, lay),
        *curves.standing,
        core_line(curves.run_in_z, curves.run_in_z + 3.0),
    ]
    tag_path = [Strand((0.5,), rate, 0.9 - 2.0 * math.pi, 2.0 - lay, lay), *curves.tag]
    return nearest([Path(tuple(CurvePiece("", c) for c in part)) for part in (leg_path, tag_path)]).gap


@pytest.mark.parametrize(("leg", "gap", "digits"), [(3.0, -0.005, 3), (2.0, -0.10, 2), (1.0, -0.39, 2)])
def test_shorter_is_an_overlap(leg, gap, digits):
    assert round(gap_of(4.0, leg), digits) == pytest.approx(gap)


def test_the_overlap_starts_at_a_leg_of_3_20():
    assert gap_of(4.0, 3.21) == pytest.approx(0.0, abs=1e-9)
    assert gap_of(4.0, 3.19) < -1e-7


def test_an_over_twist_cannot_open_in_touch():
    end, plan = CASES["opened, over-twist"]
    assert end.standing_radius == even_radius(2.5) > 0.5
    curves = exit_curves(end, plan)
    middle = [positions(c, np.array([c.span / 2.0]))[0] for c in (curves.standing[0], curves.tag[0])]
    assert np.hypot(*(middle[0] - middle[1])[:2]) == pytest.approx(even_radius(2.5) + 0.5 + 2.0 * plan.bulge, abs=1e-12)
