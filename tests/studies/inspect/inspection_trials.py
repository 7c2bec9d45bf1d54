"""Trials of the inspection: joints of known make, measured by calipers with errors, and what is found of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from helix.errors import ValidationError
from helix.geometry.twist.strands import coil_gap, touching_pitch
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import ACROSS, Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.inspect.inspection import Found, found_of
from helix.studies.inspect.made_joint import derived
from helix.studies.shape.joint_sizes import finished_mm
from tests.studies.inspect.caliper_readings import caliper_readings

ACROSS_SD_MM, ALONG_SD_D = 0.02, 0.15
ALWAYS = ("turns", "twist_length", "wraps", "barrel_length")
_SOMETIMES = ("wire", "twist_diameter", "eye", "eye_length", "barrel_diameter", "length")


@dataclass(frozen=True)
class Trial:
    """One trial: the truth of every size, what was found, and which sizes lie outside their limits."""

    made: Recipe
    truth: Mapping[str, float]
    found: Found
    missed: tuple[str, ...]

    @property
    def recovered(self) -> bool:
        """Whether a joint was found and every size lies within its limits."""
        return self.found.made is not None and not self.missed


def trial(recipe: Recipe, seed: int) -> Trial:
    """Make a joint that is off the recipe, read it with errors, and inspect the readings.

    Twist and barrel are read always, the rest in two of three trials each; errors are normal, with a
    standard deviation of 0.02 mm across the joint and 0.15 wire diameters along it. The same seed gives the
    same trial.
    """
    rng = np.random.default_rng(seed)
    made = _made(recipe, rng)
    joint = build_joint(made)
    d = made.wire.diameter_mm
    true = caliper_readings(joint)
    names = [*ALWAYS, *(name for name in _SOMETIMES if rng.random() < 2 / 3)]
    readings = {}
    for name in names:
        sd = (
            0.0
            if name in ("turns", "wraps")
            else ACROSS_SD_MM
            if name in ACROSS
            else ALONG_SD_D * recipe.wire.diameter_mm
        )
        readings[name] = Reading(name=name, value=true[name] + sd * float(rng.standard_normal()), sd=sd, stated=True)
    pitch = made.barrel.pitch_mm or touching_pitch() * d
    angle, _, _, _ = derived(np.array([d, made.twist.lay_mm, 0.5, 0.0, pitch, 0.0, 1.0, 0.0, 0.0]), None)
    truth = {
        "wire": d,
        "lay": made.twist.lay_mm,
        "angle": float(angle),
        "gap": coil_gap(1.0, pitch / d) * d,
        "evenness": made.twist.evenness,
        "pin": made.eye.pin_mm,
        "finished": finished_mm(joint),
    }
    found = found_of(recipe, readings)
    missed = [
        name
        for name, size in found.sizes.items()
        if size.read and not size.low - 1e-9 <= truth[name] <= size.high + 1e-9
    ]
    if found.made is not None and (found.made.twist.turns, found.made.barrel.wraps) != (
        made.twist.turns,
        made.barrel.wraps,
    ):
        missed.append("counts")
    return Trial(made, truth, found, tuple(missed))


def _made(recipe: Recipe, rng: np.random.Generator) -> Recipe:
    """A joint made to a recipe by hands that are not sure: counts, lay, evenness, gaps and pin are off."""
    for _ in range(50):
        d = recipe.wire.diameter_mm * (1.0 + 0.005 * float(rng.standard_normal()))
        even = rng.random() < 0.6
        touching = rng.random() < 0.6
        made = replace(
            recipe,
            wire=replace(recipe.wire, diameter_mm=d),
            eye=replace(recipe.eye, pin_mm=recipe.eye.pin_mm * rng.uniform(0.97, 1.03)),
            twist=replace(
                recipe.twist,
                turns=max(recipe.twist.turns + int(rng.integers(-1, 2)), 2.0),
                lay_mm=recipe.twist.lay_mm * rng.uniform(0.85, 1.15),
                evenness=1.0 if even else rng.uniform(0.6, 1.0),
            ),
            barrel=replace(
                recipe.barrel,
                wraps=max(recipe.barrel.wraps + int(rng.integers(-1, 2)), 2.0),
                pitch_mm=None if touching else d * rng.uniform(1.03, 1.5),
            ),
        )
        try:
            build_joint(made)
        except ValidationError:
            continue
        return made
    raise RuntimeError("no joint near this recipe can be made")
