"""The one verdict on a joint: the worst of its shape, its hold, its counts and what practice says; and what may be planned with.

Every output of a joint shows this one; tests/studies/test_judge.py holds them to it. What each severity stands for is
written in docs/decisions/0080-one-judgement.md.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from helix.findings import Finding, Judgement, Severity, judgement_of
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.hold_findings import advise_turns
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import found_of_hold, hold_with, setting_of
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import result


def judge(recipe: Recipe, of_hold: tuple[Finding, ...] | None = None) -> Judgement:
    """The judgement of a recipe's joint. Raises InfeasibleJointError where the joint cannot exist. of_hold: what is found of its hold
    where another estimate than the usual one is to judge it, as `found_by_own` has it.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n[twist]\\nturns = '
    >>> [judge(recipe_from_text(text + turns)).code for turns in ("5", "2")]
    ['ok', 'few']
    """
    return judgement_of(advise_turns(_found_of_shape(recipe), found_of_hold(recipe) if of_hold is None else of_hold))


def found_by_own(recipe: Recipe, own: OwnPulls | None) -> tuple[Finding, ...] | None:
    """What is found of a joint's hold by own pieces; None where there are none, and the usual estimate is to judge it."""
    held = held_by_own(recipe, own)
    return None if held is None else held.findings


def held_by_own(recipe: Recipe, own: OwnPulls | None) -> HoldResult | None:
    """The usual estimate with own pieces in it; None where there are none."""
    return None if own is None else hold_with(recipe, setting_of(recipe), own)


def shape_judged(recipe: Recipe, own: OwnPulls | None) -> ShapeResult:
    """The shape of a joint, judged with own pieces where there are any."""
    found = found_by_own(recipe, own)
    return shape(recipe) if found is None else replace(shape(recipe), of_hold=found)


def judge_held(held: HoldResult) -> Judgement:
    """The judgement of a joint whose hold is estimated already, perhaps by settings of its own."""
    return judgement_of(advise_turns(_found_of_shape(held.recipe), held.findings))


def judge_shaped(shaped: ShapeResult, held: HoldResult | None) -> Judgement:
    """The judgement of a joint that is shaped already; held: None where it is too far out to be estimated."""
    return judgement_of(advise_turns(shaped.findings, found_of_hold(shaped.recipe) if held is None else held.findings))


@lru_cache(maxsize=64)
def _found_of_shape(recipe: Recipe) -> tuple[Finding, ...]:
    return shape(recipe).findings


@result
class LoadToPlan:
    """What may be done with a joint's load.

    use: "plan" with it; "if-it-holds", of two wires, which no model says of, and where only pieces of another joint were pulled and
    some unwound; "remake" the joint, which as it is holds that; "do-not" plan
    with any; "none", as nothing is estimated. load_n: that load, nan for the last two. piece_n: of a whole piece with such a joint at both ends, by
    own ones; nan where they do not say.
    """

    use: Literal["plan", "if-it-holds", "remake", "do-not", "none"]
    load_n: float = math.nan
    piece_n: float = math.nan


def load_to_plan(held: HoldResult) -> LoadToPlan:
    """The load to plan with, under the one judgement of the joint; the rated one where that is less."""
    severity, load_n = judge_held(held).severity, held.plan_with_n
    if held.pair is not None and held.pair.load is not None:
        told = held.pair.own or held.pair.load
        if severity is Severity.FAULT or (held.other is not None and held.other.unwinds):
            return LoadToPlan(use="do-not")
        unwound = held.pair.own is not None and held.pair.own.unwound > 0
        return LoadToPlan(use="plan" if unwound else "if-it-holds", load_n=told.plan_with_n)
    if pieces_unwound(held):
        return LoadToPlan(use="do-not")
    if math.isnan(load_n):
        return LoadToPlan(use="none")
    if severity is Severity.FAULT:
        return LoadToPlan(use="do-not")
    if severity is Severity.SHARP:
        return LoadToPlan(use="remake", load_n=load_n)
    rated_n = held.wire.rated_load_n
    load_n, piece_n = (
        told if rated_n is None or math.isnan(told) else min(told, rated_n) for told in (load_n, held.piece_plan_n)
    )
    return LoadToPlan(use="plan" if held.other is None else "if-it-holds", load_n=load_n, piece_n=piece_n)


def pieces_unwound(held: HoldResult) -> bool:
    """Whether so many of one's own pieces unwound, of this joint or of one that is wound no less, that it is found of the joint;
    then more turns are what they ask for."""
    coming = held.forecast
    own = coming is not None and coming.own_unwound > 0 and held.verdict != "locks"
    return own or (held.other is not None and held.other.unwinds > 0.0)
