"""Quantities as text with a unit, in and out; inside helix only mm, N, MPa, rad, kg/m3 and kg exist.

Factors are exact by definition (inch 25.4 mm, standard gravity 9.80665 m/s2, pound 0.45359237 kg:
international yard and pound agreement of 1959, NIST SP 811 appendix B [mem]).
Why this is a reader of our own: docs/decisions/0002-unit-reader.md.
"""

from __future__ import annotations

import math
import re
from typing import Final, Literal, TypeAlias

from helix.errors import InputValueError, quoted

Dimension: TypeAlias = Literal["length", "angle", "force", "stress", "density", "mass", "none"]
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

# unit as written -> size in the internal unit; "d" is filled in from the wire
_UNITS: Final[dict[str, dict[str, float]]] = {
    "length": {
        "mm": 1.0, "cm": 10.0, "m": 1000.0, "um": 1e-3, "\u00b5m": 1e-3, "\u03bcm": 1e-3,
        "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, "thou": MM_PER_INCH / 1000.0,
        "ft": 12.0 * MM_PER_INCH, "d": math.nan,
    },
    "angle": {
        "deg": RAD_PER_DEG, "degree": RAD_PER_DEG, "degrees": RAD_PER_DEG, "\u00b0": RAD_PER_DEG, "rad": 1.0,
    },
    "force": {"N": 1.0, "kN": 1000.0, "lbf": N_PER_LBF, "kgf": N_PER_KGF, "lb": N_PER_LBF, "lbs": N_PER_LBF},
    "stress": {
        "MPa": 1.0, "GPa": 1000.0, "kPa": 1e-3, "Pa": 1e-6, "N/mm2": 1.0, "N/mm^2": 1.0,
        "psi": MPA_PER_PSI, "ksi": MPA_PER_KSI, "Msi": 1000.0 * MPA_PER_KSI,
    },
    "density": {
        "kg/m3": 1.0, "kg/m^3": 1.0, "g/cm3": 1000.0, "g/cm^3": 1000.0,
        "lb/in3": KG_M3_PER_LB_IN3, "lb/in^3": KG_M3_PER_LB_IN3,
    },
    "mass": {"kg": 1.0, "g": 1e-3, "lb": KG_PER_LB, "oz": KG_PER_LB / 16.0},
    "none": {"": 1.0},
}  # fmt: skip
# the units a message offers, and a text that would be right
_OFFERED: Final[dict[str, tuple[str, str]]] = {
    "length": ("mm, cm, m, um, in, thou, ft or d", '"6 mm"'),
    "angle": ("deg or rad", '"90 deg"'),
    "force": ("N, kN, lbf or kgf", '"700 N"'),
    "stress": ("MPa, GPa, kPa, Pa, Msi, ksi or psi", '"1900 MPa"'),
    "density": ("kg/m3, g/cm3 or lb/in3", '"7.9 g/cm3"'),
    "mass": ("kg, g, lb or oz", '"0.5 kg"'),
    "none": ("no unit", '"5"'),
}
_NAMES: Final = {
    "length": "a length",
    "angle": "an angle",
    "force": "a force",
    "stress": "a stress",
    "density": "a density",
    "mass": "a mass",
    "none": "a bare number",
}
# what people write for another unit, with what to write instead
_HINTS: Final = {
    "kg": "a kilogram is a mass; write kgf, or N, for the force",
    "mil": "mil is read as a millimetre by some and as 0.001 in by others; write mm or thou",
    "mils": "mil is read as a millimetre by some and as 0.001 in by others; write mm or thou",
    '"': "write in for inches",
    "'": "write ft for feet",
}
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_FRACTION = re.compile(r"([+-]?)(?:([0-9]+)[ -]+)?([0-9]+)\s*/\s*([0-9]+)(?![0-9.])")
_LONGEST_TEXT: Final = 100


def example(dimension: Dimension) -> str:
    """Return a text of that dimension that reads, in quotes, for messages.

    Parameters
    ----------
    dimension : Dimension
        What it is to be.

    Returns
    -------
    str
        Such as '"6 mm"'.

    Examples
    --------
    >>> example("angle")
    '"90 deg"'
    """
    return _OFFERED[dimension][1]


def parse(
    text: object, dimension: Dimension, d_mm: float | None = None, *, such_as: str = "", either: str = ""
) -> float:
    """Read the quantity in a text: mm, rad, N, MPa, kg/m3 or kg. Sign and range are the caller's to check.

    Parameters
    ----------
    text : object
        A number or a fraction, then a unit: "14.7 mm", "1/4 in", "1 1/2 in", "4 d", "38.1 deg".
    dimension : Dimension
        What it must be.
    d_mm : float, optional
        Wire diameter in mm for the unit d; without it d is refused.
    such_as : str
        What the message offers in place of the usual example.
    either : str
        A word that would do as well, for the message.

    Returns
    -------
    float
        The quantity in helix's own unit, finite.

    Raises
    ------
    TypeError
        For what is not text.
    InputValueError
        A ValueError, for no unit, a unit of another dimension, a decimal comma, a number that is not finite; its
        message is ready to stand after the name of the key.

    Examples
    --------
    >>> parse("1/4 in", "length"), parse("4 d", "length", d_mm=0.5), parse("2 GPa", "stress")
    (6.35, 2.0, 2000.0)
    """
    offered = f'"{such_as}"' if such_as else example(dimension)
    word = f'"{either}" or ' if either else ""
    if not isinstance(text, str):
        raise TypeError(f"must be {word}text with a unit, such as {offered}; got {quoted(text)}")
    wanted = f"{word}{_NAMES[dimension]} such as {offered}"
    stripped = text.strip()
    if not stripped or len(stripped) > _LONGEST_TEXT:
        got = quoted(text) if stripped else "empty text"
        raise InputValueError("not-a-quantity", wanted=wanted, got=got, hint="")
    number, unit = _split(stripped, wanted)
    factor = _factor(unit, dimension, d_mm, wanted, stripped)
    value = number * factor
    if not math.isfinite(value):
        hint = ", which is too large to use"
        raise InputValueError("not-a-quantity", wanted=wanted, got=quoted(stripped), hint=hint)
    return value


def _not_read(wanted: str, got: str, hint: str = "") -> InputValueError:
    return InputValueError("not-a-quantity", wanted=wanted, got=got, hint=hint)


def _split(text: str, wanted: str) -> tuple[float, str]:
    """Return number and unit of a text; InputValueError when it does not start with a number."""
    if re.match(r"[+-]?(nan|inf)", text, re.IGNORECASE):
        raise _not_read(wanted, quoted(text), ", which is not a finite number")
    fraction = _FRACTION.match(text)
    if fraction:
        sign, whole, above, below = fraction.groups()
        if float(below) == 0.0:
            raise _not_read(wanted, quoted(text), ", a fraction over 0")
        number = (float(whole or 0) * float(below) + float(above)) / float(below)
        return (-number if sign == "-" else number), text[fraction.end() :].strip()
    match = _NUMBER.match(text)
    if not match:
        raise _not_read(wanted, quoted(text), ", which does not start with a number")
    rest = text[match.end() :]
    if re.match(r",\s*[0-9]", rest):
        raise _not_read(wanted, quoted(text), ": write a point for the decimal mark and nothing between thousands")
    return float(match.group()), rest.strip()


def read_as(text: object, dimension: Dimension) -> str:
    """Return how a quantity was read that people write by another name; "" for one that stands as it is.

    Parameters
    ----------
    text : object
        As for `parse`.
    dimension : Dimension
        What it must be.

    Returns
    -------
    str
        A remark, without full stop.

    Examples
    --------
    >>> read_as("160 lb", "force"), read_as("160 lbf", "force"), read_as("2 lb", "mass")
    ('"160 lb" read as lbf', '', '')
    """
    pounds = dimension == "force" and isinstance(text, str) and re.search(r"[0-9.\s]lbs?\s*$", text)
    return f"{quoted(text)} read as lbf" if pounds else ""


def _factor(unit: str, dimension: Dimension, d_mm: float | None, wanted: str, text: str) -> float:
    """Return the size of the unit in the internal unit; InputValueError when it is not one of this dimension."""
    units, got = _UNITS[dimension], quoted(text)
    if unit in units:
        if unit != "d":
            return units[unit]
        if d_mm is None:
            raise _not_read(wanted, got, ", and d, the wire diameter, cannot be used here")
        return d_mm
    offered = _OFFERED[dimension][0]
    if not unit:
        raise InputValueError("no-unit", wanted=wanted, got=got, offered=offered)
    for other, others in _UNITS.items():
        if unit in others and (dimension, other) != ("force", "mass"):  # a hint says more there
            raise InputValueError("wrong-dimension", wanted=wanted, got=got, dimension=_NAMES[other])
    if unit.lower() in _HINTS:
        raise _not_read(wanted, got, f": {_HINTS[unit.lower()]}")
    if not re.match(r"[A-Za-z\u00b0\u00b5\u03bc]", unit):
        raise _not_read(f"{wanted}: one number and one unit", got)
    for known in units:
        if known.lower() == unit.lower():
            raise _not_read(wanted, got, f": write {known} for {unit}")
    raise _not_read(wanted, got, f", whose unit {quoted(unit, 20)} is not one of {offered}")


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
