"""The words of a hold estimate: verdict, chance, place, model, test; text, JSON and pages take them from here."""

from __future__ import annotations

import math
from typing import Final

from helix.data.practice import practice
from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.joint.section_names import part_name, section_name
from helix.output.words.answer_words import unwinds_words
from helix.output.words.findings.finding_words import capital
from helix.output.words.sentence_format import chance_words, joints_words, odds_words
from helix.output.words.words import bend_name, more_words, number_of, shown_severity, telling_of
from helix.studies.hold.evidence.deciding_test import CUT_BEYOND_D, DecidingTest, Prediction
from helix.studies.hold.grip_models import MODELS, WRAPS_ALONE
from helix.studies.hold.hold_findings import NOT_IN_LOAD, practice_end
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.places.bend_places import STRAIGHT, places_of
from helix.studies.judge import judge_held, load_to_plan, pieces_unwound
from helix.units import UnitSystem, format_force, format_length

VERDICTS: Final = {
    "locks": "LOCKS: the wire breaks before the joint unwinds.",
    "marginal": "MARGINAL: it may unwind before the wire breaks.",
    "unwinds": "UNWINDS: the tag pulls out before the wire breaks.",
    "no model": "NO MODEL: none of the models applies to such a joint.",
}
LAYERS: Final = {
    "table": "table of the material: straight wire",
    "coil": "straight wire of your own",
    "mechanics": "mechanics of the joint (simulated, not tested)",
    "rule_of_thumb": "rule of thumb, through the grip (common practice, no source)",
    "made_right": "no more than the same joint made right",
    "own_joints": "joints of your own",
    "bent_alike": "joints of your own with other counts, bent alike",
    "linked": "the bend over what it hangs in",
}
WITHHELD: Final = "At what load one ends is not known: only that it is no better than those pieces."
NO_LAYERS: Final = "No layers of evidence are shown: there is no load to plan with."
NEXT_TESTS_OF_TWO: Final = "Pull three such joints to break: whether four strands unwind is what no model says."
NEXT_TESTS: Final = "Next: 5 turns with 2 wraps, 3 turns with 8 wraps, and the same joint degreased against oiled."
_NAMES: Final = {model.key: model.name for model in (*MODELS, WRAPS_ALONE)}


def model_name(key: str) -> str:
    """Key and name of a model.

    >>> model_name("L"), model_name("W")
    ('L, linear tail', 'wraps alone')
    """
    return _NAMES[key] if key == WRAPS_ALONE.key else f"{key}, {_NAMES[key]}"


def place_words(name: str) -> str:
    """Where a joint gives way.

    >>> place_words("exit_tag"), place_words("eye")
    ('exit bend, tag', 'eye')
    """
    if name in STRAIGHT:
        return {"clear": "in the straight wire", "behind_barrel": "behind the barrel"}[name]
    return bend_name(name) if part_name(name) in ("entry", "exit") else section_name(name)


def limits_words(low: float, high: float) -> str:
    """The 95 % limits of a counted chance.

    >>> limits_words(0.0097, 0.0137), limits_words(0.47, 0.4899), limits_words(0.9996, 1.0), limits_words(0.0, 0.0004)
    ('0.97 to 1.4 %', '47 to 49 %', '99.96 to 100 %', '0 to 0.04 %')
    """

    def percent(share: float) -> str:
        return (
            f"{100.0 * share:.2g}" if share < 0.1 else f"{100.0 * share:.{0 if share < 0.99 or share == 1.0 else 2}f}"
        )

    return f"{percent(low)} to {percent(high)} %"


def verdict_line(result: HoldResult) -> str:
    """The verdict and its chance, with the interval of the counting and the spread of the models, in a line or two."""
    head = VERDICTS[result.verdict]
    if pieces_unwound(result):
        head = "By the models and your own pieces, which decide."
    elif breaks_early(result):
        head = "BREAKS EARLY: the wire breaks before the joint unwinds, below the same joint made right."
    elif result.verdict == "locks" and not judge_held(result).is_ok:
        blind = ", which does not know of that" if unseen(result) else ""
        head = f"By the estimate alone{blind}, the wire breaks before the joint unwinds."
    if result.model is None:
        return f"{head} {no_model_line(result)}"
    if result.not_estimated:
        return head
    chance = result.probability
    if pieces_unwound(result):
        return f"{head} By them {joints_words(chance.unwinds)} would unwind, by the model that expects least {odds_words(chance.models_low)}; a piece with two joints shows the worse one."
    text = f"{head} {capital(unwinds_words(chance.unwinds))}"
    low, high = odds_words(chance.models_low), odds_words(chance.models_high)
    if len(result.applicable) > 1 and low != high:
        text += f" ({low} to {high} by model)"
    return f"{text}; counted in {chance.draws:,} draws, 95 % limits {limits_words(chance.low, chance.high)}."


def no_model_line(result: HoldResult) -> str:
    """Why nobody speaks, and what practice says."""
    why = sorted({model.not_applicable_because for model in result.models})
    words = " ".join(not_modelled_line(code, result) for code in result.not_modelled if code != "more-wraps")
    return f"Why: {'; '.join(why)}. {words}".strip()


def not_modelled_line(code: str, result: HoldResult) -> str:
    """What the models know nothing of in this joint, with what practice says of it."""
    saying, joint = practice().saying, result.grip
    seen = {place.name: place.visible_angle_deg or 0.0 for place in places_of(result.recipe)}
    angle = f"the models see its strain, not its angle; {saying('visible_angle')}"
    return {
        "two-wires": f"Two wires worked as one: no model; practice reckons twice one wire ({practice().mark}).",
        "uneven-twist": f"Uneven twist: no model, {saying('evenness')}.",
        "more-wraps": f"What more than {limits.HINGE_WRAPS:g} wraps add: no model knows, {saying('wraps')}.",
        "one-wrap": f"Barrel of {number_of(joint.wraps, 'wrap')}: no model, {saying('wraps')}.",
        "no-barrel": f"No barrel: {saying('wraps')}.",
        "opposite-hand": f"Barrel of the opposite hand: no model, {saying('hand')}.",
        "wraps-only": f"No twist: {saying('wraps_alone')}.",
        "spread-throat": (
            f"Throat spread to {seen.get('entry_tag', 0.0):.0f} deg: in simulated pulls it does not break early, and none was tested; "
            f"{saying('visible_angle')}."
        ),
        "steep-exit": f"Exit angle of {seen.get('exit_tag', 0.0):.0f} deg: {angle}.",
        "exit-overlaps": "Exit that overlaps: no shape and no estimate; "
        f"practice says it breaks there early ({practice().mark}).",
    }[code]


def judgement_line(result: HoldResult, units: UnitSystem = "metric") -> str:
    """The one verdict on the joint, of which the estimate is a part: the most severe finding and how many more."""
    telling = telling_of(judge_held(result), units)
    if not telling:
        return "OK: nothing is found wrong with its shape, its counts or its hold."
    more = f"; {more_words(len(telling) - 1)}" if len(telling) > 1 else ""
    return f"{telling[0].word}: {telling[0].what}{more}."


def unseen(result: HoldResult) -> tuple[Finding, ...]:
    """What is wrong with the joint that the estimate does not know of, the most severe first."""
    findings = judge_held(result).findings
    return tuple(finding for finding in findings if finding.severity > Severity.NOTE and finding.code in NOT_IN_LOAD)


def practice_of(result: HoldResult) -> str:
    """How joints of these counts end by practice; that they hold is not said of a joint that is judged sharp or a fault."""
    end = practice_end(result.recipe, result.grip, result.not_modelled)
    return "" if end == "holds" and not judge_held(result).is_ok else end


def practice_line(result: HoldResult) -> str:
    """What the rule of thumb says of a joint with these counts in this material; empty where it says nothing."""
    end, joint = practice_of(result), result.grip
    if not end:
        return ""
    holds = "hold" if end == "holds" else "do not hold in the heaviest wire"
    return f"Rule of thumb: {joint.turns:g} full turns and {joint.wraps:g} full wraps {holds} ({practice().mark})."


def breaks_early(result: HoldResult) -> bool:
    """Whether the joint locks but breaks well below the same joint made right, and not by its own pieces alone."""
    right = result.made_right
    codes = {finding.code for finding in result.findings}
    if "pieces-below" in codes or result.verdict != "locks" or right is None:
        return False
    return "breaks-early" in codes or result.expected_n < limits.EARLY * right.expected_n


def piece_clause(result: HoldResult, units: UnitSystem) -> str:
    """What to plan a whole piece with, where own ones have such a joint at both ends and say less than of one joint; empty where not."""
    to_plan = load_to_plan(result)
    piece = "" if math.isnan(to_plan.piece_n) else format_force(to_plan.piece_n, units)
    return f"plan a piece of two joints with {piece}" if piece and piece != format_force(to_plan.load_n, units) else ""


def load_line(result: HoldResult, units: UnitSystem) -> str:
    """The load to plan with and the expected one; or why there is none, and what the same joint made right holds."""
    band, right = result.hold_n, result.made_right
    if result.pair is not None and result.pair.load is not None:
        return "No figure for the joint itself. What two wires would hold if it does not unwind stands below."
    if result.load_withheld:
        return f"Do not plan with any load of it: pieces unwound. {WITHHELD}"
    if math.isnan(result.plan_with_n):
        text = "No figure: no model applies to such a joint."
        if result.not_estimated:
            text = f"No figure: practice calls it a fault ({practice().mark}) and no model applies to it."
        if right is not None and right.holds:
            text += f" Made right, plan with {format_force(right.plan_with_n, units)}; as it is, with less."
        elif right is not None:
            text += " Made right it unwinds all the same: add turns as well."
        return text
    plan = f"{format_force(result.plan_with_n, units)} (an estimate: 19 of 20 pieces hold more)"
    severity = shown_severity(judge_held(result))
    if pieces_unwound(result):
        return (
            f"Do not plan with any load of it: pieces unwound. Broken or unwound, one is expected to end at {format_force(result.expected_n, units)}, "
            f"{result.expected_n / result.strength_n:.0%} of the straight wire (an estimate)."
        )
    piece = piece_clause(result, units)
    advice = "Remake it; as it is" if severity is Severity.SHARP else f"Plan {'one joint ' if piece else ''}with"
    rated_n = result.wire.rated_load_n
    if rated_n is not None and rated_n < result.plan_with_n and severity < Severity.SHARP:
        advice = f"Plan with {format_force(rated_n, units)}, as rated; the joint with"
    text = (
        f"{'Do not plan with it' if severity is Severity.FAULT else f'{advice} {plan}'}. Expected "
        f"{format_force(result.expected_n, units)}, {result.expected_n / result.strength_n:.0%} of the straight wire, the middle 19 of 20 pieces "
        f"{format_force(band.low, units)} to {format_force(band.high, units)}.{f' {capital(piece)}.' if piece else ''}"
    )
    if breaks_early(result) and right is not None and right.holds:
        plan, expected = (format_force(load, units) for load in (right.plan_with_n, right.expected_n))
        text += f" Made right: plan with {plan}, expected {expected}."
    return text


def rated_line(result: HoldResult, units: UnitSystem) -> str:
    """The rated load and the chance to hold it; empty without one."""
    if result.wire.rated_load_n is None:
        return "No rated load is known, so there is none to compare with."
    text = f"Rated load {format_force(result.wire.rated_load_n, units)} (the recipe's)"
    if result.probability.holds_rated is None:
        return text + "."
    text += f", {result.wire.rated_load_n / result.strength_n:.0%} of the nominal strength: held with a chance of "
    return text + chance_words(result.probability.holds_rated) + "."


def governs_words(result: HoldResult) -> str:
    """What gives way, as text for people and for the record."""
    if result.governs_place == "no model":
        return "no model"
    if result.governs_place in STRAIGHT:
        return f"breaks {place_words(result.governs_place)}: no bend takes more off the wire than its own scatter"
    if result.governs_place == "unwinding":
        if result.grip.turns == 0.0:
            return "unwinding: the barrel uncoils, nothing else holds it"
        return "unwinding: the twist leaves more in the tag than the barrel can hold"
    bend = next(bend for bend in result.breaks if bend.place == result.governs_place)
    where = place_words(result.governs_place)
    text = f"breaks at the {where}: a bend strain of {bend.strain or 0.0:.2f} under {_share(bend.load_proportion)}"
    if bend.leaves.nominal < limits.BEND_SPENT:
        text += "; so hard a bend uses up what the wire can stretch, and it may crack as it is made"
    return text


def speaker_line(result: HoldResult) -> str:
    """Which model speaks and what it assumes, in one breath."""
    governing = result.model
    if governing is None:
        return ""
    if governing.key == WRAPS_ALONE.key:
        return f"Wraps alone: no friction number is needed; it assumes that {governing.assumption}."
    others = len(result.applicable) - 1
    rank = "the most conservative valid here" if others else "the only one in range"
    number = governing.friction.value if governing.friction else 0.0
    return (
        f"From model {governing.key} ({_NAMES[governing.key]}, effective friction {number:.3f}), {rank}: it assumes that "
        f"{governing.assumption}."
    )


def deciding_lines(result: HoldResult, units: UnitSystem) -> tuple[str, ...]:
    """The test that would best decide between the models, with what each says of it; then what to try next."""
    if result.pair is not None:
        return (NEXT_TESTS_OF_TWO,)
    if not result.deciding_tests:
        return ("No joint of this lay tells the models apart by a load that a few pieces would show.", NEXT_TESTS)
    return tuple(_test(test, result, units) for test in result.deciding_tests[:1]) + (NEXT_TESTS,)


def _test(test: DecidingTest, result: HoldResult, units: UnitSystem) -> str:
    d = result.recipe.wire.diameter_mm
    turns = "turn" if test.turns == 1.0 else "turns"
    if test.wraps == 0.0:
        cut = CUT_BEYOND_D * d
        what = f"{test.turns:g} full {turns} and no barrel, the tag cut {CUT_BEYOND_D:g} d ({format_length(cut, units)}) past the last turn"
    else:
        what = f"{test.turns:g} full {turns} and {test.wraps:g} wraps"
    if abs(test.lay_d - result.grip.lay_d) > 1e-9:
        what += f", lay {test.lay_d:g} d"
    words = "; ".join(
        f"model {prediction.model} says {_said(prediction, result.strength_n, units)}"
        for prediction in test.predictions
    )
    return f"The test that would best decide between the models: pull {what}, same wire and pin. {words[0].upper()}{words[1:]}."


def _said(words: Prediction, strength_n: float, units: UnitSystem) -> str:
    low, high = words.low_n, words.high_n
    if high <= 0.01 * strength_n:
        return "near zero"
    if high / low < 1.02:
        return f"about {format_force(0.5 * (low + high), units)}"
    return f"{format_force(low, units)} to {format_force(high, units)}"


def _share(share: float) -> str:
    return "all of the load" if share > 0.995 else f"{share:.2f} of the load"
