"""The default friction numbers. What is tested, strongest first:

* the file that ships is what the script makes of the facts, and nothing else;
* the chances behind the fit by brute force, piece by piece with the models themselves;
* windows: at their ends the joint just holds and just unwinds; published windows are near; the facts are not unlikely;
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
from helix.mechanics.bending import bend_strain
from helix.mechanics.retained import fracture_strain, retained_share
from helix.studies.hold.grip_models import MODELS, friction_needed, slip_share
from helix.studies.hold.scatter import coil_curvature, drawn, fit_errors, hinges, scattered, strain_factors
from tests import practice_fit as fit
from validation.practice_facts import facts

ROOT = Path(__file__).resolve().parents[3]
FACTS = facts()


def test_the_file_that_ships_is_what_the_script_makes_of_the_facts():
    command = [sys.executable, str(ROOT / "scripts" / "make_calibration.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=ROOT)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


@pytest.mark.parametrize("key", ["L", "E", "R"])
def test_the_chance_to_hold_is_counted_with_the_models_themselves(key):
    draws, scatter = drawn(3000, 4), FACTS.scatter
    joint = fit.practice_joint(FACTS, 4.0, 4.0)
    chances = fit._hold_chances(key, joint, scatter, draws, 0.05)
    hinge, (turns, lay) = hinges(joint, scatter, draws), scattered(joint, scatter, draws)
    strain = bend_strain(float(coil_curvature(touching_pitch()))) * strain_factors(scatter, draws, 2)
    breaks = retained_share(strain, fracture_strain(scatter.reduction_of_area[1])).min(axis=0)
    for number in (0.045, 0.06, 0.08, 0.095):
        mu = number * np.maximum(1.0 + 0.05 * draws.friction, 0.0)
        slip = slip_share(key, mu, hinge, turns, lay, fit_error=fit_errors(draws))
        at = int(np.argmin(abs(fit.GRID - number)))
        assert fit.GRID[at] == pytest.approx(number)
        assert chances[at] == pytest.approx(np.mean(slip >= breaks), abs=2.0 / 3000.0)  # a draw at the edge
    assert (np.diff(chances) >= 0.0).all()


@pytest.mark.parametrize("key", ["L", "E", "R"])
def test_at_the_ends_of_the_window_the_joint_just_holds_and_just_unwinds(key):
    low, high = fit._window(key, FACTS)
    load = fit.practice_break(FACTS.scatter)
    hinge = 0.5 * (0.9 * 2.0 / (3.0 * np.pi) * float(coil_curvature(touching_pitch())) + 0.9 / (3.0 * np.sqrt(3.0)))
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


def test_the_facts_are_not_unlikely_under_any_model_and_scatter_has_a_limit():
    for found in fit.fit_practice(FACTS):
        assert found.likelihood > fit.UNLIKELY
        assert FACTS.scatter.friction < found.most_scatter < 0.3


def test_the_numbers_that_ship():
    numbers = default_calibration().numbers
    assert sorted(numbers) == ["E", "L", "R"]
    for number in numbers.values():
        assert 0.0 < number.low < number.value < number.high < 0.1  # below lubricated steel on steel, about 0.10
        assert number.high - number.low < 0.02
        assert number.lay_d == 4.0 and "strength" in number.denominator
        assert "common practice, no source" in number.source
        assert list(number.quantiles) == sorted(number.quantiles)
    assert any("turns and wraps together" in note["text"] for note in default_calibration().notes)
    assert any("no trend with size" in note["text"] for note in default_calibration().notes)


def test_more_survivors_ask_for_more_friction_and_more_that_unwind_for_less():
    draws = drawn(4000, 1)
    middle = fit.LEVELS.index(0.5)

    def median(tests, short):
        sizes = tuple(type(each)(each.size, each.rated_load_n, each.mean_of_rated, tests) for each in FACTS.sizes)
        facts = type(FACTS)(**{**vars(FACTS), "sizes": sizes, "short_tests": short})
        return fit._posterior("E", facts, draws, 0.05)[0][middle]

    assert median(1, 1) < median(10, 1) < median(100, 1)
    assert median(10, 10) < median(10, 1)


def test_a_given_number_is_refused_below_zero():
    with pytest.raises(ValueError, match="value and scatter must be zero or more; got -1"):
        given_number("L", -1.0, 0.0)
