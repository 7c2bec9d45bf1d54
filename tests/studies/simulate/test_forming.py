"""Joints formed by hands in a simulation. What is tested, strongest first:

* the book of energies closes, and a pin that turns with the eye rubs nothing away; a left-hand joint is the mirror image;
* let go, the barrel stands off as a coil of its size springs back; it is wound as often as asked, wrap on wrap;
* hands that are alike make an even twist whose legs touch; let go, it springs open; hands further apart make a shorter lay and
  bend harder; hands unlike make it uneven (slow);
* what was not looked at is refused; a run that diverges, or has no more wire, keeps what it had.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.mechanics.rod import hands
from helix.mechanics.rod.hands import bent_round_pin, take_in_hand, twist
from helix.mechanics.rod.rod_making import PLASTIC_BENDING, energy_residual
from helix.mechanics.rod.rod_state import DAMPED, DRIVEN, RUBBED
from helix.mechanics.rod.stepping import advance
from helix.model.joint.section_names import SECTIONS
from helix.studies.simulate import forming
from helix.studies.simulate.form_result import FormOutcome, FormRun, Stage
from helix.studies.simulate.form_shapes import barrel_nodes
from helix.studies.simulate.formed_start import formed_start
from helix.studies.simulate.forming import Hands, form_joint, hands_for_lay, simulate_form
from tests.studies.hold.hold_recipes import joint

pytestmark = pytest.mark.xdist_group("rod")


QUICK = joint(turns=2, wraps=2, pin="3 d")
HANDS = Hands(90.0, turning=6e-3)


@cache
def formed() -> FormRun:
    """A quick run: two turns, two wraps, an eye that turns fast."""
    return simulate_form(QUICK, hands_deg=HANDS.hands_deg, turning=HANDS.turning)


@pytest.mark.slow
def test_hands_that_are_alike_make_an_even_twist_and_the_book_closes() -> None:
    run = formed()
    assert run.outcome is FormOutcome.TWISTED and run.held is not None and run.free is not None
    assert run.unaccounted < 0.005 and run.overlap_d < 0.01
    assert run.held.evenness > 0.97 and abs(run.held.gap_d) < 0.02
    # hands pull at 45 deg off the axis: flexible legs would lie there, at a lay of pi d; stiff ones lie straighter
    assert np.pi < run.held.lay_d < 1.4 * np.pi
    assert run.free.gap_d > run.held.gap_d and run.free.press < run.held.press
    assert run.strain < run.fibre_strain < 0.75
    # helices of half a d at this lay: strain sin^2 of the lay angle
    assert run.strain == pytest.approx(np.sin(np.arctan(np.pi / run.held.lay_d)) ** 2, abs=0.05)


@pytest.mark.slow
def test_the_barrel_springs_back_as_a_coil_of_its_size() -> None:
    run = formed()
    assert run.wound is not None and run.sprung is not None
    stiffness = QUICK.wire.modulus_mpa / QUICK.wire.strength_mpa[1]
    back = PLASTIC_BENDING / (stiffness / 16.0)  # curvature that a section at yield gives back, its radius 1 d
    assert abs(run.wound.off_d) < 0.01
    assert run.sprung.off_d - run.wound.off_d == pytest.approx(back / (1.0 - back), abs=0.012)
    assert run.sprung.turns < run.wound.turns < 2.0 and run.wound.turns > 1.6  # the first bit off the twist is left out
    assert 1.0 < run.wound.pitch_d < 1.15
    assert run.wound.tag_strain == pytest.approx(0.5, abs=0.06)  # bent round its own diameter


@pytest.mark.slow
def test_the_film_shows_each_stage_and_the_tag_is_cut() -> None:
    run = formed()
    assert list(dict.fromkeys(run.stages)) == list(Stage)
    assert run.frames.shape == (len(run.stages), len(run.s_d), 3) and run.strains.shape == run.frames.shape[:2]
    tip = run.frames[:, -1]  # far out at first, at the end cut a stub's length from the barrel's leg
    assert np.hypot(*tip[0, :2]) > 10.0 and np.hypot(*tip[-1, :2]) < 2.5
    eye = run.frames[:, np.argmin(run.frames[0, :, 2])]
    assert np.abs(eye - eye[0]).max() < 0.2  # the eye is at rest


@pytest.mark.slow
def test_a_formed_joint_is_ready_to_be_pulled() -> None:
    made = form_joint(QUICK, HANDS)
    assert made.work is not None and made.work.tips == [0, len(made.work.state.points) - 1]
    start = formed_start(made, made.work)
    assert list(dict.fromkeys(start.section)) == list(SECTIONS)
    assert set(np.array(start.section)[barrel_nodes(made.work, made.front)]) == {"barrel"}
    height = made.work.state.points[:, 2]
    assert height[list(start.leg_middles)] == pytest.approx([0.5 * made.work.throat] * 2, abs=0.3)
    # the leg is bent where the twist was held: that bend is the exit's
    bend = np.linalg.norm(made.wound_bend, axis=1)[: made.work.middle]
    near = np.flatnonzero(np.abs(height[: made.work.middle] - made.front) < 1.6)
    assert start.section[near[np.argmax(bend[near])]] == "exit_standing"
    assert made.wound_bend.shape == made.work.state.bend.shape
    assert np.abs(made.work.state.velocity).max() < 1e-3


def test_hands_are_held_wider_than_legs_lie() -> None:
    assert hands_for_lay(np.pi) == pytest.approx(90.0 + 14.0) and hands_for_lay(6.0) < hands_for_lay(5.0)


def test_a_left_hand_joint_is_the_mirror_image(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hands, "advance", lambda *arguments: 1)
    right, left = (
        simulate_form(joint(turns=2, pin="3 d", twist=f'hand = "{hand}"'), hands_deg=92.0) for hand in ("right", "left")
    )
    forming.form_joint.cache_clear()
    assert np.array_equal(left.frames, right.frames * [1.0, -1.0, 1.0]) and np.abs(left.frames[..., 1]).max() > 0.5


def test_a_pin_that_turns_with_the_eye_rubs_nothing_away() -> None:
    work = take_in_hand(1.5, (0.7, 0.7), 0.1, 1.0, friction=0.1)
    assert not twist(work, 0.3, 6e-3)
    driven = float(work.state.energy[DRIVEN])
    assert driven > 0.2 and abs(energy_residual(work.state)) < 0.005
    assert work.state.energy[DAMPED] < 0.02 * driven and work.state.energy[RUBBED] < 0.05 * driven
    assert np.degrees(np.arctan2(work.pins.axis[0, 0], work.pins.axis[0, 1])) == pytest.approx(108.0, abs=1.0)


def test_the_bent_wire_lies_on_the_pin_and_its_legs_just_cross() -> None:
    s, points, crossing = bent_round_pin(2.0, (0.6, 0.7), 20.0, 0.05)
    assert np.linalg.norm(np.diff(points, axis=0), axis=1) == pytest.approx(np.full(len(s) - 1, 0.05), rel=5e-3)
    legs = points[s < -5.0], points[s > 5.0]
    gaps = np.linalg.norm(legs[0][:, None] - legs[1][None], axis=2)
    assert 1.0 < gaps.min() < 1.06
    assert s[s > 5.0][np.unravel_index(gaps.argmin(), gaps.shape)[1]] == pytest.approx(crossing, abs=0.6)
    assert np.hypot(points[:, 0], points[:, 2]).min() == pytest.approx(2.5, abs=1e-9)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"hands_deg": 130.0}, "hands: must be from 50 to 110 deg"),
        ({"unlike_deg": 50.0}, "unlike: must be from 0 to 40 deg"),
        ({"hands_deg": 55.0, "unlike_deg": 40.0}, "unlike: must leave either hand 10 deg off the axis"),
        ({"tension": 0.0}, "tension: must be from 0.05 to 0.4"),
        ({"friction": 2.0}, r"friction: must be from 0\.01 to 0\.3"),
    ],
)
def test_what_was_not_looked_at_is_refused(given: dict[str, float], said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        simulate_form(joint(), **given)
    with pytest.raises(ValidationError, match="turns: must be from 2 to 8"):
        simulate_form(joint(turns=200))


def test_a_run_that_diverges_keeps_what_it_had(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def breaks_down(*arguments):
        calls.append(1)
        return 1 if len(calls) > 30 else advance(*arguments)

    monkeypatch.setattr(hands, "advance", breaks_down)
    run = simulate_form(joint(turns=2, pin="3 d"), hands_deg=91.0, turning=6e-3)
    forming.form_joint.cache_clear()
    assert run.outcome is FormOutcome.DIVERGED and run.held is None and run.free is None and len(run.frames) >= 1


def test_without_numba_there_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forming, "is_installed", lambda: False)
    with pytest.raises(ValidationError, match=r"pip install helix\[simulate\]"):
        simulate_form(joint())


@pytest.mark.slow
def test_wider_hands_make_a_shorter_lay_and_unlike_ones_an_uneven_twist() -> None:
    recipe = joint(turns=3, pin="3 d")
    twist_only = {"turning": 4e-3, "barrel": False}
    near, far = (simulate_form(recipe, hands_deg=angle, **twist_only) for angle in (75.0, 105.0))
    unlike = simulate_form(recipe, hands_deg=90.0, unlike_deg=30.0, **twist_only)
    assert far.held.lay_d < 0.75 * near.held.lay_d and far.strain > 1.4 * near.strain
    assert min(near.held.evenness, far.held.evenness) > 0.95 and unlike.held.evenness < 0.75
    assert max(run.unaccounted for run in (near, far, unlike)) < 0.005
