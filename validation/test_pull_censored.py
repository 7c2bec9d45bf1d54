"""Pull tests, single joints: censored fits against other people's libraries and numbers."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from helix.statistics.fits.censored import Fit, fit
from helix.statistics.fits.likelihood import Family, Sample, sample
from validation.rows import Row, ids

# 20 units on test, 10 failures, stopped at 500 hours
HOURS = np.array([54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10, dtype=float)
FAILED = np.arange(20) < 10
SOLVER = "their optimiser stops at about this"


@cache
def bench(joints: int, seed: int = 7) -> Sample:
    """Thirty invented pieces: the weaker of some joints, or the wire first."""
    rng = np.random.default_rng(seed)
    weaker = (900.0 + 45.0 * rng.standard_normal((joints, 30))).min(axis=0)
    wire = 910.0 + 30.0 * rng.standard_normal(30)
    return sample(np.minimum(weaker, wire), weaker < wire, joints)


@cache
def ours(joints: int, family: Family) -> Fit:
    data = bench(joints)
    if family == "smallest":
        data = Sample(np.log(data.values), data.failed, data.joints)
    return fit(data, family)


@cache
def by_scipy(joints: int) -> tuple[float, float]:
    """Normal for one joint, skew normal of shape -1 (the smaller of two) for two; scipy's own censored fit."""
    from scipy import stats

    data = bench(joints)
    censored = stats.CensoredData.right_censored(data.values, ~data.failed)

    def tight(*arguments: object, **options: object) -> object:
        from scipy.optimize import fmin

        return fmin(*arguments, xtol=1e-10, ftol=1e-12, maxiter=4000, maxfun=4000, **options)

    if joints == 1:
        location, scale = stats.norm.fit(censored, loc=890.0, scale=40.0, optimizer=tight)
    else:
        _, location, scale = stats.skewnorm.fit(censored, f0=-1.0, loc=890.0, scale=40.0, optimizer=tight)
    return float(location), float(scale)


@cache
def by_lifelines(seed: int) -> tuple[float, float]:
    """Shape and scale of one joint's Weibull loads by lifelines, pieces with one joint."""
    import lifelines

    data = bench(1) if seed else Sample(HOURS, FAILED, np.ones(20))
    found = lifelines.WeibullFitter().fit(data.values, data.failed)
    return float(found.rho_), float(found.lambda_)


@cache
def handbook() -> Fit:
    return fit(sample(np.log(HOURS), FAILED), "smallest")


ROWS = [
    Row(
        "Weibull scale, 10 failures of 20 stopped at 500 h", "NIST/SEMATECH e-Handbook 8.4.1", "mem",
        "606.5280", lambda: float(np.exp(handbook().location)),
        5e-4, "printed by a program that stops early: 606.5275 by two others",
    ),
    Row(
        "Weibull shape, the same", "NIST/SEMATECH e-Handbook 8.4.1", "mem",
        "1.7208", lambda: 1.0 / handbook().scale, 5e-5, "half a unit of the last printed digit",
    ),
    Row(
        "Weibull scale, the same", "lifelines 0.30, WeibullFitter", "calc",
        lambda: by_lifelines(0)[1], lambda: float(np.exp(handbook().location)), 1e-3, SOLVER,
    ),
    Row(
        "Weibull shape, the same", "lifelines 0.30, WeibullFitter", "calc",
        lambda: by_lifelines(0)[0], lambda: 1.0 / handbook().scale, 1e-5, SOLVER,
    ),
    Row(
        "Weibull scale, N, 30 pieces with one joint, some broke clear",
        "lifelines 0.30, WeibullFitter", "calc",
        lambda: by_lifelines(1)[1], lambda: float(np.exp(ours(1, "smallest").location)), 1e-2, SOLVER,
    ),
    Row(
        "Weibull shape, the same", "lifelines 0.30, WeibullFitter", "calc",
        lambda: by_lifelines(1)[0], lambda: 1.0 / ours(1, "smallest").scale, 1e-3, SOLVER,
    ),
    Row(
        "normal mean, N, 30 pieces with one joint, some broke clear",
        "scipy.stats.norm.fit of CensoredData", "calc",
        lambda: by_scipy(1)[0], lambda: ours(1, "normal").location, 1e-4, SOLVER,
    ),
    Row(
        "normal SD, N, the same", "scipy.stats.norm.fit of CensoredData", "calc",
        lambda: by_scipy(1)[1], lambda: ours(1, "normal").scale, 1e-4, SOLVER,
    ),
    Row(
        "normal mean of one joint, N, 30 pieces with two",
        "scipy.stats.skewnorm of shape -1, CensoredData", "calc",
        lambda: by_scipy(2)[0], lambda: ours(2, "normal").location, 1e-4, SOLVER,
    ),
    Row(
        "normal SD of one joint, N, the same", "scipy.stats.skewnorm of shape -1, CensoredData", "calc",
        lambda: by_scipy(2)[1], lambda: ours(2, "normal").scale, 1e-4, SOLVER,
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()
