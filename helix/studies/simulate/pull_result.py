"""What a simulated pull says, as values. Simulated, not tested: it never decides whether a joint holds."""

from __future__ import annotations

from enum import StrEnum
from typing import ClassVar, Final

import helix
from helix.findings import Finding
from helix.geometry.maths.jets import Array
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.hold_result import HoldResult
from helix.studies.simulate.form_result import FormRun
from helix.values import Result, hidden, result

SCHEMA: Final = 2
_SAME_D: Final = 1e-5
"""Pulls that came back from single precision differ by less."""


class Start(StrEnum):
    """How the wire stands at the start. exact: touching everywhere, free of stress. sprung: bent from straight to that shape, then let go.
    formed: twisted and wound by hands in the simulation, then let go.
    """

    EXACT = "exact"
    SPRUNG = "sprung"
    FORMED = "formed"


class PullOutcome(StrEnum):
    """How a run ended: the wire broke, it ran through, the pull ended first, or the run could not go on."""

    BREAKS = "breaks"
    SLIPS = "slips"
    HELD = "held"
    DIVERGED = "diverged"


@result
class PullPoint:
    """One moment of a pull.

    pull_d: way of the standing leg's end. load: over the strength. throat_deg: between the eye's legs. through_d: wire that has run
    round the pin, from the tag to the standing leg. turned: turns by which the barrel has unwound. tag_load: of the tag where the
    twist ends, over the strength.
    """

    pull_d: float
    load: float
    throat_deg: float
    through_d: float
    turned: float
    tag_load: float


@result
class Break:
    """The first section that breaks, for one hardening: load over the strength, and pull, at which it does; the part of the wire,
    and the place along it from the standing end.
    """

    hardening: float
    load: float
    pull_d: float
    section: str
    at_d: float


@result
class PullRun:
    """One pull at one friction, from one start.

    loose_d: how far the barrel stands off the leg inside it at the start.
    peak_load: largest load over the strength up to the end. breaks: by hardening from low to high, of those that broke. works: of
    the work done, what flowed, what friction took, what is stored, as proportions. unaccounted: work that the book does not account for.
    overlap_d: deepest. section (n,): parts of the wire; s_d (n,) where; frames (k, n, 3): the wire at each point of the curve;
    tensions (k, n): along it, over the strength. pin_d: middle and radius of the pin.
    """

    start: Start
    friction: float
    outcome: PullOutcome
    loose_d: float
    peak_load: float
    curve: tuple[PullPoint, ...]
    breaks: tuple[Break, ...]
    works: tuple[float, float, float]
    unaccounted: float
    overlap_d: float
    s_d: Array = hidden()
    section: tuple[str, ...] = hidden(default=())
    pin_d: tuple[float, ...] = hidden(default=())
    tensions: Array = hidden()
    frames: Array = hidden()

    @property
    def last(self) -> int:
        """Number of the point from which there is no way back: the break, or the largest load where it slips."""
        if self.nominal is not None:
            pull_d = self.nominal.pull_d - _SAME_D
            return next(k for k, point in enumerate(self.curve) if point.pull_d >= pull_d)
        return max(range(len(self.curve)), key=lambda k: self.curve[k].load)

    @property
    def nominal(self) -> Break | None:
        """The break at the nominal hardening."""
        return next((item for item in self.breaks if item.hardening == HARDENINGS[1]), None)


@result
class PullSimulation(Result):
    """Pulls of one joint at several frictions, or its legs twisted by hands, or both. strength_n: of the straight wire, nominal; loads are
    over it.
    """

    rows_in: ClassVar = "runs"
    recipe: Recipe
    strength_n: float
    runs: tuple[PullRun, ...] = ()
    forming: FormRun | None = None
    held: HoldResult | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def of_hold(self) -> tuple[Finding, ...] | None:
        """What is found of its hold by the estimate that stands beside it."""
        return None if self.held is None else self.held.findings

    def of(self, start: Start) -> tuple[PullRun, ...]:
        """The runs from one start."""
        return tuple(run for run in self.runs if run.start is start)

    @property
    def middle(self) -> PullRun:
        """The run at the middle friction, from the first start."""
        own = self.of(self.runs[0].start)  # there are runs where anything was pulled
        return own[len(own) // 2]


HARDENINGS: Final = (0.1, 0.3, 0.5)
"""Strength gained per unit strain, over the strength: low, nominal, high (assumed)."""
