"""What all pictures of one joint's making share: its moves, its ink marks, where the pin is, how far out to grip."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from helix.output.picture.view import VisiblePart
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.film import pin_place
from helix.studies.teaching.hand_work import grip_reach_mm, pulled_apart_deg
from helix.studies.teaching.making import Making, making_of
from helix.studies.teaching.steps import Mark, ink_marks
from helix.units import UnitSystem


@dataclass(frozen=True)
class Bench:
    """What all pictures of one joint's making share. reach_mm: how far from the work hands may grip at most.
    apart_deg: how far apart hands that pull hold the legs for the lay, None where they cannot."""

    result: ShapeResult
    making: Making
    marks: tuple[Mark, ...]
    pin_mm: NDArray[np.float64]
    units: UnitSystem
    reach_mm: float
    apart_deg: float | None
    wires: dict[int, tuple[VisiblePart, NDArray[np.float64]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    """The wire of each step as it is shown, by the step's number: its own picture and the sheet of all need it."""

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of its steps that a fault can be made at."""
        return ("cross", *dict.fromkeys(move.kind for move in self.making.moves))

    @property
    def starts_mm(self) -> tuple[float, ...]:
        """Where each wire starts in what is shown of all, counted on one after the other."""
        return tuple(start * self.d_mm for start in self.making.starts_d)

    @property
    def d_mm(self) -> float:
        """The wire's diameter."""
        return self.result.recipe.wire.diameter_mm


def bench_of(result: ShapeResult, units: UnitSystem) -> Bench:
    """The marks, the pin's place and the moves of one joint."""
    making = making_of(result.joint)
    middle_mm = np.array(pin_place(making)) * result.joint.diameter_mm
    reach = grip_reach_mm(result.recipe.wire)
    apart = pulled_apart_deg(result.joint)
    return Bench(result, making, ink_marks(result), middle_mm, units, reach, apart)
