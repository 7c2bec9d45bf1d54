"""Wire sizes of the gauge families, with tensile strength and breaking load of each in every material."""

from __future__ import annotations

import math
from typing import ClassVar, Final

from helix import __version__
from helix.data.materials import Material, find_material, materials, strength_mpa
from helix.data.wire_sizes import WireSize, wire_sizes
from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.values import Result, hidden, result

SCHEMA: Final = 1


@result
class MaterialStrength:
    """Strength of one size in one material, and the breaking load of its straight wire."""

    material: str
    strength_low_mpa: float
    strength_mpa: float
    strength_high_mpa: float
    breaking_load_low_n: float
    breaking_load_n: float
    breaking_load_high_n: float
    source: str
    mark: str


@result
class ListedSize:
    """One size, with the materials whose tables reach to it."""

    size: str
    family: str
    number: int
    diameter_mm: float
    source: str
    materials: tuple[MaterialStrength, ...]


@result
class SizeList(Result):
    """The sizes and materials asked for."""

    rows_in: ClassVar = "sizes"
    schema: int
    version: str
    sizes: tuple[ListedSize, ...]
    materials: tuple[Material, ...] = hidden()


def list_sizes(family: str | None = None, material: str | None = None) -> SizeList:
    """The sizes of a family in a material; all of them for None. Raises ValidationError for a name not known.

    >>> listed = list_sizes("MWG", "music wire")
    >>> listed.sizes[0].size, [known.name for known in listed.materials]
    ('MWG 2', ['music wire'])
    """
    faults: list[ValidationIssue] = []
    sizes: tuple[WireSize, ...] = ()
    known: tuple[Material, ...] = ()
    try:
        sizes = wire_sizes(family)
    except ValueError as error:
        faults.append(argument_issue("family", str(error)))
    try:
        known = materials() if material is None else (find_material(material),)
    except ValueError as error:
        faults.append(argument_issue("material", str(error)))
    if faults:
        raise ValidationError(faults)
    return SizeList(
        schema=SCHEMA, version=__version__, sizes=tuple(_listed(size, known) for size in sizes), materials=known
    )


def _listed(size: WireSize, known: tuple[Material, ...]) -> ListedSize:
    strengths = (_strength(material, size.diameter_mm) for material in known)
    return ListedSize(
        size=size.name, family=size.family, number=size.number, diameter_mm=size.diameter_mm, source=size.source,
        materials=tuple(strength for strength in strengths if strength is not None),
    )  # fmt: skip


def _strength(material: Material, diameter_mm: float) -> MaterialStrength | None:
    try:
        strength = strength_mpa(material.name, diameter_mm)
    except ValueError:
        return None
    area = math.pi * diameter_mm**2 / 4.0
    return MaterialStrength(
        material=material.name, strength_low_mpa=strength.low, strength_mpa=strength.nominal,
        strength_high_mpa=strength.high, breaking_load_low_n=strength.low * area,
        breaking_load_n=strength.nominal * area, breaking_load_high_n=strength.high * area, source=strength.source,
        mark=strength.mark,
    )  # fmt: skip
