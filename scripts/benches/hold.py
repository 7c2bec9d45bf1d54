"""Estimates of the hold, in a warm process; jobs of benches/warm.py."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import Any

from benches.warm import RECIPE, Sides

SETS = 100_000
LOOPED = 1_000


def estimate() -> Sides:
    """One estimate, its shape known; a new seed each time, so that no draw is remembered."""
    from helix import read_recipe
    from helix.studies.hold.holding import hold

    recipe, seeds = read_recipe(RECIPE), count()
    return Sides(lambda: hold(recipe, seed=next(seeds)))


def table() -> Sides:
    """11 x 11 pairs of turns and wraps; a pin a little other each time, as what was asked before is kept."""
    from dataclasses import replace

    from helix import read_recipe
    from helix.studies.hold.hold_table import hold_table
    from helix.studies.hold.holding import setting_of

    recipe, asked = read_recipe(RECIPE), count()

    def work() -> object:
        other = recipe.variant(eye=replace(recipe.eye, pin_mm=recipe.eye.pin_mm + 1e-6 * next(asked)))
        return hold_table(other, setting_of(other))

    return Sides(work)


def sweep_job(count: int) -> tuple[Callable[..., object], list[object]]:
    """The hold of many joints at once: a function of arrays or numbers, and random parameter sets."""
    import numpy as np

    from helix.mechanics.barrel_hinge import hinge_bending
    from helix.mechanics.bends.retained import retained_share
    from helix.mechanics.grip import slip_exponential, slip_linear, slip_simulated

    def hold(flow: Any, friction: Any, turns: Any, lay: Any, strain: Any, fracture: Any) -> Any:
        hinge = hinge_bending(flow, 0.9747)
        slips = (
            slip_linear(hinge, friction, turns, lay),
            slip_exponential(hinge, friction, turns, lay),
            slip_simulated(friction, turns),
        )
        return np.minimum(np.minimum(np.minimum(*slips[:2]), slips[2]), retained_share(strain, fracture))

    chance = np.random.default_rng(0)
    ranges = ((0.8, 1.0), (0.02, 0.1), (3.0, 6.0), (0.5, 0.75), (0.3, 0.7), (0.6, 0.9))
    return hold, [chance.uniform(low, high, count) for low, high in ranges]


def sweep() -> Sides:
    """All sets at once, and a part of them one by one."""
    hold, sets = sweep_job(SETS)
    _, few = sweep_job(LOOPED)
    rows = list(zip(*(values.tolist() for values in few), strict=True))  # type: ignore[attr-defined]
    return Sides(
        lambda: hold(*sets),
        {"the same in a loop": lambda: lambda: [hold(*row) for row in rows]},
        times={"the same in a loop": SETS / LOOPED},
    )


JOBS: dict[str, Callable[[], Sides]] = {"hold": estimate, "hold-table": table, "hold-sweep": sweep}
