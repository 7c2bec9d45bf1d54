"""Where a joint is bent, how hard, and what share of the load passes there: what breaks it."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.grip import throat_tension
from helix.mechanics.retained import retained_share
from helix.model.joint.joint import Joint, build_joint, shortened
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.bends import Bend, four_bends, strains
from helix.values import result

_KEPT: Final = 128  # shapes remembered: a table and a list of changes ask for the same ones again


@result
class BreakPlace:
    """One bend: section, outer-fibre strain averaged over half a diameter, share of the load, visible angle [deg].

    strain is None where the parts overlap and the shape cannot be trusted. s_mm: where on the wire it is sharpest.
    turn_deg: how far the bend turns, None for the twist and the eye, which are no bends of their own.
    """

    name: str
    strain: float | None
    share: float
    visible_angle_deg: float | None
    s_mm: float
    turn_deg: float | None = None


@lru_cache(maxsize=_KEPT)
def places_of(recipe: Recipe) -> tuple[BreakPlace, ...]:
    """The bends of a recipe's joint that carry load, in the order of the wire.

    Local tension: each eye leg pulls at its slant g, half the throat's angle, F/(2 cos g), about half; all of the load
    is taken to pass both bends at the twist's exit. For the tag's exit that is an upper bound, on the safe side, and what practice
    says: a joint breaks at a bad exit. Raises InfeasibleJointError where the joint cannot exist.
    """
    joint = build_joint(recipe)
    found = strains(shortened(joint))
    standing_in, tag_in, standing_out, tag_out = four_bends(joint, found)
    sizes = joint.layout.sizes
    # the pin lets both legs pull alike, so the load's line halves the angle between them
    slant = 0.5 * (sizes.tag_throat.leg_angle + sizes.standing_throat.leg_angle)
    leg = float(throat_tension(slant))

    def strain(section: str) -> float:
        return float(found.strain[found.sections == section].max(initial=0.0))

    places = [
        _place(standing_out, 1.0, None),
        BreakPlace(
            name="twist_standing",
            strain=strain("twist_standing"),
            share=1.0,
            visible_angle_deg=None,
            s_mm=_middle(joint, "twist_standing"),
        ),
        _place(standing_in, leg, standing_in.visible_angle_deg),
        BreakPlace(name="eye", strain=strain("eye"), share=leg, visible_angle_deg=None, s_mm=_middle(joint, "eye")),
        _place(tag_in, leg, tag_in.visible_angle_deg),
        _place(tag_out, 1.0 if sizes.turns else 0.5, tag_out.visible_angle_deg),
    ]
    return tuple(each for each in places if each.strain is None or each.strain > 1e-6)


def break_shares(places: tuple[BreakPlace, ...], fracture: float, factors: Array | None = None) -> Array:
    """Load over the wire's strength at which each place breaks, (places,) or (places, n); places without a shape never.

    fracture: true strain at break; factors (places, n): what a bend's strain is multiplied with.
    """
    strain = np.array([math.nan if each.strain is None else each.strain for each in places])
    share = np.array([each.share for each in places])
    if factors is not None:
        strain, share = strain[:, None] * factors, share[:, None]
    lost = np.isnan(strain)
    left = retained_share(np.where(lost, 0.0, strain), fracture) / share
    return np.where(lost, np.inf, left)


def _place(bend: Bend, share: float, visible_deg: float | None) -> BreakPlace:
    return BreakPlace(
        name=bend.name,
        strain=None if bend.governing == "overlap" else bend.strain,
        share=share,
        visible_angle_deg=visible_deg,
        s_mm=bend.s_mm,
        turn_deg=bend.turn_deg,
    )


def _middle(joint: Joint, section: str) -> float:
    """Arc length to the middle of a section [mm]."""
    path, start = joint.layout.path, 0.0
    for k, piece in enumerate(path.pieces):
        if piece.section == section:
            start = float(path.starts[k])
            break
    return start * joint.diameter_mm + 0.5 * joint.section_mm(section)
