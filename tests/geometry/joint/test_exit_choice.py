"""Choosing an exit: least wire under the cap without overlap, the bench rule, stated numbers, climbs, lift-off."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from helix.geometry.joint.exit_choice import BENCH_LEG, BENCH_SWING, ExitRequest, peak_curvature, plan_exit
from helix.geometry.joint.exit_clearance import COARSE, FINE, barrel_coil, last_turn, least_clearing, leg_gap, self_gap
from helix.geometry.joint.exits import (
    ExitPlan,
    Swing,
    TwistEnd,
    core_line,
    exit_curves,
    mean_sine,
    riding_lay,
    swing_peak_curvature,
)
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import touching_pitch, uneven_radii
from helix.geometry.wire.curves import CoreCoil, Strand, curvature_vectors, derivatives, positions
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import CurvePiece, Path

PITCH = touching_pitch()
BARREL = lay_angle(1.0, PITCH)
CAP = math.sin(BARREL) ** 2


def twist(lay: float, evenness: float = 1.0) -> TwistEnd:
    return TwistEnd(*uneven_radii(lay, evenness), lay, 0.4, 5.0)


def request(
    style: str = "gradual", leg=None, swing=None, peak=None, hand: float = 1.0, barrel: bool = True
) -> ExitRequest:
    angle = None if peak is None else math.radians(peak)
    return ExitRequest(style, leg, swing, angle, hand * BARREL if barrel else None, PITCH)


def peaks(end: TwistEnd, plan: ExitPlan) -> float:
    """Largest curvature over the whole exit, by dense differences of points."""
    curves, worst = exit_curves(end, plan), 0.0
    for curve in (*curves.standing, *curves.tag):
        p = positions(curve, np.linspace(0.0, curve.span, 6001))
        step = np.diff(p, axis=0)
        size = np.linalg.norm(step, axis=1)
        t = step / size[:, None]
        worst = max(worst, float((np.linalg.norm(np.diff(t, axis=0), axis=1) / (size[1:] + size[:-1]) * 2.0).max()))
    return worst


def gap(end: TwistEnd, plan: ExitPlan, wraps: float = 2.0, hand: float = 1.0) -> float:
    """Least gap of tag and leg from the last turn of the twist to some wraps."""
    curves = exit_curves(end, plan)
    standing, tag = last_turn(end)
    coil = [barrel_coil(curves, PITCH, hand, wraps)] if plan.swings else []
    top = max(curves.run_in_z, curves.z_end + wraps * PITCH) + 1.0
    chain = [[standing, *curves.standing, core_line(curves.run_in_z, top)], [tag, *curves.tag, *coil]]
    return nearest([Path(tuple(CurvePiece("", c) for c in part)) for part in chain]).gap


LAYS = [3.0, 3.2, 3.3, 3.4, 3.5, 4.0, 5.0, 6.0, 9.0, 15.0, 30.0]


@pytest.mark.parametrize(
    ("lay", "evenness"), [*((lay, 1.0) for lay in LAYS), *((lay, e) for lay in (3.2, 4.0, 9.0) for e in (0.5, 0.0))]
)
def test_a_gradual_exit_is_nowhere_sharper_than_the_sharper_of_twist_and_barrel_and_overlaps_nowhere(lay, evenness):
    end = twist(lay, evenness)
    found = plan_exit(end, request())
    assert found.cap == pytest.approx(max(CAP, helix_curvature(end.tag_radius, lay)))
    assert peaks(end, found.plan) <= found.cap * (1.0 + 1e-5)
    assert not found.overlaps
    assert gap(end, found.plan) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("lay", "over"),
    [
        (2.1, 0.10), (2.5, 0.006), (2.9, 1e-4),
        pytest.param(2.3, 0.03, marks=pytest.mark.slow), pytest.param(2.7, 1e-3, marks=pytest.mark.slow),
    ],
)  # fmt: skip
def test_an_over_twist_opens_sharper_than_the_cap_by_this_much(lay, over):
    """Legs that stand apart have to move in while the lay opens: no opening of 3 d stays under the twist's own
    curvature. A known limit, kept from growing; nothing overlaps."""
    end = twist(lay)
    found = plan_exit(end, request())
    assert found.cap < peaks(end, found.plan) <= found.cap * (1.0 + over)
    assert gap(end, found.plan) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("lay", "evenness"), [(3.5, 1.0), (4.0, 1.0), (6.0, 1.0), (15.0, 1.0), (4.0, 0.5)])
def test_a_shorter_run_in_or_swing_would_be_sharper_or_overlap(lay, evenness):
    end = twist(lay, evenness)
    found = plan_exit(end, request())
    plan = found.plan
    assert plan.open_length == 0.0
    shorter = replace(plan, leg=plan.leg * 0.999)
    assert peaks(end, replace(shorter, swings=())) > found.cap * (1.0 + 1e-6) or gap(end, shorter) < -1e-8
    (swing,) = plan.swings
    # the excess starts at the barrel's end, as slowly as a square
    assert swing_peak_curvature(swing) <= found.cap + 1e-10
    assert swing_peak_curvature(replace(swing, length=swing.length * 0.99)) > found.cap + 1e-10


@pytest.mark.parametrize(("lay", "leg"), [(3.5, 5.435), (4.0, 3.682), (5.0, 2.894), (6.0, 2.814)])
def test_the_run_in_of_a_gradual_exit(lay, leg):
    """Design values by an independent trial; a cap one unit of its fourth digit lower gives them: 0.9746 for 0.97467."""
    assert plan_exit(twist(lay), request()).plan.leg == pytest.approx(leg, abs=1.5e-3)


@pytest.mark.parametrize("lay", [2.3, 2.8, 3.1])
def test_a_tight_lay_is_opened_first(lay):
    end = twist(lay)
    plan = plan_exit(end, request()).plan
    assert plan.open_length == 3.0 and plan.open_lay > max(lay, math.pi)
    assert plan.open_radii == (0.5, 0.5)
    assert gap(end, replace(plan, swings=())) == pytest.approx(0.0, abs=1e-9)
    if plan.bulge:  # the least that clears
        assert gap(end, replace(plan, bulge=plan.bulge - 1e-5, swings=())) < -1e-7


@pytest.mark.parametrize("lay", [3.5, 4.0, 6.0, 10.0])
def test_the_bench_exit_is_a_share_of_the_gradual_one(lay):
    end = twist(lay)
    gradual, bench = plan_exit(end, request()).plan, plan_exit(end, request("bench")).plan
    assert bench.leg == pytest.approx(BENCH_LEG * gradual.leg, rel=1e-6)
    (swing,) = bench.swings
    assert swing.length * mean_sine(swing.lay_from, swing.lay_to) / (2.0 * math.pi) == pytest.approx(BENCH_SWING)
    assert gap(end, bench) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("swing", [0.1, 0.25, 0.5, 1.7])
@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_a_stated_swing_turns_as_far_as_is_stated(swing, hand):
    end = twist(4.0)
    plan = plan_exit(end, request("given", leg=3.7, swing=swing, hand=hand)).plan
    assert plan.leg == 3.7 and plan.lift == 0.0
    coil = exit_curves(end, plan).tag[-1]
    assert isinstance(coil, CoreCoil)
    u = np.linspace(0.0, coil.span, 200_001)
    sine = np.abs(np.sin(np.polynomial.polynomial.polyval(u / coil.span, coil.lay)))
    turned = np.sum((sine[1:] + sine[:-1]) / 2.0) * (u[1] - u[0])
    assert turned / (2.0 * math.pi) == pytest.approx(swing, rel=1e-8)


@pytest.mark.parametrize("leg", [2.3, 2.6, 3.0])
def test_a_short_run_in_is_lifted_off_by_the_least_that_clears(leg):
    end = twist(4.0)
    found = plan_exit(end, request("given", leg=leg))
    if found.overlaps:
        assert gap(end, found.plan) < -1e-9
        return
    assert 0.0 < found.plan.lift < 0.4
    assert gap(end, found.plan) == pytest.approx(0.0, abs=1e-8)
    assert gap(end, replace(found.plan, lift=found.plan.lift - 1e-5)) < -1e-8


def test_what_no_lift_clears_is_called_an_overlap():
    end = twist(4.0)
    found = plan_exit(end, request("given", leg=1.0, swing=0.1))
    assert found.overlaps and found.plan.lift == 0.0
    assert gap(end, found.plan) == pytest.approx(-0.394, abs=5e-4)


@pytest.mark.parametrize("peak", [90.0, 100.0, 120.0])
def test_an_overbent_exit_climbs_just_enough_to_clear_itself(peak):
    end = twist(4.0)
    found = plan_exit(end, request(peak=peak))
    assert max(s.lay_to for s in found.plan.swings) == math.radians(peak)
    assert found.plan.swings[-1].lay_to == BARREL
    assert not found.overlaps
    assert gap(end, found.plan, wraps=3.0) == pytest.approx(0.0, abs=1e-8)
    if found.climbs:
        up, down, settle = found.plan.swings
        less = down.lay_to + 1e-4  # a little less of a climb
        flat = replace(found.plan, swings=(up, replace(down, lay_to=less), replace(settle, lay_from=less)))
        assert gap(end, flat, wraps=3.0) < -1e-9


def test_a_peak_below_the_barrels_own_angle_changes_nothing():
    end = twist(4.0)
    assert plan_exit(end, request(peak=80.0)).plan == plan_exit(end, request()).plan


def test_without_a_barrel_there_is_a_run_in_and_no_swing():
    plan = plan_exit(twist(4.0), request(barrel=False)).plan
    assert plan.swings == () and plan.leg == pytest.approx(plan_exit(twist(4.0), request()).plan.leg, rel=1e-6)


def test_a_straight_leg_needs_no_run_in():
    plan = plan_exit(twist(4.0, 0.0), request()).plan
    assert plan.leg == 0.0 and plan.open_length == 0.0
    assert isinstance(plan.swings[0], Swing)


@pytest.mark.parametrize(("root", "power"), [(0.3, 1.0), (0.9, 1.0), (0.777, 0.5)])
def test_least_clearing_finds_where_a_gap_levels_off(root, power):
    calls = []

    def level(x: float) -> float:
        calls.append(x)
        return -(max(root - x, 0.0) ** power)

    found = least_clearing(level, 0.0, 1.0)
    assert found is not None and level(found) >= -1e-10
    assert found == pytest.approx(root, abs=1e-8)
    assert len(calls) < 64


def test_least_clearing_at_its_borders():
    assert least_clearing(lambda x: 0.0, 0.2, 1.0) == 0.2
    assert least_clearing(lambda x: -0.1, 0.2, 1.0) is None


def test_peak_curvature_of_a_leg_against_dense_samples():
    leg = exit_curves(twist(4.0), ExitPlan(2.5, ())).standing[0]
    assert isinstance(leg, Strand)
    u = np.linspace(0.0, leg.span, 200_001)
    dense = np.linalg.norm(curvature_vectors(derivatives(leg, u, 2)), axis=1).max()
    assert peak_curvature(leg) == pytest.approx(dense, rel=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_a_coarse_look_finds_the_gap_that_a_fine_one_makes_exact(seed):
    """Of legs and tags that overlap, touch or stand off, and of tags bent back over themselves."""
    rng = np.random.default_rng(seed)
    lay = rng.uniform(3.4, 8.0)
    end = twist(lay, rng.choice([1.0, rng.uniform(0.4, 1.0)]))
    plan = ExitPlan(rng.uniform(0.8, 4.0), (), lift=rng.choice([0.0, rng.uniform(0.0, 0.2)]))
    assert leg_gap(end, plan, COARSE) == pytest.approx(leg_gap(end, plan, FINE), abs=2e-3)
    barrel, start, peak = BARREL, riding_lay(end.standing_radius, lay), rng.uniform(1.5, 2.1)
    low = barrel - rng.uniform(0.0, 0.9)
    ways = ((2.6, start, peak), (1.7, peak, low), (1.9, low, barrel))
    bent = ExitPlan(rng.uniform(2.0, 4.0), tuple(Swing(*way) for way in ways))
    fine = self_gap(end, bent, PITCH, 1.0, FINE)
    assert self_gap(end, bent, PITCH, 1.0, COARSE) == pytest.approx(fine, abs=2e-3)
