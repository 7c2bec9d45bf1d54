"""How often the intervals for a single joint held in simulated benches (scripts/studies/pull_coverage.py)."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from typing import Final

from helix.data.tables import DATA_FOLDER

FILE: Final = "pull_coverage.csv"


@dataclass(frozen=True)
class Coverage:
    """One row of the study: pieces a bench, share censored, benches with an interval, shares that held.

    estimated: of all benches, those with enough joint failures for an interval.
    """

    case: str
    pieces: int
    censored: float
    benches: int
    estimated: int
    mean: float
    sd: float
    tolerance: float


@cache
def pull_coverage() -> tuple[Coverage, ...]:
    """Rows of the study that stand for the claim, by pieces and share censored; none while it has not been run."""
    path = DATA_FOLDER / FILE
    if not path.exists():
        return ()
    with path.open(encoding="ascii", newline="") as stream:
        rows = list(csv.DictReader(line for line in stream if not line.startswith("#")))
    return tuple(
        Coverage(
            row["case"], int(row["pieces"]), float(row["censored"]), int(row["benches"]), int(row["estimated"]),
            float(row["mean_covered"]), float(row["sd_covered"]), float(row["tolerance_held"]),
        )
        for row in rows
    )  # fmt: skip
