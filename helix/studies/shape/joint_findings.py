"""What is found of a joint besides its bends, as data: over-twist, loose twist, open barrel, overlap, few turns.

Words for every code are in helix.output.words.findings.finding_words, what cures it in helix.studies.shape.remedies.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from helix.findings import Finding, Severity
from helix.geometry.twist.packing import zero_twist
from helix.mechanics import limits
from helix.mechanics.bends.bend_strain import strain_severity
from helix.model.joint.joint import Joint
from helix.model.joint.section_names import part_name
from helix.model.recipe.recipe_keys import DOUBLED_LAY_D
from helix.studies.shape.bend_findings import gradual_exit, has_own_exit, too_tight
from helix.values import Scalar, Values

OPEN_LAY: Final = frozenset({"usual-lay", "turns-and-lay"})
"""Remedies of what is found of a lay that is too long."""
NOTE, CAUTION, FAULT = Severity.NOTE, Severity.CAUTION, Severity.FAULT


def joint_findings(joint: Joint, nearest: tuple[float, tuple[str, str]] | None, eye_strain: float) -> Iterator[Finding]:
    """All that is found of a joint but its bends.

    nearest: least gap [d] and the two sections that it is between; None where it was not looked for.
    """
    if nearest:
        yield from _overlap(joint, *nearest)
    yield from _lift_off(joint)
    yield from _twist(joint)
    yield from _barrel(joint)
    yield from _counts(joint)
    yield from _eye(eye_strain)
    yield from _wire(joint)
    for note in joint.recipe.notes:
        if note.code != "rated-above-nominal":  # found of the wire itself
            yield note


def _finding(code: str, severity: Severity, place: str, remedy: str, **values: Scalar) -> Finding:
    return Finding(code=code, severity=severity, place=place, values=Values(**values), remedy=remedy)


def _overlap(joint: Joint, gap: float, between: tuple[str, str]) -> Iterator[Finding]:
    if gap < -limits.OVERLAP_D:
        wraps = between == ("barrel", "barrel")
        code, (remedy, advised) = (
            ("wraps-overlap", ("touching-pitch", {})) if wraps else ("overlap", _room(joint, between))
        )
        yield _finding(code, FAULT, between[1], remedy, overlap_d=-gap, overlap_mm=-gap * joint.diameter_mm,
                       touching_pitch_d=joint.layout.sizes.touching_pitch, of=between[1], within=between[0],
                       **advised)  # fmt: skip


def _room(joint: Joint, between: tuple[str, str]) -> tuple[str, dict[str, Scalar]]:
    """Advice for parts that press, and its numbers: whatever of them is not as the twist would have it; else a longer lay."""
    parts, recipe = {part_name(name) for name in between}, joint.recipe
    if not too_tight(joint):
        if parts & {"exit", "barrel", "stub"} and has_own_exit(joint) and recipe.wire.count == 1:
            return gradual_exit(joint)
        if parts & {"entry", "eye"} and (recipe.eye.throat_rad is not None or recipe.entry.radius_mm is not None):
            throats = joint.layout.sizes.tag_throat, joint.layout.sizes.standing_throat
            return "own-angle", {"own_deg": float(np.rad2deg(sum(leg.lay for leg in throats)))}
    return "open-what-presses", {}


def _lift_off(joint: Joint) -> Iterator[Finding]:
    plan = joint.layout.planned.plan
    if plan.lift > limits.LIFT_OFF_D:
        yield _finding("lift-off", CAUTION, "exit_tag", "longer-leg", lift_d=plan.lift)
    if plan.bulge > limits.LIFT_OFF_D:
        yield _finding("legs-apart", NOTE, "exit_tag", "longer-lay", apart_d=2.0 * plan.bulge)


def _twist(joint: Joint) -> Iterator[Finding]:
    twist, sizes = joint.recipe.twist, joint.layout.sizes
    if twist.turns == 0.0:
        yield _finding("wraps-only", FAULT, "barrel", "twist-first", wraps=sizes.wraps)
        return
    least = zero_twist(2 * sizes.count).lay
    advised: dict[str, Scalar] = (
        {} if sizes.count == 1 else dict.fromkeys(("sound_lay_d", "usual_lay_d"), DOUBLED_LAY_D)
    )
    if sizes.lay < least and twist.evenness == 1.0:
        yield _finding("over-twist", FAULT, "twist_tag", "sound-lay", lay_d=sizes.lay, limit_d=least, **advised)
    elif sizes.count == 1 and sizes.standing_radius + sizes.tag_radius > 1.0 + 1e-12:
        yield _finding("tight-lay", CAUTION, "twist_tag", "sound-lay", lay_d=sizes.lay, limit_d=np.pi)
    loose = limits.LOOSE_LAY if sizes.count == 1 else limits.LOOSE_LAY_TWO
    if sizes.lay > loose:
        yield _finding("loose-lay", FAULT, "twist_tag", "usual-lay", lay_d=sizes.lay, limit_d=loose, **advised)
    if twist.evenness < limits.EVEN:
        ratio = joint.section_mm("twist_tag") / joint.section_mm("twist_standing")
        severity = FAULT if twist.evenness < limits.UNEVEN else CAUTION
        yield _finding("uneven-twist", severity, "twist_tag", "turn-both", wire_ratio=ratio, evenness=twist.evenness)


def _barrel(joint: Joint) -> Iterator[Finding]:
    sizes, d = joint.layout.sizes, joint.diameter_mm
    if sizes.wraps == 0.0:
        yield _finding("no-barrel", FAULT, "exit_tag", "add-barrel")
        return
    gap = sizes.wrap_gap
    if gap > limits.OPEN_GAP_D:
        within = gap <= sizes.pitch_slack
        yield _finding("open-barrel", NOTE if within else FAULT, "barrel", "wind-touching", gap_d=gap, gap_mm=gap * d,
                       within_tolerance=within)  # fmt: skip
    if sizes.barrel_sign < 0.0:
        lay, wound = sizes.tag_throat.lay, sizes.barrel_lay
        turns = {name: float(np.rad2deg(abs(wound + sign * lay))) for name, sign in (("turn_deg", 1), ("same_deg", -1))}
        yield _finding("opposite-hand", FAULT, "exit_tag", "same-hand", hand=joint.recipe.twist.hand, **turns)


def _counts(joint: Joint) -> Iterator[Finding]:
    sizes, slack = joint.layout.sizes, joint.recipe.tolerance
    turns, wraps = sizes.turns, sizes.wraps
    few_turns, few_wraps = 0.0 < turns < limits.FEW - slack.turns, 0.0 < wraps < limits.FEW - slack.wraps
    if few_turns or few_wraps:
        remedy = "add-turns-first" if few_turns and few_wraps else "add-turns" if few_turns else "add-wraps"
        at_fault = 0.0 < turns <= limits.VERY_FEW or 0.0 < wraps < limits.HINGE_WRAPS - slack.wraps
        severity = FAULT if at_fault else CAUTION
        place = "twist_tag" if few_turns else "barrel"
        yield _finding("few", severity, place, remedy, turns=turns, wraps=wraps, few_turns=few_turns,
                       few_wraps=few_wraps, usual=limits.FEW)  # fmt: skip
    if turns >= limits.MANY:
        yield _finding(
            "many", NOTE, "twist_tag", "count-crossings", turns=turns, crossings=2.0 * turns, usual=limits.FEW
        )


def _wire(joint: Joint) -> Iterator[Finding]:
    low, nominal, _ = joint.recipe.wire.breaking_load_n
    rated = joint.recipe.wire.rated_load_n
    if rated is not None and rated > nominal:
        yield _finding("rated-above-breaking", FAULT, "standing", "check-rating", rated_n=rated, breaking_n=nominal)
    elif rated is not None and rated > low:
        yield _finding("rated-above-least", CAUTION, "standing", "check-rating-or-test", rated_n=rated, breaking_n=low)


def _eye(strain: float) -> Iterator[Finding]:
    severity = strain_severity(strain)
    if severity:
        worst = FAULT if severity is Severity.SHARP else CAUTION
        yield _finding("tight-eye", worst, "eye", "larger-pin", strain=strain, limit=limits.STRAIN_OK)
