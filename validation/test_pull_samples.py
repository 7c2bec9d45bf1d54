"""Pull tests, one sample: variance, intervals, tolerance factors, shares, outliers, the smaller of two."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from helix.quantities import parse
from helix.statistics.proportions import clean_pieces_needed, lower_share, share_interval
from helix.statistics.sample_size import pieces_for_margin, pieces_to_tell_apart
from helix.statistics.samples import mean_interval, outliers, single_from_smaller, spread, tolerance_factor
from helix.studies.pulls_plan.load_cells import load_cell
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
CUT = "the printed digits are cut off, not rounded"
HANDBOOK = "NIST/SEMATECH e-Handbook of Statistical Methods"

# Michelson's 100 speeds of light of 1879, km/s less 299,000; NIST StRD Michelso divides by 1000
MICHELSON = """
850 740 900 1070 930 850 950 980 980 880 1000 980 930 650 760 810 1000 1000 960 960
960 940 960 940 880 800 850 880 900 840 830 790 810 880 880 830 800 790 760 800
880 880 880 860 720 720 620 860 970 950 880 910 850 870 840 840 850 840 840 840
890 810 810 820 800 770 760 740 750 760 910 920 890 860 880 720 840 850 850 780
890 840 780 810 760 810 790 810 820 850 870 870 810 740 810 940 950 800 810 870
"""
ROSNER = """
-0.25 0.68 0.94 1.15 1.20 1.26 1.26 1.34 1.38 1.43 1.49 1.49 1.55 1.56 1.58 1.65 1.69 1.70 1.76 1.77 1.81 1.91
1.94 1.96 1.99 2.06 2.09 2.10 2.14 2.15 2.23 2.24 2.26 2.35 2.37 2.40 2.47 2.54 2.62 2.64 2.90 2.92 2.92 2.93
3.21 3.26 3.30 3.59 3.68 4.30 4.64 5.34 5.42 6.01
"""
GRUBBS = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]


def michelson() -> np.ndarray:
    return 299.0 + np.array(MICHELSON.split(), dtype=float) / 1000.0


def alternating(base: float) -> np.ndarray:
    """The StRD sets NumAcc2 to 4: a first value, then 500 pairs 0.1 to each side of it."""
    return np.concatenate(([base], np.tile([base - 0.1, base + 0.1], 500)))


@cache
def factor_by_mpmath(n: int, share: float, confidence: float) -> float:
    """k from P(T' <= k sqrt(n)) = confidence, the noncentral t as an integral over the chi distribution."""
    import mpmath

    with mpmath.workdps(30):
        freedom = n - 1
        z = mpmath.sqrt(2) * mpmath.erfinv(2 * mpmath.mpf(share) - 1)
        norm = 2 * (mpmath.mpf(freedom) / 2) ** (mpmath.mpf(freedom) / 2) / mpmath.gamma(mpmath.mpf(freedom) / 2)

        def reached(k: mpmath.mpf) -> mpmath.mpf:
            def part(u: mpmath.mpf) -> mpmath.mpf:
                return u ** (freedom - 1) * mpmath.exp(-freedom * u * u / 2) * mpmath.ncdf(mpmath.sqrt(n) * (k * u - z))

            return norm * mpmath.quad(part, [0, 0.5, 1, 1.5, 2, 4, 8, 16]) - confidence

        return float(mpmath.findroot(reached, tolerance_factor(n, share, confidence), tol=1e-18))


@cache
def smaller_of_two() -> tuple[float, float]:
    """Mean and SD of the smaller of two standard normal values, by mpmath's quadrature of 2 f(x) S(x)."""
    import mpmath

    with mpmath.workdps(25):

        def moment(k: int) -> mpmath.mpf:
            return mpmath.quad(lambda x: x**k * 2 * mpmath.npdf(x) * mpmath.ncdf(-x), [-12, -4, -1, 0, 1, 4, 12])

        mean = moment(1)
        return float(mean), float(mpmath.sqrt(moment(2) - mean**2))


ROWS = [
    Row(
        "mean of StRD Michelso", "NIST StRD, certified", "mem",
        "299.852400000000", lambda: float(michelson().mean()), 5e-13, PRINTED,
    ),
    Row(
        "SD of StRD Michelso", "NIST StRD, certified", "mem",
        "0.0790105478190518", lambda: spread(michelson()), 1e-13, "the mean is held to 13 digits of 299.85",
    ),
    Row(
        "SD of StRD NumAcc1", "NIST StRD, certified", "mem",
        "1", lambda: spread([10000001, 10000003, 10000002]), 1e-15, "whole numbers: exact",
    ),
    Row(
        "SD of StRD NumAcc2", "NIST StRD, certified", "mem",
        "0.1", lambda: spread(alternating(1.2)), 1e-14, "rounding",
    ),
    Row(
        "SD of StRD NumAcc3", "NIST StRD, certified", "mem",
        "0.1", lambda: spread(alternating(1000000.2)), 1e-9, "0.1 itself is held to 1e-10 beside 1,000,000",
    ),
    Row(
        "SD of StRD NumAcc4", "NIST StRD, certified", "mem",
        "0.1", lambda: spread(alternating(10000000.2)), 1e-8, "0.1 itself is held to 1e-9 beside 10,000,000",
    ),
    Row(
        "lower limit of the mean of ZARR13 (n 195)", f"{HANDBOOK} 1.3.5.2", "mem",
        "9.258242", lambda: mean_interval(9.261460, 0.02278881, 195)[0],
        1e-6, "from the printed mean and SD, which are rounded",
    ),
    Row(
        "upper limit of the mean of ZARR13 (n 195)", f"{HANDBOOK} 1.3.5.2", "mem",
        "9.264679", lambda: mean_interval(9.261460, 0.02278881, 195)[1],
        1e-6, "from the printed mean and SD, which are rounded",
    ),
    Row(
        "tolerance factor, n 43, 90 % at 99 %, as printed",
        f"{HANDBOOK} 7.2.6.3: Natrella's approximation", "rep",
        "1.8752", lambda: tolerance_factor(43, 0.90, 0.99),
        2e-3, "printed by an approximation; exact is 1.87395",
    ),
    Row(
        "tolerance factor, n 43, 90 % at 99 %, exact", "independent calculation by the noncentral t", "calc",
        "1.87395", lambda: tolerance_factor(43, 0.90, 0.99), 5e-6, PRINTED,
    ),
    *(
        Row(
            f"tolerance factor, n {n}, {100 * p:g} % at {100 * c:g} %",
            "tables of one-sided normal tolerance factors", "mem",
            value, lambda n=n, p=p, c=c: tolerance_factor(n, p, c),
            6e-4, "tables differ by a unit of the last digit",
        )
        for n, p, c, value in ((5, .90, .95, "3.407"), (5, .95, .95, "4.203"), (10, .90, .95, "2.355"), (10, .95, .95, "2.911"), (10, .99, .95, "3.981"), (20, .90, .95, "1.926"), (20, .95, .95, "2.396"), (30, .95, .95, "2.220"))
    ),
    *(
        Row(
            f"tolerance factor, n {n}, {100 * p:g} % at {100 * c:g} %, high precision",
            "mpmath, integral over the chi distribution", "calc",
            lambda n=n, p=p, c=c: factor_by_mpmath(n, p, c), lambda n=n, p=p, c=c: tolerance_factor(n, p, c),
            1e-8, "the inverse in scipy",
        )
        for n, p, c in ((3, 0.95, 0.95), (10, 0.95, 0.95), (10, 0.90, 0.95), (43, 0.90, 0.99), (100, 0.90, 0.95))
    ),
    Row(
        "lower limit, 4 of 20 at 90 %", f"{HANDBOOK} 7.2.4.2", "pub",
        "0.071354", lambda: share_interval(4, 20, 0.90)[0], 5e-7, PRINTED,
    ),
    Row(
        "upper limit, 4 of 20 at 90 %", f"{HANDBOOK} 7.2.4.2", "pub",
        "0.401028", lambda: share_interval(4, 20, 0.90)[1], 5e-7, PRINTED,
    ),
    Row(
        "lower bound from 10 clean breaks of 10, 95 %", "0.05^(1/10)", "der",
        "0.7411", lambda: lower_share(10, 10), 5e-5, PRINTED,
    ),
    Row(
        "clean breaks that show 90 % at 95 %", "0.9^n <= 0.05", "der",
        "29", lambda: clean_pieces_needed(0.90, 0.95), 1e-9, "a whole number",
    ),
    Row(
        "farthest of Grubbs' 8 readings, SD off", f"{HANDBOOK} 1.3.5.17.1", "mem",
        "2.4687", lambda: outliers(GRUBBS, most=1)[0].off, 1e-4, CUT,
    ),
    *(
        Row(
            f"Rosner's 54 readings, number {k + 1}: SD off", f"{HANDBOOK} 1.3.5.17.3", "mem",
            value, lambda k=k: outliers(np.array(ROSNER.split(), dtype=float), most=10)[k].off, 1e-3, CUT,
        )
        for k, value in enumerate(("3.118", "2.942", "3.179"))
    ),
    *(
        Row(
            f"Rosner's 54 readings, number {k + 1}: limit", f"{HANDBOOK} 1.3.5.17.3", "mem",
            value, lambda k=k: outliers(np.array(ROSNER.split(), dtype=float), most=10)[k].limit,
            1e-3, "printed limits are rounded from tables",
        )
        for k, value in enumerate(("3.158", "3.151", "3.143"))
    ),
    Row(
        "mean of the smaller of two normal values",
        "H. L. Jones, Ann. Math. Stat. 19 (1948) 270, against mpmath", "calc",
        lambda: smaller_of_two()[0], lambda: -1.0 / math.sqrt(math.pi), 1e-12, "rounding",
    ),
    Row(
        "SD of the smaller of two normal values",
        "H. L. Jones, Ann. Math. Stat. 19 (1948) 270, against mpmath", "calc",
        lambda: smaller_of_two()[1], lambda: math.sqrt(1.0 - 1.0 / math.pi), 1e-12, "rounding",
    ),
    Row(
        "SD of one of two, from that of the smaller", "1/0.8256453, Jones (1948)", "rep",
        "1.2111739", lambda: single_from_smaller(0.0, 1.0)[1], 5e-7, "the printed inverse has 7 digits",
    ),
    Row(
        "mean of one of two, shift over the SD of the smaller", "Jones (1948)", "rep",
        "0.683332", lambda: single_from_smaller(0.0, 1.0)[0], 5e-7, PRINTED,
    ),
    Row(
        "pieces for a mean to 25 N, SD 40 N, 3 SD", "ASTM E122: n = (3 s/E)^2", "rep",
        "24", lambda: pieces_for_margin(40.0, 25.0, 3.0), 1e-9, "23.04, rounded up",
    ),
    *(
        Row(
            f"pieces of each to tell {d:g} SD apart, power 0.8",
            "J. Cohen, Statistical Power Analysis (1988)", "mem",
            value, lambda d=d: float(pieces_to_tell_apart(d, 0.8) or 0), 1e-9, "a whole number",
        )
        for d, value in ((1.0, "17"), (0.8, "26"), (0.5, "64"))
    ),
    Row(
        "load of two 218 lbf wires worked as one, N",
        "common practice, no source: too much for a cell of 1000 N", "mem",
        "1939", lambda: 2.0 * parse("218 lbf", "force"), 1.0, "whole newtons",
    ),
    Row(
        "5000 N in lbf", "common practice, no source: a cell of 5000 N (1,124 lbf)", "mem",
        "1124", lambda: 5000.0 / parse("1 lbf", "force"), 0.5, PRINTED,
    ),
    Row(
        "lowest load over the resolution, class 1", "ASTM E4: 200 times the resolution; the clause was not noted", "mem",
        "200", lambda: load_cell(5000.0, "1", 1.0).lower_limit_n, 1e-9, "a whole number",
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_rosner_masks_one_by_another() -> None:
    # the first and second alone do not pass their limits; the third does, and takes them with it
    found = outliers(np.array(ROSNER.split(), dtype=float), most=10)
    assert [each.off > each.limit for each in found] == [False, False, True]
