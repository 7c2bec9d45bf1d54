"""Measure helix against what people would use instead, as ratios of medians from alternating runs.

    python3 scripts/bench.py                    every bench
    python3 scripts/bench.py --quick            a look in under a minute: few runs, the longest left out
    python3 scripts/bench.py shape --runs 31    one, with more runs
    python3 scripts/bench.py --strict           exit code 1 if a goal is missed
    python3 scripts/bench.py --here             with the Python that runs this, nothing is installed

A ratio says more than a time: the peer is run in the same seconds on the same machine. Warm jobs are told in processor
time, whole commands in seconds by the clock. The benches stand in
benches/rows.py. A peer that is not installed is skipped with its name. What fails is told in its row; the others go on.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an older Python must get this line, not a syntax error)
    sys.exit("bench.py needs Python 3.11 or newer (try python3.12); this is " + sys.version.split()[0])

import argparse
import json
import os
import platform
import statistics
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from _venv import ROOT, clean_environment, ensure, main_with, say
from benches.rows import BENCHES, Bench

RUNS, QUICK_WARM = 15, 5


@dataclass(frozen=True)
class Measured:
    """What one bench gave: seconds (or MB) of all runs of ours and of the best peer; errors of each side, and what failed."""

    bench: Bench
    ours: tuple[float, ...] = ()
    peer: tuple[float, ...] = ()
    peer_name: str = ""
    errors: Mapping[str, float] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    faults: Mapping[str, str] = field(default_factory=dict)

    @property
    def ratio(self) -> float | None:
        """Ours against the peer; None where one of them has no time."""
        other = self.bench.limit or (statistics.median(self.peer) if self.peer else 0.0)
        return statistics.median(self.ours) / other if self.ours and other else None

    @property
    def missed(self) -> bool:
        """Whether a claim does not hold: the ratio, the error, or that it runs at all."""
        return any(words.isupper() for words in self._verdicts())

    @property
    def verdict(self) -> str:
        """All that is to be said of it; what is missed in capitals."""
        told = [*self._verdicts(), *(f"{name}: {why}" for name, why in self.faults.items())]
        if self.missing:
            told.append(f"not installed, skipped: {', '.join(self.missing)}")
        return "; ".join(told)

    def _verdicts(self) -> list[str]:
        bench, error, words = self.bench, self.errors.get("ours"), []
        if not self.ours:
            return ["FAILED"]
        if self.ratio is not None:
            met = "stretch met" if self.ratio <= bench.stretch else "goal met"
            words.append(met if self.ratio <= bench.goal else "GOAL MISSED")
        if bench.error is not None and error is not None and not error <= bench.error:
            words.append("ERROR TOO LARGE")
        if bench.error is not None and error is None:
            words.append("error not known")
        return words or ["no peer"]


def environment() -> dict[str, str]:
    """Return the environment of every process: helix of this clone, one thread of linear algebra."""
    path = os.pathsep.join((str(ROOT), str(ROOT / "scripts")))
    return clean_environment(PYTHONPATH=path, OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1")


def runner(python: Path, arguments: tuple[str, ...], bench: Bench) -> Callable[[], float]:
    """Return a function that runs a fresh Python once and returns its seconds or MB; a failing run is a RuntimeError."""

    def once() -> float:
        with tempfile.TemporaryFile() as output, tempfile.TemporaryFile() as errors:
            started = time.perf_counter()
            process = subprocess.Popen(
                [str(python), *arguments], cwd=ROOT, env=environment(), stdout=output, stderr=errors
            )
            memory = wait(process)
            seconds = time.perf_counter() - started
            for stream in (output, errors):
                stream.seek(0)
            if process.returncode:
                last = errors.read().decode(errors="replace").strip().splitlines()[-1:]
                raise RuntimeError(f"ended with {process.returncode}: {' '.join(last)}")
            if bench.unit == "MB":
                return memory
            return float(output.read().split()[-1]) if bench.printed else seconds

    return once


def wait(process: "subprocess.Popen[bytes]") -> float:
    """Wait for a process and return the most memory it had, in MB; 0 where the system does not tell."""
    if not hasattr(os, "wait4"):
        process.wait()
        return 0.0
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    return float(usage.ru_maxrss) / (1024.0 if sys.platform != "darwin" else 1024.0**2)


def measure_commands(bench: Bench, python: Path, runs: int, warm_up: bool = True) -> Measured:
    """Run ours and the peer in turn, after one run of each that is not counted."""
    sides: dict[str, Callable[[], float]] = {"ours": runner(python, bench.ours, bench)}
    if bench.peer:
        sides[bench.peer_name] = runner(python, bench.peer, bench)
    taken: dict[str, list[float]] = {name: [] for name in sides}
    faults: dict[str, str] = {}
    for run in range(0 if warm_up else 1, runs + 1):
        for name, once in sides.items():
            if name in faults:
                continue
            try:
                amount = once()
            except (RuntimeError, OSError, ValueError, IndexError) as fault:
                faults[name] = str(fault)
                taken[name].clear()
                continue
            if run:
                taken[name].append(amount)
    ours = tuple(taken["ours"]) if "ours" not in faults else ()
    return Measured(bench, ours, tuple(taken.get(bench.peer_name, ())), bench.peer_name, faults=faults)


def measure_warm(benches: list[Bench], python: Path, runs: Callable[[Bench], int]) -> list[Measured]:
    """Run warm jobs, each in a process of its own."""
    results = []
    for bench in benches:
        command = [str(python), "scripts/benches/warm.py", str(runs(bench)), bench.name]
        answer = subprocess.run(command, cwd=ROOT, env=environment(), capture_output=True, text=True, check=False)
        try:
            told: dict[str, Any] = json.loads(answer.stdout)[bench.name]
        except (ValueError, KeyError):
            last = " ".join(answer.stderr.strip().splitlines()[-1:])
            told = {"failed": f"ended with {answer.returncode}: {last}"}
        results.append(from_job(bench, told))
    return results


def from_job(bench: Bench, told: Mapping[str, Any]) -> Measured:
    """Read what a warm job has printed; of several peers the fastest counts."""
    if "failed" in told:
        return Measured(bench, faults={"ours": told["failed"]})
    peers = {name: tuple(seconds) for name, seconds in told["peers_s"].items() if seconds}
    best = min(peers, key=lambda name: statistics.median(peers[name]), default="")
    errors = {name: value for name, value in told["errors"].items() if name in ("ours", best)}
    return Measured(
        bench, tuple(told["ours_s"]), peers.get(best, ()), best, errors, tuple(told["missing"]), told["faults"]
    )


def spread(amounts: tuple[float, ...], unit: str) -> str:
    """Return the median and, of four or more, the middle half: in milliseconds or MB."""
    if not amounts:
        return "-"
    scale = 1000.0 if unit == "s" else 1.0
    quarters = statistics.quantiles(amounts, n=4) if len(amounts) > 3 else [statistics.median(amounts)]
    low, high = (f"{scale * quarters[k]:.3g}" for k in (0, -1))
    middle = f"{scale * statistics.median(amounts):.3g}"
    return middle if len(amounts) < 4 else f"{middle} ({low} to {high})"


def table(results: list[Measured]) -> str:
    """Return the results as an aligned table: medians with the middle half of the runs, the ratio, the errors."""
    rows = [("bench", "what", "ours, ms", "peer, ms", "peer", "ratio", "wanted", "error (peer's)", "")]
    for result in results:
        bench, ratio = result.bench, result.ratio
        own, other = (result.errors.get(name) for name in ("ours", result.peer_name))
        rows.append(
            (
                bench.name,
                bench.what,
                spread(result.ours, bench.unit) + (" MB" if bench.unit == "MB" else ""),
                spread(result.peer, bench.unit) if not bench.limit else "-",
                result.peer_name or bench.peer_name,
                "-" if ratio is None else f"{ratio:.2g}",
                f"{bench.goal:.2g}",
                "" if own is None else f"{own:.0e}" + ("" if other is None else f" ({other:.0e})"),
                result.verdict,
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    aligned = ("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in rows)
    return "\n".join(line.rstrip() for line in aligned)


def machine(python: Path) -> str:
    """Name the machine, its load and the versions that count."""
    code = (
        "import importlib.metadata as m; print(*(f'{n} {m.version(n)}' for n in ('numpy', 'scipy', 'trimesh', 'vtk')))"
    )
    versions = subprocess.run([str(python), "-c", code], env=environment(), capture_output=True, text=True, check=False)
    load = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    return (
        f"{processor()}, {os.cpu_count()} cores{load}; {platform.system()} {platform.machine()}, "
        f"Python {platform.python_version()}, {versions.stdout.strip() or 'packages not told'}"
    )


def processor() -> str:
    """Name the processor as the system does."""
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.processor() or "processor not told"
    return next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())


def job() -> int:
    parser = argparse.ArgumentParser(description="Measure helix against what people would use, as ratios of medians.")
    names = [bench.name for bench in BENCHES]
    parser.add_argument("name", nargs="*", help=f"what to measure ({', '.join(names)}); everything if left out")
    parser.add_argument("--runs", type=int, default=RUNS, help=f"runs of each, in turn (default {RUNS})")
    parser.add_argument("--quick", action="store_true", help="few runs, the longest left out: under a minute")
    parser.add_argument("--strict", action="store_true", help="exit code 1 if a goal is missed")
    parser.add_argument("--here", action="store_true", help="use the Python that runs this; nothing is installed")
    options = parser.parse_args()
    unknown = [name for name in options.name if name not in names]
    if unknown or options.runs < 1:
        parser.error(f"no bench is called {', '.join(unknown)}" if unknown else "--runs must be 1 or more")
    python = Path(sys.executable) if options.here else ensure("test")
    started = time.monotonic()
    say(machine(python))

    def runs(bench: Bench) -> int:
        most = min(int(options.runs), bench.most_runs)
        few = QUICK_WARM if not bench.ours and bench.quick_runs > 1 else bench.quick_runs
        return min(most, few) if options.quick else most

    chosen = [bench for bench in BENCHES if not options.name or bench.name in options.name]
    results = []
    for bench in chosen:
        if runs(bench) == 0:
            say(f"{bench.name}: left out of a quick look")
            continue
        if bench.ours:
            results.append(
                measure_commands(bench, python, runs(bench), warm_up=not options.quick or bench.limit == 0.0)
            )
        else:
            results += measure_warm([bench], python, runs)
        if not options.quick:
            say(f"{bench.name}: {results[-1].verdict}")
    say(table(results))
    say(f"{time.monotonic() - started:.0f} s")
    return 1 if options.strict and any(result.missed for result in results) else 0


if __name__ == "__main__":
    main_with(job)
