"""The vector drawing, read back from its own text.

Map of what must hold:
  it is valid XML, the same every time, and needs no graphics library
  one page unit is a mm; the strokes of the wire are as wide as the wire in the stated scale
  the wire lies where the projection of the centre line puts it: true proportions
  wherever two parts of the wire cross, the nearer is drawn after the farther
  facets that face away are not drawn; what is written is escaped
  the tag is darker than the standing leg, and a cut end darker than the wire
"""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.output.canvas.primitives import Area
from helix.output.picture.picture_layout import compose
from helix.output.picture.view import fitted, shown_part, side_view
from helix.output.shape.colouring import TAG_TONE, rgb
from helix.output.shape.drawing import drawing_svg
from helix.output.shape.wire_shapes import OUTLINE, pieces, wire_shapes
from helix.studies.shape.shape import ShapeResult

SVG = "{http://www.w3.org/2000/svg}"
NUMBERS = re.compile(r"-?\d+\.?\d*")


def read(text: str) -> ET.Element:
    return ET.fromstring(text)


def wire_paths(page: ET.Element) -> list[ET.Element]:
    return list(next(group for group in page.iter(f"{SVG}g") if group.get("id") == "wire"))


def points_of(path: ET.Element) -> np.ndarray:
    return np.array([float(number) for number in NUMBERS.findall(path.get("d", ""))]).reshape(-1, 2)


def strokes(page: ET.Element) -> list[ET.Element]:
    return [path for path in wire_paths(page) if path.get("stroke") == OUTLINE and path.get("fill") == "none"]


def filled(points: np.ndarray, step: float) -> np.ndarray:
    """Points of a polyline and those between them, at most a step apart."""
    parts = [points[-1:]]
    for a, b in pairwise(points):
        t = np.linspace(0, 1, int(np.linalg.norm(b - a) / step) + 1, endpoint=False)[:, None]
        parts.append((1 - t) * a + t * b)
    return np.concatenate(parts)


def scale_of(page: ET.Element) -> float:
    return float(page.get("data-scale", "nan"))


@pytest.mark.parametrize("size", [(320.0, 180.0), (210.0, 297.0)])
def test_page_is_measured_in_mm_and_states_its_scale(good: ShapeResult, size: tuple[float, float]) -> None:
    page = read(drawing_svg(good, page_mm=size))
    assert (page.get("width"), page.get("height")) == (f"{size[0]:g}mm", f"{size[1]:g}mm")
    assert page.get("viewBox") == f"0 0 {size[0]:g} {size[1]:g}"
    said = [text.text for text in page.iter(f"{SVG}text") if text.text and "scale" in text.text]
    assert said[0].endswith(f"scale {scale_of(page):g} : 1 on a page of {size[0]:g} x {size[1]:g} mm")


@pytest.mark.parametrize("name", ["faults/good", "faults/wraps-only"])
def test_strokes_are_as_wide_as_the_wire(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    page = read(drawing_svg(result))
    (width,) = {path.get("stroke-width", "") for path in strokes(page)}
    assert width == f"{result.recipe.wire.diameter_mm * scale_of(page):.4f}"


@pytest.mark.parametrize("name", ["faults/good", "faults/overbent-120", "faults/wraps-only"])
def test_the_wire_lies_where_the_centre_line_is(example: Callable[[str], ShapeResult], name: str) -> None:
    result = example(name)
    page = read(drawing_svg(result))
    scale, d = scale_of(page), result.recipe.wire.diameter_mm
    drawn = np.concatenate([filled(points_of(path), 0.01 * d * scale) for path in strokes(page)]) / scale
    line = result.joint.sample(0.01).points_mm
    kept = line[:, 2] <= line[:, 2].max() - 300.0 + 5 * d
    # the drawing's place on the page aside: lay both at their lowest x and y
    seen = np.stack((line[kept, 2], -line[kept, 0]), axis=1)
    seen, drawn = seen - seen.min(axis=0), drawn - drawn.min(axis=0)
    apart, _ = cKDTree(drawn).query(seen)
    assert apart.max() < 0.02 * d  # the page is written to 0.01 mm, and both are sampled
    apart, _ = cKDTree(seen).query(drawn[drawn[:, 0] < seen[:, 0].max()])
    assert apart.max() < 0.02 * d


def test_true_size_of_eye_and_joint(good: ShapeResult) -> None:
    page = read(drawing_svg(good))
    scale, d = scale_of(page), good.recipe.wire.diameter_mm
    drawn = np.concatenate([points_of(path) for path in strokes(page)]) / scale
    assert np.ptp(drawn[:, 1]) + d == pytest.approx(good.finished.widest_mm, rel=1e-3)


@pytest.mark.parametrize("name", ["faults/good", "faults/overbent-120", "faults/uneven-zero", "faults/wraps-only"])
def test_the_nearer_part_is_drawn_over_the_farther(example: Callable[[str], ShapeResult], name: str) -> None:
    shown = shown_part(example(name).joint)
    view = fitted(side_view(), shown, (0.0, 0.0, 1000.0, 1000.0))
    flat, near = view.project(shown.points_mm)
    d = shown.d_mm * view.scale
    order = np.full(len(flat), -1)
    for rank, piece in enumerate(pieces(shown, view)):
        order[piece.rows[0] : piece.rows[1]] = rank
        order[piece.rows[1]] = max(order[piece.rows[1]], rank)
    pairs = cKDTree(flat).query_pairs(0.35 * d, output_type="ndarray")
    over, under = pairs[:, 0], pairs[:, 1]
    swap = near[over] < near[under]
    over, under = np.where(swap, under, over), np.where(swap, over, under)
    crossing = near[over] - near[under] > 0.6 * d
    assert crossing.sum() > 1000
    assert np.all(order[over[crossing]] > order[under[crossing]])


def test_the_crossing_at_the_throat_is_over_and_under_as_in_the_wire(good: ShapeResult) -> None:
    # at the throat both legs cross the axis, one d apart in depth; the one with the larger y is in front
    page = read(drawing_svg(good))
    line = good.joint.sample(0.01)
    names = good.joint.section_names
    drawn = wire_paths(page)
    sheet = compose(
        good, shown_part(good.joint), side_view(), (320.0, 180.0), "metric", whole_scale=True, scale_note="{scale}"
    )
    places = {}
    for name in ("twist_standing", "twist_tag"):
        rows = np.flatnonzero(line.section == names.index(name))
        row = rows[np.argmin(np.abs(line.points_mm[rows, 2]))]
        flat, near = sheet.view.project(line.points_mm[row])
        ahead = np.array([line.tangents[row, 2], -line.tangents[row, 0]])  # the legs cross at 76 deg
        found = []
        for k, path in enumerate(drawn):
            if path.get("stroke") == OUTLINE and path.get("fill") == "none":
                points = points_of(path)
                way = points[-1] - points[0]
                here = np.linalg.norm(points - flat[0], axis=1).min() < 0.2
                if here and abs(way @ ahead) > 0.9 * np.linalg.norm(way) * np.linalg.norm(ahead):
                    found.append(k)
        assert found
        places[name] = (float(near[0]), found)
    (near_a, a), (near_b, b) = places.values()
    front, back = (a, b) if near_a > near_b else (b, a)
    assert abs(near_a - near_b) == pytest.approx(sheet.wire_width, rel=1e-3)  # rows up to 0.005 d off the throat
    assert min(front) > max(back)


def test_the_other_hand_is_the_mirror_image_in_depth(good: ShapeResult) -> None:
    from helix.studies.shape.shape import shape

    other = shape(replace(good.recipe, twist=replace(good.recipe.twist, hand="left")))
    right, left = (read(drawing_svg(result)) for result in (good, other))
    a = sorted(tuple(np.round(points_of(path).mean(axis=0), 2)) for path in strokes(right))
    b = sorted(tuple(np.round(points_of(path).mean(axis=0), 2)) for path in strokes(left))
    assert np.allclose(a, b, atol=0.02)  # the same outline ...
    first = [tuple(np.round(points_of(path).mean(axis=0), 1)) for path in strokes(right)]
    second = [tuple(np.round(points_of(path).mean(axis=0), 1)) for path in strokes(left)]
    assert first != second  # ... drawn in another order


def test_the_same_every_time(good: ShapeResult) -> None:
    assert drawing_svg(good) == drawing_svg(good)


def test_title_is_escaped_and_cleaned(good: ShapeResult) -> None:
    title = 'Eye <b> & "ring" \u00e9\x0b\ud800'
    page = read(drawing_svg(replace(good, recipe=replace(good.recipe, title=title))).encode("utf-8", "strict").decode())
    assert page.find(f"{SVG}title").text.startswith('Eye <b> & "ring" \u00e9')


def test_marks_words_and_caution_are_in_the_file(short_exit: ShapeResult) -> None:
    page = read(drawing_svg(short_exit, "inch"))
    roles = [path.get("data-role") for path in page.iter(f"{SVG}path")]
    assert "mark sharp tight-leg-exit-exit_standing" in roles
    words = " ".join(text.text or "" for text in page.iter(f"{SVG}text"))
    for word in ("SHARP: exit bend, tag", "FAULT: overlap", "barrel", "eye", "twist", " in, scale", "Not for lifting"):
        assert word in words


def test_it_needs_no_graphics_library(tmp_path: Path) -> None:
    code = (
        "import sys; from helix.commands.main import main; "
        "assert main(['draw', 'docs/examples/logger-tether.toml', '-o', sys.argv[1]]) == 0; "
        "print([n for n in ('pyvista', 'vtkmodules', 'PIL', 'matplotlib', 'scipy', 'trimesh') if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.svg")],
        capture_output=True, text=True, cwd=Path(__file__).resolve().parents[3], check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_tag_is_darker_than_the_leg_and_a_cut_end_than_the_wire(good: ShapeResult) -> None:
    shown = shown_part(good.joint)
    view = fitted(side_view(), shown, (0.0, 0.0, 200.0, 100.0))

    def brightest(section: str) -> float:
        rows = shown.rows(section)
        taken = {name: getattr(shown, name)[rows] for name in ("points_mm", "tangents", "section", "s_mm")}
        part = replace(shown, **taken, pieces=(slice(0, len(rows)),), break_mm=None)
        areas = [item for item in wire_shapes(part, view, 5.0) if isinstance(item, Area)]
        facets, caps = ([item for item in areas if bool(item.edge) is cut] for cut in (False, True))
        lights = [max(float(rgb(item.fill or "").mean()) for item in group) for group in (facets, caps)]
        assert lights[1] < 0.75 * lights[0]
        return lights[0]

    assert brightest("twist_tag") == pytest.approx(TAG_TONE * brightest("twist_standing"), abs=0.02)
