"""Friction numbers from pull tests. What is tested, strongest first:

* coverage: over seeded benches made from each model, with breaking and unwinding competing and one or two joints a
  piece, the 95 % interval holds the number that made them about as often as it says;
* without censoring the fit is Student's interval of the friction numbers turned back, exactly;
* leaving the censoring out would be biased: the fit is not;
* what it refuses, what it leaves out, and what it says when turns and wraps cannot be told apart;
* every fault of a file at once, one line each; what is taken for granted is said.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from helix.errors import ValidationError
from helix.mechanics.barrel_hinge import hinge_bending, hinge_torsion
from helix.model.measured.slip_tests import SlipTest, SlipTests, slip_tests_from_text
from helix.studies.hold.evidence.friction_fit import WrapsAlone, _fitted, calibrate, separable
from helix.studies.hold.grip_models import friction_needed, slip_share
from helix.studies.hold.holding import hold, setting_of
from tests.studies.hold.hold_recipes import joint

RECIPE = joint()
SCATTER = setting_of(RECIPE).scatter
STRENGTH = RECIPE.wire.breaking_load_n[1]
TRUE = {"L": 0.055, "E": 0.077, "R": 0.087}
HEAD = "turns,wraps,load,unit,failure"


def bench(key, seed, joints=1, pieces=20, breaks=0.93):
    """Seeded pull tests made from one model: turns and wraps varied apart, each piece ends in whichever comes first."""
    chance = np.random.default_rng(seed)
    rows = []
    for k in range(pieces):
        turns, wraps = (3.0, 4.0, 5.0)[k % 3], (3.0, 5.0, 8.0, 5.0)[k % 4]
        loads = []
        for _ in range(joints):
            flow = 0.8 + 0.2 * chance.random()
            hinge = hinge_bending(flow, 0.9747) if chance.random() < 0.5 else hinge_torsion(flow)
            mu = TRUE[key] * (1.0 + 0.05 * chance.standard_normal())
            made, lay = turns + 0.05 * chance.standard_normal(), 4.0 + 0.1 * chance.standard_normal()
            loads.append(float(slip_share(key, mu, hinge, made, lay)))
        slip, broke = min(loads), breaks + 0.03 * chance.standard_normal()
        rows.append(SlipTest(k + 2, min(slip, broke), turns, wraps, 4.0, slip < broke, joints))
    return SlipTests("bench", tuple(rows), "the wire's nominal strength", ())


def coverage(key, joints, seeds):
    """How many of seeded benches have the true number in their interval, and the mean scatter found."""
    held, spreads = 0, []
    for seed in range(seeds):
        number = _fitted(key, bench(key, seed, joints), SCATTER).friction
        held += number.low <= TRUE[key] <= number.high
        spreads.append(number.scatter)
    return held, np.mean(spreads)


@pytest.mark.parametrize(("key", "joints"), [("L", 2), ("E", 1), ("R", 2)])
def test_the_interval_holds_the_number_that_made_the_bench(key, joints):
    held, spread = coverage(key, joints, 25)
    assert held >= 21  # of 25 at a true 95 %: 20 or fewer once in a hundred and fifty times
    assert spread == pytest.approx(0.05, abs=0.025)


@pytest.mark.slow
@pytest.mark.parametrize(("key", "joints"), [("L", 1), ("E", 2), ("R", 1)])
def test_how_often_the_interval_holds_it(key, joints):
    held, _ = coverage(key, joints, 400)
    assert 0.92 <= held / 400 <= 0.98


def test_without_censoring_it_is_students_interval():
    tests = bench("R", 7, pieces=12, breaks=9.0)
    assert all(piece.unwound for piece in tests.pieces)
    number = calibrate(tests, SCATTER).calibration.numbers["R"]
    values = np.array([float(friction_needed("R", p.load_share, 0.0, p.turns, p.lay_d)) for p in tests.pieces])
    half = 2.200985 * values.std(ddof=1) / math.sqrt(12.0)  # Student's t, 11 degrees of freedom, tables
    assert number.value == pytest.approx(values.mean(), rel=1e-4)
    assert [number.low, number.high] == pytest.approx([values.mean() - half, values.mean() + half], rel=1e-3)


def test_pieces_that_broke_pull_the_number_up():
    tests = bench("L", 3, pieces=30)
    slips = SlipTests("t", tuple(p for p in tests.pieces if p.unwound), tests.denominator, ())
    assert len(slips.pieces) < len(tests.pieces)
    alone = calibrate(slips, SCATTER).calibration.numbers["L"]
    both = calibrate(tests, SCATTER).calibration.numbers["L"]
    assert alone.value < both.value
    assert both.low < TRUE["L"] < both.high


def test_the_fit_is_used_by_the_estimate():
    made = calibrate(bench("L", 11), SCATTER).calibration
    result = hold(RECIPE, calibration=made)
    used = {each.model.key: each.friction for each in result.outcome.models}
    assert used["L"] is made.numbers["L"] and used["L"].source == "fitted to bench"
    assert "20 pieces" in result.setting.calibration.evidence


@pytest.mark.parametrize("key", ["L", "R"])
def test_many_tests_at_many_turns_speak_against_the_wrong_models(key):
    found = calibrate(bench(key, 5, pieces=90), SCATTER)
    fits = {each.key: each for each in found.models}
    assert fits[key].friction is not None and fits[key].log_likelihood_behind == 0.0
    wrong = "R" if key == "L" else "L"
    assert (
        fits[wrong].friction is None
        and fits[wrong].log_likelihood_behind > 5.0
        and "speak against it" in fits[wrong].why_not
    )
    assert hold(RECIPE, calibration=found.calibration).model.key != wrong


def test_tests_at_one_count_cannot_speak_against_any_model():
    rows = [replace(piece, turns=4.0, wraps=5.0) for piece in bench("L", 4, pieces=24).pieces if piece.turns == 4.0]
    for each in calibrate(SlipTests("t", tuple(rows), "x", ()), SCATTER).models:
        assert each.friction is not None and each.log_likelihood_behind < 5.0


def test_a_model_without_enough_slips_in_its_range_keeps_silent():
    rows = [SlipTest(k, 0.45 + 0.01 * k, 2.0, 5.0, 4.0, True, 1) for k in range(5)]
    found = calibrate(SlipTests("t", tuple(rows), "x", ()), SCATTER)
    assert sorted(found.calibration.numbers) == ["E", "L"]
    fits = {each.key: each for each in found.models}
    assert fits["R"].why_not == "0 pieces unwound inside its range, 3 are needed"
    assert [(left.why, left.pieces) for left in fits["R"].left_out] == [("its simulations had 3 to 6 turns", 5)]
    result = hold(RECIPE, calibration=found.calibration)
    assert (
        next(m for m in result.outcome.models if m.model.key == "R").not_applicable_because
        == "the pull tests give it no friction number"
    )


@pytest.mark.parametrize("slips", [0, 1, 2])
def test_too_few_slips_are_refused(slips):
    rows = [SlipTest(k, 0.9, 4.0, 4.0, 4.0, k < slips, 1) for k in range(20)]
    with pytest.raises(ValidationError) as caught:
        calibrate(SlipTests("tests.csv", tuple(rows), "x", ()), SCATTER)
    assert str(caught.value).startswith("tests.csv: must have 3 or more pieces that unwound")
    assert f"got {slips}" in str(caught.value) and len(caught.value.faults) == 1


def test_wraps_alone_and_stubby_barrels_teach_nothing_and_are_kept_apart():
    rows = [
        *bench("L", 2).pieces,
        SlipTest(90, 0.37, 0.0, 8.0, 4.0, True, 1),
        SlipTest(91, 0.1, 4.0, 1.0, 4.0, True, 1),
    ]
    rows.append(SlipTest(92, 0.2, 4.0, 0.0, 4.0, True, 1))
    found = calibrate(SlipTests("t", tuple(rows), "x", ()), SCATTER)
    same = calibrate(bench("L", 2), SCATTER)
    assert found.calibration.numbers["L"].value == same.calibration.numbers["L"].value
    assert found.wraps_alone == (WrapsAlone(row=90, load_proportion=0.37, unwound=True),)
    assert {left.why: left.pieces for left in found.models[0].left_out} == {
        "no twist": 1,
        "no barrel: its load does not tell the friction": 1,
        "fewer than 2 wraps make no hinge that it knows": 1,
    }


@pytest.mark.parametrize(
    ("pairs", "apart", "says"),
    [
        ([(4, 4), (5, 5), (3, 3)], False, "counts-varied-together"),
        ([(4, 4), (5, 5)], False, "counts-varied-together"),
        ([(4, 8), (5, 7), (6, 6)], False, "counts-varied-together"),
        ([(5, 5), (5, 5)], False, "counts-alike"),
        ([(5, 2), (5, 8)], False, "one-count-varied wraps"),
        ([(3, 5), (5, 5)], False, "one-count-varied turns"),
        ([(4, 5), (5, 5), (5, 2), (4, 2)], True, "counts-varied-apart"),
    ],
)
def test_it_says_whether_turns_and_wraps_can_be_told_apart(pairs, apart, says):
    pieces = [SlipTest(1, 0.8, float(t), float(w), 4.0, True, 1) for t, w in pairs]
    found, varied = separable(pieces)
    assert found is apart and " ".join([varied.code, *map(str, varied.values.values())][:2]) == says


# ------------------------------------------------------------------ the file


def faults(text):
    with pytest.raises(ValidationError) as caught:
        slip_tests_from_text(text, RECIPE, "tests.csv")
    return [str(fault) for fault in caught.value.faults]


def test_a_file_reads_with_what_is_taken_for_granted_said():
    found = slip_tests_from_text(f"{HEAD}\n4,4,900,N,unwound\n5,5,910,N,broke\n5,5,905,N,grip\n", RECIPE)
    assert [(p.turns, p.unwound, p.joints) for p in found.pieces] == [(4.0, True, 2), (5.0, False, 2), (5.0, False, 2)]
    assert found.pieces[0].load_share == pytest.approx(900.0 / STRENGTH)
    assert found.denominator == "the wire's nominal strength"
    assert [note.code for note in found.notes] == ["lay-from-recipe", "joints-at-both-ends"]
    assert (found.notes[0]["count"], found.notes[0]["lay_d"]) == (3, pytest.approx(4.0))


def test_controls_lay_size_and_joints_count():
    text = (
        "id,group,size,turns,wraps,lay,load,unit,failure,joints\n"
        "1,a,MWG 14,4,4,3.5 d,200,lbf,unwound,1\n2,b,MWG 12,4,4,2.9464 mm,150,lbf,unwound,2\n"
        "3,control,MWG 14,,,,250,lbf,broke_clear,0\n4,control,MWG 14,,,,240,lbf,broke,0\n5,control,MWG 14,,,,90,lbf,grip,0\n"
    )
    found = slip_tests_from_text(text, RECIPE)
    first, second = found.pieces
    assert first.load_share == pytest.approx(200.0 / 245.0) and first.lay_d == pytest.approx(3.5) and first.joints == 1
    assert second.lay_d == pytest.approx(4.0)
    twelve = joint('size = "MWG 12"').wire.breaking_load_n[1]
    assert second.load_share == pytest.approx(150.0 * 4.4482216152605 / twelve)
    assert found.denominator == "the mean of the straight-wire controls"


def test_every_fault_of_a_file_at_once_one_line_each():
    text = f"{HEAD}\n4,4,900,N,slid out\nfour,4,900,N,unwound\n4,,900,N,unwound\n4,4,-3,N,unwound\n4,4,200,lbf,broke\n"
    found = faults(text)
    assert any("row 2, column failure: must be one of broke_clear" in line for line in found)
    assert any("row 3, column turns: must be a number" in line for line in found)
    assert any("row 4, column wraps: must be a number; it is empty" in line for line in found)
    assert any("row 5, column load: must be above 0" in line for line in found)
    assert any("row 6, column unit: must be N as in row 4, one unit a file" in line for line in found)
    assert len(found) == 5 and all("\n" not in line for line in found)


def test_missing_columns_are_named_all_at_once():
    found = faults("id,group,load,unit,failure\n1,a,170,lbf,broke\n")
    assert [line.partition(": ")[2].partition(":")[0] for line in found] == [
        "column turns is missing",
        "column wraps is missing",
    ]


def test_rows_keep_their_numbers_when_names_are_filled_in():
    found = faults(f"# a remark\n{HEAD}\n# another\n4,4,900,N,unwound\n4,4,900,N,melted\n")
    assert len(found) == 1 and "row 5, column failure" in found[0]


@pytest.mark.parametrize("text", ["", "nothing here\n", f"{HEAD}\n"])
def test_files_without_pieces_are_refused(text):
    assert faults(text)
