"""Joints that are linked, from Python. Recipes as in `helix.api.joints`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from helix.api.asking import ask
from helix.tasks.opening import RecipeLike

if TYPE_CHECKING:
    from helix.studies.link.link_result import LinkResult


def link(
    *recipes: RecipeLike,
    ring_mm: float | None = None,
    ring_inside_mm: float | None = None,
    pulls: str | Path | None = None,
) -> LinkResult:
    """Link two joints eye through eye, or hang one on a ring.

    Parameters
    ----------
    *recipes : RecipeLike
        The two; one alone is linked with another of its kind, or hangs on the ring.
    ring_mm, ring_inside_mm : float, optional
        Diameter of the ring's bar, and its inside diameter [mm].
    pulls : path, optional
        Pull tests (CSV) of the joints and of straight wire, which decide the verdict.

    Returns
    -------
    LinkResult
        The bend where they cross, what it leaves of the strength, and the room to move.

    Raises
    ------
    ValidationError
        With everything that is wrong; InfeasibleJointError where they have no room.

    Examples
    --------
    >>> tether = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
    >>> round(link(tether).joints[0].pulled.strain, 3), round(link(tether, ring_mm=5, ring_inside_mm=20).room.play_mm, 2)
    (0.5, 1.32)
    """
    answer: LinkResult = ask("link", recipes=recipes, ring_mm=ring_mm, ring_inside_mm=ring_inside_mm, pulls=pulls)
    return answer
