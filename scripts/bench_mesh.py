"""Time meshes and pictures inside a warm process, and print the seconds. Called by bench.py.

.venv/bin/python scripts/bench_mesh.py mesh        our sweep of 4,000 rings x 24 sides
.venv/bin/python scripts/bench_mesh.py trimesh     trimesh's sweep along the same centre line
.venv/bin/python scripts/bench_mesh.py vtk         VTK's tube filter along the same centre line
.venv/bin/python scripts/bench_mesh.py picture     a picture of 1600 x 900, the third in its process
.venv/bin/python scripts/bench_mesh.py volumes     the volume error of all three meshes
.venv/bin/python scripts/bench_mesh.py 1.5         that number
"""

from __future__ import annotations

import statistics
import sys
import time
import unittest.mock
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

RINGS, SIDES, RUNS = 4000, 24, 15
RECIPE = Path(__file__).resolve().parent.parent / "docs" / "examples" / "logger-tether.toml"


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


def median_s(work: Callable[[], Any], runs: int = RUNS) -> float:
    """Median of so many runs, after two that are not counted."""
    work(), work()
    times = []
    for _ in range(runs):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return statistics.median(times)


def picture() -> Callable[[], Any]:
    from helix.model.recipe.recipe import read_recipe
    from helix.output.canvas.canvas import png_bytes
    from helix.output.picture.picture import picture_pixels
    from helix.studies.shape.shape import shape

    result = shape(read_recipe(RECIPE))
    return lambda: png_bytes(picture_pixels(result))


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


def job(what: str) -> None:
    if what == "volumes":
        print(", ".join(f"{name} {error:+.1e}" for name, error in volumes().items()))
        return
    if what == "picture":
        print(median_s(picture(), 5))
        return
    if what in ("mesh", "trimesh", "vtk"):
        points, tangents, d, _ = centre_line()
        work = {"mesh": lambda: ours(points, tangents, d), "trimesh": lambda: by_trimesh(points, d),
                "vtk": lambda: by_vtk(points, d)}[what]()  # fmt: skip
        print(median_s(work))
        return
    print(float(what))


if __name__ == "__main__":
    job(sys.argv[1])
