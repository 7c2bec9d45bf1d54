"""Tubes: volume and area of a round wire that follows a curve (the law of Weyl and Hotelling)."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from helix.geometry.twist.strands import even_radius, helix_length, touching_pitch
from validation.rows import Row, ids

LAW = "H. Hotelling, Amer. J. Math. 61 (1939) 440; H. Weyl, Amer. J. Math. 61 (1939) 461"
WHY = "extrapolated from three meshes, each twice as fine as the last"


def tube(a: float, lay: float, turns: float, around: int, along: int) -> tuple[float, float]:
    """Return (volume, lateral area) of a closed triangle mesh round a helix, wire of diameter 1.

    Rings of `around` points in the planes square to the curve, flat triangles between, flat caps.
    """
    t = np.linspace(0.0, 2.0 * math.pi * turns, along + 1)[:, None]
    h = lay / (2.0 * math.pi)
    c = math.hypot(a, h)
    cos, sin, one = np.cos(t), np.sin(t), np.ones_like(t)
    centre = np.hstack([a * cos, a * sin, h * t])
    normal = np.hstack([-cos, -sin, 0.0 * t])
    binormal = np.hstack([h * sin, -h * cos, a * one]) / c
    phi = 2.0 * math.pi * np.arange(around) / around
    ring = np.cos(phi)[None, :, None] * normal[:, None] + np.sin(phi)[None, :, None] * binormal[:, None]
    p = centre[:, None] + 0.5 * ring
    p, q = p[:-1], p[1:]
    pn, qn = np.roll(p, -1, axis=1), np.roll(q, -1, axis=1)
    corners = [(p, pn, q), (pn, qn, q)]
    first, last = p[0], q[-1]
    middle_first, middle_last = centre[0] + 0.0 * first, centre[-1] + 0.0 * last
    caps = [(middle_first, np.roll(first, -1, axis=0), first), (middle_last, last, np.roll(last, -1, axis=0))]
    volume = sum(np.sum(x * np.cross(y, z)) / 6.0 for x, y, z in [*corners, *caps])
    area = sum(np.sum(np.linalg.norm(np.cross(y - x, z - x), axis=-1)) / 2.0 for x, y, z in corners)
    return float(volume), float(area)


@cache
def meshes(a: float, lay: float) -> np.ndarray:
    """Return volumes and areas of three meshes, each twice as fine in both directions, shape (3, 2)."""
    return np.array([tube(a, lay, 1.25, 24 * k, 60 * k) for k in (1, 2, 4)])


def extrapolated(a: float, lay: float) -> np.ndarray:
    """Return (volume, area) in the limit of a fine mesh: the errors go with the square, then the fourth power."""
    m = meshes(a, lay)
    once = (4.0 * m[1:] - m[:-1]) / 3.0
    return np.asarray((16.0 * once[1] - once[0]) / 15.0)


CURVES = {
    "leg of a twist, lay 4": (0.5, 4.0),
    "leg of an over-twist, lay 2.5": (even_radius(2.5), 2.5),
    "barrel": (1.0, touching_pitch()),
}

ROWS = [
    row
    for name, (a, lay) in CURVES.items()
    for row in (
        Row(
            f"volume of the wire, {name}, 1.25 turns: pi L/4",
            LAW,
            "mem",
            lambda a=a, lay=lay: float(extrapolated(a, lay)[0]),
            lambda a=a, lay=lay: 0.25 * math.pi * helix_length(a, lay, 1.25),
            1e-6,
            WHY,
        ),
        Row(
            f"surface of the wire, {name}, 1.25 turns: pi L",
            LAW,
            "mem",
            lambda a=a, lay=lay: float(extrapolated(a, lay)[1]),
            lambda a=a, lay=lay: math.pi * helix_length(a, lay, 1.25),
            1e-5,
            WHY,
        ),
    )
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.parametrize("name", CURVES)
def test_meshes_tend_to_the_law_as_the_square_of_their_step(name: str) -> None:
    a, lay = CURVES[name]
    wire = helix_length(a, lay, 1.25)
    errors = meshes(a, lay) - wire * np.array([0.25 * math.pi, math.pi])
    assert errors[:-1] / errors[1:] == pytest.approx(np.full((2, 2), 4.0), rel=0.02)
