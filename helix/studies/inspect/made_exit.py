"""The exit of a made joint whose whole length was read: what no other part accounts for lies in it."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from helix.errors import ValidationError
from helix.geometry.joint.exit_choice import BENCH_LEG, BENCH_SWING
from helix.geometry.maths.roots import bracketed_root
from helix.model.joint.joint import Joint, build_joint
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.joint_sizes import finished_mm

_NEAR_MM: Final = 1e-3  # as long as it is to be
_WAY: Final = 1e-4  # of the way between two exits, as near as it is looked for
_SHORTEST: Final = (0.4, 0.1)  # of the leg, and turns of swing: what is shorter is no exit any more
_LONGEST_D: Final = 20.0  # what a leg can be longer
_MOST_TURNS: Final = 4.0  # what a swing can


def exit_to_length(recipe: Recipe, length_mm: float) -> Recipe:
    """The recipe with an exit that makes its joint so long [mm], the rest as it is.

    A longer one has a longer leg. A shorter one swings the tag out sooner, down to what hands do; then its leg comes straight sooner,
    then both. It is no shorter than clears itself, where it did, so that the joint may stay longer than it is to be. Raises
    InfeasibleJointError where the recipe's own joint cannot exist.
    """
    joint = build_joint(recipe)
    missing = length_mm - finished_mm(joint)
    if abs(missing) < _NEAR_MM:
        return recipe
    way = _longer(joint) if missing > 0.0 else _shorter(joint)

    def at(along: float) -> Recipe:
        k = min(int(along), len(way) - 2)
        (leg, swing), (next_leg, next_swing) = way[k], way[k + 1]
        part = along - k
        return _with_exit(recipe, leg + part * (next_leg - leg), swing + part * (next_swing - swing))

    def off(along: float) -> float:
        return finished_mm(build_joint(at(along), checked=False)) - length_mm

    end = float(len(way) - 1)
    try:
        along = end if off(end) * missing < 0.0 else bracketed_root(off, 0.0, end, _WAY)
        while along > _WAY and not joint.layout.planned.overlaps and _overlaps(at(along)):
            along = 0.9 * along if along > 0.1 else 0.0
    except ValidationError:
        return recipe
    return at(along) if along > _WAY else recipe


def _own(joint: Joint) -> tuple[float, float]:
    """Leg [d] and swing [turns] of a joint's exit; of an overbent one, of its way up."""
    layout, peak = joint.layout, joint.recipe.exit.peak_angle_rad
    swing = layout.swing_after_leg if peak is None else (joint.recipe.exit.swing_turns or BENCH_SWING)
    return layout.planned.plan.leg, swing


def _longer(joint: Joint) -> list[tuple[float, float]]:
    leg, swing = _own(joint)
    return [(leg, swing), (leg + _LONGEST_D, swing)] if leg else [(leg, swing), (leg, swing + _MOST_TURNS)]


def _shorter(joint: Joint) -> list[tuple[float, float]]:
    leg, swing = _own(joint)
    out = min(swing, BENCH_SWING)
    least, soonest = _SHORTEST
    return [(leg, swing), (leg, out), (BENCH_LEG * leg, out), (least * leg, min(out, soonest))]


def _with_exit(recipe: Recipe, leg_d: float, swing: float) -> Recipe:
    d, wound = recipe.wire.diameter_mm, recipe.barrel.wraps > 0.0
    stated = replace(
        recipe.exit, style="given", leg_mm=leg_d * d if leg_d else None, swing_turns=swing if wound and swing else None
    )
    return recipe.variant(exit=stated)


def _overlaps(recipe: Recipe) -> bool:
    return build_joint(recipe).layout.planned.overlaps
