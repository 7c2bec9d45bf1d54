"""Will it hold: the load at which a joint breaks or unwinds, the chance of either, and what that rests on."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

import helix
from helix.data.calibration import Calibration, default_calibration, given_number
from helix.data.materials import find_material
from helix.data.practice import practice
from helix.mechanics import limits
from helix.mechanics.grip import tag_tension_exponential, tag_tension_linear, throat_tension
from helix.mechanics.retained import fracture_strain, retained_share
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.studies.hold.bend_places import BreakPlace, places_of
from helix.studies.hold.deciding_test import DecidingTest, deciding_tests
from helix.studies.hold.grip_models import Grip, grip_of
from helix.studies.hold.outcome import Breaks, Outcome, Setting, Verdict, breaks_of, nominal_hinges, outcome
from helix.studies.hold.scatter import drawn
from helix.values import result

SCHEMA: Final = 1
DRAWS: Final = 10_000
SEED: Final = 0


@result
class Band:
    """Low, nominal, high; nan where no model speaks."""

    low: float
    nominal: float
    high: float

    @classmethod
    def of(cls, low: float, nominal: float = math.nan, high: float = math.nan) -> Band:
        """Three numbers in their order."""
        return cls(low=low, nominal=nominal, high=high)


@result
class Chance:
    """A chance counted in draws. low, high: 95 % limits of the counting alone. models_low, models_high: the least and
    the most that a model gives."""

    value: float
    low: float
    high: float
    models_low: float
    models_high: float


@result
class BendLeft:
    """One bend: strain, share of the load that passes, what it leaves of the strength for low, nominal and high
    ductility, and the load at which it breaks [N], nominal strength. strain None: overlapping, no estimate."""

    place: BreakPlace
    left: Band
    break_n: float


@result
class HoldResult:
    """The answer for one recipe. Loads in N, shares of the nominal strength where no unit is said.

    hold_n: low (weakest wire, least ductile, 2.5 % of pieces), nominal, high. bends_n: what the bends leave, the same.
    held_n: what 19 of 20 pieces hold at nominal strength. rated: chance to hold the rated load for low, nominal and
    high ductility, None without one. hinge_n: the barrel by bending and by torsion. outcome: the models' own answers,
    in shares.
    """

    recipe: Recipe
    grip: Grip
    setting: Setting
    breaking_n: Band
    bends_n: Band
    hold_n: Band
    held_n: float
    verdict: Verdict
    unwinds: Chance
    governs: str
    outcome: Outcome
    bends: tuple[BendLeft, ...]
    hinge_n: tuple[float, float]
    throat_share: float
    rated_n: float | None
    rated_source: str
    rated: Band | None
    assumptions: tuple[str, ...]
    practice_says: tuple[str, ...]
    deciding: tuple[DecidingTest, ...]
    schema: int
    version: str

    @property
    def strength_n(self) -> float:
        """Nominal breaking load of the straight wire."""
        return self.breaking_n.nominal


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
    d, slack = recipe.wire.diameter_mm, recipe.tolerance
    base = practice().scatter
    scatter = type(base)(
        flow=base.flow,
        reduction_of_area=base.reduction_of_area,
        friction=base.friction,
        strain=base.strain,
        lay_d=base.lay_d,
        lay_tolerance_d=slack.lay_mm / d,
        turns_tolerance=slack.turns,
        pitch_tolerance_d=slack.wrap_gap_mm / d,
    )
    if ductility is not None and not 0.0 < ductility < 1.0:
        raise ValueError(f"ductility must be above 0 and below 1; got {ductility!r}")
    if not 0.0 <= sliding_rad <= 2.0 * math.pi:
        raise ValueError(f"sliding_rad must be from 0 to 2 pi; got {sliding_rad!r}")
    areas = base.reduction_of_area if ductility is None else (ductility,) * 3
    used = calibration or default_calibration()
    if friction:
        given = {key: given_number(key, value, base.friction) for key, value in friction.items()}
        used = Calibration({**used.numbers, **given}, used.origin, used.evidence, used.notes)
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
    rated_n, rated_source = rated_load(recipe)
    return HoldResult(
        recipe=recipe,
        grip=joint,
        setting=setting,
        breaking_n=Band(low=weak, nominal=strength, high=strong),
        bends_n=Band(
            low=weak * breaks.nominal(0), nominal=strength * breaks.nominal(1), high=strong * breaks.nominal(2)
        ),
        hold_n=Band(low=weak * found.hold[0], nominal=strength * found.hold[1], high=strong * found.hold[2]),
        held_n=strength * found.held,
        verdict=found.verdict,
        unwinds=_chance(found, setting),
        governs=found.governs,
        outcome=found,
        bends=_bends_left(places, breaks, setting, strength),
        hinge_n=(
            strength * nominal_hinges(joint, setting.scatter)[0],
            strength * nominal_hinges(joint, setting.scatter)[1],
        ),
        throat_share=float(throat_tension(math.atan(math.pi / joint.lay_d))) if joint.turns else 0.5,
        rated_n=rated_n,
        rated_source=rated_source,
        rated=None if rated_n is None or not found.pieces.size else _rated(recipe, breaks, found, setting, rated_n),
        assumptions=_assumptions(found, setting),
        practice_says=_practice_says(recipe, joint, places),
        deciding=deciding_tests(joint, breaks.nominal(), setting),
        schema=SCHEMA,
        version=helix.__version__,
    )


@lru_cache(maxsize=8)
def _practice_rated(size: str | None, material: str) -> float | None:
    facts = practice()
    if size is None or material != find_material(facts.material).name:
        return None
    return next((each.rated_load_n for each in facts.sizes if each.size == size), None)


def rated_load(recipe: Recipe) -> tuple[float | None, str]:
    """The rated load [N] and whose it is: the recipe's own, or that of common practice for the size, or none."""
    wire = recipe.wire
    if wire.rated_load_n is not None:
        return wire.rated_load_n, "the recipe's"
    found = _practice_rated(wire.size, wire.material)
    return found, practice().mark if found is not None else ""


def _chance(found: Outcome, setting: Setting) -> Chance:
    if found.speaker is None:
        nan = float("nan")
        return Chance(value=nan, low=nan, high=nan, models_low=nan, models_high=nan)
    low, high = counted_interval(found.unwinds, setting.draws.n)
    each = [model.unwinds for model in found.models if not model.silent]
    return Chance(value=found.unwinds, low=float(low), high=float(high), models_low=min(each), models_high=max(each))


def _bends_left(
    places: tuple[BreakPlace, ...], breaks: Breaks, setting: Setting, strength_n: float
) -> tuple[BendLeft, ...]:
    rows = []
    for k, place in enumerate(places):
        if place.strain is None:
            rows.append(BendLeft(place=place, left=Band.of(*(float("nan"),) * 3), break_n=float("nan")))
            continue
        low, nominal, high = (float(retained_share(place.strain, fracture_strain(a))) for a in setting.ductility)
        rows.append(
            BendLeft(
                place=place,
                left=Band(low=low, nominal=nominal, high=high),
                break_n=min(float(breaks.places[1][k]), 1.0) * strength_n,
            )
        )
    return tuple(rows)


def _rated(recipe: Recipe, breaks: Breaks, found: Outcome, setting: Setting, rated_n: float) -> Band:
    """Chance that a piece holds the rated load, for low, nominal and high ductility; strength between its limits."""
    weak, usual, strong = recipe.wire.breaking_load_n
    u = setting.draws.strength
    strength = np.interp(u, [0.0, 0.5, 1.0], [weak, usual, strong])
    speaking = [each for each in found.models if not each.silent]
    slip = found.slips.reshape(len(speaking), -1)
    chances = [float(np.mean(np.minimum(slip, each) * strength >= rated_n)) for each in breaks.drawn]
    return Band.of(*chances)


def _assumptions(found: Outcome, setting: Setting) -> tuple[str, ...]:
    scatter = setting.scatter
    low, nominal, high = setting.ductility
    area = f"{nominal:.3g}" if low == high else f"{low:.2f} to {high:.2f}, nominal {nominal:.3g}"
    slide = math.degrees(setting.sliding_rad)
    at_eye = "the pin turns with the wire" if slide == 0.0 else f"the wire slides over {slide:.0f} deg round the pin"
    said = [] if found.speaker is None else [f"Model {found.speaker.model.key}: {found.speaker.model.assumes}."]
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


def _practice_says(recipe: Recipe, joint: Grip, places: tuple[BreakPlace, ...]) -> tuple[str, ...]:
    """What the models know nothing of, with what practice says there."""
    facts = practice()
    says = facts.says
    told = []
    if joint.evenness < limits.EVEN:
        told.append(f"Uneven twist: no model, practice says {says['evenness']}.")
    if joint.wraps >= limits.HINGE_WRAPS:
        told.append(f"Number of wraps beyond {limits.HINGE_WRAPS:g}: no model, practice says {says['wraps']}.")
    elif joint.wraps > 0.0:
        told.append(f"Barrel of {joint.wraps:g} wrap: no model, practice says {says['wraps']}.")
    else:
        told.append(f"No barrel: practice says {says['wraps']}.")
    if not joint.same_hand and joint.wraps:
        told.append(f"Barrel of the opposite hand: no model, practice says {says['hand']}.")
    if joint.turns == 0.0:
        told.append(f"No twist: practice says {says['wraps_alone']}.")
    wide = [each for each in places if (each.visible_angle_deg or 0.0) > math.degrees(limits.ANGLE_LIMIT_RAD) + 1e-7]
    for name, word in (("exit_tag", "Exit angle"), ("entry_tag", "First bend")):
        angle = next((each.visible_angle_deg for each in wide if each.name == name), None)
        if angle is not None:
            told.append(
                f"{word} of {angle:.0f} deg: the models see its strain, not its angle; practice says "
                f"{says['visible_angle']}."
            )
    if any(each.strain is None for each in places):
        told.append("Exit that overlaps: no shape and no estimate; practice says it breaks there early.")
    return tuple(told)


def tag_left(result: HoldResult) -> dict[str, float]:
    """Tension that the twist leaves in the tag, over the load, by the models that say so and speak."""
    left = {}
    lay = math.atan(math.pi / result.grip.lay_d)
    for model in result.outcome.models:
        falls = {"L": tag_tension_linear, "E": tag_tension_exponential}.get(model.model.key)
        if falls is not None and not model.silent and model.friction is not None:
            tension = falls(result.grip.turns, model.friction.value, lay, result.setting.sliding_rad)
            left[model.model.key] = float(tension)
    return left
