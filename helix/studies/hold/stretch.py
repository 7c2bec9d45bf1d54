"""How much a joint lengthens under load, so that a finished length under working load can be stated."""

from __future__ import annotations

import math
from typing import ClassVar

import numpy as np

import helix
from helix.errors import ValidationError, argument_issue
from helix.findings import Finding
from helix.geometry.twist.helices import helix_curvature
from helix.mechanics.contact import line_depth
from helix.mechanics.lengthening import POISSON, axial_stretch, bending_stretch, pair_compliance, twist_strain
from helix.mechanics.tag_tension import leg_contact, tag_tension_linear, throat_tension
from helix.model.joint.joint import Joint
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.hold_result import SCHEMA, Band, HoldResult
from helix.studies.shape.shape import ShapeResult
from helix.values import Result, hidden, result

POINTS = 6


@result
class StretchPart:
    """One part of the joint: elastic stretch at the load."""

    part: str
    stretch_mm: float


@result
class StretchAt:
    """Stretch of the joint at one load."""

    load_n: float
    stretch_mm: Band


@result
class StretchResult(Result):
    """Stretch at one load. joint_stretch_mm: of the joint alone, eye to last wrap: low (legs share evenly, nothing
    closes up), nominal, high (legs bed into each other on this first load, and the exit straightens).
    standing_stretch_mm: of the standing leg that the recipe has. Lengths run from the eye's bearing point to the last
    wrap. curve: up to the load. hold_n: nominal, nan where no model says.
    """

    rows_in: ClassVar = "curve"
    recipe: Recipe
    load_n: float
    joint_stretch_mm: Band
    standing_stretch_mm: float
    length_unloaded_mm: float
    length_under_load_mm: Band
    parts: tuple[StretchPart, ...]
    curve: tuple[StretchAt, ...]
    hold_n: float = hidden()
    of_hold: tuple[Finding, ...] | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__


def stretch(shape: ShapeResult, hold: HoldResult, load_n: float) -> StretchResult:
    """The stretch of a joint at a load [N].

    Raises ValidationError for a load that is not above 0, or above the breaking load of the straight wire.
    """
    check_one_wire(shape.recipe, "stretch-of-two")
    most = hold.wire.breaking_load_n.high
    if not 0.0 < load_n <= most:
        wanted = f"must be above 0 and at most {most:.0f} N, where the wire breaks; got {load_n:.6g} N"
        raise ValidationError([argument_issue("load", wanted)])
    joint = shape.joint
    parts = _elastic(joint, hold, load_n)
    band = _band(joint, hold, load_n)
    length = shape.finished.length_mm
    loads = np.linspace(load_n / POINTS, load_n, POINTS)
    curve = tuple(StretchAt(load_n=float(load), stretch_mm=_band(joint, hold, float(load))) for load in loads)
    return StretchResult(
        recipe=joint.recipe,
        load_n=load_n,
        parts=parts,
        joint_stretch_mm=band,
        length_unloaded_mm=length,
        standing_stretch_mm=_per_load(joint, load_n) * joint.section_mm("standing"),
        length_under_load_mm=Band(low=length + band.low, nominal=length + band.nominal, high=length + band.high),
        curve=curve,
        hold_n=hold.hold_n.nominal,
    )


def _per_load(joint: Joint, load_n: float) -> float:
    """Strain of the straight wire under that load."""
    wire = joint.recipe.wire
    return load_n / (wire.modulus_mpa * wire.area_mm2)


def _elastic(joint: Joint, hold: HoldResult, load_n: float) -> tuple[StretchPart, ...]:
    unit = _per_load(joint, load_n)
    leg = next((bend.load_proportion for bend in hold.breaks if bend.place == "eye"), 0.5)
    eye = sum(joint.section_mm(name) for name in ("eye", "entry_tag", "entry_standing"))
    parts = [
        StretchPart(part="eye", stretch_mm=unit * float(axial_stretch([leg], [eye]))),
        StretchPart(part="twist", stretch_mm=unit * _twist(joint, hold)),
        StretchPart(part="exit", stretch_mm=unit * joint.section_mm("exit_standing")),
        StretchPart(part="core of the barrel", stretch_mm=unit * joint.section_mm("barrel_core")),
    ]
    return tuple(part for part in parts if part.stretch_mm > 0.0)


def _twist(joint: Joint, hold: HoldResult) -> float:
    """Stretch of the twist over F/(E A), the tag's tension falling by model L [mm]."""
    sizes = joint.layout.sizes
    if not sizes.turns:
        return 0.0
    lay = 0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay)
    number = hold.setting.calibration.numbers.get("L")
    made = np.linspace(0.0, sizes.turns, 401)
    tag = tag_tension_linear(made, number.value if number else 0.0, lay)
    other = 2.0 * float(throat_tension(lay)) - tag
    wire = joint.section_mm("twist_tag") / made.size
    return float(axial_stretch(tag, np.full(made.size, wire)) + axial_stretch(other, np.full(made.size, wire)))


def _band(joint: Joint, hold: HoldResult, load_n: float) -> Band:
    sizes, d = joint.layout.sizes, joint.diameter_mm
    unit = _per_load(joint, load_n)
    nominal = sum(part.stretch_mm for part in _elastic(joint, hold, load_n))
    high = nominal + unit * _exit_bending(joint)
    low = nominal
    if sizes.turns:
        lay = 0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay)
        length = sizes.turns * sizes.lay * d
        even = unit * float(pair_compliance(lay)) * length
        low = nominal - max(unit * _twist(joint, hold) - even, 0.0)
        # the wire gets thinner as it stretches, and the legs flatten where they press: both let the lay close up
        wire_strain = unit * float(throat_tension(lay))
        nominal += length * float(twist_strain(0.0, lay, -POISSON * wire_strain))
        high += length * float(twist_strain(0.0, lay, -POISSON * wire_strain - _flattening(joint, hold, load_n, lay)))
    return Band(low=low, nominal=nominal, high=max(high, nominal))


def _flattening(joint: Joint, hold: HoldResult, load_n: float, lay: float) -> float:
    """Loss of the twist's radius, over the radius, where the legs flatten each other for the first time."""
    d, lay_d = joint.diameter_mm, joint.layout.sizes.lay
    press = float(leg_contact(helix_curvature(0.5, lay_d), lay)) * load_n / d / math.cos(lay)
    flow = hold.setting.scatter.flow[1] * joint.recipe.wire.strength_mpa[1]
    across = d / (4.0 * math.cos(lay) ** 2)
    return float(line_depth(press, flow, across)) / (0.5 * d)


def _exit_bending(joint: Joint) -> float:
    """Stretch over F/(E A) if the standing leg's exit bent straight as a beam beside its line of pull [mm]."""
    if joint.section_mm("exit_standing") == 0.0:
        return 0.0
    line = joint.sample(0.05, 1.0)
    here = line.section == joint.section_names.index("exit_standing")
    points, s = line.points_mm[here], line.s_mm[here]
    offset = np.hypot(points[:, 0], points[:, 1])
    lengths = np.gradient(s) if s.size > 1 else np.zeros(s.size)
    return float(bending_stretch(offset, lengths, joint.diameter_mm))
