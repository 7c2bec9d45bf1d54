"""What `hold` and `why` answer in a few lines: verdict, load to plan with, where it breaks, what to change."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from helix.data.practice import practice
from helix.findings import Severity
from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Recipe
from helix.output.hold.pair_report import reckoned_line, slack_lines, stiff_line, unwinding_line
from helix.output.report.document import Answer
from helix.output.words.answer_words import breaks_words, headline, remedy_line, short_title, unwinds_words
from helix.output.words.findings.finding_words import capital, explain
from helix.output.words.hold_words import WITHHELD, breaks_early, piece_clause, unseen
from helix.output.words.sentence_format import odds_words
from helix.output.words.story_words import story_line
from helix.output.words.words import number_of, shown_severity
from helix.studies.hold.hold_result import BrokeAt, HoldResult
from helix.studies.hold.holding import hold
from helix.studies.hold.pair.pair_hold import PairHold
from helix.studies.hold.pair.pair_load import PairLoad
from helix.studies.hold.why import Change, WhyResult
from helix.studies.judge import LoadToPlan, judge_held, load_to_plan, pieces_unwound
from helix.units import UnitSystem, format_force

TABLE = "--table: other counts; --all: the rest."
REST = "--all: the rest."
BROKE = "--all: the estimate."
DO_NOT = "Do not plan with it"
UNPULLED = ", none of these pulled yet"


def hold_answer(result: HoldResult, units: UnitSystem, fewer: float | None = None) -> Answer:
    """The answer of an estimate; fewer: the chance of unwinding with one turn fewer, where it was asked."""
    if result.broke_at is not None:
        return Answer(tuple(broke_lines(result.broke_at, units)), counted_title(result), BROKE)
    judgement = judge_held(result)
    lines = [*_verdict(result, units), *load_lines(result, units), where_line(result)]
    if result.pair is not None:
        lines.append(stiff_line(result.pair, units))
    good = shown_severity(judgement) is Severity.OK
    if good and fewer is not None and odds_words(fewer) != odds_words(result.probability.unwinds):
        lines.append(f"One turn fewer: {unwinds_words(fewer)}.")
    if not good and judgement.code != "two-wires":
        lines.append(remedy_line(judgement, units) or _until_it_holds(result))
    more = TABLE if result.pair is None else REST
    return Answer(tuple(line for line in lines if line), counted_title(result), more)


def broke_lines(broke: BrokeAt, units: UnitSystem) -> Iterator[str]:
    """Where it broke, then what to look at, numbered; what this joint shows itself is marked."""
    yield f"Broke {breaks_words(broke.place)}. Look at, in order:"
    for number, finding in enumerate(broke.look_at, 1):
        mark = "this joint: " if finding.severity > Severity.NOTE else ""
        yield f"{number}. {mark}{explain(finding, units).what}."


def why_answer(why_result: WhyResult, units: UnitSystem) -> Answer:
    """The weakest place and the change that helps most."""
    result = why_result.hold
    lines = [*_verdict(result, units), *load_lines(result, units)]
    weakest = "not known: no model applies to this joint" if result.model is None else _weakest(result)
    stories = [story_line(story, units) for story in why_result.stories]
    notes = result.governs_place.startswith("entry") and stories  # the first bend's own story says where and why
    lines += [*([] if notes else [f"Weakest: {weakest}."]), *stories, *_change(why_result, units)]
    return Answer(tuple(line for line in lines if line), counted_title(result))


def counted_title(result: HoldResult) -> str:
    """The joint's title with its counts."""
    counts = f"{number_of(result.grip.turns, 'turn')}, {number_of(result.grip.wraps, 'wrap')}"
    return f"{short_title(result.recipe.title)}: {counts}"


@dataclass(frozen=True)
class LoadHead:
    """What to do with the load, what kind of number it is, and what is expected or why there is none.

    use, load_n: as `load_to_plan` has it. short: "Plan with 627 N", or what to do instead; mark: "an estimate" and what is not in it, empty where there is no figure; rest:
    a clause. line: the load alone, for where there is little room; empty where short is short enough.
    """

    severity: Severity
    to_plan: LoadToPlan
    short: str
    mark: str
    rest: str
    line: str = ""


def load_head(result: HoldResult, units: UnitSystem) -> LoadHead:
    """The load in a few words, under the one judgement of the joint."""
    severity, to_plan = shown_severity(judge_held(result)), load_to_plan(result)
    mark = f"an estimate{f'; {explain(unseen(result)[0], units).short}: not in this load' if unseen(result) else ''}"
    load = "" if math.isnan(to_plan.load_n) else format_force(to_plan.load_n, units)
    if result.pair is not None and result.pair.load is not None:
        return _pair_head(result.pair, result.pair.load, severity, to_plan, mark, units)
    plan, expected = (format_force(newton, units) for newton in (result.plan_with_n, result.expected_n))
    ends = f"expected to {'unwind' if result.governs_place == 'unwinding' else 'break'} at {expected}"
    of = "one joint " if piece_clause(result, units) else ""
    match to_plan.use:
        case "none":
            because = f"practice calls it a fault ({practice().mark})" if result.not_estimated else "no model knows it"
            short = "No figure: remake it" if result.not_estimated else "No figure"
            return LoadHead(severity, to_plan, short, "", because)
        case "do-not" if pieces_unwound(result):
            return LoadHead(severity, to_plan, DO_NOT, "", unwound_clause(result, units))
        case "do-not":
            rest = ends
        case "remake":
            return LoadHead(severity, to_plan, f"Remake it: {load} as it is", mark, ends)
        case "if-it-holds":
            return LoadHead(severity, to_plan, f"If it holds, plan {of}with {load}", mark, ends, f"If it holds: {load}")
        case _ if to_plan.load_n < result.plan_with_n:
            rest = f"19 of 20 hold more than {plan}, {ends}"
            return LoadHead(severity, to_plan, f"Plan {of}with {load}, as rated", mark, rest)
        case _:
            return LoadHead(severity, to_plan, f"Plan {of}with {load}", mark, ends)
    return LoadHead(severity, to_plan, DO_NOT, mark, rest)


def unwound_clause(result: HoldResult, units: UnitSystem) -> str:
    """Which pieces unwound, of this joint or of one that is wound no less; empty where none count."""
    telling = (finding for finding in result.findings if finding.code in ("own-unwound", "like-unwound"))
    return next((explain(finding, units).what for finding in telling), "")


def bounds_clause(result: HoldResult, units: UnitSystem) -> str:
    """What kind of number the load to plan with is; empty where the head says it, or there is none."""
    planned = load_to_plan(result).use in ("plan", "if-it-holds")
    return "19 of 20 hold more; not a working load" if planned else ""


def strength_line(recipe: Recipe, units: UnitSystem, held: HoldResult | None = None) -> str:
    """What a joint holds, in a line for paper and pages that show its shape; empty where the models' numbers have no meaning. held:
    an estimate in place of the usual one."""
    try:
        result = held or hold(recipe)
    except ValueError:
        return ""
    head = load_head(result, units)
    marks = "; ".join(part for part in (head.mark, bounds_clause(result, units), piece_clause(result, units)) if part)
    return f"{head.short}{f' ({marks})' if marks else ''}. {capital(head.rest)}."


def own_clause(result: HoldResult, units: UnitSystem, *, piece: bool = True) -> str:
    """That own pieces are in the estimate, and, if wanted, what a whole piece may be planned with; empty where none are."""
    if pieces_unwound(result):
        return ""
    joints = "own_joints" in {layer.name for layer in result.layers} or (result.pair and result.pair.own)
    which = "" if joints else _others_in(result)
    told = piece_clause(result, units)
    ends = ", for one joint, not both ends" if not told else f", {told}" if piece else ""
    return f"your own pull tests{which} are in it{ends}" if joints or which else ""


def _others_in(result: HoldResult) -> str:
    """Which other joints' pieces lower the load of one that was not pulled; empty where none do."""
    of = "own" if result.forecast is None or math.isnan(result.plan_with_n) else result.forecast.broke_of
    return {"own": "", "bent": " of other counts, bent alike,", "better": " of a joint made no worse"}[of]


def _pair_head(
    pair: PairHold, load: PairLoad, severity: Severity, to_plan: LoadToPlan, mark: str, units: UnitSystem
) -> LoadHead:
    told, unwound = pair.own or load, pair.own is not None and pair.own.unwound > 0
    plan, expected = (format_force(newton, units) for newton in (told.plan_with_n, told.expected_n))
    ends = f"expected to {'break or unwind' if unwound else 'break'} at {expected}"
    match to_plan.use:
        case "do-not":
            rest = f"{'' if unwound else 'if it holds, '}{ends}"
            return LoadHead(severity, to_plan, DO_NOT, mark, rest)
        case "plan":
            return LoadHead(severity, to_plan, f"Plan with {plan}", mark, ends)
    return LoadHead(severity, to_plan, f"If it holds, plan with {plan}", mark, ends, f"If it holds: {plan}")


def load_lines(result: HoldResult, units: UnitSystem) -> Iterator[str]:
    """The load to plan with and the expected one, what is not in it, the rated load; or why there is none."""
    right, head = result.made_right, load_head(result, units)
    made = format_force(right.plan_with_n, units) if right is not None and right.holds else ""
    if result.pair is not None and result.pair.load is not None:
        fault = head.to_plan.use == "do-not"
        yield (
            f"{head.short}: {head.rest} ({head.mark})."
            if fault
            else f"{head.short} ({head.mark}). {capital(head.rest)}."
        )
        if result.pair.own is None:
            yield from slack_lines(result.pair.load, units)
        else:
            which = " with other counts, bent alike" if result.pair.own.of_others else ""
            yield f"That is from mechanics and your own pieces{which}, the two as equal as you made them."
        yield reckoned_line(result.pair.load, units)
        return
    if result.load_withheld:
        yield f"{head.short}. {WITHHELD}"
        return
    if math.isnan(result.plan_with_n):
        yield f"{head.short}. {capital(head.rest)}.{f' Made right: {made} (an estimate).' if made else ''}"
        if right is not None and not right.holds:
            yield "Made right it unwinds all the same: add turns as well."
        return
    part = f"{100.0 * result.expected_n / result.strength_n:.0f} % of straight wire"
    if head.to_plan.use != "do-not":
        yield f"{head.short} ({head.mark}). {capital(head.rest)}."
    elif head.mark:
        yield f"{head.short}: {head.rest} ({head.mark})."
    layers, ends = {layer.name for layer in result.layers}, piece_clause(result, units) or "one joint, not both ends"
    failed = "none of which failed; " if result.forecast and result.forecast.none_failed else ""
    others = _others_in(result).removesuffix(",")
    none = (
        "; no pulls of yours yet"
        if result.other is None and not result.others_broke
        else "; no pulls of this joint yet"
    )
    if result.other is not None and result.other.wire_mm is not None:
        none = "; your pieces of other wire unwound and are not counted"
    pulls = " and your own straight pulls" if "coil" in layers else none
    if others:
        pulls = f" and your own pulls{others}; none of this joint yet"
    if "own_joints" in layers:
        pulls = f" and your own pulls{', ' if failed else '; '}{failed}{ends}"
    if head.mark:
        yield f"That is {part}, from mechanics{pulls}."
    else:
        ends = f"Broken or unwound, one is expected to end at {format_force(result.expected_n, units)}"
        yield f"{head.short}. {ends}, {part} (an estimate from mechanics{pulls})."
    if breaks_early(result) and right is not None and right.holds:
        yield f"Made right: plan with {made}, expected {format_force(right.expected_n, units)} (an estimate)."
    rated_n, chance = result.wire.rated_load_n, result.probability.holds_rated
    if rated_n is not None and chance is not None:
        label = (
            f"Rated load {format_force(rated_n, units)}: expected at {100.0 * result.expected_n / rated_n:.0f} % of it"
        )
        yield f"{label}; {odds_words(1.0 - chance)} breaks below it."


def where_line(result: HoldResult) -> str:
    """Where it breaks, and where else; empty where nothing is estimated."""
    likely = sorted((place for place in result.breaks if place.odds_first >= 0.05), key=lambda place: -place.odds_first)
    if not likely or result.governs_place == "unwinding":
        return ""
    odds = f"{min(round(10.0 * likely[0].odds_first), 9)} in 10"
    rest = f", else {breaks_words(likely[1].place)}" if len(likely) > 1 else ""
    return f"Breaks {breaks_words(likely[0].place)} ({odds}){rest}."


def odds_clause(result: HoldResult) -> str:
    """How many joints unwind, as a clause; empty where nothing is estimated, and where pieces unwound, of which is told how many."""
    chance = result.probability.unwinds
    return "" if math.isnan(chance) or result.not_estimated or pieces_unwound(result) else unwinds_words(chance)


def _verdict(result: HoldResult, units: UnitSystem) -> Iterator[str]:
    judgement, odds = judge_held(result), odds_clause(result)
    if shown_severity(judgement) is Severity.OK:
        yield f"LOCKS. {capital(odds)}." if odds else "OK."
        return
    if judgement.code == "two-wires":
        yield f"CAUTION: {unwinding_line(result.pair)}"
        return
    yield headline(judgement, units)
    if result.pair is not None:
        yield capital(unwinding_line(result.pair))
    if odds:
        yield f"By the estimate{', which does not know of that,' if unseen(result) else ''} {odds}."


def _until_it_holds(result: HoldResult) -> str:
    """What to change where the joint may unwind and nothing else is wrong."""
    return (
        ""
        if result.verdict in ("locks", "no model")
        else f"Change: {limits.FEW:g} turns, then {limits.FEW:g} wraps ({limits.PRACTICE}), or more until it holds."
    )


def _weakest(result: HoldResult) -> str:
    if result.governs_place == "unwinding":
        part = "the twist" if result.grip.turns else "the wraps, with no twist to hold the tag"
        return f"{part}: the tag pulls out before the wire breaks"
    how = ", pulled straight again" if result.governs_place == "exit_standing" else ""
    return f"{breaks_words(result.governs_place).removeprefix('at ')}{how}"


def _change(why: WhyResult, units: UnitSystem) -> Iterator[str]:
    best, now, judgement = why.best, why.by_models, judge_held(why.hold)
    if best is None:
        if shown_severity(judgement) is Severity.OK:
            yield "Change nothing: no change that was tried is worth it."
            return
        yield f"No change that was tried takes that away{'' if now is why.hold else ': pull more such pieces'}."
        yield remedy_line(judgement, units)
        return
    if pieces_unwound(why.hold):
        yield f"Best change: {best.what}{UNPULLED if best.result.other is not None else ''}."
        yield "How much that helps only pieces can tell, as the models did not know of yours: pull such pieces."
        return
    before, after = best.before, best.result
    can, may = load_to_plan(after).use in ("plan", "if-it-holds"), load_to_plan(why.hold).use != "do-not"
    to = f"plan with {format_force(after.plan_with_n, units)}" if not math.isnan(after.plan_with_n) else ""
    if to and not may:
        to = f"it can then be planned with {to.removeprefix('plan with ')} by the models" if can else ""
    elif to and not math.isnan(before.plan_with_n):
        small = abs(best.gain_n) < limits.WORTH_LOAD * before.strength_n
        to = "" if small else f"{to} instead of {format_force(before.plan_with_n, units)}"
    if math.isnan(before.probability.unwinds) or abs(before.probability.unwinds - after.probability.unwinds) > 0.01:
        odds = after.probability.unwinds
        to = "; ".join(part for part in (to, "" if math.isnan(odds) else unwinds_words(odds)) if part)
    if best.result.other is not None:
        to = f"{to}{UNPULLED}"
    same = f"the load stays, {cured_clause(best)}" if best.cures else ""
    yield f"Best change: {best.what}{f': {to or same}' if to or same else ''}."
    if after.verdict == "unwinds":
        yield "It unwinds even then: add turns as well."
    elif to:
        yield f"Sure of direction, not of load{'' if before is why.hold or before is not now else '; by the models alone, not by your pieces'}."


def cured_clause(change: Change) -> str:
    """What a change takes away, as a clause."""
    found = change.judgement.severity
    return (
        "nothing is found wrong any more"
        if found < Severity.CAUTION
        else f"less is found wrong, but {found.word} it stays"
    )
