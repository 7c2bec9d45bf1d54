"""The answer to "what does linking it cost": two joints eye through eye, or an eye on a ring, as values."""

from __future__ import annotations

from typing import ClassVar, Final

import helix
from helix.findings import Finding, Judgement, Severity, judgement_of
from helix.geometry.joint.linked_eyes import LinkedEyes
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.hold_result import Band, HoldResult
from helix.studies.shape.shape import ShapeResult
from helix.values import Result, hidden, result

SCHEMA: Final = 1


@result
class Ring:
    """A closed round ring: diameter of its bar, inside diameter."""

    diameter_mm: float
    inside_mm: float


@result
class Bend:
    """A bend of the eye: radius of the centre line in wire diameters, strain of the outer fibre, how severe."""

    radius_d: float
    strain: float
    severity: Severity


@result
class Load:
    """What a joint is expected to hold, and what to plan with; nan where nothing is estimated."""

    expected_n: float
    plan_with_n: float


@result
class BarPoint:
    """What the crossing would be over a bar of another diameter.

    leaves: of the wire's strength, by ductility from low to high. of_straight: load at which the joint breaks, there or at
    its weakest place, over the nominal strength of straight wire; nan where nothing is estimated.
    """

    bar_mm: float
    strain: float
    severity: Severity
    leaves: Band
    of_straight: float


@result
class LinkedJoint:
    """One of the joints that are linked.

    over_mm: diameter of what its eye is drawn over. rest: its eye as it was made, round its pin; pulled: drawn tight over
    that. leaves: of the wire's strength at the crossing, by ductility. load_proportion: of the load that passes there.
    breaks_there_n: load at which it breaks there, nominal, at most the wire's own. alone, linked: loads without the link
    and with it. judgement: all that is found of it, the link included. s_mm: where on its wire it bears, from the
    standing end. bars: over bars from thin to that of its pin; it works best over the last.
    """

    recipe: Recipe
    over_mm: float
    rest: Bend
    pulled: Bend
    leaves: Band
    load_proportion: float
    breaks_there_n: float
    alone: Load
    linked: Load
    s_mm: float
    least_bar_mm: float
    judgement: Judgement
    bars: tuple[BarPoint, ...]
    shaped: ShapeResult = hidden()
    held: HoldResult = hidden()


@result
class Contact:
    """Where the two touch when they are pulled, in the first joint's coordinates.

    centres_apart_mm: of the two centre lines; touching_mm: half the sum of the diameters, which it must be. gap_mm: what
    the search leaves between them; bound_mm: how far it can be trusted.
    """

    point_mm: tuple[float, float, float]
    centres_apart_mm: float
    touching_mm: float
    gap_mm: float
    bound_mm: float


@result
class Swing:
    """How far what hangs in the first eye (or the other way round) swings to either side of the line of pull.

    inner_joint: whether the eye that it swings round is that of the first joint. meets: whether a wire is met before the
    bight has come to the end of the eye's round part, where the straight legs to the throat begin.
    """

    round_first: bool
    angle_deg: float
    meets: bool


@result
class Room:
    """How the two can move, and how long the pair is.

    play_mm: along the line of pull, from pulled apart to pushed together, where a bight meets the other's throat. centres:
    from the middle of one eye to that of the other, below 0 where they pass each other. ends: from the far face of the
    last wrap to that of the other joint, or to the far inside of the ring, where the next thing bears.
    """

    play_mm: float
    centres_pulled_mm: float
    centres_pushed_mm: float
    ends_pulled_mm: float
    ends_pushed_mm: float
    swings: tuple[Swing, ...]


@result
class LinkResult(Result):
    """Two joints eye through eye, or one on a ring: its bends when pulled tight, what they leave, and room to move.

    joints: the one on a ring, or both. findings: of the link itself.
    """

    rows_in: ClassVar = "joints"
    also: ClassVar = ("judgement",)
    joints: tuple[LinkedJoint, ...]
    ring: Ring | None
    contact: Contact
    room: Room
    linked: LinkedEyes = hidden()
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is found of all the joints, each once, the link included."""
        return tuple(dict.fromkeys(finding for joint in self.joints for finding in joint.judgement.findings))

    @property
    def judgement(self) -> Judgement:
        """The one verdict on all of it: the worst of the joints and of the link."""
        return judgement_of(self.findings)

    @property
    def weakest(self) -> LinkedJoint:
        """The joint with the least load to plan with; the first where one has none."""
        unknown = [joint for joint in self.joints if joint.linked.plan_with_n != joint.linked.plan_with_n]
        return unknown[0] if unknown else min(self.joints, key=lambda joint: joint.linked.plan_with_n)
