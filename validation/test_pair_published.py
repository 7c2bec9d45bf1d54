"""Two wires as one: bars with a misfit, stiffness by parallel axes, columns."""

from __future__ import annotations

import numpy as np
import pytest

from helix.mechanics.pair.sharing import WireLaw, longer_stress, slack_for_loss
from helix.mechanics.pair.stiffness import CANTILEVER, CLAMPED, bending_stiffness, bow_load, column_load, pair_stiffness
from validation.rows import Row, ids

BARS = "two parallel bars with a misfit, any text on statically indeterminate bars; by hand in docs/theory/pair.md"
LIMIT = "plastic limit load, which knows nothing of a misfit; any text on limit analysis"
COLUMNS = "Timoshenko and Gere, Theory of Elastic Stability"
ROUND = "rounding"

ELASTIC = WireLaw(200e3, 2000.0, 2000.0, 0.0)
FLAT = WireLaw(200e3, 1800.0 * (1.0 - 1e-10), 1800.0, 0.05)


def searched() -> float:
    """Most load of two elastic-plastic bars of 500.0 and 500.4 mm, found by moving their ends apart and a root."""
    from scipy.optimize import brentq

    modulus, first, most, lasting = 200e3, 1600.0, 2000.0, 0.01
    slope = (most - first) / (most / modulus + lasting - first / modulus)

    def carries(length: float, apart: float) -> float:
        strain = (apart - length) / length
        return max(0.0, min(modulus * strain, first + slope * (strain - first / modulus)))

    broke = brentq(lambda apart: carries(500.0, apart) - 1850.0, 500.0, 530.0, xtol=1e-13, rtol=1e-15)
    return carries(500.0, broke) + carries(500.4, broke)


ROWS = [
    Row(
        "what the longer of two elastic bars carries when the other breaks at 1600 MPa, E 200 GPa, slack 0.004, MPa",
        BARS, "der", lambda: (1600.0 / 200e3 - 0.004) / 1.004 * 200e3, lambda: float(longer_stress(0.004, 1600.0, ELASTIC)),
        1e-9, ROUND,
    ),
    Row(
        "load over one section of two perfectly plastic bars of a misfit of 1 %, yield 1800 MPa",
        LIMIT, "mem", "3600", lambda: 1800.0 + float(longer_stress(0.01, 1800.0, FLAT)), 1e-3, "a hardening of 1e-10 of the yield",
    ),
    Row(
        "load over one section of elastic-plastic bars of 500 and 500.4 mm when the shorter breaks at 1850 MPa",
        "scipy.optimize.brentq on the distance of their ends", "calc", searched,
        lambda: 1850.0 + float(longer_stress(0.4 / 500.0, 1850.0, WireLaw(200e3, 1600.0, 2000.0, 0.01))), 1e-7, "the root's own error",
    ),
    Row(
        "slack with which two elastic bars lose 5 % at 1800 MPa, E 193 GPa, first order, mm per m",
        BARS, "der", lambda: 1000.0 * 2.0 * 0.05 * 1800.0 / 193e3,
        lambda: 1000.0 * float(slack_for_loss(0.05, 1800.0, WireLaw(193e3, 2000.0, 2000.0, 0.0))), 0.01, "second order: strain times slack",
    ),
    Row(
        "stiffness of two that slide over one wire of the same total area", "second moments of circles, any text on beams", "mem",
        "0.5", lambda: float(pair_stiffness(193e3, 1.0)[0] / bending_stiffness(193e3, np.sqrt(2.0))), 1e-12, ROUND,
    ),
    Row(
        "stiffness of two that cannot slide over one wire, in their plane", "parallel axes, any text on beams", "mem",
        "10", lambda: float(pair_stiffness(193e3, 1.0)[1] / bending_stiffness(193e3, 1.0)), 1e-12, ROUND,
    ),
    Row(
        "buckling load of a column with both ends held, over E I/L^2", f"{COLUMNS}: 4 pi^2", "mem",
        "39.48", lambda: float(column_load(1.0, 1.0, CLAMPED)), 0.005, "half a unit of the last printed digit",
    ),
    Row(
        "the same with one end free to move", f"{COLUMNS}: pi^2/4", "mem",
        "2.467", lambda: float(column_load(1.0, 1.0, CANTILEVER)), 5e-4, "half a unit of the last printed digit",
    ),
    Row(
        "part of Euler's load at which a bow of 1/100 takes a set of 0.1/L", f"{COLUMNS}: a bow grows by 1/(1 - F/P)", "mem",
        lambda: 0.1 / (0.1 + 0.01 * np.pi**2), lambda: float(bow_load(1.0, 1.0, 0.01, 0.1) / column_load(1.0, 1.0)), 1e-12, ROUND,
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()
