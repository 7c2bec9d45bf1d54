"""What scripts/bench.py times inside one warm process: prints the processor seconds of one simulated pull, compiled already.

python scripts/benches/simulate.py pull     the demo joint at a friction of 0.08, wound and let go; on one core
python scripts/benches/simulate.py form     its legs twisted by hands
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

RECIPE = Path(__file__).resolve().parents[2] / "docs" / "examples" / "logger-tether.toml"


def pull() -> float:
    """Seconds of one pull."""
    from helix import read_recipe
    from helix.studies.simulate.pulling import PullSetting, pull_once

    recipe = read_recipe(RECIPE)
    pull_once(recipe, PullSetting(way_d=0.01))  # compiles
    return _timed(lambda: pull_once(recipe, PullSetting()))


def form() -> float:
    """Seconds of one twisting by hands."""
    from helix import read_recipe
    from helix.studies.simulate.forming import simulate_form

    recipe = read_recipe(RECIPE)
    simulate_form(recipe, turning=0.05)  # compiles; so fast that it says nothing
    return _timed(lambda: simulate_form(recipe))


def _timed(job: Callable[[], object]) -> float:
    started = time.process_time()
    job()
    return time.process_time() - started


if __name__ == "__main__":
    print({"pull": pull, "form": form}[sys.argv[1]]())
