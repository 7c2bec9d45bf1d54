"""The wire as a mesh: closed, one body, of the wire's volume; rings where it bends; files that say their unit.

Map of what must hold:
  watertight, wound one way, one body without handles; volume pi d^2/4 x length
  that volume is met at fourth order in the spacing of the rings, at second without the widening
  facets stay within the tolerance of the wire; a straight wire has few rings, a finer tolerance more
  no two triangles cut each other where no parts overlap; where parts overlap, they do
  every vertex carries its section and its strain, and these survive in the file
  STL and PLY are in mm, GLB in metres, scaled as told; too long a wire is coarsened or refused
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from helix.geometry.wire.curves import Line, Strand
from helix.geometry.wire.path import CurvePiece, Path
from helix.geometry.wire.rings import rings
from helix.model.joint.joint import build_joint
from helix.model.joint.section_names import SECTIONS
from helix.output.surface import mesh as mesh_module
from helix.output.surface.mesh import QUALITIES, WireMesh, mesh_colours, wire_mesh
from helix.output.surface.model import whole_surface
from helix.output.surface.model_files import SUFFIXES, model_bytes, model_lines
from helix.output.surface.tube import even_volume, tube, volume
from helix.studies.shape.along import strain_along
from helix.studies.shape.shape import ShapeResult, shape
from tests.output.surface.mesh_crossings import crossings

# a helix as steep and as tight as a barrel, by itself
COIL = Path((CurvePiece("barrel", Strand((1.2,), (2 * np.pi / 2.0,), 0.0, 0.0, 6.0)),))


def short(result: ShapeResult, turns: float = 2.0, wraps: float = 2.0) -> ShapeResult:
    """The same joint with fewer turns and wraps and little standing leg: every kind of contact is left."""
    recipe = result.recipe
    twist = replace(recipe.twist, turns=min(turns, recipe.twist.turns))
    barrel = replace(recipe.barrel, wraps=min(wraps, recipe.barrel.wraps))
    finish = replace(recipe.finish, standing_mm=1.5)
    return shape(replace(recipe, twist=twist, barrel=barrel, finish=finish))


def as_trimesh(mesh: WireMesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.tube.vertices, mesh.tube.faces, process=False)


@pytest.mark.parametrize(
    ("name", "quality"),
    [
        ("good", "draft"), ("good", "normal"), ("good", "fine"), ("wraps-only", "normal"), ("overbent-120", "draft"),
        ("over-twist", "draft"),
    ],
)  # fmt: skip
def test_a_joint_is_one_closed_body_of_its_wire(example: Callable[[str], ShapeResult], name: str, quality: str) -> None:
    result = example(f"faults/{name}")
    d = result.recipe.wire.diameter_mm
    made = wire_mesh(result.joint.layout.path, d, QUALITIES[quality])
    body = as_trimesh(made)
    assert body.is_watertight and body.is_winding_consistent
    assert body.body_count == 1 and body.euler_number == 2
    exact = np.pi * d**2 / 4 * result.joint.wire_mm
    assert abs(body.volume / exact - 1) < 1e-9


def test_the_volume_is_met_at_fourth_order() -> None:
    errors, plain = [], []
    length = COIL.length
    for steps in (240, 480, 960):
        found = COIL.sample(length / steps)
        exact = np.pi / 4 * length
        wider = even_volume(found.points, found.tangents)
        errors.append(abs(volume(tube(found.points, found.tangents, 1.0, sides=24, widening=wider)) / exact - 1))
        plain.append(abs(volume(tube(found.points, found.tangents, 1.0, sides=24)) / exact - 1))
    assert np.log2(np.array(plain[:-1]) / plain[1:]) == pytest.approx(2.0, abs=0.03)
    assert np.log2(np.array(errors[:-1]) / errors[1:]) == pytest.approx(4.0, abs=0.1)
    assert errors[-1] < 1e-9


def test_the_widening_makes_up_for_the_chords_of_a_circle_exactly() -> None:
    angle = np.linspace(0.0, 1.5 * np.pi, 31)
    points = 2.0 * np.stack((np.cos(angle), np.sin(angle), 0 * angle), axis=1)
    tangents = np.stack((-np.sin(angle), np.cos(angle), 0 * angle), axis=1)
    made = tube(points, tangents, 1.0, sides=5, widening=even_volume(points, tangents))
    assert volume(made) == pytest.approx(np.pi / 4 * 3.0 * np.pi, rel=2e-7)  # Pappus; a series to theta^4


@pytest.mark.parametrize("tolerance", [0.02, 0.005, 0.001])
def test_facets_stay_within_the_tolerance(tolerance: float) -> None:
    found = rings(COIL, tolerance)
    sides = 2 * round(np.pi / np.sqrt(8 * tolerance)) * 4  # fine enough round the wire not to matter
    made = tube(found.points, found.tangents, 1.0, sides=sides)
    ring = made.rings
    middle_of_edge = (ring[1:] + ring[:-1]) / 2.0
    fine = COIL.sample(0.002)
    from scipy.spatial import cKDTree

    away, _ = cKDTree(fine.points).query(middle_of_edge.reshape(-1, 3))
    assert np.abs(away - 0.5).max() < 1.15 * tolerance
    assert np.abs(away - 0.5).max() > 0.4 * tolerance  # and no finer than it must be


def test_rings_follow_the_bends() -> None:
    straight = Path((CurvePiece("standing", Line((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 400.0)),))
    assert len(rings(straight, 0.005).s) == 51
    assert np.diff(rings(straight, 0.005).s).max() <= 8.0 + 1e-9
    both = Path((straight.pieces[0], CurvePiece("barrel", Strand((1.0,), (6.0,), 0.0, 400.0, 2.0))))
    coarse, fine = (rings(both, tolerance) for tolerance in (0.02, 0.005))
    assert np.diff(fine.s[fine.piece == 1]).max() < 0.2
    counts = [np.count_nonzero(found.piece == 1) for found in (coarse, fine)]
    assert counts[1] / counts[0] == pytest.approx(2.0, abs=0.1)  # the square root of four
    assert np.all(np.diff(fine.s) > 0.0) and fine.s[-1] == pytest.approx(both.length, rel=1e-12)
    with pytest.raises(ValueError, match="above 0"):
        rings(both, 0.0)


@pytest.mark.parametrize(
    "name", ["good", "uneven-zero", "over-twist", "overbent-120", "wraps-only", "opposite-hand-barrel"]
)
def test_nothing_cuts_itself_where_nothing_overlaps(example: Callable[[str], ShapeResult], name: str) -> None:
    result = short(example(f"faults/{name}"))
    made = wire_mesh(result.joint.layout.path, 1.0, QUALITIES["draft"])
    assert len(crossings(made.tube.vertices, made.tube.faces)) == 0


def test_touching_parts_would_cut_each_other_otherwise(good: ShapeResult) -> None:
    path = short(good).joint.layout.path
    found = rings(path, 0.02)
    bare = tube(found.points, found.tangents, 1.0, sides=12, widening=even_volume(found.points, found.tangents))
    assert len(crossings(bare.vertices, bare.faces)) > 100
    kept = wire_mesh(path, 1.0, QUALITIES["draft"]).tube
    assert volume(kept) == pytest.approx(np.pi / 4 * path.length, rel=1e-9)


@pytest.mark.slow
@pytest.mark.parametrize("quality", ["normal", "fine"])
def test_nothing_cuts_itself_at_the_finer_qualities(good: ShapeResult, quality: str) -> None:
    made = wire_mesh(short(good).joint.layout.path, 1.0, QUALITIES[quality])
    assert len(crossings(made.tube.vertices, made.tube.faces)) == 0


def test_an_overlap_is_meshed_as_it_is(short_exit: ShapeResult) -> None:
    result = short(short_exit)
    made = wire_mesh(result.joint.layout.path, 1.0, QUALITIES["draft"])
    body = as_trimesh(made)
    assert body.is_watertight and body.body_count == 1
    assert len(crossings(made.tube.vertices, made.tube.faces)) > 10
    painted = mesh_colours(made, result, "plain")
    assert (np.abs(painted.astype(int) - [0xCC, 0x79, 0xA7]).max(axis=1) <= 1).sum() > 50


def test_vertices_carry_section_and_strain(good: ShapeResult) -> None:
    path = good.joint.layout.path
    made = wire_mesh(path, good.recipe.wire.diameter_mm)
    there = {SECTIONS[k] for k in np.unique(made.tube.section)}
    assert there == {piece.section for piece in path.pieces}
    assert made.tube.section.shape == made.tube.scalar.shape == (len(made.tube.vertices),)
    twist = made.tube.scalar[made.tube.section == SECTIONS.index("twist_tag")]
    sizes = good.joint.layout.sizes
    h = sizes.lay / (2 * np.pi)
    kappa, tau = sizes.tag_radius / (sizes.tag_radius**2 + h**2), h / (sizes.tag_radius**2 + h**2)
    assert np.median(twist) == pytest.approx(kappa / 2 * np.sin(tau / 4) / (tau / 4), rel=1e-3)
    assert made.strain.max() == pytest.approx(strain_along(path).strain.max(), rel=5e-3)
    assert np.allclose(made.tube.normals[:-2].reshape(made.tube.rings.shape)[0] @ made.tube.normals[-2], 0.0, atol=1e-9)


@pytest.mark.parametrize("scale", [1.0, 10.0])
@pytest.mark.parametrize("suffix", SUFFIXES)
def test_files_have_their_unit_and_read_back(good: ShapeResult, suffix: str, scale: float) -> None:
    result = short(good)
    d = result.recipe.wire.diameter_mm
    made = wire_mesh(result.joint.layout.path, d, QUALITIES["draft"])
    data = model_bytes(whole_surface(made, mesh_colours(made, result, "section")), suffix, scale, "Tether (invented)")
    back = trimesh.load(io.BytesIO(data), file_type=suffix[1:], force="mesh")
    per_mm = scale / 1000.0 if suffix == ".glb" else scale
    assert back.is_watertight and back.is_winding_consistent and back.body_count == 1
    assert back.volume == pytest.approx(volume(made.tube) * per_mm**3, rel=1e-5)
    assert np.sort(back.extents) == pytest.approx(np.sort(np.ptp(made.tube.vertices, axis=0) * per_mm), rel=1e-5)
    if suffix == ".stl":
        assert data[:80].decode().rstrip() == f"helix, unit mm, {scale:g} times true size; Tether (invented)"
        assert len(data) == 84 + 50 * len(made.tube.faces)
    elif suffix == ".ply":
        head = data.split(b"end_header")[0].decode()
        assert f"comment helix, unit mm, {scale:g} times true size; Tether (invented)\n" in head
        assert "property float _SECTION" in head and "property float _STRAIN" in head and "0=standing" in head
    else:
        length = int.from_bytes(data[12:16], "little")  # of the first chunk, which is JSON
        tree = json.loads(data[20 : 20 + length])
        extras = tree["meshes"][0]["extras"]
        assert extras["unit"] == "m" and extras["times_true_size"] == scale
        assert extras["section_names"] == list(SECTIONS)
        section = np.asarray(back.vertex_attributes["_SECTION"]).ravel()
        strain = np.asarray(back.vertex_attributes["_STRAIN"]).ravel()
        assert np.array_equal(np.unique(section), np.unique(made.tube.section))
        assert strain.max() == pytest.approx(made.tube.scalar.max(), rel=1e-6)
        assert back.extents[0] == max(back.extents)  # lies along the view, not end on


def test_a_long_wire_is_coarsened_or_refused(good: ShapeResult, monkeypatch: pytest.MonkeyPatch) -> None:
    path, d = good.joint.layout.path, good.recipe.wire.diameter_mm
    monkeypatch.setattr(mesh_module, "MOST_TRIANGLES", 12_000)
    made = wire_mesh(path, d)
    assert made.coarsened and len(made.tube.faces) <= 12_000
    assert as_trimesh(made).is_watertight
    said = " ".join(model_lines(whole_surface(made, mesh_colours(made, good, "plain")), [made], ".stl"))
    assert "Coarsened" in said and f"{made.quality.sides} sides" in said
    monkeypatch.setattr(mesh_module, "MOST_TRIANGLES", 500)
    with pytest.raises(ValueError, match="too long to draw"):
        wire_mesh(path, d)


def test_mirrored_and_scaled_wires_have_mirrored_and_scaled_meshes(good: ShapeResult) -> None:
    left = build_joint(replace(good.recipe, twist=replace(good.recipe.twist, hand="left")))
    one = wire_mesh(good.joint.layout.path, 1.0, QUALITIES["draft"])
    other = wire_mesh(left.layout.path, 2.0, QUALITIES["draft"])
    assert volume(other.tube) == pytest.approx(8.0 * volume(one.tube), rel=1e-6)
    assert np.allclose(other.strain, one.strain, atol=1e-9)


def test_no_other_sweep_meets_the_volume_better(monkeypatch: pytest.MonkeyPatch) -> None:
    import importlib
    from pathlib import Path as FilePath

    monkeypatch.syspath_prepend(str(FilePath(__file__).resolve().parents[3] / "scripts"))
    found = importlib.import_module("benches.mesh").volumes()
    assert abs(found["ours"]) < 1e-6
    assert all(abs(found[peer]) > 1e-2 for peer in ("trimesh", "vtk"))  # a polygon inside the circle
