"""Time jobs inside one warm process, ours and each peer in turn; prints a JSON object, one entry a job. Called by bench.py.

    .venv/bin/python scripts/benches/warm.py 9 gap-whole gap-joint

A job is a function that returns `Sides`. Of a job: `ours_s`, `peers_s` by name, `missing` (peers that are not
installed), `errors` (how far ours and each peer are from the truth, where the job can tell) and `faults` (peers that failed, and
why the truth could not be told); `failed` alone where ours does not run. What fails takes nothing else with it. Seconds are processor time: other work on the machine counts little.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
RECIPE = ROOT / "docs" / "examples" / "logger-tether.toml"
Work = Callable[[], object]


@dataclass(frozen=True)
class Sides:
    """What a job runs.

    peers: each a function that makes the work, and raises ImportError where its package is not installed. error: of what a side
    returned. before: what is done, uncounted, before each run of ours. times: by what a side's seconds are
    multiplied, where it does a part of the work only.
    """

    ours: Work
    peers: Mapping[str, Callable[[], Work]] = field(default_factory=dict)
    error: Callable[[Any], float] | None = None
    before: Callable[[], object] = lambda: None
    times: Mapping[str, float] = field(default_factory=dict)


MODULES = {
    "benches.geometry": ("gap-whole", "gap-joint", "gap-helices", "gap-coil", "curvature"),
    "benches.shape": ("shape-warm", "sweep"),
    "benches.mesh": ("mesh-sweep", "mesh-filter", "mesh-exported", "write-stl", "write-glb", "write-ply", "picture"),
    "benches.hold": ("hold", "hold-table", "hold-sweep"),
    "benches.plan": ("cut-proven",),
}


def module_of(job: str) -> str:
    """Name the module that has a job."""
    return next(module for module, jobs in MODULES.items() if job in jobs)


def measured(sides: Sides, runs: int) -> dict[str, Any]:
    """Run ours and the peers in turn, after one run of each that is not counted."""
    works: dict[str, Work] = {"ours": sides.ours}
    missing, faults = [], {}
    for name, make in sides.peers.items():
        try:
            works[name] = make()
            works[name]()
        except ImportError:
            missing.append(name)
            works.pop(name, None)
        except Exception as fault:  # noqa: BLE001  (told in words)
            faults[name] = _told(fault)
            works.pop(name, None)
    seconds: dict[str, list[float]] = {name: [] for name in works}
    answers: dict[str, Any] = {}
    for run in range(runs + 1):
        for name, work in works.items():
            if name == "ours":
                sides.before()
            started = time.process_time()
            answers[name] = work()
            taken = (time.process_time() - started) * sides.times.get(name, 1.0)
            if run:
                seconds[name].append(taken)
    errors: dict[str, float] = {}
    truth = sides.error or (lambda answer: float("nan"))
    for name, answer in answers.items() if sides.error else ():
        try:
            errors[name] = float(truth(answer))
        except Exception as fault:  # noqa: BLE001  (told in words)
            faults[f"truth of {name}"] = _told(fault)
    ours = seconds.pop("ours")
    return {"ours_s": ours, "peers_s": seconds, "missing": missing, "errors": errors, "faults": faults}


def _told(fault: Exception) -> str:
    return f"{type(fault).__name__}: {fault}"


def main(arguments: list[str]) -> int:
    """Run the jobs and print what they took."""
    sys.path[:0] = [str(ROOT), str(ROOT / "scripts")]
    runs, told = int(arguments[0]), {}
    for job in arguments[1:]:
        try:
            sides = import_module(module_of(job)).JOBS[job]()
            told[job] = measured(sides, runs)
        except Exception as fault:  # noqa: BLE001  (told in words)
            told[job] = {"failed": _told(fault)}
    print(json.dumps(told))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
