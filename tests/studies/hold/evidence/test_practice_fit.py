"""The default friction numbers. What is tested, strongest first:

* the file that ships is what the script makes of the rule, and nothing else;
* the rule by brute force, with the models themselves: with the least number 19 of 20 hold, with the most half let go, at the
  middle of what is not known and within an estimate;
* windows: at their ends the joint just holds and just unwinds; published windows are near;
* numbers are effective: none is near a measured friction, each belongs to its model.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from helix.data.calibration import default_calibration, given_number
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics.bends.straightening import straightened_share
from helix.studies.hold.evidence.rule_friction import piece_frictions, rule_ends
from helix.studies.hold.grip_models import MODELS, friction_needed, slip_share
from helix.studies.hold.scatter import drawn, scattered, strain_factors
from tests.studies.hold.evidence import practice_fit as fit
from validation.practice_facts import facts

ROOT = Path(__file__).resolve().parents[4]
FACTS = facts()
KEYS = pytest.mark.parametrize("key", ["L", "E", "R"])


def test_the_file_that_ships_is_what_the_script_makes_of_the_rule():
    command = [sys.executable, str(ROOT / "scripts" / "make" / "calibration.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


@KEYS
def test_at_the_ends_19_of_20_hold_and_half_let_go(key):
    # other draws than those that the ends were made from: 4 standard errors of 20,000
    draws, scatter = drawn(fit.DRAWS, 7), FACTS.scatter
    rule = default_calibration().numbers[key].rule
    low, high = fit.middle_ends(key, rule, scatter)
    breaks = straightened_share(rule.exit_strain * strain_factors(scatter, draws, 1)[0])
    for number, count, holds, error in ((low, 5.0, 0.95, 0.0062), (high, 4.0, 0.5, 0.0142)):
        joint = fit.practice_joint(FACTS, count, count)
        turns, lay = scattered(joint, scatter, draws)
        friction = number * np.maximum(1.0 + scatter.friction * draws.friction, 0.0)
        slip = slip_share(key, friction, fit.nominal_hinge(scatter), turns, lay)
        assert np.mean(slip >= breaks) == pytest.approx(holds, abs=error)


@KEYS
def test_numbers_lie_between_the_ends_of_their_own_draw(key):
    number = default_calibration().numbers[key]
    low, high = rule_ends(key, number.rule, FACTS.scatter, 5000, 3, "both")
    assert (low < high).mean() > 0.99
    pieces = piece_frictions(number, FACTS.scatter, 5000, 3) / (1.0 + number.scatter * drawn(5000, 3).friction)
    met = low < high
    assert (pieces[met] >= low[met] - 1e-12).all() and (pieces[met] <= high[met] + 1e-12).all()
    level = (pieces - low)[met] / (high - low)[met]
    assert level == pytest.approx(drawn(5000, 3).level[met], abs=1e-9)


@KEYS
def test_a_stronger_joint_or_a_weaker_barrel_asks_for_more_friction(key):
    rule, draws = default_calibration().numbers[key].rule, drawn(5000, 3)
    low, _ = rule_ends(key, rule, FACTS.scatter, 5000, 3, "both")
    hard, soft = draws.error > 1.0, draws.error < -1.0
    assert low[hard].mean() > low[soft].mean()
    # a touching barrel holds less by torsion than by bending; model R knows no difference
    torsion, bending = (rule_ends(key, rule, FACTS.scatter, 5000, 3, how)[0].mean() for how in ("torsion", "bending"))
    assert torsion == bending if key == "R" else torsion > bending


@KEYS
def test_more_scatter_from_piece_to_piece_leaves_less_room(key):
    rules = [fit.read_rule(key, FACTS, scatter) for scatter in (0.0, 0.05, 0.1)]
    rooms = [high - low for low, high in (fit.middle_ends(key, rule, FACTS.scatter) for rule in rules)]
    assert rooms == sorted(rooms, reverse=True)
    assert FACTS.scatter.friction < fit._most_scatter(key, FACTS) < 0.3


@KEYS
def test_at_the_ends_of_the_window_the_joint_just_holds_and_just_unwinds(key):
    low, high = fit._window(key, FACTS)
    load = fit.practice_break(FACTS.scatter)
    hinge = fit.nominal_hinge(FACTS.scatter)
    assert slip_share(key, low, hinge, FACTS.turns, 4.0) == pytest.approx(load, rel=1e-12)
    assert slip_share(key, high, hinge, FACTS.short_turns, 4.0) == pytest.approx(load, rel=1e-12)
    assert friction_needed(key, load, hinge, FACTS.turns, 4.0) == pytest.approx(low, rel=1e-12)


def test_windows_are_a_few_hundredths_wide_and_where_an_earlier_reading_put_them():
    earlier = {"L": (0.042, 0.057), "E": (0.052, 0.072), "R": (0.072, 0.085)}
    for model in MODELS:
        low, high = fit._window(model.key, FACTS)
        # an earlier reading of the same facts, its break loads not stated ("about"): the windows overlap
        assert max(low, earlier[model.key][0]) < min(high, earlier[model.key][1])
        assert high / low < 1.3


def test_the_numbers_that_ship():
    numbers = default_calibration().numbers
    assert sorted(numbers) == ["E", "L", "R"]
    for number in numbers.values():
        assert 0.0 < number.low < number.value < number.high < 0.1  # below lubricated steel on steel, about 0.10
        assert number.lay_d == 4.0 and "strength" in number.denominator
        assert number.rule.turns == 5.0 and number.rule.short_turns == 4.0
        assert "common practice, no source" in number.source
        assert list(number.quantiles) == sorted(number.quantiles)
    notes = [note["text"] for note in default_calibration().notes]
    assert any("turns and wraps together" in note for note in notes)
    assert any("no trend with size" in note for note in notes)
    assert any("19 of 20" in note and "assumed" in note for note in notes)


def test_a_given_number_is_refused_below_zero():
    with pytest.raises(ValueError, match="value and scatter must be zero or more; got -1"):
        given_number("L", -1.0, 0.0)


def test_a_touching_barrel_is_as_the_rule_takes_it():
    assert fit.practice_joint(FACTS, 5.0, 5.0).pitch_d == touching_pitch()
