"""The picture, looked at pixel by pixel.

Map of what must hold:
  the wire covers exactly the pixels within half a diameter of its projected centre line
  the nearer part hides the farther
  marks have their colour at their place; a sound joint has none
  words change the pixels of their place; the picture has the size asked for
  a machine that cannot draw is told so, in an error, not a crash
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.errors import InputFaults
from helix.output import picture
from helix.output.inks import PAPER, Text
from helix.output.layout import Sheet, compose
from helix.output.picture import TILT_RAD, CannotRender, picture_rgb, render_wire, write_picture
from helix.output.view import Shown, shown_part, side_view
from helix.studies.shape import ShapeResult, shape

SIZE = (960, 540)
VERMILLION = np.array([0xD5, 0x5E, 0x00])


def page_of(result: ShapeResult, size: tuple[int, int] = SIZE) -> tuple[Sheet, Shown]:
    shown = shown_part(result.joint)
    return compose(result, shown, side_view(TILT_RAD), (float(size[0]), float(size[1])), "metric"), shown


@pytest.mark.rendering
def test_the_wire_covers_its_silhouette(rendering: None, good: ShapeResult) -> None:
    page, shown = page_of(good)
    _, cover = render_wire(shown, page, SIZE)
    assert cover.shape == (SIZE[1], SIZE[0])
    y, x = np.mgrid[0 : SIZE[1], 0 : SIZE[0]] + 0.5
    pixels = np.stack((x.ravel(), y.ravel()), axis=1)
    flat, _ = page.view.project(shown.points_mm)
    away = cKDTree(flat).query(pixels)[0].reshape(cover.shape)
    ends = flat[[run.start for run in shown.pieces] + [run.stop - 1 for run in shown.pieces]]
    elsewhere = cKDTree(ends).query(pixels)[0].reshape(cover.shape) > page.wire_width  # cut ends are flat
    inside, drawn = away <= page.wire_width / 2, cover > 0.5
    assert inside[elsewhere].sum() > 10_000
    assert cover[elsewhere].sum() == pytest.approx(inside[elsewhere].sum(), rel=0.005)
    assert (inside ^ drawn)[elsewhere].sum() < 0.02 * inside.sum()
    deep = np.abs(away - page.wire_width / 2) > 0.75  # clear of the edge, which runs through pixels
    assert not np.any((inside ^ drawn) & elsewhere & deep)


@pytest.mark.rendering
@pytest.mark.parametrize("hand", ["right", "left"])
def test_the_nearer_leg_hides_the_farther(rendering: None, good: ShapeResult, hand: str) -> None:
    # the stripes that one sees on a twist are its nearer strands; those behind slope the other way
    recipe = replace(good.recipe, twist=replace(good.recipe.twist, hand=hand))  # type: ignore[arg-type]
    page, shown = page_of(shape(recipe))
    lit, _ = render_wire(shown, page, SIZE)
    flat, near = page.view.project(shown.points_mm)
    rows = shown.rows("twist_tag")
    front = rows[near[rows] > 0.95 * near[rows].max()]
    along = shown.tangents[front] @ page.view.axes.T
    slope = np.median(-along[:, 1] / along[:, 0])  # y runs down
    x0, x1 = int(flat[rows, 0].min()) + 20, int(flat[rows, 0].max()) - 20
    middle, reach = int(flat[rows, 1].mean()), int(0.6 * page.wire_width)
    grey = lit[middle - reach : middle + reach + 1, x0:x1].mean(axis=2)
    down, right = np.gradient(grey)
    assert abs(slope) > 0.5
    assert np.sign(np.sum(down * right)) == -np.sign(slope)
    assert abs(np.sum(down * right)) > 0.1 * np.sqrt(np.sum(down**2) * np.sum(right**2))


@pytest.mark.rendering
def test_marks_have_their_colour_in_their_place(
    rendering: None, good: ShapeResult, short_exit: ShapeResult
) -> None:
    image = picture_rgb(short_exit, size_px=SIZE).astype(int)
    page, _ = page_of(short_exit)
    is_red = np.abs(image - VERMILLION).max(axis=2) < 40
    for name in ("exit_standing", "exit_tag"):
        bend = next(bend for bend in short_exit.bends if bend.name == name)
        flat, _ = page.view.project(bend.point_mm)
        radius = max(ring[3] for ring in page.rings)
        x, y = flat[0]
        for dx, dy in ((1.3, 0.0), (-1.3, 0.0), (0.0, -1.3), (0.0, 1.3)):  # the corners of the mark
            column, row = int(x + dx * radius), int(y + dy * radius)
            assert is_red[row - 3 : row + 4, column - 3 : column + 4].any(), (name, dx, dy)
    assert is_red.sum() > 300
    sound = picture_rgb(good, size_px=SIZE).astype(int)
    assert not (np.abs(sound - VERMILLION).max(axis=2) < 40).any()


@pytest.mark.rendering
def test_every_word_is_painted(rendering: None, short_exit: ShapeResult) -> None:
    image = picture_rgb(short_exit, size_px=SIZE).astype(int)
    page, _ = page_of(short_exit)
    assert image.shape == (SIZE[1], SIZE[0], 3)
    for ink in (*page.under, *page.over):
        if isinstance(ink, Text):
            x, y, wide, high = int(ink.x), int(ink.y), int(0.4 * ink.size * len(ink.text)), int(ink.size)
            x -= wide if ink.anchor == "end" else 0
            patch = image[max(y - high, 0) : y, x : x + wide].mean(axis=2)
            assert patch.min() < patch.max() - 60, ink.text
    paper = np.array([int(PAPER[k : k + 2], 16) for k in (1, 3, 5)])
    assert np.abs(image[:3, :3] - paper).max() <= 1


@pytest.mark.rendering
def test_a_picture_is_written_whole_and_not_over_another(
    rendering: None, good: ShapeResult, tmp_path: Path
) -> None:
    from PIL import Image

    file = tmp_path / "joint.png"
    write_picture(good, file, "inch", size_px=(640, 400))
    with Image.open(file) as image:
        assert image.size == (640, 400) and image.format == "PNG"
    with pytest.raises(InputFaults, match="--force"):
        write_picture(good, file, size_px=(640, 400))


def test_a_machine_that_cannot_draw_is_told_so(good: ShapeResult, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(picture, "rendering_problem", lambda: "no GL here; install libegl1")
    with pytest.raises(CannotRender, match="install libegl1"):
        picture_rgb(good)
