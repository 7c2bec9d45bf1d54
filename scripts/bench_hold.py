"""What scripts/bench.py times inside one warm process: prints the seconds of one of the jobs below.

python scripts/bench_hold.py estimate    one estimate with 10,000 draws, its shape known
python scripts/bench_hold.py table       11 x 11 pairs with 10,000 draws each
python scripts/bench_hold.py sweep       100,000 parameter sets at once
python scripts/bench_hold.py loop        the same set by set: 1,000 are timed, the time is multiplied
python scripts/bench_hold.py 0.05        prints that number, as the peer of a goal in seconds
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
RECIPE = ROOT / "docs" / "examples" / "logger-tether.toml"
SETS = 100_000
LOOPED = 1_000


def median_of(job: Callable[[], object], runs: int) -> float:
    """Median seconds of a job after one run that is not counted."""
    job()
    times = []
    for _ in range(runs):
        started = time.perf_counter()
        job()
        times.append(time.perf_counter() - started)
    return sorted(times)[runs // 2]


def estimate() -> float:
    """Seconds of one estimate; a new seed each time, so that no draw is remembered."""
    from itertools import count

    from helix import read_recipe
    from helix.studies.hold.holding import hold

    recipe, seeds = read_recipe(RECIPE), count()
    return median_of(lambda: hold(recipe, seed=next(seeds)), 9)


def table() -> float:
    """Seconds of the whole table."""
    from helix import read_recipe
    from helix.studies.hold.hold_table import hold_table
    from helix.studies.hold.holding import setting_of

    recipe = read_recipe(RECIPE)
    return median_of(lambda: hold_table(recipe, setting_of(recipe)), 3)


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


def sweep() -> float:
    """Seconds for all sets at once."""
    hold, sets = sweep_job(SETS)
    return median_of(lambda: hold(*sets), 9)


def loop() -> float:
    """Seconds for all sets one by one, from a part of them."""
    hold, sets = sweep_job(LOOPED)
    rows = list(zip(*(values.tolist() for values in sets), strict=True))  # type: ignore[attr-defined]
    return median_of(lambda: [hold(*row) for row in rows], 3) * SETS / LOOPED


JOBS = {"estimate": estimate, "table": table, "sweep": sweep, "loop": loop}


def main(arguments: list[str]) -> int:
    """Run one job and print its seconds."""
    sys.path.insert(0, str(ROOT))
    if len(arguments) != 1:
        print(f"usage: {Path(__file__).name} {'|'.join(JOBS)}|SECONDS", file=sys.stderr)
        return 2
    job = JOBS.get(arguments[0])
    print(job() if job else float(arguments[0]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
