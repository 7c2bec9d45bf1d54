"""A document as a PDF: A4 pages, text that can be selected, charts as lines."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any, Final
from xml.sax.saxutils import escape

from helix.output.canvas.lettering import fitted_line
from helix.output.canvas.paper import BOLD_FONT, PLAIN_FONT, pdf_pen, pdf_width, readable
from helix.output.report.chart_pen import paint_chart
from helix.output.report.document import Answer, Bullets, Chart, Document, Heading, Para, Picture, Table, by_methods

_MM: Final = 72.0 / 25.4
_PAGE: Final = (210.0 * _MM, 297.0 * _MM)
_MARGIN: Final = 18.0 * _MM
_WIDTH: Final = _PAGE[0] - 2.0 * _MARGIN
_FOOT: Final = 10.0 * _MM
_LEAST: Final = 22.0 * _MM  # a long column is not made narrower
_HEADINGS: Final = {1: 16.0, 2: 12.0, 3: 10.0}
_BODY: Final = 8.5
_NOTE: Final = 7.5
_PADDING: Final = 6.0  # of reportlab's frames


def document_pdf(document: Document) -> bytes:
    """The whole document as PDF bytes, fonts inside, without a date, so that the same gives the same."""
    from reportlab.platypus import SimpleDocTemplate

    out = io.BytesIO()

    def foot(pen: Any, _: Any) -> None:
        pen.setFont(PLAIN_FONT, 7.0)
        pen.setFillGray(0.27)
        pen.drawString(_MARGIN, _FOOT, fitted_line(readable(document.title), 7.0, _WIDTH - 40.0))
        pen.drawString(_MARGIN, _FOOT - 10.0, document.caution)
        pen.drawRightString(_PAGE[0] - _MARGIN - 11.0, _FOOT, f"{pen.getPageNumber()} of")
        pen.doForm("pages")  # how many there are is written at the end

    side = _MARGIN - _PADDING
    pages = SimpleDocTemplate(
        out, pagesize=_PAGE, leftMargin=side, rightMargin=side, topMargin=side, bottomMargin=20.0 * _MM - _PADDING
    )
    pages._doSave = 0
    pages.build(
        list(_flow(document)),
        foot,
        foot,
        canvasmaker=lambda file, **settings: pdf_pen(file, document.title, **settings),
    )
    pen = pages.canv
    pen.beginForm("pages")
    pen.setFont(PLAIN_FONT, 7.0)
    pen.setFillGray(0.27)
    pen.drawString(_PAGE[0] - _MARGIN - 9.0, _FOOT, str(pen.getPageNumber() - 1))
    pen.endForm()
    pen.save()
    return out.getvalue()


def _flow(document: Document) -> Iterator[Any]:
    """The document as what reportlab sets one below the other."""
    from reportlab.platypus import CondPageBreak, KeepTogether, Spacer

    below: list[float] = [block.height_mm * _MM if isinstance(block, Chart) else 0.0 for block in document.blocks[1:]]
    for block, chart in zip(document.blocks, [*below, 0.0], strict=True):
        if isinstance(block, Heading):
            yield CondPageBreak((26.0 if block.level < 3 else 16.0) * _MM + chart)
            yield _text(block.text, _HEADINGS[block.level], bold=True, before=3.0 * _MM, after=1.0 * _MM)
        elif isinstance(block, Answer):
            for para in block.paras:
                yield _text(para.text, _BODY, bold=para.strong, after=1.5 * _MM)
        elif isinstance(block, Para):
            yield _text(block.text, _BODY, bold=block.strong, after=1.5 * _MM)
        elif isinstance(block, Bullets):
            yield from (_text(item, _BODY, mark="\u2013") for item in block.items)
            yield Spacer(0.0, 1.5 * _MM)
        elif isinstance(block, Chart):
            title = _text(block.title + by_methods(block.methods), _BODY, bold=True)
            yield KeepTogether([title, _chart(block), _text(block.caption, _NOTE, after=4.0 * _MM)])
        elif isinstance(block, Picture):
            yield _text(block.caption, _NOTE, after=1.5 * _MM)
        elif block.rows:
            yield CondPageBreak(6.0 * _MM + 5.0 * _BODY)
            yield _text(block.title + by_methods(block.methods), _BODY, bold=True, after=0.8 * _MM)
            yield _table(block)
            yield _text(block.note, _NOTE, before=0.6 * _MM) if block.note else Spacer(0.0, 0.0)
            yield Spacer(0.0, 3.5 * _MM)


def _text(
    text: str,
    size: float,
    *,
    bold: bool = False,
    before: float = 0.0,
    after: float = 0.0,
    mark: str = "",
    lead: float = 1.35,
) -> Any:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle(
        "", fontName=BOLD_FONT if bold else PLAIN_FONT, fontSize=size, leading=lead * size, textColor="#111111",
        spaceBefore=before, spaceAfter=after, leftIndent=4.0 * _MM if mark else 0.0,
        bulletFontName=PLAIN_FONT, bulletFontSize=size,
    )  # fmt: skip
    return Paragraph(escape(readable(text)), style, bulletText=mark or None)


def _chart(chart: Chart) -> Any:
    from reportlab.platypus import Flowable

    class Drawn(Flowable):  # type: ignore[misc]  # reportlab has no types
        def wrap(self, *room: float) -> tuple[float, float]:
            return _WIDTH, chart.height_mm * _MM

        def draw(self) -> None:
            paint_chart(chart, self.canv, *self.wrap())

    return Drawn()


def _table(table: Table) -> Any:
    """A table; its heading is set again on a new page, and long left columns are broken into lines."""
    from reportlab.platypus import LongTable, TableStyle

    size, widths = _fitted(table)
    gap, last = _gap(len(widths)), len(widths) - 1
    rows = [
        [
            _text(cell, size, bold=number == 0, lead=1.3) if k in table.left and _width(cell, size, number == 0) > widths[k]
            else readable(cell)
            for k, cell in enumerate(row)
        ]
        for number, row in enumerate((table.heading, *table.rows))
    ]  # fmt: skip
    whole, head = ((0, 0), (-1, -1)), ((0, 0), (-1, 0))
    style = [
        ("FONT", *whole, PLAIN_FONT, size, 1.3 * size), ("FONT", *head, BOLD_FONT, size, 1.3 * size),
        ("TEXTCOLOR", *whole, "#111111"), ("ALIGN", *whole, "RIGHT"), ("VALIGN", *whole, "TOP"),
        *(("ALIGN", (k, 0), (k, -1), "LEFT") for k in table.left),
        ("LEFTPADDING", *whole, 0.0), ("RIGHTPADDING", *whole, gap), ("RIGHTPADDING", (last, 0), (last, -1), 0.0),
        ("TOPPADDING", *whole, 0.0), ("BOTTOMPADDING", *whole, 0.0), ("BOTTOMPADDING", *head, 2.2),
        ("TOPPADDING", (0, 1), (-1, 1), 1.0), ("BOTTOMPADDING", (0, -1), (-1, -1), 2.2),
        ("LINEBELOW", *head, 0.5, "#555555"), ("LINEBELOW", (0, "splitlast"), (-1, "splitlast"), 0.25, "#555555"),
        ("LINEBELOW", (0, -1), (-1, -1), 0.25, "#555555"),
    ]  # fmt: skip
    sides = [width + (gap if k < last else 0.0) + 0.1 for k, width in enumerate(widths)]
    return LongTable(rows, colWidths=sides, repeatRows=1, hAlign="LEFT", style=TableStyle(style))


def _gap(columns: int) -> float:
    return (3.0 if columns < 12 else 2.0) * _MM


def _width(text: str, size: float, bold: bool) -> float:
    return pdf_width(readable(text), size, bold)


def _fitted(table: Table) -> tuple[float, list[float]]:
    """Size of letters and widths of columns in points with which a table fits the page."""
    count = len(table.heading)
    room = _WIDTH - _gap(count) * (count - 1) - 0.1 * count
    widths: list[float] = []
    for size in (7.5, 7.0, 6.5, 6.0, 5.5):
        widths = [
            max(_width(row[k], size, row is table.heading) for row in (table.heading, *table.rows))
            for k in range(count)
        ]
        if sum(widths) <= room:
            return size, widths
        long = [k for k in table.left if widths[k] > _LEAST]
        left = room - sum(width for k, width in enumerate(widths) if k not in long)
        if long and left > _LEAST * len(long):
            return size, _shared(widths, long, left)
    return 5.5, widths


def _shared(widths: list[float], long: list[int], room: float) -> list[float]:
    """Columns with the long ones narrowed to share the room: by the root of what they would take."""
    out = list(widths)
    open_ones, left = list(long), room
    while open_ones:
        unit = left / sum(widths[k] ** 0.5 for k in open_ones)
        fits = [k for k in open_ones if widths[k] <= unit * widths[k] ** 0.5]
        if not fits:
            for k in open_ones:
                out[k] = unit * widths[k] ** 0.5
            break
        left -= sum(widths[k] for k in fits)
        open_ones = [k for k in open_ones if k not in fits]
    return out
