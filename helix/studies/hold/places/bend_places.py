"""Where a joint may break: how hard it is bent there, what part of the load passes, and the load that breaks it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.twist.helices import lay_angle
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import (
    GOOD_EXIT,
    SURPLUS,
    WIDEST_RAD,
    leg_tension,
    opening_load,
    peeled_turns,
    wound_strain,
)
from helix.mechanics.bends.retained import retained_share
from helix.mechanics.bends.straightening import straightened_share
from helix.model.joint.joint import Joint, build_joint, shortened
from helix.model.joint.section_names import part_name
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.grip_models import Grip
from helix.studies.shape.bends import Bend, strains_of_wires, worst_bends, wound_half_rad
from helix.values import result

STRAIGHT: Final = ("clear", "behind_barrel")
TAG_LEFT: Final = 0.23  # of the load at the tag's exit after five turns: 0.18 to 0.28 (simulated)
TAG_LEFT_TURNS: Final = 5.0
TAG_LEFT_RANGE: Final = (0.18, 0.28)  # of it, the least and the most of the runs (simulated)
_USUAL_LEG: Final = float(leg_tension(lay_angle(0.5, limits.USUAL_LAY)))  # of a throat at the twist's own angle
_KEPT: Final = 128  # shapes remembered: a table and a list of changes ask for the same ones again


@result
class BreakPlace:
    """One place: section, outer-fibre strain averaged over half a diameter, share of the load, visible angle [deg].

    strain is None where the parts overlap and the shape cannot be trusted. s_mm: where on the wire it is sharpest.
    turn_deg: how far the bend turns, None for the twist and the eye, which are no bends of their own. grade: of the
    evidence for its load: B closed form and simulation agree, C simulation only, D argument only. wound_deg: angle
    between the legs at which a first bend was wound; None for the rest, and where there is no twist. peak_strain: of a
    bend at its smallest radius, not averaged.
    """

    name: str
    strain: float | None
    share: float
    visible_angle_deg: float | None
    s_mm: float
    turn_deg: float | None = None
    grade: str = "D"
    wound_deg: float | None = None
    peak_strain: float | None = None


@lru_cache(maxsize=_KEPT)
def places_of(recipe: Recipe) -> tuple[BreakPlace, ...]:
    """The places of a recipe's joint that carry load, in the order of the wire.

    Local tension: each eye leg pulls with its part of the load (`leg_tension`), the standing leg with all of it, the
    tag's exit with what the twist leaves of it. Raises InfeasibleJointError where the joint cannot exist.
    """
    joint = build_joint(recipe)
    bend_strains = strains_of_wires(joint, shortened(joint))
    standing_in, tag_in, standing_out, tag_out = worst_bends(joint, bend_strains)
    sizes = joint.layout.sizes
    # the pin lets both legs pull alike, so the load's line halves the angle between them
    leg = float(leg_tension(0.5 * (sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)))
    wound = wound_half_rad(joint)

    def entry(bend: Bend) -> BreakPlace:
        place = _place(bend, leg, bend.visible_angle_deg, "C")
        return place if wound is None else replace(place, wound_deg=math.degrees(2.0 * wound))

    def straight(name: str, s_mm: float) -> BreakPlace:
        return BreakPlace(name=name, strain=0.0, share=1.0, visible_angle_deg=None, s_mm=s_mm, grade="B")

    def along(section: str, share: float) -> BreakPlace:
        return BreakPlace(
            name=section,
            strain=max(each.of_section(wire, section) for wire, each in zip(joint.wires, bend_strains, strict=True)),
            share=share,
            visible_angle_deg=None,
            s_mm=_middle(joint, section),
        )

    bends = [
        _place(standing_out, 1.0, None, "B"),
        along("twist_standing", 1.0),
        entry(standing_in),
        along("eye", leg),
        entry(tag_in),
        _place(tag_out, tag_share(sizes.turns, leg), tag_out.visible_angle_deg, "C"),
    ]
    core = _middle(joint, "barrel_core") - 0.5 * joint.section_mm("barrel_core")
    return (straight("clear", 0.5 * joint.section_mm("standing")), straight("behind_barrel", core), *bends)


def grip_under_load(joint: Grip, places: tuple[BreakPlace, ...]) -> Grip:
    """The grip that the models see: a wide throat peels part of a turn off the twist."""
    angle = max((place.visible_angle_deg or 0.0 for place in places if place.name == "entry_tag"), default=0.0)
    if not joint.turns or not angle:
        return joint
    return replace(joint, turns=max(joint.turns - float(peeled_turns(0.5 * np.radians(angle))), 0.0))


def tag_share(turns: float, leg: float) -> float:
    """Part of the load that passes the tag's exit: what the twist leaves, 0.23 at five turns (simulated), else on an
    exponential from the eye leg's own tension (an argument only). Beyond five turns it falls on at the rate of the usual
    throat: a leg that pulls harder does not leave the tag less.

    >>> round(tag_share(5.0, 0.64), 2), tag_share(0.0, 0.5), tag_share(7.0, 0.68) == tag_share(7.0, 0.5)
    (0.23, 0.5, True)
    """
    start = leg if turns < TAG_LEFT_TURNS else _USUAL_LEG
    return float(start * (TAG_LEFT / start) ** (turns / TAG_LEFT_TURNS))


def break_loads(places: tuple[BreakPlace, ...], setting: BreakSetting) -> Array:
    """Load over the coil's strength at which each place breaks, (places, n); places without a shape never."""
    standing = next((place for place in places if place.name == "exit_standing" and place.strain is not None), None)
    rows = [_load(place, k, standing, setting) for k, place in enumerate(places)]
    return np.stack(rows) if rows else np.ones((1, setting.factors.shape[1]))


@result
class BreakSetting:
    """What the loads of places are worked out from, draws (n,): factors on strains (places, n), hardening, error of the
    mechanics and scatter of straight wire on log loads (the latter (2, n)), the criterion of a wide throat 0 to 1, flow
    stress over strength, true strain at break."""

    factors: Array
    hardening: Array
    error: Array
    straight: Array
    criterion: Array
    flow: Array
    fracture: float


def _load(place: BreakPlace, row: int, standing: BreakPlace | None, setting: BreakSetting) -> Array:
    n = setting.factors.shape[1]
    if place.strain is None:
        return np.full(n, np.inf)
    if place.name in STRAIGHT:
        return np.asarray(np.exp(setting.straight[STRAIGHT.index(place.name)]))
    strain = place.strain * setting.factors[row]
    if place.name == "exit_standing":
        return np.asarray(straightened_share(strain, setting.hardening) * np.exp(setting.error))
    if part_name(place.name) == "entry":
        own = straightened_share(strain, setting.hardening) * np.exp(setting.error) / place.share
        return np.minimum(own, _throat(place, standing, setting))
    return np.asarray(retained_share(strain, setting.fracture) * np.exp(setting.error) / place.share)


def _throat(place: BreakPlace, standing: BreakPlace | None, setting: BreakSetting) -> Array:
    """The load at which a wide throat breaks, infinite where the standing exit is bent as hard."""
    band = None if standing is None else throat_band(place, standing, setting.hardening, setting.flow)
    if band is None:
        return np.full(setting.criterion.shape, np.inf)
    low, high = band
    return np.asarray((low + setting.criterion * (high - low)) * np.exp(setting.error))


def throat_band(place: BreakPlace, standing: BreakPlace, hardening: Array, flow: Array) -> tuple[Array, Array] | None:
    """Lowest and highest load over the strength at which a throat that was wound wide breaks: between its opening and the
    standing exit's own load. Which of them, the ductility used up by bending back decides, and nobody has measured it.

    None where a good joint's standing exit is bent as hard. Beyond what was simulated, that of the widest throat.
    """
    half = min(0.5 * math.radians(place.wound_deg or 0.0), WIDEST_RAD)
    if float(wound_strain(half)) <= GOOD_EXIT:
        return None
    high = straightened_share(standing.strain or 0.0, hardening)
    return np.minimum(high, opening_load(half, flow=flow) + SURPLUS), high


def _place(bend: Bend, share: float, visible_deg: float | None, grade: str) -> BreakPlace:
    return BreakPlace(
        name=bend.name,
        strain=None if bend.governing == "overlap" else bend.strain,
        share=share,
        visible_angle_deg=visible_deg,
        s_mm=bend.s_mm,
        turn_deg=bend.turn_deg,
        grade=grade,
        peak_strain=bend.outer_fibre_strain,
    )


def _middle(joint: Joint, section: str) -> float:
    """Arc length to the middle of a section [mm]."""
    path, start = joint.layout.path, 0.0
    for k, piece in enumerate(path.pieces):
        if piece.section == section:
            start = float(path.starts[k])
            break
    return start * joint.diameter_mm + 0.5 * joint.section_mm(section)
