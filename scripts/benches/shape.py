"""The shape of a joint and of very many, in a warm process; jobs of benches/warm.py.

Each run of `shape` is of a lay and a pin that were not met before, so nothing of it is known.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable
from typing import Any

from benches.warm import Sides

import helix

KIT = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
AXES: dict[str, Any] = {
    "turns": range(1, 11),
    "lay_d": [3.5 + 0.23 * k for k in range(20)],
    "pin_mm": [3.0 + 0.5 * k for k in range(25)],
    "wraps": range(1, 21),
}
LOOPED = 40


def new_shapes() -> Sides:
    """A recipe after another, each new."""
    helix.shape(KIT)
    recipes = iter([helix.make_recipe(KIT, lay_d=3.6 + 0.0137 * k, pin_mm=5.0 + 0.0211 * k) for k in range(200)])
    return Sides(lambda: helix.shape(next(recipes)))


def sweep() -> Sides:
    """A hundred thousand recipes by `helix.sweep`, and forty of them in a loop."""
    points = random.Random(1).sample(list(itertools.product(*AXES.values())), LOOPED)
    recipes = [helix.make_recipe(KIT, **dict(zip(AXES, map(float, point), strict=True))) for point in points]
    whole = 1
    for axis in AXES.values():
        whole *= len(axis)
    return Sides(
        lambda: helix.sweep(KIT, **AXES).cut_mm.size,
        {"helix.shape in a loop, from 40 of them": lambda: lambda: [helix.shape(recipe) for recipe in recipes]},
        times={"helix.shape in a loop, from 40 of them": whole / LOOPED},
    )


JOBS: dict[str, Callable[[], Sides]] = {"shape-warm": new_shapes, "sweep": sweep}
