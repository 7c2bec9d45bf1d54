"""Pull many simulated joints over their ranges, and fit a smooth surface to the load at which they slip; nothing of it enters `hold`.

    .venv/bin/python scripts/studies/pull_map.py 580 validation/pull_map.csv      pulls until there are 580 rows; goes on where it stopped
    .venv/bin/python scripts/studies/pull_map.py --fit validation/pull_map.csv    the surface, its cross-validated error, model R beside it; draws docs/theory/pull-map.svg

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
from helix.mechanics import grip, limits
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
FIRST_LEFT_OUT: Final = 130
SURE: Final = 1.05
"""Joints for which model R says more than this are not pulled, after the first 130 seeds, of which all 35 such broke: they say nothing of slipping."""
FAR: Final = 1.15
EVEN: Final = 0.35
"""Share of joints with an even twist."""
COLUMNS: Final = ("seed", *RANGES, "outcome", "peak", "break_load", "section", "loose_d", "through_d", "unaccounted")
FOLDS: Final = 10
CHART: Final = Path(__file__).resolve().parents[2] / "docs" / "theory" / "pull-map.svg"
RIDGE: Final = 0.01
LEVEL: Final = ("1", "lay", "lay2", "throat", "uneven", "pin", "wrap", "loose")
"""What the logarithm of the slip load goes with at no friction."""
SLOPE: Final = ("1", "turns", "lay", "turns lay", "throat", "uneven", "pin", "wrap", "loose")
"""What its rise with friction goes with."""


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
    """What its pull says; outcome "refused" where such a joint cannot be made or overlaps, "left out" where it is sure to break first."""
    if row["seed"] > FIRST_LEFT_OUT and float(grip.slip_simulated(row["friction"], row["turns"])) > SURE:
        return row | {"outcome": "left out"}
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
        rows = csv.DictWriter(out, COLUMNS, lineterminator="\n")
        if not have:
            rows.writeheader()
        for seed in range(have + 1, count + 1):
            rows.writerow(pulled(drawn(seed)))
            out.flush()


def read(file: Path) -> Iterator[dict[str, str]]:
    """The rows of a map."""
    with file.open(newline="") as lines:
        yield from csv.DictReader(lines)


def terms(rows: list[dict[str, str]]) -> NDArray[np.float64]:
    """Columns of the surface, a row a joint: those of LEVEL, and those of SLOPE times the friction."""

    def column(key: str) -> NDArray[np.float64]:
        return np.array([float(row[key]) for row in rows])

    turns, lay, wrap = column("turns") - 4.0, column("lay_d") - 4.0, 1.0 / column("wraps")
    known = {
        "1": np.ones(len(rows)),
        "turns": turns,
        "lay": lay,
        "lay2": lay * lay,
        "turns lay": turns * lay,
        "throat": (column("throat_deg") - 90.0) / 30.0,
        "uneven": 1.0 - column("evenness"),
        "pin": np.log(column("pin_d") / 6.0),
        "wrap": wrap,
        "loose": (column("loose_d") - 0.042) / 0.04,
    }
    friction = 10.0 * column("friction")
    return np.column_stack([known[name] for name in LEVEL] + [friction * known[name] for name in SLOPE])


def fitted(x: NDArray[np.float64], y: NDArray[np.float64], at_least: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Coefficients by the likelihood of normal errors: `y` seen, or known to be more where `at_least`."""
    from scipy.optimize import minimize
    from scipy.stats import norm

    count = x.shape[1]

    def cost(at: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        off, scale = at[:count], float(np.exp(at[count]))
        z = (y - x @ off) / scale
        each = np.where(at_least, -norm.logsf(z), 0.5 * z * z + at[count])
        rate = np.where(at_least, np.exp(norm.logpdf(z) - norm.logsf(z)), z)
        held = np.append(0.0, off[1:])
        slope = -(x.T @ rate) / scale + 2.0 * RIDGE * held
        return float(each.sum() + RIDGE * held @ held), np.append(
            slope, float(np.sum(np.where(at_least, -rate * z, 1.0 - z * z)))
        )

    begin = np.append(np.linalg.lstsq(x[~at_least], y[~at_least], rcond=1e-6)[0], np.log(0.03))
    limits = [(None, None)] * count + [(np.log(0.003), np.log(0.3))]
    found = minimize(cost, begin, jac=True, method="L-BFGS-B", bounds=limits, options={"maxiter": 3000})
    return np.asarray(found.x[:count])


def used(file: Path) -> list[dict[str, str]]:
    """Rows that say something of slipping: those that slip, and those that break where model R is not far above."""
    return [
        row
        for row in read(file)
        if row["outcome"] == "slips" or (row["outcome"] in ("breaks", "held") and model_r(row) < FAR)
    ]


def model_r(row: dict[str, str]) -> float:
    """What `hold` has for even twists of a lay of 3.75 d."""
    return float(grip.slip_simulated(float(row["friction"]), float(row["turns"])))


def held_out(rows: list[dict[str, str]], repeats: int = 5) -> NDArray[np.float64]:
    """Load that the surface foretells of each row from the others, (repeats, n): ten folds, dealt anew each time."""
    x, y = terms(rows), np.log([float(row["peak"]) for row in rows])
    at_least = np.array([row["outcome"] != "slips" for row in rows])
    random = np.random.default_rng(0)
    told = np.empty((repeats, len(rows)))
    for deal in told:
        fold = random.permutation(len(rows)) % FOLDS
        for k in range(FOLDS):
            known = fold != k
            deal[~known] = np.exp(x[~known] @ fitted(x[known], y[known], at_least[known]))
    return told


def in_range_of_r(row: dict[str, str]) -> bool:
    """Whether model R speaks of such a joint in `hold`."""
    low, high = grip.SIMULATED_TURNS
    return (
        low <= float(row["turns"]) <= high
        and abs(float(row["lay_d"]) / grip.SIMULATED_LAY_D - 1.0) <= limits.LAY_REACH
        and float(row["evenness"]) >= limits.EVEN
        and float(row["wraps"]) >= limits.HINGE_WRAPS
    )


def errors(told: NDArray[np.float64], rows: list[dict[str, str]], which: NDArray[np.bool_]) -> str:
    """Root mean square and largest error of loads told, over rows that slip."""
    peak = np.array([float(row["peak"]) for row in rows])
    off = (told - peak)[..., which]
    if not off.size:
        return "none"
    return f"rms {float(np.sqrt(np.mean(off**2))):.4f}, mean {float(off.mean()):+.4f}, worst {float(np.abs(off).max()):.3f} ({int(which.sum())})"


def chart(rows: list[dict[str, str]], told: NDArray[np.float64]) -> str:
    """Loads told against loads simulated, as SVG: a dot a joint that slips, held out; a tick one that broke, at the load it bore."""

    def at(x: float, y: float) -> tuple[float, float]:
        return 60.0 + 640.0 * (x - 0.5) / 0.5, 460.0 - 400.0 * (y - 0.5) / 0.5

    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 720 520" font-family="sans-serif" font-size="14" fill="#222">',
        '<rect width="720" height="520" fill="#fff"/>',
    ]
    for level in (0.5, 0.6, 0.7, 0.8, 0.9, 1.0):
        x, y = at(level, level)
        parts.append(f'<path d="M60 {y:.1f}H700M{x:.1f} 60V460" stroke="#ddd"/>')
        parts.append(
            f'<text x="52" y="{y + 5:.1f}" text-anchor="end">{level:g}</text><text x="{x:.1f}" y="480" text-anchor="middle">{level:g}</text>'
        )
    parts.append('<path d="M60 460L700 60" stroke="#888" stroke-dasharray="5 4"/>')
    for row, load in zip(rows, told, strict=True):
        x, y = at(float(row["peak"]), min(float(load), 1.0))
        if row["outcome"] == "slips":
            parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="#0072b2" fill-opacity="0.7"/>')
        else:
            parts.append(f'<path d="M{x:.1f} {y - 4:.1f}v8" stroke="#d55e00" stroke-width="1.5"/>')
    parts += [
        '<text x="380" y="508" text-anchor="middle">largest load in the simulated pull, over the strength</text>',
        '<text x="20" y="260" text-anchor="middle" transform="rotate(-90 20 260)">load at which it is told to slip, without that pull</text>',
        '<text x="60" y="24" font-weight="bold">Slip load of joints that the surface did not see. Simulated, not tested</text>',
        '<text x="60" y="46"><tspan fill="#0072b2">dot: slips.</tspan> <tspan fill="#d55e00">tick: broke first, would slip no lower.</tspan></text>',
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def fit(file: Path) -> None:
    """Print the surface, its cross-validated error, and model R's on the same rows; draw them."""
    rows = used(file)
    x, y = terms(rows), np.log([float(row["peak"]) for row in rows])
    slips = np.array([row["outcome"] == "slips" for row in rows])
    inside = np.array([in_range_of_r(row) for row in rows])
    told, r = held_out(rows), np.array([model_r(row) for row in rows])
    names = [*LEVEL, *(f"10 mu {name}" for name in SLOPE)]
    print(" ".join(f"{name}: {value:+.3f}" for name, value in zip(names, fitted(x, y, ~slips), strict=True)))
    print("surface, all:              ", errors(told, rows, slips))
    print("model R, all:              ", errors(r, rows, slips))
    print("surface, in model R's range:", errors(told, rows, slips & inside))
    print("model R, in its range:     ", errors(r, rows, slips & inside))
    CHART.write_text(chart(rows, told.mean(axis=0)), encoding="utf-8", newline="\n")
    short = np.array([float(row["peak"]) for row in rows]) - told.mean(axis=0)
    print(
        f"told to slip below where they broke: {int((short[~slips] > 0.0).sum())} of {int((~slips).sum())}, at most by {short[~slips].max():.3f}"
    )


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    if sys.argv[1] == "--fit":
        fit(Path(sys.argv[2]))
    else:
        go_on(int(sys.argv[1]), Path(sys.argv[2]))
