"""Holding: hinges, grip, bends, contact, handling beside independent calculations; rated loads beside practice."""

from __future__ import annotations

import math
from functools import cache

import pytest

from helix import recipe_from_text
from helix.data.wire_sizes import find_size
from helix.mechanics import barrel_hinge, grip, handling, tag_tension
from helix.mechanics.bends import retained
from helix.model.joint.wire import wire_of
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold
from validation.practice_facts import SizeFact, facts
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
SHEET = "derivation in docs/theory/holding.md; an independent calculation"
BENDS = "derivation in docs/theory/retained-strength.md; an independent calculation"
HANDS = "derivation in docs/theory/handling.md; an independent calculation"
PRACTICE = facts().mark
COIL = 0.974668  # curvature times d of a touching barrel


@cache
def held(size: str, turns: float, wraps: float) -> HoldResult:
    """Our estimate of a joint that practice speaks of."""
    text = f'wire = {{size = "{size}", material = "302 stainless"}}\neye = {{pin = "8 d"}}\n'
    return hold(recipe_from_text(f"{text}twist = {{turns = {turns}}}\nbarrel = {{wraps = {wraps}}}\n"))


def rated_under_minimum(size: str) -> float:
    """How far the rated load lies under the standard's minimum, %."""
    each = next(found for found in facts().sizes if found.size == size)
    wire = wire_of(facts().material, find_size(size).diameter_mm)
    return 100.0 * (1.0 - each.rated_load_n / wire.breaking_load_n[0])


ROWS = [
    Row(
        "pull that uncoils a set coil by bending, over strength, flow stress the strength, kappa d = 1", SHEET, "der",
        "0.2122", lambda: float(barrel_hinge.hinge_bending(1.0, 1.0)), 5e-5, PRINTED,
    ),
    Row(
        "pull that opens a set coil by torsion, over strength, flow stress the strength", SHEET, "der",
        "0.1925", lambda: float(barrel_hinge.hinge_torsion(1.0)), 5e-5, PRINTED,
    ),
    Row(
        "model L at 45 deg without turns but with the twist's slant, flow 0.9, over strength", SHEET, "der",
        "0.263", lambda: float(barrel_hinge.hinge_bending(0.9, COIL)) * 2.0 * math.cos(math.pi / 4.0), 5e-4, PRINTED,
    ),
    Row(
        "model L at 45 deg, 4 turns, friction 0.04, over strength", "0.263/(1 - pi mu N)", "der",
        lambda: 0.263 / (1.0 - math.pi * 0.04 * 4.0),
        lambda: float(grip.slip_linear(barrel_hinge.hinge_bending(0.9, COIL), 0.04, 4.0, math.pi / 4.0)), 1.1e-3,
        "0.263 is printed to three digits and is multiplied by two",
    ),
    Row(
        "contact of leg on leg by model L, load per d of wire, lay 3.75 d", SHEET, "der",
        "0.52", lambda: float(tag_tension.leg_contact(0.824553, math.atan(math.pi / 3.75))), 0.02,
        "printed with two digits, its lay not stated: 0.538 at 3.75 d, 0.485 at 4 d",
    ),
    *(
        Row(
            f"share of strength left at R = d, true strain at break {eps}", BENDS, "der", value,
            lambda eps=eps: float(retained.retained_share(0.5, eps)), 5e-3, PRINTED,
        )
        for eps, value in ((0.6, "0.59"), (0.7, "0.84"), (0.8, "0.99"))
    ),
    Row(
        "the same at R = 1.5 d, 0.6", BENDS, "der", "1.0", lambda: float(retained.retained_share(1.0 / 3.0, 0.6)),
        0.05, PRINTED,
    ),
    Row(
        "torque that twists a pair at 45 deg, over sigma d^3", HANDS, "der", "0.2357",
        lambda: float(handling.twist_torque(math.pi / 4.0, 1.0, 1.0)), 5e-5, PRINTED,
    ),
    Row(
        "plastic torque of the bare wire, over sigma d^3", HANDS, "der", "0.151",
        lambda: float(handling.wire_torque(1.0, 1.0)), 5e-4, PRINTED,
    ),
    Row(
        "slope of a free length that is wound, over (sigma/E) (L/d)", HANDS, "der", "1.70",
        lambda: float(handling.wander_slope(1.0, 1.0, 1.0, 1.0)), 5e-3, PRINTED,
    ),
    *(
        Row(
            f"free length at a slope of 15 deg, flow stress {flow:g} MPa, E 190 GPa, d", HANDS, "der", value,
            lambda flow=flow: float(handling.free_length(math.radians(15.0), flow, 190e3, 1.0)), 0.5, PRINTED,
        )
        for flow, value in ((1800.0, "16"), (1575.0, "19"))
    ),
    *(
        Row(
            f"rated load of {each.size} under the least of ASTM A313 type 302, %",
            f"ratings lie 6 to 10 % under it ({PRACTICE})", "mem", "8",
            lambda size=each.size: rated_under_minimum(size), 2.05, "a range of 6 to 10, its ends rounded",
        )
        for each in facts().sizes
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.parametrize("each", facts().sizes, ids=lambda each: each.size)
def test_the_four_sizes_lock_and_their_bands_hold_the_means(each: object) -> None:
    fact = next(found for found in facts().sizes if found == each)
    found = held(fact.size, 5, 5)
    assert found.verdict == "locks"
    assert found.hold_n.low < fact.mean_n < found.hold_n.high


@pytest.mark.parametrize("each", facts().sizes, ids=lambda each: each.size)
def test_the_load_to_plan_with_lies_below_the_mean_and_the_expected_one_near_it(each: SizeFact) -> None:
    # from the table and mechanics alone; nothing was fitted to these means. 12 %: what one sigma of model error (8 %) and of
    # the table's and a straightener's spread (6 %) make together, rounded up
    found = held(each.size, 5, 5)
    assert found.plan_with_n < each.mean_n
    assert found.hold_n.nominal == pytest.approx(each.mean_n, rel=0.12)


def test_the_residual_grows_with_size_and_is_not_tuned_away() -> None:
    # 95, 94, 100 and 104 % of the means from the thinnest to the thickest: a trend that no model here knows
    ratios = [held(each.size, 5, 5).hold_n.nominal / each.mean_n for each in facts().sizes]
    assert 0.9 < max(ratios[:2]) < min(ratios[2:]) < 1.1


def test_four_and_four_has_odds_of_one_in_three_at_least() -> None:
    assert held(facts().short_size, 4, 4).probability.unwinds > 1.0 / 3.0


def test_four_and_four_unwinds_or_is_marginal() -> None:
    assert held(facts().short_size, 4, 4).verdict in ("unwinds", "marginal")


def test_a_twist_secured_against_untwisting_is_stronger() -> None:
    # direction only, from soft surgical wire: Schultz, Boger & Dunn, Clin. Orthop. 198 (1985) 304 [pub]: twists fail by
    # untwisting; Meyer et al. 2003, doi 10.1016/s0268-0033(03)00181-5 [pub]: secured against it they are stronger
    for turns in (2, 4, 5):
        bare, secured = held("MWG 14", turns, 0), held("MWG 14", turns, 5)
        assert bare.governs_place == "unwinding"
        slips = [
            model.hold_n for model in bare.applicable
        ]  # of a twist alone there is no load, but what the models say
        assert slips and secured.hold_n.nominal > max(slips)
        assert secured.probability.unwinds <= bare.probability.unwinds


def test_the_share_of_the_rated_load_can_exceed_all_of_it() -> None:
    # practice has 100 % and a little over: ratings lie under the standard's minimum
    each = held("MWG 10", 5, 5)
    rated = next(fact.rated_load_n for fact in facts().sizes if fact.size == "MWG 10")
    assert each.wire.breaking_load_n.low > rated
