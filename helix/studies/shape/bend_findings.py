"""What is found of the four bends of a joint, and what would cure it, as data.

The numbers of the remedy are those of the gradual exit for the same twist, so taking it cures the bend
(tests/studies/shape/test_bend_findings.py takes it).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from helix.findings import Finding
from helix.geometry.joint.exits import mean_sine
from helix.mechanics import limits
from helix.model.joint.joint import Joint
from helix.model.joint.joint_curves import gradual_plan
from helix.model.joint.section_names import part_name
from helix.studies.shape.bends import Bend
from helix.values import Scalar, Values

BENDS_OF: Final = {
    "steep-first-bend": ("entry_standing", "entry_tag"),
    "spread-throat": ("entry_standing", "entry_tag"),
    "tight-first-bend": (),
    "tight-leg-exit": ("exit_standing",),
    "tight-exit": ("exit_tag",),
    "steep-exit": ("exit_tag",),
    "exit-overlaps": ("exit_tag",),
}
"""Codes of what is found of a bend, each with its bends; of a first bend that one leg makes, its own."""


def bends_of(finding: Finding) -> tuple[str, ...]:
    """The bends that a finding is about; none for what is found of anything else."""
    return BENDS_OF.get(finding.code, ()) or ((finding.place,) if finding.code in BENDS_OF else ())


def bend_findings(joint: Joint, bends: Sequence[Bend]) -> Iterator[Finding]:
    """What is found of the bends, in the order of the wire; the angle between the eye legs once for both."""
    seen = set()
    for bend in bends:
        if bend.governing not in ("none", "hand"):  # the hand of a barrel is found of the barrel
            finding = _found(joint, bend, bends)
            if not BENDS_OF[finding.code] or finding.code not in seen:
                yield finding
            seen.add(finding.code)


def too_tight(joint: Joint) -> bool:
    """Whether the even twist itself is bent past the limit or crosses beyond 90 deg, so that no bend beside it helps."""
    legs = (joint.layout.sizes.tag_throat, joint.layout.sizes.standing_throat)
    return (
        sum(leg.lay for leg in legs) > limits.ANGLE_LIMIT_RAD
        or max(leg.curvature for leg in legs) / 2.0 > limits.STRAIN_OK
    )


def _found(joint: Joint, bend: Bend, bends: Sequence[Bend]) -> Finding:
    entry = part_name(bend.name) == "entry"
    by_angle = bend.governing in ("angle", "both")
    radius, strain, place = bend.min_radius_d, bend.strain, bend.name
    if entry and by_angle:
        spread = joint.recipe.eye.throat_made == "spread"
        code, place = "spread-throat" if spread else "steep-first-bend", "entry"
        pair = [bend for bend in bends if bend.name in BENDS_OF[code]]
        radius = min((bend.min_radius_d for bend in pair if bend.min_radius_d is not None), default=None)
        strain = max(bend.strain for bend in pair)
    elif entry:
        code = "tight-first-bend"
    elif bend.name == "exit_standing":
        code = "tight-leg-exit"
    else:
        code = "exit-overlaps" if bend.governing == "overlap" else "steep-exit" if by_angle else "tight-exit"
    values: dict[str, Scalar] = {"strain": strain, "strain_limit": limits.STRAIN_OK, "radius_d": radius}
    if by_angle:
        values |= {"angle_deg": bend.visible_angle_deg, "limit_deg": float(np.rad2deg(limits.ANGLE_LIMIT_RAD))}
    elif radius is not None:
        values["kink_limit_d"] = 0.5 / limits.STRAIN_CAUTION  # a tighter radius damages the wire however short it is
    if not entry:
        values["length_d"] = bend.length_d
    remedy, advised = _remedy(joint, code)
    return Finding(code=code, severity=bend.severity, place=place, values=Values(**values, **advised), remedy=remedy)


def _remedy(joint: Joint, code: str) -> tuple[str, dict[str, Scalar]]:
    """Code of the advice, and its numbers."""
    tight, sizes = too_tight(joint), joint.layout.sizes
    if code in ("steep-first-bend", "spread-throat"):
        own = float(np.rad2deg(sizes.tag_throat.lay + sizes.standing_throat.lay))
        return ("lay-for-angle", {}) if tight else ("own-angle", {"own_deg": own})
    if code == "tight-first-bend":
        return "lay-for-entry" if tight else "round-edge", {}
    if code == "steep-exit":
        return "not-past-square-longer-lay" if tight else "not-past-square", {}
    return ("lay-for-exit", {}) if tight or not has_own_exit(joint) else gradual_exit(joint)


def has_own_exit(joint: Joint) -> bool:
    """Whether the exit is another than the gradual one."""
    stated = joint.recipe.exit
    return stated.style != "gradual" or stated.peak_angle_rad is not None


def gradual_exit(joint: Joint) -> tuple[str, dict[str, Scalar]]:
    """The advice to leave the twist by the gradual exit, and its numbers; where it is that but for an overbend, to leave that out."""
    if joint.recipe.exit.style == "gradual":
        return "no-overbend", {}
    plan = gradual_plan(joint.layout, joint.diameter_mm)
    turns = sum(s.length * mean_sine(s.lay_from, s.lay_to) for s in plan.swings) / (2.0 * np.pi)
    return "gradual-exit", {
        "leg_d": float(np.ceil((plan.leg + plan.open_length) * 10.0) / 10.0),
        "swing_turns": float(np.ceil(turns * 20.0) / 20.0),
        "peak_stated": joint.recipe.exit.peak_angle_rad is not None,
    }
