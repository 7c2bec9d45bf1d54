"""Pull tests from Python: plan them, read them, compare groups. `helix.pulls` is this module."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from helix.api.asking import ask
from helix.tasks.opening import RecipeLike

if TYPE_CHECKING:
    from helix.studies.pulls.pull_compare import CompareResult
    from helix.studies.pulls.pulls import PullsResult
    from helix.studies.pulls_plan.pull_plan import PlanResult

Counts = Sequence[float]


def read(
    file: str | Path, *, rated_n: float | None = None, curves: str | Path | None = None, leave_out: bool = False
) -> PullsResult:
    """Read a file of pull tests and say what they prove of each group.

    rated_n: rated load of the wire [N], where rows do not state it. curves: the mapping (TOML) of load-extension curves.
    leave_out: go on without rows that cannot be read; else they raise ValidationError, all at once.
    """
    result: PullsResult = ask("pulls read", file=file, rated_n=rated_n, curves=curves, leave_out=leave_out).result
    return result


def compare(file: str | Path, *, by: str, leave_out: bool = False) -> CompareResult:
    """Compare every pair of groups of a file; by: the column that makes the groups. leave_out: as for `read`."""
    answer: CompareResult = ask("pulls compare", file=file, by=by, leave_out=leave_out)
    return answer


def plan(
    *recipes: RecipeLike, efficiency: float | None = None, confidence: float | None = None, expect: float | None = None,
    cv: float | None = None, power: float | None = None, apart: float | None = None, apart_n: float | None = None,
    unwinding: tuple[float, float] | None = None, margin: float | None = None, expect_load_n: float | None = None,
    wires: int | None = None, cell: str | Sequence[str] | None = None, free_mm: float | None = None,
    grip_mm: float | None = None, joints: int | None = None, each: int | None = None, controls: int | None = None,
    batches: str | Sequence[str] | None = None, makers: str | Sequence[str] | None = None, turns: Counts | None = None,
    wraps: Counts | None = None, design: Literal["factorial", "staircase"] | None = None, seed: int | None = None,
) -> PlanResult:  # fmt: skip
    """Plan a test: how many pieces, which load cell, how much wire, in which order; keywords as for `helix pulls plan`.

    apart or apart_n: the difference that two recipes are to be told apart by, as a proportion or as a load [N].
    """
    keywords = {name: value for name, value in locals().items() if value is not None}
    answer: PlanResult = ask("pulls plan", **keywords)
    return answer
