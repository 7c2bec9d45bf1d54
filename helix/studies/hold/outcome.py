"""What becomes of one joint under load, as proportions of the wire's strength: by model, by draws, in the end a verdict."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field
from typing import Final, Literal

import numpy as np

from helix.data.calibration import Calibration, FrictionNumber
from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.barrel_hinge import hinge_bending, hinge_torsion
from helix.mechanics.bends.retained import fracture_strain
from helix.mechanics.bends.straightening import HARDENING
from helix.studies.hold.evidence.rule_friction import piece_frictions
from helix.studies.hold.grip_models import Grip, GripModel, models_of, not_applicable_because, slip_share
from helix.studies.hold.places.bend_places import BreakPlace, BreakSetting, break_loads
from helix.studies.hold.scatter import (
    MECHANICS_ERROR,
    Draws,
    Mechanism,
    coil_curvature,
    fit_errors,
    flow_stress,
    hinges,
    scattered,
    strain_factors,
)
from helix.values import result

Verdict = Literal["locks", "marginal", "unwinds", "no model"]
WORSE: Final[dict[Verdict, int]] = {"locks": 0, "no model": 1, "marginal": 2, "unwinds": 3}
"""The verdicts, the worse the higher."""
STRAIGHT_SCATTER: Final = 0.015  # one sigma of the log strength of straight wire within a coil (assumed)


@result
class Setting:
    """All that an estimate needs besides the joint.

    ductility: reduction of area (low, nominal, high); sliding_rad: angle over which the wire slides round the pin;
    mechanism: how the barrel gives way. Of two wires worked as one: slack_mm, how much longer one is, and free_length_mm, of the
    straight wire in which; None for the most that is allowed, and for the recipe's standing leg.
    """

    calibration: Calibration
    scatter: Scatter
    ductility: tuple[float, float, float]
    sliding_rad: float
    draws: Draws
    mechanism: Mechanism = "both"
    slack_mm: float | None = None
    free_length_mm: float | None = None


@result
class Breaks:
    """Load over the coil's strength at which the places break: drawn (places, n); still (places,), without scatter."""

    drawn: Array
    still: Array

    @property
    def least(self) -> Array:
        """The load at which each draw breaks somewhere, (n,)."""
        return np.asarray(self.drawn.min(axis=0))

    @property
    def nominal(self) -> float:
        """The least of all places without scatter."""
        return float(self.still.min(initial=1.0))


@result
class ModelOutcome:
    """One model's answer as proportions of the strength; nan where it does not apply, and not_applicable_because says why.

    slip: load at which it unwinds, without scatter; slip_low, slip_high: 95 % of the pieces lie between; infinite
    where it is locked. hold: the lesser of slip and break. unwinds: chance that it unwinds before it would break, made right.
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
    hold: the governing one's, without scatter. unwinds: mean over the models that apply. governs_place: place or
    "unwinding". slips: load to unwind of every draw, (models that apply, n). unwinds_itself: whether the verdict is "unwinds"
    without pieces of other joints.
    """

    models: tuple[ModelOutcome, ...]
    governing: ModelOutcome | None
    verdict: Verdict
    governs_place: str
    unwinds: float = math.nan
    hold: float = math.nan
    slips: Array = field(default_factory=lambda: np.empty((0, 0)))
    unwinds_itself: bool = False


def breaks_of(places: tuple[BreakPlace, ...], setting: Setting) -> Breaks:
    """At which loads the places break; the wire itself where there are none."""
    draws, scatter = setting.draws, setting.scatter
    low, usual, high = HARDENING
    drawn = BreakSetting(
        factors=strain_factors(scatter, draws, len(places)),
        hardening=low + (high - low) * draws.hardening,
        error=MECHANICS_ERROR * draws.error,
        straight=STRAIGHT_SCATTER * draws.straight,
        criterion=draws.criterion,
        flow=flow_stress(scatter, draws),
        fracture=float(fracture_strain(setting.ductility[1])),
    )
    still = BreakSetting(
        factors=np.ones((len(places), 1)),
        hardening=np.array([usual]),
        error=np.zeros(1),
        straight=np.zeros((2, 1)),
        criterion=np.array([0.5]),
        flow=np.array([scatter.flow[1]]),
        fracture=drawn.fracture,
    )
    return Breaks(drawn=break_loads(places, drawn), still=break_loads(places, still)[:, 0])


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


def outcome(
    joint: Grip, places: tuple[BreakPlace, ...], breaks: Breaks, setting: Setting, against: Array | None = None
) -> Outcome:
    """What becomes of a joint whose bends are known.

    against: loads over the strength, (n,), below which unwinding counts: those at which the same joint breaks made
    right; by default its own.
    """
    draws, scatter = setting.draws, setting.scatter
    hinge, errors = hinges(joint, scatter, draws, setting.mechanism), fit_errors(draws)
    turns, lay = scattered(joint, scatter, draws)
    middle = nominal_hinge(joint, setting)
    enough = breaks.least if against is None else against
    outcomes, slips = [], []
    for model in models_of(joint):
        number = setting.calibration.numbers.get(model.key)
        why_not = not_applicable_because(model.key, joint)
        if not why_not and joint.turns > 0.0 and number is None:
            why_not = "the pull tests give it no friction number"
        if why_not:
            outcomes.append(ModelOutcome(model=model, not_applicable_because=why_not, friction=number))
            continue
        friction = (
            np.zeros(draws.n)
            if number is None
            else piece_frictions(number, scatter, draws.n, draws.seed, setting.mechanism)
        )
        slip = _no_looser(joint, model.key, friction, hinge, turns, lay, setting.sliding_rad, errors)
        still = 0.0 if number is None else number.value
        at, bending, torsion = (
            float(_no_looser(joint, model.key, still, hinge, joint.turns, joint.lay_d, setting.sliding_rad))
            for hinge in (middle, *nominal_hinges(joint, scatter))
        )
        low, high = np.quantile(slip, [limits.TAIL, 1.0 - limits.TAIL], method="nearest")
        chance = float(np.mean(slip < enough))
        outcomes.append(
            ModelOutcome(
                model=model,
                friction=number,
                slip=at,
                slip_low=float(low),
                slip_high=float(high),
                hold=min(at, breaks.nominal),
                unwinds=chance,
                mechanisms=(bending, torsion),
            )
        )
        slips.append(slip)
    return _judged(tuple(outcomes), slips, places, breaks)


def _no_looser(
    joint: Grip,
    key: str,
    friction: Array | float,
    hinge: Array | float,
    turns: Array | float,
    lay_d: Array | float,
    sliding_rad: float,
    fit_error: Array | float = 0.0,
) -> Array:
    """`slip_share`, at most that of the usual lay where the twist is looser: with little friction and few turns a model says
    that a looser one holds more, its legs pulling less on the tag; nobody knows that."""
    slip = slip_share(key, friction, hinge, turns, lay_d, sliding_rad, fit_error, joint.evenness)
    beyond = joint.lay_d - limits.USUAL_LAY
    if beyond <= 0.0:
        return slip
    usual = np.asarray(lay_d) - beyond
    return np.minimum(slip, slip_share(key, friction, hinge, turns, usual, sliding_rad, fit_error, joint.evenness))


def _judged(
    models: tuple[ModelOutcome, ...], slips: list[Array], places: tuple[BreakPlace, ...], breaks: Breaks
) -> Outcome:
    applicable = [model for model in models if not model.not_applicable_because]
    if not applicable:
        return Outcome(models=models, governing=None, verdict="no model", governs_place="no model")
    governing = min(applicable, key=lambda model: (model.hold, -model.unwinds))
    by_model = [model.unwinds for model in applicable]
    return Outcome(
        models=models,
        governing=governing,
        verdict=verdict_of(by_model),
        unwinds=float(np.mean(by_model)),
        hold=governing.hold,
        governs_place="unwinding" if governing.slip < breaks.nominal else places[int(breaks.still.argmin())].name,
        slips=np.stack(slips),
    )


def verdict_of(probabilities: Sequence[float]) -> Verdict:
    """The verdict on the probabilities of unwinding by model."""
    if max(probabilities) <= limits.LOCKS_AT:
        return "locks"
    return "unwinds" if min(probabilities) > limits.UNWINDS_AT else "marginal"
