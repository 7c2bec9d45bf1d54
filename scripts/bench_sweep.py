"""Time a sweep of 100,000 joints, or `shape` of some of them in a loop; print the seconds for 100,000."""

import itertools
import random
import sys
import time
from typing import Any

KIT = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
AXES: dict[str, Any] = {
    "turns": range(1, 11),
    "lay_d": [3.5 + 0.23 * k for k in range(20)],
    "pin_mm": [3.0 + 0.5 * k for k in range(25)],
    "wraps": range(1, 21),
}
LOOPED = 40


def main(what: str) -> None:
    """Print the seconds of "sweep" or "loop"."""
    import helix

    helix.shape(KIT)  # everything is loaded
    if what == "sweep":
        start = time.perf_counter()
        count = helix.sweep(KIT, **AXES).cut_mm.size
    else:
        points = random.Random(1).sample(list(itertools.product(*AXES.values())), LOOPED)
        recipes = [helix.make_recipe(KIT, **dict(zip(AXES, map(float, point), strict=True))) for point in points]
        start = time.perf_counter()
        count = len([helix.shape(recipe) for recipe in recipes])
    print((time.perf_counter() - start) / count * 100_000)


if __name__ == "__main__":
    main(sys.argv[1])
