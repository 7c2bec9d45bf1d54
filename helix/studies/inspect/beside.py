"""Each reading beside what it would be on the joint that was to be made, and how grave the difference is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.measured.readings import ANGLES, LENGTHS, Reading
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.inspect.inspection_result import Inspection, Undrawn
from helix.studies.inspect.made_joint import (
    BARREL_SD,
    OUTER_SD,
    WIRE_SD,
    finished_slack,
    lengths_of,
    predicted,
    values_of,
)
from helix.studies.shape.outline import Outline
from helix.values import result

_SAME: Final = 1e-3  # of a reading: what a search stops at
_TELLS: Final[Mapping[str, tuple[str, ...]]] = {
    "unwinds": ("turns",), "may-unwind": ("turns",), "wraps-only": ("turns",), "no-barrel": ("wraps",),
    "steep-first-bend": ("first_bend",), "spread-throat": ("first_bend",), "steep-exit": ("exit",),
    "over-twist": ("lay", "twist_length"), "tight-lay": ("lay", "twist_length"), "loose-lay": ("lay", "twist_length"),
    "uneven-twist": ("twist_diameter", "evenness"), "open-barrel": ("barrel_length",), "wraps-overlap": ("barrel_length",),
    "tight-eye": ("eye", "eye_length"),
}  # fmt: skip
"""What is found of a made joint, and the readings that tell it."""
_OFF: Final[Mapping[str, tuple[str, ...]]] = {
    "lay": ("lay", "twist_length"), "gap between wraps": ("barrel_length",), "eye": ("eye", "eye_length"),
    "finished length": ("length", "outside_length"),
}  # fmt: skip
"""The same of a size off the recipe, by its name."""


@result
class Beside:
    """A reading [mm, deg or turns] beside the intended joint's, and its severity: OK within what hands and reading allow."""

    name: str
    value: float
    intended: float
    severity: Severity


def intended_readings(outline: Outline) -> dict[str, float]:
    """What every reading would be on a recipe's own joint: mm, deg and turns; parts that it does not have are left out."""
    recipe = outline.recipe
    lengths, values = lengths_of(recipe), values_of(recipe)
    read = {"turns": recipe.twist.turns, "wraps": recipe.barrel.wraps}
    read |= {name: predicted(name, values, lengths, recipe.wire.count) for name in LENGTHS}
    bends = {bend.name: bend.visible_angle_deg for bend in outline.bends}
    for name, bend in zip(ANGLES, ("entry_tag", "exit_tag"), strict=True):
        if (seen := bends.get(bend)) is not None:
            read[name] = seen
    if not recipe.twist.turns:
        for name in ("lay", "twist_length", "twist_diameter"):
            del read[name]
    if not recipe.barrel.wraps:
        for name in ("barrel_length", "barrel_diameter", "exit"):
            read.pop(name, None)
    return read


def readings_beside(inspection: Inspection, intended: Mapping[str, float]) -> tuple[Beside, ...]:
    """Every reading beside the intended joint's.

    CAUTION where it lies further off than its own uncertainty and the recipe's tolerance allow, or is doubtful; more where the made joint
    has a finding that this reading tells.
    """
    slack = _slack(inspection.recipe)
    doubted = {doubt.name for doubt in inspection.doubts}
    rows = []
    for name, reading in inspection.readings.items():
        if name not in intended:
            continue
        off = abs(reading.value - intended[name])
        own = Severity.CAUTION if off > limits.SURE * reading.sd + slack.get(name, 0.0) else Severity.OK
        own = Severity.CAUTION if name in doubted else own
        told = (finding.severity for finding in inspection.whole.findings if name in _told_by(finding))
        severity = max((own, *told))
        rows.append(Beside(name=name, value=reading.value, intended=intended[name], severity=severity))
    return tuple(rows)


def undrawn_of(made: Outline, readings: Mapping[str, Reading], counted: bool = True) -> tuple[Undrawn, ...]:
    """Readings whose limits the joint as made lies outside of; counted: turns and wraps are the recipe's counts."""
    drawn = intended_readings(made)
    return tuple(
        Undrawn(reading=name, read=reading.value, drawn=drawn[name])
        for name, reading in readings.items()
        if name in drawn
        and (counted or name not in ("turns", "wraps"))
        and abs(reading.value - drawn[name]) > limits.SURE * reading.sd + _SAME * abs(reading.value)
    )


def _told_by(finding: Finding) -> tuple[str, ...]:
    """The readings that tell a finding."""
    if finding.code == "few":
        return tuple(name for name in ("turns", "wraps") if finding[f"few_{name}"])
    return _OFF.get(finding.place, ()) if finding.code == "off-recipe" else _TELLS.get(finding.code, ())


def _slack(recipe: Recipe) -> dict[str, float]:
    """How far a recipe's own tolerance may take each reading off."""
    d, slack, twist, barrel = recipe.wire.diameter_mm, recipe.tolerance, recipe.twist, recipe.barrel
    return {
        "turns": slack.turns,
        "wraps": slack.wraps,
        "wire": limits.SURE * WIRE_SD * d,
        "lay": slack.lay_mm,
        "twist_length": twist.turns * slack.lay_mm,
        "twist_diameter": limits.SURE * 2.0 * OUTER_SD * d,
        "barrel_length": barrel.wraps * slack.wrap_gap_mm,
        "barrel_diameter": limits.SURE * 2.0 * BARREL_SD * d,
        "eye": slack.pin_mm,
        "eye_length": slack.pin_mm,
        "length": finished_slack(recipe),
        "outside_length": finished_slack(recipe),
    }
