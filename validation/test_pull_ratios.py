"""Pull tests, efficiency: intervals of a ratio against propagation, Fieller's theorem and simulation."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from helix.statistics.confidence import Confidence, difference_confidence, ratio_confidence, student_confidence
from validation.rows import Row, ids

JOINT, WIRE = (819.0, 21.0, 10), (852.0, 12.0, 8)
"""Mean, SD, n."""


def about(mean: float, sd: float, n: float, freedom: float | None = None) -> Confidence:
    return student_confidence(mean, sd / math.sqrt(n), n - 1 if freedom is None else freedom)


@cache
def large() -> Confidence:
    """The ratio with spreads known: Student's t with a million degrees of freedom."""
    return ratio_confidence(about(*JOINT, 1e6), about(*WIRE, 1e6))


@cache
def propagated() -> float:
    """Standard error of the ratio by the package uncertainties (first derivatives)."""
    import uncertainties

    a = uncertainties.ufloat(JOINT[0], JOINT[1] / math.sqrt(JOINT[2]))
    b = uncertainties.ufloat(WIRE[0], WIRE[1] / math.sqrt(WIRE[2]))
    return float((a / b).std_dev)


@cache
def fieller() -> tuple[float, float]:
    """Fieller's limits with spreads known."""
    z = 1.959963984540054
    a, b = JOINT[0], WIRE[0]
    va, vb = JOINT[1] ** 2 / JOINT[2], WIRE[1] ** 2 / WIRE[2]
    below = b * b - z * z * vb
    root = math.sqrt((a * b) ** 2 - below * (a * a - z * z * va))
    return (a * b - root) / below, (a * b + root) / below


@cache
def drawn() -> tuple[float, float]:
    """Limits of the ratio of two Student t's about their means, by a million draws."""
    rng = np.random.default_rng(11)
    draws = [m + s / math.sqrt(n) * rng.standard_t(n - 1, 1_000_000) for m, s, n in (JOINT, WIRE)]
    low, high = np.quantile(draws[0] / draws[1], (0.025, 0.975))
    return float(low), float(high)


def limits() -> tuple[float, float]:
    return ratio_confidence(about(*JOINT), about(*WIRE)).interval()


ROWS = [
    Row(
        "width of the interval of a ratio over 2 x 1.96 standard errors",
        "uncertainties 3.2, first derivatives", "calc",
        lambda: propagated() * 2 * 1.959963984540054, lambda: large().interval()[1] - large().interval()[0],
        2e-5, "second order: CV squared over n",
    ),
    Row(
        "lower limit of the ratio, spreads known",
        "E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175", "mem",
        lambda: fieller()[0], lambda: large().interval()[0], 1e-5, "grid of 241 levels",
    ),
    Row(
        "upper limit of the ratio, spreads known",
        "E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175", "mem",
        lambda: fieller()[1], lambda: large().interval()[1], 1e-5, "grid of 241 levels",
    ),
    Row(
        "lower limit of the ratio, 10 joints and 8 controls", "a million draws, numpy", "calc",
        lambda: drawn()[0], lambda: limits()[0], 1e-4, "noise of a million draws",
    ),
    Row(
        "upper limit of the ratio, 10 joints and 8 controls", "a million draws, numpy", "calc",
        lambda: drawn()[1], lambda: limits()[1], 1e-4, "noise of a million draws",
    ),
    Row(
        "limit of a difference of two normal means, N", "1.96 sqrt(3^2 + 4^2)", "der",
        "9.79982", lambda: difference_confidence(student_confidence(0.0, 3.0, 1e7), student_confidence(0.0, 4.0, 1e7)).quantile(0.975),
        5e-4, "grid of 241 levels",
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.slow
def test_the_interval_of_an_efficiency_holds_in_simulated_benches() -> None:
    # a claim of 95 %: within 5 SD of a binomial count of 1,500 benches
    rng, held = np.random.default_rng(5), 0
    for _ in range(1500):
        sides = [mean + sd * rng.standard_normal(n) for mean, sd, n in (JOINT, WIRE)]
        low, high = ratio_confidence(*(about(float(x.mean()), float(x.std(ddof=1)), x.size) for x in sides)).interval()
        held += low <= JOINT[0] / WIRE[0] <= high
    assert abs(held / 1500 - 0.95) < 5.0 * math.sqrt(0.95 * 0.05 / 1500)
