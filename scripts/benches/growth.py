"""How the cost grows with the size of the joint, and how near the mesh and its files come to copying their own bytes.

    .venv/bin/python scripts/benches/growth.py

Processor time of the fastest of some runs, and the exponent between the smallest and the largest size.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable
from functools import partial
from itertools import count
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import helix
from helix.geometry.wire.curves import Curve, Line, Strand
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import CurvePiece
from helix.geometry.wire.path import Path as Wire
from helix.output.surface.mesh import joint_meshes, mesh_colours
from helix.output.surface.model import whole_surface
from helix.output.surface.model_files import model_bytes

KIT = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
SIZES, LONGEST = (5, 50, 500), 5000
_ASKED = count()


def least_s(work: Callable[[], object], runs: int = 5) -> float:
    """Processor time of the fastest run, one more not counted."""
    work()
    times = []
    for _ in range(runs):
        started = time.process_time()
        work()
        times.append(time.process_time() - started)
    return min(times)


def helices(turns: int) -> list[Wire]:
    """A twist of so many turns, and a coil of so many wraps on its core."""
    top = 4.0 * turns
    legs = [Strand((0.5,), (math.pi / 2.0,), angle, 0.0, top) for angle in (0.0, math.pi)]
    coil = Strand((1.0,), (6.2,), 0.0, top + 10.0, turns * 2.0 * math.pi / 6.2)
    core = Line((0.0, 0.0, top + 5.0), (0.0, 0.0, 1.0), 1.02 * turns + 10.0)
    curves: tuple[Curve, ...] = (*legs, coil, core)
    return [Wire((CurvePiece("", curve),)) for curve in curves]


def shape_of(turns: int) -> helix.ShapeResult:
    """The shape of a joint of so many turns and wraps, its pin a little other each time: what was asked before is kept."""
    return helix.shape(helix.make_recipe(KIT, turns=turns, wraps=turns, pin_mm=6.0 + 1e-6 * next(_ASKED)))


def told(name: str, sizes: tuple[int, ...], seconds: list[float]) -> None:
    """Print one row."""
    exponent = math.log(seconds[-1] / seconds[0]) / math.log(sizes[-1] / sizes[0])
    row = "  ".join(f"{1000.0 * taken:9.1f}" for taken in seconds)
    print(f"{name:34s} {row}   n^{exponent:.2f}")


def main() -> None:
    """Print both tables."""
    print(f"{'turns and wraps':34s} " + "  ".join(f"{n:6d} ms" for n in SIZES))
    results = [shape_of(n) for n in SIZES]
    told("shape, its lay met before", SIZES, [least_s(partial(shape_of, n)) for n in SIZES])
    told("search over the whole wire", SIZES, [least_s(partial(nearest, r.joint.layout.paths)) for r in results])
    told("mesh as exported", SIZES[:2], [least_s(partial(joint_meshes, r)) for r in results[:2]])
    sizes = (SIZES[0], LONGEST)
    told(
        f"search over helices, {sizes[0]} and {sizes[1]}", sizes, [least_s(partial(nearest, helices(n))) for n in sizes]
    )
    print(f"most memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    print("\nwhat is made, and one copy of its bytes")
    (mesh,) = joint_meshes(results[0])
    surface = whole_surface(mesh, mesh_colours(mesh, results[0], "verdict"))
    parts = (mesh.tube.vertices, mesh.tube.faces)
    copied = least_s(lambda: [part.copy() for part in parts], 50)
    print(f"{'mesh':8s} {1e3 * least_s(lambda: joint_meshes(results[0]), 9):8.2f} ms  copy {1e3 * copied:6.2f} ms")
    for suffix in (".stl", ".ply", ".glb"):
        data = bytearray(model_bytes(surface, suffix))
        taken, copied = least_s(partial(model_bytes, surface, suffix), 9), least_s(partial(bytes, data), 50)
        print(f"{suffix:8s} {1e3 * taken:8.2f} ms  copy {1e3 * copied:6.2f} ms  ({len(data) / 1e6:.1f} MB)")


if __name__ == "__main__":
    main()
