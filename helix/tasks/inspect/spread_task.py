"""Spread: what small errors do, by first derivatives and by random trials, side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from helix.errors import ValidationIssue, argument_issue
from helix.output.inspect.spread_table import spread_document
from helix.output.report.record import record
from helix.studies.inspect.spread import DRAWS, SEED, SpreadResult, Steps, spread
from helix.studies.judge import found_by_own
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, TICK, Option, quantity, units, whole
from helix.tasks.task import Given, Task

_USUAL = Steps()


def _spread(given: Given) -> SpreadResult:
    steps = Steps(
        angle_deg=given.angle, length_mm=given.length or _USUAL.length_mm, turn=given.turn or _USUAL.turn, own=given.own
    )
    found = spread(given.recipe, steps, draws=given.draws, seed=given.seed, on_output=given.on_output)
    return replace(found, of_hold=found_by_own(given.recipe, given.pulls))


def _both(given: Given) -> Iterator[ValidationIssue]:
    if given.own and (given.length is not None or given.turn is not None):
        yield argument_issue("own", "must not stand beside length or turn: give one or the other")


TASK = Task(
    options=(
        RECIPE,
        Option("angle", "plus or minus of angles", quantity("angle", most=20.0), f"{_USUAL.angle_deg:g} deg",
               label="Angles are off by"),
        Option("length", "plus or minus of lengths", quantity("length", most_d=10.0, of_wire=True),
               usual=f"{_USUAL.length_mm:g} mm", label="Lengths are off by"),
        Option("turn", "plus or minus of turns, swing and wraps", quantity("none", most=1.0),
               usual=f"{_USUAL.turn:g}", label="Turns, swing and wraps by"),
        Option("own", "take the recipe's own tolerances where it has them", TICK,
               label="The recipe's own tolerances in place of lengths and turns"),
        Option("draws", "random trials", whole(100, 1_000_000), str(DRAWS)),
        Option("seed", "where the random numbers start", whole(0, 2**32 - 1), str(SEED)),
        units(),
        PULLS,
    ),
    run=_spread,
    check=_both,
    document=spread_document,
    record=record,
    json="mm and deg",
)  # fmt: skip
