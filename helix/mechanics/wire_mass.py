"""Mass and length of solid round wire: mass = density pi d^2/4 length."""

from __future__ import annotations

import math

_KG_PER_MM3 = 1e-9  # one kg/m3 in kg/mm3


def wire_length(mass_kg: float, d_mm: float, density_kg_m3: float) -> float:
    """Return the length of wire in a mass of it.

    Parameters
    ----------
    mass_kg : float
        Mass of the wire alone, without its spool, above 0 [kg].
    d_mm : float
        Wire diameter, above 0 [mm].
    density_kg_m3 : float
        Density, above 0 [kg/m3].

    Returns
    -------
    float
        Length [mm].

    Raises
    ------
    ValueError
        Outside these ranges.

    Notes
    -----
    A diameter off by 1 % takes the length off by 2 %.

    Examples
    --------
    >>> round(wire_length(1.0, 1.0, 7850.0))
    162196
    """
    _above_zero(mass_kg=mass_kg, d_mm=d_mm, density_kg_m3=density_kg_m3)
    return mass_kg / (density_kg_m3 * _KG_PER_MM3 * math.pi * d_mm * d_mm / 4.0)


def wire_mass(length_mm: float, d_mm: float, density_kg_m3: float) -> float:
    """Return the mass of a length of wire.

    Parameters
    ----------
    length_mm : float
        Length, 0 or more [mm].
    d_mm : float
        Wire diameter, above 0 [mm].
    density_kg_m3 : float
        Density, above 0 [kg/m3].

    Returns
    -------
    float
        Mass [kg]: the inverse of `wire_length`.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> round(wire_mass(1000.0, 1.0, 7850.0) * 1000.0, 3)
    6.165
    """
    if length_mm == 0.0:
        return 0.0
    _above_zero(length_mm=length_mm, d_mm=d_mm, density_kg_m3=density_kg_m3)
    return density_kg_m3 * _KG_PER_MM3 * math.pi * d_mm * d_mm / 4.0 * length_mm


def _above_zero(**values: float) -> None:
    for name, value in values.items():
        if not (value > 0.0 and math.isfinite(value)):
            raise ValueError(f"{name} must be above 0 and finite; got {value!r}")
