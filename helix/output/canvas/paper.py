"""A sheet of paper in millimetres as a PDF: lines true to size, text that can be selected, fonts inside."""

from __future__ import annotations

import functools
import io
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from helix.output.canvas.primitives import Area, Ink, Text
from helix.units import MM_PER_INCH

SIZES_MM: Final = {"a4": (297.0, 210.0), "letter": (11.0 * MM_PER_INCH, 8.5 * MM_PER_INCH)}
"""Width and height of each paper, lying."""
_PT_PER_MM: Final = 72.0 / MM_PER_INCH
_FAMILY: Final = "DejaVu Sans"


@dataclass(frozen=True)
class Page:
    """What stands on one sheet: its size [mm], title, and shapes in mm from the upper left corner, y down."""

    width: float
    height: float
    title: str
    inks: tuple[Ink, ...]


def page_pdf(page: Page) -> bytes:
    """The page as PDF bytes; the same page gives the same bytes.

    Lines end where they are said to end (butt caps) and nothing is scaled: a millimetre is a millimetre.
    """
    from matplotlib import rc_context
    from matplotlib.backends.backend_pdf import FigureCanvasPdf
    from matplotlib.figure import Figure
    from matplotlib.transforms import Affine2D

    out = io.BytesIO()
    with rc_context({"pdf.fonttype": 42, "font.family": _FAMILY, "path.simplify": False}):
        figure = Figure(figsize=(page.width / MM_PER_INCH, page.height / MM_PER_INCH), dpi=72, frameon=False)
        FigureCanvasPdf(figure)
        to_points = Affine2D().scale(_PT_PER_MM, -_PT_PER_MM).translate(0.0, page.height * _PT_PER_MM)
        figure.add_artist(_painter(page.inks, to_points))
        figure.savefig(out, format="pdf", metadata={
            "Title": readable(page.title), "Creator": "helix", "Producer": "helix", "CreationDate": None,
        })  # fmt: skip
    return out.getvalue()


def readable(text: str) -> str:
    """Text with every character that the sheet's font lacks as a question mark.

    >>> readable("Eye \\u00d8 6 mm"), readable("\\u4e00 wire")
    ('Eye \\xd8 6 mm', '? wire')
    """
    known = _characters()
    return "".join(char if ord(char) in known else "?" for char in text)


@functools.cache
def _characters() -> frozenset[int]:
    from matplotlib import font_manager

    found = font_manager.get_font(font_manager.findfont(_FAMILY))
    return frozenset(found.get_charmap())


def _painter(inks: Iterable[Ink], to_points: Any) -> Any:
    """One artist that paints all shapes in their order: thousands of them take too long as artists of their own."""
    from matplotlib.artist import Artist
    from matplotlib.colors import to_rgb
    from matplotlib.font_manager import FontProperties
    from matplotlib.path import Path as Outline
    from matplotlib.transforms import IdentityTransform

    still = IdentityTransform()

    class Painter(Artist):
        def draw(self, renderer: Any) -> None:
            for ink in inks:
                gc = renderer.new_gc()
                if isinstance(ink, Text):
                    self._words(renderer, gc, ink)
                    continue
                closed = isinstance(ink, Area)
                points = to_points.transform(ink.points)
                outline = Outline([*points, points[0]] if closed else points, closed=closed)
                width, colour = (ink.edge_width, ink.edge) if isinstance(ink, Area) else (ink.width, ink.colour)
                gc.set_linewidth(width * _PT_PER_MM if colour else 0.0)
                gc.set_foreground(to_rgb(colour or "black"), isRGBA=False)
                gc.set_capstyle("butt")
                gc.set_joinstyle("round")
                fill = to_rgb(ink.fill) if isinstance(ink, Area) and ink.fill else None
                renderer.draw_path(gc, outline, still, fill)
                gc.restore()

        def _words(self, renderer: Any, gc: Any, ink: Text) -> None:
            size = ink.size * _PT_PER_MM
            font = FontProperties(family=_FAMILY, size=size, weight="bold" if ink.bold else "normal")
            text = readable(ink.text)
            ((x, y),) = to_points.transform([(ink.x, ink.y)])
            if ink.anchor != "start":
                wide = renderer.get_text_width_height_descent(text, font, ismath=False)[0]
                x -= wide / (1.0 if ink.anchor == "end" else 2.0)
            gc.set_foreground(to_rgb(ink.colour))
            renderer.draw_text(gc, x, y, text, font, 0.0, ismath=False)
            gc.restore()

    return Painter()
