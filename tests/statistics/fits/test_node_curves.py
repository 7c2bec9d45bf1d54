"""Curves through values at nodes, against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline, PchipInterpolator

from helix.statistics.fits.node_curves import Kind, curve_at, node_slopes


@pytest.mark.parametrize("kind", ["spline", "monotone"])
@pytest.mark.parametrize("count", [3, 4, 5, 9])
def test_values_and_slopes_are_those_of_scipy(kind: Kind, count: int) -> None:
    random = np.random.default_rng(count)
    for _ in range(20):
        nodes = np.cumsum(random.uniform(0.1, 1.0, count)) - 2.0
        values = random.normal(size=(count, 3))
        values[:, 1].sort()
        values[count // 2, 2] = values[count // 2 - 1, 2]  # level in between
        z = np.concatenate((nodes, random.uniform(nodes[0] - 0.3, nodes[-1] + 0.3, 50)))
        theirs = (CubicSpline if kind == "spline" else PchipInterpolator)(nodes, values)
        assert np.allclose(curve_at(nodes, values, z, kind), theirs(z), rtol=0, atol=1e-11)
        assert np.allclose(node_slopes(nodes, values, kind), theirs(nodes, 1), rtol=0, atol=1e-10)
