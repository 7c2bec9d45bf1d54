"""Pieces that broke bound the load of joints bent alike, whatever their counts. What is tested, strongest first:

* no joint bent alike is planned with more than the joint that was pulled, in any command, nor is one that is made worse;
* what broke as high as is expected moves nothing, and nothing ever raises a load;
* a joint's own pieces that broke or unwound decide for it; one that was stopped does not;
* pieces bent otherwise, and those of another wire, say nothing;
* the joint is no longer praised: it is found of it, with the pieces' load.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import pytest

from helix.errors import InfeasibleJointError, ValidationError
from helix.findings import Severity
from helix.model.measured.pull_file import pull_file_from_text
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.output.hold.hold_answers import hold_answer, own_clause
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.own_pulls import carried, own_pulls
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.hold_table import hold_table
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.why import why
from helix.studies.inspect.made_load import load_lost
from helix.studies.judge import judge_held, load_to_plan

HEAD = "id,group,size,joints,recipe,load,unit,failure\n"
LOW = range(2487, 2668, 20)
HIGH = range(3060, 3250, 20)
ROUNDING_N = 1.5  # the same pieces, as a joint's own and by rank


def joint(turns: float = 5, wraps: float = 5, pin: str = "8 mm", twist: str = "", eye: str = "") -> Recipe:
    text = f'[wire]\ndiameter = "1.6 mm"\nmaterial = "1.4310 normal strength"\n[eye]\npin = "{pin}"\n{eye}'
    return recipe_from_text(f"{text}[twist]\nturns = {turns}\n{twist}[barrel]\nwraps = {wraps}\n")


MADE_WORSE = [
    joint(eye='throat = "60 deg"\n'),
    joint(twist='lay_length = "5 d"\n'),
    joint(eye='throat = "100 deg"\n'),
    joint(6, twist="evenness = 0.7\n"),
]


def file_of(loads: range, end: str = "broke_exit") -> str:
    return HEAD + "".join(f"{k},g,1.6 mm,1,five.toml,{load},N,{end}\n" for k, load in enumerate(loads))


def own(of: Recipe, text: str = file_of(LOW)) -> OwnPulls:
    return own_pulls(pull_file_from_text(text, "mine.csv"), of, {"five.toml": joint()})


def held(of: Recipe, pulls: OwnPulls | None) -> HoldResult:
    return hold_with(of, setting_of(of, draws=500), pulls)


@pytest.mark.parametrize("of", [joint(6), joint(7), joint(wraps=6), joint(9, pin="8.5 mm"), *MADE_WORSE])
def test_no_joint_bent_alike_or_made_worse_is_told_more_than_the_pieces(of: Recipe) -> None:
    """Failed once: ten pieces of 5 turns broke at 2577 N, and 6 turns were to be planned with 2614 N."""
    pulled, found, alone = held(joint(), own(joint())), held(of, own(of)), held(of, None)
    assert found.plan_with_n <= min(pulled.plan_with_n + ROUNDING_N, alone.plan_with_n + 1e-9)
    assert found.expected_n <= min(pulled.expected_n + ROUNDING_N, alone.expected_n)
    assert found.hold_n.high <= alone.hold_n.high and found.probability.unwinds >= alone.probability.unwinds
    assert math.fsum(layer.moved_n for layer in found.layers) == pytest.approx(found.plan_with_n)
    if found.made_right is not None:
        assert found.made_right.plan_with_n <= pulled.plan_with_n + ROUNDING_N
    assert judge_held(found).severity >= max(Severity.CAUTION, judge_held(alone).severity)


def test_every_command_has_the_same_load() -> None:
    of, pulls = joint(6), own(joint(6))
    setting = setting_of(of, draws=500)
    found = hold_with(of, setting, pulls)
    plan_n = pytest.approx(found.plan_with_n, abs=ROUNDING_N)
    explained = why(of, setting, pulls)
    assert explained.hold == found and load_to_plan(found).load_n == plan_n
    for change in explained.changes:  # alike, it holds no more; bent otherwise, it is held against the models alone
        assert change.gain_n == pytest.approx(change.result.plan_with_n - change.before.plan_with_n)
        assert (change.before == found) == (change.recipe.twist.turns != 6.0)
    of_five = why(joint(), setting, own(joint()))
    turn = next(change for change in of_five.changes if change.recipe.twist.turns == 6.0)
    assert turn.result.plan_with_n == plan_n and turn.gain_n < 0.01 * found.strength_n
    table = hold_table(joint(), setting, 6, 5, own=own(joint()))
    assert table.own and table.bounded
    assert table.cell(6, 5).hold_n.nominal == pytest.approx(found.expected_n, abs=ROUNDING_N)
    assert all(not cell.hold_n.nominal > found.expected_n + ROUNDING_N for cell in table.cells)
    made = load_lost(held(joint(6), carried(own(joint()), joint(), of)), found, judge_held(found))
    assert made.plan_with_n == plan_n and made.intended_plan_with_n == plan_n


def test_what_broke_as_high_as_is_expected_moves_nothing() -> None:
    of = joint(6)
    alone, found = held(of, None), held(of, own(of, file_of(HIGH)))
    assert (found.plan_with_n, found.layers, found.findings) == (alone.plan_with_n, alone.layers, alone.findings)
    assert own_clause(found, "metric") == "" and "no pulls of this joint yet" in " ".join(
        hold_answer(found, "metric").lines
    )


def test_a_piece_of_its_own_decides_once_it_broke_and_not_when_it_was_stopped() -> None:
    of, bound = joint(6), held(joint(6), own(joint(6)))
    for end, own_decides in (("stopped", False), ("broke_exit", True)):
        text = f"{file_of(LOW)}m,g,1.6 mm,1,six.toml,3000,N,{end}\n"
        pulls = own_pulls(pull_file_from_text(text, "mine.csv"), of, {"five.toml": joint(), "six.toml": of})
        found = held(of, pulls)
        assert (found.expected_n > bound.expected_n + 100.0) == own_decides, end


def test_pieces_bent_otherwise_or_of_another_wire_say_nothing() -> None:
    with pytest.raises(ValidationError):
        own(joint(6, pin="14 mm"))
    pulls, thin = own(joint()), replace(joint(6), wire=replace(joint().wire, diameter_mm=1.55))
    told = carried(pulls, joint(), thin)
    assert told is not None and held(thin, told).plan_with_n == held(thin, None).plan_with_n


@pytest.mark.parametrize(("rows", "many"), [(10, "10 of your pieces with other counts broke at 2577 N on average"),
                                            (1, "your piece with other counts broke at 2487 N")])  # fmt: skip
def test_it_is_told_once_and_praised_no_more(rows: int, many: str) -> None:
    of = joint(6)
    found = held(of, own(of, "\n".join(file_of(LOW).splitlines()[: rows + 1])))
    assert [finding.code for finding in judge_held(found).findings] == ["pieces-below"]
    lines = " ".join(hold_answer(found, "metric").lines)
    assert lines.count(many) == 1 and "no more than" not in lines and "LOCKS" not in lines
    assert "of other counts, bent alike; none of this joint yet" in lines and "of other counts" in own_clause(
        found, "metric"
    )


@pytest.mark.slow
def test_no_joint_of_many_makes_is_told_more_than_the_pieces() -> None:
    """Every pair of counts, lay, first bend, evenness and pitch: none betters what was pulled, nor is judged better for it."""
    pulled, told = held(joint(), own(joint())), 0
    makes = product((3, 5, 7), (1, 8), ("4 d", "6 d"), ("", "60 deg", "100 deg"), (1.0, 0.4), (None, 2.1))
    for turns, wraps, lay, throat, evenness, pitch_mm in makes:
        twist, eye = f'lay_length = "{lay}"\nevenness = {evenness}\n', f'throat = "{throat}"\n' if throat else ""
        try:
            of = joint(turns, wraps, twist=twist, eye=eye)
            of = of.variant(barrel=replace(of.barrel, pitch_mm=pitch_mm))
            found, alone = held(of, own(of)), held(of, None)
        except InfeasibleJointError:
            continue
        told += 1
        assert not found.plan_with_n > min(pulled.plan_with_n + ROUNDING_N, alone.plan_with_n + 1e-6), of
        assert not found.expected_n > min(pulled.expected_n + ROUNDING_N, alone.expected_n + 1e-6), of
        assert judge_held(found).severity >= judge_held(alone).severity, of
    assert told > 100
