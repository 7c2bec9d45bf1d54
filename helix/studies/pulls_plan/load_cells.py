"""Which load cell will do: its verified range by class and resolution, against the loads expected."""

from __future__ import annotations

from typing import ClassVar, Final

from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.values import hidden, result

CLASSES: Final = ("0.5", "1", "2", "3")
"""Classes of ISO 7500-1 [mem]."""

ASSUMED_SHARE: Final = 1e-4
"""Resolution over capacity, where none is stated (common practice, no source)."""

COMMON_N: Final = (100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0, 20_000.0, 50_000.0)
"""Capacities that cells commonly have (common practice, no source)."""


@result
class LoadCell:
    """Capacity and resolution in N, class; assumed: whether the resolution is only assumed."""

    capacity_n: float
    grade: str
    resolution_n: float
    assumed: bool

    @property
    def lower_limit_n(self) -> float:
        """Lowest load that its class vouches for."""
        finest = (limits.CELL_CLASS_05, limits.CELL_CLASS_1, limits.CELL_CLASS_2, limits.CELL_CLASS_3)
        return self.resolution_n / finest[CLASSES.index(self.grade)]


@result
class CellChoice:
    """One cell against the loads expected: whether it will do, and why or why not."""

    also: ClassVar = (
        "capacity_n=cell.capacity_n", "class=cell.grade", "resolution_n=cell.resolution_n",
        "resolution_assumed=cell.assumed", "lower_limit_n=cell.lower_limit_n",
    )  # fmt: skip
    cell: LoadCell = hidden()
    will_do: bool
    used_share: float
    reason: Finding


def load_cell(capacity_n: float, grade: str = "1", resolution_n: float | None = None) -> LoadCell:
    """A cell; raises ValueError for a class that is not 0.5, 1, 2 or 3, or what is not above 0.

    >>> load_cell(1000.0).lower_limit_n
    20.0
    """
    if grade not in CLASSES:
        raise ValueError(f"class must be one of {', '.join(CLASSES)}; got {grade}")
    resolution = capacity_n * ASSUMED_SHARE if resolution_n is None else resolution_n
    if not capacity_n > 0.0 or not resolution > 0.0:
        raise ValueError("capacity and resolution must be above 0")
    return LoadCell(capacity_n=capacity_n, grade=grade, resolution_n=resolution, assumed=resolution_n is None)


def judged(cell: LoadCell, low_n: float, high_n: float) -> CellChoice:
    """Whether every load from low to high lies in the cell's verified range."""
    loads = {"low_n": low_n, "high_n": high_n, "lower_limit_n": cell.lower_limit_n, "capacity_n": cell.capacity_n}
    share = high_n / cell.capacity_n
    if high_n > cell.capacity_n:
        reason = notice("cell-too-small", "", Severity.CAUTION, **loads)
    elif low_n < cell.lower_limit_n:
        reason = notice("cell-too-coarse", "", Severity.CAUTION, **loads)
    else:
        reason = notice("cell-will-do", **loads, used_share=share)
    return CellChoice(cell=cell, will_do=reason.severity <= Severity.NOTE, used_share=share, reason=reason)
