"""Sheets of paper in millimetres as a PDF: lines true to size, text that can be selected, fonts inside."""

from __future__ import annotations

import functools
import io
from dataclasses import dataclass
from typing import Any, Final

from helix.output.canvas.lettering import font_file
from helix.output.canvas.primitives import Area, Primitive, Text
from helix.output.shape.colouring import rgb
from helix.units import MM_PER_INCH

SIZES_MM: Final = {"a4": (297.0, 210.0), "a3": (420.0, 297.0), "letter": (11.0 * MM_PER_INCH, 8.5 * MM_PER_INCH)}
"""Width and height of each paper, lying."""
PT_PER_MM: Final = 72.0 / MM_PER_INCH
PLAIN_FONT: Final = "helix"
BOLD_FONT: Final = "helix-bold"
_ROUND_JOIN: Final = 1


@dataclass(frozen=True)
class Page:
    """What stands on one sheet: its size [mm], title, and shapes in mm from the upper left corner, y down."""

    width: float
    height: float
    title: str
    shapes: tuple[Primitive, ...]


def page_pdf(*pages: Page) -> bytes:
    """The pages as PDF bytes, titled as the first; the same pages give the same bytes.

    Lines end where they are said to end (butt caps) and nothing is scaled: a millimetre is a millimetre.
    """
    out = io.BytesIO()
    pen = pdf_pen(out, pages[0].title)
    for page in pages:
        pen.setPageSize((page.width * PT_PER_MM, page.height * PT_PER_MM))
        pen.setLineJoin(_ROUND_JOIN)
        for item in page.shapes:
            _paint(pen, item, page.height)
        pen.showPage()
    pen.save()
    return out.getvalue()


def pdf_pen(file: Any, title: str, **settings: Any) -> Any:
    """A canvas of reportlab that writes no date, so that the same gives the same; settings: as its Canvas takes."""
    from reportlab import rl_config
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString
    from reportlab.pdfgen.canvas import Canvas

    class Info(PDFInfo):  # type: ignore[misc]  # reportlab has no types
        def format(self, document: Any) -> Any:
            words = {"Title": readable(title), "Creator": "helix", "Producer": "helix"}
            return PDFDictionary({key: PDFString(text) for key, text in words.items()}).format(document)

    pdf_fonts()
    rl_config.useA85 = 0  # streams as they are: text of 85 letters takes a quarter more room and half of the time
    pen = Canvas(file, **{**settings, "invariant": 1, "pageCompression": 1, "initialFontName": PLAIN_FONT})
    pen._doc.info = Info()
    return pen


@functools.cache
def pdf_fonts() -> frozenset[int]:
    """Make the fonts known to reportlab by their names here; the characters that they have."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    fonts = [TTFont(name, str(font_file(name == BOLD_FONT))) for name in (PLAIN_FONT, BOLD_FONT)]
    for font in fonts:
        pdfmetrics.registerFont(font)
    pdfmetrics.registerFontFamily(PLAIN_FONT, PLAIN_FONT, BOLD_FONT, PLAIN_FONT, BOLD_FONT)
    return frozenset(fonts[0].face.charToGlyph)


def pdf_width(text: str, size: float, bold: bool = False) -> float:
    """Width of a line of text by the font's own measures, in the unit of the size.

    >>> pdf_width("mm", 10.0) > pdf_width("ll", 10.0)
    True
    """
    from reportlab.pdfbase.pdfmetrics import stringWidth

    pdf_fonts()
    return float(stringWidth(text, BOLD_FONT if bold else PLAIN_FONT, size))


def readable(text: str) -> str:
    """Text with every character that the sheet's font lacks as a question mark.

    >>> readable("Eye \\u00d8 6 mm"), readable("\\u4e00 wire")
    ('Eye \\xd8 6 mm', '? wire')
    """
    known = pdf_fonts()
    return "".join(char if ord(char) in known else "?" for char in text)


@functools.cache
def _rgb(colour: str) -> tuple[float, ...]:
    return tuple(rgb(colour).tolist())


def _paint(pen: Any, item: Primitive, height: float) -> None:
    if isinstance(item, Text):
        pen.setFont(BOLD_FONT if item.bold else PLAIN_FONT, item.size * PT_PER_MM)
        pen.setFillColorRGB(*_rgb(item.colour))
        put = {"start": pen.drawString, "middle": pen.drawCentredString, "end": pen.drawRightString}[item.anchor]
        put(item.x * PT_PER_MM, (height - item.y) * PT_PER_MM, readable(item.text))
        return
    # as operators of PDF: reportlab's own path takes longer to write each number than all else here
    points = [f"{x * PT_PER_MM:.5f} {(height - y) * PT_PER_MM:.5f}" for x, y in item.points]
    path = f"{points[0]} m " + " ".join(f"{point} l" for point in points[1:])
    if isinstance(item, Area):
        path, fill, edge, width = f"{path} h", item.fill, item.edge, item.edge_width
    else:
        fill, edge, width = None, item.colour, item.width
    if not fill and not edge:
        return
    if fill:
        pen._code.append(f"{_operands(fill)} rg")
    if edge:
        pen._code.append(f"{_operands(edge)} RG {width * PT_PER_MM:.5f} w")
    pen._code.append(f"{path} {'B*' if fill and edge else 'f*' if fill else 'S'}")


@functools.cache
def _operands(colour: str) -> str:
    """A colour as three numbers."""
    return " ".join(f"{part:.5f}" for part in _rgb(colour))
