"""Load path and the change that helps. What is tested, strongest first:

* the two legs together carry the whole load everywhere along the twist; the tag's curve ends at the model's number;
* contact force times length is what the linear tail takes off; strain along the wire has the bends' own peaks;
* the best change of a joint with one known fault is the one that mends it, with the gain of doing it.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from helix.mechanics.tag_tension import tag_tension_exponential, tag_tension_linear
from helix.model.joint.section_names import SECTIONS
from helix.studies.hold.holding import hold, setting_of, tag_left
from helix.studies.hold.places.load_path import load_path
from helix.studies.hold.why import why
from tests.studies.hold.hold_recipes import joint

RECIPE = joint()
RESULT = hold(RECIPE, draws=1000)
PATH = load_path(RESULT)


def leg(name):
    return PATH.section == SECTIONS.index(name)


@pytest.mark.parametrize("key", ["L", "E"])
def test_both_legs_together_carry_the_load_all_along_the_twist(key):
    share = PATH.carried_proportion[key]
    tag, standing = share[leg("twist_tag")], share[leg("twist_standing")][::-1]
    along_tag = PATH.s_mm[leg("twist_tag")] - PATH.s_mm[leg("twist_tag")][0]
    along_leg = PATH.s_mm[leg("twist_standing")][-1] - PATH.s_mm[leg("twist_standing")][::-1]
    both = tag + np.interp(along_tag, along_leg, standing)
    assert both == pytest.approx(np.ones(both.size), abs=2e-3)  # samples stand up to 0.05 d apart
    assert share[leg("standing")] == pytest.approx(1.0) and share[leg("eye")] == pytest.approx(0.5)
    assert (np.diff(tag) <= 1e-12).all()


def test_the_tag_ends_with_what_the_models_leave():
    lay = math.atan(math.pi / 4.0)
    numbers = RESULT.setting.calibration.numbers
    assert PATH.tag_left_proportion["L"] == pytest.approx(float(tag_tension_linear(5.0, numbers["L"].value, lay)))
    assert PATH.tag_left_proportion["E"] == pytest.approx(float(tag_tension_exponential(5.0, numbers["E"].value, lay)))


def test_what_the_tag_is_left_with_is_what_hold_says_and_its_curve_is_that_along_the_axis():
    assert PATH.tag_left_proportion == tag_left(RESULT)
    along = math.cos(math.atan(math.pi / 4.0))
    for key, left in PATH.tag_left_proportion.items():
        assert PATH.carried_proportion[key][leg("twist_tag")][-1] == pytest.approx(left * along, rel=1e-3)


def test_contact_times_length_and_friction_is_what_the_linear_tail_loses():
    lay, number = math.atan(math.pi / 4.0), RESULT.setting.calibration.numbers["L"].value
    press = PATH.contact_n_per_mm[leg("twist_tag")]
    wire = np.ptp(PATH.s_mm[leg("twist_tag")])
    lost = 0.5 / math.cos(lay) - PATH.tag_left_proportion["L"]  # of tension
    assert press.mean() * wire * number * math.cos(lay) / PATH.load_n == pytest.approx(lost, rel=5e-3)
    assert press.max() == press.min()


def test_strain_along_the_wire_has_the_peaks_of_the_bends():
    for name in ("exit_standing", "exit_tag"):
        bend = next(bend for bend in RESULT.breaks if bend.place == name)
        assert PATH.strain[leg(name)].max() == pytest.approx(bend.strain, rel=0.02)  # coarser samples
    assert PATH.strain[leg("standing")][0] == pytest.approx(0.0, abs=1e-6)


def test_wraps_alone_share_by_halves():
    path = load_path(hold(joint(turns=0), draws=500))
    assert path.tag_left_proportion == {"W": 0.5}
    assert load_path(RESULT, 100.0).load_n == 100.0


# ------------------------------------------------------------------ changes


@pytest.mark.parametrize(
    ("recipe", "best"),
    [
        (joint(turns=4, wraps=4), "make 5 turns and 5 wraps"),
        (joint(turns=0), "make 5 even turns before the barrel"),
        (joint(more='[exit]\npeak_angle = "110 deg"'), "take the overbend out"),
        (joint(twist="evenness = 0.3"), "bend both legs alike"),
        (joint(wraps=1), "make 5 wraps"),
        (joint(wraps=0), "wind 5 touching wraps"),
        (joint(barrel='hand = "opposite"'), "wind the barrel the same way round as the twist"),
        (joint(twist='lay_length = "9 d"'), "twist to a lay of 4 d"),
    ],
    ids=["4 and 4", "wraps only", "overbent", "uneven", "one wrap", "no barrel", "opposite", "loose"],
)
def test_the_best_change_mends_the_fault(recipe, best):
    found = why(recipe, setting_of(recipe, draws=1000))
    assert found.best is not None and found.best.what == best
    after = hold(found.best.recipe, draws=1000)
    assert after.plan_with_n == found.best.result.plan_with_n
    if not math.isnan(found.best.gain_n):
        assert found.best.gain_n == pytest.approx(after.plan_with_n - found.hold.plan_with_n)
        assert found.best.gain_n == max(each.gain_n for each in found.changes) or found.best.mends


def test_a_good_joint_is_left_as_it_is():
    found = why(RECIPE, setting_of(RECIPE, draws=1000))
    assert found.best is None and found.then is None
    assert [each.what for each in found.changes] == ["make one more turn, 6"]


def test_two_faults_get_two_pieces_of_advice():
    recipe = joint(turns=4, more='[exit]\npeak_angle = "110 deg"')
    found = why(recipe, setting_of(recipe, draws=1000))
    assert found.best.what == "make 5 turns" and set(found.best.cures) == {"few", "unwinds"}  # the graver first
    assert found.then.what == "take the overbend out" and found.then.judgement.is_ok
    assert found.then.result.verdict == "locks"
