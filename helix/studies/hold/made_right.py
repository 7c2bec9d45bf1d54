"""The same joint made right, and the rule that no joint is said to better it.

A joint is estimated beside its better twins: the same with a barrel that makes a hinge, with a twist as even as a model must have
it, of the usual lay, even, both, and made right. Each mends one thing more, so that a joint of which no model speaks for one reason is still held to what
is known of the rest. No load of it is above theirs, no probability of unwinding and no verdict below. The probability of unwinding is counted against the load
at which the joint made right breaks, in wire of usual ductility: one that breaks early would hide a weak twist.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from helix.data.practice import practice
from helix.errors import HelixError
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import WIDEST_RAD, WIDEST_SPREAD_RAD
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import Forecast, OwnPulls, forecast
from helix.studies.hold.evidence.mended import better_of, make_hinge, mend_twist
from helix.studies.hold.evidence.own_pulls import bent_as, carried, of_wire
from helix.studies.hold.grip_models import Grip, grip_of
from helix.studies.hold.outcome import WORSE, Breaks, Outcome, Setting, Verdict, breaks_of, outcome, verdict_of
from helix.studies.hold.places.bend_places import BreakPlace, grip_under_load, places_of
from helix.values import result


@result
class HeldShape:
    """A joint as an estimate sees it: its recipe, its grip as made, and its places as they are judged, none where it has no
    shape."""

    recipe: Recipe
    grip: Grip
    places: tuple[BreakPlace, ...]


@result
class HeldEstimate:
    """What becomes of a joint, never better than the same made right.

    outcome: its verdict and probability are the most severe of the joint and its better twins. forecast: None where no
    model speaks of it. right, right_verdict: of the joint made right, which may unwind all the same, as its counts stay. benchmark_n: what that is expected to hold in wire of usual
    ductility, nan where no model speaks of it. not_estimated: codes of what practice calls a fault and no model speaks of.
    """

    breaks: Breaks
    outcome: Outcome
    forecast: Forecast | None
    right: Forecast | None
    right_verdict: Verdict
    benchmark_n: float
    not_estimated: tuple[str, ...]


def unmodelled(recipe: Recipe, places: tuple[BreakPlace, ...]) -> tuple[str, ...]:
    """What practice calls a fault and no model speaks of: codes of findings; such a joint has no load of its own."""
    twist, barrel, sizes = recipe.twist, recipe.barrel, checked_sizes(recipe)
    gap, loose = sizes.wrap_gap, limits.LOOSE_LAY if sizes.count == 1 else limits.LOOSE_LAY_TWO
    exits = [place.visible_angle_deg or 0.0 for place in places if place.name == "exit_tag"]
    first = max((place.visible_angle_deg or 0.0 for place in places if place.name == "entry_tag"), default=0.0)
    spread = recipe.eye.throat_made == "spread"
    widest_deg = math.degrees(2.0 * (WIDEST_SPREAD_RAD if spread else WIDEST_RAD))
    faults = {
        "spread-throat" if spread else "steep-first-bend": twist.turns > 0.0 and first > widest_deg + 1e-7,
        "no-barrel": twist.turns > 0.0 and barrel.wraps == 0.0,
        "open-barrel": barrel.wraps > 0.0 and gap > sizes.pitch_slack,
        "opposite-hand": barrel.wraps > 0.0 and barrel.hand == "opposite",
        "steep-exit": max(exits, default=0.0) > math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-7,
        "loose-lay": twist.turns > 0.0 and sizes.lay > loose,
        "uneven-twist": twist.turns > 0.0 and twist.evenness < limits.LEAST_EVEN,
        "overlap": any(place.strain is None for place in places) or (barrel.wraps > 1.0 and gap < -limits.OVERLAP_D),
    }
    return tuple(code for code, there in faults.items() if there)


def twins_of(recipe: Recipe) -> tuple[HeldShape, ...]:
    """The joint, then its better twins, the one made right last; those that differ from it and can be made; of two wires none.

    Raises InfeasibleJointError where the joint itself cannot exist.
    """
    shapes = [HeldShape(recipe=recipe, grip=grip_of(recipe), places=places_of(recipe))]
    if recipe.wire.count > 1:  # of which nothing is estimated
        return tuple(shapes)
    for better in better_of(recipe):
        try:
            shapes.append(HeldShape(recipe=better, grip=grip_of(better), places=places_of(better)))
        except HelixError:
            continue  # made so it would have no shape
    usual = next((shape for shape in shapes if shape.recipe == mend_twist(make_hinge(recipe))), shapes[0])
    shapes = [
        replace(shape, places=_no_gentler(shape.places, usual.places)) if shape.grip.lay_d > usual.grip.lay_d else shape
        for shape in shapes
    ]
    return tuple(shapes)


def with_counts(twins: Sequence[HeldShape], turns: float, wraps: float) -> list[HeldShape]:
    """Twins of a joint with other counts but the same shape; one more where so few wraps make no hinge."""
    counted = [replace(twin, grip=replace(twin.grip, turns=turns, wraps=wraps)) for twin in twins]
    if wraps >= limits.HINGE_WRAPS or wraps == turns == 0.0:
        return counted
    hinged = [replace(twin, grip=replace(twin.grip, wraps=limits.HINGE_WRAPS)) for twin in counted]
    return [counted[0], *hinged]


def _no_gentler(places: tuple[BreakPlace, ...], usual: tuple[BreakPlace, ...]) -> tuple[BreakPlace, ...]:
    """A loose twist's places as they are judged: nobody knows that it breaks later where its bends are gentler than with the
    usual lay. Its exits count as those of that lay, the rest as the harder bent of the two, and each carries as much as either."""
    judged = []
    for place, other in zip(places, usual, strict=True):
        if place.strain is None or other.strain is None:
            judged.append(place)
            continue
        exits = place.name.startswith("exit")
        judged.append(
            replace(
                place,
                strain=other.strain if exits else max(place.strain, other.strain),
                share=max(place.share, other.share),
                wound_deg=max(place.wound_deg or 0.0, other.wound_deg or 0.0) or None,
            )
        )
    return tuple(judged)


def draw_eye(twins: Sequence[HeldShape], strain: float) -> tuple[HeldShape, ...]:
    """Twins of a joint whose eye is drawn down to that strain over what is in it; as it was made it is one of the better."""
    places = tuple(
        replace(place, strain=max(place.strain or 0.0, strain)) if place.name == "eye" else place
        for place in twins[0].places
    )
    drawn = replace(twins[0], places=places)
    return tuple(twins) if drawn == twins[0] else (drawn, *twins)


def estimate(twins: Sequence[HeldShape], setting: Setting, own: OwnPulls | None = None) -> HeldEstimate:
    """What becomes of the first of the twins, never better than the others. own: pieces of one's own, which outweigh that; what they
    say of the wire, and of joints bent alike, is in the others too."""
    recipe = twins[0].recipe
    told = carried(own, recipe, recipe)
    breaks = [breaks_of(shape.places, setting) for shape in twins]
    usual = practice().scatter.reduction_of_area
    as_usual = setting.ductility == usual
    right_breaks = breaks[-1] if as_usual else breaks_of(twins[-1].places, replace(setting, ductility=usual))
    outcomes, coming = list[Outcome](), list[Forecast | None]()
    for shape, its_breaks in zip(twins, breaks, strict=True):
        grip = grip_under_load(shape.grip, shape.places)
        outcomes.append(outcome(grip, shape.places, its_breaks, setting, right_breaks.least))
        silent, says = outcomes[-1].governing is None, of_wire(told, shape.recipe) if coming else None
        coming.append(None if silent else forecast(shape.recipe.wire, its_breaks, outcomes[-1], setting.draws, says))
    first, estimated = coming[0], outcomes[0]
    if own is not None and first is not None:
        first = _by_own(twins, breaks, estimated, setting, replace(own, bent=bent_as(own.bent, recipe)))
    if own is not None and own.loads_n:  # what one's own pieces did outweighs how the models end
        if first is not None:
            estimated = replace(
                estimated, verdict=verdict_of([first.probability_unwinds]), unwinds=first.probability_unwinds
            )
    else:
        worst = max(outcomes, key=lambda one: (WORSE[one.verdict], 0.0 if math.isnan(one.unwinds) else one.unwinds))
        chances = [one.unwinds for one in outcomes if not math.isnan(one.unwinds)]
        estimated = replace(estimated, verdict=worst.verdict, unwinds=max(chances, default=math.nan))
        for better in coming[1:]:
            first = first if first is None or better is None else first.no_better_than(better)
    right_verdict = outcomes[-1].verdict
    if own is not None and own.other is not None:
        estimated, first = _no_better_than_pieces(estimated, first, own.other.unwinds)
    if own is not None and estimated.verdict != "locks":
        of_right = carried(own, recipe, twins[-1].recipe)
        least = 0.0 if of_right is None or of_right.other is None else of_right.other.unwinds
        right_verdict = "unwinds" if least else right_verdict
    benchmark = coming[-1]
    if benchmark is not None and (own is not None or not as_usual):
        straight = None if own is None else OwnPulls(straight_n=own.straight_n)
        benchmark = forecast(twins[-1].recipe.wire, right_breaks, outcomes[-1], setting.draws, straight)
    not_estimated = unmodelled(recipe, twins[0].places)
    return HeldEstimate(
        breaks=breaks[0],
        outcome=estimated,
        forecast=None if not_estimated else first,
        right=first if len(twins) == 1 else coming[-1],
        right_verdict=right_verdict,
        benchmark_n=math.nan if benchmark is None else benchmark.expected_n,
        not_estimated=not_estimated,
    )


def _no_better_than_pieces(ended: Outcome, coming: Forecast | None, least: float) -> tuple[Outcome, Forecast | None]:
    """Outcome and forecast of a joint of which by pieces of others at least that proportion unwinds."""
    chance = least if math.isnan(ended.unwinds) else max(ended.unwinds, least)
    verdict = max(ended.verdict, verdict_of([least]), key=WORSE.__getitem__)
    if coming is not None:
        coming = replace(coming, probability_unwinds=max(coming.probability_unwinds, least))
    itself = ended.verdict == "unwinds"
    return (
        (replace(ended, verdict=verdict, unwinds=chance, unwinds_itself=itself), coming) if least else (ended, coming)
    )


def _by_own(
    twins: Sequence[HeldShape], breaks: Sequence[Breaks], ended: Outcome, setting: Setting, own: OwnPulls
) -> Forecast:
    """The forecast that pieces of one's own move; those were pulled as they were made, so the bend of an eye that is drawn tight
    over something else is not in them."""
    wire, drawn = twins[0].recipe.wire, len(twins) > 1 and twins[1].recipe == twins[0].recipe
    if not (drawn and own.loads_n):
        return forecast(wire, breaks[0], ended, setting.draws, own)
    eye = next(k for k, place in enumerate(twins[0].places) if place.name == "eye")
    pulled = forecast(wire, breaks[1], ended, setting.draws, own, breaks[0].drawn[eye])
    return replace(pulled, odds_first=forecast(wire, breaks[0], ended, setting.draws).odds_first)
