"""How stiff two wires worked as one are, beside one wire of their size and one of their area, and what that is worth against a kink."""

from __future__ import annotations

import math
from typing import Final

from helix.mechanics.bends.bending import kappa_yield
from helix.mechanics.pair.stiffness import bending_stiffness, bow_load, column_load, pair_stiffness
from helix.model.joint.wire import Wire
from helix.values import result

BOW: Final = 0.05
"""Height of the bow that is looked at, over its length: no limit, a bow that a hand-straightened wire may have (assumed)."""


@result
class Stiffness:
    """One wire, or two: bending stiffness, radius of the tightest bend that leaves no set, and pushes along itself, its ends free to turn.

    buckles_n: at which the straight length buckles; bow_n: at which a bow takes a set.
    """

    wires: int
    diameter_mm: float
    stiffness_n_mm2: float
    set_radius_mm: float
    buckles_n: float
    bow_n: float


@result
class PairStiffness:
    """A pair whose wires slide on each other, beside one wire of the same size and one of the same total area and strength.

    bonded_n_mm2: the pair's stiffness in the plane in which the two lie if they could not slide: an upper bound; across it nothing changes.
    length_mm, rise_mm: of what is pushed, and of its bow.
    """

    pair: Stiffness
    same_size: Stiffness
    same_area: Stiffness
    bonded_n_mm2: float
    length_mm: float
    rise_mm: float


def stiffness_beside(wire: Wire, length_mm: float) -> PairStiffness:
    """The stiffness of two such wires, of one, and of one of their area; length_mm: of what is pushed, above 0."""
    modulus, d = wire.modulus_mpa, wire.diameter_mm
    thick = math.sqrt(2.0) * d
    slides, bonded = pair_stiffness(modulus, d)
    rise = BOW * length_mm

    def side(wires: int, diameter: float, stiffness: float) -> Stiffness:
        limit = kappa_yield(wire.strength_mpa[1], modulus, diameter)
        return Stiffness(
            wires=wires,
            diameter_mm=diameter,
            stiffness_n_mm2=stiffness,
            set_radius_mm=1.0 / limit,
            buckles_n=float(column_load(stiffness, length_mm)),
            bow_n=float(bow_load(stiffness, length_mm, rise, limit)),
        )

    return PairStiffness(
        pair=side(2, d, float(slides)),
        same_size=side(1, d, float(bending_stiffness(modulus, d))),
        same_area=side(1, thick, float(bending_stiffness(modulus, thick))),
        bonded_n_mm2=float(bonded),
        length_mm=length_mm,
        rise_mm=rise,
    )
