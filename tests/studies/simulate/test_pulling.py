"""A joint pulled in a simulation. What is tested, strongest first:

* the book of energies closes; nothing overlaps; more friction never lets more wire through;
* a good joint breaks at the standing leg's exit, near what the closed form says; with no hardening and a smooth pin it
  holds what the earlier trial did (slow); mesh and speed hardly matter (slow);
* wound and let go, the barrel stands off by what a coil of its size springs back, and the joint holds less (slow);
* a joint that hands form slips sooner, though its barrel is no looser (slow);
* what was not looked at is refused; a run that diverges keeps its last good state; without numba there is one line.
"""

from __future__ import annotations

from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.mechanics.bends.straightening import straightened_share
from helix.mechanics.rod.stepping import advance
from helix.model.joint.joint import build_joint
from helix.studies.simulate import pull_begin, pull_start, pulling
from helix.studies.simulate.pull_result import PullOutcome, PullSimulation, Start
from helix.studies.simulate.pull_start import start_of
from helix.studies.simulate.pulling import simulate_pull
from tests.studies.hold.hold_recipes import joint

pytestmark = pytest.mark.xdist_group("rod")


EXACT = (Start.EXACT,)
COARSE = {"starts": EXACT, "mesh_d": 0.45, "speed": 2e-3, "way_d": 3.0}


@cache
def coarse(friction: float = 0.2) -> PullSimulation:
    """A quick pull: coarse and fast."""
    return simulate_pull(joint(), (friction,), **COARSE)


def test_a_good_joint_breaks_at_the_standing_exit_and_the_book_closes() -> None:
    (run,) = coarse().runs
    assert run.outcome is PullOutcome.BREAKS
    assert run.unaccounted < 0.005 and run.overlap_d < 0.01
    assert run.nominal.section == "exit_standing"
    assert run.nominal.load == pytest.approx(float(straightened_share(0.487)), abs=0.05)
    assert 0.15 < run.curve[-1].tag_load / run.curve[-1].load < 0.35
    assert sum(run.works) == pytest.approx(1.0, abs=0.05)
    assert coarse().strength_n == pytest.approx(joint().wire.breaking_load_n[1])


def test_a_curve_rises_from_nothing_and_frames_go_with_it() -> None:
    (run,) = coarse().runs
    loads, pulls = ([getattr(point, key) for point in run.curve] for key in ("load", "pull_d"))
    assert abs(loads[0]) < 0.05 and np.all(np.diff(pulls) > 0.0)
    assert run.frames.shape == (len(run.curve), len(run.s_d), 3) and run.tensions.shape == run.frames.shape[:2]
    assert np.array_equal(run.frames[-1, 0, :2], run.frames[0, 0, :2])  # the guide goes straight
    assert run.tensions[-1, -1] == pytest.approx(0.0, abs=0.02)  # the stub is free


def test_the_start_is_the_joint() -> None:
    made = build_joint(joint())
    start = start_of(made, 0.4)
    middle = (start.nodes[:-2] + 6.0 * start.nodes[1:-1] + start.nodes[2:]) / 8.0
    assert np.abs(middle - start.points[1:-1]).max() < 1e-6
    along = np.linalg.norm(start.points - start.pin_middle, axis=1)[start.lowest - 3 : start.lowest + 4]
    assert along == pytest.approx(start.pin_radius + 0.5, abs=0.02)
    assert start.section[0] == "standing" and start.section[-1] == "stub" and start.section[start.lowest] == "eye"


@pytest.mark.parametrize("evenness", [1.0, 0.6])
def test_the_pin_lies_in_the_eye_of_an_uneven_joint_too(evenness: float) -> None:
    start = start_of(build_joint(joint(turns=4, twist=f"evenness = {evenness}")), 0.4)
    off = np.linalg.norm(np.cross(start.points - start.pin_middle, start.pin_axis), axis=1) - start.pin_radius - 0.5
    assert off.min() == pytest.approx(0.0, abs=3e-3)
    assert np.abs(off[start.lowest - 6 : start.lowest + 7]).max() < 3e-3


@pytest.mark.parametrize("friction", [0.0, 2.0])
def test_frictions_that_were_not_verified_are_refused(friction: float) -> None:
    with pytest.raises(ValidationError, match="friction: must be from 0.01 to 0.3 to be simulated"):
        simulate_pull(joint(), (friction,))


@pytest.mark.parametrize(
    ("recipe", "said"),
    [
        (joint(turns=1), "turns: must be from 2 to 8 to be simulated; got 1"),
        (joint(turns=200), "turns: must be from 2 to 8"),
        (joint(twist='lay_length = "3 d"'), "lay_length: must be from 3.2 to 6 d to be simulated; got 3"),
        (joint('size = "MWG 12"\ncount = 2'), "count"),
    ],
)
def test_joints_that_were_not_looked_at_are_refused(recipe, said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        simulate_pull(recipe)


def test_a_joint_that_overlaps_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    pressed = SimpleNamespace(gap=-0.1)
    monkeypatch.setattr(pull_start, "least_gap", lambda layout: (pressed, ("eye", "eye")))
    with pytest.raises(ValidationError, match=r"must not overlap to be simulated; its parts overlap by 0\.100 d"):
        simulate_pull(joint())


def test_a_run_that_diverges_keeps_what_it_had(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []

    def breaks_down(*arguments):
        calls.append(1)
        return 1 if len(calls) > 4 else pulling_advance(*arguments)

    pulling_advance = advance
    monkeypatch.setattr(pulling, "advance", breaks_down)
    pulling.pull_once.cache_clear()
    (run,) = simulate_pull(joint(), (0.2,), **COARSE).runs
    pulling.pull_once.cache_clear()
    assert run.outcome is PullOutcome.DIVERGED
    assert len(run.curve) == 4 and len(run.frames) == 4 and run.peak_load == run.curve[-1].load


def test_without_numba_there_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pulling, "is_installed", lambda: False)
    with pytest.raises(ValidationError, match=r"pip install helix\[simulate\]"):
        simulate_pull(joint())


def test_a_start_that_runs_away_is_no_pull(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pull_begin, "advance", lambda *arguments: 1)
    pulling.pull_once.cache_clear()
    (run,) = simulate_pull(joint(), (0.2,), **COARSE).runs
    pulling.pull_once.cache_clear()
    assert run.outcome is PullOutcome.DIVERGED and not run.curve and run.peak_load == 0.0


@pytest.mark.slow
def test_it_holds_what_the_earlier_trial_held() -> None:
    # five turns, five wraps, lay 4 d, pin 4 d, friction 0.06, no hardening, a pin that turns: 0.885 at most
    (run,) = simulate_pull(
        joint(pin="4 d"), (0.06,), starts=EXACT, hardening=0.0, pin_friction=0.0, mesh_d=0.45, speed=1.4e-3
    ).runs
    assert run.peak_load == pytest.approx(0.885, abs=0.03)
    assert run.nominal.section == "exit_standing" and run.nominal.load == pytest.approx(0.87, abs=0.03)


@pytest.mark.slow
def test_mesh_and_speed_hardly_matter() -> None:
    base = {"starts": EXACT, "mesh_d": 0.45, "speed": 1.6e-3}
    (first,) = simulate_pull(joint(), (0.12,), **base).runs
    for other in ({"mesh_d": 0.36}, {"speed": 8e-4}):
        (run,) = simulate_pull(joint(), (0.12,), **base | other).runs
        assert run.nominal.load == pytest.approx(first.nominal.load, abs=0.02)
        assert run.nominal.section == first.nominal.section


@pytest.mark.slow
def test_wound_and_let_go_three_turns_slip_where_the_exact_joint_holds_more() -> None:
    recipe = joint(turns=3, pin="4 d")
    sprung, exact = simulate_pull(recipe, (0.07,), starts=(Start.SPRUNG, Start.EXACT), mesh_d=0.45).runs
    # a free coil of this wire springs back by M/EI times its radius, here M_p with its hardening over E I
    modulus = recipe.wire.modulus_mpa / recipe.wire.strength_mpa[1]
    moment = 2.0 / (3.0 * np.pi) + 0.3 / 16.0 * 0.97
    assert sprung.loose_d == pytest.approx(moment / (modulus / 16.0), abs=0.01)
    assert exact.loose_d == pytest.approx(0.0, abs=0.005)
    assert sprung.outcome is PullOutcome.SLIPS and sprung.nominal is None and sprung.curve[-1].through_d > 0.5
    assert exact.peak_load > sprung.peak_load + 0.04
    # the earlier trial's fit: 0.558 exp(mu (1.81 + 1.08 N))
    assert sprung.peak_load == pytest.approx(0.558 * np.exp(0.07 * (1.81 + 1.08 * 3)), abs=0.03)
    assert max(sprung.unaccounted, exact.unaccounted) < 0.005


@pytest.mark.slow
def test_a_joint_that_hands_form_slips_sooner_though_its_barrel_is_no_looser() -> None:
    result = simulate_pull(joint(turns=3), (0.08,), starts=(Start.FORMED, Start.SPRUNG), mesh_d=0.45)
    formed, sprung = result.runs
    assert formed.outcome is PullOutcome.SLIPS and sprung.outcome is PullOutcome.SLIPS
    assert formed.peak_load < sprung.peak_load - 0.02
    assert formed.loose_d == pytest.approx(sprung.loose_d, abs=0.02)
    assert result.forming.free.lay_d == pytest.approx(4.0, abs=0.2) and result.forming.sprung.off_d < 0.04
    assert max(formed.unaccounted, result.forming.unaccounted) < 0.005
