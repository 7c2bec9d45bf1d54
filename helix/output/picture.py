"""The joint as a picture: lit like wire on a bench, its parts named, its sharp bends marked; a PNG file."""

from __future__ import annotations

import functools
import importlib.util
import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from helix.output.files import write_whole
from helix.output.gl import rendering_problem
from helix.output.inks import PAPER, Area, Ink, Text
from helix.output.layout import Sheet, compose
from helix.output.tube import tube
from helix.output.view import Shown, shown_part, side_view
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape import ShapeResult

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float32]

SIZE_PX = (1600, 900)
TILT_RAD = np.radians(16.0)
_METAL = "#d0d5da"
_FINER = 2  # everything is drawn this many times finer, then averaged
_LAMPS = (
    ((0.55, -0.35, 0.75), 0.78),
    ((-0.1, 0.8, 0.5), 0.30),
    ((-0.8, 0.1, 0.35), 0.20),
)  # up, right, nearer


class CannotRender(RuntimeError):
    """This machine cannot draw 3-D pictures; the message says why and what to install."""


def picture_rgb(
    result: ShapeResult, units: UnitSystem = "metric", *, size_px: tuple[int, int] = SIZE_PX
) -> Pixels:
    """The joint as an image (height, width, 3), 0 to 255, size_px wide and high.

    Raises CannotRender on a machine without the libraries that 3-D drawing needs.
    """
    problem = rendering_problem()
    if problem:
        raise CannotRender(problem)
    shown = shown_part(result.joint)
    page = compose(result, shown, side_view(TILT_RAD), (float(size_px[0]), float(size_px[1])), units)
    wire, cover = render_wire(shown, page, size_px)
    ground = _bench(shown, page, size_px)
    paper = _rgb(PAPER)
    # the render stands on plain paper: put the bench in its place where the wire does not cover it
    image = wire + (1.0 - cover[..., None]) * (ground - paper)
    return _written(np.clip(image, 0.0, 255.0), page)


def write_picture(
    result: ShapeResult,
    path: Path,
    units: UnitSystem = "metric",
    *,
    size_px: tuple[int, int] = SIZE_PX,
    force: bool = False,
) -> None:
    """Write the picture to a PNG file, whole or not at all; raises CannotRender, or InputFaults when it cannot."""
    from PIL import Image

    buffer = io.BytesIO()
    Image.fromarray(picture_rgb(result, units, size_px=size_px)).save(buffer, "PNG")
    write_whole(path, buffer.getvalue(), force=force)


def render_wire(shown: Shown, page: Sheet, size_px: tuple[int, int]) -> tuple[Floats, Floats]:
    """The bare wire on plain paper (height, width, 3), 0 to 255, and how much of each pixel it covers, 0 to 1."""
    import pyvista

    view = page.view
    right, up, nearer = view.axes
    centre = (page.width / 2 - view.origin[0]) / view.scale * right
    centre = centre - (page.height / 2 - view.origin[1]) / view.scale * up
    depth = np.abs(shown.points_mm @ nearer).max() + shown.d_mm
    plotter = pyvista.Plotter(off_screen=True, window_size=size_px, lighting="none")
    try:
        plotter.set_background(PAPER)
        wires = [plotter.add_mesh(mesh, color=_METAL, **_FINISH) for mesh in _meshes(shown)]
        for direction, strength in _LAMPS:
            towards = direction[0] * up + direction[1] * right + direction[2] * nearer
            plotter.add_light(
                pyvista.Light(position=tuple(towards), intensity=strength, light_type="scene light")
            )
        plotter.camera.position = tuple(centre + 10 * depth * nearer)
        plotter.camera.focal_point = tuple(centre)
        plotter.camera.up = tuple(up)
        plotter.camera.parallel_projection = True
        plotter.camera.parallel_scale = page.height / 2 / view.scale
        plotter.camera.clipping_range = (8 * depth, 12 * depth)
        plotter.enable_ssao(radius=1.3 * shown.d_mm, bias=0.02 * shown.d_mm, kernel_size=32, blur=True)
        plotter.enable_anti_aliasing("ssaa")
        lit = np.asarray(plotter.screenshot(return_img=True), dtype=np.float32)[..., :3]
        plotter.disable_ssao()
        plotter.set_background("black")
        for wire in wires:
            wire.prop.lighting = False
            wire.prop.color = "white"
        plotter.render()
        cover = np.asarray(plotter.screenshot(return_img=True), dtype=np.float32)[..., 0] / 255.0
    finally:
        plotter.close()
    return lit, cover


_FINISH: dict[str, Any] = {
    "smooth_shading": True,
    "ambient": 0.26, "diffuse": 0.88, "specular": 0.95, "specular_power": 34.0,
}  # fmt: skip


def _meshes(shown: Shown) -> list[Any]:
    import pyvista

    meshes = []
    for run in shown.pieces:
        wire = tube(shown.points_mm[run], shown.tangents[run], shown.d_mm, sides=32)
        faces = np.concatenate((np.full((len(wire.faces), 1), 3), wire.faces), axis=1)
        mesh = pyvista.PolyData(wire.vertices, faces.ravel())
        # the surface's own normals: averaged facet normals leave ripples in the highlights
        mesh.point_data.active_normals = wire.normals
        meshes.append(mesh)
    return meshes


def _bench(shown: Shown, page: Sheet, size_px: tuple[int, int]) -> Floats:
    """Plain paper (height, width, 3) with the soft shadow that the wire throws on it."""
    from PIL import Image, ImageDraw, ImageFilter

    flat, _ = page.view.project(shown.points_mm)
    shade = Image.new("L", size_px, 0)
    pen = ImageDraw.Draw(shade)
    d = page.wire_width
    for run in shown.pieces:
        line = [(float(x) + 0.45 * d, float(y) + 0.75 * d) for x, y in flat[run]]
        pen.line(line, fill=255, width=max(round(d), 1), joint="curve")
    shade = shade.filter(ImageFilter.GaussianBlur(0.55 * d))
    dark = np.asarray(shade, dtype=np.float32)[..., None] / 255.0
    return _rgb(PAPER) * (1.0 - 0.34 * dark)


def _written(image: Floats, page: Sheet) -> Pixels:
    """The image with everything of the sheet painted over it."""
    from PIL import Image, ImageDraw

    base = Image.fromarray(image.round().astype(np.uint8))
    layer = Image.new("RGBA", (base.width * _FINER, base.height * _FINER), (0, 0, 0, 0))
    pen = ImageDraw.Draw(layer)
    for ink in (*page.under, *page.over):
        _paint(pen, ink, _FINER)
    layer = layer.resize(base.size, Image.Resampling.BOX)
    return np.asarray(Image.alpha_composite(base.convert("RGBA"), layer).convert("RGB"))


def _paint(pen: Any, ink: Ink, k: int) -> None:
    if isinstance(ink, Text):
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[ink.anchor]
        pen.text((ink.x * k, ink.y * k), ink.text, ink.colour, _font(round(ink.size * k), ink.bold), anchor)
        return
    points = [(x * k, y * k) for x, y in ink.points]
    if isinstance(ink, Area):
        if ink.fill:
            pen.polygon(points, fill=ink.fill)
        if ink.edge:
            closed = [*points, points[0], points[1]]
            pen.line(closed, fill=ink.edge, width=max(round(ink.edge_width * k), 1), joint="curve")
    else:
        pen.line(points, fill=ink.colour, width=max(round(ink.width * k), 1), joint="curve")


@functools.cache
def _font(size: int, bold: bool) -> Any:
    """A plain sans serif: the one that comes with matplotlib (which pyvista needs too), else Pillow's own."""
    from PIL import ImageFont

    spec = importlib.util.find_spec("matplotlib")
    if spec is not None and spec.origin is not None:
        name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
        file = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / name
        if file.is_file():
            return ImageFont.truetype(str(file), max(size, 1))
    return ImageFont.load_default(max(size, 1))


def _rgb(colour: str) -> Floats:
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)], dtype=np.float32)
