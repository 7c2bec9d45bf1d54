"""What is said of a bend that is not ok: why, and what to do about it, in the rigger's words.

The numbers in the advice are those of the gradual exit for the same twist, so taking the advice cures the
bend (tests/studies/shape/test_bends.py takes it).
"""

from __future__ import annotations

import numpy as np

from helix.geometry.joint.exits import mean_sine
from helix.mechanics import limits
from helix.model.joint.joint import Joint
from helix.model.joint.joint_curves import gradual_plan

_LONGER = f"use a longer lay, {limits.SOUND_LAY:g} d or more"


def too_tight(joint: Joint) -> bool:
    """Whether the even twist itself is bent past the limit or crosses beyond 90 deg, so that no bend beside it helps."""
    sizes = joint.layout.sizes
    legs = (sizes.tag_throat, sizes.standing_throat)
    return (
        sum(leg.lay for leg in legs) > limits.ANGLE_LIMIT_RAD
        or max(leg.curvature for leg in legs) / 2.0 > limits.STRAIN_OK
    )


def bend_words(
    name: str, verdict: str, spoke: str, visible_deg: float, radius_d: float | None, length_d: float, joint: Joint
) -> tuple[str, str]:
    """(reason, remedy) for a bend's verdict; empty for ok.

    visible_deg: what is seen on the bench; radius_d: smallest radius, None where it cannot be trusted;
    length_d: wire in the bend, in wire diameters.
    """
    if verdict == "ok":
        return "", ""
    radius = "" if radius_d is None else f"its radius is {radius_d:.2f} d"
    if name.startswith("entry"):
        return _entry(name, verdict, spoke, visible_deg, radius, joint)
    if name == "exit_standing":
        why = f"the standing leg comes onto the axis in {length_d:.1f} d of wire and {radius}: {verdict}; "
        return why + "all of the load passes here", _gentler_exit(joint)
    if spoke == "overlap":
        return (
            "the tag is swung out before the leg is straight and would have to run through it: sharp",
            _gentler_exit(joint),
        )
    if spoke == "hand":
        turns = f"{_turn(joint, -1.0):.0f} deg instead of {_turn(joint, 1.0):.0f}"
        return (
            f"the barrel is wound against the twist: the tag turns {turns}, though it looks the same",
            "wind the barrel the same way round as the twist",
        )
    if spoke == "strain":
        return f"the tag is swung out over {length_d:.1f} d of wire and {radius}: {verdict}", _gentler_exit(joint)
    text = f"the tag leaves at {visible_deg:.0f} deg to the standing leg, pointing back at the eye: sharp"
    text += f"; {radius}" if spoke == "both" and radius else ""
    advice = "never bend the tag past square; go straight from the twist to the first wrap"
    return text, f"{advice}, and {_LONGER}" if too_tight(joint) else advice


def _entry(name: str, verdict: str, spoke: str, visible_deg: float, radius: str, joint: Joint) -> tuple[str, str]:
    leg = "standing leg" if name == "entry_standing" else "tag"
    if spoke == "strain":
        why = f"the {leg} turns from the eye into the twist and {radius}: {verdict}; "
        why += "the outside of the bend is stretched past what the wire is tested for"
        if too_tight(joint):
            return why, f"{_LONGER}: a twist this tight cannot be entered more gently"
        return why, "bend the leg round a rounder edge (1.5 d or more), or let it leave at the twist's own angle"
    text = f"the eye legs cross at {visible_deg:.0f} deg, beyond 90 deg: sharp"
    text += f", and {radius}" if spoke == "both" else ""
    own = joint.layout.sizes.tag_throat.lay + joint.layout.sizes.standing_throat.lay
    if too_tight(joint):
        return text, f"{_LONGER}, so that the legs leave the twist at less than 90 deg to each other"
    advice = f"let the legs run into the twist at its own angle, {np.rad2deg(own):.0f} deg between them"
    return text, advice + ': throat = "tangent"'


def _gentler_exit(joint: Joint) -> str:
    """What the gradual exit for this twist does; a longer lay where that is what bends so hard."""
    stated = joint.recipe.exit
    if too_tight(joint) or (stated.style == "gradual" and stated.peak_angle_rad is None):
        return f"{_LONGER}: a twist this tight cannot be left more gently"
    plan = gradual_plan(joint.layout, joint.diameter_mm)
    turns = sum(s.length * mean_sine(s.lay_from, s.lay_to) for s in plan.swings) / (2.0 * np.pi)
    leg = plan.leg + plan.open_length
    steps = [f"let the leg straighten over {np.ceil(leg * 10.0) / 10.0:.1f} d"] if leg else []
    if turns:
        steps.append(f"swing the tag out over {np.ceil(turns * 20.0) / 20.0:.2f} turn")
    peak = "" if stated.peak_angle_rad is None else ", and no peak_angle"
    return ", then ".join(steps) + f': style = "gradual"{peak}'


def _turn(joint: Joint, hand: float) -> float:
    """The tag's turn into a barrel of the twist's hand (1) or the other (-1) [deg]."""
    sizes = joint.layout.sizes
    return float(np.rad2deg(abs(sizes.barrel_lay - hand * sizes.tag_throat.lay)))
