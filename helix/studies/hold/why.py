"""Why a joint holds what it holds, and the one change that helps most: found by trying them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import ClassVar

import helix
from helix.errors import HelixError
from helix.findings import judgement_of
from helix.mechanics import limits
from helix.model.joint.joint_curves import sizes_of
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.bend_stories import BendStory, bend_stories
from helix.studies.hold.hold_result import SCHEMA, Band, HoldResult
from helix.studies.hold.holding import hold_with
from helix.studies.hold.outcome import Setting
from helix.studies.hold.places.load_path import LoadPath, load_path
from helix.values import Result, hidden, result


@result
class Change:
    """One change that was tried. what: as advice. gain_n: in the load that 19 of 20 pieces hold, nominal wire.

    mends: what practice warns of and no longer has to. Numbers are nan where no model applies before or after.
    """

    also: ClassVar = ("verdict", "hold_n", "probability_unwinds")
    what: str
    recipe: Recipe = hidden()
    result: HoldResult = hidden()
    gain_n: float
    mends: tuple[str, ...]

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

    stories: why each bend at fault is one. best is None where none is worth it. then: the best one on top of it, its gain over the best alone; or None.
    """

    rows_in: ClassVar = "changes"
    also: ClassVar = ("recipe", "best_change", "then_change")
    hold: HoldResult
    load_path: LoadPath
    stories: tuple[BendStory, ...]
    changes: tuple[Change, ...]
    best: Change | None = hidden()
    then: Change | None = hidden()
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


def why(recipe: Recipe, setting: Setting) -> WhyResult:
    """What a joint holds and why, and what would help. Raises InfeasibleJointError where the joint cannot exist."""
    check_one_wire(recipe, "why-of-two")
    result = hold_with(recipe, setting)
    changes = _tried(recipe, result, setting)
    best = changes[0] if changes and _helps(changes[0], result) else None
    then = None
    if best is not None:
        further = _tried(best.recipe, best.result, setting)
        then = further[0] if further and _helps(further[0], best.result) else None
    return WhyResult(
        hold=result, load_path=load_path(result), stories=bend_stories(result), changes=changes, best=best, then=then
    )


def _tried(recipe: Recipe, before: HoldResult, setting: Setting) -> tuple[Change, ...]:
    """Every change alone, the best first."""
    changes = []
    for what, other in _changes(recipe):
        try:
            changed = other()
            after = hold_with(changed, setting)
        except HelixError:
            continue  # such a joint cannot be made, or lies beyond its range
        mends = tuple(line for line in warned(before) if line not in warned(after))
        changes.append(
            Change(what=what, recipe=changed, result=after, gain_n=after.plan_with_n - before.plan_with_n, mends=mends)
        )
    return tuple(sorted(changes, key=lambda change: _worth(change, before), reverse=True))


def warned(result: HoldResult) -> tuple[str, ...]:
    """Codes of what practice warns of in this joint: not that the models know no number of wraps, which is so in every
    one."""
    return tuple(code for code in result.not_modelled if code != "more-wraps")


def _worth(change: Change, before: HoldResult) -> tuple[float, float, float, float]:
    """What to rank by: load gained, warnings of practice mended, a verdict that becomes a better one, chance lowered."""
    after = change.result
    gain = (
        change.gain_n if not math.isnan(before.plan_with_n) else after.plan_with_n
    )  # from no model to one that speaks
    gain = 0.0 if math.isnan(gain) or abs(gain) < limits.WORTH_LOAD * before.strength_n else gain / before.strength_n
    step = float(judgement_of(before.findings).severity - judgement_of(after.findings).severity)
    fall = before.probability.unwinds - after.probability.unwinds
    return gain, float(len(change.mends)), step, 0.0 if math.isnan(fall) else fall


def _helps(change: Change, before: HoldResult) -> bool:
    gain, mended, step, fall = _worth(change, before)
    return gain > 0.0 or (gain == 0.0 and (mended > 0.0 or step > 0.0 or fall > limits.WORTH_CHANCE))


def _changes(recipe: Recipe) -> Iterator[tuple[str, Callable[[], Recipe]]]:
    """Changes that a maker can make, in words, each alone."""
    d = recipe.wire.diameter_mm
    twist, barrel, out = recipe.twist, recipe.barrel, recipe.exit

    def twisted(**change: object) -> Callable[[], Recipe]:
        return lambda: recipe.variant(twist=replace(twist, length_mm=None, **change))  # type: ignore[arg-type]

    if twist.turns < limits.FEW:
        yield f"make {limits.FEW:g} full turns instead of {twist.turns:g}", twisted(turns=limits.FEW)
    yield f"make one more turn, {twist.turns + 1.0:g}", twisted(turns=twist.turns + 1.0)
    if twist.evenness < limits.EVEN and twist.turns:
        yield "twist both legs alike", twisted(evenness=1.0)
    if abs(sizes_of(recipe).lay - limits.USUAL_LAY) > limits.LAY_OFF and twist.turns:
        yield f"twist with a lay of {limits.USUAL_LAY:g} d", twisted(lay_mm=limits.USUAL_LAY * d)
    if barrel.wraps < limits.FEW:
        words = f"make {limits.FEW:g} wraps instead of {barrel.wraps:g}"
        yield words, lambda: recipe.variant(barrel=replace(barrel, wraps=limits.FEW))
    if barrel.wraps and barrel.hand == "opposite":
        yield (
            "wind the barrel the same way round as the twist",
            lambda: recipe.variant(barrel=replace(barrel, hand="same")),
        )
    if barrel.pitch_mm is not None:
        yield "wind each wrap against the last", lambda: recipe.variant(barrel=replace(barrel, pitch_mm=None))
    plain = replace(out, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None)
    if out != plain:
        yield "let the tag leave gradually, never bent past square", lambda: recipe.variant(exit=plain)
    if recipe.eye.throat_rad is not None:
        words = "let the eye legs run into the twist at its own angle"
        yield words, lambda: recipe.variant(eye=replace(recipe.eye, throat_rad=None))
    if recipe.entry.radius_mm is not None:
        yield (
            "bend the legs into the twist no sharper than the twist",
            lambda: recipe.variant(entry=replace(recipe.entry, radius_mm=None)),
        )
    if recipe.eye.pin_mm < limits.GOOD_PIN_D * d:
        yield (
            f"use a pin of {limits.GOOD_PIN_D:g} d",
            lambda: recipe.variant(eye=replace(recipe.eye, pin_mm=limits.GOOD_PIN_D * d)),
        )
