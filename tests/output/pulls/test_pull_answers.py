"""The answer of a reading and of a plan: few lines, the verdict first; prediction against pieces in words."""

from __future__ import annotations

from pathlib import Path

from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.output.pulls.pull_answers import answer_lines, next_phrase, pulls_answer
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
    assert "N (7 pieces only)." in answer_lines(read(broke([700.0 + k for k in range(7)])), SHOWN)[0]
    four = answer_lines(read(broke([700.0, 710.0, 705.0, 712.0])), SHOWN)[0]
    assert "no load to plan with from 4 pieces. Up to 60 % may unwind" in four
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
