"""What scripts/bench.py times of planning: prints the seconds of one whole `helix cut`, its process included.

As a module: a job of benches/warm.py, cutting lists of few lengths.

    python scripts/benches/plan.py sixty          60 pieces of 8 lengths on mixed stock
    python scripts/benches/plan.py five-hundred   500 pieces of 20 lengths on mixed stock

Fails where the list is further than 1 % from the best that is possible, or pieces are left over.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benches.warm import ROOT, Sides, Work

WIRE = '[wire.thin]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
WHOLE = {"sixty": (60, 8, 1), "five-hundred": (500, 20, 8)}


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
        file.write_text(plan(*WHOLE[job]), encoding="utf-8")
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


LISTS, STOCK = 12, 10_000


def few_lengths() -> list[tuple[list[int], list[int]]]:
    """Lists of 2 to 6 lengths, and how many of each, drawn at random, the same every time."""
    draw = random.Random(3)
    lists = []
    for k in range(LISTS):
        lengths = sorted({draw.randint(1500, 5500) for _ in range(2 + k % 5)}, reverse=True)
        lists.append((lengths, [draw.randint(3, 25) for _ in lengths]))
    return lists


def proven() -> Sides:
    """The stock that is least for each list, proven, and the same by scipy's HiGHS on every pattern; the error is in bars."""
    import numpy as np

    from helix.cutting_stock.cutting_model import Charge
    from helix.cutting_stock.cutting_search import cut_stock

    lists, charge = few_lengths(), Charge(np.ones(1), whole=True)

    def ours() -> list[int]:
        made = [cut_stock(lengths, demand, [STOCK], [200], first=charge) for lengths, demand in lists]
        if any(best.gap > 0.0 for best in made):
            raise RuntimeError("a list is not proven to be the best")
        return [len(best.cuts) for best in made]

    def by_highs() -> Work:
        import scipy.optimize  # noqa: F401

        return lambda: [least_bars(lengths, demand) for lengths, demand in lists]

    truth = [least_bars(lengths, demand) for lengths, demand in lists]
    return Sides(ours, {"HiGHS on every pattern": by_highs}, lambda bars: float(np.abs(np.subtract(bars, truth)).max()))


def least_bars(lengths: list[int], demand: list[int]) -> int:
    """The fewest bars, by HiGHS on every pattern that no piece more fits into."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    patterns: list[list[int]] = []

    def fill(counts: list[int], left: int) -> None:
        k = len(counts)
        if k == len(lengths):
            if left < lengths[-1]:
                patterns.append(counts)
            return
        for n in range(left // lengths[k] + 1):
            fill([*counts, n], left - n * lengths[k])

    fill([], STOCK)
    columns = np.array(patterns, dtype=float).T
    ones = np.ones(columns.shape[1])
    answer = milp(
        ones, constraints=LinearConstraint(columns, demand, np.inf), bounds=Bounds(0, np.inf), integrality=ones
    )
    bars: int = round(answer.fun)
    return bars


def main(arguments: list[str]) -> int:
    """Run one job and print its seconds."""
    if len(arguments) != 1 or arguments[0] not in WHOLE:
        print(f"usage: {Path(__file__).name} {'|'.join(WHOLE)}", file=sys.stderr)
        return 2
    print(seconds_of(arguments[0]))
    return 0


JOBS: dict[str, Callable[[], Sides]] = {"cut-proven": proven}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
