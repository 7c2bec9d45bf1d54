"""Why a joint holds what it holds, and the one change that helps most: found by trying them."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

import helix
from helix.errors import HelixError, ValidationError
from helix.findings import Judgement, Severity
from helix.mechanics import limits
from helix.model.files.toml_file import toml_values
from helix.model.joint.joint_curves import sizes_of
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.studies.hold.bend_stories import BendStory, bend_stories
from helix.studies.hold.evidence.forecast import BentPieces, OwnPulls
from helix.studies.hold.evidence.own_pulls import carried, counts_against, turns_above
from helix.studies.hold.hold_result import SCHEMA, Band, HoldResult
from helix.studies.hold.holding import hold_with
from helix.studies.hold.offered import offered
from helix.studies.hold.outcome import Setting
from helix.studies.hold.places.load_path import LoadPath, load_path
from helix.studies.judge import judge_held, load_to_plan, pieces_unwound
from helix.studies.shape.remedies import Changes, apply, twist_changes
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import Result, hidden, result


@result
class Change:
    """One change that was tried. what: as advice; changes: of a recipe's file. gain_n: in the load that 19 of 20 pieces hold,
    nominal wire, by the models; nan where the joint as it is is not to be planned with.

    mends: what practice warns of and no longer has to. cures: codes of findings of a caution or worse that go, and judgement: what
    is found of the joint then. before: what it is held against, the joint as the models have it; where pieces bent alike bound the load of the
    changed one, as they bound its own. Numbers are nan where no model applies before or after.
    """

    also: ClassVar = ("verdict", "hold_n", "probability_unwinds")
    what: str
    changes: dict[str, str | float | None] = hidden()
    recipe: Recipe = hidden()
    result: HoldResult = hidden()
    judgement: Judgement = hidden()
    before: HoldResult = hidden()
    gain_n: float
    mends: tuple[str, ...]
    cures: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """Verdict after it."""
        return self.result.verdict

    @property
    def hold_n(self) -> Band:
        """Hold after it."""
        return self.result.hold_n

    @property
    def probability_unwinds(self) -> float:
        """Probability of unwinding after it."""
        return self.result.probability.unwinds


@result
class WhyResult(Result):
    """Hold, load path, and the changes that were tried, the best first.

    stories: why each bend at fault is one. best is None where none is worth it. then: the best one on top of it, its gain over the
    best alone; or None. by_models: the joint as the models have it, which changes are held against: hold itself, but for pieces of one's own.
    """

    rows_in: ClassVar = "changes"
    also: ClassVar = ("recipe", "best_change", "then_change")
    hold: HoldResult
    load_path: LoadPath
    stories: tuple[BendStory, ...]
    changes: tuple[Change, ...]
    best: Change | None = hidden()
    then: Change | None = hidden()
    by_models: HoldResult = hidden()
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def recipe(self) -> Recipe:
        """The joint as it is."""
        return self.hold.recipe

    @property
    def best_change(self) -> str | None:
        """The change that helps most."""
        return self.best.what if self.best else None

    @property
    def then_change(self) -> str | None:
        """What helps most after that."""
        return self.then.what if self.then else None


def why(recipe: Recipe, setting: Setting, own: OwnPulls | None = None) -> WhyResult:
    """What a joint holds and why, and what would help. Raises InfeasibleJointError where the joint cannot exist.

    own: pieces of one's own, which decide how the joint as it is ends; of a changed one they tell its straight wire, and whether it is
    wound no more than one that unwound: such a change is none. The rest are held against the joint as the models have it.
    """
    check_one_wire(recipe, "why-of-two")
    result = hold_with(recipe, setting, own)
    before = _by_models(result, setting, own)
    changes = _tried(recipe, before, setting, own)
    best = changes[0] if changes and _helps(changes[0]) else None
    if pieces_unwound(result) and not (best and best.recipe.twist.turns > recipe.twist.turns):
        best = next((change for change in changes if change.recipe.twist.turns > recipe.twist.turns), best)
    then = None
    if best is not None:
        told = carried(own, recipe, best.recipe)
        further = _tried(best.recipe, _by_models(best.result, setting, told), setting, told)
        then = further[0] if further and _helps(further[0]) else None
        then = then if then is None or _planned(best.result) else replace(then, gain_n=math.nan)
    if not _planned(result):
        ungained = {change.recipe: replace(change, gain_n=math.nan) for change in changes}
        changes = tuple(ungained.values())
        best = None if best is None else ungained[best.recipe]
    return WhyResult(
        hold=result,
        load_path=load_path(result),
        stories=bend_stories(result),
        changes=changes,
        best=best,
        then=then,
        by_models=before,
    )


def _planned(held: HoldResult) -> bool:
    """Whether a joint's load may be compared with another's: not where it is not to be planned with."""
    return load_to_plan(held).use != "do-not"


def _by_models(held: HoldResult, setting: Setting, own: OwnPulls | None) -> HoldResult:
    """The same joint without own pieces that broke, of itself or bent alike."""
    if own is None or not (own.loads_n or _bounded(held)):
        return held
    return hold_with(held.recipe, setting, _unpulled(own, ()))


def _unpulled(own: OwnPulls, bent: tuple[BentPieces, ...]) -> OwnPulls:
    """Own pieces without those of the joint itself, of others those that are given."""
    return replace(own, loads_n=(), broke=(), unwound=(), joints=(), ended=0, bent=bent)


def _bounded(held: HoldResult) -> bool:
    """Whether pieces of another joint lower the load of one that was not pulled."""
    return held.forecast is not None and held.forecast.broke_of != "own"


def _tried(recipe: Recipe, before: HoldResult, setting: Setting, own: OwnPulls | None) -> tuple[Change, ...]:
    """Every change alone, the best first; of those that come to the same joint the first. None that own pieces count against."""
    tables, bound = toml_values(recipe_file_text(recipe), recipe.place), before
    if own is not None and (told := carried(own, recipe, recipe)) is not None and told.bent:
        bound = hold_with(recipe, setting, _unpulled(own, told.bent))
    changes: dict[Recipe, Change] = {}
    turns = limits.FEW if own is None else turns_above(own, recipe)[0]
    shaped = replace(shape(recipe), of_hold=before.findings)
    for what, change in (*_cures(shaped, own), *_changes(recipe, turns)):
        try:
            changed = read_values(apply(tables, change), recipe.place, {})
            told = carried(own, recipe, changed)
            if changed in changes or counts_against(told):
                continue
            after = hold_with(changed, setting, told)
            judgement, against = judge_held(after), bound if _bounded(after) else before
        except HelixError:
            continue  # such a joint cannot be made, or lies beyond its range
        changes[changed] = Change(
            what=what,
            changes=change,
            recipe=changed,
            result=after,
            judgement=judgement,
            before=against,
            gain_n=after.plan_with_n - against.plan_with_n,
            mends=tuple(line for line in warned(against) if line not in warned(after)),
            cures=tuple(code for code in _found(judge_held(against)) if code not in _found(judgement)),
        )
    return tuple(sorted(changes.values(), key=_worth, reverse=True))


def _found(judgement: Judgement) -> tuple[str, ...]:
    """Codes of what is a caution or worse."""
    return tuple(finding.code for finding in judgement.findings if finding.severity >= Severity.CAUTION)


def warned(result: HoldResult) -> tuple[str, ...]:
    """Codes of what practice warns of in this joint: not that the models know no number of wraps, which is so in every
    one."""
    return tuple(code for code in result.not_modelled if code != "more-wraps")


def _worth(change: Change) -> tuple[float, float, float, float]:
    """What to rank by: a judgement that becomes a better one, load gained, warnings and findings mended, chance lowered."""
    before, after = change.before, change.result
    gain = (
        change.gain_n if not math.isnan(before.plan_with_n) else after.plan_with_n
    )  # from no model to one that speaks
    gain = 0.0 if math.isnan(gain) or abs(gain) < limits.WORTH_LOAD * before.strength_n else gain / before.strength_n
    step = float(judge_held(before).severity - change.judgement.severity)
    fall = before.probability.unwinds - after.probability.unwinds
    mended = len({*change.mends, *change.cures})
    return step, gain, float(mended), 0.0 if math.isnan(fall) else fall


def _helps(change: Change) -> bool:
    step, gain, mended, fall = _worth(change)
    if step:
        return step > 0.0
    return gain > 0.0 or (gain == 0.0 and (mended > 0.0 or fall > limits.WORTH_CHANCE))


def _cures(shaped: ShapeResult, own: OwnPulls | None) -> Iterator[tuple[str, Changes]]:
    """What is advised for each finding of its shape, in words, each alone."""
    for remedy in offered(shaped, own):
        yield remedy.say[:1].lower() + remedy.say[1:], dict(remedy.changes)


def _changes(recipe: Recipe, turns: float) -> Iterator[tuple[str, Changes]]:
    """Changes that a maker can make, in words, each alone. turns: as many as are enough."""
    twist, barrel, out = recipe.twist, recipe.barrel, recipe.exit
    few, usual, pin = (f"{limit:g}" for limit in (limits.FEW, limits.USUAL_LAY, limits.GOOD_PIN_D))
    if twist.turns < turns:
        yield f"make {turns:g} full turns instead of {twist.turns:g}", twist_changes(recipe, turns=turns)
    with contextlib.suppress(ValidationError):  # at the most turns that are computed there is no more
        more = twist_changes(recipe, turns=twist.turns + 1.0)
        yield f"make one more turn, {twist.turns + 1.0:g}", more
    if twist.evenness < limits.EVEN and twist.turns:
        yield "twist both legs alike", twist_changes(recipe, even=True)
    if abs(sizes_of(recipe).lay - limits.USUAL_LAY) > limits.LAY_OFF and twist.turns:
        yield f"twist with a lay of {usual} d", twist_changes(recipe, limits.USUAL_LAY)
    if barrel.wraps < limits.FEW:
        yield f"make {few} wraps instead of {barrel.wraps:g}", {"barrel.wraps": limits.FEW}
    if barrel.wraps and barrel.hand == "opposite":
        yield "wind the barrel the same way round as the twist", {"barrel.hand": "same"}
    if barrel.pitch_mm is not None:
        yield "wind each wrap against the last", {"barrel.pitch": "touching"}
    if out != replace(out, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None):
        plain: Changes = {"exit.style": "gradual", "exit.peak_angle": None}
        yield "let the tag leave gradually, never bent past square", plain
    if recipe.eye.throat_rad is not None:
        yield "let the eye legs run into the twist at its own angle", {"eye.throat": "tangent"}
    if recipe.entry.radius_mm is not None:
        yield "bend the legs into the twist no sharper than the twist", {"entry.radius": "tangent"}
    if recipe.eye.pin_mm < limits.GOOD_PIN_D * recipe.wire.diameter_mm:
        yield f"use a pin of {pin} d", {"eye.pin": f"{pin} d"}
