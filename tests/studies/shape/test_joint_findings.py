"""Findings of a joint at their limits: what is found just inside and just outside each, where, how severe, with which values."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from helix.findings import Severity
from helix.geometry.twist.packing import zero_twist
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.joint.joint import build_joint
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape import joint_findings
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.shape import ShapeResult, shape
from tests.tools.brute import answer, recipe

QUICK = 'leg = "4 d"\nswing = 0.5'  # an exit that needs no search
SEARCHED = 'style = "gradual"'


def codes(**changes) -> dict[str, str]:
    found = answer(**{"exit": QUICK} | changes).findings
    return {finding.code: finding.severity.word for finding in found if not bends_of(finding)}


@pytest.mark.parametrize(
    ("changes", "wanted"),
    [
        ({}, {}),
        ({"lay": limits.LOOSE_LAY}, {}),
        ({"lay": limits.LOOSE_LAY + 0.001}, {"loose-lay": "fault"}),
        ({"lay": zero_twist(2).lay + 1e-6, "pin": 12, "exit": SEARCHED}, {"tight-lay": "caution"}),
        ({"lay": zero_twist(2).lay - 1e-6, "pin": 12, "exit": SEARCHED}, {"over-twist": "fault"}),
        ({"lay": 3.1415, "pin": 12, "exit": SEARCHED}, {"tight-lay": "caution"}),
        ({"lay": 3.1416, "exit": SEARCHED}, {}),
        ({"evenness": limits.EVEN}, {}),
        ({"evenness": limits.EVEN - 0.001}, {"uneven-twist": "caution"}),
        ({"evenness": limits.UNEVEN - 0.001}, {"uneven-twist": "fault"}),
        ({"barrel_hand": "opposite"}, {"opposite-hand": "fault"}),
        ({"turns": 0}, {"wraps-only": "fault"}),
        ({"wraps": 0}, {"no-barrel": "fault"}),
        ({"turns": limits.FEW - 0.2}, {"few": "caution"}),
        ({"wraps": 4.5}, {"few": "caution"}),
        ({"turns": 3}, {"few": "fault"}),
        ({"wraps": 1}, {"few": "fault"}),
        ({"wraps": 2}, {"few": "caution"}),
        ({"turns": 10}, {"many": "note"}),
        ({"pitch": touching_pitch() + 0.01}, {"open-barrel": "note"}),  # within the tolerance of 0.02 d
        ({"pitch": touching_pitch() + 0.03}, {"open-barrel": "fault"}),
        ({"pitch": touching_pitch() - 1.2 * limits.OVERLAP_D}, {"wraps-overlap": "fault"}),
        ({"pin": 1.2}, {}),
    ],
)
def test_what_is_flagged_at_the_limits(changes, wanted):
    assert codes(**changes) == wanted


@pytest.mark.parametrize(
    ("changes", "remedy"),
    [({"turns": 4}, "add-turns"), ({"wraps": 4}, "add-wraps"), ({"turns": 4, "wraps": 4}, "add-turns-first")],
)
def test_turns_are_advised_before_wraps(changes, remedy):
    """The models see no more in a third wrap: where both are few, more wraps alone mend nothing."""
    (finding,) = answer(exit=QUICK, **changes).findings
    assert (finding.code, finding.remedy) == ("few", remedy)
    assert (finding["few_turns"], finding["few_wraps"]) == ("turns" in changes, "wraps" in changes)
    assert finding.place == ("twist_tag" if "turns" in changes else "barrel")


def test_few_wraps_of_a_joint_without_a_twist_are_found_on_its_barrel():
    """Failed once: they were found on the twist that it does not have."""
    (few,) = [finding for finding in answer(exit=QUICK, turns=0, wraps=4).findings if finding.code == "few"]
    assert (few.place, few["few_turns"], few.severity) == ("barrel", False, Severity.CAUTION)


def test_a_twist_with_a_straight_leg_is_not_over_twisted_by_the_even_limit():
    assert "over-twist" not in codes(lay=2.6, evenness=0)


def test_an_eye_round_a_thin_pin():
    """A pin of 0.9 d is bent round 0.95 d: a strain of 0.53."""
    (finding,) = answer(exit=QUICK, pin=0.9).findings
    assert (finding.code, finding.place, finding.severity) == ("tight-eye", "eye", Severity.CAUTION)
    assert (
        limits.STRAIN_OK == finding["limit"] < float(finding["strain"] or 0.0) <= 0.5 / 0.95
    )  # averaged, so a little less


def with_load(rated: float) -> ShapeResult:
    one: Recipe = recipe(exit=QUICK)
    return shape(replace(one, wire=replace(one.wire, rated_load_n=rated)))


def test_a_rated_load_above_what_the_wire_breaks_at():
    low, nominal, _ = recipe().wire.breaking_load_n
    assert with_load(0.5 * low).findings == ()
    (fault,) = with_load(1.01 * nominal).findings
    assert (fault.code, fault.severity) == ("rated-above-breaking", Severity.FAULT)
    assert (fault["rated_n"], fault["breaking_n"]) == (1.01 * nominal, nominal)


@pytest.mark.parametrize(
    ("rated", "found"),
    [
        (90.0, []),
        (90.1, [("rated-above-least", Severity.CAUTION)]),
        (100.0, [("rated-above-least", Severity.CAUTION)]),
        (100.1, [("rated-above-breaking", Severity.FAULT)]),
    ],
)
def test_a_rated_load_beside_the_least_and_the_nominal_one(rated, found):
    wire = SimpleNamespace(breaking_load_n=(90.0, 100.0, 110.0), rated_load_n=rated)
    told = joint_findings._wire(SimpleNamespace(recipe=SimpleNamespace(wire=wire)))
    assert [(finding.code, finding.severity) for finding in told] == found


def test_an_overlap_names_what_presses():
    wraps = answer(exit=QUICK, pitch=1).findings[0]
    assert (wraps.code, wraps.place, wraps.remedy) == ("wraps-overlap", "barrel", "touching-pitch")
    result = answer(exit='leg = "1 d"\nswing = 0.1')
    (exits,) = [finding for finding in result.findings if finding.code == "overlap"]
    assert (exits.place, exits["of"], exits["within"]) == ("exit_tag", "exit_tag", "twist_standing")
    assert exits["overlap_d"] == pytest.approx(-result.clearance.least_d)
    assert exits["overlap_mm"] == pytest.approx(-result.clearance.least_d * result.joint.diameter_mm)


def test_a_part_that_overlaps_itself_is_not_called_wraps():
    """Failed once: a fold in the tag's exit was called neighbouring wraps, and a touching pitch advised."""
    folded = answer(turns=0.25, lay=17.35, evenness=0.432, exit='leg = "0.6232 d"\nswing = 0.0886', wraps=0.25)
    (finding,) = [f for f in folded.findings if f.code == "overlap"]
    assert folded.clearance.between == (finding["within"], finding["of"]) == ("exit_tag", "exit_tag")
    assert finding.remedy == "gradual-exit" and finding["leg_d"] > 0.0


@pytest.mark.parametrize(
    ("stated", "remedy"),
    [
        ({"exit": 'leg = "0.5 d"\nswing = 0.1'}, "gradual-exit"),
        ({"exit": 'leg = "0.5 d"\nswing = 0.1', "lay": 2.9}, "open-what-presses"),
    ],
)
def test_what_presses_is_mended_where_it_is_not_as_the_twist_would_have_it(stated, remedy):
    """One cure, that of the other findings of the exit, where there is one; else room."""
    found = {finding.code: finding for finding in answer(**stated).findings}
    assert found["overlap"].remedy == remedy
    if remedy == "gradual-exit":
        advised = {
            (found[code]["leg_d"], found[code]["swing_turns"])
            for code in ("overlap", "exit-overlaps", "tight-leg-exit")
        }
        assert len(advised) == 1


def test_lift_off_says_how_far():
    result = answer(exit='leg = "2.7 d"\nswing = 0.5')
    (finding,) = [f for f in result.findings if not bends_of(f)]
    assert (finding.code, finding.place, finding.severity) == ("lift-off", "exit_tag", Severity.CAUTION)
    assert finding["lift_d"] == result.clearance.lift_off_d


def test_what_the_recipe_notes_is_found_once():
    """That a rating is above the nominal load is found of the wire itself."""
    wire, eye = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n', '[eye]\npin = "8 d"\n'
    rest = f"{eye}[exit]\n{QUICK}\n[twist]\nturns = 5\n"

    def found(text: str) -> list[str]:
        joint = build_joint(recipe_from_text(text))
        assert len(joint.recipe.notes) == 1
        return [finding.code for finding in joint_findings.joint_findings(joint, None, 0.3)]

    assert found(f'{wire}rated_load = "9000 N"\n{rest}') == ["rated-above-breaking"]
    assert found(f'{wire}{rest}length = "13 d"\n')[-2:] == ["over-twist", "over-twisted-count"]


def test_two_wires_are_advised_a_lay_of_their_own():
    sizes = SimpleNamespace(count=2, lay=13.0, standing_radius=0.7, tag_radius=0.7)
    twist = SimpleNamespace(turns=5.0, evenness=1.0)
    made = SimpleNamespace(recipe=SimpleNamespace(twist=twist), layout=SimpleNamespace(sizes=sizes))
    (loose,) = joint_findings._twist(made)
    assert (loose["limit_d"], loose["usual_lay_d"]) == (limits.LOOSE_LAY_TWO, DOUBLED_LAY_D)
    sizes.count, sizes.standing_radius, sizes.tag_radius = 1, 0.5, 0.5
    (loose,) = joint_findings._twist(made)
    assert loose["limit_d"] == limits.LOOSE_LAY and "usual_lay_d" not in loose.values


def test_legs_bulge_both_ways():
    plan = SimpleNamespace(lift=0.0, bulge=0.2)
    (note,) = joint_findings._lift_off(SimpleNamespace(layout=SimpleNamespace(planned=SimpleNamespace(plan=plan))))
    assert (note.code, note["apart_d"]) == ("legs-apart", 0.4)


def test_a_gap_is_told_in_diameters_and_in_mm():
    result = answer(exit=QUICK, pitch=touching_pitch() + 0.03)
    (finding,) = result.findings
    assert finding["gap_d"] == pytest.approx(0.03, abs=1e-9)
    assert finding["gap_mm"] == pytest.approx(0.03 * result.joint.diameter_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "code", "values"),
    [
        ({"lay": 12}, "loose-lay", {"lay_d": 12.0, "limit_d": limits.LOOSE_LAY}),
        ({"lay": 2.5, "pin": 12, "exit": SEARCHED}, "over-twist", {"lay_d": 2.5, "limit_d": zero_twist(2).lay}),
        ({"wraps": 0}, "no-barrel", {}),
        ({"turns": 10}, "many", {"turns": 10.0, "crossings": 20.0, "usual": limits.FEW}),
    ],
)
def test_the_values_of_a_finding(changes, code, values):
    (finding,) = [f for f in answer(**{"exit": QUICK} | changes).findings if f.code == code]
    assert finding.place in SECTIONS and dict(finding.values) == pytest.approx(values)


def test_a_barrel_of_the_opposite_hand_gives_both_turns():
    (finding,) = answer(exit=QUICK, barrel_hand="opposite").findings
    lead, beta = math.degrees(math.atan2(touching_pitch(), 2.0 * math.pi)), math.degrees(math.atan(math.pi / 4.0))
    assert finding["turn_deg"] == pytest.approx(90.0 - lead + beta, abs=1e-9)
    assert finding["same_deg"] == pytest.approx(90.0 - lead - beta, abs=1e-9)
