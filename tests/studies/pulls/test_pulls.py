"""A bench of pull tests read as a whole: the demo against its truth, and what must be said of thin or mixed groups."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace as Stand
from typing import Any

import numpy as np
import pytest
from scipy.stats import t

from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.curve_file import read_mapping
from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.output.pulls.pull_methods import METHODS
from helix.output.pulls.pull_sentences import unwinding_words
from helix.studies.pulls.pull_compare import Comparison
from helix.studies.pulls.pull_confronted import CountAgreement, LoadAgreement
from helix.studies.pulls.pull_controls import control_wire
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pull_ends import Ends
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pull_joints import Estimate
from helix.studies.pulls.pulls import PullsResult, read_pulls
from tests.studies.pulls.pull_simulation import Truth, bench, coverage

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "docs" / "examples" / "pulls"
HEAD = "id,group,load,unit,failure,joints,turns,wraps,end,recipe_a,recipe_b,size,batch\n"
WORDS = ("broke_exit", "broke_clear", "unwound", "grip")


def table(rows: list[tuple[str, float, str, str]]) -> str:
    """A file from group, load, failure and further cells."""
    return HEAD + "".join(
        f"{k},{group},{load},N,{failure},{more}\n" for k, (group, load, failure, more) in enumerate(rows)
    )


def read(rows: list[tuple[str, float, str, str]], rated_n: float | None = None) -> PullsResult:
    return read_pulls(pull_file_from_text(table(rows)), rated_n)


def holds(estimate: Estimate, truth: float) -> bool:
    return estimate.low is not None and estimate.high is not None and estimate.low <= truth <= estimate.high


@pytest.fixture(scope="module")
def demo() -> PullsResult:
    file = read_pull_file(DEMO / "logger-tethers.csv")
    curves, faults = curves_of(file.pieces, DEMO, read_mapping(DEMO / "curves.toml"), file.place)
    assert faults == ()
    return read_pulls(file, None, curves)


@pytest.fixture(scope="module")
def truth() -> dict[str, Any]:
    return dict(json.loads((DEMO / "truth.json").read_text(encoding="utf-8")))


def named(result: PullsResult, name: str) -> Group:
    return next(group for group in result.groups if group.name == name)


def test_the_demo_reads_to_the_truth_it_was_made_from(demo: PullsResult, truth: dict[str, Any]) -> None:
    estimated = 0
    for name, made in truth["groups"].items():
        group = named(demo, name)
        if group.joint.mean_n.value is not None:
            estimated += 1
            assert holds(group.joint.mean_n, made["joint_breaks"]["mean_n"]), name
            assert holds(group.joint.sd_n, made["joint_breaks"]["sd_n"]), name
            fifth = made["joint_breaks"]["mean_n"] - 1.6448536 * made["joint_breaks"]["sd_n"]
            assert group.joint.tolerance_95_95_n is not None
            assert group.joint.tolerance_95_95_n <= fifth, name
        else:
            assert group.joint.mean_n.low is not None
            assert group.joint.mean_n.low <= made["joint_breaks"]["mean_n"]
        if group.unwinding is not None and group.unwinding.mean_n.value is not None:
            assert holds(group.unwinding.mean_n, made["joint_unwinds"]["mean_n"]), name
            assert holds(group.unwinding.sd_n, made["joint_unwinds"]["sd_n"]), name
    assert estimated == 5
    for coil, made in truth["wire"].items():
        assert holds(named(demo, f"control, coil {coil}").joint.mean_n, made["mean_n"])


def test_plain_means_of_the_demo_miss_that_truth(demo: PullsResult, truth: dict[str, Any]) -> None:
    # what the correction is for: the mean of the weaker joints lies below the mean of the joints
    missed = 0
    for name, made in truth["groups"].items():
        plain = named(demo, name).broke
        assert plain is not None
        assert plain.mean_n < made["joint_breaks"]["mean_n"] or plain.n == 1
        missed += plain.mean_high_n is not None and plain.mean_high_n < made["joint_breaks"]["mean_n"]
    assert missed >= 3


def test_the_outlier_of_the_demo_is_shown_and_kept(demo: PullsResult, truth: dict[str, Any]) -> None:
    group = named(demo, truth["outlier"]["group"])
    (found,) = group.standing
    assert found.id == truth["outlier"]["id"]
    assert group.plain is not None
    assert group.plain.least_n == truth["outlier"]["load_n"]
    assert group.without is not None
    assert group.without.n == group.plain.n - 1
    assert group.without.mean_n > group.plain.mean_n
    (note,) = [note for note in demo.notes if note.code == "stands-out" and note["id"] == found.id]
    assert (note.place, note["row"], note["load_n"]) == (group.name, found.row, found.load_n)


def test_the_demo_is_what_its_script_makes() -> None:
    command = [sys.executable, str(ROOT / "scripts" / "make" / "demo_pulls.py"), "--check"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout.strip()) == (0, "the demo bench is up to date")


def test_pieces_of_straight_wire_are_missed_where_there_are_none(demo: PullsResult) -> None:
    missed = notice("no-controls")
    assert missed not in demo.notes and missed in read([("A", 800.0, "broke_exit", ",,,,,,,")] * 3).notes


@pytest.mark.parametrize("p", [0.05, 0.0499])
def test_chance_is_what_is_as_probable_as_the_limit(p: float) -> None:
    alike = p >= limits.DISAGREES
    assert LoadAgreement(mean_n=1.0, of=3, expected_n=1.0, p=p).agrees is alike
    assert CountAgreement(count=1, of=3, expected=0.5, p=p).agrees is alike
    assert Ends(a=1, b=0, unplaced=0, p=p).differ is not alike


@pytest.mark.parametrize(("high", "load"), [(None, 700.0), (0.5, 700.0), (0.501, None)])
def test_a_load_is_to_plan_with_unless_more_may_unwind_than_break(high: float | None, load: float | None) -> None:
    group = Stand(unwound_share=Stand(high=high), plan_with_n=700.0)
    assert vars(Group)["to_plan_n"].fget(group) == load


@pytest.mark.parametrize(("holm", "differs"), [(0.05, True), (0.0501, False)])
def test_shares_that_unwound_differ_by_the_corrected_p(holm: float, differs: bool) -> None:
    assert vars(Comparison)["unwinding_differs"].fget(Stand(fisher=Stand(holm=holm))) is differs


@pytest.mark.parametrize("unwound", [2, 3])
def test_unwinding_is_estimated_from_three_pieces(unwound: int) -> None:
    rows = [("A", 700.0 + 10.0 * k, "unwound" if k < unwound else "broke_exit", ",,,,,,,") for k in range(8)]
    (group,) = read(rows).groups
    assert (group.unwinding is not None) == (unwound >= limits.FEWEST_FAILURES)


@pytest.mark.parametrize(("failed", "of", "says"), [(2, 6, False), (3, 10, True), (3, 11, False), (4, 13, True)])
def test_a_weibull_fit_needs_three_failures_and_three_in_ten(failed: int, of: int, says: bool) -> None:
    rows = [("A", 700.0 + 10.0 * k, "broke_exit" if k < failed else "grip", ",,,,,,,") for k in range(of)]
    (group,) = read(rows).groups
    assert (group.weibull.shape.value is not None) is says


def test_straight_wire_of_two_coils_is_weighed_by_the_pieces_of_each() -> None:
    """Welch's interval or somewhat more; two joints of one coil, one of the other."""
    wires = {"1": [900.0, 910.0, 920.0, 935.0], "2": [950.0, 955.0, 970.0]}
    rows = [("control", load, "broke_clear", f",,,,,,,{coil}") for coil, loads in wires.items() for load in loads]
    pieces = pull_file_from_text(table([("A", 800.0, "broke_exit", f",,,,,,,{coil}") for coil in "112"] + rows)).pieces
    straight, joints = ([piece for piece in pieces if piece.control is control] for control in (True, False))
    wire = control_wire(joints, straight).wire
    assert wire is not None
    parts = [
        (w, np.mean(x), w**2 * np.var(x, ddof=1) / len(x), len(x) - 1)
        for w, x in zip((2 / 3, 1 / 3), wires.values(), strict=True)
    ]
    mean, variance = sum(w * m for w, m, _, _ in parts), sum(v for _, _, v, _ in parts)
    reach = t.ppf(0.975, variance**2 / sum(v**2 / f for _, _, v, f in parts)) * math.sqrt(variance)
    assert wire.mean_n.value == pytest.approx(mean) and wire.mean_n.low is not None and wire.mean_n.high is not None
    assert wire.mean_n.high - mean == pytest.approx(mean - wire.mean_n.low)
    # a coil's standard error is taken with what so few pieces leave open of it: at most t of 3 pieces, 1.32
    assert 1.0 <= (wire.mean_n.high - mean) / reach <= t.ppf(0.84135, 2)


def test_curves_of_the_demo_find_what_was_put_in(demo: PullsResult) -> None:
    assert len(demo.curves) == 6
    for curve in demo.curves:
        piece = next(p for g in demo.groups for p in g.pieces if p.id == curve.id)
        assert curve.events.peak == pytest.approx(piece.load_n, rel=0.005)
        assert 125.0 < curve.events.stiffness < 165.0
        if piece.failure == "unwound":
            assert curve.onset is not None
            assert curve.onset[1] == pytest.approx(0.9 * piece.load_n, rel=0.05)
            assert len(curve.events.drops) == 1
        else:
            assert curve.onset is None
            assert curve.events.drops == ()


def test_turns_and_wraps_of_the_demo(demo: PullsResult) -> None:
    (found,) = demo.unwinding
    assert found.refused is None
    assert found.per_turn.high is not None
    assert found.per_turn.high < 1.0
    assert found.n == sum(cell.n for cell in found.cells)
    assert found.unwound == sum(cell.unwound for cell in found.cells)
    # a logistic fit with a constant keeps the count of pieces that unwound
    kept = sum(cell.n * float(cell.fitted.value or 0.0) for cell in found.cells)
    assert kept == pytest.approx(found.unwound, abs=1e-6)


def test_a_group_without_other_endings_has_the_plain_numbers_when_alike() -> None:
    rng = np.random.default_rng(3)
    loads = 820.0 + 20.0 * rng.standard_normal(12)
    (group,) = read([("A", float(x), "broke_exit", "") for x in loads]).groups
    assert group.plain is not None
    assert group.plain.mean_n == pytest.approx(loads.mean())
    assert group.plain.sd_n == pytest.approx(loads.std(ddof=1))
    assert group.joint_alike.mean_n.value == pytest.approx(loads.mean())
    assert group.joint_alike.mean_n.low == pytest.approx(group.plain.mean_low_n, abs=0.05)
    assert group.joint_alike.tolerance_95_95_n == pytest.approx(group.plain.tolerance_95_95_n, abs=0.05)
    assert group.joint.mean_n.value is not None
    assert group.joint.mean_n.value > group.plain.mean_n
    why = group.why
    assert why is not None and why.code == "joint-and-mean-differ" and why["others_n"] is None
    assert why["weaker_n"] == why["total_n"] == round(group.joint.mean_n.value - group.plain.mean_n)


def test_pieces_with_one_joint_need_no_correction() -> None:
    loads = (700.0, 720.0, 735.0, 760.0)
    (group,) = read([("A", x, "broke_exit", "1") for x in loads]).groups
    assert group.joint.mean_n == group.joint_alike.mean_n
    assert group.joint.mean_n.value == pytest.approx(sum(loads) / 4.0)


def test_more_pieces_that_say_at_least_raise_the_joint() -> None:
    rows = [("A", 800.0 + 5.0 * k, "broke_exit", "") for k in range(8)]
    values = [
        read([*rows, *(("A", 860.0, word, "") for _ in range(k))]).groups[0].joint.mean_n.value
        for k in range(4)
        for word in ("broke_clear",)
    ]
    assert values == sorted(values)


@pytest.mark.parametrize("word", ["broke_clear", "grip", "stopped", "unwound"])
def test_too_few_joint_failures_give_a_bound_only_and_say_so(word: str) -> None:
    rows = [("A", 800.0 + k, word, "") for k in range(9)] + [("A", 790.0, "broke_exit", "")]
    (group,) = read(rows).groups
    assert group.joint.mean_n.value is None
    assert group.joint.mean_n.high is None
    # the highest order statistic below which half lie with 95 %: the second of ten
    assert group.joint.mean_n.low == 800.0
    says = group.joint.says
    assert says is not None and says.code == "few-failures"
    assert (says["failures"], says["n"], says["ending"], says["bound_n"]) == (1, 10, "joint", 800.0)


def test_few_failures_among_many_pieces_give_a_bound_only() -> None:
    rows = [("A", 900.0 + k, "broke_clear", "") for k in range(17)] + [
        ("A", 850.0 + k, "broke_exit", "") for k in range(3)
    ]
    (group,) = read(rows).groups
    assert group.joint.mean_n.value is None
    assert group.joint.says is not None and group.joint.says.code == "small-share-failed"


def test_one_piece_and_four_without_a_failure() -> None:
    (one,) = read([("A", 800.0, "broke_exit", "")]).groups
    assert one.plain is not None
    assert (one.plain.sd_n, one.plain.mean_low_n, one.plain.tolerance_95_95_n) == (None, None, None)
    assert notice("one-piece", "A", row=2) in one.notes
    (four,) = read([("A", 800.0 + k, "broke_clear", "") for k in range(4)]).groups
    assert four.joint.mean_n.low is None
    assert four.joint.says is not None and four.joint.says["bound_n"] is None
    (alike,) = read([("A", 800.0, "broke_exit", "") for _ in range(6)]).groups
    assert alike.joint.says is not None and (alike.joint.says.code, alike.joint.says["failures"]) == ("loads-alike", 6)
    (none,) = read([("A", 800.0, "grip", "") for _ in range(3)]).groups
    assert none.plain is None
    assert none.notes[0] == notice("no-strength", "A")


def test_broke_and_unwound_are_never_averaged() -> None:
    rows = [("A", 850.0 + k, "broke_exit", "") for k in range(6)] + [("A", 700.0 + k, "unwound", "") for k in range(3)]
    (group,) = read(rows).groups
    assert [(p.mode, p.n, p.mean_n) for p in group.populations] == [("broke", 6, 852.5), ("unwound", 3, 701.0)]
    assert group.plain is group.populations[0]
    assert group.unwound_share.value == pytest.approx(3 / 9)
    (mostly,) = read(rows[3:]).groups
    assert mostly.plain is not None
    assert mostly.plain.mode == "broke"  # three each: breaking first
    (more,) = read(rows[4:]).groups
    assert more.plain is not None
    assert more.plain.mode == "unwound"


def test_grips_and_stops_are_in_no_mean_and_no_share() -> None:
    rows = [("A", 850.0 + k, "broke_exit", "") for k in range(4)] + [
        ("A", 100.0, "grip", ""),
        ("A", 90.0, "stopped", ""),
    ]
    (group,) = read(rows).groups
    assert group.plain is not None
    assert group.plain.mean_n == 851.5
    assert (group.n, group.ended, group.unwound_share.value) == (6, 4, 0.0)


def test_pieces_with_two_recipes_are_told_apart_by_their_ends() -> None:
    rng = np.random.default_rng(4)
    rows = []
    for _ in range(300):
        a, b = 800.0 + 30.0 * rng.standard_normal(), 812.0 + 24.0 * rng.standard_normal()
        rows.append(("A", round(min(a, b), 2), "broke_exit", f"2,,,{'a' if a < b else 'b'},steep,gentle"))
    (group,) = read(rows).groups
    assert group.joint.says == notice("ends-differ", recipes="steep, gentle")
    assert (group.joint.correlation, group.joint_alike.correlation) == (0, 1)
    found = {joint.recipe: joint for joint in group.by_recipe}
    assert holds(found["steep"].mean_n, 800.0)
    assert holds(found["gentle"].mean_n, 812.0)
    assert holds(found["gentle"].sd_n, 24.0)
    (unknown,) = read([(g, x, w, m.replace(",a,", ",,")) for g, x, w, m in rows]).groups
    steep = next(joint for joint in unknown.by_recipe if joint.recipe == "steep")
    assert steep.says is not None and steep.says.code == "end-not-noted"


def test_efficiency_is_over_the_same_batch_and_each_denominator_is_its_own() -> None:
    rows = [("A", 800.0 + k, "broke_exit", ",,,,,,,X") for k in range(10)]
    rows += [("control", 880.0 + k, "broke_clear", ",,,,,,,X") for k in range(6)]
    rows += [("control", 1000.0 + k, "broke_clear", ",,,,,,,Y") for k in range(6)]
    result = read(rows, 774.0)
    (mine,) = (group.efficiency for group in result.groups if group.name == "A")
    assert mine.over_control.value == pytest.approx(804.5 / 882.5)
    assert mine.over_rated.value == pytest.approx(804.5 / 774.0)
    assert mine.over_control.low is not None
    assert mine.over_rated.low is not None
    # the control adds its own uncertainty, relative to the value
    width = {
        e: (e.high - e.low) / e.value for e in (mine.over_control, mine.over_rated) if e.high and e.low and e.value
    }
    assert width[mine.over_control] > width[mine.over_rated]
    other = read([(g, x, w, m.replace("X", "Z") if g == "A" else m) for g, x, w, m in rows])
    assert other.groups[0].efficiency.over_control.value is None
    assert notice("no-straight-of-coil", "A", Severity.CAUTION, coils="Z") in other.notes


def test_controls_that_broke_at_a_grip_count_as_at_least() -> None:
    rows = [("control", 880.0 + 3.0 * k, "broke_clear", "") for k in range(6)]
    plain = read(rows).groups[0].joint.mean_n.value
    with_grip = read([*rows, ("control", 890.0, "grip", "")]).groups[0].joint.mean_n.value
    low_grip = read([*rows, ("control", 300.0, "grip", "")]).groups[0].joint.mean_n.value
    assert plain is not None
    assert with_grip is not None
    assert with_grip > plain
    assert low_grip == pytest.approx(plain, rel=1e-3)


@pytest.mark.parametrize(
    ("cells", "refused", "said"),
    [
        ([(5, 5, 0), (4, 4, 1)], notice("varied-together", "all pieces"), "varied together"),
        (
            [(5, 5, 0), (4, 5, 1)],
            notice("clear-cut", "all pieces", turns_unwound=4.0, turns_held=5.0, wraps_unwound=None, wraps_held=None),
            "all with 4 turns or fewer unwound, all with 5 or more held",
        ),
        (
            [(5, 5, 0), (4, 5, -1), (3, 5, 1)],
            notice("clear-cut", "all pieces", turns_unwound=4.0, turns_held=4.0, wraps_unwound=None, wraps_held=None),
            "all below 4 turns unwound, all above held, only at 4 both",
        ),
        ([(5, 5, 0), (5, 3, 0)], notice("ended-alike", "all pieces", unwound=False), "every piece held"),
        ([(5, 5, 1), (5, 3, 1)], notice("ended-alike", "all pieces", unwound=True), "every piece unwound"),
    ],
)
def test_what_cannot_be_told_of_turns_and_wraps_is_refused(
    cells: list[tuple[int, int, int]], refused: Finding, said: str
) -> None:
    rows = []
    for turns, wraps, unwound in cells:
        for k in range(6):
            # -1: some of each; counts that vary together have that everywhere, so that they are not separated as well
            some = unwound < 0 or refused.code == "varied-together"
            word = "unwound" if (k < 3 if some else unwound) else "broke_exit"
            rows.append((f"{turns}+{wraps}", 800.0 + k, word, f"2,{turns},{wraps}"))
    (found,) = read(rows).unwinding
    assert found.refused == refused
    assert found.per_turn.value is None
    assert unwinding_words(found).startswith("No fit: ") and said in unwinding_words(found)
    assert sum(cell.n for cell in found.cells) == len(rows)


def test_turns_and_wraps_of_pieces_that_did_not_end_say_nothing() -> None:
    assert read([("5+5", 800.0, "grip", "2,5,5"), ("4+4", 700.0, "stopped", "2,4,4")]).unwinding == ()


def test_one_count_that_does_not_vary_is_named() -> None:
    rows = [
        (f"{t}+5", 800.0, "unwound" if k < count else "broke_exit", f"2,{t},5")
        for t, count in ((3, 10), (4, 6), (5, 2))
        for k in range(12)
    ]
    (found,) = read(rows).unwinding
    assert "wraps did not vary" in unwinding_words(found)
    assert found.per_wrap.value is None
    assert found.per_turn.high is not None
    assert found.per_turn.high < 1.0


@pytest.mark.slow
def test_a_slice_of_the_coverage_study_repeats_it_and_holds() -> None:
    # the same seed as the row "claim, a third" at 10 pieces: its first 150 benches. Held in 95 %: under 129 has a
    # chance of 1e-5
    truth = Truth(wire=(905.0, 30.0), grip=0.08)
    found = coverage(truth, 10, 150, 20_260_210)
    assert found.estimated >= 145
    assert found.mean >= 129 / 150
    assert found.sd >= 129 / 150
    assert found.plain_mean < 0.5  # what the correction is for
    again = coverage(truth, 10, 20, 20_260_210)
    assert again == coverage(truth, 10, 20, 20_260_210)


def test_the_kept_study_covers_92_to_98_per_cent(demo: PullsResult) -> None:
    rows = [row for row in demo.coverage if row.case == "claim" and row.pieces in (10, 30)]
    assert len(rows) == 12
    assert {row.benches for row in rows} == {2000}
    assert max(row.censored for row in rows) > 0.6
    for row in rows:
        assert 0.92 <= row.mean <= 0.98, row
        assert 0.92 <= row.sd <= 0.98, row
        assert row.tolerance >= 0.92, row
    bounds = [row for row in demo.coverage if row.case.startswith("bounds")]
    assert len(bounds) == 6
    assert all(row.mean >= 0.95 and row.sd >= 0.95 for row in bounds)


def test_simulated_benches_end_as_their_truth_says() -> None:
    rng = np.random.default_rng(0)
    loads, ends = bench(Truth(), 40_000, rng)
    assert set(ends.tolist()) == {0.0}
    assert loads.mean() == pytest.approx(900.0 - 45.0 / math.sqrt(math.pi), abs=1.0)
    assert loads.std() == pytest.approx(45.0 * math.sqrt(1.0 - 1.0 / math.pi), rel=0.02)
    alike, _ = bench(Truth(correlation=1.0), 40_000, rng)
    assert (alike.mean(), alike.std()) == pytest.approx((900.0, 45.0), rel=0.02)
    weibull, _ = bench(Truth(family="weibull", correlation=1.0), 40_000, rng)
    assert (weibull.mean(), weibull.std()) == pytest.approx((900.0, 45.0), rel=0.02)
    _, ends = bench(Truth(wire=(880.0, 30.0), unwinds=(920.0, 60.0), grip=0.1), 2000, rng)
    assert set(ends.tolist()) == {0.0, 1.0, 2.0, 3.0}


def test_every_method_names_its_source_and_a_check_that_is_there() -> None:
    assert len({method.key for method in METHODS}) == len(METHODS)
    for method in METHODS:
        assert len(method.source) > 8
        assert (ROOT / method.checked).is_file(), method.checked


def test_ten_thousand_rows_read_fast_enough() -> None:
    rng = np.random.default_rng(1)
    rows = [
        (f"g{k % 6}", round(float(x), 1), WORDS[int(w)], "")
        for k, (x, w) in enumerate(
            zip(rng.normal(820, 20, 10_000), rng.choice(4, 10_000, p=(0.7, 0.1, 0.1, 0.1)), strict=True)
        )
    ]
    result = read(rows)
    assert sum(group.n for group in result.groups) == 10_000
