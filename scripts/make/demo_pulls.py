"""Write the demo bench of docs/examples/pulls: invented, seeded, with the truth that it was made from.

    .venv/bin/python scripts/make/demo_pulls.py            writes the files anew
    .venv/bin/python scripts/make/demo_pulls.py --check    writes nothing; exit code 1 if they differ

A reef-monitoring group of our own invention hangs temperature loggers on wire tethers. Nothing in it was measured.
"""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "docs" / "examples" / "pulls"
SEED = 20261125
RATED = "620 N"
WIRE = {"A": (858.0, 9.0), "B": (846.0, 9.0)}
GRIP = 0.07
# name: turns, wraps, load at which one joint breaks, load at which one joint unwinds: mean and SD in N
GROUPS: dict[str, tuple[int, int, tuple[float, float], tuple[float, float] | None]] = {
    "5+5": (5, 5, (842.0, 22.0), None),
    "5+3": (5, 3, (842.0, 22.0), (905.0, 60.0)),
    "4+5": (4, 5, (842.0, 22.0), (850.0, 60.0)),
    "4+3": (4, 3, (842.0, 22.0), (815.0, 60.0)),
    "3+5": (3, 5, (842.0, 22.0), (755.0, 60.0)),
    "5+5 steep exit": (5, 5, (790.0, 30.0), None),
}
PIECES = 20
CONTROLS = 8
OUTLIER = ("5+5", 612.0)
PLACES = ("broke_exit", "broke_barrel_end", "broke_entry")
HEADING = (
    "id", "group", "date", "size", "batch", "maker", "joints", "recipe", "turns", "wraps", "lay", "rated_load", "load",
    "unit", "failure", "end", "speed", "curve", "remark",
)  # fmt: skip


def made() -> dict[str, str]:
    """Texts of all files by name."""
    import numpy as np

    rng = np.random.default_rng(SEED)
    pieces = [(name, k) for name in GROUPS for k in range(PIECES)] + [("control", k) for k in range(2 * CONTROLS)]
    rows: list[dict[str, str]] = []
    ends: list[tuple[float, str, str]] = []
    for name, k in pieces:
        batch = "A" if k % 2 == 0 else "B"
        load, failure, end = control(batch, rng) if name == "control" else joined(name, batch, rng)
        ends.append((load, failure, end))
        row = dict.fromkeys(HEADING, "")
        row.update(
            group=name, size="MWG 12", batch=batch, maker="Ines" if (k // 2) % 2 == 0 else "Tomo", rated_load=RATED,
            load=f"{load:.1f}", unit="N", failure=failure, end=end, speed="5 mm/min", remark="invented",
        )  # fmt: skip
        if name == "control":
            row["joints"] = "0"
        else:
            turns, wraps, _, _ = GROUPS[name]
            recipe = "steep-exit.toml" if "steep" in name else "../logger-tether.toml"
            row.update(joints="2", recipe=recipe, turns=str(turns), wraps=str(wraps), lay="4 d")
        rows.append(row)
    group, load = OUTLIER
    nicked = next(row for row in rows if row["group"] == group and row["failure"] != "grip")
    nicked.update(
        load=f"{load:.1f}", failure="broke_clear", end="", remark="invented; nicked by pliers 80 mm from end a"
    )
    order = rng.permutation(len(rows)).tolist()
    texts: dict[str, str] = {}
    sorted_rows = []
    with_curve: dict[str, int] = {}
    for number, at in enumerate(order, start=1):
        row = rows[at]
        row["id"] = f"L{number:03d}"
        row["date"] = f"2026-03-{2 + number // 40:02d}"
        if with_curve.get(row["group"], 0) < 2 and row["group"] in ("5+5", "4+3", "3+5"):
            with_curve[row["group"]] = with_curve.get(row["group"], 0) + 1
            row["curve"] = f"curves/{row['id']}.csv"
            texts[row["curve"]] = curve(float(row["load"]), row["failure"], rng)
        sorted_rows.append(row)
    out = io.StringIO()
    writer = csv.DictWriter(out, HEADING, lineterminator="\n")
    writer.writeheader()
    writer.writerows(sorted_rows)
    texts["logger-tethers.csv"] = out.getvalue()
    texts["truth.json"] = json.dumps(truth(nicked["id"]), indent=2) + "\n"
    texts["curves.toml"] = MAPPING
    texts["steep-exit.toml"] = STEEP
    return texts


def joined(name: str, batch: str, rng: Any) -> tuple[float, str, str]:
    """Load, failure and end of a piece with two independent joints; the first thing to give way ends it."""
    _, _, breaks, unwinds = GROUPS[name]
    options: list[tuple[float, str, str]] = []
    for end in "ab":
        place = PLACES[int(rng.choice(3, p=(0.6, 0.25, 0.15)))]
        options.append((breaks[0] + breaks[1] * float(rng.standard_normal()), place, end))
        if unwinds:
            options.append((unwinds[0] + unwinds[1] * float(rng.standard_normal()), "unwound", end))
    options.append((WIRE[batch][0] + WIRE[batch][1] * float(rng.standard_normal()), "broke_clear", ""))
    if rng.random() < GRIP:
        options.append((float(rng.uniform(700.0, 880.0)), "grip", ""))
    return min(options)


def control(batch: str, rng: Any) -> tuple[float, str, str]:
    """Load and failure of straight wire."""
    options = [(WIRE[batch][0] + WIRE[batch][1] * float(rng.standard_normal()), "broke_clear", "")]
    if rng.random() < 2 * GRIP:
        options.append((float(rng.uniform(780.0, 860.0)), "grip", ""))
    return min(options)


def curve(load_n: float, failure: str, rng: Any) -> str:
    """A machine's file: load in kN and travel in mm, semicolons and decimal commas, as some machines write."""
    import numpy as np

    travel = np.arange(0.0, 14.0, 0.01)
    stiffness, slack = 145.0 + 5.0 * float(rng.standard_normal()), 0.3 + 0.1 * float(rng.random())
    force = np.clip(travel - slack, 0.0, None) * stiffness
    if failure == "unwound":
        start = 0.88 * load_n
        reached = slack + start / stiffness
        creep = travel - reached
        force = np.where(creep > 0.0, start + (load_n - start) * (1.0 - np.exp(-np.clip(creep, 0, None) / 1.2)), force)
        force *= load_n / force.max()
        slip = reached + 0.6
        force = np.where((travel > slip) & (travel < slip + 0.25), force - 35.0 * (1.0 - (travel - slip) / 0.25), force)
        last = slip + 4.0
    else:
        last = slack + load_n / stiffness
    keep = travel <= last + 0.15
    travel, force = travel[keep], np.where(travel[keep] > last, 4.0, np.minimum(force[keep], load_n))
    force = force + 0.4 * rng.standard_normal(force.size)
    lines = ["Invented bench, helix demo", "Travel;Load", "mm;kN"]
    lines += [
        f"{x:.2f};{f / 1000.0:.5f}".replace(".", ",") for x, f in zip(travel.tolist(), force.tolist(), strict=True)
    ]
    return "\n".join(lines) + "\n"


MAPPING = """\
# Columns of the load-extension files beside this one.
[load]
column = "Load"
unit = "kN"

[extension]
column = "Travel"
unit = "mm"

[file]
skip = 1              # a line with the name of the bench
units_row = true      # a row of units under the heading
"""


STEEP = """\
# Invented data: the logger tether's lower eye, its tag bent out past 90 deg.

title = "Logger tether, steep exit (invented)"

[wire]
size = "MWG 12"
material = "302 stainless"

[eye]
pin = "6 mm"

[twist]
turns = 5
lay_length = "4 d"

[exit]
style = "gradual"
peak_angle = "95 deg"   # the tag points back at the eye

[barrel]
wraps = 5
"""


def truth(outlier: str) -> dict[str, Any]:
    """What the bench was made from; loads in N."""
    return {
        "says": "Invented. Two independent joints a piece; the first thing to give way ends a piece.",
        "seed": SEED,
        "rated_load": RATED,
        "wire": {batch: {"mean_n": mean, "sd_n": sd} for batch, (mean, sd) in WIRE.items()},
        "grip_chance": {"joined": GRIP, "control": 2 * GRIP},
        "outlier": {"id": outlier, "group": OUTLIER[0], "load_n": OUTLIER[1], "cause": "nicked by pliers, broke clear"},
        "groups": {
            name: {
                "turns": turns,
                "wraps": wraps,
                "joint_breaks": {"mean_n": breaks[0], "sd_n": breaks[1]},
                "joint_unwinds": {"mean_n": unwinds[0], "sd_n": unwinds[1]} if unwinds else None,
            }
            for name, (turns, wraps, breaks, unwinds) in GROUPS.items()
        },
    }


def main(arguments: list[str]) -> int:
    """Write the files, or compare them."""
    texts = made()
    differ = [name for name, text in texts.items() if not same(FOLDER / name, text)]
    if arguments == ["--check"]:
        print("\n".join(f"{name} is out of date" for name in differ) or "the demo bench is up to date")
        return 1 if differ else 0
    for name, text in texts.items():
        (FOLDER / name).parent.mkdir(parents=True, exist_ok=True)
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")
    print(f"{len(texts)} files in {FOLDER.relative_to(ROOT)}, {len(differ)} changed")
    return 0


def same(path: Path, text: str) -> bool:
    """Whether a file holds that text."""
    return path.is_file() and path.read_text(encoding="utf-8") == text


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
