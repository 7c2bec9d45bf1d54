"""The three models of the grip as studies use them: their names, what they assume, and where they do not apply."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.twist.helices import lay_angles
from helix.mechanics import grip, limits
from helix.model.joint.joint import checked_sizes
from helix.model.recipe.recipe_parts import Recipe
from helix.values import result

ALONE: Final = "W"


@result
class GripModel:
    """Key and name of a model, and its main assumption as the end of a sentence that starts "it assumes that"."""

    key: str
    name: str
    assumes: str


MODELS: Final = (
    GripModel(
        key="L",
        name="linear tail",
        assumes="the twist keeps its set shape, so that leg presses on leg evenly and the tag's tension falls by equal steps",
    ),
    GripModel(
        key="E", name="exponential tail", assumes="the legs are flexible and only the tag's own tension presses it on"
    ),
    GripModel(
        key="R",
        name="rod simulation",
        assumes="a simulated elastic-plastic rod stands for this joint: lay 3.75 d, pin 4 d, barrel sprung loose, not tested",
    ),
)
WRAPS_ALONE: Final = GripModel(
    key=ALONE,
    name="wraps alone",
    assumes="the barrel has sprung open and sits loose on the leg, so that only its plastic hinge holds, without friction",
)


@result
class Grip:
    """What of a joint the models look at, in wire diameters. pitch_d: of the barrel; wires: worked as one."""

    turns: float
    wraps: float
    lay_d: float
    evenness: float
    pitch_d: float
    same_hand: bool
    wires: int = 1

    @property
    def hinged(self) -> bool:
        """Whether there are wraps enough for a hinge."""
        return self.wraps >= limits.HINGE_WRAPS


def grip_of(recipe: Recipe) -> Grip:
    """What the models look at of a recipe."""
    sizes = checked_sizes(recipe)
    return Grip(
        turns=sizes.turns,
        wraps=sizes.wraps,
        lay_d=sizes.lay,
        evenness=recipe.twist.evenness,
        pitch_d=sizes.pitch,
        same_hand=recipe.barrel.hand == "same",
        wires=recipe.wire.count,
    )


def models_of(joint: Grip) -> tuple[GripModel, ...]:
    """The models that could be asked: the barrel alone where there is no twist, else the three."""
    return (WRAPS_ALONE,) if joint.turns == 0.0 else MODELS


def not_applicable_because(key: str, joint: Grip) -> str:
    """Why a model says nothing about a joint; empty where it speaks.

    Beyond the turns that were simulated R leaves even twists to the other two. Of an uneven one it speaks alone, and as of
    the most turns simulated: more of them would hold no less.

    >>> not_applicable_because("R", Grip(turns=2.0, wraps=5.0, lay_d=4.0, evenness=1.0, pitch_d=1.013, same_hand=True))
    'its simulations had 3 to 6 turns'
    """
    if joint.wires > 1:
        return f"it was made for one wire, and {2 * joint.wires} strands lie in this joint"
    if 0.0 < joint.wraps < limits.HINGE_WRAPS:
        return f"fewer than {limits.HINGE_WRAPS:g} wraps make no hinge that it knows"
    if key == ALONE:
        return ""
    if joint.evenness < (limits.LEAST_EVEN if key == "R" else limits.EVEN):
        return "it knows even twists only"
    if joint.lay_d < math.pi * (1.0 - 1e-9):
        return "below a lay of 3.14 d the legs touch off the axis"
    if key != "R":
        return ""
    low, high = grip.SIMULATED_TURNS
    if joint.turns < low or (joint.turns > high and joint.evenness >= limits.EVEN):
        return f"its simulations had {low:g} to {high:g} turns"
    if joint.wraps == 0.0:
        return "its fit is of joints with a barrel"
    if abs(joint.lay_d / grip.SIMULATED_LAY_D - 1.0) > limits.LAY_REACH + 1e-9:
        return f"its simulations had a lay of {grip.SIMULATED_LAY_D:g} d"
    return ""


def slip_share(
    key: str,
    friction: Array | float,
    hinge: Array | float,
    turns: Array | float,
    lay_d: Array | float,
    sliding_rad: float = 0.0,
    fit_error: Array | float = 0.0,
    evenness: float = 1.0,
) -> Array:
    """Load over the wire's strength at which a model lets the joint unwind, infinite where it never does.

    Arrays broadcast. hinge: what the barrel holds over the strength; fit_error: of model R, in the same unit; evenness: of
    the twist, which R alone knows.

    >>> float(slip_share("E", 0.06, 0.186, 5.0, 4.0).round(3))
    0.937
    """
    lay_rad = lay_angles(0.5, lay_d)
    if key == "L":
        return grip.slip_linear(hinge, friction, turns, lay_rad, sliding_rad)
    if key == "E":
        return grip.slip_exponential(hinge, friction, turns, lay_rad, sliding_rad)
    if key == "R":
        if evenness >= limits.EVEN:
            return grip.slip_simulated(friction, turns) + fit_error
        most = np.minimum(turns, grip.SIMULATED_TURNS[1])
        return (grip.slip_simulated(friction, most) + fit_error) * grip.uneven_keeps(evenness, friction)
    return grip.wraps_alone(hinge, friction, sliding_rad)


def friction_needed(
    key: str,
    load: Array | float,
    hinge: Array | float,
    turns: Array | float,
    lay_d: Array | float,
    fit_error: Array | float = 0.0,
) -> Array:
    """Friction number with which a model lets the joint unwind at that load: slip_share turned round, without its floor.

    Arrays broadcast. load, hinge: over the wire's strength. Negative where the joint asks for less than none.

    >>> float(friction_needed("E", 0.937, 0.186, 5.0, 4.0).round(3))
    0.06
    """
    lay_rad = lay_angles(0.5, lay_d)
    if key == "L":
        return grip.friction_linear(load, hinge, turns, lay_rad)
    if key == "E":
        return grip.friction_exponential(load, hinge, turns, lay_rad)
    return grip.friction_simulated(np.maximum(np.asarray(load) - fit_error, 1e-6), turns)
