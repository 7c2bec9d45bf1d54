"""The facts of common practice as check values: validation/practice.toml, read."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from helix.data.practice import Scatter, practice
from helix.units import N_PER_LBF


@dataclass(frozen=True)
class SizeFact:
    """One size of 5 and 5: rated load [N], mean breaking load over it, number of tests."""

    size: str
    rated_load_n: float
    mean_of_rated: float
    tests: int

    @property
    def mean_n(self) -> float:
        """Mean breaking load [N]."""
        return self.rated_load_n * self.mean_of_rated


@dataclass(frozen=True)
class Facts:
    """5 and 5 holds in every size, 4 and 4 unwinds in one. scatter: what helix assumes beside them."""

    mark: str
    material: str
    turns: float
    wraps: float
    sizes: tuple[SizeFact, ...]
    short_size: str
    short_turns: float
    short_wraps: float
    scatter: Scatter


@cache
def facts() -> Facts:
    """The facts, as the file states them."""
    read = tomllib.loads((Path(__file__).parent / "practice.toml").read_text(encoding="utf-8"))
    full, short = read["full"], read["short"]
    return Facts(
        mark=read["mark"],
        material=read["material"],
        turns=float(full["turns"]),
        wraps=float(full["wraps"]),
        sizes=tuple(
            SizeFact(row["size"], row["rated_load_lbf"] * N_PER_LBF, row["mean_of_rated"], row["tests"])
            for row in full["size"]
        ),
        short_size=short["size"],
        short_turns=float(short["turns"]),
        short_wraps=float(short["wraps"]),
        scatter=practice().scatter,
    )
