"""A document as a PDF: A4 pages set by helix itself, text that can be selected, charts as lines."""

from __future__ import annotations

import io
from functools import cache, lru_cache
from typing import Any, Final

from helix.output.report.document import Bullets, Chart, Document, Heading, Para, Table, by_methods

_PAGE_MM: Final = (210.0, 297.0)
_MARGIN_MM: Final = 18.0
_TOP_MM: Final = 279.0
_BOTTOM_MM: Final = 20.0
_WIDTH_MM: Final = _PAGE_MM[0] - 2.0 * _MARGIN_MM
_PT_MM: Final = 25.4 / 72.0
_LEAD: Final = 1.35
_SIZES: Final = {1: 16.0, 2: 12.0, 3: 10.0}
_BODY: Final = 8.5


def document_pdf(document: Document) -> bytes:
    """The whole document as PDF bytes, fonts inside, without a date, so that the same gives the same."""
    from matplotlib import rc_context
    from matplotlib.backends.backend_pdf import PdfPages

    from helix.output.report.chart_style import STYLE

    out = io.BytesIO()
    with rc_context({**STYLE, "pdf.fonttype": 42, "font.family": "DejaVu Sans"}):
        pages = _Pages(document.title)
        for block, following in zip(document.blocks, (*document.blocks[1:], None), strict=True):
            if isinstance(block, Heading):
                pages.heading(block, following.height_mm if isinstance(following, Chart) else 0.0)
            elif isinstance(block, Para):
                pages.text(block.text, _BODY, bold=block.strong)
                pages.space(1.5)
            elif isinstance(block, Bullets):
                for item in block.items:
                    pages.text(item, _BODY, indent=4.0, mark="\u2013")
                pages.space(1.5)
            elif isinstance(block, Table):
                pages.table(block)
            else:
                pages.chart(block)
        with PdfPages(out, metadata={"Title": document.title, "CreationDate": None, "Creator": "helix"}) as file:
            for figure in pages.finished():
                file.savefig(figure)
    return out.getvalue()


class _Pages:
    """Sets blocks one under another and starts a new page where one does not fit."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.figures: list[Any] = []
        self.y = 0.0
        self._new_page()

    def _new_page(self) -> None:
        from matplotlib.figure import Figure

        self.figures.append(Figure(figsize=(_PAGE_MM[0] / 25.4, _PAGE_MM[1] / 25.4)))
        self.y = _TOP_MM

    def _need(self, height_mm: float) -> None:
        if self.y - height_mm < _BOTTOM_MM and self.y < _TOP_MM:
            self._new_page()

    def _put(
        self, x_mm: float, text: str, size: float, bold: bool = False, right: bool = False, grey: str = "#111"
    ) -> None:
        self.figures[-1].text(
            x_mm / _PAGE_MM[0], self.y / _PAGE_MM[1], text, fontsize=size, fontweight="bold" if bold else "normal",
            ha="right" if right else "left", va="baseline", color=grey, parse_math=False,
        )  # fmt: skip

    def space(self, mm: float) -> None:
        """Leave room."""
        self.y -= mm

    def heading(self, block: Heading, below_mm: float) -> None:
        """A heading, kept with at least a few lines of what follows, and with the whole of a chart below."""
        size = _SIZES[block.level]
        self._need((26.0 if block.level < 3 else 16.0) + below_mm)
        if self.y < _TOP_MM:
            self.y -= 3.0
        self.text(block.text, size, bold=True)
        self.space(1.0)

    def text(self, text: str, size: float, bold: bool = False, indent: float = 0.0, mark: str = "") -> None:
        """Lines broken at spaces."""
        for k, line in enumerate(_lines(text, size, bold, _WIDTH_MM - indent)):
            height = size * _PT_MM * _LEAD
            self._need(height)
            self.y -= height
            if mark and k == 0:
                self._put(_MARGIN_MM, mark, size)
            self._put(_MARGIN_MM + indent, line, size, bold)

    def table(self, table: Table) -> None:
        """A table; its heading is set again on a new page, and long left columns are broken into lines."""
        if not table.rows:
            return
        size, widths = _fitted(table)
        lead = size * _PT_MM * 1.3
        self._need(4.0 * lead + 6.0)
        self.text(table.title + by_methods(table.methods), _BODY, bold=True)
        self.space(0.8)
        self._row(table, table.heading, widths, size, bold=True)
        self._rule(0.5)
        for row in table.rows:
            lines = max(len(_lines(row[k], size, False, widths[k])) for k in table.left) if table.left else 1
            if self.y - lines * lead < _BOTTOM_MM:
                self._new_page()
                self._row(table, table.heading, widths, size, bold=True)
                self._rule(0.5)
            self._row(table, row, widths, size)
        self._rule(0.25)
        if table.note:
            self.space(0.6)
            self.text(table.note, 7.5)
        self.space(3.5)

    def _row(self, table: Table, row: tuple[str, ...], widths: list[float], size: float, bold: bool = False) -> None:
        lead = size * _PT_MM * 1.3
        cells = [_lines(cell, size, bold, widths[k]) if k in table.left else [cell] for k, cell in enumerate(row)]
        top = self.y
        for line in range(max(len(cell) for cell in cells)):
            self.y = top - (line + 1) * lead
            x = _MARGIN_MM
            for k, cell in enumerate(cells):
                if line < len(cell) and cell[line]:
                    right = k not in table.left
                    self._put(x + widths[k] if right else x, cell[line], size, bold, right)
                x += widths[k] + _gap(len(widths))
        most = max(len(cell) for cell in cells)
        self.y = top - most * lead - (0.6 if most > 1 else 0.0)

    def _rule(self, width: float) -> None:
        from matplotlib.lines import Line2D

        self.y -= 0.8
        y = self.y / _PAGE_MM[1]
        ends = [_MARGIN_MM / _PAGE_MM[0], 1.0 - _MARGIN_MM / _PAGE_MM[0]]
        self.figures[-1].add_artist(Line2D(ends, [y, y], color="#555", linewidth=width))
        self.y -= 0.4

    def chart(self, chart: Chart) -> None:
        """A chart with its title above and its caption below."""
        caption = _lines(chart.caption, 7.5, False, _WIDTH_MM)
        self._need(chart.height_mm + 6.0 + len(caption) * 3.6)
        self.text(chart.title + by_methods(chart.methods), _BODY, bold=True)
        figure = self.figures[-1]
        above = _PAGE_MM[1] - self.y
        grid = figure.add_gridspec(
            3, 3, height_ratios=[above, chart.height_mm, max(self.y - chart.height_mm, 0.1)],
            width_ratios=[_MARGIN_MM, _WIDTH_MM, _MARGIN_MM], wspace=0.0, hspace=0.0,
        )  # fmt: skip
        chart.draw(figure.add_subfigure(grid[1, 1]))
        self.y -= chart.height_mm
        self.text(chart.caption, 7.5)
        self.space(4.0)

    def finished(self) -> list[Any]:
        """All pages, with their numbers."""
        for number, figure in enumerate(self.figures, start=1):
            place = {"fontsize": 7.0, "color": "#444", "va": "baseline", "parse_math": False}
            figure.text(_MARGIN_MM / _PAGE_MM[0], 10.0 / _PAGE_MM[1], self.title, ha="left", **place)
            figure.text(
                1.0 - _MARGIN_MM / _PAGE_MM[0],
                10.0 / _PAGE_MM[1],
                f"{number} of {len(self.figures)}",
                ha="right",
                **place,
            )
        return self.figures


def _gap(columns: int) -> float:
    return 3.0 if columns < 12 else 2.0


def _fitted(table: Table) -> tuple[float, list[float]]:
    """Size of letters and widths of columns in mm with which a table fits the page."""
    count = len(table.heading)
    room = _WIDTH_MM - _gap(count) * (count - 1)
    widths: list[float] = []
    for size in (7.5, 7.0, 6.5, 6.0, 5.5):
        widths = [
            max(_width(row[k], size, row is table.heading) for row in (table.heading, *table.rows))
            for k in range(count)
        ]
        if sum(widths) <= room:
            return size, widths
        long = [k for k in table.left if widths[k] > 22.0]
        left = room - sum(width for k, width in enumerate(widths) if k not in long)
        if long and left > 22.0 * len(long):
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


def _lines(text: str, size: float, bold: bool, width_mm: float) -> list[str]:
    """Lines that fit; a word that is too wide by itself, such as a path, is broken where it must be."""
    lines: list[str] = []
    for word in text.split():
        if lines and _width(f"{lines[-1]} {word}", size, bold) <= width_mm + 0.05:
            lines[-1] += f" {word}"
            continue
        while len(word) > 1 and _width(word, size, bold) > width_mm + 0.05:
            fits = next(k for k in range(len(word) - 1, 0, -1) if k == 1 or _width(word[:k], size, bold) <= width_mm)
            at = max(word.rfind("/", 0, fits), word.rfind("_", 0, fits)) + 1
            at = at if at > fits // 3 else fits
            lines.append(word[:at])
            word = word[at:]
        lines.append(word)
    return lines or [""]


@lru_cache(maxsize=20_000)
def _width(text: str, size: float, bold: bool) -> float:
    """Width of a line in mm, by the font's own measures."""
    from matplotlib.textpath import text_to_path

    if not text:
        return 0.0
    return float(text_to_path.get_text_width_height_descent(text, _font(size, bold), ismath=False)[0]) * _PT_MM


@cache
def _font(size: float, bold: bool) -> Any:
    from matplotlib.font_manager import FontProperties

    return FontProperties(family="DejaVu Sans", size=size, weight="bold" if bold else "normal")
