"""A canvas: one or more views of wire with words, lines and marks on them; as pixels or as SVG."""

from __future__ import annotations

import functools
import math
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
PixelBox = tuple[int, int, int, int]

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
    other surfaces, such as a pin. others: further wires, each with its colours. shadow: let the wire throw one on the paper.
    """

    box: Box
    view: View
    shown: VisiblePart
    rgb: Floats
    panel: bool = False
    edge: str | None = None
    edge_width: float = 0.0
    things: tuple[Body, ...] = ()
    others: tuple[tuple[VisiblePart, Floats], ...] = ()
    shadow: bool = True

    @property
    def wires(self) -> tuple[tuple[VisiblePart, Floats], ...]:
        """Every wire of it with its colours."""
        return ((self.shown, self.rgb), *self.others)


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
    image = np.zeros((canvas.height, canvas.width, 4 if transparent else 3), dtype=np.float32)
    if not transparent:
        image[...] = rgb(theme.paper)
    _lay_shapes(image, canvas.under, theme)
    for frame in canvas.frames:
        _paint_frame(image, frame, theme, by)
    _lay_shapes(image, canvas.over, theme)
    if transparent:
        cover = image[..., 3:]
        np.divide(image[..., :3], cover, out=image[..., :3], where=cover > 0)
    np.clip(image, 0.0, 1.0, out=image)
    image *= 255.0
    image += 0.5
    pixels = np.full((canvas.height, canvas.width, 4), 255, dtype=np.uint8)
    pixels[..., : image.shape[2]] = image
    return pixels


def png_bytes(pixels: NDArray[np.uint8]) -> bytes:
    """An image as a PNG file; without a fourth channel where nothing shows through."""
    import io

    from PIL import Image

    if pixels.shape[2] == 4 and pixels[..., 3].min() == 255:
        pixels = pixels[..., :3]
    buffer = io.BytesIO()
    Image.fromarray(pixels).save(buffer, "PNG", compress_level=2)
    return buffer.getvalue()


def _paint_frame(image: Pixels, frame: Frame, theme: Theme, by: Painter) -> None:
    x0, y0, x1, y1 = (round(v) for v in frame.box)
    x0, y0, x1, y1 = max(x0, 0), max(y0, 0), min(x1, image.shape[1]), min(y1, image.shape[0])
    if frame.panel:
        _fill(image[y0:y1, x0:x1], rgb(theme.panel))
    wires = [wire_body(shown, own, frame.view, (x0, y0, x1, y1)) for shown, own in frame.wires]
    bodies = [part for part in (*wires, *frame.things) if part is not None]
    if bodies:
        _paint_bodies(image, frame, bodies, (x0, y0, x1, y1), theme, by)
    if frame.edge:
        w = max(round(frame.edge_width), 1)
        colour = rgb(theme.of(frame.edge) or frame.edge)
        for part in ((slice(y0, y0 + w), slice(x0, x1)), (slice(y1 - w, y1), slice(x0, x1)),
                     (slice(y0, y1), slice(x0, x0 + w)), (slice(y0, y1), slice(x1 - w, x1))):  # fmt: skip
            _fill(image[part], colour)


def _paint_bodies(
    image: Pixels, frame: Frame, bodies: list[Body], box: tuple[int, int, int, int], theme: Theme, by: Painter
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
    if frame.shadow and theme.shadow and image.shape[2] == 3:
        dimmed = 1.0 - theme.shadow * _shadow(seen[..., 3], width, frame.panel)
        for channel in range(3):
            image[y0:y1, x0:x1, channel] *= dimmed
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


def _fill(image: Pixels, colour: Floats) -> None:
    image[..., :3] = colour
    image[..., 3:] = 1.0


def _lay(image: Pixels, layer: Pixels, at: tuple[int, int]) -> None:
    """Put a layer (colours times cover) over the canvas, of three channels where nothing shows through, else of four."""
    x, y = at
    there = image[y : y + layer.shape[0], x : x + layer.shape[1]]
    kept = 1.0 - layer[..., 3]
    for channel in range(image.shape[2]):  # one by one, a third of the time of all at once
        there[..., channel] *= kept
        there[..., channel] += layer[..., channel]


def _lay_shapes(image: Pixels, shapes: Sequence[Primitive], theme: Theme) -> None:
    """Paint shapes band by band: most of a canvas has none."""
    from PIL import Image, ImageDraw

    k, (high, wide) = _FINER, image.shape[:2]
    for box, band in _bands(shapes):
        x0, y0, x1, y1 = max(box[0], 0), max(box[1], 0), min(box[2], wide), min(box[3], high)
        if x1 <= x0 or y1 <= y0:
            continue
        flat = Image.new("RGBA", ((x1 - x0) * k, (y1 - y0) * k), (0, 0, 0, 0))
        pen = ImageDraw.Draw(flat)
        for item in band:
            _paint(pen, recoloured(item, theme), k, (x0, y0))
        small = flat.convert("RGBa").reduce(k)
        _lay(image, np.asarray(small, dtype=np.float32) / np.float32(255.0), (x0, y0))


def _bands(shapes: Sequence[Primitive]) -> list[tuple[PixelBox, list[Primitive]]]:
    """Shapes by the rows that they are in, in their order: boxes (x0, y0, x1, y1) of whole pixels, one below the other."""
    boxes = sorted(((_extent(item), k) for k, item in enumerate(shapes)), key=lambda pair: pair[0][1])
    bands: list[tuple[list[int], list[int]]] = []
    for box, k in boxes:
        if bands and box[1] <= bands[-1][0][3]:
            whole, rows = bands[-1]
            whole[0], whole[2], whole[3] = min(whole[0], box[0]), max(whole[2], box[2]), max(whole[3], box[3])
            rows.append(k)
        else:
            bands.append((list(box), [k]))
    return [((b[0], b[1], b[2], b[3]), [shapes[k] for k in sorted(rows)]) for b, rows in bands]


def _extent(item: Primitive) -> PixelBox:
    """A box of whole pixels that a shape keeps within."""
    if isinstance(item, Text):
        wide = font(round(item.size * _FINER), item.bold).getlength(item.text) / _FINER
        left = item.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor] * wide
        low, high = (left, item.y - item.size), (left + wide, item.y + 0.5 * item.size)
        room = 0.5 * item.size + 2.0
    else:
        xs, ys = zip(*item.points, strict=True)
        low, high = (min(xs), min(ys)), (max(xs), max(ys))
        room = (item.edge_width if isinstance(item, Area) else item.width) + 2.0
    return (math.floor(low[0] - room), math.floor(low[1] - room), math.ceil(high[0] + room), math.ceil(high[1] + room))


def recoloured(item: Primitive, theme: Theme) -> Primitive:
    """A shape in the colours of a theme."""
    if isinstance(item, Area):
        return replace(item, fill=theme.of(item.fill), edge=theme.of(item.edge))
    return replace(item, colour=theme.of(item.colour) or item.colour)


def _paint(pen: Any, item: Primitive, k: int, origin: tuple[int, int]) -> None:
    x0, y0 = origin
    if isinstance(item, Text):
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[item.anchor]
        pen.text(
            ((item.x - x0) * k, (item.y - y0) * k),
            item.text,
            item.colour,
            font(round(item.size * k), item.bold),
            anchor,
        )
        return
    points = [((x - x0) * k, (y - y0) * k) for x, y in item.points]
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
