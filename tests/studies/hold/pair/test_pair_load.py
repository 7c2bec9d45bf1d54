"""What two wires worked as one hold. What is tested, strongest first:

* never more than twice what one wire's joint holds, never less than one; a bound whatever the two wires have in common;
* more slack never holds more, limits of no and of much slack; the load at the most slack is `limits.PAIR_LOSS` lower;
* slack and free length scale together; the most slack is in proportion to the free length; yielding wire never holds less;
* what cannot be is told, all at once.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helix.errors import ValidationError
from helix.mechanics import limits
from helix.mechanics.pair.stiffness import column_load
from helix.model.joint.wire import wire_of
from helix.studies.hold.pair.pair_load import HAND_MM, PairLoad, pair_load
from helix.studies.hold.pair.pair_stiffness import stiffness_beside

WIRE = wire_of("302 stainless", 0.7366)
PIECES = WIRE.breaking_load_n[1] * 0.85 * np.exp(0.08 * np.random.default_rng(5).standard_normal(4000))


def loads(pair: PairLoad) -> tuple[np.ndarray, ...]:
    rows = pair.rows
    return tuple(np.array([getattr(row, name) for row in rows]) for name in ("expected_n", "plan_with_n", "yielding_n"))


@settings(max_examples=40)
@given(slack=st.floats(0.0, 50.0), length=st.floats(20.0, 3000.0))
def test_never_above_twice_one_wire_and_never_below_one(slack: float, length: float) -> None:
    pair = pair_load(WIRE, PIECES, length, slack)
    assert pair.one_plan_with_n <= pair.plan_with_n <= 2.0 * pair.one_plan_with_n == pair.reckoned_n
    assert pair.one_expected_n <= pair.expected_n <= 2.0 * pair.one_expected_n


@pytest.mark.parametrize("common", [0.0, 0.5, 0.9, 1.0])
def test_no_more_than_19_of_20_pairs_fall_short_whatever_the_two_have_in_common(common: float) -> None:
    chance = np.random.default_rng(7)
    shared, one, other = chance.standard_normal((3, 200_000))
    nominal = WIRE.breaking_load_n[1] * 0.85
    both = [nominal * np.exp(0.08 * (np.sqrt(common) * shared + np.sqrt(1.0 - common) * own)) for own in (one, other)]
    pair = pair_load(WIRE, both[0], 300.0, 0.0)
    held = 2.0 * np.minimum(*both)  # without slack both carry alike until the weaker breaks
    assert float(np.mean(held < pair.plan_with_n)) <= limits.HELD * 1.01
    assert pair.expected_n <= float(held.mean()) * 1.002
    if common == 0.0:  # and no more cautious than need be
        assert pair.expected_n == pytest.approx(float(held.mean()), rel=2e-3)
        assert float(np.mean(held < pair.plan_with_n)) == pytest.approx(limits.HELD, rel=0.05)


def test_more_slack_never_holds_more_and_the_ends_are_twice_and_one() -> None:
    pair = pair_load(WIRE, PIECES, 300.0)
    expected, planned, yielding = loads(pair)
    assert all((np.diff(one) <= 0.0).all() for one in (expected, planned, yielding)) and (yielding >= expected).all()
    assert pair.rows[0].longer_proportion == pytest.approx(0.5, abs=1e-12)
    assert (expected[-1], planned[-1]) == (pair.one_expected_n, pair.one_plan_with_n)
    assert planned[0] == pytest.approx(2.0 * np.quantile(PIECES, 0.5 * limits.HELD), rel=1e-12)


@pytest.mark.parametrize("length", [50.0, 300.0, 2000.0])
def test_the_most_slack_costs_its_part_and_is_in_proportion_to_the_length(length: float) -> None:
    pair = pair_load(WIRE, PIECES, length, pair_load(WIRE, PIECES, length).most_slack_mm)
    assert pair.plan_with_n == pytest.approx((1.0 - limits.PAIR_LOSS) * pair.rows[0].plan_with_n, rel=1e-9)
    assert pair.most_slack_mm / length == pytest.approx(pair_load(WIRE, PIECES, 1.0).most_slack_mm, rel=1e-9)


@pytest.mark.parametrize("length", [50.0, 300.0, 2000.0])
def test_nobody_is_taken_to_cut_finer_than_hands_do(length: float) -> None:
    pair = pair_load(WIRE, PIECES, length)
    assert pair.slack_mm == max(pair.most_slack_mm, HAND_MM)
    assert pair.plan_with_n == pair_load(WIRE, PIECES, length, max(HAND_MM, pair.most_slack_mm)).plan_with_n
    assert (pair.plan_with_n < pair.rows[2].plan_with_n) is (pair.most_slack_mm < HAND_MM)


def test_only_what_is_above_the_yield_catches_up() -> None:
    weak, strong = (pair_load(WIRE, factor * PIECES, 300.0, 0.4) for factor in (0.5, 1.15))
    assert max(row.caught_up for row in weak.rows) < 1e-9 and weak.rows[3].yielding_n == pytest.approx(
        weak.rows[3].expected_n, rel=1e-12
    )
    assert strong.rows[3].caught_up > 0.1 and strong.rows[3].yielding_n > 1.01 * strong.rows[3].expected_n


def test_the_stiffness_is_said_of_the_length_that_is_free() -> None:
    beside = stiffness_beside(WIRE, 300.0)
    assert beside.pair.stiffness_n_mm2 / beside.same_size.stiffness_n_mm2 == pytest.approx(2.0, rel=1e-12)
    assert beside.pair.stiffness_n_mm2 / beside.same_area.stiffness_n_mm2 == pytest.approx(0.5, rel=1e-12)
    assert beside.same_area.set_radius_mm / beside.pair.set_radius_mm == pytest.approx(np.sqrt(2.0), rel=1e-12)
    assert beside.pair.buckles_n == pytest.approx(float(column_load(beside.pair.stiffness_n_mm2, 300.0)), rel=1e-12)
    assert beside.pair.bow_n < beside.pair.buckles_n and beside.pair.bow_n == pytest.approx(
        2.0 * beside.same_size.bow_n, rel=1e-12
    )


@pytest.mark.parametrize(
    ("length", "slack", "faults"),
    [(0.0, None, ["free_length"]), (-1.0, -0.1, ["free_length", "slack"]), (300.0, -1e-9, ["slack"]), (np.nan, np.inf, ["free_length", "slack"])],
)  # fmt: skip
def test_what_cannot_be_is_told_all_at_once(length: float, slack: float | None, faults: list[str]) -> None:
    with pytest.raises(ValidationError) as refused:
        pair_load(WIRE, PIECES, length, slack)
    assert [fault.path.key for fault in refused.value.faults] == faults
