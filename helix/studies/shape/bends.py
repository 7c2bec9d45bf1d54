"""The four bends of a joint: how far they turn, how sharply, whether they break the wire, what to do.

A bend is judged twice: by the strain of its outer fibre, averaged over half a wire diameter in the
rotation-minimising frame (the limits are the wrapping test's strain and an assumption, see
helix.mechanics.bend_strain), and by the angle that can be seen on the bench, which the trade limits to
90 deg (common practice, no source). Definitions: docs/theory/bends.md.
"""

from __future__ import annotations

from dataclasses import field
from functools import lru_cache

import numpy as np

from helix.findings import Severity
from helix.geometry.joint.exit_choice import peak_curvature
from helix.geometry.joint.exits import psi_rate
from helix.geometry.joint.eye import Throat
from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import CoreCoil, Strand, is_straight
from helix.geometry.wire.frames import gauge_curvature
from helix.geometry.wire.path import Samples
from helix.mechanics import limits
from helix.mechanics.bends.bend_strain import angle_severity, strain_severity
from helix.mechanics.bends.first_bend import WIDEST_RAD, wound_strain
from helix.model.joint.joint import Joint
from helix.model.joint.joint_curves import Layout
from helix.values import result

STEP = 0.01  # spacing of the samples for that average [d]
_NEAR_D = 8.0 * limits.GAUGE_D  # so far from their ends are long straight pieces sampled


@result
class Bend:
    """One bend. Angles in degrees, lengths and radii in wire diameters, place in mm.

    turn_deg: change of lay angle. visible_angle_deg: first bend, the angle between the two eye legs
    seen along the pin; tag's exit, the largest angle of the tag to the standing leg over the exit and
    the first wrap; standing exit, the same for the leg. min_radius_d: smallest centre-line radius,
    None where the wire is straight or the tag overlaps. length_d: wire in the bend. advance_deg:
    rotation round the joint axis over it. strain: outer fibre, averaged over half a diameter; of a first bend at least
    that at which hands wound the first turn (`as_wound`), and so its radius and the next.
    outer_fibre_strain: d/(2 R) at the smallest radius. severity: ok, caution or sharp. governing: the criterion that
    says so, "strain", "angle", "both", "overlap" or "hand" (of the barrel); "none" where it is ok.
    s_mm, point_mm: where it is sharpest.
    """

    name: str
    turn_deg: float
    visible_angle_deg: float
    min_radius_d: float | None
    length_d: float
    advance_deg: float
    strain: float
    outer_fibre_strain: float | None
    severity: Severity
    governing: str
    s_mm: float
    point_mm: tuple[float, float, float]


BENDS = ("entry_standing", "entry_tag", "exit_standing", "exit_tag")


@result
class Strains:
    """Samples of a shortened joint with the averaged strain at each (n,), as drawn; rough: so far apart that they only do
    for a draft. wound: least strain of each first bend, from the angle at which the first turn was wound (`as_wound`)."""

    layout: Layout
    samples: Samples
    sections: np.ndarray
    strain: Array
    wound: dict[str, float] = field(default_factory=dict)
    rough: bool = False

    def of_section(self, joint: Joint, name: str) -> float:
        """The averaged strain of a section, which every output shows: no more than its own sharpest place has, as the
        average reaches into the sections beside it; of a first bend no less than it was wound with. Of a tag that overlaps
        the leg only what can be trusted counts."""
        rows, pieces = _rows(self, name), trusted_pieces(joint, self.layout, name)
        if name == "exit_tag" and joint.layout.planned.overlaps:
            rows = rows[np.isin(self.samples.piece[rows], pieces)]
        mean = float(self.strain[rows].max(initial=0.0))
        return max(min(mean, 0.5 * self.peak_curvature(pieces)), self.wound.get(name, 0.0))

    def peak_curvature(self, pieces: list[int]) -> float:
        """The largest curvature in some pieces [1/d]; of a draft, at its samples."""
        if self.rough:
            rows = np.flatnonzero(np.isin(self.samples.piece, pieces))
            ends = np.minimum(rows + 1, len(self.samples.piece) - 1)  # a join's sample belongs to the next piece
            own = self.samples.curvature[np.union1d(rows, ends)]
            return float(np.sqrt(np.sum(own**2, axis=1).max(initial=0.0)))
        return max((peak_curvature(self.layout.path.pieces[k].curve) for k in pieces), default=0.0)


def strains_of_wires(joint: Joint, layout: Layout, step_d: float = STEP) -> tuple[Strains, ...]:
    """The strains along each wire of a joint."""
    return tuple(strains(wire, layout.of_wire(k), step_d) for k, wire in enumerate(joint.wires))


def worst_bends(joint: Joint, strains: tuple[Strains, ...]) -> tuple[Bend, ...]:
    """The four bends of a joint, of several wires each where it is most severe."""
    each = [four_bends(wire, of_wire) for wire, of_wire in zip(joint.wires, strains, strict=True)]
    return tuple(max(same, key=lambda bend: (bend.severity, bend.strain)) for same in zip(*each, strict=True))


@lru_cache(maxsize=4)
def strains(joint: Joint, layout: Layout, step_d: float = STEP) -> Strains:
    """Averaged outer-fibre strain along a joint's wire or that of its shortened layout, from samples so far apart [d]."""
    samples = layout.path.sample(step_d, straight_step=limits.GAUGE_D / 2.0, places=_near_bends(layout))
    mean = gauge_curvature(samples.s, samples.points, samples.tangents, samples.curvature, limits.GAUGE_D)
    names = np.array([p.section for p in layout.path.pieces])
    return Strains(
        layout=layout,
        samples=samples,
        sections=names[samples.piece],
        strain=mean / 2.0,
        wound=as_wound(joint),
        rough=step_d > STEP,
    )


def _near_bends(layout: Layout) -> dict[int, Array]:
    """Parameters of the samples of long straight pieces: near their ends, as nothing bends between."""
    near = np.linspace(0.0, _NEAR_D, round(2.0 * _NEAR_D / limits.GAUGE_D) + 1)
    path = layout.path
    return {
        k: np.concatenate([near, length - near[::-1]]) * (piece.curve.span / length)
        for k, (piece, length) in enumerate(zip(path.pieces, path.lengths.tolist(), strict=True))
        if length > 3.0 * _NEAR_D and is_straight(piece.curve)
    }


def wound_half_rad(joint: Joint) -> float | None:
    """Half the angle between the legs at which the first turn was wound; None where there is no twist.

    The throat's own, or the twist's where that is less and the legs were spread afterwards.
    """
    sizes = joint.layout.sizes
    if not sizes.turns:
        return None
    legs = sizes.tag_throat, sizes.standing_throat
    throat, twist = 0.5 * sum(leg.leg_angle for leg in legs), sizes.tangent_half
    return min(throat, twist) if joint.recipe.eye.throat_made == "spread" else throat


def as_wound(joint: Joint) -> dict[str, float]:
    """Least strain of each first bend: that of two touching legs wound at that angle, as it is to the twist's own.

    Beyond what was simulated that of the widest throat, as a lower bound.
    """
    half, legs = wound_half_rad(joint), (joint.layout.sizes.standing_throat, joint.layout.sizes.tag_throat)
    if half is None:
        return {}
    twist = joint.layout.sizes.tangent_half
    harder = float(wound_strain(min(half, WIDEST_RAD)) / wound_strain(min(twist, WIDEST_RAD)))
    return {name: 0.5 * leg.curvature * harder for name, leg in zip(("entry_standing", "entry_tag"), legs, strict=True)}


def wound_along(joint: Joint, sections: np.ndarray) -> Array:
    """That strain at samples whose sections are named (n,), 0 outside the first bends."""
    wound = np.zeros(sections.shape)
    for name, strain in as_wound(joint).items():
        wound[sections == name] = strain
    return wound


def four_bends(joint: Joint, strains: Strains) -> tuple[Bend, ...]:
    """entry_standing, entry_tag, exit_standing and exit_tag of a joint."""
    sizes, plan = joint.layout.sizes, joint.layout.planned.plan
    first = np.rad2deg(sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)
    twisted = sizes.turns > 0.0
    lay_s, lay_t = sizes.standing_throat.lay, sizes.tag_throat.lay
    ends = [s.lay_to for s in plan.swings]
    peak = max((abs(v) for v in ends), default=None)
    if peak is None:
        tag_turn = abs(_lay_after_run_in(joint) - lay_t) if twisted else 0.0
    elif ends[-1] < 0.0:
        tag_turn = lay_t + peak
    else:
        tag_turn = peak - lay_t
    return (
        _bend(joint, strains, BENDS[0], _entry_turn(sizes.standing_throat), first),
        _bend(joint, strains, BENDS[1], _entry_turn(sizes.tag_throat), first),
        _bend(joint, strains, BENDS[2], lay_s if twisted else 0.0, None),
        _bend(joint, strains, BENDS[3], tag_turn, None),
    )


def _entry_turn(throat: Throat) -> float:
    return max((abs(turn) for turn, _ in throat.bends), default=0.0)


def _lay_after_run_in(joint: Joint) -> float:
    end, plan = joint.layout.twist_end, joint.layout.planned.plan
    if plan.open_length:
        return float(np.arctan(psi_rate(plan.open_radii[0], plan.open_lay)))
    return float(np.arctan(psi_rate(end.standing_radius, end.lay)))


def _bend(joint: Joint, strains: Strains, name: str, turn: float, visible: float | None) -> Bend:
    samples, layout = strains.samples, strains.layout
    rows = _rows(strains, name)
    if rows.size == 0:
        return Bend(
            name=name, turn_deg=0.0, visible_angle_deg=0.0, min_radius_d=None, length_d=0.0, advance_deg=0.0, strain=0.0,
            outer_fibre_strain=0.0, severity=Severity.OK, governing="none", s_mm=0.0, point_mm=(0.0, 0.0, 0.0),
        )  # fmt: skip
    pieces = [k for k, p in enumerate(layout.path.pieces) if p.section == name]
    overlaps = name == "exit_tag" and joint.layout.planned.overlaps
    if overlaps:
        rows = rows[np.isin(samples.piece[rows], trusted_pieces(joint, layout, name))]
    if visible is None:
        visible = _largest_angle(strains, name, rows)
    strain, peak = _strain_and_peak(joint, strains, name, pieces)
    radius = None if overlaps or peak < 1e-12 else 1.0 / peak
    where = (
        int(rows[np.argmax(strains.strain[rows])]) if rows.size else int(np.flatnonzero(strains.sections == name)[0])
    )
    severity, governing = _judged(name, strain if overlaps else max(strain, _kinked(peak)), visible, overlaps, joint)
    place, s_mm = _place(joint, samples, where)
    return Bend(
        name=name,
        turn_deg=float(np.rad2deg(turn)),
        visible_angle_deg=float(visible),
        min_radius_d=radius,
        length_d=layout.path.section_length(name),
        advance_deg=_advance(joint, strains, name),
        strain=strain,
        outer_fibre_strain=None if overlaps else peak / 2.0,
        severity=severity,
        governing=governing,
        s_mm=s_mm,
        point_mm=place,
    )


def _strain_and_peak(joint: Joint, strains: Strains, name: str, pieces: list[int]) -> tuple[float, float]:
    """The averaged strain of a bend, and its sharpest curvature [1/d]."""
    peak = max(strains.peak_curvature(pieces), 2.0 * strains.wound.get(name, 0.0))
    return strains.of_section(joint, name), peak


def strains_of_bends(joint: Joint, strains: Strains) -> tuple[tuple[float, float], ...]:
    """Strain and outer-fibre strain of each of the four bends: what `four_bends` says of them, without the rest."""
    told = []
    for name in BENDS:
        pieces = [k for k, piece in enumerate(strains.layout.path.pieces) if piece.section == name]
        strain, peak = _strain_and_peak(joint, strains, name, pieces) if pieces else (0.0, 0.0)
        told.append((strain, 0.0 if name == "exit_tag" and joint.layout.planned.overlaps else peak / 2.0))
    return tuple(told)


def trusted_pieces(joint: Joint, layout: Layout, name: str) -> list[int]:
    """Pieces of a section whose shape can be trusted: of a tag that overlaps, its swing on the straight leg only.

    Where it rides through the leg the place it rides on folds over, and makes radii that are not there.
    """
    pieces = [k for k, p in enumerate(layout.path.pieces) if p.section == name]
    if name == "exit_tag" and joint.layout.planned.overlaps:
        return pieces[len(pieces) - len(joint.layout.planned.plan.swings) :]
    return pieces


def _largest_angle(strains: Strains, name: str, rows: np.ndarray) -> float:
    """Largest angle to the joint axis over some samples [deg]; for the tag's exit, first wrap included."""
    along = strains.samples.tangents[:, 2]
    if name == "exit_standing":
        along = -along  # the wire runs towards the eye here
    else:
        rows = np.concatenate([rows, np.flatnonzero(strains.sections == "barrel")])
    return float(np.rad2deg(np.arccos(np.clip(along[rows].min(initial=1.0), -1.0, 1.0))))


def _kinked(peak: float) -> float:
    """A strain that makes a kink at least a caution: a radius whose own strain is beyond the sharp limit.

    A kink shorter than the gauge length averages to little, yet the wire is damaged there. Below a radius of
    half a diameter the wire would fold into itself, which is sharp however short.
    """
    if peak / 2.0 > limits.FOLDED_STRAIN:
        return peak / 2.0
    return (limits.STRAIN_OK + limits.STRAIN_CAUTION) / 2.0 if peak / 2.0 > limits.STRAIN_CAUTION else 0.0


def _rows(strains: Strains, name: str) -> np.ndarray:
    """Samples of a section with the join at its far end (which is labelled as the next section)."""
    rows = np.flatnonzero(strains.sections == name)
    if rows.size and rows[-1] + 1 < strains.sections.size:
        rows = np.append(rows, rows[-1] + 1)
    return rows


def _advance(joint: Joint, strains: Strains, name: str) -> float:
    """Rotation round the joint axis over a section [deg]."""
    exits = joint.layout.exits
    if name == "exit_tag":
        if joint.layout.sizes.count > 1:
            return float(abs(np.rad2deg(exits.run_in_turn))) + 360.0 * joint.layout.swing_after_leg
        coils = (c.chi_end - c.chi0 for c in exits.tag if isinstance(c, CoreCoil))
        return float(abs(np.rad2deg(exits.run_in_turn + sum(coils))))
    if name == "exit_standing":
        return float(np.rad2deg(sum(c.theta_end - c.theta0 for c in exits.standing if isinstance(c, Strand))))
    p = strains.samples.points[_rows(strains, name)]
    p = p[np.hypot(p[:, 0], p[:, 1]) > 1e-6]
    turned = np.unwrap(np.arctan2(p[:, 1], p[:, 0]))
    return float(abs(np.rad2deg(turned[-1] - turned[0]))) if turned.size else 0.0


def _place(joint: Joint, samples: Samples, row: int) -> tuple[tuple[float, float, float], float]:
    """Where a sample of the shortened joint lies on the whole joint: point and arc length [mm]."""
    piece, u = int(samples.piece[row]), float(samples.u[row])
    path, d = joint.layout.path, joint.diameter_mm
    point = path.evaluate(np.array([piece]), np.array([u]), 0)[0, 0] * d
    start = samples.s[np.flatnonzero(samples.piece == piece)[0]]
    s = (path.starts[piece] + samples.s[row] - start) * d
    return (float(point[0]), float(point[1]), float(point[2])), float(s)


def _judged(name: str, strain: float, visible: float, overlaps: bool, joint: Joint) -> tuple[Severity, str]:
    """How severe, and the governing criterion."""
    by_strain = strain_severity(strain)
    by_angle = Severity.OK if name == "exit_standing" else angle_severity(float(np.deg2rad(visible)))
    if overlaps:  # bent back past square, it runs through the leg however it leaves the twist
        overbent = by_angle and joint.recipe.exit.peak_angle_rad is not None
        return Severity.SHARP, "angle" if overbent else "overlap"
    if not by_strain and not by_angle:
        against = name == "exit_tag" and joint.layout.sizes.barrel_sign < 0.0 and joint.layout.sizes.wraps
        return (Severity.CAUTION, "hand") if against else (Severity.OK, "none")
    return max(by_strain, by_angle), "both" if by_strain and by_angle else "strain" if by_strain else "angle"
