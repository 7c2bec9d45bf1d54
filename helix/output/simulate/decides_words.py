"""What decides beside a simulated pull: the estimate of the hold, or own pieces, in a sentence."""

from __future__ import annotations

import math
from typing import Final

from helix.output.hold.hold_answers import unwound_clause
from helix.output.simulate.pull_film import GIVES_WAY
from helix.output.words.answer_words import unwinds_words
from helix.output.words.findings.finding_words import capital
from helix.studies.hold.hold_result import HoldResult
from helix.studies.judge import pieces_unwound
from helix.studies.simulate.pull_result import PullOutcome, PullRun

NOT_KNOWN: Final = "No model says whether such a joint unwinds: pull pieces."


def decides_line(held: HoldResult | None, run: PullRun, of: str = "") -> str:
    """How such joints end by the estimate, own pieces in it, that this decides, and why where the simulated pull ends otherwise.

    held: None where the joint is too far out to be estimated. of: the wire of a pull that comes with helix, which decides nothing for
    the joint in hand unless own pieces are of such a joint.
    """
    if held is None or not _is_known(held, run):
        return f"{NOT_KNOWN} {GIVES_WAY}"
    if of and not _pulled(held):
        before = " The estimate goes before this pull." if against_estimate(held, run) else ""
        return f"In {of}, not the joint in hand: {_by(held)}.{before} {GIVES_WAY}"
    return f"{capital(_by(held))}: that decides{', not this pull' if against_estimate(held, run) else ''}. {GIVES_WAY}"


def decides_label(held: HoldResult | None, run: PullRun, in_hand: bool = True) -> str:
    """The same in the few words that have room beside the pull in a picture. in_hand: whether it is of the joint in hand."""
    if held is None or not _is_known(held, run):
        return "no model knows it: pull pieces"
    return (
        f"but {_by(held)}{': that decides' if in_hand or _pulled(held) else ''}"
        if against_estimate(held, run)
        else _by(held)
    )


def _is_known(held: HoldResult, run: PullRun) -> bool:
    return not math.isnan(held.probability.unwinds) and run.outcome is not PullOutcome.DIVERGED


def _pulled(held: HoldResult) -> bool:
    """Whether own pieces of such a joint, or that count against it, are in the estimate."""
    return "own_joints" in {layer.name for layer in held.layers} or pieces_unwound(held)


def _by(held: HoldResult) -> str:
    ends = unwound_clause(held, "metric") if pieces_unwound(held) else unwinds_words(held.probability.unwinds)
    return f"by {'your pull tests' if _pulled(held) else 'the estimate'} {ends}"


def against_estimate(held: HoldResult, run: PullRun) -> bool:
    """Whether a pull slips where the estimate has the joint lock, or does not where it may unwind."""
    return (run.outcome is PullOutcome.SLIPS) == (held.verdict in ("locks", "no model"))
