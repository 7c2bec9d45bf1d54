"""What a hold estimate finds wrong with a joint, what it knows nothing of, and how such joints end in practice."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from statistics import fmean
from typing import Final

from helix.data.materials import find_material
from helix.data.practice import practice
from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import Forecast
from helix.studies.hold.evidence.wound_alike import COUNTS_ALIKE, OtherPieces
from helix.studies.hold.grip_models import Grip
from helix.studies.hold.outcome import WORSE, Outcome, Verdict
from helix.studies.hold.places.bend_places import BreakPlace
from helix.studies.shape.joint_sizes import usual_lay
from helix.values import Scalar, Values

NOT_IN_LOAD: Final = frozenset({
    "spread-throat", "steep-exit", "exit-overlaps", "overlap", "wraps-overlap", "lift-off", "legs-apart",
    "over-twist", "tight-lay", "opposite-hand", "open-barrel",
})  # fmt: skip
"""Codes of findings of a shape that no model of the hold takes anything off the load for."""
MORE_TURNS: Final = {
    "add-turns": "turns-above", "add-turns-first": "turns-above-first", "turns-and-lay": "turns-above-lay",
    "see-why": "turns-above",
}  # fmt: skip
"""Advice on turns, and the advice in its place where own pieces of as many or more unwound."""


def not_modelled(joint: Grip, places: tuple[BreakPlace, ...]) -> Iterator[str]:
    """Codes of what the models know nothing of."""
    if joint.wires > 1:
        yield "two-wires"
        return
    if joint.evenness < limits.LEAST_EVEN:
        yield "uneven-twist"
    yield "no-barrel" if joint.wraps == 0.0 else "one-wrap" if joint.wraps < limits.HINGE_WRAPS else "more-wraps"
    if not joint.same_hand and joint.wraps:
        yield "opposite-hand"
    if joint.turns == 0.0:
        yield "wraps-only"
    limit_deg = math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-7
    wide = {place.name for place in places if (place.visible_angle_deg or 0.0) > limit_deg}
    if any(place.name in wide and place.wound_deg is not None and place.wound_deg <= limit_deg for place in places):
        yield "spread-throat"
    if "exit_tag" in wide:
        yield "steep-exit"
    if any(place.strain is None for place in places):
        yield "exit-overlaps"


def hold_findings(
    recipe: Recipe,
    joint: Grip,
    outcome: Outcome,
    coming: Forecast | None,
    right_n: float,
    right_verdict: Verdict | None = None,
    other: OtherPieces | None = None,
    turns_above: tuple[float, bool] | None = None,
) -> Iterator[Finding]:
    """How the estimate ends, then whether it is enough. other: pieces of another joint that unwound, which count against this one
    or, where none of this one was pulled, are told beside it; turns_above: as `fewest_turns` has it. right_n, right_verdict: what the same joint made right is expected to
    hold and how it ends; nan and None where nothing is."""
    rated_n = recipe.wire.rated_load_n
    twist = "twist_tag" if joint.turns else "barrel"
    if (
        outcome.governing is None
    ):  # the verdict is then that of the joint with what no model knows mended, if that is bad
        because = "; ".join(sorted({model.not_applicable_because for model in outcome.models}))
        code = "no-model" if joint.wires == 1 else "two-wires"
        yield _finding(code, Severity.CAUTION, twist, "pull-tests", because=because)
    # of a joint that no model knows it is the chance of the nearest that one does
    chance: dict[str, Scalar] = {"chance": outcome.unwinds, "nearest": outcome.governing is None}
    remedy, cause = ("", {}) if outcome.verdict == "locks" else _cause(recipe, joint, outcome.verdict, right_verdict)
    least = 0.0 if other is None else other.unwinds
    more = _turns(recipe, turns_above) if least or (coming is not None and coming.own_unwound) else {}
    if more and remedy in MORE_TURNS:
        remedy, cause = MORE_TURNS[remedy], cause | more
    match outcome.verdict:
        case "unwinds" if least > limits.UNWINDS_AT:
            pass  # told below, by the pieces
        case "unwinds" if joint.wires > 1 or coming is None or not coming.own_unwound:
            yield _finding("unwinds", Severity.FAULT, twist, remedy, **chance, **cause)
        case "marginal" if joint.wires > 1:  # by own pieces, of which some unwound
            yield _finding("unwinds", Severity.SHARP, twist, chance=outcome.unwinds)
        case "unwinds" | "marginal" if coming is not None and coming.own_unwound:
            severity = Severity.SHARP if outcome.unwinds > limits.HELD else Severity.CAUTION
            severity = Severity.FAULT if outcome.verdict == "unwinds" else severity
            counted: dict[str, Scalar] = {
                "unwound": coming.own_unwound,
                "pieces": coming.own_pieces,
                "chance": outcome.unwinds,
            }
            counted |= {"pin_mm": coming.own_pin_mm}
            yield _finding("own-unwound", severity, twist, "turns-above", **counted, **more)
        case "marginal" if least:
            pass
        case "marginal":
            most = max(
                (model.unwinds for model in outcome.models if not model.not_applicable_because), default=outcome.unwinds
            )
            severity = Severity.SHARP if outcome.unwinds > limits.HELD else Severity.CAUTION
            yield _finding("may-unwind", severity, twist, remedy, **chance, most=most, **cause)
    if other is not None:
        told: dict[str, Scalar] = {
            "turns": other.turns,
            "wraps": other.wraps,
            "unwound": other.unwound,
            "pieces": other.pieces,
        }
        if least:
            more_wraps = recipe.barrel.wraps >= other.wraps + COUNTS_ALIKE
            bad = least > limits.UNWINDS_AT and (outcome.unwinds_itself or not more_wraps)
            severity = Severity.FAULT if bad else Severity.SHARP
            told |= {"pin_mm": other.pin_mm, "chance": outcome.unwinds, "alike": _alike(recipe, other)}
            told["more_wraps"] = more_wraps
            yield _finding("like-unwound", severity, twist, "turns-above", **told, **more)
        else:
            told |= {"wire_mm": other.wire_mm}
            yield _finding("not-pulled", Severity.CAUTION, twist, "pull-these", **told)
    if coming is not None and outcome.verdict not in ("unwinds", "marginal"):
        yield from _breaks_early(outcome.governs_place, coming, right_n)
    if practice_end(recipe, joint) == "unwinds":
        # known of the heaviest wire only, so it is no fault of every wire
        yield _finding("unwinds-in-practice", Severity.SHARP, twist, turns=joint.turns, wraps=joint.wraps)
    if rated_n is not None and coming is not None:
        withheld = least > 0.0 and not coming.own_pulled  # no load of it is told
        for code, severity, load_n in (
            ("rated-not-held", Severity.FAULT, coming.expected_n),
            ("rated-not-held-by-all", Severity.CAUTION, coming.plan_with_n),
        ):
            if load_n < rated_n:
                yield _finding(code, severity, "standing", load_n=None if withheld else load_n, rated_n=rated_n)
                break


def _breaks_early(place: str, coming: Forecast, right_n: float) -> Iterator[Finding]:
    """That a joint breaks below the same one made right; of its own pieces, or of those that bound it, where before they were pulled it
    was expected to hold as much."""
    if coming.expected_n >= limits.EARLY * right_n:
        return
    if not coming.own_broke_n or coming.unpulled_n < limits.EARLY * right_n:
        early_n = coming.unpulled_n if coming.broke_of == "better" else coming.expected_n
        yield _finding("breaks-early", Severity.CAUTION, place, share=early_n / right_n, limit=limits.EARLY)
        return
    values: dict[str, Scalar] = {"pieces": len(coming.own_broke_n), "mean_n": fmean(coming.own_broke_n)}
    values |= {"of": coming.broke_of, "models_n": coming.unpulled_n, "share": coming.expected_n / coming.unpulled_n}
    remedy = "measure-wire" if any(layer.name == "coil" for layer in coming.layers) else "measure-wire-or-pull"
    yield _finding("pieces-below", Severity.CAUTION, place, remedy, **values, limit=limits.EARLY)


def advise_turns(of_shape: tuple[Finding, ...], of_hold: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """What is found of a joint, its advice on counts that of its own pieces where these count against it."""
    more = next((found.values for found in of_hold if "make" in found.values), None)
    if more is None:
        return (*of_shape, *of_hold)
    counted = {name: more[name] for name in ("make", "pulled", "to_lay_d", "to_wraps")}
    advised = (
        replace(found, remedy=MORE_TURNS[found.remedy], values=Values(**found.values, **counted))
        if found.code == "few" and found.remedy in MORE_TURNS
        else found
        for found in of_shape
    )
    return (*advised, *of_hold)


def _beside(recipe: Recipe) -> dict[str, Scalar]:
    """What goes with more turns, where it is off: the usual lay, and as many wraps as practice makes; None where it is as it is."""
    usual, lay = usual_lay(recipe), checked_sizes(recipe).lay
    few = 0.0 < recipe.barrel.wraps < limits.FEW - recipe.tolerance.wraps
    long = recipe.twist.turns > 0.0 and lay > usual + limits.LAY_OFF
    return {"to_lay_d": usual if long else None, "to_wraps": limits.FEW if few else None}


def _turns(recipe: Recipe, above: tuple[float, bool] | None) -> dict[str, Scalar]:
    """The turns to make by own pieces, and whether such were pulled; what goes with them."""
    return {} if above is None else {"make": above[0], "pulled": above[1], **_beside(recipe)}


def _alike(recipe: Recipe, other: OtherPieces) -> bool:
    """Whether other pieces have the counts of a recipe."""
    counts = zip((other.turns, other.wraps), (recipe.twist.turns, recipe.barrel.wraps), strict=True)
    return all(abs(one - own) < COUNTS_ALIKE for one, own in counts)


def _cause(
    recipe: Recipe, joint: Grip, verdict: Verdict, right_verdict: Verdict | None
) -> tuple[str, dict[str, Scalar]]:
    """Advice for a joint that unwinds or may, and its numbers: what hands did, where the same joint made right ends better; else
    the turns and wraps that are missing of the usual ones."""
    sizes = checked_sizes(recipe)
    if right_verdict is not None and WORSE[right_verdict] < WORSE[verdict]:
        if joint.turns and joint.evenness < limits.EVEN:
            return "turn-both", {}
        usual = usual_lay(recipe)
        if joint.turns and joint.lay_d > usual + limits.LAY_OFF:
            return "usual-lay", {"lay_d": joint.lay_d, "usual_lay_d": usual}
        if joint.wraps and not joint.same_hand:
            return "same-hand", {}
        if joint.wraps > 1.0 and sizes.wrap_gap > limits.OPEN_GAP_D:
            return "wind-touching", {}
        if joint.wraps < limits.HINGE_WRAPS:
            return "add-wraps" if joint.wraps else "add-barrel", {}
    if 0.0 < joint.turns < limits.FEW - recipe.tolerance.turns:
        usual = usual_lay(recipe)
        if joint.lay_d > usual + limits.LAY_OFF:
            return "turns-and-lay", {"lay_d": joint.lay_d, "usual_lay_d": usual}
        return "add-turns", {}
    return ("twist-first" if joint.turns == 0.0 else "see-why"), {}


def _finding(code: str, severity: Severity, place: str, remedy: str = "see-why", **values: Scalar) -> Finding:
    return Finding(code=code, severity=severity, place=place, values=Values(**values), remedy=remedy)


def practice_end(recipe: Recipe, joint: Grip, unseen: tuple[str, ...] = ()) -> str:
    """How joints of these counts end by the rule of thumb, in this material: "holds", "unwinds", or "" where it is silent.

    unseen: what the models know nothing of; that it holds is said only where that is no more than the number of wraps.
    """
    if joint.wires > 1 or recipe.wire.material != find_material(practice().material).name:
        return ""
    if joint.turns == joint.wraps == limits.SHORT:
        return "unwinds"
    return "holds" if joint.turns == joint.wraps == limits.FEW and unseen in ((), ("more-wraps",)) else ""
