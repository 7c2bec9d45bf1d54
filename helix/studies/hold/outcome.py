"""What becomes of one joint under load, as proportions of the wire's strength: by model, by draws, in the end a verdict."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from helix.data.calibration import Calibration, FrictionNumber
from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.grip import hinge_bending, hinge_torsion
from helix.mechanics.retained import fracture_strain
from helix.studies.hold.bend_places import BreakPlace, break_shares
from helix.studies.hold.grip_models import Grip, GripModel, models_of, not_applicable_because, slip_share
from helix.studies.hold.scatter import (
    Draws,
    Mechanism,
    coil_curvature,
    fit_errors,
    frictions,
    hinges,
    scattered,
    strain_factors,
)
from helix.values import result

Verdict = Literal["locks", "marginal", "unwinds", "no model"]


@result
class Setting:
    """All that an estimate needs besides the joint.

    ductility: reduction of area (low, nominal, high); sliding_rad: angle over which the wire slides round the pin;
    mechanism: how the barrel gives way.
    """

    calibration: Calibration
    scatter: Scatter
    ductility: tuple[float, float, float]
    sliding_rad: float
    draws: Draws
    mechanism: Mechanism = "both"


@result
class Breaks:
    """Load over strength at which the bends break, at most 1: draws (n,) and, unscattered, by place (places,).

    Both for low, nominal and high ductility.
    """

    drawn: tuple[Array, Array, Array]
    places: tuple[Array, Array, Array]

    def nominal(self, ductility: int = 1) -> float:
        """The least of all places without scatter; 1, the wire itself, where no bend takes anything."""
        return float(min(self.places[ductility].min(initial=1.0), 1.0))


@result
class ModelOutcome:
    """One model's answer as proportions of the strength; nan where it does not apply, and not_applicable_because says why.

    slip: load at which it unwinds, without scatter; slip_low, slip_high: 95 % of the pieces lie between; infinite
    where it is locked. hold: the lesser of slip and break. unwinds: chance that it unwinds before it breaks.
    mechanisms: slip if the barrel gives way by bending, and by torsion (model R knows no difference).
    """

    model: GripModel
    friction: FrictionNumber | None
    not_applicable_because: str = ""
    slip: float = math.nan
    slip_low: float = math.nan
    slip_high: float = math.nan
    hold: float = math.nan
    unwinds: float = math.nan
    mechanisms: tuple[float, float] = (math.nan, math.nan)


@result
class Outcome:
    """The verdict over all models that apply, as proportions of the strength.

    governing: the one that is named, the most cautious (least hold without scatter, then the likeliest to unwind).
    hold: low (least ductile, 2.5 % of pieces), nominal (the governing's, without scatter), high. unwinds: mean over the
    models that apply. p05: what 19 of 20 pieces hold at nominal ductility, over all models that apply. pieces, slips:
    load at the end and load to unwind of every draw, model after model.
    """

    models: tuple[ModelOutcome, ...]
    governing: ModelOutcome | None
    verdict: Verdict
    unwinds: float
    hold: tuple[float, float, float]
    p05: float
    governs_place: str
    pieces: Array
    slips: Array


def breaks_of(places: tuple[BreakPlace, ...], setting: Setting) -> Breaks:
    """What the bends leave, for the three ductilities."""
    factors = strain_factors(setting.scatter, setting.draws, len(places))
    drawn, still = [], []
    for area in setting.ductility:
        fracture = float(fracture_strain(area))
        drawn.append(np.minimum(break_shares(places, fracture, factors).min(axis=0, initial=1.0), 1.0))
        still.append(break_shares(places, fracture))
    return Breaks(drawn=(drawn[0], drawn[1], drawn[2]), places=(still[0], still[1], still[2]))


def nominal_hinges(joint: Grip, scatter: Scatter) -> tuple[float, float]:
    """What the barrel holds over the strength by bending and by torsion, without scatter."""
    if not joint.hinged:
        return 0.0, 0.0
    flow = scatter.flow[1]
    return float(hinge_bending(flow, coil_curvature(joint.pitch_d))), float(hinge_torsion(flow))


def nominal_hinge(joint: Grip, setting: Setting) -> float:
    """The same by the setting's mechanism; the mean of both where it says both."""
    bending, torsion = nominal_hinges(joint, setting.scatter)
    return {"both": 0.5 * (bending + torsion), "bending": bending, "torsion": torsion}[setting.mechanism]


def outcome(joint: Grip, places: tuple[BreakPlace, ...], breaks: Breaks, setting: Setting) -> Outcome:
    """What becomes of a joint whose bends are known."""
    draws, scatter = setting.draws, setting.scatter
    hinge, errors = hinges(joint, scatter, draws, setting.mechanism), fit_errors(draws)
    turns, lay = scattered(joint, scatter, draws)
    middle = nominal_hinge(joint, setting)
    found, slips = [], []
    for model in models_of(joint):
        number = setting.calibration.numbers.get(model.key)
        why_not = not_applicable_because(model.key, joint)
        if not why_not and joint.turns > 0.0 and number is None:
            why_not = "the pull tests give it no friction number"
        if why_not:
            found.append(ModelOutcome(model=model, not_applicable_because=why_not, friction=number))
            continue
        friction = np.zeros(draws.n) if number is None else frictions(number, draws)
        slip = slip_share(model.key, friction, hinge, turns, lay, setting.sliding_rad, errors)
        still = 0.0 if number is None else number.value
        at, bending, torsion = (
            float(slip_share(model.key, still, each, joint.turns, joint.lay_d, setting.sliding_rad))
            for each in (middle, *nominal_hinges(joint, scatter))
        )
        low, high = np.quantile(slip, [limits.TAIL, 1.0 - limits.TAIL], method="nearest")
        chance = float(np.mean(slip < breaks.drawn[1]))
        found.append(
            ModelOutcome(
                model=model,
                friction=number,
                slip=at,
                slip_low=float(low),
                slip_high=float(high),
                hold=min(at, breaks.nominal()),
                unwinds=chance,
                mechanisms=(bending, torsion),
            )
        )
        slips.append(slip)
    return _judged(tuple(found), slips, places, breaks)


def _judged(
    models: tuple[ModelOutcome, ...], slips: list[Array], places: tuple[BreakPlace, ...], breaks: Breaks
) -> Outcome:
    applicable = [each for each in models if not each.not_applicable_because]
    if not applicable:
        nan = float("nan")
        high = breaks.nominal(2)
        return Outcome(
            models=models,
            governing=None,
            verdict="no model",
            unwinds=nan,
            hold=(nan, nan, high),
            p05=nan,
            governs_place="no model",
            pieces=np.array([]),
            slips=np.array([]),
        )
    governing = min(applicable, key=lambda each: (each.hold, -each.unwinds))
    chances = [each.unwinds for each in applicable]
    verdict: Verdict = "marginal"
    if max(chances) <= limits.LOCKS_AT:
        verdict = "locks"
    elif min(chances) > limits.UNWINDS_AT:
        verdict = "unwinds"
    slip = np.concatenate(slips)
    weak, usual, tough = (np.minimum(slip, np.tile(each, len(slips))) for each in breaks.drawn)
    band = (
        min(float(np.quantile(weak, limits.TAIL, method="nearest")), governing.hold),
        governing.hold,
        max(float(np.quantile(tough, 1.0 - limits.TAIL, method="nearest")), governing.hold),
    )
    return Outcome(
        models=models,
        governing=governing,
        verdict=verdict,
        unwinds=float(np.mean(chances)),
        hold=band,
        p05=float(np.quantile(usual, limits.HELD, method="nearest")),
        governs_place="unwinding" if governing.slip < breaks.nominal() else _weakest(places, breaks),
        pieces=usual,
        slips=slip,
    )


def _weakest(places: tuple[BreakPlace, ...], breaks: Breaks) -> str:
    """The bend that breaks first, or the wire where none takes anything."""
    still = breaks.places[1]
    if still.size == 0 or float(still.min()) >= 1.0:
        return "wire"
    return places[int(still.argmin())].name
