"""Meshes, their files and pictures, in a warm process; jobs of benches/warm.py.

.venv/bin/python scripts/benches/mesh.py    prints the volume error of all three meshes
"""

from __future__ import annotations

import sys
import tempfile
import unittest.mock
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benches.warm import RECIPE, ROOT, Sides, Work

if TYPE_CHECKING:
    import numpy as np

RINGS, SIDES = 4000, 24


def centre_line() -> tuple[np.ndarray, np.ndarray, float, float]:
    """Points, tangents, the wire's diameter and the exact volume of the demo joint's wire, in mm."""
    import numpy as np

    from helix.model.joint.joint import build_joint
    from helix.model.recipe.recipe import read_recipe

    joint = build_joint(read_recipe(RECIPE))
    d = joint.diameter_mm
    line = joint.sample(joint.wire_mm / d / (RINGS - 30))
    rows = np.linspace(0, len(line.s_mm) - 1, RINGS).round().astype(int)
    return line.points_mm[rows], line.tangents[rows], d, float(np.pi * d**2 / 4 * joint.wire_mm)


def ours(points: np.ndarray, tangents: np.ndarray, d: float) -> Callable[[], Any]:
    from helix.output.surface.tube import even_volume, tube

    return lambda: tube(points, tangents, d, sides=SIDES, widening=even_volume(points, tangents))


def by_trimesh(points: np.ndarray, d: float) -> Callable[[], Any]:
    """trimesh's sweep; its section comes triangulated, which saves it that and an optional package."""
    import numpy as np
    import trimesh

    turn = 2 * np.pi * np.arange(SIDES) / SIDES
    section = d / 2 * np.stack((np.cos(turn), np.sin(turn)), axis=1)
    fan = np.stack((np.zeros(SIDES - 2, int), np.arange(1, SIDES - 1), np.arange(2, SIDES)), axis=1)

    def sweep() -> Any:
        with unittest.mock.patch.object(trimesh.creation, "triangulate_polygon", lambda polygon, **how: (section, fan)):
            return trimesh.creation.sweep_polygon(None, points)

    return sweep


def by_vtk(points: np.ndarray, d: float) -> Callable[[], Any]:
    """VTK's filter as it is; its strips would still have to be cut into triangles and its caps joined."""
    import pyvista
    from vtkmodules.vtkFiltersCore import vtkTubeFilter

    line = pyvista.MultipleLines(points=points)

    def sweep() -> Any:
        swept = vtkTubeFilter()
        swept.SetInputData(line)
        swept.SetRadius(d / 2)
        swept.SetNumberOfSides(SIDES)
        swept.CappingOn()
        swept.Update()
        return swept.GetOutput()

    return sweep


def swept(peer: str) -> Sides:
    """The demo joint's wire swept along 4,000 rings of 24 sides, against one peer; the error is that of the volume."""
    points, tangents, d, exact = centre_line()
    peers: dict[str, Callable[[], Work]] = {
        "trimesh's sweep": lambda: by_trimesh(points, d),
        "VTK's tube filter": lambda: by_vtk(points, d),
    }

    def error(mesh: Any) -> float:
        return abs(volume_of(mesh) / exact - 1.0)

    return Sides(ours(points, tangents, d), {peer: peers[peer]}, error)


def volume_of(mesh: Any) -> float:
    """Volume of whatever a side has made."""
    from helix.output.surface.tube import Tube, volume

    if isinstance(mesh, Tube):
        return volume(mesh)
    if hasattr(mesh, "triangles"):
        return float(mesh.volume)
    import pyvista

    return float(pyvista.wrap(mesh).triangulate().volume)


def exported() -> Sides:
    """The mesh as it is written, its touching parts kept out of each other, and the plain sweep along 4,000 rings."""
    from helix.output.surface.mesh import joint_meshes

    result = shape_of_demo()
    points, _, d, exact = centre_line()
    peers: dict[str, Callable[[], Work]] = {"trimesh's sweep": lambda: by_trimesh(points, d)}
    return Sides(lambda: joint_meshes(result)[0].tube, peers, lambda made: abs(volume_of(made) / exact - 1.0))


def shape_of_demo() -> Any:
    from helix.model.recipe.recipe import read_recipe
    from helix.studies.shape.shape import shape

    return shape(read_recipe(RECIPE))


def written(suffix: str) -> Sides:
    """The demo joint's surface as the bytes of a file; every peer has its own object of it before the clock starts."""
    from helix.output.surface.mesh import joint_meshes, mesh_colours
    from helix.output.surface.model import whole_surface
    from helix.output.surface.model_files import model_bytes

    result = shape_of_demo()
    (mesh,) = joint_meshes(result)
    surface = whole_surface(mesh, mesh_colours(mesh, result, "verdict"))

    def trimesh_writer() -> Work:
        import trimesh

        body = trimesh.Trimesh(surface.vertices, surface.faces, vertex_normals=surface.normals, process=False)
        if suffix != ".stl":
            body.visual.vertex_colors = surface.colours
        return lambda: body.copy().export(file_type=suffix[1:])

    def meshio_writer() -> Work:
        import meshio

        names = () if suffix == ".stl" else ("nx", "ny", "nz", "red", "green", "blue", "alpha")
        columns = (*surface.normals.T, *surface.colours.T)
        beside = {name: column.copy() for name, column in zip(names, columns, strict=False)}
        body = meshio.Mesh(surface.vertices, [("triangle", surface.faces.astype("int32"))], point_data=beside)
        file = Path(tempfile.gettempdir()) / f"bench{suffix}"
        return lambda: body.write(file, binary=True)

    def vtk_writer() -> Work:
        import pyvista
        from vtkmodules import vtkIOGeometry, vtkIOPLY

        body = pyvista.make_tri_mesh(surface.vertices, surface.faces)
        body.point_data["colours"] = surface.colours
        file = str(Path(tempfile.gettempdir()) / f"bench{suffix}")

        def work() -> None:
            writer: Any = vtkIOGeometry.vtkSTLWriter() if suffix == ".stl" else vtkIOPLY.vtkPLYWriter()
            writer.SetFileTypeToBinary()
            writer.SetInputData(body)
            writer.SetFileName(file)
            writer.Write()

        return work

    peers: dict[str, Callable[[], Work]] = {"trimesh": trimesh_writer}
    if suffix != ".glb":
        peers |= {"meshio": meshio_writer, "vtk": vtk_writer}
    return Sides(lambda: model_bytes(surface, suffix), peers)


def picture() -> Sides:
    from helix.output.canvas.canvas import png_bytes
    from helix.output.picture.picture import picture_pixels

    result = shape_of_demo()
    return Sides(lambda: png_bytes(picture_pixels(result)))


def volumes() -> dict[str, float]:
    """Volume of each mesh, less one, as a share of the wire's."""
    import pyvista

    from helix.output.surface.tube import volume

    points, tangents, d, exact = centre_line()
    swept = pyvista.wrap(by_vtk(points, d)()).triangulate()
    return {
        "ours": volume(ours(points, tangents, d)()) / exact - 1,
        "trimesh": float(by_trimesh(points, d)().volume) / exact - 1,
        "vtk": float(swept.volume) / exact - 1,
    }


JOBS: dict[str, Callable[[], Sides]] = {
    "mesh-sweep": lambda: swept("trimesh's sweep"),
    "mesh-filter": lambda: swept("VTK's tube filter"),
    "mesh-exported": exported,
    **{f"write-{suffix[1:]}": partial(written, suffix) for suffix in (".stl", ".glb", ".ply")},
    "picture": picture,
}


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    print(", ".join(f"{name} {error:+.1e}" for name, error in volumes().items()))
