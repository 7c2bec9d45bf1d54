"""What common practice says of this joint, and the assumed scatter beside it: practice.toml as a frozen value."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from helix.data.tables import DATA_FOLDER
from helix.units import N_PER_LBF


@dataclass(frozen=True)
class PracticeSize:
    """One size of 5 and 5: rated load [N], mean breaking load over it, number of tests, remark."""

    size: str
    rated_load_n: float
    mean_of_rated: float
    tests: int
    note: str

    @property
    def mean_n(self) -> float:
        """Mean breaking load [N]."""
        return self.rated_load_n * self.mean_of_rated


@dataclass(frozen=True)
class Scatter:
    """How pieces of one recipe differ, and what stands for numbers nobody measured. All assumed.

    flow: flow stress over strength (low, nominal, high), evenly spread. reduction_of_area: (low, nominal, high).
    friction, strain: one sigma, as a share. Tolerances are plus or minus, two sigma.
    """

    flow: tuple[float, float, float]
    reduction_of_area: tuple[float, float, float]
    friction: float
    strain: float
    lay_d: float
    lay_tolerance_d: float
    turns_tolerance: float
    pitch_tolerance_d: float


@dataclass(frozen=True)
class Practice:
    """The facts: 5 and 5 holds in every size, 4 and 4 unwinds in one. ``says``: one sentence by subject."""

    mark: str
    material: str
    turns: float
    wraps: float
    sizes: tuple[PracticeSize, ...]
    short_size: str
    short_turns: float
    short_wraps: float
    short_tests: int
    visible_angle_deg: float
    says: dict[str, str]
    scatter: Scatter

    @property
    def tests(self) -> int:
        """Pieces with full counts that broke."""
        return sum(each.tests for each in self.sizes)


@cache
def practice() -> Practice:
    """The facts of common practice, as helix/data/practice.toml states them.

    >>> facts = practice()
    >>> facts.tests, facts.short_tests, [round(each.mean_n) for each in facts.sizes]
    (40, 1, [258, 557, 743, 912])
    """
    with (DATA_FOLDER / "practice.toml").open("rb") as stream:
        read = tomllib.load(stream)
    full, short, assumed = read["full"], read["short"], read["assumed"]
    sizes = tuple(
        PracticeSize(
            each["size"], each["rated_load_lbf"] * N_PER_LBF, each["mean_of_rated"], each["tests"], each.get("note", "")
        )
        for each in full["size"]
    )
    scatter = Scatter(
        flow=tuple(assumed["flow"]),
        reduction_of_area=tuple(assumed["reduction_of_area"]),
        friction=assumed["friction_scatter"],
        strain=assumed["strain_scatter"],
        lay_d=assumed["lay_d"],
        lay_tolerance_d=assumed["lay_tolerance_d"],
        turns_tolerance=assumed["turns_tolerance"],
        pitch_tolerance_d=assumed["pitch_tolerance_d"],
    )
    return Practice(
        mark=read["mark"],
        material=read["material"],
        turns=float(full["turns"]),
        wraps=float(full["wraps"]),
        sizes=sizes,
        short_size=short["size"],
        short_turns=float(short["turns"]),
        short_wraps=float(short["wraps"]),
        short_tests=short["tests"],
        visible_angle_deg=float(read["limits"]["visible_angle_deg"]),
        says={key: text for key, text in read["limits"].items() if isinstance(text, str)},
        scatter=scatter,
    )
