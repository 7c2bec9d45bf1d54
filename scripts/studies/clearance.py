"""Measure how far the least gap of a joint, and its `bound_d`, are off: seeded random joints against brute force.

Usage, from a clone that is set up: .venv/bin/python scripts/studies/clearance.py [JOINTS] [--seed N]

Brute force: every pair of places further apart along the wire than the search leaves to the bend radius, from samples
0.01 d apart; from each that is locally nearest, grids that close in on the cubic through the samples. It shares with helix
the points and tangents only, and what it finds is never below the true least by more than 1e-9 d.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

STEP = 0.01  # of the samples [d]
CURVES = 1e-9  # how far the cubics may be off the wire [d]
ROUNDS = 8  # of closing in, each to a quarter


@dataclass(frozen=True)
class Found:
    """One joint: the least gap by helix and by brute force, and the bound that helix gives [d]."""

    text: str
    gap: float
    brute: float
    bound: float

    @property
    def short(self) -> float:
        """How far the true least lies below what helix found, as far as brute force can see."""
        return max(self.gap - self.brute - CURVES, 0.0)


def random_recipe(rng: np.random.Generator) -> str:
    """A recipe of any kind, good or bad, in wire of 1 mm, with few turns and wraps (more only repeat themselves)."""
    turns = rng.choice([0.0, 1.0, 1.5, 2.0, 3.0, rng.uniform(0.3, 3.0)], p=[0.08, 0.15, 0.15, 0.3, 0.22, 0.1])
    wraps = rng.choice([0.0, 1.0, 2.0, 3.0, rng.uniform(0.2, 3.0)], p=[0.08, 0.2, 0.3, 0.22, 0.2])
    lay = rng.choice([rng.uniform(2.05, 3.2), rng.uniform(3.2, 5.0), rng.uniform(5.0, 12.0)])
    lines = [
        '[wire]\ndiameter = "1 mm"\n[wire.own]\nstrength = "2000 MPa"\nmodulus = "190 GPa"\ndensity = "7900 kg/m3"',
        f'[eye]\npin = "{rng.uniform(3.0, 25.0):.6f} d"',
        f'throat = "{rng.uniform(40.0, 110.0):.6f} deg"' if rng.random() < 0.25 else "",
        f'[twist]\nturns = {turns:.6f}\nlay_length = "{lay:.6f} d"',
        f"evenness = {rng.choice([1.0, 1.0, 1.0, 0.0, rng.uniform(0.0, 1.0)]):.6f}",
        f'hand = "{rng.choice(["right", "left"])}"',
        f'[entry]\nradius = "{rng.uniform(0.6, 4.0):.6f} d"' if rng.random() < 0.2 else "",
        "[exit]",
        str(
            rng.choice([
                'style = "gradual"', 'style = "gradual"', 'style = "bench"',
                f'peak_angle = "{rng.uniform(60.0, 130.0):.6f} deg"',
                f'leg = "{rng.uniform(0.8, 6.0):.6f} d"\nswing = {rng.uniform(0.05, 1.0):.6f}',
            ])
        ),
        f'[barrel]\nwraps = {wraps:.6f}\nhand = "{"opposite" if rng.random() < 0.15 else "same"}"',
        f'pitch = "{rng.uniform(0.9, 2.0):.6f} d"' if rng.random() < 0.2 else "",
        f'[finish]\nstub = "{rng.uniform(0.2, 3.0):.6f} d"\nstanding = "8 d"',
    ]  # fmt: skip
    return "\n".join(line for line in lines if line)


def brute_gap(s: np.ndarray, points: np.ndarray, tangents: np.ndarray, along: float) -> float:
    """The least gap of all pairs of places further apart along the wire than `along` [d]."""
    import numpy as np
    from scipy.interpolate import CubicHermiteSpline
    from scipy.spatial import cKDTree

    tree, within, pairs = cKDTree(points), 1.02, np.zeros((0, 2), dtype=int)
    while len(pairs) == 0 and within < 60.0:
        pairs = tree.query_pairs(within, output_type="ndarray")
        pairs.sort(axis=1)
        pairs = pairs[s[pairs[:, 1]] - s[pairs[:, 0]] >= along]
        within *= 1.3
    if len(pairs) == 0:
        return np.inf
    i, j = pairs.T

    def apart(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        return np.asarray(np.linalg.norm(points[a] - points[b], axis=1))

    here = apart(i, j)
    beside = [apart(i, np.clip(j + k, 0, len(s) - 1)) for k in (-1, 1)]
    edge = s[j - 1] - s[i] < along
    keep = ((here <= beside[0]) | edge) & (here <= beside[1]) & (here < here.min() + 1e-3)
    at = s[pairs[keep]]
    curve = CubicHermiteSpline(s, points, tangents)
    width, least, steps = 2.0 * STEP, np.inf, np.linspace(-1.0, 1.0, 9)
    for k in range(ROUNDS):
        best = np.empty(len(at))
        for rows in np.array_split(np.arange(len(at)), max(1, len(at) // 2000)):
            u = np.clip(at[rows, 0, None] + width * steps, s[0], s[-1])
            v = np.clip(at[rows, 1, None] + width * steps, s[0], s[-1])
            v = np.where(np.abs(v - u - along) < 1e-12, u + along, v)
            d = np.linalg.norm(curve(u)[:, :, None] - curve(v)[:, None], axis=-1)
            d = np.where(v[:, None, :] - u[:, :, None] >= along, d, np.inf).reshape(len(rows), -1)
            lowest = d.argmin(axis=1)
            best[rows] = d[np.arange(len(rows)), lowest]
            at[rows] = np.stack([u[np.arange(len(rows)), lowest // 9], v[np.arange(len(rows)), lowest % 9]], axis=1)
        least = min(least, float(best.min()))
        width /= 4.0
        if k < 2:  # what lies behind by more than the grid can still gain is left behind
            at = at[best < best.min() + 4.0 * width]
    return least - 1.0


def study(joints: int, seed: int) -> list[Found]:
    """That many random joints that can be made."""
    import numpy as np

    from helix.errors import ValidationError
    from helix.geometry.wire.distance import SKIP
    from helix.model.recipe.recipe import recipe_from_text
    from helix.studies.shape.shape import shape

    rng = np.random.default_rng(seed)
    found: list[Found] = []
    while len(found) < joints:
        text = random_recipe(rng)
        try:
            result = shape(recipe_from_text(text))
        except ValidationError:
            continue
        line = result.joint.sample(STEP)
        brute = brute_gap(line.s_mm, line.points_mm, line.tangents, SKIP)
        found.append(Found(text, result.clearance.least_d, brute, result.clearance.bound_d))
        if len(found) % 20 == 0:
            print(f"{len(found)} joints ...", flush=True)
    return found


def report(found: list[Found]) -> str:
    """What was found, in a few lines."""
    import numpy as np

    short = np.array([each.short for each in found])
    above = np.array([max(each.brute - each.gap, 0.0) for each in found])
    bound = np.array([each.bound for each in found])
    folded = bound > 1e-3
    lines = [
        f"{len(found)} random joints, {int((np.array([e.gap for e in found]) < -1e-9).sum())} of them with an overlap.",
        f"least_d too high: by more than 1e-8 d in {int((short > 1e-8).sum())}, at most {short.max():.2g} d.",
        f"bound_d too small for that: in {int((short > bound).sum())}.",
        f"least_d below what brute force found: at most {above.max():.2g} d.",
        f"bound_d: median {np.median(bound):.2g} d, at most {bound[~folded].max(initial=0.0):.2g} d without a fold.",
        f"Folds, where bound_d is the samples' spacing: {int(folded.sum())}.",
    ]
    worst = sorted(found, key=lambda each: -each.short)[:3]
    lines += [f"missed by {e.short:.3g} d, bound {e.bound:.3g} d:\n{e.text}" for e in worst if e.short > 1e-8]
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("joints", nargs="?", type=int, default=300, help="how many joints (default: 300)")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    if options.joints < 1:
        parser.error(f"JOINTS must be 1 or more; got {options.joints}")
    started = time.perf_counter()
    print(report(study(options.joints, options.seed)))
    print(f"took {time.perf_counter() - started:.0f} s")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
