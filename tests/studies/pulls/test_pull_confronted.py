"""Prediction against pieces, sizes, ends, straight wire, what to pull next. Map, strongest first:

* pieces drawn from the prediction itself agree about as often as p says; pieces that cannot be do not;
* straight wire of the coil moves the prediction, of another coil or three times the table does not;
* groups of several sizes are told apart, and no limit of a load is at or below zero; one piece, all censored;
* ends; straight wire coil by coil; sizes together; what to pull next.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace as Stand
from typing import Any

import numpy as np
import pytest

from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.model.recipe.recipe import read_recipe
from helix.output.pulls.pull_answers import answer_lines
from helix.output.words.pull_words import PullFormat
from helix.studies.hold.evidence.own_pulls import own_pulls
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.studies.hold.outcome import breaks_of
from helix.studies.hold.places.bend_places import places_of
from helix.studies.pulls.pull_confronted import PIECE_SCATTER, Confronted, _load
from helix.studies.pulls.pull_predicted import recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
RECIPE = read_recipe(EXAMPLES / "logger-tether.toml")
HEAD = "id,group,size,batch,joints,turns,wraps,rated_load,load,unit,failure,end\n"
USUAL = RECIPE.wire.breaking_load_n[1]


def rows(
    loads: list[float] | np.ndarray, failure: str = "broke_exit", *, group: str = "5+5", size: str = "MWG 12",
    coil: str = "A", joints: int = 2, counts: tuple[float, float] = (5, 5), ends: str = "", rated: str = "",
) -> str:  # fmt: skip
    turns, wraps = counts if joints else ("", "")
    return "".join(
        f"{group}-{size}-{coil}-{failure}-{k},{group},{size},{coil},{joints},{turns},{wraps},{rated},{load:.3f},N,{failure},"
        f"{ends[k] if ends else ''}\n"
        for k, load in enumerate(loads)
    )


def read(text: str, *given: str) -> PullsResult:
    recipes = [("mine.toml", RECIPE)] if not given else [(name, read_recipe(EXAMPLES / name)) for name in given]
    return read_pulls(pull_file_from_text(HEAD + text), given=recipes)


def confronted(text: str) -> Confronted:
    (found,) = read(text).confronted
    return found


def straight(times: float = 0.97, coil: str = "A", size: str = "MWG 12", count: int = 5) -> str:
    loads = times * USUAL * (1.0 + 0.005 * (np.arange(count) - 2))
    return rows(loads, "broke_clear", group="control", joints=0, coil=coil, size=size)


@pytest.mark.slow
def test_pieces_drawn_from_the_prediction_agree() -> None:
    found = hold(RECIPE)
    breaks = breaks_of(places_of(RECIPE), found.setting)
    rng = np.random.default_rng(3)
    doubted = 0
    for _ in range(40):  # coil and model are one draw a bench
        coil = USUAL * rng.uniform(0.9, 1.0) * float(rng.choice(breaks.least))
        loads = coil * np.exp(0.04 * rng.standard_normal((10, 2))).min(axis=1)
        doubted += not confronted(rows(loads)).agrees
    assert doubted <= 7  # 5 % are expected to be; 40 benches: over 7 is 1 in 1000


def test_two_of_ten_unwound_where_one_in_a_thousand_was_expected() -> None:
    eight = replace(RECIPE, twist=replace(RECIPE.twist, turns=8.0))
    text = rows([760.0 + k for k in range(8)], counts=(8, 5)) + rows([700.0, 710.0], "unwound", counts=(8, 5))
    result = read_pulls(pull_file_from_text(HEAD + text), given=[("eight.toml", eight)])
    (found,) = result.confronted
    assert found.unwinding is not None
    assert (found.unwinding.count, found.unwinding.of) == (2, 10)
    assert found.unwinding.expected < 0.001 and found.unwinding.p < 0.001 and not found.unwinding.agrees
    (line,) = [line for line in answer_lines(result, PullFormat("metric")) if "Trust the pieces" in line]
    assert "expected under 1 in 1000 of two-joint pieces to unwind; 2 of 10 did (under 1 in 1000 by chance)" in line


def test_none_of_few_unwound_is_no_news() -> None:
    found = confronted(rows([740.0, 750.0, 760.0, 735.0]))
    assert found.unwinding is not None and found.unwinding.agrees and found.agrees


@pytest.mark.parametrize(("mean", "agrees"), [(300.0, False), (740.0, True), (1500.0, False)])
def test_loads_far_off_do_not_agree(mean: float, agrees: bool) -> None:
    found = confronted(rows(mean * (1.0 + 0.01 * (np.arange(10) - 4.5))))
    assert found.load is not None and found.load.agrees is agrees
    assert found.load.mean_n == pytest.approx(mean)
    assert found.below_plan is not None and found.below_plan.agrees is (mean > 700.0)


def test_straight_wire_of_the_coil_moves_the_prediction_and_no_other() -> None:
    pieces = rows([740.0 + k for k in range(10)])
    plain, weak = confronted(pieces).before, confronted(pieces + straight(0.6)).before
    assert plain is not None and weak is not None
    assert (plain.straight, weak.straight) == (0, 5)
    assert weak.expected_n == pytest.approx(0.6 / 0.95 * plain.expected_n, rel=0.05)
    for other in (straight(0.6, coil="B"), straight(0.6, size="MWG 14")):
        assert confronted(pieces + other).before == plain


def test_a_coil_at_three_times_the_table_is_told_and_left_out() -> None:
    pieces = rows([740.0 + k for k in range(10)])
    result = read(pieces + straight(3.0))
    (found,) = result.confronted
    assert found.off_table == pytest.approx(3.0, rel=0.01)
    assert found.before is not None and found.before.straight == 0
    assert any("3 times its table. Check size and unit" in line for line in answer_lines(result, PullFormat("metric")))


def test_pieces_of_another_size_are_not_predicted() -> None:
    found = confronted(rows([900.0, 910.0, 920.0], size="MWG 14"))
    assert (found.unpredicted, found.before) == ("other-wire", None)
    assert not read(rows([900.0], size="MWG 14"), "logger-tether.toml", "faults/wraps-only.toml").confronted[0].before


def test_a_fault_is_not_predicted_and_never_praised() -> None:
    (found,) = read(rows([740.0 + k for k in range(10)], counts=(5, 5)), "faults/open-barrel.toml").confronted
    assert found.unpredicted == "not-estimated" and "open-barrel" in found.faults


def test_own_pieces_move_the_prediction_to_themselves() -> None:
    loads = 650.0 * np.exp(0.02 * np.random.default_rng(4).standard_normal(60))
    after = confronted(rows(loads, joints=1)).after
    assert after is not None and after.expected_n == pytest.approx(loads.mean(), rel=0.02)


def test_hold_with_the_same_file_says_the_same() -> None:
    # two groups of 5 and 5, one with a steep exit: each recipe takes its own pieces only
    file = read_pull_file(EXAMPLES / "pulls" / "logger-tethers.csv")
    recipes, _ = recipes_of(file, EXAMPLES / "pulls")
    own = own_pulls(file, RECIPE, recipes)
    assert len(own.loads_n) == 20 and len(own_pulls(file, RECIPE).loads_n) == 40
    held = hold_with(RECIPE, setting_of(RECIPE), own)
    after = next(c.after for c in read_pulls(file, recipes=recipes).confronted if c.group == "5+5")
    assert after is not None
    assert (after.expected_n, after.plan_with_n) == pytest.approx((held.expected_n, held.plan_with_n), rel=1e-9)


# ------------------------------------------------------------------ limits, sizes, ends, straight wire


def limits_of(result: PullsResult) -> list[float]:
    found: list[float | None] = []
    for group in result.groups:
        for part in group.populations:
            found += [part.mean_low_n, part.tolerance_95_95_n, part.tolerance_90_95_n, part.plan_with_n]
        for joint in (group.joint, group.joint_alike):
            found += [joint.mean_n.low, joint.tolerance_95_95_n, joint.tolerance_90_95_n]
        efficiency = group.efficiency
        found += [efficiency.over_control.low, efficiency.over_rated.low, group.rely_on_n, group.plan_with_n]
    return [limit for limit in found if limit is not None]


@pytest.mark.parametrize(
    "text",
    [
        rows([700.0]),
        rows([100.0, 900.0]),
        rows([100.0, 900.0, 500.0], rated="620 N"),
        rows([300.0, 310.0], size="MWG 6") + rows([900.0, 910.0], size="MWG 14"),
        rows([700.0, 710.0], "grip"),
        straight(count=2) + rows([150.0, 700.0, 900.0], rated="620 N"),
    ],
)
def test_no_limit_of_a_load_is_at_or_below_zero(text: str) -> None:
    assert all(limit > 0.0 for limit in limits_of(read(text)))


def test_a_single_piece_says_how_little_it_knows() -> None:
    result = read(rows([700.0]))
    (group,) = result.groups
    assert group.plan_with_n is None and group.rely_on_n is None
    assert group.unwound_share.high == pytest.approx(0.975)
    (wanted,) = [pulls for pulls in result.next_pulls if pulls.code == "more-of-the-same"]
    assert (wanted.pieces, wanted.turns, wanted.wraps) == (9, 5.0, 5.0)
    assert answer_lines(result, PullFormat("metric"))[0] == (
        "5+5: 1 broke, 0 unwound; mean 700 N; no load to plan with from 1 piece. Up to 98 % of pieces may unwind, by their number alone."
    )


def test_all_pieces_censored() -> None:
    result = read(rows([700.0, 710.0, 720.0], "grip"))
    assert result.groups[0].plan_with_n is None and result.confronted[0].unwinding is None
    assert result.next_pulls[0].code == "mend-grips"
    assert "none of 3 pieces broke or unwound; no load to plan with" in answer_lines(result, PullFormat("metric"))[0]


def test_groups_of_several_sizes_and_straight_wire_of_several_coils_are_told_apart() -> None:
    text = rows([300.0, 310.0, 305.0], size="MWG 6") + rows([900.0, 910.0, 905.0], size="MWG 14")
    names = [group.name for group in read(text + straight(coil="A") + straight(coil="B")).groups]
    assert names == ["5+5, MWG 6", "5+5, MWG 14", "control, coil A", "control, coil B"]
    plans = [group.plan_with_n for group in read(text).groups]
    assert all(plan is not None and 0.9 * low < plan < low for plan, low in zip(plans, (300.0, 900.0), strict=True))


def test_straight_wire_counts_only_within_size_and_coil() -> None:
    of_a, of_b = 860.0 + np.arange(5.0), 700.0 + np.arange(4.0)
    text = rows([800.0 + k for k in range(6)], coil="A") + rows([650.0 + k for k in range(3)], coil="B")
    wire = rows(of_a, "broke_clear", group="control", joints=0, coil="A")
    two = wire + rows(of_b, "broke_clear", group="control", joints=0, coil="B")
    other = rows([2000.0, 2010.0], "broke_clear", group="control", joints=0, coil="C")
    found = read(text + two + other).groups[0].efficiency
    assert found.control_n.value == pytest.approx(6 / 9 * of_a.mean() + 3 / 9 * of_b.mean())
    assert found.over_control.value == pytest.approx(
        (sum(800 + k for k in range(6)) + 1953) / 9 / found.control_n.value
    )
    missing = read(text + wire)
    assert missing.groups[0].efficiency.over_control.value is None
    assert [(p.code, p.coil) for p in missing.next_pulls if p.code == "straight-wire"] == [("straight-wire", "B")]


def test_all_breaks_at_one_end() -> None:
    loads = [740.0 + k for k in range(10)]
    one, both = (read(rows(loads, ends=ends)).groups[0].ends for ends in ("a" * 10, "ab" * 5))
    assert (one.a, one.b, one.p, one.differ) == (10, 0, pytest.approx(2.0 / 2**10), True)
    assert (both.a, both.b, both.p, both.differ) == (5, 5, 1.0, False)
    assert read(rows(loads)).groups[0].ends.unplaced == 10
    assert "ends-alike" in [pulls.code for pulls in read(rows(loads, ends="a" * 10)).next_pulls]


def test_sizes_beside_each_other_and_all_together() -> None:
    text = rows([300.0, 310.0, 305.0], size="MWG 6", rated="290 N")
    text += rows([900.0, 910.0, 905.0, 895.0], size="MWG 14", rated="950 N")
    assert read(rows([700.0, 710.0])).sizes == ()
    first, second, together = read(text).sizes
    assert (first.broke, second.broke, together.broke, together.unwound) == (4, 3, 7, 0)
    values = [line.over_label.value for line in (first, second)]
    assert together.over_label.value == pytest.approx((902.5 / 950 * 4 + 305 / 290 * 3) / 7)
    assert [together.over_label.low, together.over_label.high] == pytest.approx(sorted(v for v in values if v))
    assert together.over_straight.value is None


def test_what_to_pull_in_place_of_a_group_that_unwinds() -> None:
    text = rows([700.0] * 3 + [705.0], "unwound", counts=(4, 4)) + rows([720.0, 730.0], counts=(4, 4))
    text = text.replace("5+5", "4+4")
    (first, *_) = read(text).next_pulls
    assert (first.code, first.turns, first.wraps, first.pieces) == ("more-turns", 5.0, 4.0, 10)
    settled = text + rows([740.0 + k for k in range(10)])
    assert "more-turns" not in [pulls.code for pulls in read(settled).next_pulls]


def test_pieces_that_are_predicted_to_break_alike_still_scatter() -> None:
    """Where the draws differ by less than joints do, what is left for the coil is nothing."""
    before: Any = Stand(outcome=Stand(slips=np.full((1, 200), 2.0)), expected_n=800.0)
    breaks: Any = Stand(least=np.ones(200))
    alone: Any = Stand(pieces_n=np.full(200, 800.0), expected_n=800.0)
    found = _load(before, alone, breaks, [800.0] * 3, 1)
    assert found is not None and found.agrees
    assert found.expected_n == pytest.approx(800.0 * np.exp(0.5 * PIECE_SCATTER**2))
