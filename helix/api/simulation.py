"""The joint simulated, from Python. Recipes as in `helix.api.joints`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from helix.api.asking import ask
from helix.tasks.opening import RecipeLike

if TYPE_CHECKING:
    from helix.studies.simulate.pull_result import PullSimulation


def simulate(
    recipe: RecipeLike,
    *,
    friction: Sequence[float] | None = None,
    start: str | None = None,
    pull: bool | None = None,
    form: bool | None = None,
    hands_deg: float | None = None,
    unlike_deg: float | None = None,
    tension: float | None = None,
    pulls: str | Path | None = None,
) -> PullSimulation:
    """Pull a joint in a simulation until it breaks or slips, or form it by hands. Simulated, not tested: it decides nothing.

    Parameters
    ----------
    recipe : RecipeLike
        A recipe, its values as a mapping, or the path of its file.
    friction : sequence of float, optional
        Frictions to pull at, 0.01 to 0.3; low, middle and high where none are given.
    start : str, optional
        How the wire stands at the start: "sprung" (wound from straight wire and let go; where none is given), "exact" (touching
        everywhere, free of stress), "both", "formed" (by hands, as `form` makes it), "all".
    pull : bool, optional
        Pull it; done unless `form` stands alone.
    form : bool, optional
        Twist the legs by two hands, wind the barrel, and let go.
    hands_deg, unlike_deg : float, optional
        Angle between the hands, 50 to 110, the recipe's throat where none is given (for a start "formed": 14 more than its legs lie apart); by how much further the tag's hand stands off the
        axis, 0 to 40.
    tension : float, optional
        Pull of either hand over the wire's strength, 0.05 to 0.4.
    pulls : path, optional
        Pull tests (CSV) of this joint and of straight wire: they decide the verdict.

    Returns
    -------
    PullSimulation
        A run a friction and start: load against pull, where and at what load it breaks, or that it slips. forming: what
        hands made.

    Raises
    ------
    ValidationError
        With everything that is wrong, and where the extra `helix[simulate]` is not installed.

    Examples
    --------
    >>> simulate({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}, friction=[2.0])
    Traceback (most recent call last):
    ...
    helix.errors.ValidationError: friction: must be numbers from 0.01 to 0.3, set apart by commas; got "2.0"
    """
    answer: PullSimulation = ask(
        "simulate",
        recipe=recipe,
        friction=friction,
        start=start,
        pull=pull,
        form=form,
        hands_deg=hands_deg,
        unlike_deg=unlike_deg,
        tension=tension,
        pulls=pulls,
    )
    return answer
