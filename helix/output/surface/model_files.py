"""A model as a file for other programs and for printing: STL, GLB or PLY; and what to know of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from helix.mechanics import limits
from helix.model.joint.section_names import SECTIONS
from helix.output.surface.mesh import MOST_TRIANGLES, WireMesh
from helix.output.surface.mesh_bytes import glb_bytes, ply_bytes, stl_bytes
from helix.output.surface.model_parts import PEG, Plate
from helix.output.words.answer_words import shortened
from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.output.surface.model import Surface

LEAST_LEG_D = 4.0
"""Of a standing leg that is worth keeping in a model, over the wire (an assumption)."""
SUFFIXES = (".stl", ".glb", ".ply")
_METAL = {"metallicFactor": 0.35, "roughnessFactor": 0.38, "baseColorFactor": [1.0, 1.0, 1.0, 1.0]}
"""The look of bright wire."""


def model_bytes(surface: Surface, suffix: str, scale: float = 1.0, title: str = "") -> bytes:
    """The surface as a file of that kind. STL and PLY in mm, GLB in metres, times `scale`.

    title: whose joint it is, told in the file's own words. STL holds the bare surface; other than at true size it lies flat, the joint along x. PLY and GLB hold colours and, for
    each vertex, its section (index into SECTIONS) and strain. GLB's node turns the joint so that viewers show it from the
    side.
    """
    told = f"helix, unit mm, {scale:g} times true size; "
    if suffix == ".stl":
        axes = (0, 1, 2) if scale == 1.0 else (2, 0, 1)
        return stl_bytes(surface, told + shortened(title, 80 - len(told)), scale, axes)
    if suffix == ".ply":
        sections = " ".join(f"{k}={name}" for k, name in enumerate(SECTIONS))
        return ply_bytes(surface, (told + title, f"_SECTION {sections}"), scale)
    extras = {"section_names": list(SECTIONS), "unit": "m", "times_true_size": scale, "title": title}
    side_on = np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]])  # z right, x up, y nearer
    return glb_bytes(surface, extras, scale / 1000.0, side_on, _METAL)


def size_lines(plate: Plate, units: UnitSystem, standing_mm: float | None = None) -> list[str]:
    """How large a model comes out, whether a printer's bed has room for it, and how its parts go together. standing_mm: of the standing
    leg in it, at true size."""
    sizes, scale = plate.sizes_mm, plate.scale
    lengths = _listed([_length(mm, units) for mm in sizes[:, 0]])
    times = "True size" if scale == 1.0 else f"{scale:g}x"
    cut = len(sizes) > len(plate.joints)
    parts = (
        "" if len(sizes) == 1 else f", {len(sizes)} parts side by side" if len(plate.joints) > 1 else ", in two parts"
    )
    lines = [f"{times}{parts}: {lengths} long, {_room(plate, units)}."]
    across, high = (_length(float(sizes[:, k].max()), units) for k in (1, 2))
    wire = _listed([_length(joint.d_mm * scale, units) for joint in plate.joints][: 1 if _alike(plate) else None])
    lines.append(f"{across} across, {high} high; the wire is {wire} thick.")
    if len(sizes) > 1:
        long, wide = (_length(mm, units) for mm in plate.size_mm)
        lines.append(f"All of it lies on a plate of {long} x {wide}.")
    if cut:
        lines.append(_pegs(plate, units))
    elif standing_mm is not None and (kept := leg_that_fits(plate, standing_mm)) is not None:
        lines.append(
            f"With {leg_words(kept, units)} of standing leg, in place of {_length(standing_mm, units)}, it fits at this scale."
        )
    elif plate.split:
        lines.append("Not cut in two: it fits as it is." if plate.fits else "It cannot be cut in two.")
    return lines + _too_thin(plate, units)


def leg_that_fits(plate: Plate, standing_mm: float) -> float | None:
    """Standing leg with which a model that is too long fits its bed, at true size to a whole mm [mm]; None where it fits, or where no
    leg of LEAST_LEG_D or more would do."""
    long, wide = plate.size_mm
    if plate.fits or plate.split or wide > plate.bed_mm:
        return None
    kept = math.floor(standing_mm - (long - plate.bed_mm) / plate.scale)
    return float(kept) if kept >= LEAST_LEG_D * max(joint.d_mm for joint in plate.joints) else None


def leg_words(mm: float, units: UnitSystem) -> str:
    """A standing leg of whole mm, as it can be typed.

    >>> leg_words(5.0, "metric"), leg_words(5.0, "inch")
    ('5 mm', '0.197 in')
    """
    return f"{mm:.0f} mm" if units == "metric" else format_length(mm, units)


def smaller_scales(plate: Plate) -> list[tuple[float, bool]]:
    """The scales that the bed has room for, where it has none for this one: whole, and in two parts where that is more."""
    if plate.fits:
        return []
    whole, halves = plate.fitting_scale(False), plate.fitting_scale(True)
    scales = [(whole, False)] if whole and not plate.split else []
    if halves and halves > (whole or 0.0):
        scales.append((min(halves, plate.scale), True))
    return scales or ([(whole, False)] if whole else [])


def model_lines(surface: Surface, meshes: Sequence[WireMesh], suffix: str) -> list[str]:
    """What programs make of a model's file: its triangles, its unit, how near the facets are to the wire."""
    quality = meshes[0].quality
    unit = "in metres" if suffix == ".glb" else "in mm"
    near = f"{100 * max(mesh.quality.tolerance_d for mesh in meshes):.2g} %"
    lines = [
        f"{len(surface.faces):,} triangles, {unit}; facets stay within {near} of the wire's diameter along a bend."
    ]
    if any(mesh.coarsened for mesh in meshes):
        lines.append(
            f"Coarsened to {quality.sides} sides and {near} to stay below {MOST_TRIANGLES:,} triangles: the joint is long."
        )
    return lines


def _room(plate: Plate, units: UnitSystem) -> str:
    """Whether the bed has room, and what scale it would have room for."""
    bed = f"bed of {_length(plate.bed_mm, units)}{' (a usual one, assumed)' if plate.assumed else ''}"
    if plate.fits:
        return f"fits a {bed}"
    if sum(plate.size_mm) <= math.sqrt(2.0) * plate.bed_mm:  # a rectangle at 45 deg in a square
        return f"fits a {bed} from corner to corner only{_others(plate)}"
    return f"fits no {bed}{_others(plate)}"


def _others(plate: Plate) -> str:
    """The scales that it would have room for along its side."""
    (first, cut), *others = [*smaller_scales(plate), (0.0, False)]
    does = f"; {first:g}x does{' in two parts' if cut and not plate.split else ''}" if first else ""
    return f"{does}{''.join(f', {scale:g}x in two parts' for scale, _ in others if scale)}"


def _pegs(plate: Plate, units: UnitSystem) -> str:
    ends = [span.ends for _, part in plate.parts for span in part.spans]
    if not any("peg" in pair for pair in ends):
        return "The wire is too thin for pegs: glue the cut ends."
    thick = _length(PEG * min(joint.d_mm for joint in plate.joints) * plate.scale, units)
    turned = any(pair == ("peg", "peg") for pair in ends)
    how = "turn the part with the eye into the other along the twist" if turned else "push the parts together"
    return f"Pegs of {thick} hold the parts: {how}."


def _too_thin(plate: Plate, units: UnitSystem) -> list[str]:
    d = min(joint.d_mm for joint in plate.joints)
    if d * plate.scale >= limits.THIN_MM:
        return []
    least = np.ceil(10 * limits.THIN_MM / d) / 10
    here, wanted = (format_length(mm, units) for mm in (d * plate.scale, limits.THIN_MM))
    return [f"Too thin to print: the wire is {here} thick here, most printers need {wanted}; take {least:g}x or more."]


def _alike(plate: Plate) -> bool:
    return len({joint.d_mm for joint in plate.joints}) == 1


def _length(mm: float, units: UnitSystem) -> str:
    """A printed length: to the nearest mm where it is long."""
    return f"{mm:,.0f} mm" if mm >= 20.0 and units == "metric" else format_length(mm, units)


def _listed(texts: Sequence[str]) -> str:
    """Some lengths of one unit with the unit once.

    >>> _listed(["276 mm", "246 mm"]), _listed(["276 mm"])
    ('276 and 246 mm', '276 mm')
    """
    *others, last = texts
    numbers = [text.rpartition(" ")[0] for text in others]
    return f"{', '.join(numbers)} and {last}" if numbers else last
