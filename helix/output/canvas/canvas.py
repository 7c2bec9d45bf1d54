"""A canvas: one or more views of wire with words, lines and marks on them; as pixels or as SVG."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from helix.findings import Severity
from helix.output.canvas.lettering import font_file
from helix.output.canvas.primitives import INK, PAPER, SOFT, Area, Primitive, Stroke, Text
from helix.output.picture.render import Body, Painter, Pixels, joined, painter, wire_body
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import METAL, rgb

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

_FINER = 2  # words and lines are painted so many times finer, then averaged


@dataclass(frozen=True)
class Theme:
    """The colours of a canvas. paper, ink, soft: as in primitives; panel: behind a close-up; metal: the bare wire."""

    name: str
    paper: str
    ink: str
    soft: str
    panel: str
    metal: str
    shadow: float

    def of(self, colour: str | None) -> str | None:
        """This theme's colour for one of the light theme's."""
        return None if colour is None else {PAPER: self.paper, INK: self.ink, SOFT: self.soft}.get(colour, colour)


LIGHT = Theme("light", PAPER, INK, SOFT, "#ffffff", METAL, 0.30)
DARK = Theme("dark", "#17191c", "#eceef0", "#a2a9b1", "#22262b", "#c3c9cf", 0.0)
THEMES = {"light": LIGHT, "dark": DARK}


@dataclass(frozen=True)
class Frame:
    """A view of wire in a box (x0, y0, x1, y1) of the canvas: what is shown, its colours (n, 3) 0 to 1.

    panel: fill the box first and cut the wire off at its edge. edge: colour of a line round it. things:
    other surfaces, such as a pin. shadow: let the wire throw one on the paper.
    """

    box: Box
    view: View
    shown: VisiblePart
    rgb: Floats
    panel: bool = False
    edge: str | None = None
    edge_width: float = 0.0
    things: tuple[Body, ...] = ()
    shadow: bool = True


@dataclass(frozen=True)
class Canvas:
    """A canvas in pixels: frames, what is painted under them and over them, and a title for programs."""

    width: int
    height: int
    frames: tuple[Frame, ...]
    over: tuple[Primitive, ...]
    under: tuple[Primitive, ...] = ()
    title: str = ""
    marks: tuple[tuple[Severity, float, float, float], ...] = field(default=())
    """(severity, x, y, radius) of each mark on the wire."""


def canvas_pixels(
    canvas: Canvas, theme: Theme = LIGHT, *, transparent: bool = False, by: Painter | None = None
) -> NDArray[np.uint8]:
    """The canvas as an image (height, width, 4), 0 to 255; by: a painter to go on with, else a new one.

    transparent: no paper behind it all. Raises CannotRender on a machine that cannot draw.
    """
    if by is None:
        with painter() as made:
            return canvas_pixels(canvas, theme, transparent=transparent, by=made)
    image = np.zeros((canvas.height, canvas.width, 4), dtype=np.float32)
    if not transparent:
        image[..., :3], image[..., 3] = rgb(theme.paper), 1.0
    if canvas.under:
        _lay(image, _shapes(canvas, canvas.under, theme), (0, 0))
    for frame in canvas.frames:
        _paint_frame(image, frame, theme, by, transparent)
    _lay(image, _shapes(canvas, canvas.over, theme), (0, 0))
    cover = image[..., 3:]
    image[..., :3] = np.divide(image[..., :3], cover, out=np.zeros_like(image[..., :3]), where=cover > 0)
    return np.asarray((255.0 * np.clip(image, 0.0, 1.0)).round().astype(np.uint8))


def png_bytes(pixels: NDArray[np.uint8]) -> bytes:
    """An image as a PNG file; without a fourth channel where nothing shows through."""
    import io

    from PIL import Image

    if pixels.shape[2] == 4 and pixels[..., 3].min() == 255:
        pixels = pixels[..., :3]
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG", compress_level=4)
    return buffer.getvalue()


def _paint_frame(image: Pixels, frame: Frame, theme: Theme, by: Painter, transparent: bool) -> None:
    x0, y0, x1, y1 = (round(v) for v in frame.box)
    x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, image.shape[1]), min(y1, image.shape[0])
    if frame.panel:
        image[y0:y1, x0:x1, :3], image[y0:y1, x0:x1, 3] = rgb(theme.panel), 1.0
    body = wire_body(frame.shown, frame.rgb, frame.view, (x0, y0, x1, y1))
    bodies = [part for part in (body, *frame.things) if part is not None]
    if bodies:
        _paint_bodies(image, frame, bodies, (x0, y0, x1, y1), theme, by, transparent)
    if frame.edge:
        w = max(round(frame.edge_width), 1)
        colour = rgb(theme.of(frame.edge) or frame.edge)
        for part in ((slice(y0, y0 + w), slice(x0, x1)), (slice(y1 - w, y1), slice(x0, x1)),
                     (slice(y0, y1), slice(x0, x0 + w)), (slice(y0, y1), slice(x1 - w, x1))):  # fmt: skip
            image[part][..., :3], image[part][..., 3] = colour, 1.0


def _paint_bodies(
    image: Pixels,
    frame: Frame,
    bodies: list[Body],
    box: tuple[int, int, int, int],
    theme: Theme,
    by: Painter,
    transparent: bool,
) -> None:
    whole = joined(bodies)
    width = frame.shown.d_mm * frame.view.scale
    flat, _ = frame.view.project(whole.vertices)
    low, high = np.floor(flat.min(axis=0) - width), np.ceil(flat.max(axis=0) + 2.0 * width)  # its shadow too
    x0, y0 = max(box[0], int(low[0])), max(box[1], int(low[1]))
    x1, y1 = min(box[2], int(high[0])), min(box[3], int(high[1]))
    if x1 <= x0 or y1 <= y0:
        return
    seen = by.paint(whole, frame.view, (x0, y0, x1, y1))
    if frame.shadow and theme.shadow and not transparent:
        image[y0:y1, x0:x1, :3] *= 1.0 - theme.shadow * _shadow(seen[..., 3], width, frame.panel)[..., None]
    _lay(image, seen, (x0, y0))


def _shadow(cover: Pixels, width: float, goes_on: bool) -> Pixels:
    """What the wire throws on the paper a little below it, softened; goes_on: the wire runs on past the edges."""
    from PIL import Image, ImageFilter

    k = max(int(width / 12.0), 1)  # a soft thing need not be worked out in every pixel
    small = Image.fromarray((255.0 * cover).astype(np.uint8)).reduce(k)
    soft = small.filter(ImageFilter.GaussianBlur(0.42 * width / k))
    there = np.asarray(soft.resize((cover.shape[1], cover.shape[0]), Image.Resampling.BILINEAR))
    down, aside = round(0.55 * width), round(0.3 * width)
    before = ((down, 0), (aside, 0))
    moved = np.pad(there, before, mode="edge") if goes_on else np.pad(there, before)
    moved = moved[: cover.shape[0], : cover.shape[1]]
    return np.asarray(moved, dtype=np.float32) / np.float32(255.0)


def _lay(image: Pixels, layer: Pixels, at: tuple[int, int]) -> None:
    """Put a layer (colours times cover) over the canvas."""
    x, y = at
    there = image[y : y + layer.shape[0], x : x + layer.shape[1]]
    there *= 1.0 - layer[..., 3:]
    there += layer


def _shapes(canvas: Canvas, shapes: Sequence[Primitive], theme: Theme) -> Pixels:
    from PIL import Image, ImageDraw

    flat = Image.new("RGBA", (canvas.width * _FINER, canvas.height * _FINER), (0, 0, 0, 0))
    pen = ImageDraw.Draw(flat)
    for item in shapes:
        _paint(pen, recoloured(item, theme), _FINER)
    small = flat.convert("RGBa").reduce(_FINER)
    return np.asarray(small, dtype=np.float32) / np.float32(255.0)


def recoloured(item: Primitive, theme: Theme) -> Primitive:
    """A shape in the colours of a theme."""
    if isinstance(item, Area):
        return replace(item, fill=theme.of(item.fill), edge=theme.of(item.edge))
    return replace(item, colour=theme.of(item.colour) or item.colour)


def _paint(pen: Any, item: Primitive, k: int) -> None:
    if isinstance(item, Text):
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[item.anchor]
        pen.text((item.x * k, item.y * k), item.text, item.colour, font(round(item.size * k), item.bold), anchor)
        return
    points = [(x * k, y * k) for x, y in item.points]
    if isinstance(item, Area):
        if item.fill:
            pen.polygon(points, fill=item.fill)
        if item.edge:
            closed = [*points, points[0], points[1]]
            pen.line(closed, fill=item.edge, width=max(round(item.edge_width * k), 1), joint="curve")
    elif isinstance(item, Stroke):
        pen.line(points, fill=item.colour, width=max(round(item.width * k), 1), joint="curve")


@functools.cache
def font(size: int, bold: bool) -> Any:
    """A plain sans serif of a size; Pillow's own where there is none else."""
    from PIL import ImageFont

    file = font_file(bold)
    if file is not None:
        return ImageFont.truetype(str(file), max(size, 1))
    return ImageFont.load_default(max(size, 1))
