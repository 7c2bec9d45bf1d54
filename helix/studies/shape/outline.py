"""A joint's outline: what is needed to draw and judge it, and no more; cheap enough to follow a hand."""

from __future__ import annotations

import numpy as np

from helix.findings import Finding, Judgement, judgement_of
from helix.mechanics.bends.bending import sprung_radius
from helix.model.joint.joint import CentreLine, Joint, build_joint, shortened
from helix.model.joint.joint_curves import Layout
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.bend_findings import bend_findings
from helix.studies.shape.bends import Bend, Strains, strains_of_wires, worst_bends
from helix.studies.shape.joint_findings import joint_findings
from helix.values import Result, hidden, result

DRAFT_STEP = 0.05  # spacing of a draft's samples [d]
_MOST_STRAIGHT = 10_000  # samples of a long joint's straight parts, at most
LONGEST_DRAFT_D = 1000.0  # of a longer joint's twist and barrel a draft looks at three turns [d]


@result
class Counts:
    """Turns of 360 deg: even turns, the exit's rotation, wraps, and their sum.

    ``swing`` is all of the tag's rotation between the last even turn and the first wrap; of it,
    ``swing_after_leg`` is made on the straight leg. ``wraps_from_bend`` is what a rigger counts who
    starts at the bend. ``crossings`` are half turns of the twist.
    """

    turns: float
    swing: float
    swing_after_leg: float
    wraps: float
    total: float
    wraps_from_bend: float
    crossings: float


@result
class Finished:
    """Finished sizes [mm], as wound under load; ``sprung_`` ones after the wire is let go.

    length: from the eye's bearing point (inside of the bight) to the far face of the last wrap;
    overall: from the outside of the bight to the tip of all. Eye inside length: the hole as seen
    along the pin, from where the inner edges cross to the inside of the bight; crossing to bight: the
    same from where the centre lines cross. None: springs open without end (stays elastic).
    """

    length_mm: float
    overall_length_mm: float
    twist_diameter_mm: float | None
    barrel_diameter_mm: float | None
    eye_inside_length_mm: float
    eye_inside_width_mm: float
    eye_crossing_to_bight_mm: float
    widest_mm: float
    sprung_barrel_inside_mm: float | None
    sprung_barrel_diameter_mm: float | None
    sprung_eye_width_mm: float | None
    springback_assumes: str


@result
class Outline(Result):
    """A recipe's joint with its counts, sizes, bends and what is strains of its shape, bends first."""

    recipe: Recipe
    joint: Joint = hidden()
    counts: Counts
    finished: Finished
    bends: tuple[Bend, ...]
    findings: tuple[Finding, ...] = hidden()

    @property
    def judgement(self) -> Judgement:
        """The verdict by what is known here: of an outline, its shape alone."""
        return judgement_of(self.findings)


@result
class Draft(Outline):
    """An outline from coarse samples: its strains hold to a hundredth, and overlaps were not looked for.

    The cut holds to 0.01 d; only to 0.005 of it where an exit has to clear itself or a tight lay and is laid roughly
    (a peak angle is stated, or the lay is below about 3.4 d). strains: strain along the whole wire; cut_mm: the wire to
    cut, without its interval.
    """

    strains: Strains = hidden()
    cut_mm: float

    def line(self, step_d: float) -> CentreLine:
        """The centre line at those samples that are about a step apart, and at every join."""
        if self.strains.layout.sizes != self.joint.layout.sizes:
            return self.joint.sample(step_d, max(step_d, self.joint.own_d / _MOST_STRAIGHT))
        samples, d = self.strains.samples, self.joint.diameter_mm
        stretch = np.floor((samples.s - self.joint.layout.path.starts[samples.piece]) / step_d + 1e-9)
        first = (np.diff(samples.piece, prepend=-1) != 0) | (np.diff(stretch, prepend=-1.0) != 0.0)
        first[-1] = True
        sections = np.array([SECTIONS.index(piece.section) for piece in self.joint.layout.path.pieces])
        return CentreLine(
            s_mm=samples.s[first] * d,
            points_mm=samples.points[first] * d,
            tangents=samples.tangents[first],
            curvature_per_mm=np.linalg.norm(samples.curvature[first], axis=1) / d,
            curvature_vectors_per_mm=samples.curvature[first] / d,
            section=sections[samples.piece[first]],
        )


def draft(recipe: Recipe) -> Draft:
    """The joint of a recipe while a hand still changes it; :func:`helix.studies.shape.shape.shape` gives the answer.

    Raises InfeasibleJointError where the joint cannot exist.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> outline = draft(recipe_from_text(text))
    >>> round(outline.cut_mm), outline.judgement.code
    (460, 'ok')
    """
    joint = build_joint(recipe, checked=False)
    looked_at = joint.layout if joint.own_d <= LONGEST_DRAFT_D else shortened(joint)
    bend_strains = strains_of_wires(joint, looked_at, DRAFT_STEP)
    bends = worst_bends(joint, bend_strains)
    total = joint.wire_mm + recipe.finish.handle_mm
    eye_strain = max(each.of_section(wire, "eye") for wire, each in zip(joint.wires, bend_strains, strict=True))
    findings = (*bend_findings(joint, bends), *joint_findings(joint, None, eye_strain))
    return Draft(
        recipe=recipe,
        joint=joint,
        counts=counts_of(joint),
        finished=finished_of(joint, bend_strains),
        bends=bends,
        findings=findings,
        strains=bend_strains[0],
        cut_mm=total,
    )


def counts_of(joint: Joint) -> Counts:
    """The counts of a joint."""
    layout = joint.layout
    after = layout.swing_after_leg
    swing = abs(layout.exits.run_in_turn) / (2 * np.pi) + after
    turns, wraps = layout.sizes.turns, layout.sizes.wraps
    return Counts(
        turns=turns,
        swing=swing,
        swing_after_leg=after,
        wraps=wraps,
        total=turns + swing + wraps,
        wraps_from_bend=after + wraps,
        crossings=2.0 * turns,
    )


def finished_of(joint: Joint, strains: tuple[Strains, ...]) -> Finished:
    """Finished sizes of a joint, from the samples of each wire."""
    d, sizes, recipe = joint.diameter_mm, joint.layout.sizes, joint.recipe
    points = np.concatenate([each.samples.points for each in strains])
    sections = np.concatenate([each.sections for each in strains])
    half = joint.layout.eye.half
    bottom = joint.layout.eye.bottom + half - 0.5  # of the wire that touches the pin
    rise = joint.axial_d["top"] - _top(strains[0].layout)
    last = joint.axial_d["top"] + 0.5
    tip = max(float(points[np.isin(sections, ("stub", "exit_tag"))][:, 2].max(initial=-np.inf)) + rise, last - 0.5)
    width, spread = joint.layout.eye.width + 2.0 * half - 1.0, float(np.ptp(points[:, 0]))
    widest = spread if spread > width + 1e-3 else width  # a barrel beside a small eye, an eye to one side
    twisted, wrapped = sizes.turns > 0.0, sizes.wraps > 0.0
    flow = recipe.wire.strength_mpa[1]
    barrel = float(np.sin(sizes.barrel_lay) ** -2)  # of two wires that on the half circles
    opened = sprung_radius(barrel * d, d, flow, recipe.wire.modulus_mpa) / (barrel * d)
    eye_radius = joint.layout.eye.arc_radius + 0.5 - half
    inside = joint.layout.eye.width - 2.0 * half
    eye_opened = sprung_radius(eye_radius * d, d, flow, recipe.wire.modulus_mpa) * 2.0 - d
    return Finished(
        length_mm=(last - bottom - 0.5) * d,
        overall_length_mm=(tip + 0.5 - bottom + 2.0 * half - 0.5) * d,
        twist_diameter_mm=(2.0 * max(sizes.standing_radius, sizes.tag_radius) + 1.0) * d if twisted else None,
        barrel_diameter_mm=(2.0 + sizes.count) * d if wrapped else None,
        eye_inside_length_mm=(joint.layout.eye.apex - bottom - 0.5) * d,
        eye_inside_width_mm=inside * d,
        eye_crossing_to_bight_mm=(-bottom - 0.5) * d,
        widest_mm=(widest + 1.0) * d,
        sprung_barrel_inside_mm=(2.0 * opened + sizes.count - 2.0) * d if wrapped and np.isfinite(opened) else None,
        sprung_barrel_diameter_mm=(2.0 * opened + sizes.count) * d if wrapped and np.isfinite(opened) else None,
        sprung_eye_width_mm=max(float(eye_opened), inside * d) if np.isfinite(eye_opened) else None,
        springback_assumes=f"elastic, perfectly plastic round wire, flow stress {flow:.0f} MPa (nominal strength)",
    )


def _top(layout: Layout) -> float:
    return layout.exits.z_end + layout.sizes.wraps * layout.sizes.pitch
