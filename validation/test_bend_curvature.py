"""Bends between sections: curvature from lay angle and radius, against the curves themselves."""

from __future__ import annotations

import math
from functools import cache

import mpmath as mp
import numpy as np
import pytest
import sympy as sp

from helix.geometry.maths.jets import CUBIC_STEP, SEPTIC_STEP
from helix.geometry.wire.curves import CoreCoil, Strand, curvature_vectors, derivatives
from validation.rows import Row, ids

CYLINDER = "kappa^2 = beta'^2 + sin^4(beta)/r^2, differential geometry of the cylinder"
CHANGING = "kappa^2 by lay angle, radius and their slopes; proved by symbols in this file"


def curvature(curve: Strand | CoreCoil, t: float) -> float:
    """Return the curvature of one of our curves at the share t of its parameter."""
    return float(np.linalg.norm(curvature_vectors(derivatives(curve, np.array([t * curve.span]), 2))[0]))


def stepped(start: float, end: float, step: tuple[float, ...]) -> tuple[float, ...]:
    """Return the coefficients of start + (end - start) step(t)."""
    return (start, *((end - start) * c for c in step[1:]))


SWING = CoreCoil(stepped(math.radians(38.146), math.radians(80.842), CUBIC_STEP), 0.3, 1.0, 4.2)
RUN_IN = Strand(stepped(0.5, 0.0, SEPTIC_STEP), (2.0 * math.pi / 4.0,), 0.2, 0.0, 3.0)
OPENING = Strand(stepped(0.5, 0.6, SEPTIC_STEP), stepped(2.0, 1.4, CUBIC_STEP), 0.0, 0.0, 3.0)


@cache
def on_a_cylinder(t: float) -> float:
    """Return the curvature of SWING by the formula for a cylinder of radius 1."""
    lay = np.polynomial.Polynomial(SWING.lay)
    return float(math.hypot(lay.deriv()(t) / SWING.span, math.sin(lay(t)) ** 2))


@cache
def with_changing_radius(curve: Strand, t: float) -> float:
    """Return the curvature of a strand by the formula for a changing radius, slopes by mpmath's differences.

    With r' = sin g, phi' = p = cos(g) sin(beta)/r, primes along the wire.
    """
    with mp.workdps(30):

        def radius(z: mp.mpf) -> mp.mpf:
            return mp.polyval([mp.mpf(c) for c in reversed(curve.radius)], z / curve.span)

        def rate(z: mp.mpf) -> mp.mpf:
            return mp.polyval([mp.mpf(c) for c in reversed(curve.rate)], z / curve.span)

        def speed(z: mp.mpf) -> mp.mpf:
            return mp.sqrt(1 + mp.diff(radius, z) ** 2 + (radius(z) * rate(z)) ** 2)

        def climb(z: mp.mpf) -> mp.mpf:
            return mp.asin(mp.diff(radius, z) / speed(z))

        z = mp.mpf(t) * curve.span
        g, beta = climb(z), mp.atan(radius(z) * rate(z))
        dg = mp.diff(climb, z) / speed(z)
        dbeta = mp.diff(lambda x: mp.atan(radius(x) * rate(x)), z) / speed(z)
        p = mp.cos(g) * mp.sin(beta) / radius(z)
        square = (
            dg**2
            + (mp.cos(g) * dbeta) ** 2
            + p**2 * ((mp.cos(g) * mp.sin(beta)) ** 2 + mp.sin(g) ** 2)
            - 2 * dg * p * mp.sin(beta)
            + 2 * mp.sin(g) * mp.cos(g) * mp.cos(beta) * dbeta * p
        )
        return float(mp.sqrt(square))


ROWS = [
    *(
        Row(
            f"curvature of a swing from 38.1 to 80.8 deg on the core, at {t} of it",
            CYLINDER,
            "der",
            lambda t=t: on_a_cylinder(t),
            lambda t=t: curvature(SWING, t),
            1e-12,
            "rounding",
        )
        for t in (0.1, 0.5, 0.8)
    ),
    *(
        Row(
            f"curvature of a leg that {name}, at {t} of it",
            CHANGING,
            "der",
            lambda curve=curve, t=t: with_changing_radius(curve, t),
            lambda curve=curve, t=t: curvature(curve, t),
            1e-10,
            "mpmath's differences",
        )
        for name, curve in (("runs in onto the axis", RUN_IN), ("opens its lay and moves out", OPENING))
        for t in (0.25, 0.6)
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_the_formula_for_a_changing_radius_by_symbols() -> None:
    s = sp.symbols("s")
    g, beta, phi = (sp.Function(name)(s) for name in ("g", "beta", "phi"))
    radial = sp.Matrix([sp.cos(phi), sp.sin(phi), 0])
    around = sp.Matrix([-sp.sin(phi), sp.cos(phi), 0])
    axis = sp.Matrix([0, 0, 1])
    tangent = sp.sin(g) * radial + sp.cos(g) * (sp.sin(beta) * around + sp.cos(beta) * axis)
    turned = tangent.diff(s)
    dg, db, p = g.diff(s), beta.diff(s), phi.diff(s)
    claimed = (
        dg**2
        + sp.cos(g) ** 2 * db**2
        + p**2 * (sp.cos(g) ** 2 * sp.sin(beta) ** 2 + sp.sin(g) ** 2)
        - 2 * dg * p * sp.sin(beta)
        + 2 * sp.sin(g) * sp.cos(g) * sp.cos(beta) * db * p
    )
    assert sp.simplify(turned.dot(turned) - claimed) == 0
    # at a constant radius r: p = sin(beta)/r
    r = sp.symbols("r", positive=True)
    level = claimed.subs(dg, 0).subs(g, 0).subs(p, sp.sin(beta) / r)
    assert sp.simplify(level - db**2 - sp.sin(beta) ** 4 / r**2) == 0
