"""Will it hold: the load at which a joint breaks or unwinds, the chance of either, and what that rests on."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import ClassVar, Final

import numpy as np

import helix
from helix.data.calibration import Calibration, FrictionNumber, default_calibration, given_number
from helix.data.practice import practice
from helix.errors import HelixError
from helix.findings import Finding, Severity
from helix.geometry.twist.helices import lay_angle
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.mechanics.first_bend import WIDEST_RAD, WIDEST_SPREAD_RAD
from helix.mechanics.grip import tag_tension_exponential, tag_tension_linear, throat_tension
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.studies.hold.bend_places import BreakPlace, grip_under_load, places_of
from helix.studies.hold.deciding_test import DecidingTest, deciding_tests
from helix.studies.hold.forecast import Forecast, Layer, OwnPulls, forecast
from helix.studies.hold.grip_models import Grip, grip_of
from helix.studies.hold.hold_findings import hold_findings, not_modelled
from helix.studies.hold.outcome import (
    Breaks,
    ModelOutcome,
    Outcome,
    Setting,
    Verdict,
    breaks_of,
    nominal_hinges,
    outcome,
    verdict_of,
)
from helix.studies.hold.scatter import drawn
from helix.values import Result, Values, hidden, result

SCHEMA: Final = 4
DRAWS: Final = 10_000
SEED: Final = 0
_KEPT: Final = 64  # joints whose findings are remembered
_LEVELS: Final = (limits.TAIL, 0.5, 1.0 - limits.TAIL)


@result
class Band:
    """Low, nominal, high; nan where nothing is estimated."""

    low: float
    nominal: float
    high: float

    @classmethod
    def of(cls, low: float, nominal: float = math.nan, high: float = math.nan) -> Band:
        """Three numbers in their order."""
        return cls(low=low, nominal=nominal, high=high)


@result
class WireStrength:
    """The straight wire: breaking load for weakest, nominal and strongest; its ductility as a reduction of area."""

    diameter_mm: float
    breaking_load_n: Band
    strength_mpa: Band
    ductility: Band
    rated_load_n: float | None


@result
class Probability:
    """Of unwinding, counted in draws, the mean over the models that apply; and of holding the rated load.

    low, high: 95 % limits of the counting alone. models_low, models_high: the least and the most that a model gives.
    holds_rated: None without a rated load or an estimate.
    """

    unwinds: float = math.nan
    low: float = math.nan
    high: float = math.nan
    models_low: float = math.nan
    models_high: float = math.nan
    holds_rated: float | None = None
    draws: int
    seed: int


@result
class ModelHold:
    """One model's answer in N; nan where it does not apply, and not_applicable_because says why.

    unwinds_at_n: 95 % of the pieces lie between low and high; infinite where it is locked. by_bending_n, by_torsion_n:
    the same without scatter, by how the barrel gives way. hold_n: the lesser of unwinding and breaking.
    """

    also: ClassVar = ("applicable",)
    key: str
    assumption: str
    friction: FrictionNumber | None
    not_applicable_because: str
    unwinds_at_n: Band
    by_bending_n: float
    by_torsion_n: float
    hold_n: float
    probability_unwinds: float

    @property
    def applicable(self) -> bool:
        """Whether the joint lies in its range."""
        return not self.not_applicable_because


@result
class BreakHold:
    """One place where the joint may break.

    load_n: joint load at which it breaks there in wire of nominal strength, at most the wire's own. odds_first: of the
    pieces that break, how often there first. grade: of the evidence, B closed form and simulation agree, C simulated
    only, D an argument only. load_proportion: of the load that passes; leaves: of the strength, 95 % of draws and middle.
    strain is None where parts overlap: no estimate.
    """

    place: str
    load_n: float
    odds_first: float
    grade: str
    load_proportion: float
    strain: float | None
    turn_deg: float | None
    leaves: Band
    s_mm: float


@result
class MadeRight:
    """The same joint made right: the load to plan with, and the expected one."""

    plan_with_n: float
    expected_n: float


@result
class BarrelHold:
    """What the barrel holds if its first wrap uncoils by bending, or by torsion."""

    bending_n: float
    torsion_n: float


@result
class Evidence:
    """What the friction numbers were fitted to, how many joints of what kind that is, what it cannot say."""

    origin: str
    rests_on: str
    notes: tuple[Finding, ...] = hidden()


@result
class HoldResult(Result):
    """The answer for one recipe.

    plan_with_n: 19 of 20 pieces hold more; expected_n: their mean; hold_n: it between the 2.5 % and the 97.5 % of pieces.
    not_estimated: codes of what practice calls a fault and no model speaks of; then there is no load. made_right: of the
    same joint without a fault, which none is said to better. layers: what each layer of evidence moved. bends_leave_n:
    what the places leave, as hold_n. models: all that could be asked; model: the governing one, the most cautious of those
    that apply. not_modelled: codes of what the models know nothing of in this joint, most of them those of findings of
    its shape. outcome, forecast: what the draws gave.
    """

    recipe: Recipe
    wire: WireStrength
    verdict: Verdict
    governs_place: str
    expected_n: float
    plan_with_n: float
    hold_n: Band
    not_estimated: tuple[str, ...]
    made_right: MadeRight | None
    layers: tuple[Layer, ...]
    bends_leave_n: Band
    probability: Probability
    model: ModelHold | None
    models: tuple[ModelHold, ...]
    breaks: tuple[BreakHold, ...]
    barrel: BarrelHold
    throat_tension_proportion: float
    assumptions: tuple[str, ...]
    not_modelled: tuple[str, ...]
    evidence: Evidence
    deciding_tests: tuple[DecidingTest, ...]
    grip: Grip = hidden()
    setting: Setting = hidden()
    outcome: Outcome = hidden()
    forecast: Forecast | None = hidden()
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def strength_n(self) -> float:
        """Nominal breaking load of the straight wire."""
        return self.wire.breaking_load_n.nominal

    @property
    def applicable(self) -> tuple[ModelHold, ...]:
        """The models in whose range the joint lies."""
        return tuple(model for model in self.models if model.applicable)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the estimate finds wrong: that it unwinds or may, breaks early, holds less than is asked, or is none."""
        right_n = None if self.made_right is None else self.made_right.expected_n
        return tuple(hold_findings(self.recipe, self.grip, self.outcome, self.forecast, right_n))


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


def hold_with(recipe: Recipe, setting: Setting, own: OwnPulls | None = None) -> HoldResult:
    """`hold` with a setting that is already made; own: pieces of one's own, which move the load."""
    joint, places = grip_of(recipe), places_of(recipe)
    breaks = breaks_of(places, setting)
    found = outcome(grip_under_load(joint, places), places, breaks, setting)
    says_fault = unmodelled(recipe, places)
    coming = None
    if found.governing is not None:
        coming = forecast(recipe.wire, breaks, found, setting.draws, own)
    better = _made_right(recipe, setting)
    if coming is not None and better is not None and not (own and own.loads_n):
        coming = coming.no_better_than(better)
    right = better or coming
    if coming is not None and own and own.loads_n:  # what one's own pieces did outweighs how the models end
        found = replace(found, verdict=verdict_of([coming.probability_unwinds]), unwinds=coming.probability_unwinds)
    if says_fault:
        coming = None
    weak, strength, strong = recipe.wire.breaking_load_n
    governing, used = found.governing, setting.calibration
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
        verdict="no model" if says_fault and found.verdict == "locks" else found.verdict,
        governs_place=found.governs_place,
        expected_n=math.nan if coming is None else coming.expected_n,
        plan_with_n=math.nan if coming is None else coming.plan_with_n,
        hold_n=Band.of(math.nan) if coming is None else Band.of(coming.low_n, coming.expected_n, coming.high_n),
        not_estimated=says_fault,
        made_right=None if right is None else MadeRight(plan_with_n=right.plan_with_n, expected_n=right.expected_n),
        layers=() if coming is None else coming.layers,
        bends_leave_n=Band.of(*(strength * float(np.quantile(breaks.least, level)) for level in _LEVELS)),
        probability=_probability(found, setting, coming, recipe.wire.rated_load_n),
        model=None if governing is None else _in_newton(governing, strength),
        models=tuple(_in_newton(model, strength) for model in found.models),
        breaks=_breaks(places, breaks, strength, coming),
        barrel=BarrelHold(bending_n=strength * bending, torsion_n=strength * torsion),
        throat_tension_proportion=float(throat_tension(lay_angle(0.5, joint.lay_d))) if joint.turns else 0.5,
        assumptions=_assumptions(found, setting),
        not_modelled=tuple(not_modelled(joint, places)),
        evidence=Evidence(origin=used.origin, rests_on=used.evidence, notes=used.notes),
        deciding_tests=deciding_tests(joint, breaks.nominal, setting, strength),
        grip=joint,
        setting=setting,
        outcome=found,
        forecast=coming,
    )


def unmodelled(recipe: Recipe, places: tuple[BreakPlace, ...]) -> tuple[str, ...]:
    """What practice calls a fault and no model speaks of: codes of findings; such a joint has no load of its own."""
    twist, barrel, sizes = recipe.twist, recipe.barrel, checked_sizes(recipe)
    gap = sizes.pitch - touching_pitch()
    exits = [each.visible_angle_deg or 0.0 for each in places if each.name == "exit_tag"]
    first = max((each.visible_angle_deg or 0.0 for each in places if each.name == "entry_tag"), default=0.0)
    spread = recipe.eye.throat_made == "spread"
    widest = WIDEST_SPREAD_RAD if spread else WIDEST_RAD
    found = {
        "spread-throat" if spread else "steep-first-bend": twist.turns > 0.0
        and first > math.degrees(2.0 * widest) + 1e-7,
        "open-barrel": barrel.wraps > 0.0 and gap > sizes.pitch_slack,
        "opposite-hand": barrel.wraps > 0.0 and barrel.hand == "opposite",
        "steep-exit": max(exits, default=0.0) > math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-7,
        "loose-lay": twist.turns > 0.0 and sizes.lay > limits.LOOSE_LAY,
        "uneven-twist": twist.turns > 0.0 and twist.evenness < limits.LEAST_EVEN,
        "overlap": any(each.strain is None for each in places) or (barrel.wraps > 1.0 and gap < -limits.OVERLAP_D),
    }
    return tuple(code for code, there in found.items() if there)


def made_right(recipe: Recipe, first_bend_deg: float = 0.0) -> Recipe:
    """The same joint without a fault of hands: even, of a usual lay, its legs running into the twist, a gradual exit, a
    touching barrel of the twist's hand. Counts stay, and so do a throat and an exit that are within their limits."""
    d, twist = recipe.wire.diameter_mm, recipe.twist
    lay = limits.USUAL_LAY * d if checked_sizes(recipe).lay > limits.LOOSE_LAY else twist.lay_mm
    wide = first_bend_deg > math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-7
    return recipe.variant(
        twist=replace(twist, evenness=1.0, lay_mm=lay, length_mm=None),
        eye=replace(recipe.eye, throat_rad=None) if wide else recipe.eye,
        entry=replace(recipe.entry, radius_mm=None),
        exit=replace(recipe.exit, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None),
        barrel=replace(recipe.barrel, pitch_mm=None, hand="same"),
    )


def _made_right(recipe: Recipe, setting: Setting) -> Forecast | None:
    """What the same joint holds when it is made right; None where it is, or cannot be."""
    first = max((each.visible_angle_deg or 0.0 for each in places_of(recipe) if each.name == "entry_tag"), default=0.0)
    right = made_right(recipe, first)
    if right.variant(twist=replace(right.twist, length_mm=recipe.twist.length_mm)) == recipe:
        return None
    try:
        places = places_of(right)
    except HelixError:
        return None
    breaks = breaks_of(places, setting)
    found = outcome(grip_under_load(grip_of(right), places), places, breaks, setting)
    return None if found.governing is None else forecast(right.wire, breaks, found, setting.draws)


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


def _probability(found: Outcome, setting: Setting, coming: Forecast | None, rated_n: float | None) -> Probability:
    draws, seed = setting.draws.n, setting.draws.seed
    if found.governing is None:
        return Probability(draws=draws, seed=seed)
    unwinds = found.unwinds if coming is None else coming.probability_unwinds
    low, high = counted_interval(unwinds, draws)
    by_model = [unwinds, *(model.unwinds for model in found.models if not model.not_applicable_because)]
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
                leaves=Band.of(*(float(np.quantile(left, level)) for level in _LEVELS)) if there else Band.of(math.nan),
                s_mm=place.s_mm,
            )
        )
    return tuple(rows)


def _assumptions(found: Outcome, setting: Setting) -> tuple[str, ...]:
    scatter = setting.scatter
    low, nominal, high = setting.ductility
    area = f"{nominal:.3g}" if low == high else f"{low:.2f} to {high:.2f}, nominal {nominal:.3g}"
    slide = math.degrees(setting.sliding_rad)
    at_eye = "the pin turns with the wire" if slide == 0.0 else f"the wire slides over {slide:.0f} deg round the pin"
    said = [] if found.governing is None else [f"Model {found.governing.model.key}: {found.governing.model.assumes}."]
    return (
        *said,
        f"At the eye {at_eye}.",
        "The barrel gives way either by bending or by torsion of its first wrap, half of the draws each; neither is proven.",
        f"Flow stress is {scatter.flow[0]:.2f} to {scatter.flow[2]:.2f} of the strength, evenly spread (assumed).",
        (
            f"Friction differs by {scatter.friction:.0%}, the strain of a bend by {scatter.strain:.0%} from piece to piece (one "
            f"sigma, assumed); lay by +/- {scatter.lay_tolerance_d:.2g} d and turns by +/- {scatter.turns_tolerance:.2g} "
            "(the recipe's tolerances, taken as two sigma)."
        ),
        (
            f"Ductility: a reduction of area of {area}{' (typical of the wire, from memory)' if low != high else ''}. "
            "What a bend leaves is not backed by tests of this joint."
        ),
        (
            "All of the load passes the standing leg's exit and pulls it straight (simulated, not tested), about half of it each eye "
            "leg, and what the twist leaves the tag's exit."
        ),
        (
            "What the mechanics says of a bend may be 8 % off (one sigma), hardening is 0.1 to 0.5 of the strength per unit strain, the "
            "table's limits are a 95 % range and straightened wire is up to 10 % weaker (assumed)."
        ),
        "The models know no size: every size behaves alike by construction, and no trend with size is claimed.",
        "No fatigue, shock, corrosion, heat, wet, nicked or kinked wire.",
    )


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
