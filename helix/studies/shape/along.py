"""What holds at each place along the wire: its strain, what is wrong there, where it overlaps."""

from __future__ import annotations

import numpy as np

from helix.findings import Finding, Severity
from helix.geometry.maths.jets import Array
from helix.geometry.wire.distance import SKIP
from helix.geometry.wire.frames import gauge_curvature
from helix.geometry.wire.path import Path
from helix.mechanics import limits
from helix.model.joint.joint import Joint
from helix.model.joint.section_names import SECTIONS
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.bends import wound_along
from helix.studies.shape.joint_findings import OPEN_LAY
from helix.studies.shape.outline import Draft, Outline
from helix.studies.shape.shape import ShapeResult
from helix.values import result

STEP_D = 0.02  # spacing of the samples where the wire is bent [d]
_STRAIGHT_STEP_D = 0.5
_LOOK_D = 0.05  # spacing at which overlaps are looked for [d]
_CLEAR_D = 1e-3  # an overlap less deep than this is not shown: it is below what samples can tell [d]


@result
class StrainAlong:
    """Outer-fibre strain averaged over half a wire diameter, at arc lengths s_d (n,) in wire diameters."""

    s_d: Array
    strain: Array

    def at(self, s_d: Array) -> Array:
        """The strain at other arc lengths (m,)."""
        return np.interp(s_d, self.s_d, self.strain)


def strain_along(path: Path) -> StrainAlong:
    """The strain along a wire; the same average, limits and assumption as in the verdict on a bend.

    >>> from helix.geometry.wire.curves import Strand
    >>> from helix.geometry.wire.path import CurvePiece
    >>> coil = Path((CurvePiece("barrel", Strand((1.0,), (6.0,), 0.0, 0.0, 4.0)),))
    >>> round(float(strain_along(coil).strain.max()), 3)
    0.486
    """
    samples = path.sample(STEP_D, _STRAIGHT_STEP_D)
    mean = gauge_curvature(samples.s, samples.points, samples.tangents, samples.curvature, limits.GAUGE_D)
    return StrainAlong(s_d=samples.s, strain=mean / 2.0)


def strain_of(outline: Outline) -> StrainAlong:
    """The strain along a joint's wire, of its first bends as they were wound; of a draft, what is known already."""
    joint = outline.joint
    if len(joint.wires) > 1:  # one after the other
        each = [_strain_of_wire(wire.layout.path, wire) for wire in joint.wires]
        starts = joint.wire_starts_d
        return StrainAlong(
            s_d=np.concatenate([own.s_d + start for own, start in zip(each, starts, strict=True)]),
            strain=np.concatenate([own.strain for own in each]),
        )
    path = joint.layout.path
    if isinstance(outline, Draft):
        samples, short = outline.strains.samples, outline.strains.layout.path
        into = (samples.s - short.starts[samples.piece]) * (path.lengths / short.lengths)[samples.piece]
        drawn = StrainAlong(s_d=path.starts[samples.piece] + into, strain=outline.strains.strain)
        return _as_wound(drawn, path, joint)
    return _strain_of_wire(path, joint)


def _strain_of_wire(path: Path, joint: Joint) -> StrainAlong:
    return _as_wound(strain_along(path), path, joint)


def _as_wound(drawn: StrainAlong, path: Path, joint: Joint) -> StrainAlong:
    """The strain, of the first bends as they were wound."""
    pieces = np.searchsorted(path.starts[1:-1], drawn.s_d, side="right")
    sections = np.array([piece.section for piece in path.pieces])[pieces]
    return StrainAlong(s_d=drawn.s_d, strain=np.maximum(drawn.strain, wound_along(joint, sections)))


def eye_strain(result: ShapeResult) -> float:
    """The strain that the eye bends its wire to; of two wires, the harder bent one's."""
    return max(row.gauge_strain for wire in result.wires for row in wire.sections if row.name == "eye")


def severities(result: Outline) -> dict[str, Severity]:
    """The most severe verdict on each section; notes do not count.

    A finding counts for the wire that is to blame: of an uneven twist the tag, of any other fault of the twist both
    legs, one that is too open to hold as well; of a barrel of the wrong hand the barrel and the tag on its way there. Of turns or wraps that are missing no wire is.
    """
    worst = dict.fromkeys(SECTIONS, Severity.OK)
    held = (finding for finding in result.judgement.findings if finding not in result.findings)
    blamed: list[tuple[tuple[str, ...], Severity]] = [
        *(((bend.name,), bend.severity) for bend in result.bends if bend.length_d > 0.0),
        *((_blamed(finding), finding.severity) for finding in result.findings if not bends_of(finding)),
        *((_blamed(finding), finding.severity) for finding in held if finding.remedy in OPEN_LAY),
    ]
    for sections, severity in blamed:
        for section in sections:
            if section in worst and severity >= Severity.CAUTION:
                worst[section] = max(worst[section], severity)
    return worst


def _blamed(finding: Finding) -> tuple[str, ...]:
    """The sections that a finding blames; none for an overlap, which has its own stretches, nor for what is not there."""
    match finding.code:
        case "overlap" | "wraps-overlap" | "few" | "no-barrel" | "wraps-only":
            return ()
        case "opposite-hand":
            return finding.place, "barrel"
        case "uneven-twist":
            return (finding.place,)
    twist = ("twist_standing", "twist_tag")
    return twist if finding.place in twist else (finding.place,)


def overlaps_along(result: Outline) -> list[tuple[float, float]]:
    """The stretches of wire that lie in another part of it, as pairs of arc lengths [d].

    None where it is sound, nor in a draft.
    """
    if not isinstance(result, ShapeResult) or result.clearance.least_d >= -max(limits.OVERLAP_D, _CLEAR_D):
        return []
    from scipy.spatial import cKDTree

    joint = result.joint
    each = [path.sample(_LOOK_D, _STRAIGHT_STEP_D) for path in joint.layout.paths]
    s = np.concatenate([own.s + start for own, start in zip(each, joint.wire_starts_d, strict=True)])
    points = np.concatenate([own.points for own in each])
    pairs = cKDTree(points).query_pairs(1.0 - _CLEAR_D, output_type="ndarray")
    pairs = pairs[np.abs(s[pairs[:, 0]] - s[pairs[:, 1]]) > SKIP]
    rows = np.unique(pairs)
    if rows.size == 0:
        return []
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    half = _LOOK_D / 2.0
    return [(float(s[run[0]]) - half, float(s[run[-1]]) + half) for run in runs]
