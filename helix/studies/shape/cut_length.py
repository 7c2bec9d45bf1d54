"""How much wire to cut, and between what limits."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

import numpy as np

from helix.errors import ValidationError
from helix.geometry.joint.exits import mean_sine
from helix.geometry.twist.helices import helix_length
from helix.geometry.wire.curves import CoreCoil
from helix.model.joint.joint import Joint, rebuilt
from helix.values import hidden, result


@result
class CutCause:
    """What makes the wire to cut uncertain, and by how much."""

    cause: str
    plus_minus_mm: float


@result
class Cut:
    """Wire to cut [mm]: all sections with standing leg and stub, and the handle.

    ``low_mm`` to ``high_mm`` is the root of the sum of squares of the shares (each: cause, plus or
    minus in mm); ``joint_mm`` is the wire without standing leg and handle.
    """

    also: ClassVar = ("shares=causes",)
    total_mm: float
    low_mm: float
    high_mm: float
    joint_mm: float
    shares: tuple[tuple[str, float], ...] = hidden()

    @property
    def causes(self) -> tuple[CutCause, ...]:
        """What the interval is made of."""
        return tuple(CutCause(cause=cause, plus_minus_mm=size) for cause, size in self.shares)


def cut_length(joint: Joint) -> Cut:
    """The wire to cut for a joint, with what each tolerance of the recipe does to it."""
    recipe, d = joint.recipe, joint.diameter_mm
    finish, tolerance, sizes = recipe.finish, recipe.tolerance, joint.layout.sizes
    standing = joint.section_mm("standing")
    own = joint.wire_mm - standing
    total = joint.wire_mm + finish.handle_mm
    per_turn = sum(helix_length(r, sizes.lay) for r in (sizes.standing_radius, sizes.tag_radius))
    # the standing leg runs through the barrel's core: a longer barrel takes more of it too
    per_wrap = helix_length(1.0, sizes.pitch) + sizes.pitch
    # and so it does under a longer swing
    swung = sum(s.length * mean_sine(s.lay_from, s.lay_to) for s in joint.layout.planned.plan.swings)
    coils = [c for c in joint.layout.exits.tag if isinstance(c, CoreCoil)]
    per_swing = 2.0 * np.pi * sum(c.span + c.z_end - c.z0 for c in coils) / swung if coils else 0.0
    gap = helix_length(1.0, sizes.pitch + sizes.pitch_slack) - helix_length(1.0, sizes.pitch)
    shares = (
        ("lay", _half_difference(joint, "twist", "lay_mm", tolerance.lay_mm) if sizes.turns else 0.0),
        ("turns", per_turn * d * tolerance.turns if sizes.turns else 0.0),
        ("eye", _half_difference(joint, "eye", "pin_mm", tolerance.pin_mm)),
        ("swing", per_swing * d * tolerance.swing_turns),
        ("wraps", per_wrap * d * tolerance.wraps if sizes.wraps else 0.0),
        ("gaps between wraps", (gap * d + tolerance.wrap_gap_mm) * sizes.wraps),
        ("stub", tolerance.stub_mm),
        ("handle", tolerance.handle_mm),
        ("choice of ramps", tolerance.ramp_share * own),
    )
    width = float(np.sqrt(sum(size**2 for _, size in shares)))
    return Cut(
        total_mm=total,
        low_mm=total - width,
        high_mm=total + width,
        joint_mm=own,
        shares=tuple((c, float(v)) for c, v in shares),
    )


def _half_difference(joint: Joint, table: str, size: str, step: float) -> float:
    """Half the change of wire as one size of the recipe is off by a step either way, the exit's choices kept; one side
    if the other is refused."""
    lengths: list[float | None] = []
    for off in (-step, step):
        part = getattr(joint.recipe, table)
        try:
            moved = replace(part, **{size: getattr(part, size) + off})
            lengths.append(rebuilt(joint, joint.recipe.variant(**{table: moved})).wire_mm)
        except ValidationError:
            lengths.append(None)
    low, high = lengths
    if low is not None and high is not None:
        return abs(high - low) / 2.0
    return max((abs(v - joint.wire_mm) for v in lengths if v is not None), default=0.0)
