"""Range checks of kernels: what is within is given back as floats in its shape; else the first that is not is told."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from helix.mechanics.checks import check_acute, check_nonnegative, check_positive, check_proportion


@pytest.mark.parametrize(
    ("check", "good", "bad", "wanted"),
    [
        (check_nonnegative, [0, 2], [-1e-300, math.nan], "zero or more"),
        (check_positive, [1e-300, 2], [0.0, math.nan], "above zero"),
        (check_proportion, [0, 0.9, 1], [math.nextafter(1.0, 2.0), -1e-300, math.nan], "from 0 to 1"),
        (check_acute, [0, 1.5], [0.5 * math.pi, -1e-300, math.nan], "from 0 to below pi/2"),
    ],
)
def test_what_is_within_is_given_back_and_the_first_that_is_not_is_told(
    check: Callable[[object, str], np.ndarray], good: list[float], bad: list[float], wanted: str
) -> None:
    kept = check([good, good], "load")
    assert kept.dtype == float and kept.tolist() == [good, good]
    assert check(good[-1], "load").shape == ()
    for value in bad:
        with pytest.raises(ValueError) as caught:
            check([good[0], value, -9.0], "load")
        assert str(caught.value) == f"load must be {wanted}; got {value!r}"
