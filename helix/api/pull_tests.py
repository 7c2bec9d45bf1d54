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
    file: str | Path, *, rated_n: float | None = None, recipe: RecipeLike | Sequence[RecipeLike] | None = None,
    curves: str | Path | None = None, leave_out: bool = False,
) -> PullsResult:  # fmt: skip
    """Read a file of pull tests and say what they prove of each group.

    Parameters
    ----------
    file : str or Path
        Pull tests (CSV).
    rated_n : float, optional
        Rated load of the wire [N], where rows do not state it.
    recipe : RecipeLike or sequence of RecipeLike, optional
        The joints' recipe, where rows name none; of several sizes one each.
    curves : str or Path, optional
        The mapping (TOML) of load-extension curves.
    leave_out : bool, optional
        True: leave unreadable rows out.

    Returns
    -------
    PullsResult

    Raises
    ------
    ValidationError
        With everything that is wrong, and every row that cannot be read unless leave_out.
    """
    several = [] if recipe is None else list(recipe) if isinstance(recipe, list | tuple) else [recipe]
    answer: PullsResult = ask(
        "pulls read", file=file, rated_n=rated_n, recipe=several, curves=curves, leave_out=leave_out
    )
    return answer


def compare(file: str | Path, *, by: str, leave_out: bool = False) -> CompareResult:
    """Compare every pair of groups of a file.

    Parameters
    ----------
    file : str or Path
        Pull tests (CSV).
    by : str
        The column that makes the groups.
    leave_out : bool, optional
        True: leave unreadable rows out.

    Returns
    -------
    CompareResult

    Raises
    ------
    ValidationError
        With everything that is wrong, and every row that cannot be read unless leave_out.
    """
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
    decide: bool | None = None,
) -> PlanResult:  # fmt: skip
    """Plan a test: how many pieces, which load cell, how much wire, in which order.

    Parameters
    ----------
    *recipes : RecipeLike
        What is to be pulled.
    efficiency, confidence, power : float, optional
        The proportion of straight wire to show, how surely, and how likely the test shows it; all between 0 and 1.
    expect, cv : float, optional
        What the joints are expected to hold, and their scatter, as proportions of straight wire.
    apart, apart_n : float, optional
        The difference that two recipes are to be told apart by, as a proportion or as a load [N]; one of the two.
    unwinding : (float, float), optional
        Two proportions of unwinding to be told apart.
    margin, expect_load_n, cell
        Of the load cell: room above the load, the highest load [N], the cells at hand.
    wires, free_mm, grip_mm, joints, each, controls
        Of a piece and the test: wires a piece, free length and length in a grip [mm], joints a piece (1 or 2), pieces a
        recipe, straight controls.
    batches, makers, turns, wraps, design, seed
        Of the order: names of coils and makers, counts to try, "factorial" or "staircase", where the shuffle starts.
    decide : bool, optional
        Plan the pieces that can refute the simulation, with what it says of each, in place of the recipe's own.

    Returns
    -------
    PlanResult

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    keywords = {name: value for name, value in locals().items() if value is not None}
    answer: PlanResult = ask("pulls plan", **keywords)
    return answer
