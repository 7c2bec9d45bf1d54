"""What simulated joints were looked at for; beyond it they are refused."""

from __future__ import annotations

from typing import Final, TypeAlias

from helix.errors import ValidationIssue, argument_issue
from helix.model.joint.joint_curves import Sizes

LAYS_D: Final = (3.2, 6.0)
TURNS: Final = (2.0, 8.0)
WRAPS: Final = (0.0, 12.0)
PINS_D: Final = (2.0, 12.0)
FRICTIONS: Final = (0.01, 0.3)
"""The capstan is verified at 0.1 and 0.3."""
Row: TypeAlias = tuple[str, float, tuple[float, float], str]


def size_rows(sizes: Sizes) -> tuple[Row, ...]:
    """What is asked of every joint, pulled or formed, for `out_of_range`."""
    return (("turns", sizes.turns, TURNS, ""), ("wraps", sizes.wraps, WRAPS, ""), ("pin", sizes.pin, PINS_D, "d"))


def out_of_range(*rows: Row) -> list[ValidationIssue]:
    """Issues of what lies outside: name, value, range and unit of each.

    >>> [issue.code for issue in out_of_range(("turns", 200.0, TURNS, ""), ("pin", 6.0, PINS_D, "d"))]
    ['invalid']
    """
    return [
        argument_issue(key, f"must be from {low:g} to {high:g} {unit}".rstrip() + f" to be simulated; got {value:.4g}")
        for key, value, (low, high), unit in rows
        if not low - 1e-6 <= value <= high + 1e-6
    ]
