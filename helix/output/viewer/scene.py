"""The joint as data for the viewer of helix's pages: rings along the wire, colours, labels, forming steps.

The keys are described in docs/sheet-and-viewer.md.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from helix.output.picture.closeup.closeups import close_ups
from helix.output.picture.view import VisiblePart, shown_part
from helix.output.shape.colouring import COLOUR_BY, Legend, coloured, hex_of, ramp, rgb
from helix.output.shape.labels import bend_callouts, part_callouts
from helix.output.surface.tube import rotation_minimising_frame
from helix.studies.shape.along import overlaps_along, severities, strain_of
from helix.studies.shape.outline import Draft, Outline
from helix.studies.shape.shape import ShapeResult
from helix.units import UnitSystem

SCHEMA = 1
METAL = "#cfd3d7"
STEP_D = 0.1
"""Distance of the rings in wire diameters."""
_MOST_RINGS = 12_000
_NAMES = {"plain": "Bare wire", "verdict": "Verdict", "strain": "Strain", "section": "Parts"}
_ORDER = ("plain", "verdict", "strain", "section")
_RAMP_STEPS = 32


def scene(result: Outline, units: UnitSystem = "metric", *, step_d: float = STEP_D) -> dict[str, Any]:
    """The joint as the viewer takes it, ready for JSON; lengths in mm.

    step_d: distance of the rings in wire diameters (longer where the joint would need over 12 000).
    Its forming steps, if wanted, go under `steps` and `palettes` (helix.output.viewer.scene_steps).
    """
    d = result.recipe.wire.diameter_mm
    step_d = max(step_d, result.joint.own_d / _MOST_RINGS)
    shown = shown_part(result.joint, step_d, result.line(step_d) if isinstance(result, Draft) else None)
    colours, legends = _colours(result, shown)
    wire = rings_record(shown.points_mm, shown.tangents, d, [(p.start, p.stop) for p in shown.pieces], colours)
    wire["section"] = packed(shown.section, "u1")
    return {
        "schema": SCHEMA,
        "units": units,
        "diameter_mm": d,
        "sections": list(shown.names),
        "wire": wire,
        "legends": legends,
        "notes": _notes(result, shown, units),
        "angles": _angles(result, shown) if isinstance(result, ShapeResult) else [],
    }


def rings_record(
    points_mm: ArrayLike,
    tangents: ArrayLike,
    d_mm: float,
    pieces: Iterable[tuple[int, int]] | None = None,
    colours: Mapping[str, NDArray[np.float64]] | None = None,
) -> dict[str, Any]:
    """Rings of a wire for the viewer: middles, tangents and one normal each, in base64; colours (n, 3), 0 to 1.

    pieces: row ranges (first, past the last) of each unbroken length; none: all of it. Points (n, 3) in mm
    are kept in single precision, unit vectors in 1/32767.
    """
    points, along = np.asarray(points_mm, dtype=float), np.asarray(tangents, dtype=float)
    runs = [(0, len(points))] if pieces is None else [(int(a), int(b)) for a, b in pieces]
    side = np.concatenate([rotation_minimising_frame(points[a:b], along[a:b])[0] for a, b in runs])
    bare = np.broadcast_to(rgb(METAL), (len(points), 3))
    return {
        "radius": d_mm / 2.0,
        "pieces": [list(run) for run in runs],
        "middle": packed(points, "<f4"),
        "along": packed(np.round(along * 32767.0), "<i2"),
        "side": packed(np.round(side * 32767.0), "<i2"),
        "colours": {
            name: packed(np.round(255.0 * np.clip(value, 0.0, 1.0)), "u1")
            for name, value in ({"plain": bare} if colours is None else colours).items()
        },
    }


def _colours(result: Outline, shown: VisiblePart) -> tuple[dict[str, NDArray[np.float64]], dict[str, dict[str, Any]]]:
    d = shown.d_mm
    strain = strain_of(result).at(shown.s_mm / d)
    grave = severities(result)
    s_d = shown.s_mm / d
    overlapping = np.zeros(len(s_d), dtype=bool)
    for low, high in overlaps_along(result):
        overlapping |= (s_d >= low) & (s_d <= high)
    colours: dict[str, NDArray[np.float64]] = {}
    legends: dict[str, dict[str, Any]] = {}
    for by in _ORDER:
        if by not in COLOUR_BY:
            continue
        shades = coloured(by, shown.section, strain, grave, overlapping, s_d=s_d, metal=METAL, names=shown.names)
        colours[by], legends[by] = shades.rgb, _legend(by, shades.legend)
    return colours, legends


def _legend(by: str, legend: Legend) -> dict[str, Any]:
    made: dict[str, Any] = {
        "name": _NAMES[by],
        "title": legend.title,
        "entries": [{"text": e.text, "colours": list(e.colours)} for e in legend.entries],
        "note": legend.note,
    }
    if legend.scale is not None:
        shades = ramp((np.arange(_RAMP_STEPS) + 0.5) / _RAMP_STEPS)
        made |= {
            "scale": list(legend.scale),
            "ticks": [list(tick) for tick in legend.ticks],
            "ramp": [hex_of(shade) for shade in shades],
        }
    return made


def _notes(result: Outline, shown: VisiblePart, units: UnitSystem) -> list[dict[str, Any]]:
    parts = [(call, True) for call in part_callouts(result, shown, units)]
    flags = [(call, False) for call in bend_callouts(result, shown, units)]
    return [
        {
            "name": call.name,
            "part": part,
            "title": call.title,
            **({"short": call.short} if call.short else {}),
            "lines": [line for line in call.lines if line],
            "verdict": "" if call.severity is None else call.severity.word,
            "point": [round(float(v), 4) for v in call.point_mm],
            "also": [[round(float(v), 4) for v in place] for place in call.also_mm],
        }
        for call, part in (*parts, *flags)
    ]


def _angles(result: ShapeResult, shown: VisiblePart) -> list[dict[str, Any]]:
    """The angles that can be seen on the bench, each with its corner and the directions of the two wires from there."""
    angles = [(panel.name, panel.angle) for panel in close_ups(result, shown)]
    return [
        {
            "name": name,
            "text": f"{angle.size_deg:.0f} deg",
            "past": angle.is_past,
            "corner": [round(float(v), 4) for v in angle.corner_mm],
            "ways": [[round(float(v), 6) for v in way] for way in (angle.first, angle.second)],
        }
        for name, angle in angles
        if angle is not None
    ]


def outermost(places: NDArray[np.float64]) -> NDArray[np.float64]:
    """As many places as every view has: of some (n, 3) those farthest out towards the 26 sides, edges and corners of a cube."""
    ways = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
    farthest: NDArray[np.float64] = places[np.argmax(ways @ places.T, axis=1)]
    return farthest


def packed(values: ArrayLike, kind: str) -> str:
    """Numbers as base64 of numpy's type `kind`, little-endian."""
    return base64.b64encode(np.ascontiguousarray(values, dtype=kind).tobytes()).decode("ascii")
