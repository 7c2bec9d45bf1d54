"""What a simulated forming by hands says, as values. Simulated, not tested."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.geometry.maths.jets import Array
from helix.values import hidden, result

_SAME_D: Final = 1e-6


class FormOutcome(StrEnum):
    """How it ended: formed and let go, no more wire for the turns (their lay is too long), or the run could not go on."""

    TWISTED = "twisted"
    NO_WIRE = "no_wire"
    DIVERGED = "diverged"


class Stage(StrEnum):
    """What the hands do: twist both legs, bring the standing leg into line, swing the tag out, wind it, let go."""

    TWIST = "twist"
    STRAIGHTEN = "straighten"
    SWING = "swing"
    WIND = "wind"
    LET_GO = "let_go"


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
class BarrelShape:
    """The barrel at one moment.

    turns: round the standing leg, without the first bit off the twist. off_d: from the leg, on average; pitch_d. tag_strain, leg_strain:
    largest outer-fibre strain where the tag leaves the twist, and where the standing leg does.
    """

    turns: float
    off_d: float
    pitch_d: float
    tag_strain: float
    leg_strain: float


@result
class FormRun:
    """Legs twisted by two hands, and where there are wraps the barrel wound.

    hands_deg: angle between the hands; unlike_deg: by how much more the tag's hand stands off the joint's axis; tension: of either
    hand, over the strength. held: as the hands hold it; free: let go. first_deg: angle between the legs where they first cross;
    first_strain: outer-fibre strain of the wire there; strain: of the turns after it, on average. twisted: turns by which either leg is twisted
    about itself in a turn of the twist, standing leg and tag. shear: largest shear strain of it; fibre_strain: largest strain of any fibre,
    with shear. torque: of the hands that twist about the axis, on average [S d]. wound,
    sprung: the barrel in the hand, and let go. frames (k, n, 3): the wire on the way, the eye at rest; strains (k, n): of its outer fibres;
    stages (k,): what is being done; rounds (k,): turns made so
    far, wraps after them; s_d (n,); tag (n,): which nodes are the tag's leg.
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
    wound: BarrelShape | None
    sprung: BarrelShape | None
    unaccounted: float
    overlap_d: float
    s_d: Array = hidden()
    frames: Array = hidden()
    strains: Array = hidden()
    stages: tuple[Stage, ...] = hidden(default=())
    rounds: tuple[float, ...] = hidden(default=())
    tag: NDArray[np.bool_] = hidden()

    @property
    def starts(self) -> tuple[int, ...]:
        """Frames with which a stage begins."""
        return tuple(k for k, stage in enumerate(self.stages) if k == 0 or self.stages[k - 1] is not stage)

    def there(self, frame: int) -> slice:
        """Nodes of a frame without those that all lie in one place: beyond a leg's seen end, and what was cut off the tag."""
        apart = np.flatnonzero(np.linalg.norm(np.diff(self.frames[frame], axis=0), axis=1) > _SAME_D)
        return slice(int(apart[0]), int(apart[-1]) + 2)
