"""What hands apply, and stretch. What is tested, strongest first:

* moments against the kernels and each other; springback as `helix shape` has it, and its inverse;
* two wires: the work that the curvature of the built joint takes, twice the wire at each handle;
* scaling of everything with d and sigma; counts of grips;
* stretch: tends to that of two parallel wires for a long lay, is proportional where it is elastic, and its bounds hold.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.findings import Severity
from helix.mechanics import limits
from helix.mechanics.bends.bending import sprung_radius
from helix.mechanics.bends.hand_twist import LEAST_PULL
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import recipe_from_values
from helix.output.hold.form_answers import form_answer
from helix.output.hold.form_report import hands_lines
from helix.output.report.record import record
from helix.output.words.assumptions import stretch_note
from helix.output.words.findings.finding_words import explain
from helix.studies.hold.holding import hold
from helix.studies.hold.stretch import stretch
from helix.studies.judge import judge
from helix.studies.shape.shape import shape
from helix.studies.teaching.hand_work import PLIERS_ARM_MM, form
from helix.studies.teaching.steps import forming_steps
from tests.studies.hold.hold_recipes import joint, own

RECIPE = joint()
FOUND = form(RECIPE)
D14 = RECIPE.wire.diameter_mm


def work(found, name):
    return next(each for each in found.work if each.motion == name)


def test_moments_by_hand():
    d, strength = RECIPE.wire.diameter_mm, RECIPE.wire.strength_mpa[1]
    plastic = 0.9 * strength * d**3 / 6.0
    twist = work(FOUND, "twist the pair").moment_n_mm
    assert twist.nominal == pytest.approx(2.0 * math.sin(math.atan(math.pi / 4.0)) * plastic, rel=1e-9)
    assert work(FOUND, "wind a wrap").moment_n_mm.nominal == pytest.approx(plastic, rel=0.015)  # its lead of 9 deg
    assert twist.low < twist.nominal < twist.high
    assert work(FOUND, "wind a wrap").moment_n_mm.nominal > FOUND.bare_wire_torque_n_mm.nominal
    for each in FOUND.work:
        assert each.least_crank_mm * FOUND.hand_force_n == pytest.approx(each.moment_n_mm.nominal)
        assert each.force_at_handle_n * RECIPE.finish.handle_mm == pytest.approx(each.moment_n_mm.nominal)


def test_a_large_pin_bends_the_wire_elastically():
    found = form(joint(pin="400 d"))
    d, e = RECIPE.wire.diameter_mm, RECIPE.wire.modulus_mpa
    elastic = e * math.pi * d**4 / 64.0 / (200.5 * d)
    assert work(found, "bend round the pin").moment_n_mm.nominal == pytest.approx(elastic, rel=1e-9)
    assert found.springback.eye_after_mm is None


def test_springback_is_that_of_the_shape_and_its_pin_undoes_it():
    finished = shape(RECIPE).finished
    assert FOUND.springback.eye_after_mm == pytest.approx(finished.sprung_eye_width_mm, rel=0.02)
    d, strength, e = RECIPE.wire.diameter_mm, RECIPE.wire.strength_mpa[1], RECIPE.wire.modulus_mpa
    again = 2.0 * sprung_radius(0.5 * (FOUND.springback.pin_for_wanted_eye_mm + d), d, strength, e) - d
    assert again == pytest.approx(RECIPE.eye.pin_mm, rel=1e-9)
    assert FOUND.springback.barrel_gap_mm == pytest.approx(0.5 * (finished.sprung_barrel_inside_mm - d), rel=1e-6)
    assert 0.025 * d < FOUND.springback.barrel_gap_mm < 0.045 * d


def test_the_tag_is_held_as_often_as_its_free_length_needs():
    d = RECIPE.wire.diameter_mm
    assert 15.0 * d < FOUND.grips.free_length_mm < 19.0 * d
    assert FOUND.grips.tag_holds * FOUND.grips.free_length_mm >= FOUND.grips.tag_wire_mm
    assert form(joint(wraps=0)).work[1].motion == "bend round the pin"


@pytest.mark.parametrize(("turns", "wraps"), [(5, 5), (12, 5), (2, 40), (5, 0), (0, 5)])
def test_the_grip_moves_on_as_late_as_it_can(turns, wraps):
    found = form(joint(turns=turns, wraps=wraps))
    grips, sizes = found.grips, build_joint(found.recipe).layout.sizes
    d, reach, worked = found.recipe.wire.diameter_mm, grips.free_length_mm, grips.worked_mm
    barrel = worked - sizes.wraps * sizes.pitch * d
    at = [0.0, *(turn * sizes.lay * d for turn in grips.after_turns)]
    at += [barrel + wrap * sizes.pitch * d for wrap in grips.after_wraps]
    assert grips.grip_moves == len(at) - 1
    assert at == sorted(set(at))
    assert worked - at[-1] <= reach  # the last grip reaches the end
    for here, move in pairwise(at):
        part = sizes.lay * d if move < barrel - 1e-9 else sizes.pitch * d
        assert move - here <= reach < worked - here  # within reach, and needed
        last_turn = int(sizes.turns) * sizes.lay * d
        following = move + part if move != pytest.approx(last_turn) else barrel + sizes.pitch * d
        assert following - here > reach or following > worked - 1e-9  # one turn or wrap later is out of reach


def test_the_tools_are_those_that_the_hardest_wire_needs():
    assert (FOUND.tools.turns_by, FOUND.tools.crank_mm, FOUND.tools.held_in) == ("hand", None, "pliers")
    most = max(each.moment_n_mm.high for each in FOUND.work)
    assert form(RECIPE, most / FOUND.grips.free_length_mm * 1.001).tools.turns_by == "hand"
    weak = form(RECIPE, most / FOUND.grips.free_length_mm * 0.999).tools
    assert (weak.turns_by, weak.held_in) == ("jig", "pliers")
    assert weak.crank_mm == pytest.approx(FOUND.grips.free_length_mm, rel=0.01)
    assert form(RECIPE, most / PLIERS_ARM_MM * 1.001).tools.held_in == "pliers"
    assert form(RECIPE, most / PLIERS_ARM_MM * 0.999).tools.held_in == "vice"


def test_everything_scales_with_the_wire():
    one, two = form(own(0.5, 2000.0)), form(own(1.0, 2000.0))
    for a, b in zip(one.work, two.work, strict=True):
        assert b.moment_n_mm.nominal == pytest.approx(8.0 * a.moment_n_mm.nominal)
    assert two.grips.free_length_mm == pytest.approx(2.0 * one.grips.free_length_mm)
    assert (two.grips.grip_moves, two.grips.tag_holds) == (one.grips.grip_moves, one.grips.tag_holds)
    hard = form(own(0.5, 1000.0))
    assert hard.work[0].moment_n_mm.nominal == pytest.approx(0.5 * one.work[0].moment_n_mm.nominal)
    assert hard.grips.free_length_mm == pytest.approx(2.0 * one.grips.free_length_mm)


def test_no_force_is_refused():
    with pytest.raises(ValueError, match="hand_force_n must be above zero"):
        form(RECIPE, 0.0)


@pytest.mark.parametrize("lay", [3.5, 4.0, 5.0, 6.0])
def test_hands_hold_wider_than_the_lay_that_comes_out(lay):
    hands = form(joint(twist=f'lay_length = "{lay} d"')).hands
    half = math.atan(math.pi / lay)
    assert math.radians(0.5 * hands.held_deg) * 0.67 == pytest.approx(half)
    assert hands.first_crossing_strain > hands.twist_strain == pytest.approx(math.sin(half) ** 2)
    assert round(hands.square_lay_d, 1) == 5.4
    wire = joint().wire
    plastic = 0.9 * wire.strength_mpa[1] * wire.diameter_mm**3 / 6.0
    assert hands.even_pull_n == pytest.approx(6.0 * plastic * math.sin(half) ** 2 / wire.diameter_mm)


@pytest.mark.parametrize("lay", [4.0, 5.3, 5.5, 6.0])
def test_a_first_crossing_is_found_by_the_limit_of_every_bend(lay, monkeypatch):
    """Failed once: hands 114 deg apart, strain 0.59, were no finding; a throat of 105 deg, strain 0.58, was sharp."""
    made = form(joint(twist=f'lay_length = "{lay} d"'))
    hands, half = made.hands, math.atan(math.pi / lay)
    assert bool(made.of_making) == (hands.held_deg > 90.0) == (hands.first_crossing_strain > limits.STRAIN_OK)
    assert 2.0 * math.degrees(half) < hands.firm_deg < hands.pulled_deg < hands.held_deg
    assert (hands.pull_n, hands.pull_share) == (50.0, pytest.approx(50.0 / joint().wire.breaking_load_n[1]))
    assert hands.unlike_evenness < limits.EVEN
    for found in made.of_making:
        assert (found.code, found.severity, found["strain_limit"]) == (
            "hard-crossing",
            Severity.CAUTION,
            limits.STRAIN_OK,
        )
        assert found["free_deg"] == pytest.approx(2.0 * math.degrees(math.atan(math.pi / lay)))
    monkeypatch.setattr(limits, "STRAIN_OK", 0.99 * hands.first_crossing_strain)
    assert form(joint(twist=f'lay_length = "{lay} d"')).of_making


def test_what_hands_do_to_a_first_crossing_is_no_finding_of_the_joint():
    made = form(RECIPE)
    assert made.of_making and judge(RECIPE).severity is Severity.OK and record(made)["judgement"]["severity"] == "ok"


@pytest.mark.parametrize("force_n", [0.1, 5.0, 50.0, 1e4])
@pytest.mark.parametrize("d_mm", [0.3, 0.74, 2.0])
def test_what_mends_a_hard_crossing_is_a_pull_that_does(d_mm, force_n):
    """Failed once: without pull, 114 deg, the crossing is too hard: pull 0.1 N along each leg, 114 deg apart."""
    made = form(own(d_mm, 2000.0), force_n)
    (found,) = made.of_making
    assert found["pulled_deg"] < found["held_deg"] - 5.0
    assert found["pull_n"] >= min(LEAST_PULL * made.recipe.wire.breaking_load_n[1], force_n)


@pytest.mark.parametrize(
    ("recipe", "force_n", "said"),
    [
        (joint('size = "MWG 12"'), 0.1, "not simulated so"),
        (joint('size = "MWG 12"', twist='lay_length = "12 d"'), 50.0, "not simulated so"),
        (joint('size = "MWG 12"'), 50.0, "(simulated)"),
        (own(0.74, 2000.0, twist='lay_length = "7.2 d"'), 50.0, "not simulated so"),
        (own(0.74, 2000.0, twist='lay_length = "7.2 d"'), 86.0, "(simulated)"),
    ],
)
def test_hands_that_nobody_simulated_are_not_said_to_be(recipe, force_n, said):
    """Failed once: hands that pull 0.0001 of the strength, and a lay of 12 d, were told as simulated."""
    made = form(recipe, force_n)
    assert said in " ".join(form_answer(made, "metric").lines)
    told = " ".join(hands_lines(made, "metric"))
    assert ("nobody has simulated" in told) == (said != "(simulated)")
    assert ("evenness of at most" in told) == (force_n < 1.0)


def test_a_pull_beyond_a_person_is_not_leant_on():
    assert "a bar to lean on" in hands_lines(form(own(0.74, 2000.0)), "metric")[0]
    thick = hands_lines(form(own(2.0, 2000.0)), "metric")[0]
    assert "a bar to lean on" not in thick and "more than a person gives (assumed)" in thick


def test_no_twist_needs_no_angle_and_no_hands_wind_too_short_a_lay():
    assert form(joint(turns=0)).hands is None
    assert form(joint(twist='lay_length = "2.2 d"')).hands.held_deg is None


# ------------------------------------------------------------------ stretch

SHAPE, HOLD = shape(RECIPE), hold(RECIPE, draws=500)


def test_the_bounds_enclose_and_the_elastic_part_is_proportional():
    one, two = stretch(SHAPE, HOLD, 400.0), stretch(SHAPE, HOLD, 800.0)
    for found in (one, two):
        assert 0.0 < found.joint_stretch_mm.low <= found.joint_stretch_mm.nominal <= found.joint_stretch_mm.high
        assert found.length_under_load_mm.nominal == pytest.approx(
            SHAPE.finished.length_mm + found.joint_stretch_mm.nominal
        )
    assert two.joint_stretch_mm.low == pytest.approx(2.0 * one.joint_stretch_mm.low)
    assert two.joint_stretch_mm.nominal == pytest.approx(2.0 * one.joint_stretch_mm.nominal)
    assert two.joint_stretch_mm.high > 2.0 * one.joint_stretch_mm.high  # legs flatten with the square of the load
    loads = [at.load_n for at in one.curve]
    assert loads[-1] == 400.0 and loads == sorted(loads)
    assert one.curve[-1].stretch_mm == one.joint_stretch_mm


def test_the_standing_leg_is_a_straight_wire():
    found = stretch(SHAPE, HOLD, 500.0)
    wire = RECIPE.wire
    length = SHAPE.joint.section_mm("standing")
    assert found.standing_stretch_mm == pytest.approx(500.0 * length / (wire.modulus_mpa * wire.area_mm2))


def test_a_twist_stretches_no_less_than_two_parallel_wires_and_tends_to_them():
    for lay, most in ((4.0, 3.0), (40.0, 1.7)):
        recipe = joint(twist=f'lay_length = "{lay} d"')
        found = stretch(shape(recipe), hold(recipe, draws=500), 500.0)
        length = 5.0 * lay * recipe.wire.diameter_mm
        parallel = 0.5 * 500.0 * length / (recipe.wire.modulus_mpa * recipe.wire.area_mm2)
        twist = next(part.stretch_mm for part in found.parts if part.part == "twist")
        assert parallel < twist < most * parallel


def test_stretch_scales_with_the_wire():
    results = []
    for d in (0.5, 1.0):
        recipe = own(d, 2000.0)
        results.append(stretch(shape(recipe), hold(recipe, draws=500), 200.0 * d * d).joint_stretch_mm)
    assert results[1].nominal == pytest.approx(2.0 * results[0].nominal, rel=1e-6)
    assert results[1].high == pytest.approx(2.0 * results[0].high, rel=1e-6)


def test_a_load_beyond_the_hold_is_told_and_beyond_the_wire_refused():
    assert "above the nominal hold" in stretch_note(stretch(SHAPE, HOLD, 1.01 * HOLD.hold_n.nominal))
    assert stretch_note(stretch(SHAPE, HOLD, 100.0)) is None
    for load in (0.0, -1.0, math.nan, 2000.0):
        with pytest.raises(ValidationError, match="load: must be above 0 and at most 1179 N"):
            stretch(SHAPE, HOLD, load)
    uneven = joint(twist="evenness = 0.4")
    assert "No model" in stretch_note(stretch(shape(uneven), hold(uneven, draws=500), 100.0))


@pytest.mark.parametrize("pair", ["side by side", "one over the other"])
def test_two_wires_take_the_work_of_bending_both(pair):
    """Twist and wraps: what the built joint's curvature takes over a turn; the eye: each wire round its own radius."""
    two = recipe_from_values({"size": "MWG 14", "material": "302 stainless", "pin_mm": 8.0, "count": 2, "pair": pair})
    found = form(two)
    wire, built, sizes = found.recipe.wire, build_joint(found.recipe), build_joint(found.recipe).layout.sizes
    plastic = 0.9 * wire.strength_mpa[1] * wire.diameter_mm**3 / 6.0
    for motion, sections, turns in (
        ("twist the pair", ("twist_standing", "twist_tag"), 5.0),
        ("wind a wrap", ("barrel",), 5.0),
    ):
        bent = 0.0
        for path in built.layout.paths:
            names = np.array([piece.section for piece in path.pieces])
            line = path.sample(0.01)
            own = np.isin(names[line.piece], sections)
            bent += float(np.sum(np.linalg.norm(line.curvature[own], axis=1) * np.gradient(line.s)[own]))
        assert work(found, motion).moment_n_mm.nominal == pytest.approx(
            plastic * bent / (2.0 * np.pi * turns), rel=0.02
        )
    one = form(joint(pin="8 mm"))
    ratios = [
        work(form(both), "bend round the pin").moment_n_mm.nominal
        / work(form(alone), "bend round the pin").moment_n_mm.nominal
        for both, alone in (
            (two, one.recipe),
            (two.variant(eye=replace(two.eye, pin_mm=400.0 * D14)), joint(pin="400 d")),
        )
    ]
    if pair == "side by side":
        assert ratios == pytest.approx([2.0, 2.0])
    else:  # the outer wire is bent less: elastic it takes as much less as its radius is larger
        assert 1.99 < ratios[0] < 2.0 and ratios[1] == pytest.approx(1.0 + 200.5 / 201.5)
    for each in found.work:
        assert 2.0 * each.force_at_handle_n * found.recipe.finish.handle_mm == pytest.approx(each.moment_n_mm.nominal)
    assert found.hands is None and found.grips.free_length_mm == one.grips.free_length_mm
    assert found.grips.buckling_push_n == 2.0 * one.grips.buckling_push_n
    assert found.springback.barrel_gap_mm == pytest.approx(one.springback.barrel_gap_mm, rel=0.1)
    assert sizes.count == 2


def test_hands_and_the_making_tell_the_same_angles() -> None:
    """Failed once: 114 deg where it is formed and 76 in the making, and neither told which is which."""
    cross = next(step.sentence for step in forming_steps(shape(RECIPE)) if step.kind == "cross")
    assert FOUND.hands is not None and FOUND.hands.held_deg is not None
    own = next(bend.visible_angle_deg for bend in shape(RECIPE).bends if bend.name == "entry_tag")
    assert [f"{angle:.0f}" for angle in (own, FOUND.hands.pulled_deg)] == re.findall(r"[0-9]+", cross)


def test_the_pull_is_that_of_the_hand_and_the_angle_is_that_of_the_pull() -> None:
    """Failed once: 90 deg were told without a force, and what held at 114 deg was told to take 371 N."""
    weak, strong, strongest = (form(RECIPE, force).hands for force in (20.0, 120.0, 1000.0))
    assert weak is not None and strong is not None and strongest is not None
    assert weak.pull_n == 20.0 and weak.pulled_deg > FOUND.hands.pulled_deg > strong.pulled_deg
    assert strongest.pull_share == 0.2 and strongest.pull_n == pytest.approx(0.2 * RECIPE.wire.breaking_load_n[1])
    line = next(line for line in form_answer(form(RECIPE, 120.0), "metric").lines if line.startswith("Twist"))
    assert f"{strong.pulled_deg:.0f} deg apart, 120 N along each" in line
    crossing = next(iter(form(RECIPE, 120.0).of_making))
    assert explain(crossing).do == f"pull 120 N along each leg, {strong.pulled_deg:.0f} deg apart"
    told = " ".join(hands_lines(form(RECIPE, 20.0), "metric"))
    assert "nobody has simulated" in told and "wound on a bar" in told
    assert "wound on a bar" not in " ".join(hands_lines(form(RECIPE, 120.0), "metric"))
