"""Flags at their limits: what is said just inside and just outside each, where, and how bad."""

from __future__ import annotations

from dataclasses import replace

import pytest

from helix.geometry.twist.packing import zero_twist
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.flags import Flag, sentence
from helix.studies.shape.shape import ShapeResult, shape
from tests.brute import answer, recipe

QUICK = 'leg = "4 d"\nswing = 0.5'  # an exit that needs no search
SEARCHED = 'style = "gradual"'


def codes(**changes) -> dict[str, str]:
    return {flag.code: flag.severity for flag in answer(**{"exit": QUICK} | changes).flags}


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
        ({"turns": 10}, {"many": "note"}),
        ({"pitch": touching_pitch() + 0.01}, {"open-barrel": "note"}),  # within the tolerance of 0.02 d
        ({"pitch": touching_pitch() + 0.03}, {"open-barrel": "fault"}),
        ({"pitch": touching_pitch() - 1e-6}, {"overlap": "fault"}),
        ({"pin": 1.2}, {}),
    ],
)
def test_what_is_flagged_at_the_limits(changes, wanted):
    assert codes(**changes) == wanted


@pytest.mark.parametrize(
    ("changes", "do"),
    [({"turns": 4}, "add turns,"), ({"wraps": 4}, "add wraps,"), ({"turns": 4, "wraps": 4}, "add turns first,")],
)
def test_turns_are_advised_before_wraps(changes, do):
    """The models see no more in a third wrap: where both are few, more wraps alone mend nothing."""
    (flag,) = answer(exit=QUICK, **changes).flags
    assert flag.code == "few" and flag.do.startswith(do)


def test_a_twist_with_a_straight_leg_is_not_over_twisted_by_the_even_limit():
    assert "over-twist" not in codes(lay=2.6, evenness=0)


def test_an_eye_round_a_thin_pin():
    """A pin of 0.9 d is bent round 0.95 d: a strain of 0.53."""
    (flag,) = answer(exit=QUICK, pin=0.9).flags
    assert (flag.code, flag.where, flag.severity) == ("tight-eye", "eye", "caution")
    assert "0.5" in flag.what


def with_load(rated: float) -> ShapeResult:
    one: Recipe = recipe(exit=QUICK)
    return shape(replace(one, wire=replace(one.wire, rated_load_n=rated)))


def test_a_rated_load_above_what_the_wire_breaks_at():
    low, nominal, _ = recipe().wire.breaking_load_n
    assert with_load(0.5 * low).flags == ()
    (fault,) = with_load(1.01 * nominal).flags
    assert (fault.code, fault.severity) == ("rated-above-breaking", "fault")
    if nominal > 1.01 * low:
        (caution,) = with_load(0.5 * (low + nominal)).flags
        assert (caution.code, caution.severity) == ("rated-above-least", "caution")


def test_an_overlap_names_what_presses():
    wraps = answer(exit=QUICK, pitch=1).flags[0]
    assert "neighbouring wraps" in wraps.what and wraps.where == "barrel" and "touching" in wraps.do
    exits = answer(exit='leg = "1 d"\nswing = 0.1').flags[0]
    assert "exit of the tag" in exits.what and "twist of the standing leg" in exits.what


def test_a_part_that_overlaps_itself_is_not_called_wraps():
    """Failed once: a fold in the tag's exit was called neighbouring wraps, and a touching pitch advised."""
    folded = answer(turns=0.25, lay=17.35, evenness=0.432, exit='leg = "0.6232 d"\nswing = 0.0886', wraps=0.25)
    (flag,) = [f for f in folded.flags if f.code == "overlap"]
    assert folded.clearance.between == ("exit_tag", "exit_tag")
    assert "itself" in flag.what and "pitch =" not in flag.do


def test_lift_off_says_how_far():
    result = answer(exit='leg = "2.7 d"\nswing = 0.5')
    (flag,) = result.flags
    assert flag.code == "lift-off" and flag.where == "exit_tag"
    assert f"{result.clearance.lift_off_d:.3f} d" in flag.what
    assert not result.sound


def test_every_flag_says_what_where_why_and_what_to_do():
    shapes = (
        {"turns": 2, "wraps": 3},
        {"lay": 12},
        {"lay": 2.5, "pin": 12},
        {"turns": 0},
        {"wraps": 0},
        {"pitch": 1.4},
    )
    for changes in shapes:
        result = answer(**{"exit": QUICK} | changes)
        assert result.flags
        for flag in result.flags:
            assert flag.where in SECTIONS and flag.severity in ("fault", "caution", "note")
            assert flag.what and flag.why and flag.do
            assert sentence(flag) in result.warnings


def test_a_sentence():
    flag = Flag("code", "what", "barrel", "why", "do", "note")
    assert sentence(flag) == "what (barrel): why. do."
    assert sentence(replace(flag, why="")) == "what (barrel). do."
