"""Wire materials: tensile strength by diameter, moduli, density, each with its source and mark.

A strength is read from the bin of a standard's table, never interpolated. Nominal is the middle of
the bin's lowest and highest value.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any, Final

from helix.data.tables import DATA_FOLDER, table
from helix.errors import quoted
from helix.units import MM_PER_INCH, MPA_PER_KSI, format_length

_EDGE: Final = 1e-9  # relative: a diameter that is a bin's edge but for rounding belongs to that bin


@dataclass(frozen=True)
class Strength:
    """Tensile strength of one wire in MPa. source: the table; mark: "pub", "rep", "mem" or "assumed"."""

    low: float
    nominal: float
    high: float
    source: str
    mark: str


@dataclass(frozen=True)
class StrengthBin:
    """One row of a strength table: over `over_mm` up to and including `up_to_mm`, strength in MPa."""

    over_mm: float
    up_to_mm: float
    low_mpa: float
    high_mpa: float


@dataclass(frozen=True)
class Material:
    """One wire material. Moduli in MPa, density in kg/m3, strength by bins of diameter.

    strength_mark: the mark of the table's lowest values; *_source: source with its mark in brackets.
    """

    name: str
    aliases: tuple[str, ...]
    modulus_mpa: float
    shear_modulus_mpa: float
    modulus_source: str
    density_kg_m3: float
    density_source: str
    bins: tuple[StrengthBin, ...]
    strength_source: str
    strength_mark: str


@cache
def materials() -> tuple[Material, ...]:
    """Return every material known, in the order of the file.

    Returns
    -------
    tuple of Material

    Examples
    --------
    >>> [material.name for material in materials()][:2]
    ['302 stainless', 'music wire']
    """
    with (DATA_FOLDER / "materials.toml").open("rb") as stream:
        return tuple(_material(entry) for entry in tomllib.load(stream)["material"])


def find_material(name: str) -> Material:
    """Find the material of a name or alias, capitals and spaces aside.

    Parameters
    ----------
    name : str
        Its name.

    Returns
    -------
    Material

    Raises
    ------
    ValueError
        Where there is none; the message is ready to stand after the name of the key, and names the nearest.

    Examples
    --------
    >>> find_material("302 Stainless").modulus_mpa
    193000.0
    """
    names = {_plain(alias): material for material in materials() for alias in (material.name, *material.aliases)}
    value = names.get(_plain(name))
    if value:
        return value
    family = families().get(_plain(name))
    if family is not None:
        fitting = ", ".join(quoted(one) for one in family)
        wanted = (
            f"must name one material, such as {fitting}" if family else f"must be a material of the tables, {_listed()}"
        )
        raise ValueError(f"{wanted}; got {quoted(name)}{'' if family else ', which none of them is'}")
    near = get_close_matches(_plain(name), names, n=1, cutoff=0.6)
    hint = f'; did you mean "{names[near[0]].name}"?' if near else ""
    raise ValueError(f"must be a material of the tables, {_listed()}; got {quoted(name)}{hint}")


def _listed() -> str:
    return ", ".join(quoted(material.name) for material in materials())


@cache
def families() -> dict[str, tuple[str, ...]]:
    """Return names that people say for several materials, or for one that is not in the tables, with those that fit.

    Returns
    -------
    dict of str to tuple of str

    Examples
    --------
    >>> families()["stainless"][:2], families()["galvanised"]
    (('302 stainless', '1.4310 normal strength'), ())
    """
    with (DATA_FOLDER / "materials.toml").open("rb") as stream:
        return {name: tuple(entry["fits"]) for entry in tomllib.load(stream)["family"] for name in entry["names"]}


def strength_mpa(material: str, diameter_mm: float) -> Strength:
    """Return the tensile strength of a material at a diameter, from its table's bin.

    Parameters
    ----------
    material : str
        Name or alias.
    diameter_mm : float
        Diameter of the wire [mm].

    Returns
    -------
    Strength
        Low, nominal (their middle) and high [MPa], with source and mark.

    Raises
    ------
    ValueError
        For an unknown material, and for a diameter that the table does not cover, with the range that it does cover.

    Examples
    --------
    >>> answer = strength_mpa("302 stainless", 0.7366)
    >>> round(answer.low), round(answer.nominal), round(answer.high), answer.mark
    (1965, 2068, 2172, 'rep')
    """
    known = find_material(material)
    row = _bin_of(known, diameter_mm)
    if row is not None:
        middle = (row.low_mpa + row.high_mpa) / 2
        return Strength(row.low_mpa, middle, row.high_mpa, known.strength_source, known.strength_mark)
    others = ", ".join(quoted(other.name) for other in materials() if _bin_of(other, diameter_mm))
    hint = f"; listed for that diameter: {others}" if others else ""
    near = any(
        format_length(edge) == format_length(diameter_mm) for row in known.bins for edge in (row.over_mm, row.up_to_mm)
    )
    raise ValueError(
        f"{quoted(known.name)} is listed here {_covered(known, exactly=near)}; got {_both(diameter_mm, exactly=near)}{hint}"
    )


def _bin_of(material: Material, diameter_mm: float) -> StrengthBin | None:
    """Find the row of a material's table for a diameter; None where it has none."""
    reach = (row for row in material.bins if row.over_mm * (1 + _EDGE) < diameter_mm <= row.up_to_mm * (1 + _EDGE))
    return next(reach, None)


def _covered(material: Material, *, exactly: bool) -> str:
    """Return the ranges of diameter that the table covers, in words; exactly: with a digit more."""
    runs: list[list[float]] = []
    for diameter_bin in material.bins:
        if runs and diameter_bin.over_mm == runs[-1][1]:
            runs[-1][1] = diameter_bin.up_to_mm
        else:
            runs.append([diameter_bin.over_mm, diameter_bin.up_to_mm])
    return " or ".join(
        f"over {_both(low, exactly=exactly)} up to {_both(high, exactly=exactly)}"
        if low > 0
        else f"up to {_both(high, exactly=exactly)}"
        for low, high in runs
    )


def _both(mm: float, *, exactly: bool) -> str:
    return f"{mm:.5g} mm" if exactly else f"{format_length(mm)} ({format_length(mm, 'inch')})"


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _material(entry: dict[str, Any]) -> Material:
    strength = entry["strength"]
    return Material(
        name=entry["name"],
        aliases=tuple(entry["aliases"]),
        modulus_mpa=entry["modulus_gpa"] * 1000.0,
        shear_modulus_mpa=entry["shear_modulus_gpa"] * 1000.0,
        modulus_source=entry["modulus_source"],
        density_kg_m3=entry["density_kg_m3"],
        density_source=entry["density_source"],
        bins=_bins(strength),
        strength_source=strength["source"],
        strength_mark=strength["mark"],
    )


def _bins(strength: dict[str, Any]) -> tuple[StrengthBin, ...]:
    if "table" not in strength:
        return (StrengthBin(0.0, math.inf, strength["low_mpa"], strength["high_mpa"]),)
    to_mm, to_mpa = (MM_PER_INCH, MPA_PER_KSI) if strength["unit"] == "inch" else (1.0, 1.0)
    bins = []
    over = strength.get("first_over", 0.0) * to_mm
    for row in table(strength["table"]):
        up_to = float(row[strength["diameter"]]) * to_mm
        low = row[strength["low"]]
        if low:
            high = float(row[strength["high"]]) if "high" in strength else float(low) + strength["band_mpa"]
            bins.append(StrengthBin(over, up_to, float(low) * to_mpa, high * to_mpa))
        over = up_to
    return tuple(bins)
