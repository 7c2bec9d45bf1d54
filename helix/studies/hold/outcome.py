"""What becomes of one joint under load, in shares of the wire's strength: by model, by draws, in the end a verdict."""

from __future__ import annotations

from typing import Literal

import numpy as np

from helix.data.calibration import Calibration, FrictionNumber
from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.grip import hinge_bending, hinge_torsion
from helix.mechanics.retained import fracture_strain
from helix.studies.hold.bend_places import BreakPlace, break_shares
from helix.studies.hold.grip_models import Grip, GripModel, models_of, silence, slip_share
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
    """One model's answer in shares of the strength. silent: why it says nothing, then the numbers are nan.

    slip: load at which it unwinds, without scatter; slip_low, slip_high: 95 % of the pieces lie between; infinite
    where it is locked. hold: the lesser of slip and break. unwinds: chance that it unwinds before it breaks.
    mechanisms: slip if the barrel gives way by bending, and by torsion (model R knows no difference).
    """

    model: GripModel
    silent: str
    friction: FrictionNumber | None
    slip: float
    slip_low: float
    slip_high: float
    hold: float
    unwinds: float
    mechanisms: tuple[float, float]


@result
class Outcome:
    """The verdict over all models that speak, in shares of the strength.

    speaker: the one that is named, the most cautious (least hold without scatter, then the likeliest to unwind).
    hold: low (least ductile, 2.5 % of pieces), nominal (the speaker's, without scatter), high. unwinds: mean over the
    models that speak. held: what 19 of 20 pieces hold at nominal ductility, over all models that speak. pieces, slips:
    load at the end and load to unwind of every draw, model after model.
    """

    models: tuple[ModelOutcome, ...]
    speaker: ModelOutcome | None
    verdict: Verdict
    unwinds: float
    hold: tuple[float, float, float]
    held: float
    governs: str
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
        silent = silence(model.key, joint)
        if not silent and joint.turns > 0.0 and number is None:
            silent = "the pull tests give it no friction number"
        if silent:
            none = float("nan")
            found.append(
                ModelOutcome(
                    model=model,
                    silent=silent,
                    friction=number,
                    slip=none,
                    slip_low=none,
                    slip_high=none,
                    hold=none,
                    unwinds=none,
                    mechanisms=(none, none),
                )
            )
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
                silent="",
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
    speaking = [each for each in models if not each.silent]
    if not speaking:
        nan = float("nan")
        high = breaks.nominal(2)
        return Outcome(
            models=models,
            speaker=None,
            verdict="no model",
            unwinds=nan,
            hold=(nan, nan, high),
            held=nan,
            governs="no model",
            pieces=np.array([]),
            slips=np.array([]),
        )
    speaker = min(speaking, key=lambda each: (each.hold, -each.unwinds))
    chances = [each.unwinds for each in speaking]
    verdict: Verdict = "marginal"
    if max(chances) <= limits.LOCKS_AT:
        verdict = "locks"
    elif min(chances) > limits.UNWINDS_AT:
        verdict = "unwinds"
    slip = np.concatenate(slips)
    weak, usual, tough = (np.minimum(slip, np.tile(each, len(slips))) for each in breaks.drawn)
    band = (
        min(float(np.quantile(weak, limits.TAIL, method="nearest")), speaker.hold),
        speaker.hold,
        max(float(np.quantile(tough, 1.0 - limits.TAIL, method="nearest")), speaker.hold),
    )
    return Outcome(
        models=models,
        speaker=speaker,
        verdict=verdict,
        unwinds=float(np.mean(chances)),
        hold=band,
        held=float(np.quantile(usual, limits.HELD, method="nearest")),
        governs="unwinding" if speaker.slip < breaks.nominal() else _weakest(places, breaks),
        pieces=usual,
        slips=slip,
    )


def _weakest(places: tuple[BreakPlace, ...], breaks: Breaks) -> str:
    """The bend that breaks first, or the wire where none takes anything."""
    still = breaks.places[1]
    if still.size == 0 or float(still.min()) >= 1.0:
        return "wire"
    return places[int(still.argmin())].name
