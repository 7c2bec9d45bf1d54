"""The rule of thumb of common practice in words, and the assumed scatter beside it: practice.toml as a frozen value.

Its counts are limits: helix.mechanics.limits.FEW and SHORT.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from helix.data.tables import DATA_FOLDER


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
    """Mark and material of the rule of thumb; ``says``: one sentence by subject; the scatter that is assumed.

    crossing_left: proportion of the wire's strength (least, most) that was reported of joints of one hard fence wire crossing
    another, other joints than these, and crossing_source: by whom. A warning, not a number of any estimate.
    """

    mark: str
    material: str
    says: dict[str, str]
    scatter: Scatter
    crossing_left: tuple[float, float]
    crossing_source: str

    def saying(self, subject: str) -> str:
        """Return what practice says of a subject, with its mark.

        Parameters
        ----------
        subject : str
            A key of `says`.

        Returns
        -------
        str
            A clause.

        Examples
        --------
        >>> practice().saying("wraps")
        'practice says 5 full wraps (common practice, no source)'
        """
        return f"practice says {self.says[subject]} ({self.mark})"


@cache
def practice() -> Practice:
    """Return what helix/data/practice.toml says.

    Returns
    -------
    Practice

    Examples
    --------
    >>> practice().mark, practice().scatter.flow
    ('common practice, no source', (0.8, 0.9, 1.0))
    """
    with (DATA_FOLDER / "practice.toml").open("rb") as stream:
        read = tomllib.load(stream)
    assumed: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in read["assumed"].items()
    }
    reported = read["reported"]
    return Practice(
        mark=read["mark"],
        material=read["material"],
        says=read["says"],
        scatter=Scatter(**assumed),
        crossing_left=tuple(reported["crossing_left"]),
        crossing_source=reported["source"],
    )
