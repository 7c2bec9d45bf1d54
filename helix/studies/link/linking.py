"""Two joints eye through eye, or an eye on a ring: the bend where wire crosses wire, its strength left, room to move."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from helix.data.practice import practice
from helix.errors import InfeasibleJointError, IssuePath, ValidationError, ValidationIssue
from helix.findings import Finding, Severity, judgement_of
from helix.geometry.joint.linked_eyes import LinkedEyes, LinkEnd, NoRoomError, eye_end, link, ring_end, swapped, swing
from helix.mechanics import limits
from helix.mechanics.bends.bend_strain import outer_fibre_strain, strain_severity
from helix.mechanics.bends.crossing import crossing_radius, crossing_strain, least_bar
from helix.mechanics.bends.retained import fracture_strain, retained_share
from helix.model.joint.joint import checked_sizes, shortened
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.hold_result import Band, BreakHold, HoldResult
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.judge import judge_shaped
from helix.studies.link.link_result import BarPoint, Bend, Contact, LinkedJoint, LinkResult, Load, Ring, Room, Swing
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import Values

BARS: Final = 60  # bars of other diameters that are tried
_THINNEST: Final = 0.25  # of them the thinnest, in wire diameters


LEAST_THROAT_DEG: Final = 5.0
"""Between the eye legs: narrower eyes are hundreds of wire diameters long, and where they meet takes long to find."""


LEAST_RING_D: Final = 0.1
"""The thinnest bar of a ring, in diameters of the wire that hangs on it: a thinner one is no ring but a blade."""
WIDEST_RING: Final = 300.0
"""The largest inside of a ring, in diameters of its bar: a wider one is a hoop, and where it touches takes long to find."""


def link_joints(
    first: Recipe, second: Recipe | None = None, ring: Ring | None = None, own: Mapping[Recipe, OwnPulls] | None = None
) -> LinkResult:
    """Link a joint with another, with a second one of its own kind where none is given, or hang it on a ring.

    own: pieces of one's own of some of the joints, which decide how those end. Raises ValidationError where they cannot be linked, its subclass InfeasibleJointError where a joint cannot exist.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> pair = link_joints(recipe_from_text(text))
    >>> pair.joints[0].pulled.strain, pair.judgement.severity.word
    (0.5, 'caution')
    """
    recipes, others_mm = checked_pair(first, second, ring)
    shapes = [shape(first)]
    shapes += [shapes[0] if recipe == first else shape(recipe) for recipe in recipes[1:]]
    mean_mm = 0.5 * (first.wire.diameter_mm + others_mm[0])
    ends = [_end(shaped, mean_mm) for shaped in shapes]
    if ring is not None:
        ends.append(ring_end(ring.inside_mm / ring.diameter_mm, ring.diameter_mm / mean_mm))
    linked = _linked(ends, recipes, ring)
    from_first = [linked.points[0], (swapped(linked).points[0])]
    joints: list[LinkedJoint] = []
    for shaped, other_mm, end, point in zip(shapes, others_mm, ends, from_first, strict=False):
        s_mm = _place(end, point, shaped)
        alike = bool(joints) and shaped is shapes[0]
        joints.append(
            replace(joints[0], s_mm=s_mm)
            if alike
            else _joint(shaped, other_mm, ring is None, s_mm, (own or {}).get(shaped.recipe))
        )
    return LinkResult(
        joints=tuple(joints),
        ring=ring,
        contact=_contact(linked, mean_mm),
        room=_room(linked, mean_mm, shapes, ring),
        linked=linked,
    )


def checked_pair(first: Recipe, second: Recipe | None, ring: Ring | None) -> tuple[tuple[Recipe, ...], list[float]]:
    """The joints that are linked, and the diameter of what each hangs in [mm]; raises ValidationError where their sizes do not go
    together."""
    recipes = (first,) if ring is not None else (first, first if second is None else second)
    for recipe in recipes:
        check_one_wire(recipe, "link-of-two")
    others_mm = [ring.diameter_mm] if ring is not None else [recipe.wire.diameter_mm for recipe in recipes][::-1]
    _check_sizes(recipes, others_mm, ring)
    return recipes, others_mm


def _check_sizes(recipes: tuple[Recipe, ...], others_mm: list[float], ring: Ring | None) -> None:
    """Raise ValidationError for everything that is too thick for an eye, or too thin to take one."""
    issues = []
    for recipe, other_mm in zip(recipes, others_mm, strict=True):
        if other_mm > recipe.eye.pin_mm:
            pin, other = f"{recipe.eye.pin_mm:.4g} mm", f"{other_mm:.4g} mm"
            if ring is None:
                place = IssuePath(file=recipe.place, table=("eye",), key="pin")
                issues.append(ValidationIssue(place, code="eye-too-small", values=Values(other=other, pin=pin)))
            else:
                issues.append(
                    ValidationIssue(IssuePath(key="ring"), code="ring-too-thick", values=Values(other=other, pin=pin))
                )
    for recipe in recipes:
        sizes = checked_sizes(recipe)
        between = math.degrees(sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)
        if between < LEAST_THROAT_DEG:
            table, key = ("eye", "throat") if recipe.eye.throat_rad is not None else ("twist", "lay_length")
            place = IssuePath(file=recipe.place, table=(table,), key=key)
            angles = Values(least_deg=LEAST_THROAT_DEG, between_deg=between)
            issues.append(ValidationIssue(place, code="throat-too-narrow", values=angles))
    d_mm = recipes[0].wire.diameter_mm
    if ring is not None and ring.inside_mm <= d_mm:
        values = Values(wire=f"{d_mm:.4g} mm", inside=f"{ring.inside_mm:.4g} mm")
        issues.append(ValidationIssue(IssuePath(key="ring_inside"), code="ring-too-small", values=values))
    if ring is not None and ring.diameter_mm < LEAST_RING_D * d_mm:
        values = Values(least=f"{LEAST_RING_D * d_mm:.4g} mm", other=f"{ring.diameter_mm:.4g} mm")
        issues.append(ValidationIssue(IssuePath(key="ring"), code="ring-too-thin", values=values))
    elif ring is not None and ring.inside_mm > WIDEST_RING * ring.diameter_mm:
        most = f"{WIDEST_RING * ring.diameter_mm:.4g} mm"
        values = Values(times=f"{WIDEST_RING:g}", most=most, inside=f"{ring.inside_mm:.4g} mm")
        issues.append(ValidationIssue(IssuePath(key="ring_inside"), code="ring-too-wide", values=values))
    if issues:
        raise ValidationError(dict.fromkeys(issues))


def _end(shaped: ShapeResult, mean_mm: float) -> LinkEnd:
    sizes, short = shaped.joint.layout.sizes, shortened(shaped.joint)
    half = 0.5 * (sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)
    return eye_end(short.path, short.eye, half, shaped.joint.diameter_mm / mean_mm)


def _linked(ends: list[LinkEnd], recipes: tuple[Recipe, ...], ring: Ring | None) -> LinkedEyes:
    try:
        return link(ends[0], ends[1], limits.OVERLAP_D)
    except NoRoomError as problem:
        place = IssuePath(file=recipes[0].place, table=("eye",), key="pin") if ring is None else IssuePath(key="ring")
        values = Values(pin=f"{recipes[0].eye.pin_mm:.4g} mm")
        raise InfeasibleJointError.at(place, code="no-room-to-link", values=values) from problem


def _joint(shaped: ShapeResult, over_mm: float, over_wire: bool, s_mm: float, own: OwnPulls | None) -> LinkedJoint:
    recipe, d_mm = shaped.recipe, shaped.recipe.wire.diameter_mm
    alone = _held(recipe, own)
    strain = float(crossing_strain(d_mm, over_mm))
    held = _held(recipe, own, strain)
    there = _eye(held)
    leaves = _leaves(held, strain)
    pulled = _bend(float(crossing_radius(d_mm, over_mm)) / d_mm)
    least = float(least_bar(d_mm, limits.STRAIN_OK))
    found = _findings(pulled, over_mm, over_wire, least)
    return LinkedJoint(
        recipe=recipe,
        over_mm=over_mm,
        rest=_bend(shaped.joint.layout.eye.arc_radius),
        pulled=pulled,
        leaves=leaves,
        load_proportion=there.load_proportion,
        breaks_there_n=there.load_n,
        alone=Load(expected_n=alone.expected_n, plan_with_n=alone.plan_with_n),
        linked=Load(expected_n=held.expected_n, plan_with_n=held.plan_with_n),
        s_mm=s_mm,
        least_bar_mm=least,
        judgement=judgement_of((*found, *judge_shaped(shaped, held).findings)),
        bars=tuple(_bars(alone, d_mm)),
        shaped=shaped,
        held=held,
    )


@lru_cache(maxsize=16)
def _held(recipe: Recipe, own: OwnPulls | None, eye_strain: float = 0.0) -> HoldResult:
    return hold_with(recipe, setting_of(recipe), own, eye_strain)


def _eye(held: HoldResult) -> BreakHold:
    return next(place for place in held.breaks if place.place == "eye")


def _bend(radius_d: float) -> Bend:
    strain = outer_fibre_strain(radius_d)
    return Bend(radius_d=radius_d, strain=strain, severity=strain_severity(strain))


def _leaves(held: HoldResult, strain: float) -> Band:
    low, nominal, high = retained_share(strain, fracture_strain(held.setting.ductility)).tolist()
    return Band.of(low, nominal, high)


def _bars(alone: HoldResult, d_mm: float) -> Iterator[BarPoint]:
    """The crossing over thin bars to one as thick as the pin; those at the limits of the verdict among them."""
    pin_mm = alone.recipe.eye.pin_mm
    at_limits = least_bar(d_mm, [limits.STRAIN_CAUTION, limits.STRAIN_OK])
    even = np.geomspace(_THINNEST * d_mm, pin_mm, BARS)
    share = _eye(alone).load_proportion
    elsewhere = min((place.load_n for place in alone.breaks if place.strain is not None), default=math.nan)
    known = not math.isnan(alone.expected_n)
    for bar_mm in np.unique(np.concatenate((even, at_limits[at_limits <= pin_mm]))).tolist():
        strain = float(crossing_strain(d_mm, bar_mm))
        leaves = _leaves(alone, strain)
        yield BarPoint(
            bar_mm=bar_mm,
            strain=strain,
            severity=strain_severity(strain),
            leaves=leaves,
            of_straight=min(leaves.nominal / share, elsewhere / alone.strength_n) if known else math.nan,
        )


def _findings(pulled: Bend, over_mm: float, over_wire: bool, least_mm: float) -> Iterator[Finding]:
    """What is found of the crossing: a bend harder than the limits, and that other joints in which wire crosses wire broke
    early."""
    if pulled.severity:
        values = Values(
            strain=pulled.strain,
            limit=limits.STRAIN_OK,
            radius_d=pulled.radius_d,
            over_mm=over_mm,
            least_mm=least_mm,
            over_wire=over_wire,
        )
        yield Finding(
            code="tight-crossing", severity=pulled.severity, place="eye", values=values, remedy="thicker-ring"
        )
    if over_wire:
        low, high = practice().crossing_left
        values = Values(low=low, high=high, source=practice().crossing_source, least_mm=least_mm)
        yield Finding(code="wire-on-wire", severity=Severity.CAUTION, place="eye", values=values, remedy="ring-between")


def _contact(linked: LinkedEyes, mean_mm: float) -> Contact:
    upper, lower = linked.points * mean_mm
    x, y, z = (float(value) for value in upper + 0.5 * linked.first.diameter * (lower - upper))
    apart = float(np.linalg.norm(upper - lower))
    return Contact(
        point_mm=(x + linked.first.centre[0] * linked.first.diameter * mean_mm, y, z),
        centres_apart_mm=apart,
        touching_mm=mean_mm,
        gap_mm=linked.gap * mean_mm,
        bound_mm=linked.bound * mean_mm,
    )


def _place(end: LinkEnd, point: np.ndarray, shaped: ShapeResult) -> float:
    """Arc length from the standing end to where a wire bears [mm]; point: of its centre line, as it stands above."""
    own = (point - end.above.shift) / end.diameter
    samples = shaped.joint.layout.path.sample(0.01, straight_step=1.0)
    eye = np.flatnonzero([piece.section == "eye" for piece in shaped.joint.layout.path.pieces])
    rows = np.flatnonzero(np.isin(samples.piece, eye))
    nearest = rows[int(np.argmin(np.sum((samples.points[rows] - own) ** 2, axis=1)))]
    return float(samples.s[nearest]) * shaped.joint.diameter_mm


def _room(linked: LinkedEyes, mean_mm: float, shapes: list[ShapeResult], ring: Ring | None) -> Room:
    centres = linked.first.centre[1] * linked.first.diameter + linked.second.centre[1] * linked.second.diameter
    beyond = sum(shaped.joint.axial["top"] + 0.5 * shaped.joint.diameter_mm for shaped in shapes)
    beyond -= 0.0 if ring is None else 0.5 * ring.diameter_mm
    swings = []
    for round_first, pair in ((True, linked), (False, swapped(linked))):
        angle, meets = swing(pair)
        swings.append(Swing(round_first=round_first, angle_deg=math.degrees(angle), meets=meets))
    return Room(
        play_mm=linked.play * mean_mm,
        centres_pulled_mm=(linked.pulled + centres) * mean_mm,
        centres_pushed_mm=(linked.pushed + centres) * mean_mm,
        ends_pulled_mm=linked.pulled * mean_mm + beyond,
        ends_pushed_mm=linked.pushed * mean_mm + beyond,
        swings=tuple(swings),
    )
