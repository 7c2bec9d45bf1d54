"""The load of one more piece. Map: it covers as often as it says, by simulation; never below 0; too few pieces; refusals."""

from __future__ import annotations

import math

import numpy as np
import pytest

from helix.statistics.fits.next_piece import next_piece_bound


@pytest.mark.parametrize("pieces", [3, 5, 10, 30])
def test_nineteen_of_twenty_next_pieces_hold_more(pieces: int) -> None:
    rng = np.random.default_rng(pieces)
    benches = 4000
    loads = 800.0 * np.exp(0.04 * rng.standard_normal((benches, pieces + 1)))
    held = np.mean([loads[k, -1] > (next_piece_bound(loads[k, :-1]) or math.inf) for k in range(benches)])
    assert held == pytest.approx(0.95, abs=3.0 * math.sqrt(0.05 * 0.95 / benches))


def test_many_pieces_give_their_own_five_percent() -> None:
    loads = np.exp(6.7 + 0.03 * np.random.default_rng(4).standard_normal(20_000))
    assert next_piece_bound(loads) == pytest.approx(float(np.quantile(loads, 0.05)), rel=0.002)


def test_it_is_above_0_however_wild_the_pieces() -> None:
    assert 0.0 < (next_piece_bound([1.0, 500.0, 900.0]) or 0.0) < 1.0


@pytest.mark.parametrize("loads", [[], [800.0], [800.0, 820.0], [800.0, 800.0, 800.0]])
def test_too_few_or_all_alike_give_none(loads: list[float]) -> None:
    assert next_piece_bound(loads) is None


@pytest.mark.parametrize("loads", [[0.0, 1.0, 2.0], [math.nan, 1.0, 2.0], [[1.0, 2.0]]])
def test_loads_that_are_none(loads: list[float]) -> None:
    with pytest.raises(ValueError, match="loads"):
        next_piece_bound(loads)
