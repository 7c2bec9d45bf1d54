"""Friction numbers from the rule of thumb, within what nobody knows: the bends, the flow stress, how the barrel gives way.

The count that holds says that friction is at least so much, the one that does not that it is at most so much; how much
depends on the load at which a good joint breaks and on what its barrel holds. So the number is drawn for each draw of those,
evenly between the two ends that the rule leaves there. Derivation: docs/theory/evidence.md.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from helix.data.calibration import FrictionNumber, RuleRead
from helix.data.practice import Scatter
from helix.geometry.maths.jets import Array
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics.bends.straightening import HARDENING, straightened_share
from helix.studies.hold.grip_models import friction_needed
from helix.studies.hold.scatter import (
    MECHANICS_ERROR,
    Mechanism,
    coil_curvature,
    drawn,
    fit_errors,
    flow_stress,
    hinge_of,
)


def rule_ends(
    key: str, rule: RuleRead, scatter: Scatter, n: int, seed: int, mechanism: Mechanism
) -> tuple[Array, Array]:
    """Least and most friction number that the rule leaves a model in each draw, (n,) each."""
    draws = drawn(n, seed)
    low, _, high = HARDENING
    straightened = straightened_share(rule.exit_strain, low + (high - low) * draws.hardening)
    breaks = np.minimum(straightened * np.exp(MECHANICS_ERROR * draws.error), 1.0)
    hinge = hinge_of(flow_stress(scatter, draws), coil_curvature(touching_pitch()), draws, mechanism)
    errors = fit_errors(draws)
    full, short = (
        friction_needed(key, breaks, hinge, turns, rule.lay_d, errors) for turns in (rule.turns, rule.short_turns)
    )
    return np.asarray(full * rule.holds), np.asarray(short * rule.lets_go)


@lru_cache(maxsize=32)
def _middles(key: str, rule: RuleRead, scatter: Scatter, n: int, seed: int, mechanism: Mechanism) -> Array:
    """The number of each draw, (n,): evenly between the ends, halfway where the rule cannot be met at both."""
    low, high = rule_ends(key, rule, scatter, n, seed, mechanism)
    level = np.where(low < high, drawn(n, seed).level, 0.5)
    numbers = np.maximum(low + level * (high - low), 0.0)
    numbers.setflags(write=False)
    return numbers


def piece_frictions(
    number: FrictionNumber, scatter: Scatter, n: int, seed: int, mechanism: Mechanism = "both"
) -> Array:
    """Friction numbers of the pieces, (n,): the number within what is known of it, then from piece to piece."""
    draws = drawn(n, seed)
    if number.rule is None:
        middle = np.interp(draws.level, number.levels, number.quantiles)
    else:
        middle = _middles(number.model, number.rule, scatter, n, seed, mechanism)
    return np.asarray(np.maximum(middle * (1.0 + number.scatter * draws.friction), 0.0))
