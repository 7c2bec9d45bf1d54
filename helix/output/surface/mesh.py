"""The wire as a closed surface, with colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.path import Path as WirePath
from helix.geometry.wire.rings import Rings, rings
from helix.model.joint.section_names import SECTIONS
from helix.output.shape.colouring import ColourBy, coloured
from helix.output.surface.self_contact import kept_apart
from helix.output.surface.tube import Tube, even_volume, tube
from helix.studies.shape.along import overlaps_along, severities, strain_along
from helix.studies.shape.bends import wound_along

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

Floats = NDArray[np.float64]

MOST_TRIANGLES = 1_000_000
"""Of a file. Twice as many took 600 MB to make and write."""
_TOUCHING = frozenset(("exit_standing", "twist_standing", "twist_tag", "exit_tag", "barrel", "stub"))


@dataclass(frozen=True)
class Quality:
    """sides: of the section. tolerance_d: how far a facet may leave the wire's surface along a bend [d]."""

    sides: int
    tolerance_d: float


QUALITIES = {"draft": Quality(12, 0.02), "normal": Quality(24, 0.0035), "fine": Quality(48, 0.0008)}


@dataclass(frozen=True)
class WireMesh:
    """The surface of a wire in mm, its section and strain on the vertices, and where its rings are.

    s_mm (n,): arc length of each ring; section (n,) index into SECTIONS; strain (n,) averaged over half a
    diameter. coarsened: the quality was lowered to keep the number of triangles in bounds.
    """

    tube: Tube
    s_mm: Floats
    section: NDArray[np.int64]
    strain: Floats
    quality: Quality
    coarsened: bool


def joint_meshes(result: ShapeResult, quality: Quality = QUALITIES["normal"]) -> list[WireMesh]:
    """The surface of each wire of a joint."""
    paths, d = result.joint.layout.paths, result.recipe.wire.diameter_mm
    return [wire_mesh(path, d, quality, [other for other in paths if other is not path]) for path in paths]


def wire_mesh(
    path: WirePath, d_mm: float, quality: Quality = QUALITIES["normal"], others: Sequence[WirePath] = ()
) -> WireMesh:
    """Sweep a wire of diameter d_mm along a path (in wire diameters); one closed body, caps included.

    others: wires beside it that it touches. Rings stand close together in bends. Where that would take over MOST_TRIANGLES, sides and rings are
    thinned out. Parts that touch do not cut into each other. Raises ValueError where even the coarsest would be too much.
    """
    stations, used = _within_bounds(path, quality)
    names = np.array([SECTIONS.index(p.section) if p.section in SECTIONS else 0 for p in path.pieces])
    section, strain = names[stations.piece], strain_along(path).at(stations.s)
    body = tube(
        stations.points, stations.tangents, 1.0, sides=used.sides, section=section, scalar=strain,
        widening=even_volume(stations.points, stations.tangents),
    )  # fmt: skip
    body = kept_apart(body, path, stations, used.tolerance_d, others)
    body = replace(body, vertices=body.vertices * d_mm)
    return WireMesh(body, stations.s * d_mm, section, strain, used, used != quality)


def mesh_colours(mesh: WireMesh, result: ShapeResult, by: ColourBy, wire: int = 0) -> NDArray[np.uint8]:
    """Colour (v, 3) of each vertex of one of the wires, 0 to 255."""
    d, start = result.recipe.wire.diameter_mm, result.joint.wire_starts_d[wire]
    inside = np.zeros(len(mesh.s_mm), dtype=bool)
    for low, high in overlaps_along(result):
        inside |= (mesh.s_mm >= (low - start) * d) & (mesh.s_mm <= (high - start) * d)
    strain = np.maximum(mesh.strain, wound_along(result.joint, np.array(SECTIONS)[mesh.section]))
    rgb = coloured(by, mesh.section, strain, severities(result), inside, s_d=mesh.s_mm / d).rgb
    rgb = np.concatenate((np.repeat(rgb, mesh.tube.sides, axis=0), rgb[[0, -1]]))
    return np.round(255.0 * rgb).astype(np.uint8)


def _within_bounds(path: WirePath, quality: Quality) -> tuple[Rings, Quality]:
    used = quality
    while True:
        stations = rings(path, used.tolerance_d, close=_TOUCHING)
        if 2 * len(stations.s) * used.sides <= MOST_TRIANGLES:
            return stations, used
        if used.tolerance_d > 0.1:
            raise ValueError(f"the wire is too long to draw: {path.length:,.0f} d, over {MOST_TRIANGLES:,} triangles")
        used = replace(used, sides=max(used.sides * 3 // 4, 8), tolerance_d=1.6 * used.tolerance_d)
