"""Two wires of unequal length sharing a load. What is tested, strongest first:

* two parallel elastic-plastic bars by hand, regime by regime, and by a search for the distance at which the load is most;
* the plastic limit load knows nothing of a misfit; no slack gives twice one wire, much slack one; slack and loss are inverse;
* more slack never holds more, more uniform strain never less; length and slack, and all stresses, scale together.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.mechanics.pair.sharing import (
    WireLaw,
    caught_up,
    longer_strain,
    longer_stress,
    slack_for_loss,
    wire_strain,
    wire_stress,
)

E, Y, S, U = 193e3, 1700.0, 2068.0, 0.012
LAW = WireLaw(E, Y, S, U)
SLOPE = (S - Y) / (S / E + U - Y / E)

breaks = st.floats(200.0, S)
slacks = st.floats(0.0, 0.03)
laws = st.builds(lambda f, u: WireLaw(E, f * S, S, u), st.floats(0.5, 0.999), st.floats(0.0, 0.03))


@pytest.mark.parametrize(
    ("slack", "broke", "by_hand"),
    [
        (0.002, 1500.0, 1500.0 - E * 0.002),  # both elastic
        (0.002, 2000.0, 2000.0 - SLOPE * 0.002),  # both beyond the yield
        (0.013, 2000.0, E * (Y / E + (2000.0 - Y) / SLOPE - 0.013)),  # the shorter one alone beyond it
        (0.03, 2000.0, 0.0),  # the shorter one breaks before the slack is used up
    ],
)  # fmt: skip
def test_the_bars_by_hand(slack: float, broke: float, by_hand: float) -> None:
    small = 1e-6  # by hand to first order in the slack: strains so small that no second is left
    tiny = WireLaw(E / small, Y, S, small * U)
    assert float(longer_stress(small * slack, broke, tiny)) == pytest.approx(by_hand, abs=2e-3)


@given(slack=slacks, broke=breaks, law=laws)
def test_the_most_load_on_the_way_is_that_of_the_kernel(slack: float, broke: float, law: WireLaw) -> None:
    at_break = float(wire_strain(broke, law))
    shorter = np.linspace(0.0, at_break, 2001)  # as the two ends move apart
    length = 250.0
    longer = (length * (1.0 + shorter) - length * (1.0 + slack)) / (length * (1.0 + slack))
    pair = wire_stress(shorter, law) + wire_stress(longer, law)
    assert float(pair.max()) == pytest.approx(broke + float(longer_stress(slack, broke, law)), rel=1e-9)


@given(stress=breaks, law=laws)
def test_strain_and_stress_are_inverse(stress: float, law: WireLaw) -> None:
    assert float(wire_stress(wire_strain(stress, law), law)) == pytest.approx(stress, rel=1e-9)


@given(slack=st.floats(0.0, 0.02))
def test_the_plastic_limit_load_knows_nothing_of_a_misfit(slack: float) -> None:
    flat = WireLaw(E, S * (1.0 - 1e-9), S, 0.1)
    assert float(longer_stress(slack, S, flat)) == pytest.approx(S, rel=2e-9)


@given(broke=breaks, law=laws)
def test_no_slack_is_twice_one_wire_and_much_is_one(broke: float, law: WireLaw) -> None:
    assert float(longer_stress(0.0, broke, law)) == pytest.approx(broke, rel=1e-9)
    assert float(longer_stress(1.0, broke, law)) == 0.0


@given(loss=st.floats(0.001, 0.5), broke=breaks, law=laws)
def test_slack_and_loss_are_inverse(loss: float, broke: float, law: WireLaw) -> None:
    slack = slack_for_loss(loss, broke, law)
    lost = 1.0 - (broke + float(longer_stress(slack, broke, law))) / (2.0 * broke)
    assert lost == pytest.approx(loss, abs=1e-9)


def test_more_slack_never_holds_more_and_more_uniform_strain_never_less() -> None:
    slack, lasting = np.linspace(0.0, 0.03, 121), np.linspace(0.0, 0.03, 31)
    stress = longer_stress(slack[:, None], 1950.0, WireLaw(E, Y, S, lasting))
    assert (np.diff(stress, axis=0) <= 1e-9).all() and (np.diff(stress, axis=1) >= -1e-9).all()
    assert stress.min() == 0.0 and stress.max() <= 1950.0 * (1.0 + 1e-12)


@given(slack=slacks, broke=breaks, law=laws)
def test_catching_up_is_none_in_elastic_wire_and_never_all_of_it(slack: float, broke: float, law: WireLaw) -> None:
    share = float(caught_up(slack, broke, law))
    assert -1e-9 <= share <= 1.0 + 1e-9
    if broke <= float(np.asarray(law.yield_mpa)):
        assert abs(share) < 1e-9


@given(factor=st.floats(0.1, 10.0), slack=slacks, broke=breaks)
def test_stresses_scale_together(factor: float, slack: float, broke: float) -> None:
    scaled = WireLaw(factor * E, factor * Y, factor * S, U)
    assert float(longer_stress(slack, factor * broke, scaled)) == pytest.approx(
        factor * float(longer_stress(slack, broke, LAW)), rel=1e-9, abs=1e-6
    )


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: longer_strain(0.0, -1e-6), "slack must be zero or more"),
        (lambda: longer_strain(-1e-6, 0.0), "strain must be zero or more"),
        (lambda: slack_for_loss(0.51, 1.0, LAW), "twice the loss must be from 0 to 1"),
        (lambda: WireLaw(E, 1.1 * S, S, U), "yield_mpa over strength_mpa must be from 0 to 1"),
        (lambda: WireLaw(E, Y, S, -0.1), "uniform_strain must be zero or more"),
        (lambda: WireLaw(0.0, Y, S, U), "modulus_mpa must be above zero"),
    ],
)
def test_what_cannot_be_is_refused(call, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        call()
