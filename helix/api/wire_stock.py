"""Wire from Python: what to cut for a batch, and which wire to choose."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from helix.api.asking import ask
from helix.tasks.opening import RecipeLike

if TYPE_CHECKING:
    from helix.model.batch.plan import Plan
    from helix.studies.batch.choosing import Choices
    from helix.studies.batch.cut_plan import CutPlan


def cut(plan: Plan | str | Path, *, seconds: float | None = None, pulls: str | Path | None = None) -> CutPlan:
    """Find what to cut for a whole batch, and from which length of stock.

    Parameters
    ----------
    plan : Plan, str or Path
        A plan, or the path of its file.
    seconds : float, optional
        How long to search at most, 0.1 to 3600 [s].
    pulls : path, optional
        Pull tests (CSV) of the joints and of straight wire, which decide the verdict.

    Returns
    -------
    CutPlan

    Raises
    ------
    ValidationError
        With every fault of the plan, and with every piece that no stock reaches for.
    """
    answer: CutPlan = ask("cut", plan=plan, seconds=seconds, pulls=pulls)
    return answer


def choose(
    *, load_n: float, margin: float | None = None, pin_mm: float | None = None, piece_mm: float | None = None,
    recipe: RecipeLike | None = None, family: str | None = None, material: str | None = None,
    price: str | Sequence[str] | None = None, rows: int | None = None, pulls: str | Path | None = None,
) -> Choices:  # fmt: skip
    """Find which wires will do for a load, the lightest first.

    Parameters
    ----------
    load_n : float
        Load to hold, above 0 and at most 1e6 [N].
    margin : float, optional
        Times the load that the joint must hold, 1 to 100.
    pin_mm, piece_mm : float, optional
        What sits in the eye, and the length of a piece between its pins [mm].
    recipe : RecipeLike, optional
        Whose turns, lay and wraps to take.
    family, material : str, optional
        MWG or AWG; one material.
    price : str or list of str, optional
        Of a kg: "45 EUR", or ["45 EUR", "music wire = 12 EUR"].
    rows : int, optional
        How many wires to show.
    pulls : path, optional
        Pull tests (CSV) of the recipe's joint: what unwound with its turns and wraps is told first.

    Returns
    -------
    Choices

    Raises
    ------
    ValidationError
        With everything that is wrong.
    """
    answer: Choices = ask("choose", **locals())
    return answer
