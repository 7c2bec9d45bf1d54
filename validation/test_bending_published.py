"""Bending of round wire: plastic moment, springback, wrapping tests."""

from __future__ import annotations

import math
from functools import cache

import pytest

from helix.geometry.twist.strands import helix_curvature, touching_pitch
from helix.mechanics.bends.bend_strain import bend_strain, outer_fibre_strain, strain_severity
from helix.mechanics.bends.bending import (
    moment_ratio,
    plastic_moment,
    sprung_radius,
    strip_springback_ratio,
    yield_moment,
)
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
DERIVATION = "derivation in docs/theory/bending.md; an independent calculation"
WRAPPING = "wrapping test of EN 10218-1 by way of EN 10270-1: nominal strain d/(D + d)"


@cache
def quadrature(ratio: float) -> float:
    """Return M/M_y by adaptive quadrature (scipy) of the elastic-plastic stress over the round section."""
    from scipy.integrate import quad

    def strip(y: float) -> float:
        return 4.0 * math.sqrt(1.0 - y * y) * y * min(ratio * y, 1.0)

    edge = 1.0 / ratio
    total = quad(strip, 0.0, edge, epsabs=1e-13)[0] + quad(strip, edge, 1.0, epsabs=1e-13)[0]
    return float(total) / (0.25 * math.pi)


ROWS = [
    Row(
        "plastic over yield moment of a round bar",
        "16/(3 pi), any text on plastic bending",
        "mem",
        "1.69765",
        lambda: plastic_moment(1.0, 1.0) / yield_moment(1.0, 1.0),
        5e-6,
        PRINTED,
    ),
    *(
        Row(
            f"moment over yield moment at {x} times the yield curvature",
            DERIVATION,
            "der",
            value,
            lambda x=x: moment_ratio(x),
            5e-6,
            PRINTED,
        )
        for x, value in ((2, "1.49366"), (5, "1.66390"), (20, "1.69553"))
    ),
    *(
        Row(
            f"the same at {x}, against the integral of the stress",
            "scipy.integrate.quad",
            "calc",
            lambda x=x: quadrature(float(x)),
            lambda x=x: moment_ratio(x),
            1e-11,
            "the quadrature's own error",
        )
        for x in (2, 5, 20)
    ),
    Row(
        "springback of a flat strip at x = 0.1",
        "textbook 1 - 3x + 4x^3",
        "mem",
        "0.704",
        lambda: strip_springback_ratio(0.1),
        1e-15,
        "exact; rounding",
    ),
    *(
        Row(
            f"radius over d of a {d} mm wire, strength {strength:g} MPa, wound on its own diameter and let go",
            DERIVATION,
            "der",
            value,
            lambda d=d, f=strength: sprung_radius(d, d, f, 190000.0) / d,
            5e-5,
            PRINTED,
        )
        for d, strength, value in ((0.41, 1800.0, "1.0332"), (0.84, 1575.0, "1.0290"))
    ),
    *(
        Row(
            f"strain of the wire on a mandrel of {m} d, %",
            WRAPPING,
            "rep",
            value,
            lambda m=m: 100.0 * outer_fibre_strain(0.5 * (m + 1.0)),
            0.05,
            PRINTED,
        )
        for m, value in ((1, "50.0"), (2, "33.3"), (3, "25.0"))
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_a_barrel_is_the_wrapping_test_and_passes_as_such() -> None:
    strain = bend_strain(helix_curvature(1.0, touching_pitch()))
    assert 0.48 < strain < 0.5
    assert strain_severity(strain).word == "ok"
