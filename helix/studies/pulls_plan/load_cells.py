"""Which load cell will do: its verified range by class and resolution, against the loads expected."""

from __future__ import annotations

from typing import Final

from helix.mechanics import limits
from helix.values import result

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

    cell: LoadCell
    will_do: bool
    used_share: float
    reason: str


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
    share = high_n / cell.capacity_n
    if high_n > cell.capacity_n:
        reason = f"too small: {high_n:.0f} N are expected, it takes {cell.capacity_n:.0f} N"
    elif low_n < cell.lower_limit_n:
        reason = f"too coarse: {low_n:.0f} N are expected, its class starts at {cell.lower_limit_n:.0f} N"
    else:
        reason = f"will do: {cell.lower_limit_n:.0f} to {cell.capacity_n:.0f} N is verified, {100.0 * share:.0f} % of it is used"
        return CellChoice(cell=cell, will_do=True, used_share=share, reason=reason)
    return CellChoice(cell=cell, will_do=False, used_share=share, reason=reason)
