"""The main study: a recipe's shape, the wire it takes, its sizes, gaps and bends."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

import helix
from helix.findings import Judgement, judgement_of
from helix.geometry.joint.exit_choice import FAMILY, peak_curvature
from helix.geometry.twist.strands import (
    coil_contact_angle,
    coil_core_contact_length,
    coil_gap,
    coil_turn_contact_length,
)
from helix.model.joint.joint import Joint, build_joint, least_gap, shortened
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.bend_findings import bend_findings
from helix.studies.shape.bends import Strains, four_bends, strains, trusted_pieces
from helix.studies.shape.contact_lines import exit_contact, opening_stands_off, twist_contact
from helix.studies.shape.cut_length import Cut, cut_length
from helix.studies.shape.joint_findings import joint_findings
from helix.studies.shape.outline import Counts, Finished, Outline, counts_of, finished_of
from helix.values import hidden, result

SCHEMA = 2
__all__ = ["Clearance", "Contact", "Counts", "Finished", "SectionRow", "ShapeResult", "shape"]


@result
class SectionRow:
    """One section: wire and axial length [mm], smallest radius [d], strains, lay angle [deg].

    ``max_strain`` is d/(2 R) at the smallest radius, ``gauge_strain`` the same averaged over half a
    diameter, at most the former: the one that is judged, and that bends, hold and pictures show. Of a first bend both are
    at least those that the first turn was wound with. None where the wire is straight (radius) or the lay is not one number (lay). Of a tag that
    overlaps the leg only the swing on the straight leg counts for radius and strains.
    """

    name: str
    wire_mm: float
    axial_mm: float
    min_bend_radius_d: float | None
    max_strain: float
    gauge_strain: float
    lay_deg: float | None


@result
class Contact:
    """Length of the lines of contact [mm]: legs in the even twist, barrel on core, wrap on wrap.

    ``tag_on_leg_mm`` is the exit's share: tag riding on the leg, swinging on it, and what touches yet where a tight lay
    is opened.
    """

    leg_on_leg_mm: float
    wrap_on_core_mm: float
    wrap_on_wrap_mm: float
    tag_on_leg_mm: float


@result
class Clearance:
    """Gaps in wire diameters: the least of all (negative = overlap), between which sections.

    ``bound_d``: how far the true least may lie below it between samples. ``curvature_limited_d``:
    smallest bend radius less half a diameter (the wire folds below 0). ``lift_off_d``: how far the tag
    stands off the leg at most. ``reach_d``: the thickest radius this centre line could carry.
    """

    least_d: float
    between: tuple[str, str]
    bound_d: float
    curvature_limited_d: float
    lift_off_d: float
    reach_d: float


@result
class BreakingLoads:
    """The straight wire: its diameter, and its breaking load at the lowest, the nominal and the highest strength."""

    diameter_mm: float
    breaking_load_low_n: float
    breaking_load_n: float
    breaking_load_high_n: float


@result
class ExitUsed:
    """The exit's style, and the family of exits that is searched."""

    style: str
    family: str


@result
class ShapeResult(Outline):
    """The answer for one recipe."""

    rows_in: ClassVar = "sections"
    also: ClassVar = ("wire", "exit", "judgement")
    sections: tuple[SectionRow, ...]
    cut: Cut
    contact: Contact
    clearance: Clearance
    exit_family: str = hidden()
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def wire(self) -> BreakingLoads:
        """What the straight wire breaks at."""
        low, nominal, high = self.recipe.wire.breaking_load_n
        return BreakingLoads(
            diameter_mm=self.recipe.wire.diameter_mm,
            breaking_load_low_n=low,
            breaking_load_n=nominal,
            breaking_load_high_n=high,
        )

    @property
    def exit(self) -> ExitUsed:
        """How the tag leaves the twist."""
        return ExitUsed(style=self.recipe.exit.style, family=self.exit_family)

    @property
    def judgement(self) -> Judgement:
        """The one verdict on the joint, by its shape, its hold and its counts."""
        from helix.studies.hold.holding import found_of_hold

        return judgement_of((*self.findings, *found_of_hold(self.recipe)))


def shape(recipe: Recipe) -> ShapeResult:
    """The shape of a recipe's joint and all that follows from it.

    Raises InfeasibleJointError where the joint cannot exist.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> result = shape(recipe_from_text(text))
    >>> round(result.cut.total_mm), result.judgement.severity.word
    (460, 'ok')
    """
    joint = build_joint(recipe)
    short = shortened(joint)
    bend_strains = strains(joint, short)
    gap, between = least_gap(short)
    bends = four_bends(joint, bend_strains)
    of_joint = joint_findings(joint, (gap.gap, between), bend_strains.of_section(joint, "eye"))
    rows = _sections(joint, bend_strains)
    return ShapeResult(
        recipe=recipe,
        joint=joint,
        counts=counts_of(joint),
        sections=rows,
        cut=cut_length(joint),
        finished=finished_of(joint, bend_strains),
        contact=_contact(joint),
        clearance=_clearance(joint, gap.gap, between, gap.bound, rows),
        bends=bends,
        findings=(*bend_findings(joint, bends), *of_joint),
        exit_family=FAMILY,
    )


def _sections(joint: Joint, strains: Strains) -> tuple[SectionRow, ...]:
    d, sizes = joint.diameter_mm, joint.layout.sizes
    lays = {
        "standing": 0.0,
        "barrel_core": 0.0,
        "twist_standing": np.rad2deg(sizes.standing_throat.lay),
        "twist_tag": np.rad2deg(sizes.tag_throat.lay),
        "barrel": np.rad2deg(sizes.barrel_lay),
    }
    rows = []
    for name in SECTIONS:
        curves = [p.curve for p in joint.layout.path.pieces if p.section == name]
        if not curves:
            rows.append(
                SectionRow(
                    name=name,
                    wire_mm=0.0,
                    axial_mm=0.0,
                    min_bend_radius_d=None,
                    max_strain=0.0,
                    gauge_strain=0.0,
                    lay_deg=None,
                )
            )
            continue
        pieces = trusted_pieces(joint, strains.layout, name)
        peaks = (peak_curvature(strains.layout.path.pieces[k].curve) for k in pieces)
        peak = max(peaks, default=0.0)
        heights = np.concatenate([c.jets(np.linspace(0.0, c.span, 65), 0)[2].c[0] for c in curves])
        peak = max(peak, 2.0 * strains.wound.get(name, 0.0))
        rows.append(
            SectionRow(
                name=name,
                wire_mm=joint.section_mm(name),
                axial_mm=float(np.ptp(heights)) * d,
                min_bend_radius_d=1.0 / peak if peak > 1e-12 else None,
                max_strain=peak / 2.0,
                gauge_strain=strains.of_section(joint, name),
                lay_deg=float(lays[name]) if name in lays else None,
            )
        )
    return tuple(rows)


def _contact(joint: Joint) -> Contact:
    d, sizes = joint.diameter_mm, joint.layout.sizes
    on_core = coil_core_contact_length(1.0, sizes.pitch) * sizes.wraps
    on_wrap = 0.0
    if sizes.wraps and abs(coil_gap(1.0, sizes.pitch)) < 1e-9:
        pairs = sizes.wraps - 1.0 + coil_contact_angle(1.0, sizes.pitch) / (2.0 * np.pi)
        on_wrap = coil_turn_contact_length(1.0, sizes.pitch) * max(pairs, 0.0)
    tag = exit_contact(joint.layout)
    return Contact(
        leg_on_leg_mm=twist_contact(sizes) * d,
        wrap_on_core_mm=on_core * d,
        wrap_on_wrap_mm=on_wrap * d,
        tag_on_leg_mm=tag * d,
    )


def _clearance(
    joint: Joint, gap: float, between: tuple[str, str], bound: float, rows: tuple[SectionRow, ...]
) -> Clearance:
    plan = joint.layout.planned.plan
    radius = min((r.min_bend_radius_d for r in rows if r.min_bend_radius_d is not None), default=np.inf)
    return Clearance(
        least_d=0.0 if abs(gap) < 1e-12 else gap,
        between=between,
        bound_d=bound,
        curvature_limited_d=float(radius) - 0.5,
        lift_off_d=max(plan.lift, opening_stands_off(joint.layout)),
        reach_d=float(min(radius, (1.0 + gap) / 2.0)),
    )
