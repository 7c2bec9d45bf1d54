"""Inspection: known joints are found again, and judged as they are made.

Map of what must hold:
  calipers on a built joint read the sizes that its recipe has; exact readings give the recipe back, and no finished length off
  the judgement is that of the joint as made; no fault is said to hold more than what was intended
  seeded trials of joints off their recipe: all sizes within their limits in 9 of 10 or more
"""

from __future__ import annotations

import math

import pytest

from helix.findings import Severity
from helix.geometry.twist.strands import touching_pitch
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe import Recipe, recipe_from_text
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.studies.inspect.inspection import inspect
from helix.studies.judge import judge
from helix.studies.shape.joint_sizes import eye_length_mm, finished_mm
from helix.studies.shape.shape import shape
from tests.studies.inspect.caliper_readings import caliper_readings
from tests.studies.inspect.inspected_joints import D, found, inspected, recipe, seen
from tests.studies.inspect.inspection_trials import trial


@pytest.mark.parametrize("name", ["logger-tether", "faults/uneven-half", "faults/over-twist", "faults/open-barrel"])
def test_calipers_read_the_sizes_of_the_recipe(name: str) -> None:
    joint = build_joint(recipe(name))
    seen, made, d = caliper_readings(joint), recipe(name), joint.diameter_mm
    pitch = made.barrel.pitch_mm or touching_pitch() * d
    assert (seen["turns"], seen["wraps"]) == (made.twist.turns, made.barrel.wraps)
    assert seen["twist_length"] == pytest.approx(made.twist.turns * made.twist.lay_mm, abs=2e-3 * d)
    sizes = joint.layout.sizes
    outer = max(sizes.standing_radius, sizes.tag_radius)
    assert seen["twist_diameter"] == pytest.approx((2 * outer + 1) * d, abs=1e-4 * d)
    assert seen["barrel_length"] == pytest.approx(made.barrel.wraps * pitch + d, abs=1e-6)
    assert seen["barrel_diameter"] == pytest.approx(3.0 * d, abs=1e-6)
    assert seen["eye"] == pytest.approx(made.eye.pin_mm, abs=2e-3 * d)
    assert seen["eye_length"] == pytest.approx(eye_length_mm(joint), abs=5e-3 * d)
    assert seen["length"] == pytest.approx(finished_mm(joint), abs=1e-3 * d)


def test_calipers_on_wraps_only_and_on_a_twist_only() -> None:
    wraps = caliper_readings(build_joint(recipe("faults/wraps-only")))
    assert wraps["turns"] == 0.0
    assert "twist_length" not in wraps
    twist = caliper_readings(build_joint(recipe("faults/twist-only")))
    assert twist["wraps"] == 0.0
    assert not {"barrel_length", "length"} & set(twist)


def test_quick_sizes_are_those_of_shape() -> None:
    shaped = shape(recipe())
    assert finished_mm(shaped.joint) == pytest.approx(shaped.finished.length_mm, abs=1e-5)
    assert eye_length_mm(shaped.joint) == pytest.approx(shaped.finished.eye_inside_length_mm, abs=1e-5)


def test_exact_readings_give_the_recipe_back() -> None:
    seen = caliper_readings(build_joint(recipe()))
    exact = {
        name: Reading(name=name, value=value, sd=0.0 if name in ("turns", "wraps") else 1e-4, stated=True)
        for name, value in seen.items()
    }
    result = inspect(recipe(), exact)
    assert result.verdict == "good"
    assert result.doubts == ()
    assert result.lay_mm.value == pytest.approx(recipe().twist.lay_mm, abs=2e-4)
    assert result.pin_mm.value == pytest.approx(6.0, abs=2e-4)
    assert result.gap_mm.value == pytest.approx(0.0, abs=2e-4)
    assert result.evenness.value == pytest.approx(1.0, abs=1e-3)
    off = result.finished_off_mm
    assert abs(off.value) < 5e-4
    assert off.low <= 0.0 <= off.high
    assert result.made.twist.evenness == 1.0
    assert result.made.barrel.pitch_mm is None
    assert result.made.twist.lay_mm == pytest.approx(recipe().twist.lay_mm, rel=1e-4)


def test_verdicts() -> None:
    assert inspected(twist_length="14.7 mm +- 0.1 mm", turns="5").verdict == "good"
    opened = inspected(barrel_length="7 mm +- 0.05 mm", wraps="5")
    assert opened.verdict == "remake"
    assert (opened.judgement.severity, opened.judgement.code) == (Severity.FAULT, "open-barrel")
    shifted = inspected(eye="7 mm +- 0.02 mm")
    assert shifted.verdict == "caution"
    (off,) = [finding for finding in shifted.of_readings if finding.code == "off-recipe"]
    assert (
        off.place == "eye" and off["recipe_mm"] == pytest.approx(6.0) and off["made_mm"] == pytest.approx(7.0, abs=0.1)
    )
    assert float(off["off_mm"] or 0.0) > float(off["allowed_mm"] or 0.0)


def test_the_recipe_as_made_is_a_recipe() -> None:
    made = inspected(barrel_length="7 mm +- 0.05 mm", wraps="5").made
    again = recipe_from_text(recipe_file_text(made))
    assert again.barrel.pitch_mm == pytest.approx((7.0 - D) / 5, rel=1e-6)
    assert shape(again).cut.total_mm == pytest.approx(shape(made).cut.total_mm, abs=1e-6)
    assert made.wire.size == "MWG 12"
    measured = found(wire="0.74 mm +- 0.001 mm", turns="5").made
    assert measured.wire.size is None
    assert measured.wire.diameter_mm == pytest.approx(0.74, abs=1e-3)


def test_joints_of_known_make_are_found_again() -> None:
    trials = [trial(recipe(), seed) for seed in range(10)]
    assert sum(each.recovered for each in trials) >= 9
    # and the limits are no wider than the readings ask for: the lay is known to a few per cent
    sizes = [each.found.sizes["lay"] for each in trials]
    assert max(size.sd / size.value for size in sizes) < 0.02
    again = trial(recipe(), 3)
    assert again.truth == trials[3].truth
    assert again.found.sizes == trials[3].found.sizes


@pytest.mark.slow
def test_joints_of_known_make_are_found_again_in_many_trials() -> None:
    trials = [trial(recipe(), seed) for seed in range(200)]
    assert sum(each.recovered for each in trials) >= 180


def with_wire(size: str) -> Recipe:
    text = f'[wire]\nsize = "{size}"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n[twist]\nturns = 5\n[barrel]\nwraps = 5\n'
    return recipe_from_text(text)


def test_too_few_turns_are_made_anew_whatever_the_length() -> None:
    heaviest = with_wire("MWG 14")
    for more in ({}, {"length": f"{shape(heaviest).finished.length_mm:.2f} mm +- 3 mm"}):
        result = seen(heaviest, turns="4", **more)
        assert result.verdict == "remake"
        assert result.judgement.code in ("may-unwind", "unwinds")
        assert result.load.unwinds > 1 / 3 > 20 * result.load.intended_unwinds
        assert 0.0 < result.load.plan_with_n < result.load.intended_plan_with_n
        assert result.load.lost_n == pytest.approx(result.load.intended_plan_with_n - result.load.plan_with_n)


@pytest.mark.parametrize(
    "texts",
    [{"turns": "4"}, {"barrel_length": "7 mm +- 0.05 mm", "wraps": "5"}, {"first_bend": "95 deg"}, {"exit": "100 deg"}],
)
def test_the_judgement_is_that_of_the_joint_as_made(texts: dict[str, str]) -> None:
    result = inspected(**texts)
    assert result.judgement == judge(result.made)
    assert result.verdict == "remake"


@pytest.mark.parametrize(
    "texts",
    [
        {"wire": "0.76 mm +- 0.001 mm", "turns": "4"},
        {"wire": "0.76 mm +- 0.001 mm", "first_bend": "95 deg"},
        {"wire": "0.76 mm +- 0.001 mm", "evenness": "nearly-even"},
        {"wraps": "4"},
    ],
)
def test_no_fault_is_said_to_hold_more_than_what_was_intended(texts: dict[str, str]) -> None:
    """A thicker wire holds more; with a fault in it the load is held to that of the joint intended."""
    load = inspected(**texts).load
    assert load.plan_with_n <= load.intended_plan_with_n
    assert inspected(wire="0.76 mm +- 0.001 mm").load.plan_with_n > inspected(turns="5").load.intended_plan_with_n


def test_what_no_model_speaks_of_has_no_load() -> None:
    for texts in (
        {"exit": "100 deg"},
        {"evenness": "one-straight"},
        {"barrel_length": "7 mm +- 0.05 mm", "wraps": "5"},
    ):
        load = inspected(**texts).load
        assert math.isnan(load.plan_with_n) and math.isnan(load.lost_n)
        assert load.intended_plan_with_n > 0.0
