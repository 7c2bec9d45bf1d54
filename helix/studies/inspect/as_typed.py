"""A made joint as somebody would type it: what differs from the recipe that was to be made, in round numbers."""

from __future__ import annotations

import math

from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.remedies import Changes
from helix.units import MM_PER_INCH, UnitSystem


def typed_changes(recipe: Recipe, made: Recipe, units: UnitSystem = "metric") -> Changes:
    """Changes of a recipe's file that make it the joint that was made, lengths to 0.01 mm or a thousandth of an inch, angles to whole
    degrees, counts to a hundredth; nothing where it is as the recipe to that.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> recipe = recipe_from_text('[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n')
    >>> from dataclasses import replace
    >>> typed_changes(recipe, recipe.variant(eye=replace(recipe.eye, pin_mm=7.19969275)))
    {'eye.pin': '7.2 mm'}
    """

    def length(mm: float, more: int = 0) -> str:
        return f"{round(mm / MM_PER_INCH, 3 + more):g} in" if units == "inch" else f"{round(mm, 2 + more):g} mm"

    def angle(rad: float) -> str:
        return f"{round(math.degrees(rad)):g} deg"

    def count(number: float) -> str:
        return f"{round(number, 2):g}"

    def of(one: Recipe) -> dict[str, str | None]:
        throat, peak, pitch = one.eye.throat_rad, one.exit.peak_angle_rad, one.barrel.pitch_mm
        leg, swing = one.exit.leg_mm, one.exit.swing_turns
        return {
            "wire.diameter": length(one.wire.diameter_mm),
            "eye.pin": length(one.eye.pin_mm),
            "eye.throat": "tangent" if throat is None else angle(throat),
            "twist.turns": count(one.twist.turns),
            "twist.lay_length": length(one.twist.lay_mm, 1),  # turns multiply what is rounded off
            "twist.evenness": count(one.twist.evenness),
            "exit.leg": None if leg is None else length(leg),
            "exit.swing": None if swing is None else count(swing),
            "exit.peak_angle": None if peak is None else angle(peak),
            "barrel.wraps": count(one.barrel.wraps),
            "barrel.pitch": "touching" if pitch is None else length(pitch),
        }

    was, now = of(recipe), of(made)
    numbers = ("twist.turns", "twist.evenness", "exit.swing", "barrel.wraps")
    return {
        key: float(value) if value is not None and key in numbers else value
        for key, value in now.items()
        if value != was[key]
    }
