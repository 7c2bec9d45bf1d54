"""Will it hold: the load at which a joint breaks or unwinds, the chance of either, and what that rests on."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from helix.data.calibration import Calibration, default_calibration, given_number
from helix.data.practice import practice
from helix.findings import Finding, Severity
from helix.geometry.twist.helices import lay_angle
from helix.mechanics import limits
from helix.mechanics.tag_tension import tag_tension_exponential, tag_tension_linear, throat_tension
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.statistics.fits.next_piece import next_piece_bound
from helix.statistics.proportions import share_interval
from helix.studies.hold.evidence.deciding_test import deciding_tests
from helix.studies.hold.evidence.forecast import Forecast, OwnPulls
from helix.studies.hold.evidence.own_pulls import any_unwound, counts_against, turns_above
from helix.studies.hold.evidence.wound_alike import jeffreys
from helix.studies.hold.hold_findings import not_modelled
from helix.studies.hold.hold_result import (
    Band,
    BarrelHold,
    BreakHold,
    Evidence,
    HoldResult,
    MadeRight,
    ModelHold,
    Probability,
    WireStrength,
)
from helix.studies.hold.made_right import draw_eye, estimate, twins_of
from helix.studies.hold.outcome import Breaks, ModelOutcome, Outcome, Setting, Verdict, nominal_hinges
from helix.studies.hold.pair.pair_hold import pair_hold
from helix.studies.hold.places.bend_places import BreakPlace, places_of
from helix.studies.hold.scatter import drawn
from helix.values import Values

DRAWS: Final = 10_000
SEED: Final = 0
_KEPT: Final = 64  # joints whose findings are remembered
_KEPT_WHOLE: Final = 8  # joints whose whole estimate is: a page asks for it under several heads
_LEVELS: Final = (limits.TAIL, 0.5, 1.0 - limits.TAIL)


def hold(
    recipe: Recipe,
    *,
    calibration: Calibration | None = None,
    ductility: float | None = None,
    friction: dict[str, float] | None = None,
    sliding_rad: float = 0.0,
    draws: int = DRAWS,
    seed: int = SEED,
) -> HoldResult:
    """Whether a recipe's joint locks (the wire breaks first), is marginal, or unwinds, and at what load.

    calibration: friction numbers (default: those from common practice). ductility: reduction of area, in (0, 1)
    (default: a band). friction: numbers by model key in place of the calibration's. sliding_rad: angle over which the
    wire slides round the pin. Raises InfeasibleJointError where the joint cannot exist, ValueError for numbers out of range.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 14"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> hold(recipe_from_text(text)).verdict
    'locks'
    """
    setting = setting_of(recipe, calibration, ductility, friction, sliding_rad, draws, seed)
    return hold_with(recipe, setting)


@lru_cache(maxsize=_KEPT)
def found_of_hold(recipe: Recipe) -> tuple[Finding, ...]:
    """What is found wrong with a joint's hold, by the numbers that `hold` takes by default."""
    try:
        return hold(recipe).findings
    except ValueError as error:  # a joint so far out that the models' numbers have no meaning
        values = Values(because=str(error))
        return (Finding(code="no-model", severity=Severity.CAUTION, values=values, remedy="pull-tests"),)


def setting_of(
    recipe: Recipe,
    calibration: Calibration | None = None,
    ductility: float | None = None,
    friction: dict[str, float] | None = None,
    sliding_rad: float = 0.0,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Setting:
    """What an estimate needs besides the joint; arguments as `hold`. Tolerances are the recipe's own."""
    sizes, base = checked_sizes(recipe), practice().scatter
    scatter = replace(
        base,
        lay_tolerance_d=sizes.lay_slack,
        turns_tolerance=recipe.tolerance.turns,
        pitch_tolerance_d=sizes.pitch_slack,
    )
    if ductility is not None and not 0.0 < ductility < 1.0:
        raise ValueError(f"ductility must be above 0 and below 1; got {ductility!r}")
    if not 0.0 <= sliding_rad <= 2.0 * math.pi:
        raise ValueError(f"sliding_rad must be from 0 to 2 pi; got {sliding_rad!r}")
    areas = base.reduction_of_area if ductility is None else (ductility,) * 3
    used = calibration or default_calibration()
    if friction:
        given = {key: given_number(key, value, base.friction) for key, value in friction.items()}
        used = Calibration(
            numbers={**used.numbers, **given}, origin=used.origin, evidence=used.evidence, notes=used.notes
        )
    return Setting(
        calibration=used, scatter=scatter, ductility=areas, sliding_rad=sliding_rad, draws=drawn(draws, seed)
    )


def _told(ends: Verdict, not_estimated: tuple[str, ...], own: OwnPulls | None) -> Verdict:
    """The verdict as it is told: of what no model speaks it is not said that it locks, and it unwinds where so many own pieces did that
    they count against it."""
    if ends == "locks":
        return "no model" if not_estimated else ends
    return "unwinds" if own is not None and (any(own.unwound) or counts_against(own)) else ends


def _piece_plan_n(told: Forecast, own: OwnPulls) -> float:
    """What one more whole piece holds by own pieces with this joint at both ends, as `pulls read` has it, and never more than one joint;
    nan where too few are known, or more may unwind than break."""
    if not own.whole_n or share_interval(0, len(own.whole_n))[1] > limits.UNWINDS_AT:
        return math.nan
    bound = next_piece_bound(own.whole_n)
    return math.nan if bound is None else min(bound, told.plan_with_n)


def _right(right: Forecast, verdict: Verdict) -> MadeRight:
    return MadeRight(plan_with_n=right.plan_with_n, expected_n=right.expected_n, verdict=verdict)


@lru_cache(maxsize=_KEPT_WHOLE)
def hold_with(recipe: Recipe, setting: Setting, own: OwnPulls | None = None, eye_strain: float = 0.0) -> HoldResult:
    """`hold` with a setting that is already made; own: pieces of one's own, which move the load. eye_strain: of the outer
    fibre where the load draws the eye tight over something thinner than its pin; never a load above that without."""
    twins = draw_eye(twins_of(recipe), eye_strain)
    estimated = estimate(twins, setting, own)
    joint, places = twins[0].grip, places_of(recipe)
    if eye_strain:
        places = tuple(
            replace(place, strain=drawn.strain) if place.name == "eye" else place
            for place, drawn in zip(places, twins[0].places, strict=True)
        )
    breaks, ended, coming, right = estimated.breaks, estimated.outcome, estimated.forecast, estimated.right
    if recipe.wire.count > 1 and own is not None and any(own.unwound):  # no model speaks, but own pieces do
        share = jeffreys(sum(own.unwound), len(own.unwound))
        ended = replace(ended, verdict="unwinds" if share > limits.UNWINDS_AT else "marginal", unwinds=share)
    withheld = own is not None and counts_against(own) and not own.loads_n
    told = None if withheld else coming
    weak, strength, strong = recipe.wire.breaking_load_n
    governing, used = ended.governing, setting.calibration
    bending, torsion = nominal_hinges(joint, setting.scatter)
    return HoldResult(
        recipe=recipe,
        wire=WireStrength(
            diameter_mm=recipe.wire.diameter_mm,
            breaking_load_n=Band.of(weak, strength, strong),
            strength_mpa=Band.of(*recipe.wire.strength_mpa),
            ductility=Band.of(*setting.ductility),
            rated_load_n=recipe.wire.rated_load_n,
        ),
        verdict=_told(ended.verdict, estimated.not_estimated, own),
        governs_place=ended.governs_place,
        expected_n=math.nan if told is None else told.expected_n,
        plan_with_n=math.nan if told is None else told.plan_with_n,
        hold_n=Band.of(math.nan) if told is None else Band.of(told.low_n, told.expected_n, told.high_n),
        load_withheld="like-unwound" if withheld else None,
        not_estimated=estimated.not_estimated,
        made_right=None if right is None or withheld else _right(right, estimated.right_verdict),
        layers=() if told is None else told.layers,
        bends_leave_n=Band.of(*(strength * np.quantile(breaks.least, _LEVELS)).tolist()),
        probability=_probability(ended, setting, coming, None if withheld else recipe.wire.rated_load_n),
        model=None if governing is None else _in_newton(governing, strength),
        models=tuple(_in_newton(model, strength) for model in ended.models),
        breaks=_breaks(places, breaks, strength, coming),
        barrel=BarrelHold(bending_n=strength * bending, torsion_n=strength * torsion),
        throat_tension_proportion=float(throat_tension(lay_angle(0.5, joint.lay_d))) if joint.turns else 0.5,
        not_modelled=tuple(not_modelled(joint, places)),
        evidence=Evidence(origin=used.origin, rests_on=used.evidence, notes=used.notes),
        deciding_tests=deciding_tests(joint, breaks.nominal, setting, strength),
        grip=joint,
        setting=setting,
        outcome=ended,
        forecast=coming,
        benchmark_n=estimated.benchmark_n,
        other=None if own is None else own.other,
        others_broke=own is not None and any(any(group.broke) for group in own.bent),
        piece_plan_n=math.nan if told is None or own is None else _piece_plan_n(told, own),
        turns_above=turns_above(own, recipe) if own is not None and any_unwound(own) else None,
        pair=pair_hold(recipe, places, setting, own, not (estimated.not_estimated or withheld)),
    )


def _in_newton(model: ModelOutcome, strength_n: float) -> ModelHold:
    slips = (model.slip_low, model.slip, model.slip_high)
    bending, torsion = model.mechanisms
    return ModelHold(
        key=model.model.key,
        assumption=model.model.assumes,
        friction=model.friction,
        not_applicable_because=model.not_applicable_because,
        unwinds_at_n=Band.of(*(strength_n * slip for slip in slips)),
        by_bending_n=strength_n * bending,
        by_torsion_n=strength_n * torsion,
        hold_n=strength_n * model.hold,
        probability_unwinds=model.unwinds,
    )


def _probability(outcome: Outcome, setting: Setting, coming: Forecast | None, rated_n: float | None) -> Probability:
    draws, seed = setting.draws.n, setting.draws.seed
    if outcome.governing is None:
        return Probability(draws=draws, seed=seed)
    unwinds = outcome.unwinds if coming is None else coming.probability_unwinds
    low, high = counted_interval(unwinds, draws)
    by_model = [unwinds, *(model.unwinds for model in outcome.models if not model.not_applicable_because)]
    return Probability(
        unwinds=unwinds,
        low=float(low),
        high=float(high),
        models_low=min(by_model),
        models_high=max(by_model),
        holds_rated=None if coming is None or rated_n is None else coming.holds(rated_n),
        draws=draws,
        seed=seed,
    )


def _breaks(
    places: tuple[BreakPlace, ...], breaks: Breaks, strength_n: float, coming: Forecast | None
) -> tuple[BreakHold, ...]:
    rows = []
    for k, place in enumerate(places):
        there = place.strain is not None
        left = breaks.drawn[k] * place.share
        rows.append(
            BreakHold(
                place=place.name,
                load_n=min(float(breaks.still[k]), 1.0) * strength_n if there else math.nan,
                odds_first=math.nan if coming is None else coming.odds_first[k],
                grade=place.grade,
                load_proportion=place.share,
                strain=place.strain,
                turn_deg=place.turn_deg,
                leaves=Band.of(*np.quantile(left, _LEVELS).tolist()) if there else Band.of(math.nan),
                s_mm=place.s_mm,
            )
        )
    return tuple(rows)


def tag_left(result: HoldResult) -> dict[str, float]:
    """Tension that the twist leaves in the tag, over the load, by the models that say so and speak."""
    left = {}
    lay = lay_angle(0.5, result.grip.lay_d)
    for model in result.applicable:
        falls = {"L": tag_tension_linear, "E": tag_tension_exponential}.get(model.key)
        if falls is not None and model.friction is not None:
            tension = falls(result.grip.turns, model.friction.value, lay, result.setting.sliding_rad)
            left[model.key] = float(tension)
    return left
