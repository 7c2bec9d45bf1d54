"""Events of load-extension curves that were made with known events."""

from __future__ import annotations

import numpy as np
import pytest

from helix.statistics.load_curves import curve_events


def line(
    slack: float = 0.3, stiffness: float = 150.0, last: float = 6.0, noise: float = 0.4, step: float = 0.002
) -> tuple[np.ndarray, np.ndarray]:
    """A straight rise that breaks at `last`, with noise."""
    x = np.arange(0.0, last + 0.5, step)
    f = np.where(x < last, np.clip(x - slack, 0.0, None) * stiffness, 2.0)
    return x, f + noise * np.random.default_rng(1).standard_normal(x.size)


def test_a_piece_that_breaks_has_peak_stiffness_slack_and_an_end() -> None:
    found = curve_events(*line())
    assert found.peak == pytest.approx(150.0 * 5.7, abs=2.0)
    assert found.peak_at == pytest.approx(6.0, abs=0.02)
    assert found.stiffness == pytest.approx(150.0, rel=2e-3)
    assert found.slack == pytest.approx(0.3, abs=0.01)
    assert found.end is not None
    assert found.end.at == pytest.approx(6.0, abs=0.02)
    assert found.drops == ()
    assert found.departure is None


@pytest.mark.parametrize("depth", [15.0, 60.0, 200.0])
def test_a_slip_is_found_where_it_is_and_as_deep_as_it_is(depth: float) -> None:
    x, f = line(noise=0.2)
    at = 4.0
    f = np.where((x > at) & (x < 6.0), f - depth, f)
    found = curve_events(x, f)
    (drop,) = found.drops
    assert drop.at == pytest.approx(at, abs=0.01)
    assert drop.before - drop.after == pytest.approx(depth, abs=2.0)
    assert found.stiffness == pytest.approx(150.0, rel=5e-3)


def test_noise_alone_is_no_slip_and_three_slips_are_three() -> None:
    x, f = line(noise=3.0)
    assert curve_events(x, f).drops == ()
    x, f = line(noise=0.5)
    for at in (2.0, 3.0, 4.5):
        f = np.where((x > at) & (x < 6.0), f - 40.0, f)
    assert [round(drop.at, 1) for drop in curve_events(x, f).drops] == [2.0, 3.0, 4.5]


def test_a_pull_that_is_stopped_neither_slips_nor_ends() -> None:
    x, f = line()
    found = curve_events(x[x < 5.9], f[x < 5.9])
    assert found.drops == () and found.end is None and found.peak == pytest.approx(150.0 * 5.6, abs=2.0)


@pytest.mark.parametrize("onset", [2.0, 3.0, 4.5])
def test_unwinding_starts_where_the_line_is_left_for_good(onset: float) -> None:
    x, f = line(last=9.0)
    load = (onset - 0.3) * 150.0
    f = np.where((x > onset) & (x < 9.0), load + (x - onset) * 12.0, f)
    found = curve_events(x, f)
    assert found.departure is not None
    # it is told once 5 % of the elastic extension at the peak are gone
    late = 0.05 * found.peak / 150.0 / (1.0 - 12.0 / 150.0)
    assert found.departure[0] == pytest.approx(onset + late, abs=0.05)
    assert found.departure[1] == pytest.approx(load, rel=0.03)


def test_units_scale_and_refusals() -> None:
    x, f = line()
    one, two = curve_events(x, f), curve_events(x / 25.4, f / 4.448)
    assert two.stiffness == pytest.approx(one.stiffness * 25.4 / 4.448, rel=1e-9)
    assert two.peak == pytest.approx(one.peak / 4.448)
    with pytest.raises(ValueError, match="at least 20 points"):
        curve_events([0.0, 1.0], [0.0, 1.0])
    with pytest.raises(ValueError, match="must rise"):
        curve_events(np.arange(30.0), -np.arange(30.0))
    with pytest.raises(ValueError, match="finite"):
        curve_events(np.arange(30.0), np.full(30, np.nan))
