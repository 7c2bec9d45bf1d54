"""Two wires worked as one, as an answer: what they hold should their joint not unwind, and how stiff they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from helix.errors import ValidationError, argument_issue
from helix.mechanics import limits
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import Forecast, OwnPulls
from helix.studies.hold.evidence.own_pulls import bent_as
from helix.studies.hold.made_right import estimate, twins_of
from helix.studies.hold.outcome import Setting
from helix.studies.hold.pair.pair_load import PairLoad, pair_load
from helix.studies.hold.pair.pair_own import OwnPair, own_pair
from helix.studies.hold.pair.pair_stiffness import PairStiffness, stiffness_beside
from helix.studies.hold.places.bend_places import BreakPlace
from helix.values import result


@result
class PairHold:
    """load: None where no load of one wire's joint is estimated. Whether four strands unwind, no model says; own: what own pieces
    do, None without any."""

    load: PairLoad | None
    own: OwnPair | None
    stiffness: PairStiffness


def pair_hold(
    recipe: Recipe, places: Sequence[BreakPlace], setting: Setting, own: OwnPulls | None = None, known: bool = True
) -> PairHold | None:
    """What two wires worked as one hold and how stiff they are; None of one wire.

    places: of the recipe's joint. own: pieces of one's own, of straight wire and of this joint. known: whether the joint has no
    fault of which no model speaks. Raises ValidationError where a slack or a free length cannot be, or is told of one wire.
    """
    if recipe.wire.count == 1:
        told = {"slack": setting.slack_mm, "free_length": setting.free_length_mm}
        issues = [
            argument_issue(key, "is for two wires worked as one; this recipe has one")
            for key, mm in told.items()
            if mm is not None
        ]
        if issues:
            raise ValidationError(issues)
        return None
    free_mm = recipe.finish.standing_mm if setting.free_length_mm is None else setting.free_length_mm
    one = forecast_of_one(recipe, places, setting, own) if known else None
    load = None if one is None else pair_load(recipe.wire, one.pieces_n, free_mm, setting.slack_mm)
    seen = None
    if one is not None and load is not None and own is not None:
        alike = replace(own, bent=bent_as(own.bent, recipe))
        seen = own_pair(recipe.wire, load, one.pieces_n, alike, setting.draws)
    return PairHold(load=load, own=seen, stiffness=stiffness_beside(recipe.wire, free_mm))


def one_wire_of(recipe: Recipe) -> Recipe:
    """The same joint in one of two wires, its strands as steep as theirs and its barrel as it touches."""
    return _in_wires(recipe, 1, limits.USUAL_LAY / DOUBLED_LAY_D)


def two_wires_of(recipe: Recipe) -> Recipe:
    """The same joint in two wires worked as one: the other way round."""
    return _in_wires(recipe, 2, DOUBLED_LAY_D / limits.USUAL_LAY)


def _in_wires(recipe: Recipe, count: int, factor: float) -> Recipe:
    lay_mm = factor * recipe.twist.lay_mm
    return recipe.variant(
        wire=replace(recipe.wire, count=count),
        twist=replace(recipe.twist, lay_mm=lay_mm, length_mm=None),
        barrel=replace(recipe.barrel, pitch_mm=None),
    )


def forecast_of_one(
    recipe: Recipe, places: Sequence[BreakPlace], setting: Setting, own: OwnPulls | None = None
) -> Forecast | None:
    """What one of the two wires is forecast to hold: as the same joint in one wire, each of its places bent as hard as the harder of the two
    joints has it; None where nothing is estimated."""
    twins = [
        replace(twin, places=tuple(_harder(*pair) for pair in zip(twin.places, places, strict=True)))
        for twin in twins_of(one_wire_of(recipe))
    ]
    straight = None if own is None else OwnPulls(straight_n=own.straight_n)
    return estimate(twins, setting, straight).forecast


def _harder(place: BreakPlace, other: BreakPlace) -> BreakPlace:
    if place.strain is None or other.strain is None:
        return replace(place, strain=None)
    return replace(place, strain=max(place.strain, other.strain), share=max(place.share, other.share))
