"""The wire of a joint: diameter, strength, stiffness, density, and where each number comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass

from helix.data.materials import find_material, strength_mpa
from helix.model.recipe.recipe_checks import check_wire


@dataclass(frozen=True)
class Wire:
    """One solid, spring-hard wire.

    diameter_mm: above 0. size: gauge family and number, or None when only a diameter is known.
    strength_mpa: tensile strength (low, nominal, high). source: where the numbers come from, each
    with its mark in brackets. rated_load_n: what the maker rates the wire at, or None. count: wires worked as one, 1 or 2;
    all else is of one of them.

    >>> wire = Wire(0.7366, "MWG 12", "own", (1965.0, 2068.0, 2172.0), 193e3, 7920.0, "own [own]", None)
    >>> [round(load) for load in wire.breaking_load_n]
    [837, 881, 926]
    """

    diameter_mm: float
    size: str | None
    material: str
    strength_mpa: tuple[float, float, float]
    modulus_mpa: float
    density_kg_m3: float
    source: str
    rated_load_n: float | None
    measured_load_n: float | None = None
    measured_pulls: float = 1.0
    count: int = 1

    def __post_init__(self) -> None:
        check_wire(vars(self))

    @property
    def area_mm2(self) -> float:
        """Cross section pi d^2 / 4 in mm2."""
        return math.pi * self.diameter_mm**2 / 4.0

    @property
    def breaking_load_n(self) -> tuple[float, float, float]:
        """Breaking load of the straight wire in N (low, nominal, high): strength times pi d^2 / 4."""
        low, nominal, high = self.strength_mpa
        return low * self.area_mm2, nominal * self.area_mm2, high * self.area_mm2


def wire_of(
    material: str,
    diameter_mm: float,
    size: str | None = None,
    size_source: str = "diameter as given",
    rated_load_n: float | None = None,
) -> Wire:
    """Return the wire of a material of helix/data at a diameter.

    Parameters
    ----------
    material : str
        Its name in the tables.
    diameter_mm : float
        Diameter in mm.
    size : str, optional
        Gauge family and number.
    size_source : str, optional
        Where the diameter comes from.
    rated_load_n : float, optional
        What the maker rates it at, N.

    Returns
    -------
    Wire
        Strength, modulus and density with their sources.

    Raises
    ------
    ValueError
        For an unknown material, and for a diameter outside its table.

    Examples
    --------
    >>> wire_of("music wire", 1.0).strength_mpa[0] > 2100
    True
    """
    strength = strength_mpa(material, diameter_mm)
    known = find_material(material)
    source = "; ".join(
        (
            size_source,
            f"strength: {strength.source} [{strength.mark}]",
            f"modulus: {known.modulus_source}",
            f"density: {known.density_source}",
        )
    )
    return Wire(
        diameter_mm=diameter_mm,
        size=size,
        material=known.name,
        strength_mpa=(strength.low, strength.nominal, strength.high),
        modulus_mpa=known.modulus_mpa,
        density_kg_m3=known.density_kg_m3,
        source=source,
        rated_load_n=rated_load_n,
    )
