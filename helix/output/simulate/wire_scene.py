"""The viewer's scene of a simulated wire, before its film is laid over it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from helix.output.viewer.scene import METAL, SCHEMA, packed, rings_record
from helix.units import UnitSystem


def wire_scene(
    points_d: NDArray[np.float64], d_mm: float, legend: dict[str, Any], units: UnitSystem = "metric"
) -> dict[str, Any]:
    """The wire by its places (n, 3) in diameters, bare until a film colours it by the legend, the film's "tension"."""
    along = np.gradient(points_d, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    wire = rings_record(points_d * d_mm, along, d_mm)
    bare = packed(np.broadcast_to([int(METAL[at : at + 2], 16) for at in (1, 3, 5)], (len(points_d), 3)), "u1")
    return {
        "schema": SCHEMA,
        "units": units,
        "diameter_mm": d_mm,
        "sections": [],
        "wire": wire | {"colours": {"tension": bare, "plain": bare}},
        "legends": {"tension": legend, "plain": {"name": "Bare wire", "title": "", "entries": [], "note": ""}},
        "notes": [],
        "by": "tension",
    }
