"""Units, and quantities shown with one; inside helix only mm, N, MPa, rad, kg/m3 and kg exist.

Factors are exact by definition (inch 25.4 mm, standard gravity 9.80665 m/s2, pound 0.45359237 kg:
international yard and pound agreement of 1959, NIST SP 811 appendix B [mem]).
Read they are in `helix.quantities`.
"""

from __future__ import annotations

import math
from typing import Final, Literal, TypeAlias

UnitSystem: TypeAlias = Literal["metric", "inch"]

UNIT_WORDS: Final[dict[UnitSystem, str]] = {"metric": "mm", "inch": "inches"}
"""A unit of length as it is read in a sentence."""

MM_PER_INCH: Final = 25.4
N_PER_KGF: Final = 9.80665
N_PER_LBF: Final = 0.45359237 * 9.80665
KG_PER_LB: Final = 0.45359237
MPA_PER_PSI: Final = N_PER_LBF / (25.4 * 25.4)
MPA_PER_KSI: Final = 1000.0 * MPA_PER_PSI
KG_M3_PER_LB_IN3: Final = 0.45359237 / (0.0254 * 0.0254 * 0.0254)
RAD_PER_DEG: Final = math.pi / 180.0


def format_length(mm: float, system: UnitSystem = "metric") -> str:
    """Return a length for people, three significant digits or whole units: mm, or in with "inch".

    Parameters
    ----------
    mm : float
        Length in mm.
    system : UnitSystem, optional
        "metric" or "inch".

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_length(412.4), format_length(14.7), format_length(0.7366)
    ('412 mm', '14.7 mm', '0.737 mm')
    >>> format_length(412.4, "inch"), format_length(0.7366, "inch")
    ('16.2 in', '0.0290 in')
    """
    return _shown(mm / MM_PER_INCH, 5, "in") if system == "inch" else _shown(mm, 4, "mm")


def format_tape(mm: float, system: UnitSystem = "metric", parts: int = 16) -> str:
    """Return a length as a tape shows it: whole mm, or sixteenths of an inch with "inch".

    Parameters
    ----------
    mm : float
        Length in mm.
    system : UnitSystem, optional
        "metric" or "inch".
    parts : int, optional
        Into how many an inch is parted.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_tape(459.6), format_tape(696.9, "inch"), format_tape(9.5, "inch"), format_tape(50.8, "inch")
    ('460 mm', '27 7/16 in', '3/8 in', '2 in')
    """
    return f"{_parted(mm / MM_PER_INCH, parts)} in" if system == "inch" else f"{_fixed(mm, 0)} mm"


def format_turns(turns: float) -> str:
    """Return a rotation as hands count it, in quarters of a turn.

    Parameters
    ----------
    turns : float
        Turns of 360 deg, 0 or more.

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_turns(0.76), format_turns(0.49), format_turns(1.3), format_turns(2.0), format_turns(0.05)
    ('3/4 turn', '1/2 turn', '1 1/4 turns', '2 turns', 'under 1/8 turn')
    """
    if turns < 0.125:
        return "under 1/8 turn"
    return f"{_parted(turns, 4)} turn{'s' if turns >= 1.125 else ''}"


def _parted(value: float, parts: int) -> str:
    """Write a number as a whole number and a fraction in lowest terms, to the nearest of so many parts, a tie to the larger."""
    whole, rest = divmod(math.floor(value * parts + 0.5 + 1e-9), parts)
    if not rest:
        return f"{whole}"
    common = math.gcd(rest, parts)
    return f"{f'{whole} ' if whole else ''}{rest // common}/{parts // common}"


def format_force(newton: float, system: UnitSystem = "metric") -> str:
    """Return a force for people: N, or lbf with "inch".

    Parameters
    ----------
    newton : float
        Force in N.
    system : UnitSystem, optional
        "metric" or "inch".

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_force(880.73), format_force(880.73, "inch"), format_force(5.1)
    ('881 N', '198 lbf', '5.10 N')
    """
    return _shown(newton / N_PER_LBF, 3, "lbf") if system == "inch" else _shown(newton, 3, "N")


def format_line_load(n_per_mm: float, system: UnitSystem = "metric") -> str:
    """Return a force along a line of contact for people: N a millimetre, or lbf an inch with "inch".

    Parameters
    ----------
    n_per_mm : float
        Force in N on each mm.
    system : UnitSystem, optional
        "metric" or "inch".

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_line_load(490.9), format_line_load(490.9, "inch")
    ('491 N a millimetre', '2803 lbf an inch')
    """
    if system == "inch":
        return f"{n_per_mm * MM_PER_INCH / N_PER_LBF:.0f} lbf an inch"
    return f"{n_per_mm:.0f} N a millimetre"


def format_stress(mpa: float, system: UnitSystem = "metric") -> str:
    """Return a stress for people: MPa, or ksi with "inch".

    Parameters
    ----------
    mpa : float
        Stress in MPa.
    system : UnitSystem, optional
        "metric" or "inch".

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_stress(1965.0), format_stress(1965.0, "inch")
    ('1965 MPa', '285 ksi')
    """
    return _shown(mpa / MPA_PER_KSI, 3, "ksi") if system == "inch" else _shown(mpa, 3, "MPa")


def format_mass(kg: float, system: UnitSystem = "metric") -> str:
    """Return a mass for people: g below a kilogram, kg above, or lb with "inch".

    Parameters
    ----------
    kg : float
        Mass in kg.
    system : UnitSystem, optional
        "metric" or "inch".

    Returns
    -------
    str
        Number and unit.

    Examples
    --------
    >>> format_mass(0.2514), format_mass(1.5), format_mass(1.5, "inch")
    ('251 g', '1.50 kg', '3.31 lb')
    """
    if system == "inch":
        return _shown(kg / KG_PER_LB, 4, "lb")
    return _shown(kg * 1000.0, 2, "g") if kg < 0.9995 else _shown(kg, 3, "kg")


def in_wire_diameters(mm: float, d_mm: float) -> str:
    """Return a length in wire diameters, for messages.

    Parameters
    ----------
    mm : float
        Length in mm.
    d_mm : float
        Wire diameter in mm, above 0.

    Returns
    -------
    str
        Number and d.

    Examples
    --------
    >>> in_wire_diameters(2.9464, 0.7366)
    '4.00 d'
    """
    return _shown(mm / d_mm, 4, "d")


def _shown(value: float, most_decimals: int, unit: str) -> str:
    """Write three significant digits, never an exponent, never more than `most_decimals`."""
    if not math.isfinite(value):
        return f"{value} {unit}"
    rounded = float(f"{value:.2e}")
    decimals = 0 if rounded == 0.0 else 2 - math.floor(math.log10(abs(rounded)))
    return f"{_fixed(value, min(max(decimals, 0), most_decimals))} {unit}"


def _fixed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text
