"""What an inspection finds: sizes and bends as made, the joint made, its verdict and its load, as values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar, Literal

import helix
from helix.findings import Finding, Judgement, Severity, judgement_of
from helix.mechanics import limits
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.least_squares import Estimate
from helix.studies.hold.hold_result import HoldResult
from helix.studies.inspect.made_checks import Inconsistency
from helix.studies.inspect.made_load import MadeLoad
from helix.studies.inspect.seen import Transition
from helix.studies.shape.shape import ShapeResult
from helix.values import Result, hidden, keyed, result

SCHEMA = 3


CountedTo = Literal["twist", "tag"]


@result
class Sized:
    """A size of the made joint: value, 95 % limits that hold for all sizes together, the recipe's own value, whether any reading
    speaks of it (else it is the recipe's within its tolerance), and how far off the recipe it may be besides."""

    value: float
    low: float
    high: float
    recipe: float
    read: bool
    allowed: float = hidden(default=0.0)

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return 0.5 * (self.high - self.low) / limits.SURE

    @property
    def off_by(self) -> float:
        """How far the recipe's value lies outside the limits; 0 or less within them."""
        return max(self.low - self.recipe, self.recipe - self.high)

    @property
    def off(self) -> bool:
        """Whether it was read, and lies further off the recipe than its limits and the recipe's tolerance allow."""
        return self.read and self.off_by > self.allowed


@result
class MadeBend:
    """One bend of the joint as made."""

    name: str
    severity: Severity
    strain: float


@result
class Undrawn:
    """A reading [mm, deg or turns] that the joint as made cannot have beside the others: what it has instead."""

    reading: str
    read: float
    drawn: float


@result
class Inspection(Result):
    """What was made. Sizes in mm, lay angle in rad, evenness 0 to 1. made: the recipe as made; shaped: its
    shape; both None where no joint can have these readings. finished_off_mm: finished length less the
    recipe's. doubts: readings that cannot be, or that another count fits better. judgement: the one verdict on the joint
    as made; of_readings: what is found of the readings, and of sizes beside the recipe's. load: what was lost; None where
    there is no joint. undrawn: readings that the joint as made does not have.
    between: the transition, for counts to where the tag leaves. held, intended: both estimates."""

    also: ClassVar = (
        "verdict",
        "lay_angle_deg",
        "finished_off_mm",
        "readings=read",
        "bends=made_bends",
        "turns_to_tag",
        "wraps_from_tag",
        "cuts_mm",
    )
    recipe: Recipe
    readings: Mapping[str, Reading] = hidden()
    estimate: Estimate = hidden()
    wire_mm: Sized
    lay_mm: Sized = keyed("lay_length_mm")
    lay_rad: Sized = hidden()
    gap_mm: Sized = keyed("barrel_gap_mm")
    evenness: Sized
    pin_mm: Sized
    turns: float
    wraps: float
    finished_mm: Sized | None
    made: Recipe | None
    shaped: ShapeResult | None = hidden()
    doubts: tuple[Inconsistency, ...] = keyed("proposals")
    judgement: Judgement
    of_readings: tuple[Finding, ...]
    load: MadeLoad | None
    undrawn: tuple[Undrawn, ...] = ()
    between: Transition = hidden()
    held: HoldResult | None = hidden()
    intended: HoldResult | None = hidden()
    counted_to: CountedTo = hidden()
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def lay_angle_deg(self) -> Sized:
        """The lay angle."""
        per, size = math.degrees(1.0), self.lay_rad
        return replace(size, value=size.value * per, low=size.low * per, high=size.high * per, recipe=size.recipe * per)

    @property
    def read(self) -> tuple[Reading, ...]:
        """The readings."""
        return tuple(self.readings.values())

    @property
    def made_bends(self) -> tuple[MadeBend, ...]:
        """The bends of the joint as made."""
        bends = self.shaped.bends if self.shaped else ()
        return tuple(MadeBend(name=bend.name, severity=bend.severity, strain=bend.strain) for bend in bends)

    @property
    def finished_off_mm(self) -> Sized | None:
        """By how much the finished length is off the recipe's."""
        if self.finished_mm is None:
            return None
        own = self.finished_mm.recipe
        return Sized(
            value=self.finished_mm.value - own,
            low=self.finished_mm.low - own,
            high=self.finished_mm.high - own,
            recipe=0.0,
            read=self.finished_mm.read,
        )

    @property
    def whole(self) -> Judgement:
        """The verdict on the joint with what is found of its readings and sizes."""
        return judgement_of((*self.judgement.findings, *self.of_readings)) if self.shaped else self.judgement

    @property
    def cuts_mm(self) -> tuple[float, ...]:
        """What to cut of each wire for a joint as it was made."""
        return tuple(wire.cut_mm for wire in self.shaped.wires) if self.shaped else ()

    @property
    def turns_to_tag(self) -> float:
        """Turns as a person counts them, to where the tag leaves the twist."""
        return self.turns + self.between.twist_turns if self.turns else 0.0

    @property
    def wraps_from_tag(self) -> float:
        """Wraps as a person counts them, from where the tag leaves the twist."""
        return self.wraps + self.between.wrap_turns if self.wraps else 0.0

    @property
    def verdict(self) -> str:
        """What to do with it: "good", "caution", "remake"; "impossible" where no joint can have these readings."""
        if self.shaped is None:
            return "impossible"
        if not self.whole.is_ok:
            return "remake"
        return "caution" if self.whole.severity is Severity.CAUTION else "good"

    @property
    def impossible(self) -> bool:
        """Whether no joint can have these readings."""
        return any(inconsistency.impossible for inconsistency in self.doubts)
