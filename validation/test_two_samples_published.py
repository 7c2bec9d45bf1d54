"""Pull tests, comparisons: Welch, Fisher, logistic regression, against published examples."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from helix.statistics.fits.logistic import Logistic, logistic
from helix.statistics.proportions import fisher
from helix.statistics.two_samples import Welch, welch
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
FAHRENHEIT = "66 70 69 68 67 72 73 70 57 63 70 78 67 53 67 75 70 81 76 79 75 76 58"
DISTRESS = "0 1 0 0 0 0 0 0 1 1 1 0 0 1 0 0 0 0 0 0 1 0 1"
SHUTTLE = (
    "S. R. Dalal, E. B. Fowlkes & B. Hoadley, J. Amer. Statist. Assoc. 84 (1989) 945: O-ring distress by temperature"
)


@cache
def cars() -> Welch:
    return welch((20.14458, 6.414700, 249), (30.48101, 6.107710, 79))


@cache
def shuttle() -> Logistic:
    return logistic(np.array(FAHRENHEIT.split(), dtype=float)[:, None], np.array(DISTRESS.split(), dtype=int) > 0)


ROWS = [
    Row(
        "Welch's t, miles per gallon of 249 and 79 cars", "NIST/SEMATECH e-Handbook 1.3.5.3", "mem",
        "-12.94627", lambda: cars().t, 5e-5, "from the printed means and SDs, which are rounded",
    ),
    Row(
        "its degrees of freedom", "NIST/SEMATECH e-Handbook 1.3.5.3", "mem",
        "136.8750", lambda: cars().freedom, 5e-4, "from the printed SDs, which are rounded",
    ),
    Row(
        "Fisher's p, 10 of 10 against 6 of 10", "independent calculation", "calc",
        "0.0867", lambda: fisher((10, 10), (6, 10)), 5e-5, PRINTED,
    ),
    Row(
        "Fisher's p, 10 of 10 against 5 of 10", "independent calculation", "calc",
        "0.0325", lambda: fisher((10, 10), (5, 10)), 5e-5, PRINTED,
    ),
    Row(
        "Fisher's p, the lady tasting tea, 3 of 4 right",
        "R. A. Fisher, The Design of Experiments (1935)", "mem",
        "0.4857", lambda: fisher((3, 4), (1, 4)), 5e-5, PRINTED,
    ),
    Row(
        "constant of the logistic fit, 23 flights", SHUTTLE, "mem",
        "15.0429", lambda: float(shuttle().coefficients[0]), 5e-5, PRINTED,
    ),
    Row(
        "slope of the logistic fit, 23 flights", SHUTTLE, "mem",
        "-0.2322", lambda: float(shuttle().coefficients[1]), 5e-5, PRINTED,
    ),
    Row("residual deviance of the fit", SHUTTLE, "mem", "20.315", lambda: shuttle().deviance, 5e-4, PRINTED),
    Row(
        "profile limit of the slope, low", "R, confint of glm, on the same flights", "mem",
        "-0.5154718", lambda: float(shuttle().low[1]), 5e-4, "theirs interpolates the profile with a spline",
    ),
    Row(
        "profile limit of the slope, high", "R, confint of glm, on the same flights", "mem",
        "-0.0608208", lambda: float(shuttle().high[1]),
        5e-4, "theirs interpolates the profile with a spline",
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()
