"""What `spread` answers in a few lines: what matters most."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from helix.output.report.document import Answer
from helix.output.words.answer_words import headline, short_title, tape_range
from helix.output.words.words import bend_name
from helix.studies.judge import judge
from helix.units import UnitSystem, format_length, format_tape

if TYPE_CHECKING:
    from helix.studies.inspect.spread import Effect, SpreadResult

_SHOWN = 3
ALONE: Final = "What errors do to the hold is not counted: these are of bends and lengths alone."


def spread_answer(result: SpreadResult, units: UnitSystem) -> Answer:
    """The one verdict on the joint; the bend most at risk, the ranges of cut and finished length, and the errors that move each most."""
    worst = min(result.bends, key=lambda bend: (-bend.severity, getattr(bend.trials, bend.severity.word)))
    kept = round(100.0 * getattr(worst.trials, worst.severity.word))
    short, long = (format_length(mm, units) for mm in (result.finished.low_mm, result.finished.high_mm))
    each = " of the longer wire" if result.recipe.wire.count > 1 else ""
    lines = (
        headline(judge(result.recipe, result.of_hold), units),
        f"Hardest bend: {bend_name(worst.name)}, {worst.severity.word}, and so in {kept} of 100 joints with these errors.",
        (
            f"95 of 100: cut {format_tape(result.cut.nominal_mm, units)}{each} ({tape_range(result.cut.low_mm, result.cut.high_mm, units)}), "
            f"finished {format_length(result.finished.nominal_mm, units)} ({short} to {long})."
        ),
        f"What matters most for the cut: {_most(result, units, lambda effect: effect.cut_sd_mm, lambda effect: effect.cut_slope_mm)}.",
        (
            "For the finished length: "
            f"{_most(result, units, lambda effect: effect.finished_sd_mm, lambda effect: effect.finished_slope_mm)}."
        ),
    )
    return Answer((*lines, ALONE), short_title(result.recipe.title))


def _most(
    result: SpreadResult, units: UnitSystem, sd: Callable[[Effect], float], slope: Callable[[Effect], float]
) -> str:
    """The errors that move a length most, each with what its step moves it by."""
    ranked = sorted(result.effects, key=sd, reverse=True)[:_SHOWN]
    return ", ".join(f"{effect.input.name} ({format_length(abs(slope(effect)), units)})" for effect in ranked)
