"""The default friction numbers: what the rule of thumb leaves of each model's one number.

Only how joints end is used, no load and no number of pieces. The count that holds is read as: at least 19 of 20 break
before they unwind; the one that does not as: at least half let go. Both fix one end of an interval, in each draw of what is
not known of a joint, and nothing in the rule prefers a number inside it. Method: docs/theory/evidence.md.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final

import numpy as np

from helix.data.calibration import RuleRead, given_number
from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.mechanics.barrel_hinge import hinge_bending, hinge_torsion
from helix.mechanics.bends.bend_strain import bend_strain
from helix.mechanics.bends.retained import fracture_strain, retained_share
from helix.mechanics.bends.straightening import straightened_share
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.hold.evidence.rule_friction import piece_frictions, rule_ends
from helix.studies.hold.grip_models import MODELS, Grip, friction_needed
from helix.studies.hold.places.bend_places import places_of
from helix.studies.hold.scatter import coil_curvature, drawn, scattered, strain_factors
from validation.practice_facts import Facts

DRAWS: Final = 20_000
SEED: Final = 1
LEVELS: Final = (0.001, 0.005, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.975, 0.995, 0.999)


@dataclass(frozen=True)
class PracticeFit:
    """One model's number: the rule as it is read, and quantiles of the number at LEVELS over all that is not known.

    window: frictions at which, without any scatter and for bends that lie on something, 5 turns just hold and 4 just
    unwind. met: part of the draws in which the rule can be met at both ends. most_scatter: the largest piece-to-piece scatter
    with which the middle draw still can.
    """

    key: str
    rule: RuleRead
    quantiles: tuple[float, ...]
    window: tuple[float, float]
    met: float
    most_scatter: float


def fit_practice(facts: Facts) -> tuple[PracticeFit, ...]:
    """The three friction numbers by the rule alone, each with its distribution."""
    return tuple(_fit(model.key, facts) for model in MODELS)


def practice_joint(facts: Facts, turns: float, wraps: float) -> Grip:
    """The joint that the rule speaks of, at the lay that is assumed for it."""
    return Grip(
        turns=turns, wraps=wraps, lay_d=facts.scatter.lay_d, evenness=1.0, pitch_d=touching_pitch(), same_hand=True
    )


@cache
def exit_strain() -> float:
    """Strain of a good joint's standing exit, where it breaks first."""
    text = '[wire]\nsize = "MWG 14"\nmaterial = "302 stainless"\n[eye]\npin = "8 d"\n[twist]\nturns = 5\n'
    places = places_of(recipe_from_text(text + "[barrel]\nwraps = 5\n"))
    return next(place.strain or 0.0 for place in places if place.name == "exit_standing")


def practice_break(scatter: Scatter) -> float:
    """Load over strength at which bends as sharp as the barrel break that lie on something and carry all of the load."""
    strain = bend_strain(float(coil_curvature(touching_pitch())))
    return float(retained_share(strain, fracture_strain(scatter.reduction_of_area[1])))


def nominal_hinge(scatter: Scatter) -> float:
    """What a touching barrel holds over the strength, between bending and torsion."""
    flow = scatter.flow[1]
    return float(0.5 * (hinge_bending(flow, coil_curvature(touching_pitch())) + hinge_torsion(flow)))


def needed(key: str, joint: Grip, scatter: Scatter, friction_scatter: float) -> Array:
    """Number from which each piece of one maker breaks before it unwinds, (n,): pieces differ in friction, turns, lay and
    bends, and all else is at its middle. A piece holds when its own friction, number times (1 + scatter), is enough."""
    draws = drawn(DRAWS, SEED)
    turns, lay = scattered(joint, scatter, draws)
    breaks = straightened_share(exit_strain() * strain_factors(scatter, draws, 1)[0])
    asks = friction_needed(key, breaks, nominal_hinge(scatter), turns, lay)
    return np.asarray(asks / np.maximum(1.0 + friction_scatter * draws.friction, 1e-9))


def read_rule(key: str, facts: Facts, friction_scatter: float) -> RuleRead:
    """The rule of thumb as a model reads it."""
    full = practice_joint(facts, facts.turns, facts.wraps)
    short = practice_joint(facts, facts.short_turns, facts.short_wraps)
    levels = (1.0 - limits.LOCKS_AT, 1.0 - limits.UNWINDS_AT)
    middle = float(straightened_share(exit_strain()))
    ratios = [
        float(np.quantile(needed(key, joint, facts.scatter, friction_scatter), level))
        / float(friction_needed(key, middle, nominal_hinge(facts.scatter), joint.turns, joint.lay_d))
        for joint, level in zip((full, short), levels, strict=True)
    ]
    return RuleRead(
        turns=full.turns,
        short_turns=short.turns,
        lay_d=facts.scatter.lay_d,
        exit_strain=exit_strain(),
        holds=ratios[0],
        lets_go=ratios[1],
    )


def middle_ends(key: str, rule: RuleRead, scatter: Scatter) -> tuple[float, float]:
    """Least and most number that the rule leaves with all that is not known at its middle."""
    middle, hinge = float(straightened_share(rule.exit_strain)), nominal_hinge(scatter)
    low, high = (
        float(friction_needed(key, middle, hinge, turns, rule.lay_d)) for turns in (rule.turns, rule.short_turns)
    )
    return low * rule.holds, high * rule.lets_go


def _fit(key: str, facts: Facts) -> PracticeFit:
    rule = read_rule(key, facts, facts.scatter.friction)
    low, high = rule_ends(key, rule, facts.scatter, DRAWS, SEED, "both")
    number = replace(given_number(key, 0.0, 0.0), rule=rule)
    return PracticeFit(
        key=key,
        rule=rule,
        quantiles=tuple(np.quantile(piece_frictions(number, facts.scatter, DRAWS, SEED), LEVELS).tolist()),
        window=_window(key, facts),
        met=float(np.mean(low < high)),
        most_scatter=_most_scatter(key, facts),
    )


def _window(key: str, facts: Facts) -> tuple[float, float]:
    """Frictions at which the full count just holds, and the short one just unwinds, with nothing scattered."""
    load, hinge, lay = practice_break(facts.scatter), nominal_hinge(facts.scatter), facts.scatter.lay_d
    low, high = (float(friction_needed(key, load, hinge, turns, lay)) for turns in (facts.turns, facts.short_turns))
    return low, high


def _most_scatter(key: str, facts: Facts) -> float:
    """Largest scatter from piece to piece, in steps of 1 %, that leaves an interval; 0 where there is none."""
    allowed = 0.0
    for step in range(1, 31):
        low, high = middle_ends(key, read_rule(key, facts, step / 100.0), facts.scatter)
        if low >= high:
            break
        allowed = step / 100.0
    return allowed
