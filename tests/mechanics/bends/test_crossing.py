"""A wire drawn over another: the bend of a mandrel of that diameter, and the bar that keeps it in a limit."""

from __future__ import annotations

import numpy as np
import pytest

from helix.mechanics import limits
from helix.mechanics.bends.bend_strain import outer_fibre_strain, strain_severity
from helix.mechanics.bends.crossing import crossing_radius, crossing_strain, least_bar

BARS = np.geomspace(0.05, 30.0, 40)


def test_it_is_the_bend_round_a_mandrel_and_scales() -> None:
    strains = crossing_strain(1.0, BARS)
    assert strains == pytest.approx([outer_fibre_strain(float(radius)) for radius in crossing_radius(1.0, BARS)])
    assert crossing_strain(2.5, 2.5 * BARS) == pytest.approx(strains)
    assert np.all(np.diff(strains) < 0.0)
    assert crossing_strain(1.0, BARS) + crossing_strain(BARS, 1.0) == pytest.approx(
        1.0
    )  # the two sides of one crossing


def test_the_least_bar_is_that_of_the_limit() -> None:
    assert crossing_strain(0.8, least_bar(0.8, [0.2, 0.5, 0.75])) == pytest.approx([0.2, 0.5, 0.75])
    least = float(least_bar(0.8, limits.STRAIN_OK))
    assert least == pytest.approx(0.8)  # the wrapping test: on its own diameter
    words = [strain_severity(float(crossing_strain(0.8, bar))).word for bar in (least, 0.99 * least)]
    assert words == ["ok", "caution"]


def test_what_cannot_be_is_refused() -> None:
    for wrong in (lambda: crossing_radius(0.0, 1.0), lambda: crossing_strain(1.0, -1.0), lambda: least_bar(1.0, 1.5)):
        with pytest.raises(ValueError, match="must be"):
            wrong()
