"""One joint from the pieces of a group: estimates with limits, or a bound and the reason why there is no more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, Literal

import numpy as np

from helix.findings import Finding, notice
from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Confidence, student_confidence
from helix.statistics.fits.censored import Fit, fit
from helix.statistics.fits.likelihood import Sample, sample
from helix.statistics.proportions import quantile_lower_bound
from helix.statistics.samples import mean_interval, spread
from helix.values import hidden, result


@result
class Estimate:
    """A value with its limits at 95 %; None where there is none."""

    value: float | None = None
    low: float | None = None
    high: float | None = None

    @classmethod
    def of(cls, value: float | None, low: float | None = None, high: float | None = None) -> Estimate:
        """Three numbers in their order."""
        return cls(value=value, low=low, high=high)


NOTHING: Final = Estimate()


@result
class Joint:
    """What one joint of the group is like (M4 to M6), by one correlation of the two joints of a piece.

    recipe: whose joint it is, where the two ends differ. failures: joints that failed; at_least: pieces that only say
    "at least". says: why there is no more than a bound. efficiency_: its mean over the control and the rated load (M8).
    """

    recipe: str = ""
    correlation: int = 0
    failures: int = 0
    at_least: int = 0
    mean_n: Estimate = NOTHING
    sd_n: Estimate = NOTHING
    tolerance_95_95_n: float | None = None
    tolerance_90_95_n: float | None = None
    efficiency_over_control: Estimate = NOTHING
    efficiency_over_rated: Estimate = NOTHING
    says: Finding | None = None
    confidence: Confidence | None = hidden(default=None)
    scale_confidence: Confidence | None = hidden(default=None)


@result
class Weibull:
    """Shape and scale (N) of the Weibull distribution (M7) of one joint, or of straight wire."""

    of: Literal["one joint", "straight wire"]
    shape: Estimate = NOTHING
    scale_n: Estimate = NOTHING


def _sample(pieces: Sequence[PullPiece], ending: str, correlation: int) -> Sample:
    joints = [1 if correlation else max(1, p.joints) for p in pieces]
    return sample([p.load_n for p in pieces], [p.ending == ending for p in pieces], joints)


def joint_of(pieces: Sequence[PullPiece], ending: str, correlation: int) -> Joint:
    return _estimated(_sample(pieces, ending, correlation), correlation, ending)


def joint_of_recipe(pieces: Sequence[PullPiece], recipe: str) -> Joint:
    """The joint of one recipe, on pieces that carry it at one end or both."""
    mine = [p for p in pieces if recipe in p.recipes]
    unplaced = [p for p in mine if p.ending == "joint" and len(set(p.recipes)) > 1 and p.end not in ("a", "b")]
    if unplaced:
        rows = ", ".join(str(p.row) for p in unplaced[:5])
        return Joint(recipe=recipe, at_least=len(mine), says=notice("end-not-noted", rows=rows))
    failed = [
        p.ending == "joint" and (len(set(p.recipes)) == 1 or p.recipes["ab".index(p.end)] == recipe) for p in mine
    ]
    joints = [p.recipes.count(recipe) for p in mine]
    return replace(_estimated(sample([p.load_n for p in mine], failed, joints), 0, "joint"), recipe=recipe)


def wire_of(pieces: Sequence[PullPiece]) -> Joint:
    """Straight wire by the same likelihood; the plain mean where nothing was censored or too little broke."""
    data = sample([p.load_n for p in pieces], [p.ending in ("joint", "clear") for p in pieces])
    if data.failures == data.values.size:
        x = data.values
        mean, sd = float(x.mean()), spread(x)
        low, high = mean_interval(mean, sd, x.size)
        estimate = Estimate.of(mean, low, high) if above_zero(low) and known(high) else Estimate(value=mean)
        about = student_confidence(mean, sd / math.sqrt(x.size), x.size - 1) if x.size > 1 and sd > 0.0 else None
        return Joint(failures=x.size, mean_n=estimate, sd_n=Estimate(value=known(sd)), confidence=about)
    return _estimated(data, 0, "broke")


def _estimated(data: Sample, correlation: int, ending: str) -> Joint:
    """Estimates of M4 and M5, or the bound of M6 with the reason."""
    failures, n = data.failures, data.values.size
    reason = ""
    if failures < limits.FEWEST_FAILURES:
        reason = "few-failures"
    elif failures < limits.LEAST_SHARE_FAILED * n:
        reason = "small-share-failed"
    elif not np.ptp(data.values[data.failed]) > 0.0:
        reason = "loads-alike"
    if reason:
        bound = known(quantile_lower_bound(data.values, 0.5))
        says = notice(
            reason, ending=ending, failures=failures, n=n, needed=limits.FEWEST_FAILURES,
            share_needed=limits.LEAST_SHARE_FAILED, bound_n=bound,
        )  # fmt: skip
        return Joint(
            correlation=correlation, failures=failures, at_least=n - failures, mean_n=Estimate(low=bound), says=says
        )
    estimate: Fit = fit(data, shares=(0.05, 0.10))
    low, high = estimate.location_confidence.interval()
    sure, nine_in_ten = (above_zero(bound.quantile(0.05)) for bound in estimate.lower)
    return Joint(
        correlation=correlation, failures=failures, at_least=n - failures,
        mean_n=Estimate.of(estimate.location, above_zero(low), high),
        sd_n=Estimate.of(estimate.scale, *estimate.scale_confidence.interval()),
        tolerance_95_95_n=sure, tolerance_90_95_n=nine_in_ten,
        confidence=estimate.location_confidence, scale_confidence=estimate.scale_confidence,
    )  # fmt: skip


def weibull_of(pieces: Sequence[PullPiece], ends: tuple[str, ...]) -> Weibull:
    of: Literal["one joint", "straight wire"] = "straight wire" if pieces[0].control else "one joint"
    if ends:
        return Weibull(of=of)
    if pieces[0].control:
        data = sample([p.load_n for p in pieces], [p.ending in ("joint", "clear") for p in pieces])
    else:
        data = _sample(pieces, "joint", 0)
    enough = data.failures >= max(limits.FEWEST_FAILURES, limits.LEAST_SHARE_FAILED * data.values.size)
    if not enough or not np.ptp(data.values[data.failed]) > 0.0:
        return Weibull(of=of)
    estimate = fit(Sample(np.log(data.values), data.failed, data.joints), "smallest")
    low, high = estimate.scale_confidence.interval()
    shape = Estimate(value=1.0 / estimate.scale, low=1.0 / high, high=1.0 / low)
    scale = Estimate.of(*(math.exp(v) for v in (estimate.location, *estimate.location_confidence.interval())))
    return Weibull(of=of, shape=shape, scale_n=scale)


def known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def above_zero(value: float) -> float | None:
    """A limit of a load that says something: finite, and above zero."""
    return value if math.isfinite(value) and value > 0.0 else None


def ends_differ(pieces: Sequence[PullPiece]) -> tuple[str, ...]:
    """The recipes of a group whose pieces have unlike joints at their two ends, or none."""
    if all(p.recipes[0] == p.recipes[1] for p in pieces):
        return ()
    return tuple(dict.fromkeys(recipe for p in pieces for recipe in p.recipes if recipe))
