"""The default friction numbers: what the facts of common practice leave of each model's one number.

Only how joints ended is used (5 and 5 broke, 4 and 4 unwound), not the loads they ended at: a load is compared with the
wire's own strength as the bends leave it, both scattered as a study scatters them. Method: docs/theory/holding.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics.bending import bend_strain
from helix.mechanics.grip import hinge_bending, hinge_torsion
from helix.mechanics.retained import fracture_strain, retained_share
from helix.studies.hold.grip_models import MODELS, Grip, friction_needed
from helix.studies.hold.scatter import Draws, coil_curvature, drawn, fit_errors, hinges, scattered, strain_factors
from validation.practice_facts import Facts

DRAWS: Final = 20_000
SEED: Final = 1
GRID: Final = np.linspace(0.02, 0.16, 561)  # friction numbers looked at, all alike likely before
LEVELS: Final = (0.001, 0.005, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.975, 0.995, 0.999)
UNLIKELY: Final = 0.05  # facts less likely than this speak against what is assumed


@dataclass(frozen=True)
class PracticeFit:
    """One model's number: quantiles at LEVELS, window, and how the facts stand to it.

    window: frictions at which, without any scatter, 5 turns just hold and 4 just unwind. likelihood: of the facts
    under the best number. most_scatter: the largest piece-to-piece scatter that the facts still allow.
    """

    key: str
    quantiles: tuple[float, ...]
    window: tuple[float, float]
    likelihood: float
    most_scatter: float


def fit_practice(facts: Facts) -> tuple[PracticeFit, ...]:
    """The three friction numbers by the facts alone, each with its distribution."""
    draws = drawn(DRAWS, SEED)
    return tuple(_fit(model.key, facts, draws) for model in MODELS)


def practice_joint(facts: Facts, turns: float, wraps: float) -> Grip:
    """The joint that the facts speak of, at the lay that is assumed for it."""
    return Grip(
        turns=turns, wraps=wraps, lay_d=facts.scatter.lay_d, evenness=1.0, pitch_d=touching_pitch(), same_hand=True
    )


def practice_break(scatter: Scatter) -> float:
    """Load over strength at which a good joint breaks: two bends as sharp as its barrel carry all of the load."""
    strain = bend_strain(float(coil_curvature(touching_pitch())))
    return float(retained_share(strain, fracture_strain(scatter.reduction_of_area[1])))


def _fit(key: str, facts: Facts, draws: Draws) -> PracticeFit:
    quantiles, likelihood = _posterior(key, facts, draws, facts.scatter.friction)
    return PracticeFit(
        key=key,
        quantiles=quantiles,
        window=_window(key, facts),
        likelihood=likelihood,
        most_scatter=_most_scatter(key, facts, draws),
    )


def _posterior(key: str, facts: Facts, draws: Draws, friction_scatter: float) -> tuple[tuple[float, ...], float]:
    """Quantiles of the number under a flat prior, and the likelihood of the facts under the best one."""
    full = practice_joint(facts, facts.turns, facts.wraps)
    short = practice_joint(facts, facts.short_turns, facts.short_wraps)
    held = _hold_chances(key, full, facts.scatter, draws, friction_scatter)
    slipped = 1.0 - _hold_chances(key, short, facts.scatter, draws, friction_scatter)
    with np.errstate(divide="ignore"):
        logs = facts.tests * np.log(held) + facts.short_tests * np.log(slipped)
    weight = np.exp(logs - logs.max())
    below = np.concatenate([[0.0], np.cumsum(0.5 * (weight[1:] + weight[:-1]))])
    return tuple(np.interp(LEVELS, below / below[-1], GRID).tolist()), float(np.exp(logs.max()))


def _hold_chances(key: str, joint: Grip, scatter: Scatter, draws: Draws, friction_scatter: float) -> Array:
    """Chance that a joint breaks before it unwinds, for each friction number of the grid.

    A piece holds when its own friction, number times (1 + scatter), is at least what its break load asks for.
    """
    hinge, (turns, lay) = hinges(joint, scatter, draws), scattered(joint, scatter, draws)
    strain = bend_strain(float(coil_curvature(joint.pitch_d))) * strain_factors(scatter, draws, 2)
    breaks = retained_share(strain, fracture_strain(scatter.reduction_of_area[1])).min(axis=0)
    needed = friction_needed(key, breaks, hinge, turns, lay, fit_errors(draws))
    pieces = 1.0 + friction_scatter * draws.friction
    least = np.sort(np.where(pieces > 0.0, needed / np.maximum(pieces, 1e-9), np.inf))
    return np.searchsorted(least, GRID, side="right") / draws.n


def _window(key: str, facts: Facts) -> tuple[float, float]:
    """Frictions at which the full count just holds, and the short one just unwinds, with nothing scattered."""
    load, flow, lay = practice_break(facts.scatter), facts.scatter.flow[1], facts.scatter.lay_d
    hinge = 0.5 * (hinge_bending(flow, coil_curvature(touching_pitch())) + hinge_torsion(flow))
    low, high = (float(friction_needed(key, load, hinge, t, lay)) for t in (facts.turns, facts.short_turns))
    return low, high


def _most_scatter(key: str, facts: Facts, draws: Draws) -> float:
    """Largest scatter from piece to piece, in steps of 1 %, under which the facts are not unlikely."""
    allowed = 0.0
    for step in range(1, 31):
        if _posterior(key, facts, draws, step / 100.0)[1] < UNLIKELY:
            break
        allowed = step / 100.0
    return allowed
