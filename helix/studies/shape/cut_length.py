"""How much wire to cut, and between what limits."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

import numpy as np

from helix.errors import ValidationError
from helix.geometry.twist.helices import helix_length
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
    """The wire to cut for a joint, the longest of several."""
    return max(cut_lengths(joint), key=lambda cut: cut.total_mm)


def cut_lengths(joint: Joint) -> tuple[Cut, ...]:
    """Each wire to cut for a joint, with what each tolerance of the recipe does to it."""
    recipe, tolerance = joint.recipe, joint.recipe.tolerance
    lay = _half_differences(joint, "twist", "lay_mm", tolerance.lay_mm) if recipe.twist.turns else None
    pin = _half_differences(joint, "eye", "pin_mm", tolerance.pin_mm)
    return tuple(_cut(wire, lay[k] if lay else 0.0, pin[k]) for k, wire in enumerate(joint.wires))


def _cut(joint: Joint, lay_share: float, eye_share: float) -> Cut:
    recipe, d = joint.recipe, joint.diameter_mm
    finish, tolerance, sizes = recipe.finish, recipe.tolerance, joint.layout.sizes
    standing = joint.section_mm("standing")
    own = joint.wire_mm - standing
    total = joint.wire_mm + finish.handle_mm
    per_turn = sum(helix_length(r, sizes.lay) for r in (sizes.standing_radius, sizes.tag_radius))
    # the standing leg runs through the barrel's core: a longer barrel takes more of it too
    per_wrap = sizes.wrap_length(sizes.pitch) + sizes.pitch
    # and so it does under a longer swing
    swung, exits = joint.layout.swing_after_leg, joint.layout.exits
    along = sum(s.length for s in joint.layout.planned.plan.swings)
    per_swing = (along + exits.z_end - exits.run_in_z) / swung if swung else 0.0
    gap = sizes.wrap_length(sizes.pitch + sizes.count * sizes.pitch_slack) - sizes.wrap_length(sizes.pitch)
    shares = (
        ("lay", lay_share),
        ("turns", per_turn * d * tolerance.turns if sizes.turns else 0.0),
        ("eye", eye_share),
        ("swing", per_swing * d * tolerance.swing_turns),
        ("wraps", per_wrap * d * tolerance.wraps if sizes.wraps else 0.0),
        ("gaps between wraps", (gap * d + sizes.count * tolerance.wrap_gap_mm) * sizes.wraps),
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


def _half_differences(joint: Joint, table: str, size: str, step: float) -> list[float]:
    """Half the change of each wire as one size of the recipe is off by a step either way, the exit's choices kept; one side
    if the other is refused."""
    now = [wire.wire_mm for wire in joint.wires]
    changed: list[list[float]] = []
    for off in (-step, step):
        part = getattr(joint.recipe, table)
        try:
            moved = replace(part, **{size: getattr(part, size) + off})
            changed.append([w.wire_mm for w in rebuilt(joint, joint.recipe.variant(**{table: moved})).wires])
        except ValidationError:
            continue
    if len(changed) == 2:
        return [abs(high - low) / 2.0 for low, high in zip(*changed, strict=True)]
    return [max((abs(lengths[k] - mm) for lengths in changed), default=0.0) for k, mm in enumerate(now)]
