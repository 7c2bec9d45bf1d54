"""Likelihood of one joint's strength from pieces that show only their weaker joint, some not even that.

A piece with m alike joints whose weakest broke at x says m f(z) S(z)^(m-1)/sigma with z = (x - mu)/sigma; one
that ended otherwise at x says S(z)^m: every joint in it is at least that strong. f and S: density and
survival of one joint, normal, or smallest extreme value (the logarithm of a Weibull load). The joints of a
piece count as independent; wholly alike joints (correlation 1) are the same with m = 1.

The estimates are found by Newton's method in (mu/sigma, 1/sigma), where the log-likelihood is concave
[mem: J. W. Pratt, J. Amer. Statist. Assoc. 76 (1981) 103].
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from helix.errors import ConvergenceError
from helix.statistics.confidence import Array

Family: TypeAlias = Literal["normal", "smallest"]
Mask: TypeAlias = NDArray[np.bool_]

_MOST_STEPS: Final = 100
_REST: Final = 1e-6  # a last step longer than this share of the values is not converged
_LOG_ROOT_2PI: Final = 0.5 * float(np.log(2.0 * np.pi))


@dataclass(frozen=True)
class Sample:
    """Loads (or their logarithms) [any one unit], whether a joint failed there, joints a piece; shapes (n,)."""

    values: Array
    failed: Mask
    joints: Array

    @property
    def failures(self) -> int:
        """Number of pieces of which a joint failed."""
        return int(self.failed.sum())


def sample(values: object, failed: object, joints: object = 1) -> Sample:
    """Return a checked sample; raise ValueError when the arrays differ in length or hold what is not finite."""
    x = np.asarray(values, dtype=np.float64)
    ended = np.asarray(failed, dtype=np.bool_)
    count = np.broadcast_to(np.asarray(joints, dtype=np.float64), x.shape)
    if x.ndim != 1 or ended.shape != x.shape:
        raise ValueError(f"values and failed must be of one length; got {x.shape} and {ended.shape}")
    if not np.isfinite(x).all() or not (count >= 1.0).all():
        raise ValueError("values must be finite and joints at least 1")
    return Sample(x, ended, count)


def log_likelihood(data: Sample, location: object, scale: object, family: Family = "normal") -> Array:
    """Return the log-likelihood without the term log m.

    Parameters
    ----------
    data : Sample
        Loads or their logarithms [any one unit].
    location, scale : array_like
        Broadcast together; scale above 0 [the same].
    family : {"normal", "smallest"}
        Distribution of one joint's strength.

    Returns
    -------
    array of float
        In the shape of location and scale.

    Examples
    --------
    >>> float(log_likelihood(sample([0.0], [True]), 0.0, 1.0).round(6))
    -0.918939
    """
    mu, sigma = np.asarray(location, dtype=np.float64), np.asarray(scale, dtype=np.float64)
    z = (data.values - mu[..., None]) / sigma[..., None]
    survived = log_survival(z, family) * np.where(data.failed, data.joints - 1.0, data.joints)
    dense = log_density(z[..., data.failed], family).sum(axis=-1)
    return np.asarray(survived.sum(axis=-1) + dense - data.failures * np.log(sigma))


def maximum_likelihood(data: Sample, family: Family = "normal") -> tuple[float, float]:
    """Return location and scale of greatest likelihood: Newton in (mu/sigma, 1/sigma) with halved steps."""
    centre, spread = float(data.values[data.failed].mean()), float(data.values.std())
    unit = Sample((data.values - centre) / spread, data.failed, data.joints)
    a, b = 0.0, 1.0

    def value(a: float, b: float) -> float:
        return float(log_likelihood(unit, a / b, 1.0 / b, family))

    best = value(a, b)
    for _ in range(_MOST_STEPS):
        slope, bend = slopes(unit, a, b, family)
        step = np.linalg.solve(bend, slope)
        size = 1.0
        while True:
            na, nb = a - size * step[0], b - size * step[1]
            now = value(na, nb) if nb > 0.0 else -np.inf
            if now >= best - 1e-12 * abs(best) or size < 1e-9:
                break
            size /= 2.0
        moved = abs(na - a) + abs(nb - b)
        a, b, best = na, nb, now
        if moved < 1e-12 * (1.0 + abs(a) + b):
            break
    if not moved < _REST * (1.0 + abs(a) + b):
        raise ConvergenceError(f"the strength of one joint did not converge in {_MOST_STEPS} steps (last: {moved:.2g})")
    return float(centre + spread * a / b), float(spread / b)


def slopes(data: Sample, a: float, b: float, family: Family) -> tuple[Array, Array]:
    """Return gradient and Hessian of the log-likelihood in (a, b), z = b x - a."""
    z = b * data.values - a
    times = np.where(data.failed, data.joints - 1.0, data.joints)
    first = times * survival_slope(z, family)
    second = times * survival_bend(z, family)
    if family == "normal":
        dense, bent = -z, -np.ones_like(z)
    else:
        dense, bent = 1.0 - np.exp(z), -np.exp(z)
    first = first + np.where(data.failed, dense, 0.0)
    second = second + np.where(data.failed, bent, 0.0)
    x = data.values
    slope = np.array([-first.sum(), (first * x).sum() + data.failures / b])
    mixed = -(second * x).sum()
    bend = np.array([[second.sum(), mixed], [mixed, (second * x * x).sum() - data.failures / b**2]])
    return slope, bend


def log_density(z: Array, family: Family) -> Array:
    """Return ln f at z."""
    if family == "normal":
        return np.asarray(-0.5 * z * z - _LOG_ROOT_2PI)
    with np.errstate(over="ignore"):
        return np.asarray(z - np.exp(z))


def log_survival(z: Array, family: Family) -> Array:
    """Return ln S at z."""
    if family == "normal":
        from scipy.special import log_ndtr

        return np.asarray(log_ndtr(-z))
    with np.errstate(over="ignore"):
        return np.asarray(-np.exp(z))


def survival_slope(z: Array, family: Family) -> Array:
    """Return the first derivative of ln S at z."""
    if family == "normal":
        return np.asarray(-np.exp(log_density(z, family) - log_survival(z, family)))
    return np.asarray(-np.exp(z))


def survival_bend(z: Array, family: Family) -> Array:
    """Return the second derivative of ln S at z."""
    if family == "normal":
        hazard = -survival_slope(z, family)
        return np.asarray(-hazard * (hazard - z))
    return np.asarray(-np.exp(z))
