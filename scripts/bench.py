"""Measure helix against a peer on this machine, as ratios of medians from alternating runs.

    python3 scripts/bench.py                    every bench
    python3 scripts/bench.py shape --runs 31    one, with more runs
    python3 scripts/bench.py --strict           exit code 1 if a goal is missed

A ratio says more than a time: the peer is run in the same seconds on the same machine. A new bench is one
more entry in BENCHES.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("bench.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import argparse
import statistics
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from _venv import ROOT, clean_environment, ensure, main_with, say

RECIPE = "docs/examples/logger-tether.toml"

TEN_THOUSAND_ROWS = """
import pathlib, random, tempfile
from helix.commands.main import main
draw = random.Random(1)
words = ["broke_exit"] * 7 + ["broke_clear", "unwound", "grip"]
rows = [f"{k},g{k % 6},{draw.gauss(820, 20):.1f},N,{draw.choice(words)}" for k in range(10_000)]
with tempfile.TemporaryDirectory() as folder:
    file = pathlib.Path(folder) / "tests.csv"
    file.write_text("id,group,load,unit,failure\\n" + "\\n".join(rows))
    raise SystemExit(main(["pulls", "read", str(file), "--json"]))
"""
A_HUNDRED_THOUSAND_POINTS = """
import pathlib, tempfile
from helix.commands.main import main
with tempfile.TemporaryDirectory() as name:
    folder = pathlib.Path(name)
    rows = [f"{k * 6e-5:.5f},{max(0.0, k * 6e-5 - 0.3) * 150.0 if k < 99_000 else 2.0:.3f}" for k in range(100_000)]
    (folder / "c.csv").write_text("s,F\\n" + "\\n".join(rows))
    (folder / "m.toml").write_text("[load]\\ncolumn='F'\\nunit='N'\\n[extension]\\ncolumn='s'\\nunit='mm'\\n")
    (folder / "t.csv").write_text("id,group,load,unit,failure,curve\\n1,A,846,N,broke_exit,c.csv\\n")
    raise SystemExit(main(["pulls", "read", str(folder / "t.csv"), "--curves", str(folder / "m.toml"), "--json"]))
"""


@dataclass(frozen=True)
class Bench:
    """Two command lines for the environment's Python, and the ratio of their times that is wanted.

    printed: both print the seconds that count, taken in a warm process; else the whole process is timed.
    most_runs: no more runs than this, for what takes long.
    """

    name: str
    what: str
    ours: tuple[str, ...]
    peer_name: str
    peer: tuple[str, ...]
    goal: float
    stretch: float
    printed: bool = False
    most_runs: int = 1000


PLAN = "scripts/bench_plan.py"
HOLD = "scripts/bench_hold.py"
SWEEP = "scripts/bench_sweep.py"
MESH = "scripts/bench_mesh.py"

BENCHES = (
    Bench(
        name="shape",
        what="cold `helix shape` on the demo recipe, no picture",
        ours=("-m", "helix", "shape", RECIPE),
        peer_name="import numpy",
        peer=("-c", "import numpy"),
        goal=8.0,
        stretch=4.0,
    ),
    Bench(
        name="pulls-rows",
        what="cold `helix pulls read --json` of 10,000 pieces in 6 groups (2 s is the limit asked for)",
        ours=("-c", TEN_THOUSAND_ROWS),
        peer_name="import scipy.special and scipy.stats",
        peer=("-c", "import scipy.special, scipy.stats"),
        goal=4.0,
        stretch=2.0,
    ),
    Bench(
        name="pulls-curve",
        what="cold `helix pulls read --json` of a piece with a curve of 100,000 points (2 s is the limit asked for)",
        ours=("-c", A_HUNDRED_THOUSAND_POINTS),
        peer_name="import scipy.special and scipy.stats",
        peer=("-c", "import scipy.special, scipy.stats"),
        goal=4.0,
        stretch=2.0,
    ),
    Bench(
        name="hold",
        what="one hold estimate with 10,000 draws, warm, its shape known",
        ours=(HOLD, "estimate"),
        peer_name="50 ms",
        peer=(HOLD, "0.05"),
        goal=1.0,
        stretch=0.5,
        printed=True,
    ),
    Bench(
        name="hold-table",
        what="11 x 11 pairs of turns and wraps with 10,000 draws each",
        ours=(HOLD, "table"),
        peer_name="2 s",
        peer=(HOLD, "2"),
        goal=1.0,
        stretch=0.25,
        printed=True,
    ),
    Bench(
        name="hold-sweep",
        what="100,000 parameter sets at once",
        ours=(HOLD, "sweep"),
        peer_name="the same in a loop",
        peer=(HOLD, "loop"),
        goal=1.0 / 150.0,
        stretch=1.0 / 400.0,
        printed=True,
    ),
    Bench(
        name="sweep",
        what="100,000 joints of a grid by `helix.sweep`, 20 lays among them, nothing known before",
        ours=(SWEEP, "sweep"),
        peer_name="the same by helix.shape in a loop, from 40 of them",
        peer=(SWEEP, "loop"),
        goal=1.0 / 1000.0,
        stretch=1.0 / 4000.0,
        printed=True,
        most_runs=3,
    ),
    Bench(
        name="cut-sixty",
        what="cold `helix cut --json` of 60 pieces of 8 lengths on mixed stock, within 1 % of the best",
        ours=(PLAN, "sixty"),
        peer_name="5 s",
        peer=(PLAN, "5"),
        goal=1.0,
        stretch=0.8,
        printed=True,
        most_runs=5,
    ),
    Bench(
        name="cut-five-hundred",
        what="cold `helix cut --json` of 500 pieces of 20 lengths on mixed stock, within 1 % of the best",
        ours=(PLAN, "five-hundred"),
        peer_name="30 s",
        peer=(PLAN, "30"),
        goal=1.0,
        stretch=0.7,
        printed=True,
        most_runs=2,
    ),
    Bench(
        name="mesh-sweep",
        what="our sweep, 4,000 rings x 24 sides, warm",
        ours=(MESH, "mesh"),
        peer_name="trimesh's sweep, same centre line",
        peer=(MESH, "trimesh"),
        goal=1.0 / 4.0,
        stretch=1.0 / 10.0,
        printed=True,
    ),
    Bench(
        name="mesh-filter",
        what="our sweep, 4,000 rings x 24 sides, warm",
        ours=(MESH, "mesh"),
        peer_name="VTK's tube filter, same centre line",
        peer=(MESH, "vtk"),
        goal=1.0 / 5.0,
        stretch=1.0 / 8.0,
        printed=True,
    ),
    Bench(
        name="picture",
        what="a picture of 1600 x 900 with its close-ups, warm",
        ours=(MESH, "picture"),
        peer_name="1.5 s",
        peer=(MESH, "1.5"),
        goal=1.0,
        stretch=0.6,
        printed=True,
        most_runs=5,
    ),
)


@dataclass(frozen=True)
class Measured:
    """What one bench gave: the times of all runs in seconds."""

    bench: Bench
    ours_s: tuple[float, ...]
    peer_s: tuple[float, ...]

    @property
    def ratio(self) -> float:
        return statistics.median(self.ours_s) / statistics.median(self.peer_s)

    @property
    def verdict(self) -> str:
        if self.ratio <= self.bench.stretch:
            return "stretch met"
        return "goal met" if self.ratio <= self.bench.goal else "GOAL MISSED"


def timer(python: Path, arguments: tuple[str, ...], printed: bool = False) -> Callable[[], float]:
    """Return a function that runs a fresh Python once and returns the seconds; a failing run is an error.

    printed: take the seconds that the process prints.
    """

    def once() -> float:
        started = time.perf_counter()
        answer = subprocess.run(
            [str(python), *arguments], cwd=ROOT, env=clean_environment(), capture_output=True, text=True, check=False
        )
        seconds = time.perf_counter() - started
        if answer.returncode:
            sys.exit(f"bench.py: python {' '.join(arguments)} ended with {answer.returncode}:\n{answer.stderr}")
        return float(answer.stdout.split()[-1]) if printed else seconds

    return once


def measure(bench: Bench, python: Path, runs: int) -> Measured:
    """Run ours and the peer in turn, after one run of each that is not counted."""
    runs = min(runs, bench.most_runs)
    more = (True,) if bench.printed else ()
    ours, peer = timer(python, bench.ours, *more), timer(python, bench.peer, *more)
    ours(), peer()
    say(f"{bench.name}: {runs} runs each of {bench.what} and of {bench.peer_name} ...")
    pairs = [(ours(), peer()) for _ in range(runs)]
    return Measured(bench, tuple(pair[0] for pair in pairs), tuple(pair[1] for pair in pairs))


def spread(seconds: tuple[float, ...]) -> str:
    """Return the median and the middle half of the times, in milliseconds."""
    quarters = statistics.quantiles(seconds, n=4)
    return f"{1000 * quarters[1]:.0f} ({1000 * quarters[0]:.0f} to {1000 * quarters[2]:.0f})"


def table(results: list[Measured]) -> str:
    """Return the results as an aligned table: medians with the middle half of the runs, and the ratio."""
    rows = [("bench", "ours, ms", "peer, ms", "peer", "ratio", "goal", "stretch", "")]
    for result in results:
        bench = result.bench
        rows.append(
            (
                bench.name,
                spread(result.ours_s),
                spread(result.peer_s),
                bench.peer_name,
                f"{result.ratio:.2f}" if result.ratio >= 0.1 else f"{result.ratio:.2g}",
                f"{bench.goal:.3g}",
                f"{bench.stretch:.3g}",
                result.verdict,
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    aligned = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows)
    return "\n".join(line.rstrip() for line in aligned)


def job() -> int:
    parser = argparse.ArgumentParser(description="Measure helix against a peer, as ratios of medians.")
    names = [bench.name for bench in BENCHES]
    parser.add_argument("name", nargs="*", help=f"what to measure ({', '.join(names)}); everything if left out")
    parser.add_argument("--runs", type=int, default=15, help="runs of each, in turn (default 15)")
    parser.add_argument("--strict", action="store_true", help="exit code 1 if a goal is missed")
    options = parser.parse_args()
    unknown = [name for name in options.name if name not in names]
    if unknown or options.runs < 2:
        parser.error(f"no bench is called {', '.join(unknown)}" if unknown else "--runs must be 2 or more")
    python = ensure()
    chosen = [bench for bench in BENCHES if not options.name or bench.name in options.name]
    results = [measure(bench, python, options.runs) for bench in chosen]
    say(table(results))
    missed = any(result.ratio > result.bench.goal for result in results)
    return 1 if options.strict and missed else 0


if __name__ == "__main__":
    main_with(job)
