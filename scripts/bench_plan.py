"""What scripts/bench.py times of planning: prints the seconds of one whole `helix cut`, its process included.

    python scripts/bench_plan.py sixty          60 pieces of 8 lengths on mixed stock
    python scripts/bench_plan.py five-hundred   500 pieces of 20 lengths on mixed stock
    python scripts/bench_plan.py 5              prints that number, as the peer of a goal in seconds

Fails where the list is further than 1 % from the best that is possible, or pieces are left over.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
WIRE = '[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
JOBS = {"sixty": (60, 8, 1), "five-hundred": (500, 20, 8)}


def plan(pieces: int, kinds: int, stock: int) -> str:
    """A plan of so many pieces, of lengths and on stock drawn at random, the same every time."""
    draw = random.Random(1)
    counts = [pieces // kinds + (k < pieces % kinds) for k in range(kinds)]
    text = '[cutting]\nsaw_loss = "1.5 mm"\nleast_tail = "400 mm"\n' + WIRE
    for k, count in enumerate(counts):
        text += f'[[piece]]\nname = "piece {k}"\ncount = {count}\nlength = "{draw.randint(3000, 25000) / 10} mm"\n'
        text += 'ends = ["plain", "plain"]\n'
    for k, (length, count) in enumerate(((6000, 10), (4000, 6), (2950.5, 4), (7300, 5), (25000, 1))):
        text += f'[[stock]]\nname = "stock {k}"\nlength = "{length} mm"\ncount = {count * stock}\n'
    return text


def seconds_of(job: str) -> float:
    """Seconds of the command; raises RuntimeError where its list is not good enough."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "plan.toml"
        file.write_text(plan(*JOBS[job]), encoding="utf-8")
        started = time.perf_counter()
        answer = subprocess.run(
            [sys.executable, "-m", "helix", "cut", str(file), "--json"],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        seconds = time.perf_counter() - started
    record = json.loads(answer.stdout or "{}")
    if answer.returncode or record["short"] or record["gap"] > 0.01:
        raise RuntimeError(f"the list of {job} is not good enough: {answer.stderr or record['gap']}")
    print(f"{job}: gap {record['gap']:.1e}", file=sys.stderr)
    return seconds


def main(arguments: list[str]) -> int:
    """Run one job and print its seconds."""
    if len(arguments) != 1:
        print(f"usage: {Path(__file__).name} {'|'.join(JOBS)}|SECONDS", file=sys.stderr)
        return 2
    print(seconds_of(arguments[0]) if arguments[0] in JOBS else float(arguments[0]))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
