"""What is painted, looked at pixel by pixel.

Map of what must hold:
  the wire covers exactly the pixels within half a diameter of its projected centre line, at 4K to a pixel
  the nearer part hides the farther
  paper, dark paper and no paper are what they say
  a machine that cannot draw is told so, in an error, not a crash
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.errors import ValidationError
from helix.output.canvas.canvas import DARK, LIGHT, Canvas, Frame, canvas_pixels
from helix.output.canvas.lettering import text_width
from helix.output.canvas.primitives import Text
from helix.output.picture import render
from helix.output.picture.picture import Look, picture_canvas, picture_pixels, write_picture
from helix.output.picture.render import CannotRender, painter, wire_body
from helix.output.picture.view import View, VisiblePart, fitted, named_view, shown_part, side_view
from helix.output.shape.colouring import rgb
from helix.studies.shape.shape import ShapeResult
from tests.output.picture.seen_faults import METAL_RGB, VERMILLION

SIZE = (960, 540)


def covered(shown: VisiblePart, view: View, size: tuple[int, int]) -> np.ndarray:
    """How much of each pixel the wire covers (height, width), 0 to 1."""
    box = (0, 0, *size)
    body = wire_body(shown, np.broadcast_to(METAL_RGB, (len(shown.s_mm), 3)), view, box)
    assert body is not None
    with painter() as by:
        return by.paint(body, view, box)[..., 3]


def distance_to(flat: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Distance of each pixel's middle from the nearest of these places (height, width)."""
    y, x = np.mgrid[0 : size[1], 0 : size[0]] + 0.5
    away, _ = cKDTree(flat).query(np.stack((x.ravel(), y.ravel()), axis=1))
    return away.reshape(size[1], size[0])


@pytest.mark.rendering
def test_the_wire_covers_its_silhouette(rendering: None, good: ShapeResult) -> None:
    shown = shown_part(good.joint, 0.05)
    view = fitted(named_view("side"), shown, (20.0, 20.0, 620.0, 340.0))
    cover = covered(shown, view, (640, 360))
    flat, _ = view.project(shown.points_mm)
    radius = shown.d_mm * view.scale / 2
    away = distance_to(flat, (640, 360))
    inside = away <= radius
    ends = flat[[run.start for run in shown.pieces] + [run.stop - 1 for run in shown.pieces]]
    far = distance_to(ends, (640, 360)) > 2 * radius  # but for the flat cut ends, nothing beyond a pixel is wrong
    assert abs(cover[far].sum() / inside[far].sum() - 1) < 0.005
    assert not np.any((inside ^ (cover > 0.5)) & (np.abs(away - radius) > 1.0) & far)


@pytest.mark.rendering
def test_edges_are_a_pixel_wide_at_4k(rendering: None, good: ShapeResult) -> None:
    shown = shown_part(good.joint)
    rod = shown.points_mm[shown.pieces[0]]
    view = View(side_view().axes, 200.0, (500.0 - 200.0 * float(rod[:, 2].mean()), 200.0))
    cover = covered(shown, view, (1000, 400))
    column = cover[:, 500]
    assert column.max() == 1.0 and column.min() == 0.0
    assert np.count_nonzero((column > 0.02) & (column < 0.98)) <= 2
    assert column.sum() == pytest.approx(shown.d_mm * 200.0, abs=0.4)


@pytest.mark.rendering
def test_the_nearer_part_hides_the_farther(rendering: None, good: ShapeResult) -> None:
    shown = shown_part(good.joint)
    view = fitted(side_view(), shown, (30.0, 30.0, 930.0, 510.0))
    flat, near = view.project(shown.points_mm)
    wire, seen = shown.d_mm * view.scale, 0
    for front, back in (("twist_tag", "twist_standing"), ("twist_standing", "twist_tag"), ("barrel", "barrel_core")):
        colours = np.zeros((len(shown.s_mm), 3))
        colours[shown.rows(front), 0] = colours[shown.rows(back), 2] = 1.0
        frame = Frame((0.0, 0.0, 960.0, 540.0), view, shown, colours, shadow=False)
        image = canvas_pixels(Canvas(*SIZE, (frame,), ())).astype(int)
        tree = cKDTree(flat[shown.rows(back)])
        for row in shown.rows(front)[::4]:
            beside, other = tree.query(flat[row])
            if beside < 0.15 * wire and near[row] - near[shown.rows(back)[other]] > 0.9 * wire:
                x, y = flat[row].astype(int)
                assert image[y, x, 0] > image[y, x, 2] + 20, (front, row)
                seen += 1
    assert seen > 20


@pytest.mark.rendering
def test_what_is_painted(rendering: None, good: ShapeResult, short_exit: ShapeResult) -> None:
    image = picture_pixels(short_exit, size_px=SIZE).astype(int)
    canvas = picture_canvas(short_exit, "metric", SIZE)
    assert image.shape == (SIZE[1], SIZE[0], 4) and image[..., 3].min() == 255
    assert np.abs(image[:3, :3, :3] - 255 * rgb(LIGHT.paper)).max() <= 1
    red = np.abs(image[..., :3] - VERMILLION).max(axis=2) < 40
    for verdict, x, y, radius in canvas.marks:
        if verdict in ("sharp", "fault"):
            corners = [(x + dx * 1.3 * radius, y + dy * 1.3 * radius) for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1))]
            near = [red[int(b) - 3 : int(b) + 4, int(a) - 3 : int(a) + 4].any() for a, b in corners]
            assert sum(near) >= 2, (x, y)  # another mark may lie over part of it
    for item in canvas.over:
        if isinstance(item, Text) and len(item.text) > 3:
            width = int(text_width(item.text, item.size, item.bold) * 0.8)
            x = int(item.x) - {"start": 0, "middle": width // 2, "end": width}[item.anchor]
            patch = image[max(int(item.y - 0.8 * item.size), 0) : int(item.y), x : x + width, :3].mean(axis=2)
            assert np.ptp(patch) > 60, item.text
    sound = picture_pixels(good, size_px=SIZE)[..., :3].astype(int)
    assert not (np.abs(sound - VERMILLION).max(axis=2) < 40).any()


@pytest.mark.rendering
def test_dark_paper_and_no_paper(rendering: None, good: ShapeResult, tmp_path: Path) -> None:
    from PIL import Image

    dark = picture_pixels(good, size_px=(640, 360), look=Look(theme=DARK))
    assert np.abs(dark[:3, :3, :3] - 255 * rgb(DARK.paper)).max() <= 1
    assert np.median(dark[..., :3]) < 60
    file = tmp_path / "joint.png"
    write_picture(good, file, "inch", size_px=(640, 360), look=Look(transparent=True))
    with Image.open(file) as image:
        assert image.size == (640, 360) and image.format == "PNG" and image.mode == "RGBA"
        cover = np.asarray(image)[..., 3]
    assert cover[0, 0] == 0 and (cover == 255).mean() > 0.1
    with pytest.raises(ValidationError, match="--force"):
        write_picture(good, file, size_px=(640, 360))


def test_a_machine_that_cannot_draw_is_told_so(good: ShapeResult, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "rendering_problem", lambda: "no GL here; install libegl1")
    with pytest.raises(CannotRender, match="install libegl1"):
        picture_pixels(good)
