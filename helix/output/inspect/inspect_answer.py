"""What `inspect` answers in a few lines: the verdict and why, sizes beside the recipe's, the load that is lost."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from helix.data.practice import practice
from helix.findings import Severity
from helix.output.hold.hold_answers import unwound_clause
from helix.output.hold.pair_report import UNWINDING
from helix.output.report.document import Answer
from helix.output.words.answer_words import LINE, remedy_line, short_title, unwinds_words
from helix.output.words.findings.finding_words import capital, explain
from helix.output.words.findings.reading_words import cannot_be
from helix.output.words.hold_words import unseen
from helix.output.words.words import more_words, plain_count, quarters, shown_severity, telling_of
from helix.studies.judge import load_to_plan, pieces_unwound
from helix.units import UnitSystem, format_force, format_length

if TYPE_CHECKING:
    from helix.studies.inspect.inspection_result import Inspection

_SOUND = "as the recipe asks, within what the readings can tell"
_OTHER = "nothing found wrong, but its counts are not the recipe's"


def inspect_answer(result: Inspection, units: UnitSystem) -> Answer:
    """The answer of an inspection; what does not go together of the readings comes before the verdict, or in its place."""
    sizes, title = _sizes(result, units), short_title(result.recipe.title)
    doubts = sorted(result.doubts, key=lambda doubt: not doubt.impossible)
    lines = cannot_be(doubts[0], units) if doubts else []
    if len(doubts) > 1:
        lines[-1] += f" {capital(more_words(len(doubts) - 1))}."
    if lines:
        lines[0] = f"{'NO VERDICT' if result.shaped is None else 'CHECK FIRST'}: {lines[0]}"
    if result.shaped is None:
        return Answer((*lines, *([f"{capital(sizes)}."] if sizes else ())), title)
    head = f"{result.verdict.upper()}: {_reason(result, units)}."
    lines += [f"{head}  {sizes}".rstrip()] if len(head) + len(sizes) + 2 <= LINE else [head, capital(sizes) + "."]
    lines += [*_load(result, units), *_counted(result)]
    if result.verdict != "good":
        lines.append(remedy_line(result.judgement, units).replace("Change:", "Next time:", 1))
    return Answer(tuple(line for line in lines if line), title)


def _reason(result: Inspection, units: UnitSystem) -> str:
    """Why it is to be made anew, or what to keep in mind; the odds where it may unwind."""
    # that no model knows four strands is said of every joint of two wires, and of the load
    told = {"reading", "two-wires"} if result.recipe.wire.count > 1 else {"reading"}
    telling = [item for item in telling_of(result.whole, units) if item.finding.code not in told]
    if not telling and result.doubts:
        return "nothing else found wrong, if they are right"
    if not telling:
        recipe, slack = result.recipe, result.recipe.tolerance
        as_asked = (
            abs(result.turns - recipe.twist.turns) <= slack.turns
            and abs(result.wraps - recipe.barrel.wraps) <= slack.wraps
        )
        return _SOUND if as_asked else _OTHER
    first, chance = telling[0], math.nan if result.load is None else result.load.unwinds
    rest = f". {capital(more_words(len(telling) - 1))}" if len(telling) > 1 else ""
    turns = plain_count(result.turns)
    if first.finding.code == "unwinds" and not math.isnan(chance):
        often = "as often as not" if chance < 0.65 else f"more often than not ({unwinds_words(chance)})"
        return f"{turns} turns unwind in this wire {often}{rest}"
    if first.finding.code == "may-unwind" and not math.isnan(chance):
        return f"with {turns} turns {unwinds_words(chance)} in this wire{rest}"
    return f"{first.what if len(first.what) < LINE - 30 else first.short}{rest}"


def _sizes(result: Inspection, units: UnitSystem) -> str:
    """Counts and finished length as made, the recipe's in brackets."""
    wanted, length, parts = result.recipe, result.finished_mm, []
    counts = (
        ("turns", "twist", result.turns, wanted.twist.turns),
        ("wraps", "wraps", result.wraps, wanted.barrel.wraps),
    )
    parts += [
        f"{name} {plain_count(made)} ({plain_count(own)})" for key, name, made, own in counts if key in result.readings
    ]
    if length is not None and {"length", "outside_length"} & set(result.readings):
        own = format_length(length.recipe, units).removesuffix(" mm").removesuffix(" in")
        parts.append(f"length {format_length(length.value, units)} ({own})")
    return "  ".join(parts)


def _load(result: Inspection, units: UnitSystem) -> Iterator[str]:
    """The load to plan with beside that of the joint intended."""
    load, held = result.load, result.held
    if load is None:
        return
    nor = result.intended is not None and pieces_unwound(result.intended)  # then that is no load to compare with
    wanted = "" if nor or math.isnan(load.intended_plan_with_n) else format_force(load.intended_plan_with_n, units)
    if math.isnan(load.plan_with_n) and (held is None or held.load_withheld is None):
        fault = held is not None and held.not_estimated
        because = f"practice calls it a fault ({practice().mark})" if fault else "no model knows it"
        right = "As intended, made right" + (", if it holds" if result.recipe.wire.count > 1 else "")
        yield f"No figure as made: {because}.{f' {right}: {wanted} (an estimate).' if wanted else ''}"
        return
    plan, if_held = format_force(load.plan_with_n, units), ""
    if held is not None and held.other is not None:
        if_held = ", if it holds"
    if held is not None and held.pair is not None and held.pair.own is None:
        if_held = ", if it holds"
        yield f"{capital(UNWINDING)}"
    blind = unseen(held) if held is not None else ()
    if shown_severity(result.judgement) is Severity.FAULT or (held is not None and pieces_unwound(held)):
        yield f"Do not plan with it as made.{_as_intended(result, wanted)}"
        return
    if blind:
        beside = f"; as intended {wanted}" if wanted else ""
        yield f"Load as made{if_held}: at most {plan} to plan with (an estimate; {explain(blind[0], units).short}: not in it{beside})."
    elif not wanted:
        yield f"Load as made{if_held}: plan with {plan} (an estimate)."
    elif shown_severity(result.judgement) is Severity.SHARP:
        yield f"Remake it: {plan} as it is{if_held}, {wanted} as intended (an estimate)."
    elif load.lost_n > 0.005 * load.intended_plan_with_n:
        share = f"{100.0 * load.lost_n / load.intended_plan_with_n:.0f} %"
        yield f"Load as made{if_held}: plan with {plan} in place of {wanted}, {share} lost (an estimate)."
    elif load.lost_n < -0.005 * load.intended_plan_with_n:
        yield f"Load as made{if_held}: plan with {plan}, intended {wanted} (an estimate)."
    else:
        yield f"Load as made{if_held}: plan with {plan}, as intended (an estimate)."
    if result.intended is not None and nor:
        yield f"As intended {unwound_clause(result.intended, units)}."
    elif not math.isnan(load.intended_unwinds + load.unwinds):
        before, now = unwinds_words(load.intended_unwinds), unwinds_words(load.unwinds)
        told = any(finding.code in ("unwinds", "may-unwind") for finding in result.judgement.findings)
        if before != now:
            yield f"As intended {before}." if told else f"{capital(now)}; as intended {before}."


def _as_intended(result: Inspection, wanted: str) -> str:
    """What the joint carries once it is made as intended, beside one that is not to be planned with; how many of those unwind."""
    intended = result.intended
    if intended is not None and pieces_unwound(intended):
        return " Nor as intended."
    if intended is None or not wanted:
        return ""
    if load_to_plan(intended).use == "do-not":
        right = intended.made_right
        return (
            " Nor as intended."
            if right is None or not right.holds
            else f" Made right: plan with {wanted} (an estimate)."
        )
    if_holds = "if it holds, " if load_to_plan(intended).use == "if-it-holds" else ""
    odds = "" if math.isnan(intended.probability.unwinds) else f"; {unwinds_words(intended.probability.unwinds)}"
    return f" Remade as intended: {if_holds}plan with {wanted} (an estimate{odds})."


def _counted(result: Inspection) -> Iterator[str]:
    """The counts as a person counts them on the finished joint."""
    if {"turns", "wraps"} & set(result.readings) and result.turns and result.wraps:
        twists, wraps = quarters(result.turns_to_tag), quarters(result.wraps_from_tag)
        yield f"Counted to where the tag leaves: {twists} twists; from there {wraps} wraps."
