"""The main study: a recipe's shape, the wire it takes, its sizes, gaps and bends."""

from __future__ import annotations

from functools import lru_cache
from typing import ClassVar, Final

import numpy as np

import helix
from helix.findings import Finding, Judgement, judgement_of
from helix.geometry.joint.exit_choice import FAMILY, peak_curvature
from helix.model.joint.joint import Joint, build_joint, least_gap, shortened
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.bend_findings import bend_findings
from helix.studies.shape.bends import Strains, strains_of_wires, trusted_pieces, worst_bends
from helix.studies.shape.contact_lines import barrel_contact, exit_contact, opening_stands_off, twist_contact
from helix.studies.shape.cut_length import Cut, cut_lengths
from helix.studies.shape.joint_findings import joint_findings
from helix.studies.shape.outline import Counts, Finished, Outline, counts_of, finished_of
from helix.values import hidden, result

SCHEMA = 2
_KEPT: Final = 8  # joints whose answer is remembered: one command asks for it again and again
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
class WireShape:
    """One of the wires: what to cut of it, between what limits [mm], and its sections."""

    cut_mm: float
    low_mm: float
    high_mm: float
    sections: tuple[SectionRow, ...]


@result
class ShapeResult(Outline):
    """The answer for one recipe. ``cut`` is that of the wire, of the longer of two; ``wires`` has each. of_hold: what is found of its
    hold where another estimate than the usual one is to judge it, as that by own pieces."""

    rows_in: ClassVar = "sections"
    also: ClassVar = ("wire", "exit", "judgement", "sections")
    wires: tuple[WireShape, ...]
    cut: Cut
    contact: Contact
    clearance: Clearance
    exit_family: str = hidden()
    of_hold: tuple[Finding, ...] | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def sections(self) -> tuple[SectionRow, ...]:
        """The sections of the wire, of the first of two."""
        return self.wires[0].sections

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
        from helix.studies.hold.hold_findings import advise_turns
        from helix.studies.hold.holding import found_of_hold

        held = found_of_hold(self.recipe) if self.of_hold is None else self.of_hold
        return judgement_of(advise_turns(self.findings, held))


@lru_cache(maxsize=_KEPT)
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
    bend_strains = strains_of_wires(joint, short)
    gap, between = least_gap(short)
    bends = worst_bends(joint, bend_strains)
    each = list(zip(joint.wires, bend_strains, strict=True))
    of_joint = joint_findings(joint, (gap.gap, between), max(own.of_section(wire, "eye") for wire, own in each))
    rows = [_sections(wire, own) for wire, own in each]
    cuts = cut_lengths(joint)
    return ShapeResult(
        recipe=recipe,
        joint=joint,
        counts=counts_of(joint),
        wires=tuple(
            WireShape(cut_mm=cut.total_mm, low_mm=cut.low_mm, high_mm=cut.high_mm, sections=own)
            for cut, own in zip(cuts, rows, strict=True)
        ),
        cut=max(cuts, key=lambda cut: cut.total_mm),
        finished=finished_of(joint, bend_strains),
        contact=_contact(joint),
        clearance=_clearance(joint, gap.gap, between, gap.bound, tuple(row for own in rows for row in own)),
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
    on_core, on_wrap = barrel_contact(sizes)
    tag = sum(exit_contact(wire.layout) for wire in joint.wires)
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
