"""The chance of unwinding on counts of turns and wraps: logistic regression that refuses what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.errors import ConvergenceError
from helix.statistics.confidence import Array

_MOST_STEPS: Final = 200
_REST: Final = 1e-6  # a last step longer than this is not converged
_CHI2_95: Final = 3.841458820694124  # scipy.special.chdtri(1, 0.05)


_WHY = {
    "alike": "every piece ended alike, so nothing shows what the chance depends on",
    "constant": "a column does not vary",
    "together": "the columns vary together",
    "separated": "a boundary separates the two outcomes, wholly or but for pieces on it",
}


class CannotSeparate(ValueError):
    """The data cannot tell what is asked. code: why, "alike", "constant", "together" or "separated"."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(code)

    def __str__(self) -> str:
        return _WHY[self.code]


@dataclass(frozen=True)
class Logistic:
    """Coefficients (first the constant), their profile limits at 95 %, shape (k,); deviance; covariance (k, k)."""

    coefficients: Array
    low: Array
    high: Array
    deviance: float
    covariance: Array


def logistic(columns: Array, ended: object) -> Logistic:
    """Return the fit of greatest likelihood of P = 1/(1 + exp(-(b0 + b x))), with profile-likelihood limits.

    Parameters
    ----------
    columns : array of float, (n, k)
        Without the constant.
    ended : array_like, (n,)
        Whether it came to pass.

    Returns
    -------
    Logistic
        The constant first; its limits alone are normal ones (Wald).

    Raises
    ------
    CannotSeparate
        When nothing or everything came to pass, when the columns vary together or not at all, and when a plane
        separates the two outcomes, so that no finite estimate exists.
    ConvergenceError
        Where the greatest likelihood is not found.

    Notes
    -----
    Source of the last refusal: A. Albert & J. A. Anderson, Biometrika 71 (1984) 1 [mem]; found by linear programming.
    """
    x, y = np.asarray(columns, dtype=np.float64), np.asarray(ended, dtype=np.float64)
    if y.all() or not y.any():
        raise CannotSeparate("alike")
    centre, scale = x.mean(axis=0), x.std(axis=0)
    if (scale == 0.0).any():
        raise CannotSeparate("constant")
    design = np.column_stack((np.ones(y.size), (x - centre) / scale))
    if np.linalg.matrix_rank(design, tol=1e-7 * np.sqrt(y.size)) < design.shape[1]:
        raise CannotSeparate("together")
    if separated(design, y):
        raise CannotSeparate("separated")
    best, worth = _fitted(design, y)
    limits = np.array([_profile(design, y, best, worth, k) for k in range(1, design.shape[1])])
    slopes = best[1:] / scale
    constant = best[0] - float(slopes @ centre)
    chance = _chance(design @ best)
    own = np.column_stack((np.ones(y.size), x))
    bend = own.T @ (own * (chance * (1.0 - chance))[:, None])
    covariance = np.asarray(np.linalg.inv(bend), dtype=np.float64)
    half = 1.959963984540054 * float(np.sqrt(covariance[0, 0]))
    return Logistic(
        coefficients=np.concatenate(([constant], slopes)),
        low=np.concatenate(([constant - half], limits[:, 0] / scale)),
        high=np.concatenate(([constant + half], limits[:, 1] / scale)),
        deviance=-2.0 * worth,
        covariance=covariance,
    )


def separated(design: Array, ended: Array) -> bool:
    """Tell whether some direction b, not 0 on every row, has b x >= 0 wherever it came to pass and <= 0 elsewhere."""
    from scipy.optimize import linprog

    signed = design * np.where(ended > 0.5, 1.0, -1.0)[:, None]
    bounds = [(-1.0, 1.0)] * design.shape[1]
    answer = linprog(-signed.sum(axis=0), A_ub=-signed, b_ub=np.zeros(ended.size), bounds=bounds)
    return bool(answer.status == 0 and -answer.fun > 1e-7)


def chance_interval(result: Logistic, at: Array) -> tuple[float, float, float]:
    """Return the chance at a row of columns and its 95 % limits, by the normal limit on the logit scale (Wald)."""
    row = np.concatenate(([1.0], np.asarray(at, dtype=np.float64)))
    logit = float(row @ result.coefficients)
    half = 1.959963984540054 * float(np.sqrt(row @ result.covariance @ row))
    low, middle, high = _chance(np.array([logit - half, logit, logit + half])).tolist()
    return middle, low, high


def _chance(logit: Array) -> Array:
    from scipy.special import expit

    return np.asarray(expit(logit))


def _fitted(design: Array, ended: Array, fixed: Array | None = None) -> tuple[Array, float]:
    """Newton with halved steps; ``fixed``: a constant added to every logit."""
    offset = np.zeros(ended.size) if fixed is None else fixed
    b = np.zeros(design.shape[1])

    def worth(b: Array) -> float:
        logit = design @ b + offset
        return float((ended * logit - np.logaddexp(0.0, logit)).sum())

    best = worth(b)
    for _ in range(_MOST_STEPS):
        chance = _chance(design @ b + offset)
        slope = design.T @ (ended - chance)
        bend = design.T @ (design * (chance * (1.0 - chance))[:, None])
        step = np.linalg.lstsq(bend, slope, rcond=None)[0]
        size = 1.0
        while worth(b + size * step) < best - 1e-12 and size > 1e-9:
            size /= 2.0
        b = b + size * step
        best = worth(b)
        moved = float(np.abs(size * step).max())
        if moved < 1e-10:
            break
    if fixed is None and not moved < _REST:
        raise ConvergenceError(f"the chance of unwinding did not converge in {_MOST_STEPS} steps (last: {moved:.2g})")
    return b, best


def _profile(design: Array, ended: Array, best: Array, worth: float, k: int) -> tuple[float, float]:
    """Where twice the drop of the log-likelihood, the others refitted, reaches the 95 % point of chi-square."""
    from scipy.optimize import brentq

    others = np.delete(design, k, axis=1)

    def over(value: float) -> float:
        return 2.0 * (worth - _fitted(others, ended, design[:, k] * value)[1]) - _CHI2_95

    ends = []
    for way in (-1.0, 1.0):
        step, far = 0.5, float(best[k]) + way * 0.5
        while over(far) < 0.0 and step < 64.0:
            step *= 2.0
            far = float(best[k]) + way * step
        ends.append(brentq(over, float(best[k]), far, xtol=1e-9) if step < 64.0 else way * np.inf)
    return float(ends[0]), float(ends[1])
