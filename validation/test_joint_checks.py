"""The whole joint: arc lengths, linking number, clearance, by other methods."""

from __future__ import annotations

import math
from functools import cache

import mpmath as mp
import numpy as np
import pytest

from helix.geometry.maths.jets import CUBIC_STEP, QUINTIC_STEP
from helix.geometry.wire.curves import derivatives
from helix.model.joint.joint import Joint
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.shape.shape import ShapeResult, shape
from validation.rows import Row, ids

# Pairs nearer than this along the wire are not two parts: there the curvature says whether the wire is sound.
ALONG = 1.6

RECIPES = {
    "gradual exit": "",
    "opposite hand of everything": '[twist]\nhand = "left"\nturns = 3\n',
    "wraps of pitch 1 d": '[barrel]\npitch = "1 d"\n',
    "over-twist, lay 2.5 d": '[twist]\nlay_length = "2.5 d"\nturns = 4\n',
    "bench exit": '[exit]\nstyle = "bench"\n',
    "exit in 1 d with a swing of a tenth of a turn": '[exit]\nleg = "1 d"\nswing = 0.1\n',
    "overbent to 120 deg": '[exit]\npeak_angle = "120 deg"\n',
    "uneven twist, evenness 0.5": "[twist]\nevenness = 0.5\nturns = 2\n",
}


@cache
def result(name: str) -> ShapeResult:
    """Return the shape of a recipe named in RECIPES, on 1 mm wire round a 6 mm pin."""
    wire = '[wire]\ndiameter = "1 mm"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n'
    return shape(recipe_from_text(wire + RECIPES[name] + '[finish]\nstanding = "20 mm"\n'))


def joint(name: str) -> Joint:
    """Return the joint of a recipe named in RECIPES."""
    return result(name).joint


# ------------------------------------------------------------------ arc length


@cache
def quadrature(name: str, section: str) -> float:
    """Return the length of a section by mpmath's tanh-sinh quadrature of the speed of its curves."""
    total = mp.mpf(0)
    for piece in joint(name).layout.path.pieces:
        if piece.section == section:
            curve = piece.curve

            def speed(u: mp.mpf, curve=curve) -> mp.mpf:
                return mp.mpf(float(np.linalg.norm(derivatives(curve, np.array([float(u)]), 1)[1, 0])))

            total += mp.quad(speed, [0.0, 0.5 * curve.span, curve.span], maxdegree=5)
    return float(total)


# ------------------------------------------------------------------ linking number


def linking_number(one: np.ndarray, other: np.ndarray) -> float:
    """Return Gauss's linking integral of two closed polygons, exact for polygons up to rounding.

    Each pair of segments adds the signed solid angle that it spans: K. Klenin & J. Langowski, Biopolymers 54
    (2000) 307, method 1a (from memory).
    """
    a, b = one[:, None], np.roll(one, -1, axis=0)[:, None]
    c, d = other[None], np.roll(other, -1, axis=0)[None]
    ac, ad, bc, bd = c - a, d - a, c - b, d - b

    def unit(v: np.ndarray) -> np.ndarray:
        return v / np.linalg.norm(v, axis=-1, keepdims=True)

    n = [unit(np.cross(p, q)) for p, q in ((ac, ad), (ad, bd), (bd, bc), (bc, ac))]
    spans = sum(np.arcsin(np.clip(np.sum(n[k] * n[(k + 1) % 4], axis=-1), -1.0, 1.0)) for k in range(4))
    sign = np.sign(np.sum(np.cross(d - c, b - a) * ac, axis=-1))
    return float(np.sum(spans * sign) / (4.0 * math.pi))


def closed(leg: np.ndarray) -> np.ndarray:
    """Close a leg that runs upward by a wide bow in the half plane in which it begins and ends."""
    low, high = leg[0], leg[-1]
    out = np.array([high[0], high[1], 0.0]) / np.hypot(high[0], high[1]) * 30.0
    return np.vstack([leg, high + out, low + out])


@cache
def legs_linked(name: str) -> float:
    """Return the linking number of the two legs of the twist, both run upward."""
    line = joint(name).sample(step_d=0.25)
    names = joint(name).section_names
    legs = []
    for section in ("twist_standing", "twist_tag"):
        first, last = np.flatnonzero(line.section == names.index(section))[[0, -1]]
        leg = line.points_mm[first : last + 2]  # the join belongs to the next section
        legs.append(closed(leg if leg[0, 2] < leg[-1, 2] else leg[::-1]))
    return linking_number(*legs)


# ------------------------------------------------------------------ clearance


@cache
def brute_gap(name: str) -> float:
    """Return the least distance between any two parts, less 1 D, by dense search of the sampled points.

    All pairs of samples 0.02 D apart that lie within 1.05 D and more than ALONG along the wire; from the nearest
    4000, grids that close in on the cubic Hermite interpolant of points and tangents.
    """
    from scipy.interpolate import CubicHermiteSpline
    from scipy.spatial import cKDTree

    d = joint(name).diameter_mm
    line = joint(name).sample(step_d=0.02)
    s, points = line.s_mm / d, line.points_mm / d
    curve = CubicHermiteSpline(s, points, line.tangents)
    pairs = cKDTree(points).query_pairs(1.05, output_type="ndarray")
    pairs = pairs[np.abs(s[pairs[:, 0]] - s[pairs[:, 1]]) > ALONG]
    distance = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    pairs = pairs[np.argsort(distance)[:4000]]
    at = s[pairs]
    best = np.inf
    width = 0.02
    steps = np.linspace(-1.0, 1.0, 9)
    for _ in range(5):
        u = np.clip(at[:, 0, None] + width * steps, s[0], s[-1])
        v = np.clip(at[:, 1, None] + width * steps, s[0], s[-1])
        apart = np.linalg.norm(curve(u)[:, :, None] - curve(v)[:, None], axis=-1)
        k = apart.reshape(len(at), -1).argmin(axis=1)
        i, j = np.unravel_index(k, apart.shape[1:])
        rows = np.arange(len(at))
        best = min(best, float(apart.min()))
        at = np.stack([u[rows, i], v[rows, j]], axis=1)
        width /= 4.0
    return best - 1.0


def peak(step: tuple[float, ...]) -> float:
    """Return the largest slope of a step function on a fine grid with its middle in it."""
    return float(np.polynomial.Polynomial(step).deriv()(np.linspace(0.0, 1.0, 2001)).max())


ROWS = [
    *(
        Row(
            f"length of {section} over the quadrature of its speed, gradual exit",
            "mpmath tanh-sinh quadrature",
            "calc",
            "1",
            lambda section=section: joint("gradual exit").section_mm(section) / quadrature("gradual exit", section),
            1e-12,
            "the quadrature's own error",
        )
        for section in ("exit_standing", "exit_tag", "entry_tag", "eye", "stub")
    ),
    Row(
        "length of the tag in five turns of lay 4",
        "5 sqrt(pi^2 + 16)",
        "der",
        lambda: 5.0 * math.hypot(math.pi, 4.0),
        lambda: joint("gradual exit").section_mm("twist_tag"),
        1e-12,
        "rounding",
    ),
    *(
        Row(
            f"linking number of the two legs, {name}",
            "Gauss's integral: equal to the turns, by their hand",
            "calc",
            theirs,
            lambda name=name: legs_linked(name),
            1e-6,
            "a whole number; segments that lie nearly in one plane keep eight digits",
        )
        for name, theirs in (
            ("gradual exit", "5"),
            ("opposite hand of everything", "-3"),
            ("over-twist, lay 2.5 d", "4"),
            ("uneven twist, evenness 0.5", "2"),
        )
    ),
    *(
        Row(
            f"least gap, {name}",
            "dense search of every pair of samples",
            "calc",
            lambda name=name: brute_gap(name),
            lambda name=name: result(name).clearance.least_d,
            1e-8,
            "cubic interpolation of samples 0.02 D apart",
        )
        for name in RECIPES
    ),
    Row(
        "peak curvature of a bend whose angle is a cubic smoothstep, against an arc",
        "calculus",
        "der",
        "1.5",
        lambda: peak(CUBIC_STEP),
        1e-12,
        "exact; rounding",
    ),
    Row(
        "the same with a quintic smoothstep",
        "calculus",
        "der",
        "1.875",
        lambda: peak(QUINTIC_STEP),
        1e-12,
        "exact; rounding",
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_linking_number_of_two_rings() -> None:
    """The integral itself: a Hopf link is +-1, rings apart 0, either order."""
    t = np.linspace(0.0, 2.0 * math.pi, 41)[:-1]
    ring = np.stack([np.cos(t), np.sin(t), 0.0 * t], axis=1)
    through = np.stack([1.0 + np.cos(t + 0.1), 0.0 * t, np.sin(t + 0.1)], axis=1)
    assert abs(linking_number(ring, through)) == pytest.approx(1.0, abs=1e-12)
    assert linking_number(through, ring) == pytest.approx(linking_number(ring, through), abs=1e-12)
    assert linking_number(ring, through + [5.0, 0.0, 0.0]) == pytest.approx(0.0, abs=1e-12)
