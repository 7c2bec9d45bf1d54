"""Independent helpers for the tests: recipes from a few words, and brute force on sampled points.

Nothing here uses the library's own distance, frame or length code: points go in, numbers come out.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np

from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.shape import ShapeResult, shape

ALONG = 1.6  # pairs nearer than this along the wire [d] are governed by the curvature


def recipe(**changes: Any) -> Recipe:
    """A recipe on 1 mm wire: pin, throat, made, turns, lay, evenness, hand, entry, exit (its lines), wraps, pitch,
    barrel_hand, stub, standing, handle; lengths in wire diameters, angles in degrees."""
    known = {
        "pin": 6, "throat": None, "made": "wound", "turns": 5, "lay": 4, "evenness": 1, "hand": "right", "entry": None,
        "exit": 'style = "gradual"', "wraps": 5, "pitch": None, "barrel_hand": "same", "stub": 1, "standing": 12,
        "handle": 60, "diameter": 1.0,
    }  # fmt: skip
    strange = set(changes) - set(known)
    if strange:
        raise ValueError(f"changes must be among {sorted(known)}; got {sorted(strange)}")
    k = known | changes
    lines = [
        "[wire]", f'diameter = "{k["diameter"]!r} mm"',
        "[wire.own]", 'strength = "2000 MPa"', 'modulus = "190 GPa"', 'density = "7900 kg/m3"',
        "[eye]", f'pin = "{k["pin"]!r} d"', f'throat = "{k["throat"]!r} deg"' if k["throat"] else "",
        f'throat_made = "{k["made"]}"',
        "[twist]", f"turns = {k['turns']!r}", f'lay_length = "{k["lay"]!r} d"', f"evenness = {k['evenness']!r}",
        f'hand = "{k["hand"]}"',
        "[entry]", f'radius = "{k["entry"]!r} d"' if k["entry"] else "",
        "[exit]", k["exit"],
        "[barrel]", f"wraps = {k['wraps']!r}", f'hand = "{k["barrel_hand"]}"',
        f'pitch = "{k["pitch"]!r} d"' if k["pitch"] else "",
        "[finish]", f'stub = "{k["stub"]!r} d"', f'standing = "{k["standing"]!r} d"', f'handle = "{k["handle"]!r} d"',
    ]  # fmt: skip
    return recipe_from_text("\n".join(lines))


@cache
def answer(**changes: Any) -> ShapeResult:
    """The shape of :func:`recipe`."""
    return shape(recipe(**changes))


def least_distance(
    s: np.ndarray, points: np.ndarray, tangents: np.ndarray, along: float = ALONG, within: float = 1.02
) -> tuple[float, tuple[float, float]]:
    """Least distance between any two places further apart along the wire than `along`, and the two places.

    Every pair of samples within reach, from a k-d tree; from the nearest 4000, grids that close in on the
    cubic Hermite interpolant of points (n, 3) and tangents (n, 3).
    """
    from scipy.interpolate import CubicHermiteSpline
    from scipy.spatial import cKDTree

    curve = CubicHermiteSpline(s, points, tangents)
    tree = cKDTree(points)
    pairs = np.zeros((0, 2), dtype=int)
    while len(pairs) == 0 and within < np.ptp(points, axis=0).max() + 1.0:
        pairs = tree.query_pairs(within, output_type="ndarray")
        pairs = pairs[np.abs(s[pairs[:, 0]] - s[pairs[:, 1]]) >= along]
        within *= 1.5
    pairs.sort(axis=1)
    distance = np.linalg.norm(points[pairs[:, 0]] - points[pairs[:, 1]], axis=1)
    at = s[pairs[np.argsort(distance)[:4000]]]
    steps_s = np.diff(s)
    width, best, where = float(steps_s[steps_s < along].max()), np.inf, (0.0, 0.0)  # s may jump from wire to wire
    steps = np.linspace(-1.0, 1.0, 9)
    rows = np.arange(len(at))
    for _ in range(6):
        u = np.clip(at[:, 0, None] + width * steps, s[0], s[-1])
        v = np.clip(at[:, 1, None] + width * steps, s[0], s[-1])
        apart = np.linalg.norm(curve(u)[:, :, None] - curve(v)[:, None], axis=-1)
        apart = np.where(v[:, None, :] - u[:, :, None] >= along, apart, np.inf)
        i, j = np.unravel_index(apart.reshape(len(at), -1).argmin(axis=1), apart.shape[1:])
        at = np.stack([u[rows, i], v[rows, j]], axis=1)
        lowest = apart[rows, i, j]
        if lowest.min() < best:
            best, where = float(lowest.min()), (float(at[lowest.argmin(), 0]), float(at[lowest.argmin(), 1]))
        width /= 4.0
    return best, where


def brute_gap(result: ShapeResult, step: float = 0.02) -> float:
    """The least gap [d] of a whole joint by :func:`least_distance` on its samples."""
    d = result.joint.diameter_mm
    line = result.joint.sample(step_d=step)
    return least_distance(line.s_mm / d, line.points_mm / d, line.tangents)[0] - 1.0
