"""What a simulated twisting by hands says, as values. Simulated, not tested."""

from __future__ import annotations

from enum import StrEnum

from helix.geometry.maths.jets import Array
from helix.values import hidden, result


class FormOutcome(StrEnum):
    """How it ended: twisted and let go, no more wire for the turns (their lay is too long), or the run could not go on."""

    TWISTED = "twisted"
    NO_WIRE = "no_wire"
    DIVERGED = "diverged"


@result
class TwistShape:
    """The twist at one moment.

    lay_d: lay length. evenness: radius of the straighter leg over that of the other, 1 where both are alike. gap_d: between the
    legs, on average, below 0 where they press. press: force between the legs on a d of height, over the strength. throat_deg: between the legs of the eye.
    """

    lay_d: float
    evenness: float
    gap_d: float
    press: float
    throat_deg: float


@result
class FormRun:
    """Legs twisted by two hands.

    hands_deg: angle between the hands; unlike_deg: by how much more the tag's hand stands off the joint's axis; tension: of either
    hand, over the strength. held: as the hands hold it; free: let go. first_deg: angle between the legs where they first cross;
    first_strain: outer-fibre strain of the wire there; strain: of the turns after it, on average. twisted: turns by which either leg is twisted
    about itself in a turn of the twist, standing leg and tag. shear: largest shear strain of it; fibre_strain: largest strain of any fibre,
    with shear. torque: of the hands about the axis, on average [S d]. frames (k, n, 3): the wire on the way, the eye at rest; s_d (n,).
    """

    hands_deg: float
    unlike_deg: float
    tension: float
    friction: float
    turns: float
    outcome: FormOutcome
    held: TwistShape | None
    free: TwistShape | None
    first_deg: float
    first_strain: float
    strain: float
    twisted: tuple[float, float]
    shear: float
    fibre_strain: float
    torque: float
    unaccounted: float
    overlap_d: float
    s_d: Array = hidden()
    frames: Array = hidden()
