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
from helix.findings import Finding, Severity
from helix.geometry.twist.helices import lay_angle
from helix.mechanics.grip import tag_tension_exponential, tag_tension_linear, throat_tension
from helix.mechanics.retained import fracture_strain, retained_share
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.studies.hold.bend_places import BreakPlace, places_of
from helix.studies.hold.deciding_test import DecidingTest, deciding_tests
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
)
from helix.studies.hold.scatter import drawn
from helix.values import Result, Values, hidden, result

SCHEMA: Final = 2
DRAWS: Final = 10_000
SEED: Final = 0
_KEPT: Final = 64  # joints whose findings are remembered


@result
class Band:
    """Low, nominal, high; nan where no model applies."""

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
    holds_rated: for the least, the usual and the most ductile wire; None without a rated load.
    """

    unwinds: float = math.nan
    low: float = math.nan
    high: float = math.nan
    models_low: float = math.nan
    models_high: float = math.nan
    holds_rated: Band | None = None
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
class BendHold:
    """One bend: the proportion of the load that passes, its strain, the proportions of the strength that it leaves.

    leaves: least to most ductile wire. breaks_at_n: load of the joint at which it breaks, nominal strength. strain is
    None where parts overlap: no estimate.
    """

    place: str
    load_proportion: float
    strain: float | None
    turn_deg: float | None
    leaves: Band
    breaks_at_n: float
    s_mm: float


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
    notes: tuple[str, ...]


@result
class HoldResult(Result):
    """The answer for one recipe.

    hold_n: low (weakest wire, least ductile, 2.5 % of pieces), nominal, high. load_p05_n: what 19 of 20 pieces hold at
    nominal strength. bends_leave_n: what the bends leave, as hold_n. models: all that could be asked; model: the
    governing one, the most cautious of those that apply. not_modelled: codes of what the models know nothing of in this
    joint, most of them those of findings of its shape. outcome: what the draws gave.
    """

    recipe: Recipe
    wire: WireStrength
    verdict: Verdict
    governs_place: str
    hold_n: Band
    load_p05_n: float
    bends_leave_n: Band
    probability: Probability
    model: ModelHold | None
    models: tuple[ModelHold, ...]
    bends: tuple[BendHold, ...]
    barrel: BarrelHold
    throat_tension_proportion: float
    assumptions: tuple[str, ...]
    not_modelled: tuple[str, ...]
    evidence: Evidence
    deciding_tests: tuple[DecidingTest, ...]
    grip: Grip = hidden()
    setting: Setting = hidden()
    outcome: Outcome = hidden()
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
        return tuple(hold_findings(self.recipe, self.grip, self.outcome, self.strength_n))


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


def hold_with(recipe: Recipe, setting: Setting) -> HoldResult:
    """`hold` with a setting that is already made."""
    joint, places = grip_of(recipe), places_of(recipe)
    breaks = breaks_of(places, setting)
    return _result(recipe, joint, places, breaks, outcome(joint, places, breaks, setting), setting)


def _result(
    recipe: Recipe, joint: Grip, places: tuple[BreakPlace, ...], breaks: Breaks, found: Outcome, setting: Setting
) -> HoldResult:
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
        verdict=found.verdict,
        governs_place=found.governs_place,
        hold_n=Band.of(weak * found.hold[0], strength * found.hold[1], strong * found.hold[2]),
        load_p05_n=strength * found.p05,
        bends_leave_n=Band.of(weak * breaks.nominal(0), strength * breaks.nominal(1), strong * breaks.nominal(2)),
        probability=_probability(found, setting, _rated(recipe, breaks, found, setting)),
        model=None if governing is None else _in_newton(governing, strength),
        models=tuple(_in_newton(model, strength) for model in found.models),
        bends=_bends_left(places, breaks, setting, strength),
        barrel=BarrelHold(bending_n=strength * bending, torsion_n=strength * torsion),
        throat_tension_proportion=float(throat_tension(lay_angle(0.5, joint.lay_d))) if joint.turns else 0.5,
        assumptions=_assumptions(found, setting),
        not_modelled=tuple(not_modelled(joint, places)),
        evidence=Evidence(origin=used.origin, rests_on=used.evidence, notes=used.notes),
        deciding_tests=deciding_tests(joint, breaks.nominal(), setting, strength),
        grip=joint,
        setting=setting,
        outcome=found,
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


def _probability(found: Outcome, setting: Setting, rated: Band | None) -> Probability:
    draws, seed = setting.draws.n, setting.draws.seed
    if found.governing is None:
        return Probability(draws=draws, seed=seed)
    low, high = counted_interval(found.unwinds, draws)
    by_model = [model.unwinds for model in found.models if not model.not_applicable_because]
    return Probability(
        unwinds=found.unwinds,
        low=float(low),
        high=float(high),
        models_low=min(by_model),
        models_high=max(by_model),
        holds_rated=rated,
        draws=draws,
        seed=seed,
    )


def _bends_left(
    places: tuple[BreakPlace, ...], breaks: Breaks, setting: Setting, strength_n: float
) -> tuple[BendHold, ...]:
    rows = []
    for k, place in enumerate(places):
        leaves, breaks_at = Band.of(math.nan), math.nan
        if place.strain is not None:
            leaves = Band.of(*(float(retained_share(place.strain, fracture_strain(a))) for a in setting.ductility))
            breaks_at = min(float(breaks.places[1][k]), 1.0) * strength_n
        rows.append(
            BendHold(
                place=place.name,
                load_proportion=place.share,
                strain=place.strain,
                turn_deg=place.turn_deg,
                leaves=leaves,
                breaks_at_n=breaks_at,
                s_mm=place.s_mm,
            )
        )
    return tuple(rows)


def _rated(recipe: Recipe, breaks: Breaks, found: Outcome, setting: Setting) -> Band | None:
    """Probability that a piece holds the rated load, by ductility; strength between its limits. None without one."""
    rated_n = recipe.wire.rated_load_n
    if rated_n is None or not found.pieces.size:
        return None
    u = setting.draws.strength
    strength = np.interp(u, [0.0, 0.5, 1.0], recipe.wire.breaking_load_n)
    slip = found.slips.reshape(-1, breaks.drawn[0].size)
    return Band.of(*(float(np.mean(np.minimum(slip, drawn) * strength >= rated_n)) for drawn in breaks.drawn))


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
            "The share of strength that a bend leaves is not backed by tests of this joint."
        ),
        "All of the load passes the bends at the twist's exit, about half of it each eye leg.",
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
