"""The simulated rod, plastic: hinge, torsion, a coil unwound, a bend straightened under tension."""

from __future__ import annotations

import math

import numpy as np
import pytest

from helix.mechanics.bends.straightening import axial_share
from helix.mechanics.rod.rod_making import PLASTIC_BENDING, PLASTIC_TORSION, STIFFNESS
from helix.mechanics.rod.section import return_to_yield, yield_norm
from validation import rod_cases as cases
from validation.rows import Row, ids

pytestmark = pytest.mark.xdist_group("rod")
SECTION = "plastic round section, n = (2/pi)(th + sin th cos th), m = cos^3 th, cut into fibres"


def straightened(tension: float, hardening: float = 0.0) -> tuple[float, float]:
    """Bend a section plastically, then straighten it under a tension: neutral axis in radii, and moment over M_p."""
    stiff = STIFFNESS * np.array([1.0, 1 / 16, 1 / 16, 1 / 20.8])
    plastic = np.array([1.0, PLASTIC_BENDING, PLASTIC_BENDING, PLASTIC_TORSION])
    hard = hardening * np.array([1.0, 1 / 16, 1 / 16, 1 / 24])
    s, x = np.zeros(4), np.zeros(4)
    stretch = 0.0
    for curl, axial, count in ((1e-3, 0.0, 1000), (-1e-3, tension, 1600)):
        stretch = 0.0
        for k in range(count):
            held = 0.0
            for _ in range(100):  # the stretch that keeps the tension
                trial, back = s.copy(), x.copy()
                trial[1] += stiff[1] * curl / plastic[1]
                trial[0] += stiff[0] * held
                if yield_norm(trial[0] - back[0], trial[1] - back[1], 0.0) > 1.0:
                    return_to_yield(trial, back, stiff / plastic**2, hard / plastic**2)
                if abs(axial - trial[0]) < 1e-9:
                    break
                held += (axial - trial[0]) / stiff[0]
            s, x = trial, back
            if k >= count - 200:
                stretch += held / 200.0
    return float(stretch / 5e-4), float(-s[1])


def exact(tension: float) -> tuple[float, float]:
    """Neutral axis in radii, and moment over M_p, of the exact section."""
    grid = np.linspace(0.0, 1.0, 100_001)
    x = float(np.interp(tension, axial_share(grid), grid))
    return x, (1.0 - x * x) ** 1.5


def fibres(tension: float, hardening: float, count: int = 400) -> float:
    """Moment over M_p of fibres that harden kinematically, bent by 1 and straightened by 1.6 under a tension."""
    y = (np.arange(count) + 0.5) / count * 2.0 - 1.0
    area = np.sqrt(1.0 - y * y)
    area /= area.sum()
    strain, plastic, mean = np.zeros(count), np.zeros(count), 0.0

    def stress(strain: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        over = STIFFNESS * (strain - plastic) - hardening * plastic
        flow = np.sign(over) * np.maximum(np.abs(over) - 1.0, 0.0) / (STIFFNESS + hardening)
        return STIFFNESS * (strain - plastic - flow), plastic + flow

    at = 0.0
    for curl, load, steps in ((1.0, 0.0, 400), (-1.6, tension, 640)):
        for _ in range(steps):
            at += curl / steps * 0.5
            low, high = mean - 0.01, mean + 0.01
            for _ in range(40):
                mean = 0.5 * (low + high)
                force = float(area @ stress(mean + at * y)[0])
                low, high = (mean, high) if force < load else (low, mean)
            strain = mean + at * y
            plastic = stress(strain)[1]
    return float(-(area * y) @ stress(strain)[0] / (4.0 / (3.0 * math.pi)))


ROWS = [
    Row("load of a cantilever's tip past collapse, over M_p/L", "plastic hinge, any text", "mem", "1.000",
        lambda: cases.hinge(1.0)[0], 2e-3, "read while it moves"),
    Row("torque of a rod turned far past yield, over pi d^3 sigma/(12 sqrt 3)", "any text on plastic torsion", "mem",
        "1.000", lambda: cases.torsion(3.0)[0] / PLASTIC_TORSION, 3e-3, "read while it moves"),
    Row("pull that unwinds a set coil from a smooth pin, over M_p kappa less what stays elastic",
        "work of unbending, mechanics of a plastic hinge that travels", "der", "1.00",
        lambda: cases.uncoiling(0.5)[0] / cases.uncoiling(0.5)[1], 0.01,
        "tension weakens the section by 0.3 %; mesh of 0.5 d"),
    *(
        row
        for n in (0.5, 0.8, 0.9)
        for row in (
            Row(f"neutral axis of a bend straightened under {n} of the strength, in radii", SECTION, "der",
                f"{exact(n)[0]:.4f}", lambda n=n: straightened(n)[0], 0.02, "the yield curve is a fit"),
            Row(f"moment of the same, over M_p at {n}", SECTION, "der", f"{exact(n)[1]:.4f}",
                lambda n=n: straightened(n)[1], 0.01, "the yield curve is a fit, 0.004"),
        )
    ),
    Row("moment of the same at 0.8 with a hardening of 0.3, against 400 fibres", "fibre section in this file", "calc",
        "0.633", lambda: straightened(0.8, 0.3)[1], 0.05,
        "one surface for the section hardens as a whole, fibres one by one"),
]  # fmt: skip


@pytest.mark.parametrize(
    "row",
    [pytest.param(row, marks=pytest.mark.slow if "unwinds a set coil" in row.claim else ()) for row in ROWS],
    ids=ids(ROWS),
)
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.slow
def test_every_work_is_accounted_for_and_nothing_overlaps() -> None:
    assert max(cases.hinge(1.0)[-1], cases.torsion(3.0)[-1], cases.uncoiling(0.5)[-1]) < 0.005
    assert cases.uncoiling(0.5)[2] < 0.01


@pytest.mark.slow
def test_the_number_of_the_fibres_is_theirs_and_has_converged() -> None:
    assert fibres(0.8, 0.3) == pytest.approx(0.633, abs=5e-4)
    assert fibres(0.8, 0.3, 800) == pytest.approx(0.633, abs=2e-3)


@pytest.mark.slow
def test_mesh_and_speed_hardly_matter() -> None:
    first = cases.uncoiling(0.5)[0]
    assert cases.uncoiling(0.4)[0] == pytest.approx(first, rel=0.01)
    assert cases.uncoiling(0.5, 2.0)[0] == pytest.approx(first, rel=0.01)
    assert cases.hinge(0.5)[0] == pytest.approx(1.0, abs=2e-3)
    assert cases.hinge(1.0, 2.0)[0] == pytest.approx(1.0, abs=2e-3)
