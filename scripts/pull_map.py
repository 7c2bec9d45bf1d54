"""Pull many simulated joints over their ranges, and fit a smooth surface to the largest load; nothing of it enters `hold`.

    .venv/bin/python scripts/pull_map.py 400 map.csv      pulls until there are 400 rows; goes on where it stopped
    .venv/bin/python scripts/pull_map.py --fit map.csv    cross-validated error of the surface

Joint number k is drawn from seed k: turns 2 to 7, lay 3.4 to 6 d, friction 0.03 to 0.2, throat 60 to 120 deg (spread), evenness 0.5 to 1, wraps 1 to 8,
wound and let go or free of stress. Coarse mesh, fast pull: loads within 0.02 of the fine ones. Needs helix[simulate].
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.errors import HelixError
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.simulate.pulling import PullSetting, pull_once

MESH_D: Final = 0.45
SPEED: Final = 1.4e-3
RANGES: Final = {
    "turns": (2.0, 7.0),
    "lay_d": (3.2, 6.0),
    "friction": (0.02, 0.2),
    "throat_deg": (60.0, 120.0),
    "evenness": (0.5, 1.0),
    "looseness": (0.0, 2.0),
    "wraps": (1.0, 8.0),
    "pin_d": (3.0, 10.0),
}
EVEN: Final = 0.35
"""Share of joints with an even twist."""
COLUMNS: Final = ("seed", *RANGES, "outcome", "peak", "break_load", "section", "loose_d", "through_d", "unaccounted")
FOLDS: Final = 10
TERMS: Final = 2


def drawn(seed: int) -> dict[str, Any]:
    """The joint of a seed; counts whole, one joint in five free of stress."""
    random = np.random.default_rng(seed)
    row: dict[str, Any] = {key: float(random.uniform(*span)) for key, span in RANGES.items()}
    low, high = RANGES["friction"]
    row["friction"] = low * (high / low) ** random.random()
    row["evenness"] = 1.0 if random.random() < EVEN else row["evenness"]
    row |= {"wraps": round(row["wraps"])}
    return {"seed": seed} | {key: round(value, 4) for key, value in row.items()}


def pulled(row: dict[str, Any]) -> dict[str, Any]:
    """What its pull says; outcome "refused" where such a joint cannot be made or overlaps."""
    try:
        recipe = recipe_from_text(
            '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
            f'[eye]\npin = "{row["pin_d"]} d"\nthroat = "{row["throat_deg"]} deg"\nthroat_made = "spread"\n'
            f'[twist]\nturns = {row["turns"]}\nlay_length = "{row["lay_d"]} d"\nevenness = {row["evenness"]}\n'
            f"[barrel]\nwraps = {row['wraps']}\n"
        )
        friction = row["friction"]
        setting = PullSetting(
            friction=friction, on_pin=friction, mesh_d=MESH_D, speed=SPEED, looseness=row["looseness"]
        )
        run = pull_once(recipe, setting)
    except HelixError as error:
        return row | {"outcome": "refused", "section": str(error).splitlines()[0][:60]}
    nominal = run.nominal
    return row | {
        "outcome": run.outcome.value,
        "peak": f"{run.peak_load:.4f}",
        "break_load": f"{nominal.load:.4f}" if nominal else "",
        "section": nominal.section if nominal else "",
        "loose_d": f"{run.loose_d:.4f}",
        "through_d": f"{run.curve[-1].through_d:.3f}" if run.curve else "",
        "unaccounted": f"{run.unaccounted:.1e}",
    }


def go_on(count: int, file: Path) -> None:
    """Add rows until there are so many."""
    have = sum(1 for _ in read(file)) if file.exists() else 0
    with file.open("a", newline="") as out:
        rows = csv.DictWriter(out, COLUMNS)
        if not have:
            rows.writeheader()
        for seed in range(have + 1, count + 1):
            rows.writerow(pulled(drawn(seed)))
            out.flush()


def read(file: Path) -> Iterator[dict[str, str]]:
    """The rows of a map."""
    with file.open(newline="") as lines:
        yield from csv.DictReader(lines)


def features(rows: list[dict[str, str]]) -> NDArray[np.float64]:
    """Every product of up to two of the numbers, scaled to -1 to 1, and of mu N besides, which the slip load goes with."""
    scaled = [
        [2.0 * (float(row[key]) - low) / (high - low) - 1.0 for key, (low, high) in RANGES.items()] for row in rows
    ]
    grip = [[4.0 * float(row["friction"]) * float(row["turns"]) - 1.5, float(row["start"] == "exact")] for row in rows]
    x = np.hstack([np.array(scaled), np.array(grip)])
    pairs = [x[:, i] * x[:, j] for i in range(x.shape[1]) for j in range(i, x.shape[1])]
    return np.column_stack([np.ones(len(x)), x, *pairs])


def fit(file: Path) -> None:
    """Print the cross-validated error of a quadratic surface for the largest load, by ridge regression."""
    rows = [row for row in read(file) if row["outcome"] in ("breaks", "slips")]
    x, y = features(rows), np.array([float(row["peak"]) for row in rows])
    fold = np.arange(len(rows)) % FOLDS
    best = np.inf
    for ridge in (1e-3, 1e-2, 1e-1, 1.0):
        error = np.empty(len(y))
        for k in range(FOLDS):
            known = fold != k
            gram = x[known].T @ x[known] + ridge * np.eye(x.shape[1])
            error[~known] = y[~known] - x[~known] @ np.linalg.solve(gram, x[known].T @ y[known])
        rms = float(np.sqrt(np.mean(error**2)))
        best = min(best, rms)
        print(f"ridge {ridge:g}: rms {rms:.4f}, worst {np.abs(error).max():.3f}")
    print(f"{len(rows)} pulls, peak {y.mean():.3f} +- {y.std():.3f}; best rms {best:.4f} (0.02 is wanted)")


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    if sys.argv[1] == "--fit":
        fit(Path(sys.argv[2]))
    else:
        go_on(int(sys.argv[1]), Path(sys.argv[2]))
