"""What decides beside a simulated pull: the estimate of the hold, or own pieces, in a sentence."""

from __future__ import annotations

import math
from typing import Final

from helix.output.simulate.pull_film import GIVES_WAY
from helix.output.words.answer_words import unwinds_words
from helix.studies.hold.hold_result import HoldResult
from helix.studies.simulate.pull_result import PullOutcome, PullRun

NOT_KNOWN: Final = "No model says whether such a joint unwinds: pull pieces."


def decides_line(held: HoldResult | None, run: PullRun) -> str:
    """How such joints end by the estimate, own pieces in it, that this decides, and why where the simulated pull ends otherwise.

    held: None where the joint is too far out to be estimated.
    """
    if held is None or math.isnan(held.probability.unwinds) or run.outcome is PullOutcome.DIVERGED:
        return f"{NOT_KNOWN} {GIVES_WAY}"
    pulled = "own_joints" in {layer.name for layer in held.layers}
    by = f"By {'your pull tests' if pulled else 'the estimate'} {unwinds_words(held.probability.unwinds)}"
    return f"{by}: that decides{', not this pull' if against_estimate(held, run) else ''}. {GIVES_WAY}"


def against_estimate(held: HoldResult, run: PullRun) -> bool:
    """Whether a pull slips where the estimate has the joint lock, or does not where it may unwind."""
    return (run.outcome is PullOutcome.SLIPS) == (held.verdict in ("locks", "no model"))
