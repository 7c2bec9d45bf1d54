"""What a step of the making says: what to do, and the numbers that hands need there, in the units of who reads it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helix.output.words.words import mark_number, of_each_wire
from helix.studies.teaching.hand_work import pin_to_bend_mm
from helix.studies.teaching.steps import Step, ink_marks
from helix.units import UNIT_WORDS, UnitSystem, format_length

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.shape.shape import ShapeResult


def step_words(step: Step, result: ShapeResult, units: UnitSystem) -> str:
    """A step's sentence; with the places to ink where the wire is inked, and the pin where it is bent."""
    if step.kind == "mark":
        return f"{step.sentence} {ink_line(result, units)}".rstrip()
    if step.kind == "bend":
        return f"{step.sentence} {pin_line(result.recipe, units)}"
    return step.sentence


def ink_line(result: ShapeResult, units: UnitSystem) -> str:
    """Where each ink mark is, by its letter; empty where there is none."""
    marks = ink_marks(result)
    if not marks:
        return ""
    at = ", ".join(f"{mark.letter} {mark_number(mark, units)}" for mark in marks)
    return f"From the tag's cut end, {UNIT_WORDS[units]}{of_each_wire(marks, units)}: {at}."


def pin_line(recipe: Recipe, units: UnitSystem) -> str:
    """The pin to bend the eye round, which is thinner than the eye: hard wire springs open."""
    pin, eye = pin_to_bend_mm(recipe), format_length(recipe.eye.pin_mm, units)
    if pin is None:
        return f"No pin leaves an eye of {eye}: bend it further by hand."
    return f"Pin {format_length(pin, units)}, upright in a vice (assumed), for an eye of {eye}: it springs open."
