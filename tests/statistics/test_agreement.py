"""Whether pieces agree with a prediction. Map, strongest first: sums over all outcomes; p is even where the prediction is
true; what two alike joints show against draws; refusals."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from helix.statistics.agreement import WEAKER_OF_TWO, count_agreement, mean_agreement


@pytest.mark.parametrize("chances", [[0.2], [0.001], [0.1, 0.7], [0.0, 1.0]])
def test_counts_against_every_outcome(chances: list[float]) -> None:
    n = 6
    tails = {}
    for count in range(n + 1):
        each = [
            np.mean([math.prod(p if did else 1.0 - p for did in pieces) for p in chances])
            for pieces in product((0, 1), repeat=n)
            if sum(pieces) == count
        ]
        tails[count] = float(np.sum(each))
    for count in range(n + 1):
        above = sum(tails[k] for k in range(count, n + 1))
        below = sum(tails[k] for k in range(count + 1))
        assert count_agreement(count, n, chances) == pytest.approx(min(1.0, 2.0 * min(above, below)), abs=1e-12)


def test_weights_are_as_repeated_chances() -> None:
    assert count_agreement(3, 9, [0.1, 0.5], [2.0, 1.0]) == pytest.approx(count_agreement(3, 9, [0.1, 0.1, 0.5]))


def test_under_1_in_1000_and_2_of_10_do_not_agree() -> None:
    assert count_agreement(2, 10, [0.001]) == pytest.approx(2.0 * 45e-6, rel=0.01)


def test_a_true_prediction_is_doubted_as_often_as_p_says() -> None:
    rng = np.random.default_rng(1)
    n, centre, shared, scatter = 7, 6.5, 0.06, 0.04
    coil = centre + shared * rng.standard_normal(4000)
    means = (coil[:, None] + scatter * rng.standard_normal((4000, n))).mean(axis=1)
    p = np.array([mean_agreement(float(mean), n, centre, shared, scatter) for mean in means])
    for level in (0.05, 0.2, 0.5):
        assert float(np.mean(p < level)) == pytest.approx(level, abs=3.0 * math.sqrt(level * (1 - level) / 4000))


def test_the_weaker_of_two() -> None:
    lesser = np.random.default_rng(2).standard_normal((400_000, 2)).min(axis=1)
    assert (lesser.mean(), lesser.std()) == pytest.approx(WEAKER_OF_TWO, abs=0.005)


@pytest.mark.parametrize(
    ("count", "n", "chances"), [(-1, 3, [0.5]), (4, 3, [0.5]), (0, 0, [0.5]), (1, 3, []), (1, 3, [1.1])]
)
def test_counts_out_of_range(count: int, n: int, chances: list[float]) -> None:
    with pytest.raises(ValueError, match="chance"):
        count_agreement(count, n, chances)


def test_a_mean_needs_pieces_and_a_spread() -> None:
    for n, shared, scatter in ((0, 0.1, 0.1), (3, 0.0, 0.0)):
        with pytest.raises(ValueError, match="spread"):
            mean_agreement(6.5, n, 6.5, shared, scatter)
