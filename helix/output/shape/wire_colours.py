"""The colours of a joint's wire in a picture: by what is said of its parts, by strain, by part, or plain."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from helix.output.picture.view import VisiblePart
from helix.output.shape.colouring import METAL, ColourBy, Coloured, coloured
from helix.studies.shape.along import overlaps_along, severities, strain_of

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult


def wire_colours(
    result: ShapeResult, shown: VisiblePart, by: ColourBy, metal: str = METAL, strain_top: float | None = None
) -> Coloured:
    """A colour for each sample of what is shown, and the legend; overlapping stretches have their own."""
    s_d = shown.s_mm / shown.d_mm
    strain = strain_of(result).at(s_d)
    inside = np.zeros(len(s_d), dtype=bool)
    for low, high in overlaps_along(result):
        inside |= (s_d >= low) & (s_d <= high)
    return coloured(
        by, shown.section, strain, severities(result), inside,
        s_d=s_d, metal=metal, strain_top=strain_top, names=shown.names,
    )  # fmt: skip
