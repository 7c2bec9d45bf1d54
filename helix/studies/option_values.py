"""Values of a study's options, from their text: each is checked, and its fault is gathered with the others."""

from __future__ import annotations

import math
from typing import Final

from helix.errors import ValidationIssue, quoted
from helix.units import RAD_PER_DEG, Dimension, parse

MOST_SCALE: Final = 1000.0
FaultList = list[ValidationIssue | None]
"""Where faults are gathered; None stands for a check that found none."""


def number(text: str) -> float | None:
    """A finite number; None where the text is none.

    >>> number("0.5"), number("nan"), number("half")
    (0.5, None, None)
    """
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def whole_number(name: str, text: str | None, usual: int, least: int, most: int, faults: FaultList) -> int:
    """A whole number within limits; the usual one where none is given, or after noting a fault."""
    if text is None:
        return usual
    plain = text.strip()
    if plain.isascii() and plain.isdigit() and len(plain) < 20 and least <= int(plain) <= most:
        return int(plain)
    faults.append(ValidationIssue(name, f"must be a whole number from {least} to {most:,}; got {quoted(text)}"))
    return usual


def read_quantity(
    name: str, text: str | None, dimension: Dimension, faults: list[ValidationIssue] | FaultList
) -> float | None:
    """A quantity in helix's own unit, whatever its size; None where none is given or it cannot be read."""
    if text is None:
        return None
    try:
        return parse(text, dimension)
    except ValueError as error:
        faults.append(ValidationIssue(name, str(error)))
        return None


def quantity(
    name: str, text: str | None, dimension: Dimension, most: float, faults: FaultList, least: float = 0.0
) -> float | None:
    """A quantity above 0, or from `least` up, in helix's own unit; None where none is given or it has a fault."""
    value = read_quantity(name, text, dimension, faults)
    if value is None or text is None:
        return None
    if not least <= value <= most or value == 0.0:
        low = f"at least {least:g}" if least else "above 0"
        unit = {"force": " N", "length": " mm"}.get(dimension, "")
        faults.append(ValidationIssue(name, f"must be {low} and at most {most:g}{unit}; got {quoted(text)}"))
        return None
    return value


def force(name: str, text: str | None, faults: FaultList) -> float | None:
    """A force above 0 in N; None where none is given or it has a fault."""
    if text is None:
        return None
    try:
        value = parse(text, "force")
    except ValueError as error:
        faults.append(ValidationIssue(name, str(error)))
        return None
    if value <= 0.0:
        faults.append(ValidationIssue(name, f"must be above 0; got {quoted(text)}"))
        return None
    return value


def share(name: str, text: str | None, faults: FaultList) -> float | None:
    """A reduction of area, above 0 and below 1; None where none is given or it has a fault."""
    if text is None:
        return None
    value = number(text)
    if value is None or not 0.0 < value < 1.0:
        faults.append(
            ValidationIssue(
                name, f"must be above 0 and below 1 (a reduction of area of 52 % is 0.52); got {quoted(text)}"
            )
        )
        return None
    return value


def seconds(text: str | None, faults: FaultList) -> float | None:
    """How long to search for the best cutting list; None where it is left open."""
    if text is None:
        return None
    value = number(text)
    if value is not None and 0.1 <= value <= 3600.0:
        return value
    faults.append(ValidationIssue("--seconds", f"must be a number from 0.1 to 3600; got {quoted(text)}"))
    return None


def plus_or_minus(
    name: str, text: str | None, dimension: Dimension, d_mm: float, usual: float, most: float, faults: FaultList
) -> float:
    """Plus or minus of a kind of size, in deg, mm or turns."""
    if text is None:
        return usual
    try:
        value = parse(text, dimension, d_mm) / (RAD_PER_DEG if dimension == "angle" else 1.0)
    except ValueError as error:
        faults.append(ValidationIssue(name, str(error)))
        return usual
    if not 0.0 < value <= most:
        unit = {"angle": " deg", "length": " mm", "none": ""}[dimension]
        faults.append(ValidationIssue(name, f"must be above 0 and at most {most:.4g}{unit}; got {quoted(text)}"))
        return usual
    return value


def times(name: str, text: str | None, faults: FaultList) -> float:
    """How many times true size a model is to be; 1 where it is left open."""
    if text is None:
        return 1.0
    value = number(text)
    if value is not None and 0.001 <= value <= MOST_SCALE:
        return value
    faults.append(ValidationIssue(name, f"must be a number from 0.001 to {MOST_SCALE:g}; got {quoted(text)}"))
    return 1.0


def kept_length(name: str, text: str | None, d_mm: float | None, faults: FaultList) -> float | None:
    """A length to keep of the standing leg; None where it is left open or has a fault."""
    if text is None:
        return None
    try:
        length = parse(text, "length", d_mm)
    except ValueError as error:
        faults.append(ValidationIssue(name, str(error)))
        return None
    if not 0.0 < length <= 1e6:
        faults.append(ValidationIssue(name, f"must be above 0; got {quoted(text)}"))
    return length
