"""The sizes of a built joint that calipers and a tape can find, without its bends and gaps: quick, for many joints."""

from __future__ import annotations

import numpy as np

from helix.geometry.wire.curves import positions
from helix.geometry.wire.path import Path
from helix.mechanics import limits
from helix.model.joint.joint import Joint
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D
from helix.model.recipe.recipe_parts import Recipe

_POINTS = 241


def outside_length_mm(joint: Joint) -> float:
    """Length from the outside of the eye's end to the far face of the last wrap, as a rule reads it [mm]."""
    lowest = min(_lowest(path) for path in joint.layout.paths)
    return joint.axial["top"] + (1.0 - lowest) * joint.diameter_mm


def bight_height(joint: Joint) -> float:
    """Lowest height of the wire's centre line along the joint axis, below the throat [d]; of two wires, the inner one's."""
    return max(_lowest(path) for path in joint.layout.paths)


def _lowest(path: Path) -> float:
    lowest = 0.0
    for piece in path.pieces:
        if piece.section != "eye":
            continue
        u = np.linspace(0.0, piece.curve.span, _POINTS)
        z = positions(piece.curve, u)[:, 2]
        k = int(np.argmin(z))
        if 0 < k < len(z) - 1:
            left, middle, right = z[k - 1], z[k], z[k + 1]
            drop = left - 2.0 * middle + right
            lowest = min(lowest, float(middle - (right - left) ** 2 / (8.0 * drop)) if drop > 0.0 else float(middle))
        else:
            lowest = min(lowest, float(z[k]))
    return lowest


def finished_mm(joint: Joint) -> float:
    """Finished length: from the inside of the eye's bight to the far face of the last wrap [mm]."""
    return joint.axial["top"] - bight_height(joint) * joint.diameter_mm


def twist_diameter_mm(joint: Joint) -> float | None:
    """Outside diameter of the twist [mm], None where there is none."""
    sizes = joint.layout.sizes
    return (2.0 * max(sizes.standing_radius, sizes.tag_radius) + 1.0) * joint.diameter_mm if sizes.turns else None


def barrel_diameter_mm(joint: Joint) -> float | None:
    """Outside diameter of the barrel, of two wires where it is widest [mm]; None where there is none."""
    sizes = joint.layout.sizes
    return (2.0 + sizes.count) * joint.diameter_mm if sizes.wraps else None


def eye_length_mm(joint: Joint) -> float:
    """Inside length of the eye as seen along the pin [mm]."""
    return (joint.layout.eye.apex - bight_height(joint) - 0.5) * joint.diameter_mm


def eye_width_mm(joint: Joint) -> float:
    """Inside width of the eye, across [mm]."""
    return (joint.layout.eye.width - 2.0 * joint.layout.eye.half) * joint.diameter_mm


def cut_mm(joint: Joint) -> float:
    """Wire to cut, handle included [mm]."""
    return joint.wire_mm + joint.recipe.finish.handle_mm


def sound_lay(recipe: Recipe) -> float:
    """Lay that is advised where a twist's own is too tight [d]."""
    return limits.SOUND_LAY if recipe.wire.count == 1 else DOUBLED_LAY_D


def usual_lay(recipe: Recipe) -> float:
    """Lay that is advised where a twist's own is too long [d]."""
    return limits.USUAL_LAY if recipe.wire.count == 1 else DOUBLED_LAY_D
