"""Simulated benches of known truth for pull tests of one's own: how often the load to plan with covers the next joint."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from helix.model.joint.wire import Wire
from helix.model.recipe.recipe import read_recipe
from helix.studies.hold.evidence.forecast import OwnPulls, forecast
from helix.studies.hold.holding import hold
from helix.studies.hold.outcome import STRAIGHT_SCATTER, Breaks, Outcome, breaks_of
from helix.studies.hold.places.bend_places import places_of
from helix.studies.hold.scatter import Draws

RECIPE = Path(__file__).resolve().parents[4] / "docs" / "examples" / "logger-tether.toml"


@dataclass(frozen=True)
class BenchTruth:
    """coil: strength of the coil over its table's nominal one. share: joint over the coil's wire; scatter: of its log.
    slip, slip_scatter: the same for unwinding (none: never). joints a piece; straight: pieces of straight wire pulled."""

    coil: float = 0.95
    share: float = 0.85
    scatter: float = 0.03
    slip: float | None = None
    slip_scatter: float = 0.06
    joints: int = 2
    straight: int = 3

    def pulled(self, pieces: int, strength_n: float, rng: np.random.Generator) -> OwnPulls:
        """One bench."""
        shape = (pieces, self.joints)
        coil = self.coil * strength_n
        breaks = coil * self.share * np.exp(self.scatter * rng.standard_normal(shape))
        slips = np.full(shape, np.inf)
        if self.slip is not None:
            slips = coil * self.slip * np.exp(self.slip_scatter * rng.standard_normal(shape))
        broke = breaks.min(axis=1) <= slips.min(axis=1)
        straight = coil * np.exp(STRAIGHT_SCATTER * rng.standard_normal(self.straight))
        return OwnPulls(
            straight_n=tuple(straight.tolist()),
            loads_n=tuple(np.minimum(breaks, slips).min(axis=1).tolist()),
            broke=tuple(broke.tolist()),
            unwound=tuple((~broke).tolist()),
            joints=(self.joints,) * pieces,
        )

    def holds(self, load_n: float, strength_n: float) -> float:
        """Probability that one more joint holds this load."""
        from scipy.special import ndtr

        at = np.log(load_n / (self.coil * strength_n))
        above = float(ndtr((np.log(self.share) - at) / self.scatter))
        return above if self.slip is None else above * float(ndtr((np.log(self.slip) - at) / self.slip_scatter))

    @property
    def mean(self) -> float:
        """Mean load of one joint over the table's nominal strength, by many joints."""
        rng = np.random.default_rng(1)
        loads = self.share * np.exp(self.scatter * rng.standard_normal(200_000))
        if self.slip is not None:
            loads = np.minimum(loads, self.slip * np.exp(self.slip_scatter * rng.standard_normal(200_000)))
        return self.coil * float(loads.mean())


@dataclass(frozen=True)
class BenchCounts:
    """covered: part of the next joints above the load to plan with. expected, plan: their means over the truth's own."""

    benches: int
    covered: float
    expected: float
    plan: float


@lru_cache(maxsize=1)
def _joint() -> tuple[Wire, Breaks, Outcome, Draws]:
    found = hold(read_recipe(RECIPE))
    return found.recipe.wire, breaks_of(places_of(found.recipe), found.setting), found.outcome, found.setting.draws


def bench_counts(truth: BenchTruth, pieces: int, benches: int, seed: int) -> BenchCounts:
    """How often the load to plan with covers the next joint, over benches of so many pieces."""
    wire, breaks, outcome, draws = _joint()
    strength = wire.breaking_load_n[1]
    rng = np.random.default_rng(seed)
    mean = truth.mean * strength
    covered = expected = plan = 0.0
    for _ in range(benches):
        found = forecast(wire, breaks, outcome, draws, truth.pulled(pieces, strength, rng))
        covered += truth.holds(found.plan_with_n, strength)
        expected += found.expected_n / mean
        plan += found.plan_with_n / mean
    return BenchCounts(benches, covered / benches, expected / benches, plan / benches)


PIECES = (3, 5, 10, 30)
CASES = {
    "usual coil": BenchTruth(),
    "usual coil, no straight pulls": BenchTruth(straight=0),
    "strong coil": BenchTruth(coil=1.05),
    "weak coil": BenchTruth(coil=0.60),
    "weak coil, no straight pulls": BenchTruth(coil=0.60, straight=0),
    "careless maker": BenchTruth(share=0.72, scatter=0.08),
    "very even maker": BenchTruth(share=0.88, scatter=0.015),
    "careless maker, some unwind": BenchTruth(share=0.80, scatter=0.05, slip=0.80, slip_scatter=0.10),
    "nearly all unwind": BenchTruth(share=0.86, scatter=0.03, slip=0.65, slip_scatter=0.06),
    "one joint a piece": BenchTruth(joints=1),
}
