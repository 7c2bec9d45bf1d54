"""Benches made up from a known truth, and how often the intervals for a single joint hold in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from helix.mechanics import limits
from helix.statistics.confidence import Array
from helix.statistics.fits.censored import fit
from helix.statistics.fits.likelihood import Mask, Sample, log_likelihood, sample
from helix.statistics.samples import mean_interval, spread, spread_interval, tolerance_bound

Z_95 = 1.959963984540054
Z_LOW_5 = -1.6448536269514722


@dataclass(frozen=True)
class Truth:
    """What a bench is made from: loads in N, mean and SD; correlation of the two joints; share of grips.

    family: "normal", or "weibull" with the same mean and SD. wire: straight wire clear of the joints;
    unwinds: load at which one joint unwinds. None: it never comes to that. A piece slips in a grip with
    the chance grip, at a load evenly spread from 80 to 110 % of the joint's mean.
    """

    joint: tuple[float, float] = (900.0, 45.0)
    wire: tuple[float, float] | None = None
    unwinds: tuple[float, float] | None = None
    grip: float = 0.0
    correlation: float = 0.0
    family: str = "normal"


def bench(truth: Truth, pieces: int, rng: np.random.Generator) -> tuple[Array, Array]:
    """Loads in N and what ended each piece: 0 a joint broke, 1 clear of them, 2 unwound, 3 grip; shapes (n,)."""
    first, second = rng.standard_normal((2, pieces))
    second = truth.correlation * first + np.sqrt(1.0 - truth.correlation**2) * second
    joints = np.minimum(_strength(truth, first), _strength(truth, second))
    never = np.full(pieces, np.inf)
    clear = _normal(truth.wire, pieces, rng) if truth.wire else never
    unwinds = never
    if truth.unwinds:
        unwinds = np.minimum(_normal(truth.unwinds, pieces, rng), _normal(truth.unwinds, pieces, rng))
    grips = truth.joint[0] * rng.uniform(0.8, 1.1, pieces)
    grips = np.where(rng.random(pieces) < truth.grip, grips, np.inf)
    ends = np.stack((joints, clear, unwinds, grips))
    return ends.min(axis=0), ends.argmin(axis=0).astype(np.float64)


def _normal(pair: tuple[float, float], pieces: int, rng: np.random.Generator) -> Array:
    return pair[0] + pair[1] * rng.standard_normal(pieces)


def _strength(truth: Truth, scores: Array) -> Array:
    """Strength of joints at these normal scores."""
    mean, sd = truth.joint
    if truth.family == "normal":
        return mean + sd * scores
    from scipy.special import gamma, ndtr

    from helix.geometry.maths.roots import bracketed_root

    def misfit(shape: float) -> float:
        return float(gamma(1.0 + 2.0 / shape) / gamma(1.0 + 1.0 / shape) ** 2) - 1.0 - (sd / mean) ** 2

    shape = bracketed_root(misfit, 1.0, 200.0, 1e-9)
    scale = mean / float(gamma(1.0 + 1.0 / shape))
    return np.asarray(scale * (-np.log(ndtr(-scores))) ** (1.0 / shape))


@dataclass(frozen=True)
class Held:
    """How often limits held in simulated benches, as shares of the benches that gave an interval.

    mean, sd: the 95 % intervals of a single joint; tolerance: the 95/95 bound. low, high: shares of benches
    whose interval for the mean lay wholly above or below the truth. wald_: by the curvature at the top of the
    same likelihood; plain_: the weaker joints' own mean and SD taken for a single joint's.
    """

    benches: int
    estimated: int
    censored: float
    mean: float
    sd: float
    tolerance: float
    low: float
    high: float
    wald_mean: float
    wald_sd: float
    plain_mean: float
    plain_sd: float
    plain_tolerance: float


def coverage(truth: Truth, pieces: int, benches: int, seed: int, joints: int = 2) -> Held:
    """How often the limits hold over that many benches.

    joints: independent joints assumed a piece; 0: limits from the lower of one to the upper of two, which hold
    whatever the correlation. Wald's and plain limits are counted beside them.
    """
    rng = np.random.default_rng(seed)
    mean, sd = truth.joint
    fifth = float(_strength(truth, np.array([Z_LOW_5]))[0])
    held: list[tuple[bool, ...]] = []
    censored = 0.0
    for _ in range(benches):
        loads, ends = bench(truth, pieces, rng)
        failed = ends == 0.0
        censored += 1.0 - float(failed.mean())
        if failed.sum() < max(limits.FEWEST_FAILURES, limits.LEAST_SHARE_FAILED * pieces):
            continue
        data = sample(loads, failed, joints or 2)
        found = fit(data, shares=(0.05,))
        low, high = found.location_confidence.interval()
        small, large = found.scale_confidence.interval()
        bound = found.lower[0].quantile(0.05)
        if joints == 0:
            alike = fit(sample(loads, failed, 1), shares=(0.05,))
            low = alike.location_confidence.interval()[0]
            small = alike.scale_confidence.interval()[0]
            bound = min(bound, alike.lower[0].quantile(0.05))
        wald = _wald(data, found.location, found.scale)
        plain = _plain(loads, ends < 2.0, mean, sd, fifth)
        within = (
            low <= mean <= high, small <= sd <= large, bound <= fifth, low > mean, high < mean,
            abs(found.location - mean) <= Z_95 * wald[0], abs(np.log(found.scale / sd)) <= Z_95 * wald[1], *plain,
        )  # fmt: skip
        held.append(tuple(bool(w) for w in within))
    shares = np.array(held, dtype=np.float64).reshape(-1, 10).mean(axis=0) if held else np.full(10, np.nan)
    return Held(benches, len(held), censored / benches, *shares.tolist())


def _wald(data: Sample, location: float, scale: float) -> tuple[float, float]:
    """Standard errors of mu and ln sigma by the observed information (central differences)."""
    step = 1e-3
    moves = np.array([(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1)], dtype=np.float64) * step
    values = log_likelihood(data, location + moves[:, 0] * scale, scale * np.exp(moves[:, 1])).reshape(3, 3)
    mu = (values[2, 1] - 2.0 * values[1, 1] + values[0, 1]) / step**2
    log_sigma = (values[1, 2] - 2.0 * values[1, 1] + values[1, 0]) / step**2
    mixed = (values[2, 2] - values[2, 0] - values[0, 2] + values[0, 0]) / (4.0 * step**2)
    cover = np.linalg.inv(-np.array([[mu, mixed], [mixed, log_sigma]]))
    return scale * float(np.sqrt(cover[0, 0])), float(np.sqrt(cover[1, 1]))


def _plain(loads: Array, broke: Mask, mean: float, sd: float, fifth: float) -> tuple[bool, bool, bool]:
    """Whether plain limits from the pieces that broke hold the single joint's mean, SD and 5 % load."""
    x = loads[broke]
    if x.size < 2:
        return False, False, False
    low, high = mean_interval(float(x.mean()), spread(x), x.size)
    small, large = spread_interval(spread(x), x.size)
    bound = tolerance_bound(float(x.mean()), spread(x), x.size, 0.95, 0.95)
    return low <= mean <= high, small <= sd <= large, bound <= fifth
