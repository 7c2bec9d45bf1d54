"""Inspection: known joints are found again, direct readings follow their closed forms, impossible ones are told.

Map of what must hold:
  calipers on a built joint read the sizes that its recipe has
  exact readings of a joint give its recipe back, and no finished length off
  a direct reading and its limits = the closed form and its first derivatives
  what is not read is the recipe's, within its tolerances; a tighter reading gives tighter limits
  impossible readings name the count or the reading that would fit
  the judgement is that of the joint as made; no fault is said to hold more than what was intended
  angles that are seen, evenness in words, counts to where the tag leaves give the recipe's own; what is out of range is told
  seeded trials of joints off their recipe: all sizes within their limits in 9 of 10 or more
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.findings import Severity
from helix.geometry.twist.strands import coil_gap, even_radius, touching_pitch, uneven_radii
from helix.mechanics import limits
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import BY_EYE, Reading, read_readings
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_text
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.output.words.assumptions import inspection_notes
from helix.output.words.findings.reading_words import CANNOT, READING_WORDS, cannot_be, doubt_text
from helix.studies.inspect import inspection as module
from helix.studies.inspect.inspection import Found, found_of, inspect
from helix.studies.inspect.inspection_result import Inspection
from helix.studies.inspect.made_joint import derived, evenness_of, lengths_of
from helix.studies.judge import judge
from helix.studies.shape.joint_sizes import eye_length_mm, finished_mm
from helix.studies.shape.shape import shape
from tests.caliper_readings import caliper_readings
from tests.inspection_trials import trial

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
D = 0.7366


LENGTHS = cache(lengths_of)


@pytest.fixture(autouse=True)
def each_recipe_is_built_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "lengths_of", LENGTHS)


@cache
def recipe(name: str = "logger-tether") -> Recipe:
    return read_recipe(EXAMPLES / f"{name}.toml")


@cache
def found(**texts: str) -> Found:
    return found_of(recipe(), read_readings(texts, recipe()))


@cache
def inspected(**texts: str) -> Inspection:
    return inspect(recipe(), read_readings(texts, recipe()))


# ------------------------------------------------------------------ calipers on a built joint


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


# ------------------------------------------------------------------ what readings give


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


def test_lay_and_its_limits_are_those_of_a_quotient() -> None:
    sizes = found(twist_length="11.6 mm +- 0.1 mm", turns="5").sizes
    lay = sizes["lay"]
    assert lay.value == pytest.approx(11.6 / 5, rel=1e-9)
    assert lay.sd == pytest.approx(0.1 / 5, rel=1e-6)
    assert lay.high - lay.value == pytest.approx(limits.SURE * 0.02, rel=1e-6)
    # the angle follows tan = pi d / lay; the wire's own half per cent counts too
    slope = -math.pi * D / (lay.value**2 + (math.pi * D) ** 2)
    by_lay, by_wire = slope * 0.02, slope * lay.value * 0.005
    assert sizes["angle"].value == pytest.approx(math.atan(math.pi * D / lay.value), rel=1e-9)
    assert sizes["angle"].sd == pytest.approx(math.hypot(by_lay, by_wire), rel=1e-4)
    uncertain = found(twist_length="11.6 mm +- 0.1 mm", turns="5 +- 0.1").sizes["lay"]
    assert uncertain.sd == pytest.approx(11.6 / 5 * math.hypot(0.1 / 11.6, 0.1 / 5), rel=1e-3)


def test_crossings_are_half_turns() -> None:
    assert (
        found(twist_length="14.7 mm +- 0.1 mm", crossings="10").sizes["lay"]
        == found(twist_length="14.7 mm +- 0.1 mm", turns="5").sizes["lay"]
    )


def test_gap_between_wraps() -> None:
    sizes = found(barrel_length="5.2 mm +- 0.05 mm", wraps="5", wire="0.7366 mm +- 0.001 mm").sizes
    pitch = (5.2 - D) / 5
    assert sizes["gap"].value == pytest.approx(coil_gap(1.0, pitch / D) * D, rel=1e-4)
    # the wraps are inclined: their gap is a little less than that of their pitch
    assert 0.9 < sizes["gap"].value / (pitch - touching_pitch() * D) < 1.0
    assert sizes["gap"].sd == pytest.approx(0.05 / 5, rel=0.05)


@pytest.mark.parametrize("evenness", [0.0, 0.25, 0.6, 0.9])
@pytest.mark.parametrize("lay", [2.6, 3.3, 4.0, 6.0])
def test_evenness_is_the_inverse_of_the_radii(evenness: float, lay: float) -> None:
    assert evenness_of(max(uneven_radii(lay, evenness)), lay) == pytest.approx(evenness, abs=1e-9)
    assert evenness_of(even_radius(lay) - 0.01, lay) == pytest.approx(1.02, abs=1e-9)


def test_evenness_of_a_thick_twist() -> None:
    sizes = found(twist_diameter="1.62 mm +- 0.01 mm").sizes["evenness"]
    assert sizes.value == pytest.approx(3.0 - 1.62 / D, abs=1e-6)
    assert sizes.sd == pytest.approx(math.hypot(0.01 / D, 1.62 / D * 0.005), rel=1e-3)
    assert sizes.off


def test_what_is_not_read_is_the_recipe_s() -> None:
    result = found(eye="6.1 mm +- 0.01 mm")
    lay = result.sizes["lay"]
    assert not lay.read
    assert lay.value == pytest.approx(recipe().twist.lay_mm)
    assert lay.sd == pytest.approx(recipe().tolerance.lay_mm, rel=1e-6)
    assert result.sizes["pin"].value == pytest.approx(6.1, abs=1e-6)
    assert result.made.eye.pin_mm == pytest.approx(6.1, abs=1e-6)


def test_a_closer_reading_gives_closer_limits() -> None:
    wide, close = (found(twist_length=f"14.7 mm +- {sd} mm", turns="5").sizes["finished"] for sd in (0.3, 0.03))
    assert close.sd < wide.sd
    measured = found(twist_length="14.7 mm +- 0.03 mm", turns="5", length="31 mm +- 0.03 mm").sizes["finished"]
    assert measured.sd < 0.2 * close.sd
    assert measured.value == pytest.approx(31.0, abs=0.01)


def test_the_finished_length_follows_the_twist() -> None:
    """A twist that is a millimetre longer makes the joint a millimetre longer, but for the eye and the exit."""
    base, longer = (found(twist_length=f"{mm} mm +- 0.01 mm", turns="5").sizes["finished"].value for mm in (14.5, 15.5))
    exact = [
        finished_mm(build_joint(replace(recipe(), twist=replace(recipe().twist, lay_mm=mm / 5)))) for mm in (14.5, 15.5)
    ]
    assert longer - base == pytest.approx(exact[1] - exact[0], abs=0.02)


def test_derived_sizes_of_the_recipe_itself() -> None:
    pitch = touching_pitch() * D
    v = np.array([D, 4 * D, 0.5, 5.0, pitch, 5.0, 1.0, 6.0, 0.0])
    angle, gap, evenness, length = derived(v, None)
    assert math.degrees(angle) == pytest.approx(38.14603, abs=1e-5)
    assert abs(gap) < 1e-12
    assert evenness == pytest.approx(1.0, abs=1e-12)
    assert math.isnan(length)


# ------------------------------------------------------------------ what cannot be


def test_crossings_counted_as_turns() -> None:
    result = inspected(twist_length="14.7 mm +- 0.1 mm", turns="10")
    assert result.verdict == "impossible"
    assert result.made is None
    doubt = result.doubts[0]
    assert (doubt.name, doubt.impossible, doubt.fits) == ("turns", True, 5.0)
    assert "10 crossings, 5 turns" in doubt_text(doubt)
    assert "no even twist is laid shorter than 2 d" in doubt_text(doubt)


def test_a_turn_miscounted() -> None:
    doubt = found(twist_length="14.7 mm +- 0.1 mm", turns="6").doubts[0]
    assert (doubt.name, doubt.code, doubt.impossible, doubt.fits) == ("turns", "lay-far-off", False, 5.0)
    assert doubt_text(doubt).endswith("; 5 turns would fit: a lay of 2.94 mm; count again")
    assert " in 0.579 in give" in doubt_text(doubt, "inch")
    assert found(twist_length="14.7 mm +- 0.1 mm", turns="5").doubts == ()
    # a lay that is off, but that no other count explains
    assert found(twist_length="13.2 mm +- 0.1 mm", turns="5").doubts == ()


def test_a_wrap_miscounted() -> None:
    six = found(barrel_length="4.47 mm +- 0.03 mm", wraps="6").doubts[0]
    assert (six.name, six.code, six.impossible, six.fits) == ("wraps", "wraps-overlap", True, 5.0)
    assert doubt_text(six).endswith(" of touching wraps; 5 wraps would fit; count again")
    four = found(barrel_length="4.47 mm +- 0.03 mm", wraps="4").doubts[0]
    assert (four.name, four.code, four.impossible, four.fits) == ("wraps", "other-wraps", False, 5.0)
    assert doubt_text(four).endswith("; 5 wraps would fit the recipe: count again")
    assert found(barrel_length="4.47 mm +- 0.03 mm", wraps="5").doubts == ()


@pytest.mark.parametrize(
    ("texts", "name", "said"),
    [
        ({"twist_diameter": "1.3 mm"}, "twist_diameter", "less than 2 d"),
        ({"twist_diameter": "2.5 mm"}, "twist_diameter", "more than 3 d"),
        ({"barrel_diameter": "2.0 mm"}, "barrel_diameter", "less than 3 d"),
        ({"wire": "1.0 mm +- 0.01 mm"}, "wire", "is it the right recipe?"),
        ({"wraps": "0", "barrel_length": "4 mm"}, "barrel_length", "cannot be measured where there are no wraps"),
        ({"turns": "0", "lay": "3 mm"}, "lay", "cannot be measured where there are no turns"),
        ({"lay": "1.2 mm +- 0.01 mm"}, "lay", "no even twist is laid shorter than 2 d"),
    ],
)
def test_readings_that_cannot_be(texts: dict[str, str], name: str, said: str) -> None:
    result = found(**texts)
    doubt = next(each for each in result.doubts if each.impossible)
    assert doubt.name == name
    assert said in doubt_text(doubt)
    assert result.made is None


def test_an_eye_that_cannot_close() -> None:
    result = found(eye="0.5 mm +- 0.01 mm")
    assert result.made is None
    assert "too small for the eye to close" in doubt_text(result.doubts[-1])


def test_readings_that_contradict_each_other() -> None:
    lay = found(lay="2.95 mm +- 0.02 mm", twist_length="18 mm +- 0.1 mm", turns="5").doubts
    assert any("than the other readings and the recipe allow" in doubt_text(doubt) for doubt in lay)
    far = found(length="50 mm +- 0.1 mm", turns="5").doubts
    assert any("fits only with" in doubt_text(doubt) and not doubt.impossible for doubt in far)


@pytest.mark.parametrize(("length", "more"), [("300 mm", 8.6), ("100 mm", 2.2)])
def test_a_contradiction_is_told_by_what_the_others_give(length: str, more: float) -> None:
    """Failed once: 300 mm, where the others give 31, were 0.54 % more."""
    (doubt,) = found(length=length, turns="5", wraps="5").doubts
    assert (doubt.name, doubt.code) == ("length", "contradicts")
    assert doubt.values["off"] == pytest.approx(more, abs=0.1)
    assert f"is {100.0 * doubt.values['off']:.0f} % more" in doubt_text(doubt)


@pytest.mark.parametrize("name", ["length", "outside_length"])
@pytest.mark.parametrize(("read", "cannot"), [("10 mm", True), ("17 mm", True), ("19.1 mm", False), ("31 mm", False)])
def test_a_whole_is_no_shorter_than_its_parts(name: str, read: str, cannot: bool) -> None:
    """Failed once: 10 mm over a twist of 14.7 and a barrel of 4.4 was drawn, and had a load to plan with."""
    result = found(**{name: read}, turns="5", wraps="5", twist_length="14.7 mm", barrel_length="4.4 mm")
    told = [doubt for doubt in result.doubts if doubt.code == "shorter-than-parts"]
    assert [doubt.name for doubt in told] == [name] * cannot
    assert (result.made is None) == cannot
    for doubt in told:
        assert "19.1 mm" in doubt_text(doubt) and "0.752 in" in doubt_text(doubt, "inch")


# ------------------------------------------------------------------ verdict and the recipe as made


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


# ------------------------------------------------------------------ trials


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


# ------------------------------------------------------------------ what hold knows, and what eyes see


def with_wire(size: str) -> Recipe:
    text = f'[wire]\nsize = "{size}"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n[twist]\nturns = 5\n[barrel]\nwraps = 5\n'
    return recipe_from_text(text)


def seen(of: Recipe, counted_to: str = "twist", **texts: str) -> Inspection:
    return inspect(of, read_readings(texts, of), counted_to)


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


def test_angles_that_are_seen() -> None:
    assert inspected(exit="85 deg").made.exit == recipe().exit
    assert inspected(exit="100 deg").made.exit.peak_angle_rad == pytest.approx(math.radians(100.0))
    assert inspected(exit="100 deg").judgement.code == "steep-exit"
    steep = inspected(first_bend="95 deg")
    assert steep.made.eye.throat_rad == pytest.approx(math.radians(95.0))
    assert steep.judgement.code == "steep-first-bend"
    # what to do next time is told of the joint that is to be made, whatever lay this one came out with
    longer = inspected(first_bend="95 deg", turns="4", twist_length="12.6 mm").judgement.findings
    own = [
        finding.values["own_deg"] for finding in (*steep.judgement.findings, *longer) if finding.remedy == "own-angle"
    ]
    assert (
        own
        == [pytest.approx(2.0 * math.degrees(math.atan2(math.pi, recipe().twist.lay_mm / recipe().wire.diameter_mm)))]
        * 2
    )
    # the twist's own angle is 76 deg: what is seen as near that by eye says nothing new
    assert inspected(first_bend="78 deg").made.eye.throat_rad is None
    flat = inspected(exit="30 deg")
    assert (flat.verdict, [doubt.code for doubt in flat.doubts]) == ("caution", ["flatter-than-wraps"])
    assert "deg of the wraps themselves" in doubt_text(flat.doubts[0])
    assert inspected(first_bend="170 deg").verdict == "impossible"


def test_counts_to_where_the_tag_leaves_come_back() -> None:
    """The recipe's own counts, counted on the finished joint, give the recipe's counts."""
    plain = inspected(turns="5", wraps="5")
    counts = shape(recipe()).counts
    assert plain.turns_to_tag == pytest.approx(counts.turns + counts.swing - counts.swing_after_leg)
    assert plain.wraps_from_tag == pytest.approx(counts.wraps_from_bend)
    for turns, wraps in (("5 3/4", "5 1/2"), (f"{plain.turns_to_tag:.3f}", f"{plain.wraps_from_tag:.3f}")):
        again = seen(recipe(), "tag", turns=turns, wraps=wraps)
        assert (again.turns, again.wraps) == (5.0, 5.0)
    # ten crossings and three more halves are counted as turns too
    assert seen(recipe(), "tag", crossings="9 1/2").turns == pytest.approx(4.0)
    for texts in ({"turns": "0.5"}, {"wraps": "0.4"}, {"turns": "0"}):
        with pytest.raises(ValidationError, match="counted to where the tag leaves"):
            seen(recipe(), "tag", **texts)


@pytest.mark.parametrize("word", list(BY_EYE))
def test_evenness_by_eye(word: str) -> None:
    result = inspected(evenness=word)
    assert result.made.twist.evenness == BY_EYE[word][0]
    assert result.evenness.read
    assert result.evenness.value == pytest.approx(BY_EYE[word][0], abs=1e-6)
    severities = {"even": "good", "nearly-even": "caution", "uneven": "remake", "one-straight": "remake"}
    assert result.verdict == severities[word]
    assert any("no source" in note for note in inspection_notes(result))


@pytest.mark.parametrize(
    ("texts", "key"),
    [
        ({"first_bend": "0 deg"}, "first_bend"),
        ({"exit": "200 deg"}, "exit"),
        ({"first_bend": "95"}, "first_bend"),
        ({"exit": "95 deg +- 60 deg"}, "exit"),
        ({"evenness": "sloppy"}, "evenness"),
        ({"evenness": "even", "twist_diameter": "1.48 mm"}, "evenness"),
        ({"twist_length": "14.7 mm +- 1e-9 mm"}, "twist_length"),
        ({"eye": "17971 mm"}, "eye"),
        ({"eye_length": "17971 mm"}, "eye_length"),
    ],
)
def test_readings_out_of_range(texts: dict[str, str], key: str) -> None:
    with pytest.raises(ValidationError) as caught:
        read_readings(texts, recipe())
    assert [fault.path.key for fault in caught.value.faults] == [key]


def test_readings_that_once_were_internal_errors() -> None:
    small = found(eye_length="3 mm", twist_length="38 mm")
    assert small.made is None
    assert any(doubt.code == "no-room-for-pin" and doubt.name == "eye_length" for doubt in small.doubts)
    assert set(READING_WORDS) >= {doubt.code for doubt in small.doubts}
    assert set(CANNOT) == set(READING_WORDS)
    for doubt in small.doubts:
        assert cannot_be(doubt)[0].count(".") == 2  # what cannot be, and what to measure again
    for sd in ("0.000001 mm", "0.0001 mm"):
        close = found(twist_length=f"14.7 mm +- {sd}", turns="5").sizes["lay"]
        assert close.value == pytest.approx(2.94, rel=1e-6)
        assert close.sd == pytest.approx(float(sd.split()[0]) / 5, rel=1e-2)
    for texts in ({"twist_length": "0.026 mm"}, {"twist_length": "0.026 mm +- 0.001 mm"}):
        assert inspected(turns="0.001", **texts).verdict in ("remake", "impossible")


@pytest.mark.parametrize("lay_d", [3.4, 3.6, 4.4])
def test_counts_to_where_the_tag_leaves_a_tighter_or_looser_twist(lay_d: float) -> None:
    """The transition is that of the joint as made: a twist of 3.4 d takes 1.43 turns for it, one of 4 d 0.76."""
    made = recipe().variant(twist=replace(recipe().twist, lay_mm=lay_d * D, length_mm=None))
    counts = shape(made).counts
    told = {
        "turns": f"{round(4.0 * (counts.turns + counts.swing - counts.swing_after_leg)) / 4.0:g}",
        "wraps": f"{round(4.0 * counts.wraps_from_bend) / 4.0:g}",
        "twist_length": f"{counts.turns * lay_d * D:.3f} mm +- 0.1 mm",
    }
    result = seen(recipe(), "tag", **told)
    assert (result.turns, result.wraps) == (5.0, 5.0)
    assert result.lay_mm.value == pytest.approx(lay_d * D, rel=1e-3)
