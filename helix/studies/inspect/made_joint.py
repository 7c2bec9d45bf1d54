"""What readings say about a joint that was made: its sizes with their uncertainty, by weighted least squares."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from helix.geometry.joint.exits import mean_sine
from helix.geometry.twist.strands import even_radius, uneven_radii
from helix.geometry.twist.worked_wires import barrel_gap, barrel_touching_pitch, core_round, strand_lay_angle
from helix.geometry.wire.curves import positions
from helix.model.joint.joint import Joint, build_joint, rebuilt
from helix.model.joint.joint_curves import sizes_of
from helix.model.measured.readings import LENGTHS, Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.fits.least_squares import Estimate, Floats, estimate
from helix.studies.shape.joint_sizes import eye_length_mm, eye_width_mm, finished_mm, outside_length_mm
from helix.values import result

VALUES = ("d", "lay", "outer", "turns", "pitch", "wraps", "barrel", "pin", "exit")
"""What is estimated: wire [mm], lay [mm], radius of the twist's outer leg [d], turns, pitch [mm], wraps,
radius of the barrel [d], pin [mm], and what the exit is longer than the recipe's [mm]."""
WIRE_SD = 0.005  # share of the wire's diameter: the mill's tolerance, as a standard deviation (an assumption)
OUTER_SD = 0.05  # of the outer leg's radius where it is not measured [d] (an assumption)
BARREL_SD = 0.02  # of the barrel's radius where it is not measured [d]: it springs open by about 0.03 (same)
_EXACT = 1e-9  # standard deviation of a count that is exact
_WIDE = 1e3  # a value that is measured is taken to be known beforehand within this many times itself
_LOWEST_LAY = 1.02  # lays are kept above this where a radius is asked for [d]


@result
class Lengths:
    """Lengths of a built joint that are not closed forms, about its own sizes, with their first derivatives.

    finished, eye_length, eye_width [mm]: base values; slopes: per mm of wire diameter, lay and pin. barrel_beyond: what the barrel
    is longer than its wraps times their pitch [mm]: a diameter, and of two wires what one starts behind the other. eye_thick: the wire in the bight beyond
    its inside [d].
    """

    at: Floats
    finished: float
    finished_slope: Floats
    eye_length: float
    eye_length_slope: Floats
    width_beyond_pin: float
    barrel_beyond: float
    eye_thick: float

    def whole(self, recipe: Recipe) -> float:
        """Finished length of the recipe that these are the lengths of [mm]."""
        pitch = barrel_pitch_mm(recipe)
        return self.finished + recipe.twist.turns * recipe.twist.lay_mm + recipe.barrel.wraps * pitch


def read_made(recipe: Recipe, readings: Mapping[str, Reading], lengths: Lengths | None = None) -> Estimate:
    """The values behind the readings. `lengths` is needed where length or eye_length is read."""
    prior, sd = _prior(recipe, readings)
    names, wires = fitted(readings), recipe.wire.count
    if not names:
        return Estimate(prior, np.diag(sd**2), np.zeros(0), np.zeros(len(prior)), True)
    values = np.array([readings[name].value for name in names])
    spread = np.array([readings[name].sd for name in names])

    def predict(v: Floats) -> Floats:
        return np.array([predicted(name, v, lengths, wires) for name in names])

    return estimate(predict, values, spread, prior, sd)


def fitted(readings: Mapping[str, Reading]) -> list[str]:
    """Names of the readings that sizes are fitted to: counts and angles are taken as they are."""
    return [name for name in readings if name in LENGTHS or name == "evenness"]


def barrel_pitch_mm(recipe: Recipe) -> float:
    """Pitch of a recipe's barrel, where none is stated that of touching wraps [mm]."""
    return recipe.barrel.pitch_mm or barrel_touching_pitch(recipe.wire.count) * recipe.wire.diameter_mm


def predicted(name: str, v: Floats, lengths: Lengths | None, wires: int = 1) -> float:
    """What a reading would be for these values, of so many wires worked as one."""
    d, lay, outer, turns, pitch, wraps, barrel, pin, beyond = (float(x) for x in v)
    match name:
        case "wire":
            return d
        case "lay":
            return lay
        case "twist_length":
            return turns * lay
        case "twist_diameter":
            return (2.0 * outer + 1.0) * d
        case "barrel_length":
            return wraps * pitch + (lengths.barrel_beyond if lengths else 0.0) + d
        case "barrel_diameter":
            return (2.0 * barrel + wires) * d
        case "evenness":
            return evenness_of(outer, lay / d)
        case "eye":
            return pin + (lengths.width_beyond_pin if lengths else 0.0)
    if lengths is None:
        raise ValueError(f"{name} cannot be predicted without the joint's lengths")
    moved = np.array([d, lay, pin]) - lengths.at
    if name == "eye_length":
        return lengths.eye_length + float(lengths.eye_length_slope @ moved)
    own = lengths.finished + float(lengths.finished_slope @ moved)
    whole = own + turns * lay + wraps * pitch + beyond
    return whole + lengths.eye_thick * d if name == "outside_length" else whole


def _prior(recipe: Recipe, readings: Mapping[str, Reading]) -> tuple[Floats, Floats]:
    """What is known before the readings: the recipe within its tolerances, nothing of what is measured."""
    d, slack = recipe.wire.diameter_mm, recipe.tolerance
    pitch = barrel_pitch_mm(recipe)
    sizes = sizes_of(recipe)
    turns, wraps = readings.get("turns"), readings.get("wraps")
    measured = set(readings)

    def known(value: float, sd: float, *names: str) -> tuple[float, float]:
        return value, (max(_WIDE * value, _WIDE * sd) if measured & set(names) else max(sd, _EXACT))

    rows = {
        "d": (d, WIRE_SD * d),
        "lay": known(recipe.twist.lay_mm, slack.lay_mm, "lay", "twist_length"),
        "outer": known(max(sizes.standing_radius, sizes.tag_radius), OUTER_SD, "twist_diameter", "evenness"),
        "turns": (recipe.twist.turns, slack.turns) if turns is None else (turns.value, turns.sd),
        "pitch": known(pitch, slack.wrap_gap_mm, "barrel_length"),
        "wraps": (recipe.barrel.wraps, slack.wraps) if wraps is None else (wraps.value, wraps.sd),
        "barrel": known(1.0, BARREL_SD, "barrel_diameter"),
        "pin": known(recipe.eye.pin_mm, slack.pin_mm, "eye", "eye_length"),
        "exit": (0.0, max(exit_sd(recipe), _EXACT)),
    }
    return (np.array([rows[name][0] for name in VALUES]), np.array([max(rows[name][1], _EXACT) for name in VALUES]))


def values_of(recipe: Recipe) -> Floats:
    """The values of a recipe's own joint."""
    return _prior(recipe, {})[0]


def exit_sd(recipe: Recipe) -> float:
    """How far the exit's length along the axis may lie off the recipe's [mm]: the swing, and the choice of ramps."""
    d, slack = recipe.wire.diameter_mm, recipe.tolerance
    wires, around = recipe.wire.count, core_round(recipe.wire.count)
    lay, barrel = strand_lay_angle(sizes_of(recipe).lay, wires), math.atan2(around, barrel_touching_pitch(wires))
    per_turn = around * d / mean_sine(lay, barrel) * 0.5 * (math.cos(lay) + math.cos(barrel))
    own = recipe.twist.turns * recipe.twist.lay_mm + recipe.barrel.wraps * wires * d + 6.0 * d + recipe.eye.pin_mm
    return math.hypot(per_turn * slack.swing_turns, slack.ramp_share * own)


def finished_slack(recipe: Recipe) -> float:
    """How far the recipe's own tolerances may take the finished length off [mm]."""
    twist, barrel, slack = recipe.twist, recipe.barrel, recipe.tolerance
    pitch = barrel_pitch_mm(recipe)
    return math.hypot(
        exit_sd(recipe),
        twist.turns * slack.lay_mm,
        twist.lay_mm * slack.turns,
        barrel.wraps * slack.wrap_gap_mm,
        pitch * slack.wraps,
        slack.pin_mm,
    )


def lengths_of(recipe: Recipe) -> Lengths:
    """The lengths of a recipe's joint and their derivatives, from four exact builds.

    Raises InfeasibleJointError where it cannot exist.
    """
    joint = build_joint(recipe)
    at = np.array([recipe.wire.diameter_mm, recipe.twist.lay_mm, recipe.eye.pin_mm])
    steps = 1e-4 * at
    base = _own(joint)
    slopes = []
    for k, step in enumerate(steps):
        move = np.zeros(3)
        move[k] = step
        slopes.append((_own(rebuilt(joint, _moved(recipe, at + move))) - base) / step)
    slope = np.stack(slopes, axis=1)
    return Lengths(
        at=at,
        finished=float(base[0]),
        finished_slope=slope[0],
        eye_length=float(base[1]),
        eye_length_slope=slope[1],
        width_beyond_pin=float(base[2]),
        barrel_beyond=_staggered(joint) * joint.diameter_mm,
        eye_thick=(outside_length_mm(joint) - finished_mm(joint)) / joint.diameter_mm,
    )


def _own(joint: Joint) -> Floats:
    """Finished length less twist and barrel, inside length of the eye, and its width beyond the pin [mm]."""
    sizes, d = joint.layout.sizes, joint.diameter_mm
    straight = (sizes.turns * sizes.lay + sizes.wraps * sizes.pitch) * d
    return np.array([
        finished_mm(joint) - straight, eye_length_mm(joint), eye_width_mm(joint) - joint.recipe.eye.pin_mm
    ])  # fmt: skip


def _staggered(joint: Joint) -> float:
    """How far behind the other the barrel of one of two wires starts [d]; 0 of one wire."""
    firsts = [next((p.curve for p in path.pieces if p.section == "barrel"), None) for path in joint.layout.paths]
    starts = [float(positions(curve, np.zeros(1))[0, 2]) for curve in firsts if curve is not None]
    return max(starts, default=0.0) - min(starts, default=0.0)


def _moved(recipe: Recipe, sizes: Floats) -> Recipe:
    d, lay, pin = (float(x) for x in sizes)
    return recipe.variant(
        wire=replace(recipe.wire, diameter_mm=d),
        twist=replace(recipe.twist, lay_mm=lay),
        eye=replace(recipe.eye, pin_mm=pin),
        # a pitch of its own: the touching one moves with the wire, and is a closed form elsewhere
        barrel=replace(recipe.barrel, pitch_mm=recipe.barrel.pitch_mm or barrel_touching_pitch(recipe.wire.count) * d),
    )


def evenness_of(outer: float, lay_d: float) -> float:
    """Evenness of a twist by the radius of its outer leg [d]; above 1 where that is below an even leg's.

    >>> round(evenness_of(0.75, 4.0), 9), round(evenness_of(0.5, 4.0), 9)
    (0.5, 1.0)
    """
    lay = max(lay_d, _LOWEST_LAY)
    least = even_radius(lay) if lay > 2.0 else math.inf
    if outer <= least:
        return 1.0 + 2.0 * (least - outer) if math.isfinite(least) else 1.0
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        try:
            radius = max(uneven_radii(lay, middle))
        except ValueError:
            radius = 0.0  # so uneven and tight a twist does not exist
        if radius > outer:
            low = middle
        else:
            high = middle
    evenness = 0.5 * (low + high)
    return evenness if evenness > 1e-12 else min(0.0, 2.0 - 2.0 * outer)


def derived(v: Floats, lengths: Lengths | None, wires: int = 1) -> Floats:
    """Lay angle of an even leg [rad], gap between wraps [mm], evenness (1 of two wires), finished length [mm] (nan without
    lengths)."""
    d, lay, outer, _, pitch, _, barrel, _, _ = (float(x) for x in v)
    angle = strand_lay_angle(max(lay / d, 2.0 * wires + 1e-6), wires)
    gap = barrel_gap(max(barrel, 0.5), max(pitch / d, 0.05), wires) * d
    finished = math.nan if lengths is None else predicted("length", v, lengths, wires)
    even = evenness_of(outer, lay / d) if wires == 1 else 1.0
    return np.array([angle, gap if math.isfinite(gap) else pitch - d, even, finished])
