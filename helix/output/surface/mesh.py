"""The wire as a closed surface for other programs and for printing: STL, GLB or PLY, through trimesh."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from helix.geometry.wire.path import Path as WirePath
from helix.geometry.wire.rings import Rings, rings
from helix.mechanics import limits
from helix.model.joint.section_names import SECTIONS
from helix.output.shape.colouring import ColourBy, coloured
from helix.output.surface.self_contact import kept_apart
from helix.output.surface.tube import Tube, even_volume, tube
from helix.studies.shape.along import overlaps_along, severities, strain_along
from helix.studies.shape.bends import wound_along

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

Floats = NDArray[np.float64]

SUFFIXES = (".stl", ".glb", ".ply")
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


def wire_mesh(path: WirePath, d_mm: float, quality: Quality = QUALITIES["normal"]) -> WireMesh:
    """Sweep a wire of diameter d_mm along a path (in wire diameters); one closed body, caps included.

    Rings stand close together in bends. Where that would take over MOST_TRIANGLES, sides and rings are
    thinned out. Parts that touch do not cut into each other. Raises ValueError where even the coarsest would be too much.
    """
    stations, used = _within_bounds(path, quality)
    names = np.array([SECTIONS.index(p.section) if p.section in SECTIONS else 0 for p in path.pieces])
    section, strain = names[stations.piece], strain_along(path).at(stations.s)
    body = tube(
        stations.points, stations.tangents, 1.0, sides=used.sides, section=section, scalar=strain,
        widening=even_volume(stations.points, stations.tangents),
    )  # fmt: skip
    body = kept_apart(body, path, stations, used.tolerance_d)
    body = replace(body, vertices=body.vertices * d_mm)
    return WireMesh(body, stations.s * d_mm, section, strain, used, used != quality)


def mesh_colours(mesh: WireMesh, result: ShapeResult, by: ColourBy) -> NDArray[np.uint8]:
    """Colour (v, 3) of each vertex, 0 to 255."""
    d = result.recipe.wire.diameter_mm
    inside = np.zeros(len(mesh.s_mm), dtype=bool)
    for low, high in overlaps_along(result):
        inside |= (mesh.s_mm >= low * d) & (mesh.s_mm <= high * d)
    strain = np.maximum(mesh.strain, wound_along(result.joint, np.array(SECTIONS)[mesh.section]))
    rgb = coloured(by, mesh.section, strain, severities(result), inside, s_d=mesh.s_mm / d).rgb
    rgb = np.concatenate((np.repeat(rgb, mesh.tube.sides, axis=0), rgb[[0, -1]]))
    return np.round(255.0 * rgb).astype(np.uint8)


def mesh_bytes(mesh: WireMesh, suffix: str, colours: NDArray[np.uint8], scale: float = 1.0) -> bytes:
    """The mesh as a file of that kind; colours (v, 3). STL and PLY in mm, GLB in metres, times `scale`.

    STL holds the bare surface. PLY and GLB hold colours and, for each vertex, its section (index into
    SECTIONS) and strain. GLB's node turns the joint so that viewers show it from the side.
    """
    import trimesh

    factor = scale / 1000.0 if suffix == ".glb" else scale
    body = trimesh.Trimesh(
        vertices=mesh.tube.vertices * factor, faces=mesh.tube.faces, vertex_normals=mesh.tube.normals, process=False
    )
    if suffix == ".stl":
        return _named(body.export(file_type="stl"), scale)
    body.visual.vertex_colors = np.concatenate((colours, np.full((len(colours), 1), 255, np.uint8)), axis=1)
    body.vertex_attributes["_SECTION"] = mesh.tube.section.astype(np.float32)
    body.vertex_attributes["_STRAIN"] = mesh.tube.scalar.astype(np.float32)
    if suffix == ".ply":
        return _commented(body.export(file_type="ply"), scale)
    body.metadata = {"section_names": list(SECTIONS), "unit": "m", "times_true_size": scale}
    side_on = np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]])  # z right, x up, y nearer
    scene = trimesh.Scene()
    scene.add_geometry(body, node_name="wire", geom_name="wire", transform=side_on)
    data = scene.export(file_type="glb", include_normals=True, tree_postprocessor=_metal)
    return bytes(data)


def mesh_lines(mesh: WireMesh, result: ShapeResult, suffix: str, scale: float) -> list[str]:
    """What people need to know about a mesh file: its size and unit, and what to look out for."""
    d = result.recipe.wire.diameter_mm
    extent = np.ptp(mesh.tube.vertices, axis=0) * scale
    times = "true size" if scale == 1.0 else f"{scale:g} times true size"
    unit = "in metres" if suffix == ".glb" else "in mm"
    lines = [
        (
            f"{len(mesh.tube.faces):,} triangles, {unit}, {times}: "
            f"{extent[2]:.4g} mm long, {extent[0]:.3g} x {extent[1]:.3g} mm across, wire {d * scale:.3g} mm thick."
        ),
        f"Facets stay within {100 * mesh.quality.tolerance_d:.2g} % of the wire's diameter along a bend.",
    ]
    standing = result.recipe.finish.standing_mm * scale
    if scale != 1.0 and standing > extent[2] / 2:
        lines.append(f"The standing leg takes {standing:.4g} mm of that; a shorter one can be kept.")
    if mesh.coarsened:
        lines.append(
            f"Coarsened to {mesh.quality.sides} sides and {100 * mesh.quality.tolerance_d:.2g} % to stay below "
            f"{MOST_TRIANGLES:,} triangles: the joint is long."
        )
    if d * scale < limits.THIN_MM and (suffix == ".stl" or scale != 1.0):
        lines.append(
            f"Too thin to print: the wire is {d * scale:.2g} mm thick here, most printers need {limits.THIN_MM:g} mm; "
            f"take a scale of {np.ceil(10 * limits.THIN_MM / d) / 10:g} or more."
        )
    return lines


def _within_bounds(path: WirePath, quality: Quality) -> tuple[Rings, Quality]:
    used = quality
    while True:
        stations = rings(path, used.tolerance_d, close=_TOUCHING)
        if 2 * len(stations.s) * used.sides <= MOST_TRIANGLES:
            return stations, used
        if used.tolerance_d > 0.1:
            raise ValueError(f"the wire is too long to draw: {path.length:,.0f} d, over {MOST_TRIANGLES:,} triangles")
        used = replace(used, sides=max(used.sides * 3 // 4, 8), tolerance_d=1.6 * used.tolerance_d)


def _named(stl: bytes, scale: float) -> bytes:
    """STL has no unit; say it in the 80 characters that nobody reads but people."""
    return f"helix, unit mm, {scale:g} times true size".encode("ascii").ljust(80)[:80] + stl[80:]


def _commented(ply: bytes, scale: float) -> bytes:
    names = " ".join(f"{k}={name}" for k, name in enumerate(SECTIONS))
    words = f"comment helix, unit mm, {scale:g} times true size\ncomment _SECTION {names}\n"
    return ply.replace(b"element vertex", words.encode("ascii") + b"element vertex", 1)


def _metal(tree: dict[str, Any]) -> None:
    """Give every part of a GLB file the look of bright wire."""
    look = {"metallicFactor": 0.35, "roughnessFactor": 0.38, "baseColorFactor": [1.0, 1.0, 1.0, 1.0]}
    tree["materials"] = [{"name": "wire", "pbrMetallicRoughness": look}]
    for mesh in tree["meshes"]:
        for primitive in mesh["primitives"]:
            primitive["material"] = 0
