"""What a made joint has lost: its load to plan with beside that of the joint that was to be made."""

from __future__ import annotations

import math
from dataclasses import replace

from helix.errors import HelixError
from helix.findings import Judgement, Severity
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.own_pulls import carried
from helix.studies.hold.evidence.wound_alike import COUNTS_ALIKE, pulled_alike
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.values import result


@result
class MadeLoad:
    """Loads to plan with, of the joint as made and as intended, the latter made right; nan where none is estimated.

    lost_n: what the made joint has less. unwinds, intended_unwinds: probabilities of unwinding. capped: whether the
    estimate of the made joint came out higher, though something is wrong with it, and is held to the intended one's.
    """

    plan_with_n: float
    intended_plan_with_n: float
    lost_n: float
    unwinds: float
    intended_unwinds: float
    capped: bool


def held_of(recipe: Recipe, own: OwnPulls | None = None) -> HoldResult | None:
    """The estimate of a joint by default numbers and own pieces; None where it is so far out that they have no meaning."""
    try:
        return hold(recipe) if own is None else hold_with(recipe, setting_of(recipe), own)
    except (ValueError, HelixError):
        return None


def own_of_made(recipe: Recipe, made: Recipe, own: OwnPulls | None) -> OwnPulls | None:
    """What own pieces of a recipe's joint say of one that was made: all, where it was made so; else their straight wire, and that
    pieces of another joint unwound."""
    return own if _made_so(recipe, made) else carried(own, recipe, made)


def _made_so(recipe: Recipe, made: Recipe) -> bool:
    """Whether a made joint is one of the recipe's, as pieces are: its counts, wound and bent alike."""
    counts = zip((recipe.twist.turns, recipe.barrel.wraps), (made.twist.turns, made.barrel.wraps), strict=True)
    return all(abs(one - other) < COUNTS_ALIKE for one, other in counts) and pulled_alike(recipe, made)


def without_load(held: HoldResult, fault: str) -> HoldResult:
    """The estimate of two wires' joint with a fault that practice warns of and no model knows: it has no load."""
    pair = None if held.pair is None else replace(held.pair, load=None, own=None)
    return replace(held, not_estimated=(*held.not_estimated, fault), pair=pair)


def load_lost(made: HoldResult | None, intended: HoldResult | None, judgement: Judgement) -> MadeLoad:
    """Loads of both, the made one's no higher than the intended one's unless the joint is judged sound."""
    plan, wanted = _plan_with(made), _right(intended)
    capped = judgement.severity >= Severity.CAUTION and plan > wanted
    plan = wanted if capped else plan
    return MadeLoad(
        plan_with_n=plan,
        intended_plan_with_n=wanted,
        lost_n=wanted - plan,
        unwinds=math.nan if made is None else made.probability.unwinds,
        intended_unwinds=math.nan if intended is None else intended.probability.unwinds,
        capped=capped,
    )


def _plan_with(held: HoldResult | None) -> float:
    """Of two wires worked as one, should they not unwind."""
    if held is None:
        return math.nan
    if held.pair is None:
        return held.plan_with_n
    told = held.pair.own or held.pair.load
    return math.nan if told is None else told.plan_with_n


def _right(held: HoldResult | None) -> float:
    """The load of the joint that was intended; made right where its recipe has a fault."""
    if held is None or held.made_right is None:
        return _plan_with(held)
    return held.made_right.plan_with_n
