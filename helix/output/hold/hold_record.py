"""What JSON carries of hold, table, why, form and stretch beside the fields of their results: the words."""

from __future__ import annotations

from typing import Any

from helix.data.practice import practice
from helix.findings import Judgement
from helix.output.hold.pair_report import pair_assumptions
from helix.output.report.record import message, record
from helix.output.words.assumptions import hold_assumptions
from helix.output.words.hold_words import (
    NEXT_TESTS,
    NEXT_TESTS_OF_TWO,
    governs_words,
    model_name,
    not_modelled_line,
    practice_line,
    practice_of,
)
from helix.output.words.story_words import story_lines
from helix.studies.hold.bend_stories import BendStory
from helix.studies.hold.evidence.friction_fit import CalibrationFit, ModelFit
from helix.studies.hold.hold_result import Evidence, HoldResult, ModelHold
from helix.studies.hold.hold_table import HoldTable
from helix.studies.hold.pair.pair_hold import PairHold
from helix.studies.hold.sensitivity import Answer, Bar, Sensitivities
from helix.studies.hold.why import WhyResult
from helix.studies.judge import judge_held, load_to_plan
from helix.values import Words, to_plain


def practice_of_counts(result: HoldResult) -> dict[str, Any] | None:
    """What practice knows of joints with these counts in this wire; None where it says nothing of them."""
    end = practice_of(result)
    if not end:
        return None
    return {
        "ends": end,
        "turns": result.grip.turns,
        "wraps": result.grip.wraps,
        "mark": practice().mark,
        "says": practice_line(result),
    }


def practice_says(result: HoldResult) -> list[str]:
    """What no model knows of this joint, with what practice says."""
    return [not_modelled_line(code, result) for code in result.not_modelled]


def next_tests(result: HoldResult) -> str:
    """What to pull after the deciding test."""
    return NEXT_TESTS if result.pair is None else NEXT_TESTS_OF_TWO


def name_of(model: ModelHold | ModelFit) -> str:
    """Key and name of a model."""
    return model_name(model.key)


def story_lines_of(story: BendStory) -> list[str]:
    """A story in sentences, metric."""
    return list(story_lines(story))


def judge_why(why: WhyResult) -> Judgement:
    """The verdict on the joint as it is."""
    return judge_held(why.hold)


def lines_of(noted: Evidence | CalibrationFit) -> list[str]:
    """What is to be kept in mind, a sentence each."""
    return [message(note) for note in noted.notes]


def varied_line(fitted: CalibrationFit) -> str:
    """Whether the tests can tell turns from wraps."""
    return message(fitted.turns_and_wraps_note)


WORDS: Words = {
    PairHold: {"assumptions": pair_assumptions},
    Evidence: {"notes": lines_of},
    CalibrationFit: {"notes": lines_of, "turns_and_wraps_note": varied_line},
    HoldResult: {
        "judgement": judge_held,
        "to_plan_with": load_to_plan,
        "governs": governs_words,
        "practice_says": practice_says,
        "practice_of_counts": practice_of_counts,
        "next_tests": next_tests,
        "assumptions": hold_assumptions,
    },
    BendStory: {"says": story_lines_of},
    WhyResult: {"judgement": judge_why},
    ModelHold: {"name": name_of},
    ModelFit: {"name": name_of},
}


def table_to_dict(table: HoldTable, now: Answer, bars: tuple[Bar, ...]) -> dict[str, Any]:
    """Cells, the fewest counts estimated to lock and the sensitivities: to be added to the record of a hold."""
    return {"table": to_plain(table), "sensitivities": to_plain(Sensitivities(now=now, bars=bars))}


def hold_to_dict(result: HoldResult, fitted: CalibrationFit | None = None) -> dict[str, Any]:
    """The estimate, with the friction numbers of the user's own tests behind it."""
    return record(result) | ({} if fitted is None else {"calibration": to_plain(fitted, WORDS)})
