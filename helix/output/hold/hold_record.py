"""What JSON carries of hold, table, why, form and stretch beside the fields of their results: the words."""

from __future__ import annotations

from typing import Any

from helix.data.practice import practice
from helix.output.report.record import judgement_record
from helix.output.words.hold_words import NEXT_TESTS, governs_words, model_name, not_modelled_line, practice_line
from helix.studies.hold.friction_fit import CalibrationFit, ModelFit
from helix.studies.hold.hold_findings import practice_end
from helix.studies.hold.hold_table import HoldTable
from helix.studies.hold.holding import HoldResult, ModelHold
from helix.studies.hold.sensitivity import Answer, Bar
from helix.studies.hold.why import WhyResult
from helix.studies.judge import judge_held
from helix.values import Words, to_plain


def practice_of_counts(result: HoldResult) -> dict[str, Any] | None:
    """What practice knows of joints with these counts in this wire; None where it says nothing of them."""
    end, facts, size = (
        practice_end(result.recipe, result.grip, result.not_modelled),
        practice(),
        result.recipe.wire.size,
    )
    if not end:
        return None
    full = next((known for known in facts.sizes if known.size == size and end == "holds"), None)
    return {
        "ends": end,
        "turns": result.grip.turns,
        "wraps": result.grip.wraps,
        "size": size,
        "tests": full.tests if full else None,
        "mean_breaking_load_n": full.mean_n if full else None,
        "mark": facts.mark,
        "says": practice_line(result),
    }


WORDS: Words = {
    HoldResult: {
        "judgement": lambda result: judgement_record(judge_held(result)),
        "governs": governs_words,
        "practice_says": lambda result: [not_modelled_line(code, result) for code in result.not_modelled],
        "practice_of_counts": practice_of_counts,
        "next_tests": lambda result: NEXT_TESTS,
    },
    WhyResult: {"judgement": lambda found: judgement_record(judge_held(found.hold))},
    ModelHold: {"name": lambda model: model_name(model.key)},
    ModelFit: {"name": lambda model: model_name(model.key)},
}


def table_to_dict(table: HoldTable, now: Answer, bars: tuple[Bar, ...]) -> dict[str, Any]:
    """Cells, the smallest safe pair and the sensitivities: to be added to the record of a hold."""
    return {"table": to_plain(table), "sensitivities": to_plain({"now": now, "bars": bars})}


def hold_to_dict(result: HoldResult, fitted: CalibrationFit | None = None) -> dict[str, Any]:
    """The estimate, with the friction numbers of the user's own tests behind it."""
    data = dict(to_plain(result, WORDS))
    return data if fitted is None else {**data, "calibration": to_plain(fitted, WORDS)}
