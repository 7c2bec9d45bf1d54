"""It broke there: what to look at. What is tested, strongest first:

* every place of an estimate is known and every look has its words and is data;
* a fault that the joint has comes first, at the places that it concerns, and only there;
* what is expected there is said with the odds that the estimate gives.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from helix.findings import Severity
from helix.model.recipe.recipe_parts import Recipe
from helix.output.words.findings.finding_words import explain
from helix.output.words.findings.hold_findings import BREAK_WORDS
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold
from helix.studies.hold.places.broke_at import EXPECTED, PLACES, broke_at
from tests.studies.hold.hold_recipes import joint

GOOD = hold(joint(), draws=400)


def held(recipe: Recipe) -> HoldResult:
    return hold(recipe, draws=400)


def test_every_place_of_an_estimate_is_known_and_every_look_has_words():
    assert set(PLACES) == {place.place for place in GOOD.breaks}
    codes = set()
    faulty = held(joint(pin="4 d", twist='evenness = 0.6\nlay_length = "3.3 d"', more='[exit]\npeak_angle = "115 deg"'))
    wide = joint(pin="10 d")
    wide_held = held(wide.variant(eye=replace(wide.eye, throat_rad=math.radians(100.0))))
    for result in (GOOD, faulty, wide_held):
        for place in PLACES:
            answer = broke_at(result, place)
            assert len(answer.look_at) >= 3
            for finding in answer.look_at:
                codes.add(finding.code)
                assert finding.place == place and explain(finding).what and explain(finding, "inch").message
    assert codes == set(BREAK_WORDS)


@pytest.mark.parametrize(
    ("recipe", "place", "code"),
    [
        (joint(pin="4 d"), "eye", "thin-pin"),
        (joint(more='[exit]\npeak_angle = "115 deg"'), "exit_tag", "tag-past-square"),
        (joint(more='[exit]\nleg = "2 d"'), "exit_standing", "exit-sharp"),
        (joint(twist="evenness = 0.6"), "twist_standing", "twist-uneven"),
        (joint(twist='lay_length = "3.2 d"'), "twist_standing", "lay-tight"),
    ],
)
def test_what_the_joint_shows_comes_first_and_only_where_it_concerns(recipe: Recipe, place: str, code: str):
    result = held(recipe)
    first = broke_at(result, place).look_at[0]
    assert (first.code, first.severity) == (code, Severity.CAUTION)
    assert all(finding.code != code for finding in broke_at(GOOD, place).look_at)
    assert all(finding.severity is Severity.NOTE for finding in broke_at(result, "clear").look_at)


def test_a_good_joint_has_nothing_to_show_and_its_odds_are_the_estimates():
    for place in GOOD.breaks:
        answer = broke_at(GOOD, place.place)
        assert all(finding.severity is Severity.NOTE for finding in answer.look_at)
        here = answer.look_at[0]
        assert here.code == "break-here" and here["odds"] == place.odds_first == answer.odds_first
        assert here["usual"] == (place.odds_first >= EXPECTED)
    assert [place.place for place in GOOD.breaks if place.odds_first >= EXPECTED] == ["exit_standing"]


def test_a_joint_without_a_load_has_no_odds_and_none_are_told():
    result = held(joint(more='[exit]\npeak_angle = "115 deg"'))
    answer = broke_at(result, "exit_tag")
    assert math.isnan(answer.odds_first)
    assert not {"break-here", "break-load"} & {finding.code for finding in answer.look_at}


def test_another_place_is_refused():
    with pytest.raises(KeyError):
        broke_at(GOOD, "handle")
