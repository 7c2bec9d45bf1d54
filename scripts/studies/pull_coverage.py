"""How often the intervals for a single joint hold: 2,000 simulated benches a case, seeds and results kept.

    .venv/bin/python scripts/studies/pull_coverage.py              all cases, about 10 minutes on two cores
    .venv/bin/python scripts/studies/pull_coverage.py --benches 50  a quick look, nothing written
    .venv/bin/python scripts/studies/pull_coverage.py --only bounds  the cases with that in their name, put into the file

Writes helix/data/pull_coverage.csv, from which reports print the coverage, and docs/theory/pulls.md quotes.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
RESULTS = ROOT / "helix" / "data" / "pull_coverage.csv"
BENCHES = 2000
SEED = 20_260_000

# case, truth (fields of tests.studies.pulls.pull_simulation.Truth), joints assumed a piece (0: from the lower limit for
# one to the upper for two, which is what is said when nobody knows), pieces a bench
WIRE = {"a seventh": 955.0, "a third": 905.0, "half": 881.0, "two thirds": 857.0}
CASES: list[tuple[str, dict[str, Any], int, tuple[int, ...]]] = [
    ("claim", {}, 2, (5, 10, 30, 100)),
    ("claim", {"wire": (WIRE["a seventh"], 30.0), "grip": 0.05}, 2, (10, 30)),
    ("claim", {"wire": (WIRE["a third"], 30.0), "grip": 0.08}, 2, (5, 10, 30, 100)),
    ("claim", {"wire": (940.0, 30.0), "unwinds": (960.0, 60.0), "grip": 0.08}, 2, (10, 30)),
    ("claim", {"wire": (WIRE["half"], 30.0), "grip": 0.1}, 2, (10, 30)),
    ("claim", {"wire": (WIRE["two thirds"], 30.0), "grip": 0.1}, 2, (10, 30)),
    ("correlation 0.5 taken as 0", {"correlation": 0.5, "wire": (920.0, 30.0), "grip": 0.08}, 2, (10, 30)),
    ("correlation 1 taken as 1", {"correlation": 1.0, "wire": (940.0, 30.0), "grip": 0.08}, 1, (10, 30)),
    ("correlation 1 taken as 0", {"correlation": 1.0, "wire": (940.0, 30.0), "grip": 0.08}, 2, (10, 30)),
    ("correlation 0 taken as 1", {"wire": (WIRE["a third"], 30.0), "grip": 0.08}, 1, (10, 30)),
    ("Weibull joints taken as normal", {"family": "weibull", "wire": (900.0, 30.0), "grip": 0.08}, 2, (10, 30)),
    ("bounds; correlation 0", {"wire": (WIRE["a third"], 30.0), "grip": 0.08}, 0, (10, 30)),
    ("bounds; correlation 0.5", {"correlation": 0.5, "wire": (920.0, 30.0), "grip": 0.08}, 0, (10, 30)),
    ("bounds; correlation 1", {"correlation": 1.0, "wire": (940.0, 30.0), "grip": 0.08}, 0, (10, 30)),
]  # fmt: skip


def run(job: tuple[str, dict[str, Any], int, int, int, int]) -> list[str]:
    """One case at one number of pieces: a row of the results."""
    sys.path.insert(0, str(ROOT))
    from tests.studies.pulls.pull_simulation import Truth, coverage

    case, truth, joints, pieces, benches, seed = job
    held = coverage(Truth(**truth), pieces, benches, seed, joints)
    shares = (
        held.mean, held.sd, held.tolerance, held.low, held.high, held.wald_mean, held.wald_sd,
        held.plain_mean, held.plain_sd, held.plain_tolerance,
    )  # fmt: skip
    made = "; ".join(f"{key} {value}" for key, value in truth.items()).replace(",", "") or "no other endings"
    return [
        case, made, str(pieces), str(seed), str(held.benches), str(held.estimated), f"{held.censored:.3f}",
        *(f"{share:.4f}" for share in shares),
    ]  # fmt: skip


HEADING = (
    "case,truth,pieces,seed,benches,estimated,censored,mean_covered,sd_covered,tolerance_held,mean_all_above,"
    "mean_all_below,wald_mean_covered,wald_sd_covered,plain_mean_covered,plain_sd_covered,plain_tolerance_held"
)


def main() -> int:
    """Run the cases on all cores; write the results when the whole number of benches was asked for."""
    parser = argparse.ArgumentParser(description="How often the intervals for a single joint hold.")
    parser.add_argument("--benches", type=int, default=BENCHES, help=f"benches a case (default {BENCHES})")
    parser.add_argument("--only", default="", help="run the cases with this in their name; others stay as they are")
    options = parser.parse_args()
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(name, "1")
    from multiprocessing import Pool

    every = [
        (case, truth, joints, pieces, options.benches, SEED + 100 * k + pieces)
        for k, (case, truth, joints, each) in enumerate(CASES)
        for pieces in each
    ]
    jobs = [job for job in every if options.only in job[0]]
    started = time.monotonic()
    rows = {}
    with Pool() as pool:
        for job, row in zip(jobs, pool.imap(run, jobs), strict=True):
            rows[job[5]] = ",".join(row)
            print(f"{time.monotonic() - started:5.0f} s  {', '.join(row)}", flush=True)
    if options.benches != BENCHES:
        return 0
    old = RESULTS.read_text(encoding="ascii").splitlines() if RESULTS.exists() else []
    kept = {int(line.split(",")[3]): line for line in old if line.count(",") > 5 and line.split(",")[3].isdigit()}
    lines = [(kept | rows).get(job[5]) for job in every]
    text = (
        "# Shares of simulated benches whose limits held the truth; made by scripts/studies/pull_coverage.py, do not edit.\n"
        "# A single joint: mean 900 N, SD 45 N, two joints a piece; limits at 95 %.\n"
        + "\n".join([HEADING, *(line for line in lines if line)])
        + "\n"
    )
    part = RESULTS.with_suffix(".part")
    part.write_text(text, encoding="ascii")
    os.replace(part, RESULTS)
    print(f"{RESULTS.relative_to(ROOT)} written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
