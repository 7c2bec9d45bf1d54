"""What is seen of a made joint without a caliper: its two angles, and counts as a person counts them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from helix.errors import IssuePath, ValidationError, ValidationIssue
from helix.geometry.twist.helices import lay_angle
from helix.geometry.twist.worked_wires import core_round
from helix.mechanics import limits
from helix.model.joint.joint import Joint, build_joint
from helix.model.joint.joint_curves import sizes_of
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.inspect.made_joint import barrel_pitch_mm
from helix.studies.shape.outline import counts_of
from helix.units import RAD_PER_DEG
from helix.values import Values, result

_QUARTER: Final = 0.25


@result
class Transition:
    """What lies between the even turns and the touching wraps of a joint, in turns: before the tag leaves the twist,
    and from there to the first touching wrap."""

    twist_turns: float
    wrap_turns: float


def transition_of(recipe: Recipe) -> Transition:
    """The transition of a recipe's joint. Raises InfeasibleJointError where it cannot exist."""
    return transition_in(build_joint(recipe))


def transition_in(joint: Joint) -> Transition:
    """The transition of a built joint."""
    counts = counts_of(joint)
    return Transition(
        twist_turns=counts.swing - counts.swing_after_leg if counts.turns else 0.0,
        wrap_turns=counts.swing_after_leg if counts.wraps else 0.0,
    )


def counted_as_recipe(
    readings: Mapping[str, Reading], between: Transition, step: float | None = _QUARTER
) -> dict[str, Reading]:
    """The readings, with counts to where the tag leaves as the even turns and touching wraps that a recipe counts;
    to the nearest of a step, None: exactly.

    Raises ValidationError for counts that are less than what lies between.
    """
    parts = {"turns": between.twist_turns, "wraps": between.wrap_turns}
    counted, faults = dict(readings), []
    for name, part in parts.items():
        reading = readings.get(name)
        if reading is None or part == 0.0:
            continue
        value = reading.value - part
        value = value if step is None else round(value / step) * step  # nobody counts closer
        if value <= 0.0:
            wanted = f"more than {part:.2f} {name} where they are counted to where the tag leaves"
            values = Values(wanted=wanted, got=f"{reading.value:g}")
            faults.append(ValidationIssue(IssuePath(key=name), code="out-of-range", values=values))
            continue
        counted[name] = replace(reading, value=value)
    if faults:
        raise ValidationError(faults)
    return counted


def seen_recipe(recipe: Recipe, readings: Mapping[str, Reading]) -> Recipe:
    """The recipe with the angles that were seen in it.

    A first bend that the twist's own angle explains stays as it is, and so does an exit within its limit: a barrel has
    no less than its own angle, and the exit is no more than that unless it was bent too far. Nor does an exit of two wires
    worked as one, which has no shape past square.
    """
    first, out = readings.get("first_bend"), readings.get("exit")
    eye, exit_ = recipe.eye, recipe.exit
    if first is not None:
        own = eye.throat_rad or 2.0 * _leg_half_rad(recipe)
        beyond = first.value * RAD_PER_DEG > limits.ANGLE_LIMIT_RAD
        if beyond or abs(first.value * RAD_PER_DEG - own) > first.sd * RAD_PER_DEG:
            eye = replace(eye, throat_rad=first.value * RAD_PER_DEG)
    if out is not None:
        steep = recipe.wire.count == 1 and out.value * RAD_PER_DEG > limits.ANGLE_LIMIT_RAD
        exit_ = replace(exit_, peak_angle_rad=out.value * RAD_PER_DEG if steep else None)
    return recipe.variant(eye=eye, exit=exit_)


def _leg_half_rad(recipe: Recipe) -> float:
    """Half the angle between eye legs that run on from the twist, an even one."""
    lay = recipe.twist.lay_mm / recipe.wire.diameter_mm
    return lay_angle(0.5, lay) if recipe.wire.count == 1 else sizes_of(recipe).tangent_half


def barrel_angle_deg(recipe: Recipe) -> float:
    """The angle of touching wraps to the standing leg, the least that an exit has."""
    return math.degrees(math.atan2(core_round(recipe.wire.count) * recipe.wire.diameter_mm, barrel_pitch_mm(recipe)))
