"""One joint from the pieces of a group: estimates with limits, or a bound and the reason why there is no more."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.censored import Fit, fit
from helix.statistics.confidence import Confidence, student_confidence
from helix.statistics.likelihood import Sample, sample
from helix.statistics.proportions import quantile_lower_bound
from helix.statistics.samples import mean_interval, spread
from helix.values import result


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

    failures: joints that failed; at_least: pieces that only say "at least". says: why there is no more
    than a bound, or "".
    """

    correlation: int
    failures: int
    at_least: int
    mean_n: Estimate
    sd_n: Estimate
    tolerance_95_95_n: float | None
    tolerance_90_95_n: float | None
    says: str
    confidence: Confidence | None
    scale_confidence: Confidence | None


@result
class Weibull:
    """Shape and scale (N) of one joint's Weibull distribution (M7); of straight wire for controls."""

    shape: Estimate
    scale_n: Estimate


def _sample(pieces: Sequence[PullPiece], ending: str, correlation: int) -> Sample:
    joints = [1 if correlation else max(1, p.joints) for p in pieces]
    return sample([p.load_n for p in pieces], [p.ending == ending for p in pieces], joints)


def joint_of(pieces: Sequence[PullPiece], ending: str, correlation: int) -> Joint:
    return _estimated(_sample(pieces, ending, correlation), correlation, "unwound" if ending == "unwound" else "failed")


def joint_of_recipe(pieces: Sequence[PullPiece], recipe: str) -> Joint:
    """The joint of one recipe, on pieces that carry it at one end or both."""
    mine = [p for p in pieces if recipe in p.recipes]
    unplaced = [p for p in mine if p.ending == "joint" and len(set(p.recipes)) > 1 and p.end not in ("a", "b")]
    if unplaced:
        rows = ", ".join(str(p.row) for p in unplaced[:5])
        says = f"column end must be a or b where the joints of a piece differ; it is not in rows {rows}"
        return Joint(
            correlation=0,
            failures=0,
            at_least=len(mine),
            mean_n=NOTHING,
            sd_n=NOTHING,
            tolerance_95_95_n=None,
            tolerance_90_95_n=None,
            says=says,
            confidence=None,
            scale_confidence=None,
        )
    failed = [
        p.ending == "joint" and (len(set(p.recipes)) == 1 or p.recipes["ab".index(p.end)] == recipe) for p in mine
    ]
    joints = [p.recipes.count(recipe) for p in mine]
    return _estimated(sample([p.load_n for p in mine], failed, joints), 0, "failed")


def wire_of(pieces: Sequence[PullPiece]) -> Joint:
    """Straight wire by the same likelihood; the plain mean where nothing was censored or too little broke."""
    data = sample([p.load_n for p in pieces], [p.ending in ("joint", "clear") for p in pieces])
    if data.failures == data.values.size:
        x = data.values
        mean, sd = float(x.mean()), spread(x)
        estimate = Estimate.of(mean, *(known(v) for v in mean_interval(mean, sd, x.size)))
        about = student_confidence(mean, sd / math.sqrt(x.size), x.size - 1) if x.size > 1 and sd > 0.0 else None
        return Joint(
            correlation=0,
            failures=x.size,
            at_least=0,
            mean_n=estimate,
            sd_n=Estimate(value=known(sd)),
            tolerance_95_95_n=None,
            tolerance_90_95_n=None,
            says="",
            confidence=about,
            scale_confidence=None,
        )
    return _estimated(data, 0, "broke")


def _estimated(data: Sample, correlation: int, verb: str) -> Joint:
    """Estimates of M4 and M5, or the bound of M6 with the reason."""
    failures, n = data.failures, data.values.size
    how = "broke" if verb == "broke" else f"{verb} at a joint"
    reason = ""
    if failures < limits.FEWEST_FAILURES:
        reason = f"only {failures} of {n} pieces {how}; {limits.FEWEST_FAILURES} are needed for an estimate"
    elif failures < limits.LEAST_SHARE_FAILED * n:
        reason = (
            f"only {failures} of {n} pieces {how}, under {100.0 * limits.LEAST_SHARE_FAILED:.0f} %: "
            "the mean lies beyond all that was seen"
        )
    elif not np.ptp(data.values[data.failed]) > 0.0:
        reason = f"all {failures} loads are alike, so there is no spread to go by"
    if reason:
        bound = known(quantile_lower_bound(data.values, 0.5))
        if bound is None:
            reason += f"; {n} pieces are too few even for a bound at 95 % (5 are needed)"
        else:
            reason += "; a bound only: half of all are stronger than this, at 95 % confidence"
        return Joint(
            correlation=correlation,
            failures=failures,
            at_least=n - failures,
            mean_n=Estimate(low=bound),
            sd_n=NOTHING,
            tolerance_95_95_n=None,
            tolerance_90_95_n=None,
            says=reason,
            confidence=None,
            scale_confidence=None,
        )
    found: Fit = fit(data, shares=(0.05, 0.10))
    return Joint(
        correlation=correlation, failures=failures, at_least=n - failures,
        mean_n=Estimate.of(found.location, *found.location_confidence.interval()),
        sd_n=Estimate.of(found.scale, *found.scale_confidence.interval()),
        tolerance_95_95_n=found.lower[0].quantile(0.05), tolerance_90_95_n=found.lower[1].quantile(0.05), says="",
        confidence=found.location_confidence, scale_confidence=found.scale_confidence,
    )  # fmt: skip


def weibull_of(pieces: Sequence[PullPiece], ends: tuple[str, ...]) -> Weibull:
    if ends:
        return Weibull(shape=NOTHING, scale_n=NOTHING)
    if pieces[0].control:
        data = sample([p.load_n for p in pieces], [p.ending in ("joint", "clear") for p in pieces])
    else:
        data = _sample(pieces, "joint", 0)
    enough = data.failures >= max(limits.FEWEST_FAILURES, limits.LEAST_SHARE_FAILED * data.values.size)
    if not enough or not np.ptp(data.values[data.failed]) > 0.0:
        return Weibull(shape=NOTHING, scale_n=NOTHING)
    found = fit(Sample(np.log(data.values), data.failed, data.joints), "smallest")
    low, high = found.scale_confidence.interval()
    shape = Estimate(value=1.0 / found.scale, low=1.0 / high, high=1.0 / low)
    scale = Estimate.of(*(math.exp(v) for v in (found.location, *found.location_confidence.interval())))
    return Weibull(shape=shape, scale_n=scale)


def known(value: float) -> float | None:
    return value if math.isfinite(value) else None


def ends_differ(pieces: Sequence[PullPiece]) -> tuple[str, ...]:
    """The recipes of a group whose pieces have unlike joints at their two ends, or none."""
    if all(p.recipes[0] == p.recipes[1] for p in pieces):
        return ()
    return tuple(dict.fromkeys(recipe for p in pieces for recipe in p.recipes if recipe))
