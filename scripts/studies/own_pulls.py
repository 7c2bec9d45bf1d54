"""How often the load to plan with covers the next joint once own pieces were pulled: simulated benches of known truth.

    .venv/bin/python scripts/studies/own_pulls.py               2,000 benches a case, about 20 minutes on two cores
    .venv/bin/python scripts/studies/own_pulls.py --benches 50  a quick look
    .venv/bin/python scripts/studies/own_pulls.py --only weak --pieces 3 10   some of them

Prints the table that docs/theory/evidence.md quotes.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))


def main() -> int:
    """Every case at every number of pieces; exit code 1 where the cover lies outside 93 to 97 %."""
    from tests.studies.hold.evidence.own_pulls_simulation import CASES, PIECES, bench_counts

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--benches", type=int, default=2000)
    parser.add_argument("--only", default="")
    parser.add_argument("--pieces", type=int, nargs="*", default=PIECES)
    given = parser.parse_args()
    outside = 0
    print("| bench | pieces | covered, % | expected / true mean | plan with / true mean |")
    print("|---|---|---|---|---|", flush=True)
    for name, truth in CASES.items():
        if given.only not in name:
            continue
        for pieces in given.pieces:
            start = time.perf_counter()
            counts = bench_counts(truth, pieces, given.benches, seed=20_261_128 + pieces)
            outside += not 0.93 <= counts.covered <= 0.97
            took = time.perf_counter() - start
            print(
                f"| {name} | {pieces} | {100.0 * counts.covered:.1f} | {counts.expected:.3f} | {counts.plan:.3f} |",
                flush=True,
            )
            print(f"{took:.0f} s", file=sys.stderr)
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
