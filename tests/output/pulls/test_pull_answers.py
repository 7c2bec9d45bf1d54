"""The answer of a reading and of a plan: few lines, the verdict first; prediction against pieces in words."""

from __future__ import annotations

from pathlib import Path

from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.model.recipe.recipe import read_recipe
from helix.output.pulls.pull_answers import answer_lines, confronted_lines, next_phrase, pulls_answer
from helix.output.pulls.pull_plan_report import plan_document
from helix.output.pulls.pull_report import pulls_document
from helix.output.report.document import answer_text, document_text
from helix.output.words.pull_words import PullFormat
from helix.studies.pulls.pull_next import NextPulls
from helix.studies.pulls.pull_predicted import recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls
from helix.studies.pulls_plan.pull_plan import Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted
from helix.units import N_PER_LBF

DEMO = Path(__file__).resolve().parents[3] / "docs" / "examples" / "pulls"
SHOWN = PullFormat("metric")


def read(rows: str) -> PullsResult:
    return read_pulls(pull_file_from_text("id,group,load,unit,failure,end\n" + rows))


def broke(loads: list[float], group: str = "A") -> str:
    return "".join(f"{group}{k},{group},{load},N,broke_exit,\n" for k, load in enumerate(loads))


def demo() -> PullsResult:
    file = read_pull_file(DEMO / "logger-tethers.csv")
    return read_pulls(file, None, (), (), recipes_of(file, DEMO)[0])


def test_the_demo_is_told_in_eight_lines_and_one_a_group() -> None:
    result = demo()
    text = answer_text(pulls_answer(result, SHOWN))
    assert len(text.splitlines()) <= 8 + len(result.groups)
    assert "invented" in text and text.startswith("5+5: 17 broke, 0 unwound; mean 819 N")
    everything = document_text(pulls_document(result))
    assert all(" ".join(line.split()) in " ".join(everything.split()) for line in answer_lines(result, SHOWN))
    assert "Prediction against pieces" in everything and "What to pull next" in everything


def test_a_group_that_unwinds_or_is_a_fault_is_not_praised() -> None:
    lines: dict[str, str] = {}
    for line in answer_lines(demo(), SHOWN):
        lines.setdefault(line.partition(":")[0], line)  # what is said of the prediction comes later
    for name in ("4+3", "5+3", "3+5", "4+5", "5+5 steep exit"):
        assert "no load to plan with" in lines[name] and "; plan with" not in lines[name]
    assert lines["5+5 steep exit"].endswith("Practice calls it a fault (common practice, no source): steep exit.")


def test_few_pieces_are_told_beside_the_load() -> None:
    assert (
        "N for a piece of two joints (7 pieces only)."
        in answer_lines(read(broke([700.0 + k for k in range(7)])), SHOWN)[0]
    )
    four = answer_lines(read(broke([700.0, 710.0, 705.0, 712.0])), SHOWN)[0]
    assert "no load to plan with from 4 pieces. Up to 60 % of pieces may unwind" in four
    assert "only" not in answer_lines(read(broke([700.0 + k for k in range(10)])), SHOWN)[0]


def test_loads_are_in_the_units_asked_for() -> None:
    result = read(broke([700.0 + k for k in range(10)]))
    plan = result.groups[0].plan_with_n
    assert plan is not None
    line = answer_lines(result, PullFormat("inch"))[0]
    assert f"plan with {plan / N_PER_LBF:.0f} lbf" in line and " N" not in line


def test_every_next_pull_has_words() -> None:
    for code in ("mend-grips", "more-turns", "more-of-the-same", "straight-wire", "ends-alike", "none-may-unwind"):
        for turns, coil in ((None, ""), (6.0, "A")):
            text = next_phrase(NextPulls(group="5+5", code=code, pieces=12, turns=turns, wraps=5.0, coil=coil))
            assert text.startswith("12 ") and "None" not in text


def test_a_plan_answers_in_few_lines() -> None:
    for units in ("metric", "inch"):
        answer = plan_document(plan_pulls([], Wanted(), Setup(expected_n=800.0)), units).answer
        assert answer is not None and 3 <= len(answer_text(answer).splitlines()) <= 8
        assert "Load cell: " in " ".join(answer.lines)


def mine(broke: list[float], unwound: list[float]) -> PullsResult:
    """Pieces of two joints of the demo's wire, five turns and five wraps, read against its recipe."""
    rows = [(load, "broke_exit") for load in broke] + [(load, "unwound") for load in unwound]
    text = "id,group,joints,turns,wraps,load,unit,failure\n" + "".join(
        f"{k},mine,2,5,5,{load},N,{failure}\n" for k, (load, failure) in enumerate(rows)
    )
    recipe = read_recipe(DEMO.parent / "logger-tether.toml")
    return read_pulls(pull_file_from_text(text), given=[("mine.toml", recipe)])


def test_one_judgement_of_prediction_and_pieces() -> None:
    """Where one comparison speaks against the prediction, none beside it says that they agree."""
    result = mine([615.0 + 3 * k for k in range(8)], [560.0, 590.0])
    (found,) = result.confronted
    assert found.load is not None and found.below_plan is not None
    assert found.load.agrees and not found.below_plan.agrees
    text = " ".join(confronted_lines(found, SHOWN))
    assert "The pieces are against that. Trust the pieces." in text and "agree" not in text
    assert f"{found.load.of} broke at" in text and "which alone is not against it" in text
    assert text.count("Trust the pieces.") == 1
    right = mine([740.0 + 3 * k for k in range(10)], [])
    agreeing = " ".join(confronted_lines(right.confronted[0], SHOWN))
    assert "The pieces agree with that." in agreeing and "are against" not in agreeing


def test_a_load_says_whether_it_is_of_a_piece_or_of_a_joint() -> None:
    """Beside the two, one load to act on: the lower."""
    result = mine([640.0 + 5 * k for k in range(10)], [])
    (found,) = result.confronted
    assert found.after is not None and found.pieces_plan_with_n == result.groups[0].plan_with_n
    piece, joint = (SHOWN.load(load) for load in (found.pieces_plan_with_n, found.after.plan_with_n))
    assert piece != joint
    assert f"plan with {piece} N for a piece of two joints" in answer_lines(result, SHOWN)[0]
    text = " ".join(confronted_lines(found, SHOWN))
    assert f"plans with {joint} N for one joint" in text and f"{piece} N for a piece of two joints" in text
    assert text.endswith(f"plan a whole piece with {min(int(piece), int(joint))} N, the lower of the two.")
    assert "of two-joint pieces to unwind" in text
    few = mine([640.0, 650.0, 660.0], [])
    assert few.groups[0].plan_with_n and few.confronted[0].pieces_plan_with_n is None
    assert "whole piece" not in " ".join(confronted_lines(few.confronted[0], SHOWN))
