"""Quantities read from text with a unit: in mm, rad, N, MPa, kg/m3 and kg.

Why this is a reader of our own: docs/decisions/0002-unit-reader.md.
"""

from __future__ import annotations

import math
import re
from typing import Final, Literal, TypeAlias

from helix.errors import InputValueError, quoted
from helix.units import (
    KG_M3_PER_LB_IN3,
    KG_PER_LB,
    MM_PER_INCH,
    MPA_PER_KSI,
    MPA_PER_PSI,
    N_PER_KGF,
    N_PER_LBF,
    RAD_PER_DEG,
)

Dimension: TypeAlias = Literal["length", "angle", "force", "stress", "density", "mass", "none"]

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
