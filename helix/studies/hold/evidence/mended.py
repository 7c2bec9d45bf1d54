"""Recipes with what hands had wrong mended: the joints that one is never said to better, its counts kept."""

from __future__ import annotations

from dataclasses import replace

from helix.mechanics import limits
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.joint_sizes import usual_lay


def better_of(recipe: Recipe) -> tuple[Recipe, ...]:
    """The same joint with one thing more mended each time, made right last; those that differ from it; of two wires none."""
    if recipe.wire.count > 1:  # of which nothing is estimated
        return ()
    hinged = make_hinge(recipe)
    known = make_even(hinged, limits.LEAST_EVEN)  # as even as it must be for a model to speak of it
    better = (hinged, known, make_usual_lay(known), make_even(hinged), mend_twist(hinged), make_right(recipe))
    return tuple(each for each in dict.fromkeys(better) if each != recipe)


def make_hinge(recipe: Recipe) -> Recipe:
    """The same joint with wraps enough for a hinge where it has fewer; wraps alone may be none."""
    wraps = recipe.barrel.wraps
    if wraps >= limits.HINGE_WRAPS or wraps == recipe.twist.turns == 0.0:
        return recipe
    return recipe.variant(barrel=replace(recipe.barrel, wraps=limits.HINGE_WRAPS))


def make_even(recipe: Recipe, least: float = 1.0) -> Recipe:
    """The same joint with a twist of that evenness where its own has less, at its own lay."""
    if recipe.twist.evenness >= least:
        return recipe
    return recipe.variant(twist=replace(recipe.twist, evenness=least, length_mm=None))


def make_usual_lay(recipe: Recipe) -> Recipe:
    """The same joint with the usual lay where its own is looser."""
    usual = usual_lay(recipe)
    if checked_sizes(recipe).lay <= usual + limits.OVERLAP_D:
        return recipe
    lay_mm = usual * recipe.wire.diameter_mm
    return recipe.variant(twist=replace(recipe.twist, lay_mm=lay_mm, length_mm=None))


def mend_twist(recipe: Recipe) -> Recipe:
    """The same joint with an even twist, of the usual lay where its own is looser."""
    return make_usual_lay(make_even(recipe))


def make_right(recipe: Recipe) -> Recipe:
    """The same joint without a fault of hands: even, no looser than usual, its legs running into the twist, a gradual
    exit, a touching barrel of the twist's hand. Its counts stay, but wraps that make no hinge become one."""
    return mend_twist(make_hinge(recipe)).variant(
        eye=replace(recipe.eye, throat_rad=None),
        entry=replace(recipe.entry, radius_mm=None),
        exit=replace(recipe.exit, style="gradual", leg_mm=None, swing_turns=None, peak_angle_rad=None),
        barrel=replace(make_hinge(recipe).barrel, pitch_mm=None, hand="same"),
    )
