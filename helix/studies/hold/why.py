"""Why a joint holds what it holds, and the one change that helps most: found by trying them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import helix
from helix.data.practice import practice
from helix.errors import HelixError
from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.holding import SCHEMA, HoldResult, hold_with
from helix.studies.hold.load_path import LoadPath, load_path
from helix.studies.hold.outcome import Setting
from helix.values import result

_RANK: Final = {"no model": 0, "unwinds": 1, "marginal": 2, "locks": 3}


@result
class Change:
    """One change that was tried. what: as advice. gain_n: in the load that 19 of 20 pieces hold, nominal wire.

    chance: of unwinding before and after. mends: what practice warns of and no longer has to. Numbers are nan where no
    model speaks before or after.
    """

    what: str
    recipe: Recipe
    result: HoldResult
    gain_n: float
    mends: tuple[str, ...]

    @property
    def verdict(self) -> str:
        return self.result.verdict


@result
class WhyResult:
    """Hold, load path, and the changes that were tried, the best first.

    best is None where none is worth it. then: the best one on top of it, its gain over the best alone; or None.
    """

    result: HoldResult
    path: LoadPath
    changes: tuple[Change, ...]
    best: Change | None
    then: Change | None
    schema: int
    version: str


def why(recipe: Recipe, setting: Setting) -> WhyResult:
    """What a joint holds and why, and what would help. Raises InfeasibleJointError where the joint cannot exist."""
    result = hold_with(recipe, setting)
    changes = _tried(recipe, result, setting)
    best = changes[0] if changes and _helps(changes[0], result) else None
    then = None
    if best is not None:
        further = _tried(best.recipe, best.result, setting)
        then = further[0] if further and _helps(further[0], best.result) else None
    return WhyResult(
        result=result,
        path=load_path(result),
        changes=changes,
        best=best,
        then=then,
        schema=SCHEMA,
        version=helix.__version__,
    )


def _tried(recipe: Recipe, before: HoldResult, setting: Setting) -> tuple[Change, ...]:
    """Every change alone, the best first."""
    changes = []
    for what, other in _changes(recipe):
        try:
            after = hold_with(other, setting)
        except HelixError:
            continue  # such a joint cannot be made
        mends = tuple(line for line in warned(before) if line not in warned(after))
        changes.append(Change(what=what, recipe=other, result=after, gain_n=after.held_n - before.held_n, mends=mends))
    return tuple(sorted(changes, key=lambda each: _worth(each, before), reverse=True))


def warned(result: HoldResult) -> tuple[str, ...]:
    """What practice warns of in this joint: not that the models know no number of wraps, which is so in every one."""
    usual = "Number of wraps"
    return tuple(line for line in result.practice_says if not line.startswith(usual))


def _worth(change: Change, before: HoldResult) -> tuple[float, float, float, float]:
    """What to rank by: load gained, warnings of practice mended, a verdict that becomes a better one, chance lowered."""
    after = change.result
    gain = change.gain_n if not math.isnan(before.held_n) else after.held_n  # from no model to one that speaks
    gain = 0.0 if math.isnan(gain) or abs(gain) < limits.WORTH_LOAD * before.strength_n else gain / before.strength_n
    step = float(_RANK[after.verdict] - _RANK[before.verdict])
    fall = before.unwinds.value - after.unwinds.value
    return gain, float(len(change.mends)), step, 0.0 if math.isnan(fall) else fall


def _helps(change: Change, before: HoldResult) -> bool:
    gain, mended, step, fall = _worth(change, before)
    return gain > 0.0 or (gain == 0.0 and (mended > 0.0 or step > 0.0 or fall > limits.WORTH_CHANCE))


def _changes(recipe: Recipe) -> Iterator[tuple[str, Recipe]]:
    """Changes that a maker can make, in words, each alone."""
    facts, d = practice(), recipe.wire.diameter_mm
    twist, barrel, out = recipe.twist, recipe.barrel, recipe.exit

    def twisted(**change: object) -> Recipe:
        return recipe.variant(twist=replace(twist, length_mm=None, **change))  # type: ignore[arg-type]

    if twist.turns < facts.turns:
        yield f"make {facts.turns:g} full turns instead of {twist.turns:g}", twisted(turns=facts.turns)
    yield f"make one more turn, {twist.turns + 1.0:g}", twisted(turns=twist.turns + 1.0)
    if twist.evenness < limits.EVEN and twist.turns:
        yield "twist both legs alike", twisted(evenness=1.0)
    if abs(twist.lay_mm / d - limits.USUAL_LAY) > limits.LAY_OFF and twist.turns:
        yield f"twist with a lay of {limits.USUAL_LAY:g} d", twisted(lay_mm=limits.USUAL_LAY * d)
    if barrel.wraps < facts.wraps:
        words = f"make {facts.wraps:g} wraps instead of {barrel.wraps:g}"
        yield words, recipe.variant(barrel=replace(barrel, wraps=facts.wraps))
    if barrel.wraps and barrel.hand == "opposite":
        yield "wind the barrel the same way round as the twist", recipe.variant(barrel=replace(barrel, hand="same"))
    if barrel.pitch_mm is not None:
        yield "wind each wrap against the last", recipe.variant(barrel=replace(barrel, pitch_mm=None))
    plain = replace(out, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None)
    if out != plain:
        yield "let the tag leave gradually, never bent past square", recipe.variant(exit=plain)
    if recipe.eye.throat_rad is not None:
        words = "let the eye legs run into the twist at its own angle"
        yield words, recipe.variant(eye=replace(recipe.eye, throat_rad=None))
    if recipe.entry.radius_mm is not None:
        yield (
            "bend the legs into the twist no sharper than the twist",
            recipe.variant(entry=replace(recipe.entry, radius_mm=None)),
        )
    if recipe.eye.pin_mm < limits.GOOD_PIN_D * d:
        yield (
            f"use a pin of {limits.GOOD_PIN_D:g} d",
            recipe.variant(eye=replace(recipe.eye, pin_mm=limits.GOOD_PIN_D * d)),
        )
