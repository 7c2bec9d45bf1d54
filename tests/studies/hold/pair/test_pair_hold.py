"""The hold of a joint of two wires worked as one. What is tested, strongest first:

* no model says whether it unwinds: never a verdict, never a load of the joint itself, one judgement;
* the pair's load is never above twice that of the same joint in one wire, nor with a harder bend above that with a gentler one;
* what practice calls a fault has no load; slack and free length are told of two wires only;
* studies that know one wire say so; one wire and two are the same joint, there and back.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from helix.errors import ValidationError
from helix.model.measured.pull_file import pull_file_from_text
from helix.model.recipe.recipe import Recipe, recipe_from_text
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.own_pulls import own_pulls
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.hold_table import hold_table
from helix.studies.hold.holding import found_of_hold, hold_with, setting_of
from helix.studies.hold.pair.pair_hold import forecast_of_one, one_wire_of, two_wires_of
from helix.studies.hold.pair.pair_load import pair_load
from helix.studies.hold.places.bend_places import places_of
from helix.studies.hold.why import why

WIRE = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
DRAWS = 1000


@cache
def recipe(count: int = 2, more: str = "") -> Recipe:
    return recipe_from_text(f'{WIRE}count = {count}\n[eye]\npin = "8 mm"\n{more}')


@cache
def held(count: int = 2, more: str = "") -> HoldResult:
    return hold_with(recipe(count, more), setting_of(recipe(count, more), draws=DRAWS))


@pytest.mark.parametrize("counts", ["turns = 5", "turns = 9\n[barrel]\nwraps = 9"])
def test_no_count_makes_it_lock(counts: str) -> None:
    result = held(more=f"[twist]\n{counts}\n")
    assert result.verdict == "no model" and result.model is None and not result.applicable
    assert all(math.isnan(value) for value in (result.plan_with_n, result.expected_n, result.probability.unwinds))
    assert [finding.code for finding in result.findings] == ["two-wires"]


def test_its_findings_are_those_of_the_recipe() -> None:
    assert found_of_hold(recipe()) == hold_with(recipe(), setting_of(recipe())).findings


@pytest.mark.parametrize("more", ["", '[exit]\nstyle = "bench"\n', "[twist]\nturns = 3\n"])
def test_two_never_hold_more_than_twice_one(more: str) -> None:
    pair, one = held(more=more).pair, hold_with(one_wire_of(recipe(more=more)), setting_of(recipe(1), draws=DRAWS))
    assert pair is not None and pair.load is not None
    assert pair.load.one_plan_with_n <= one.plan_with_n * (1.0 + 1e-12)
    assert pair.load.one_expected_n <= one.expected_n * (1.0 + 1e-12)
    assert pair.load.plan_with_n < 2.0 * one.plan_with_n and pair.load.expected_n < 2.0 * one.expected_n


def test_a_harder_bend_of_two_lowers_what_each_holds() -> None:
    setting = setting_of(recipe(), draws=DRAWS)
    places = places_of(recipe())
    harder = [replace(place, strain=0.7) if place.name == "exit_standing" else place for place in places]
    usual, bent = (forecast_of_one(recipe(), where, setting) for where in (places, harder))
    assert usual is not None and bent is not None and bent.plan_with_n < 0.97 * usual.plan_with_n


def test_the_load_is_that_of_the_one_wire_with_its_slack_and_length() -> None:
    setting = setting_of(recipe(), draws=DRAWS)
    one = forecast_of_one(recipe(), places_of(recipe()), setting)
    result = hold_with(recipe(), replace(setting, slack_mm=0.5, free_length_mm=700.0))
    assert one is not None and result.pair is not None
    assert result.pair.load == pair_load(recipe().wire, one.pieces_n, 700.0, 0.5)
    assert held().pair.load.free_length_mm == recipe().finish.standing_mm == 300.0


@pytest.mark.parametrize("fault", ['pitch = "3 d"', "wraps = 0"])
def test_a_fault_that_no_model_knows_takes_the_load_away(fault: str) -> None:
    result = held(more=f"[barrel]\n{fault}\n")
    assert result.pair is not None and result.pair.load is None and result.not_estimated


@pytest.mark.parametrize(
    ("count", "slack", "length", "faults"),
    [(1, 1.0, None, ["slack"]), (1, 1.0, 300.0, ["slack", "free_length"]), (2, -1.0, 0.0, ["free_length", "slack"])],
)
def test_slack_and_length_that_cannot_be_are_told(
    count: int, slack: float, length: float | None, faults: list[str]
) -> None:
    setting = replace(setting_of(recipe(count), draws=DRAWS), slack_mm=slack, free_length_mm=length)
    with pytest.raises(ValidationError) as refused:
        hold_with(recipe(count), setting)
    assert [fault.path.key for fault in refused.value.faults] == faults


def test_studies_that_know_one_wire_say_so() -> None:
    setting = setting_of(recipe(), draws=DRAWS)
    for study, code in ((why, "why-of-two"), (hold_table, "table-of-two")):
        with pytest.raises(ValidationError) as refused:
            study(recipe(), setting)
        assert [fault.code for fault in refused.value.faults] == [code]


def test_one_wire_and_two_are_the_same_joint_there_and_back() -> None:
    one = one_wire_of(recipe())
    assert one.wire.count == 1 and one.twist.lay_mm == pytest.approx(4.0 * one.wire.diameter_mm)
    back = two_wires_of(one)
    assert back.twist.lay_mm == pytest.approx(recipe().twist.lay_mm, rel=1e-12)
    assert replace(back.wire, count=1) == one.wire == replace(recipe().wire, count=1)


def test_straight_pulls_move_the_load() -> None:
    nominal = recipe().wire.breaking_load_n[1]
    weak = hold_with(recipe(), setting_of(recipe(), draws=DRAWS), OwnPulls(straight_n=(0.8 * nominal,) * 5))
    assert weak.pair.load.plan_with_n < 0.95 * held().pair.load.plan_with_n


def test_pieces_of_two_wires_say_nothing_of_one_nor_the_other_way_round() -> None:
    rows = "id,group,size,joints,recipe,turns,wraps,load,unit,failure\n"
    rows += "1,A,MWG 12,1,one,5,5,700,N,broke_exit\n2,A,MWG 12,1,two,5,5,1300,N,broke_exit\n"
    rows += "3,A,MWG 12,1,,5,5,710,N,broke_exit\n"
    named = {"one": recipe(1), "two": recipe(2)}
    file = pull_file_from_text(rows, "pulls")
    assert own_pulls(file, recipe(2), named).loads_n == (1300.0,)
    assert 1300.0 not in own_pulls(file, recipe(1), named).loads_n
