"""The sheet for the bench: a bar for each length of stock, then each piece with its ink marks. PDF or SVG.

The bars are drawn with matplotlib. A PDF has as many A4 pages as it takes, an SVG one page as long as it takes.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.output.batch.cut_sheet_bars import stock_bar
from helix.output.batch.cut_sheet_cards import piece_card
from helix.output.batch.cut_sheet_parts import EDGE, MM_PER_PT, PAGE_MM, WIDE, SheetBlock, text_at, title_block
from helix.output.batch.cut_table import answer, letters
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, SOFT
from helix.output.files import write_whole
from helix.studies.batch.piece_cuts import MARKS
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan

# Okabe and Ito's palette, paled; every part bears its letter too [pub]
_TINTS = ("#cfe3f5", "#f9dfae", "#bfe5d6", "#f3cfe0", "#f8f2a8", "#d5dbe2", "#f2c9ae", "#d9f0fb")
_STEPS = (
    "Cut a length of stock from one end, in the order of its bar, and tick each piece off.",
    "Ink the marks of each piece from both of its ends, the tape's zero at the wire's end.",
    "Lay the eye middle on the pin. The throat marks come together where the twist begins.",
    "Twist, swing out, wind the barrel up to its mark, and work the handle off.",
    "Measure the finished length between the pins before the second joint's barrel is wound.",
)


def write_cut_sheet(result: CutPlan, path: Path, units: UnitSystem, *, force: bool = False) -> None:
    """Write the sheet to a PDF or SVG file, whole or not at all; raises ValidationError when it cannot."""
    kind = "svg" if path.suffix.lower() == ".svg" else "pdf"
    write_whole(path, sheet_bytes(result, units, kind), force=force)


def sheet_bytes(result: CutPlan, units: UnitSystem, kind: str = "pdf") -> bytes:
    """The sheet as the content of a file; the same plan gives the same bytes."""
    import matplotlib
    from matplotlib.backends.backend_pdf import PdfPages

    blocks = _blocks(result, units)
    out = io.BytesIO()
    settings = {"svg.hashsalt": "helix", "svg.fonttype": "none", "pdf.fonttype": 42, "font.family": "DejaVu Sans"}
    with matplotlib.rc_context(settings):
        if kind == "svg":
            height = max(PAGE_MM[1], sum(block.height for block in blocks) + 2 * EDGE + 8.0)
            figure = _page([blocks], 0, height, result)
            figure.savefig(out, format="svg", metadata={"Date": None, "Creator": "helix"})
            return out.getvalue()
        pages = _paged(blocks)
        with PdfPages(out, metadata={"CreationDate": None, "Creator": "helix", "Title": result.plan.title}) as pdf:
            for number in range(len(pages)):
                pdf.savefig(_page(pages, number, PAGE_MM[1], result))
    return out.getvalue()


def _paged(blocks: list[SheetBlock]) -> list[list[SheetBlock]]:
    """Blocks page by page, none broken, a heading with what follows it."""
    room = PAGE_MM[1] - 2 * EDGE - 8.0
    pages: list[list[SheetBlock]] = [[]]
    for k, block in enumerate(blocks):
        needed = block.height + (blocks[k + 1].height if block.heading and k + 1 < len(blocks) else 0.0)
        if pages[-1] and sum(each.height for each in pages[-1]) + needed > room:
            pages.append([])
        pages[-1].append(block)
    return pages


def _page(pages: list[list[SheetBlock]], number: int, height: float, result: CutPlan) -> Any:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(PAGE_MM[0] / 25.4, height / 25.4), facecolor="white")
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(0.0, PAGE_MM[0]), ylim=(0.0, height))
    axes.axis("off")
    top = height - EDGE
    for block in pages[number]:
        block.draw(axes, top)
        top -= block.height
    _foot(axes, number + 1, len(pages), result)
    return figure


def _foot(axes: Any, page: int, pages: int, result: CutPlan) -> None:
    """A rule to check the print by, the page, and the caution."""
    y = 8.0
    axes.plot([EDGE, EDGE + 100.0], [y, y], color=INK, linewidth=0.6, solid_capstyle="butt")
    for k in range(11):
        tall = 2.0 if k % 5 == 0 else 1.0
        axes.plot([EDGE + 10.0 * k] * 2, [y, y + tall], color=INK, linewidth=0.6, solid_capstyle="butt")
    text_at(axes, EDGE, y - 3.2, "100 mm when printed at full size. Bars are drawn each to its own length.", 6, SOFT)
    text_at(axes, PAGE_MM[0] - EDGE, y + 1.0, f"page {page} of {pages}", 7, SOFT, anchor="right")
    text_at(
        axes,
        PAGE_MM[0] - EDGE,
        y - 3.2,
        "Hard wire whips: wear eye protection. Not for lifting.",
        6,
        SOFT,
        anchor="right",
    )


def _blocks(result: CutPlan, units: UnitSystem) -> list[SheetBlock]:
    named, blocks = (
        letters(result),
        [_head(result, units), title_block("From the stock", "tick each piece off as it is cut")],
    )
    tints = {name: _TINTS[k % len(_TINTS)] for k, name in enumerate(named)}
    blocks += [stock_bar(result, each, named, tints, units) for each in result.stock]
    blocks += [title_block("Each piece, with its ink marks", "measured from its own end of the cut wire; not to scale")]
    blocks += [piece_card(each, named[each.piece.name], tints[each.piece.name], units) for each in result.pieces]
    blocks.append(_steps())
    return blocks


def _head(result: CutPlan, units: UnitSystem) -> SheetBlock:
    lines = wrapped(answer(result, units), 9 * MM_PER_PT, WIDE)

    def draw(axes: Any, top: float) -> None:
        title = fitted_line(result.plan.title, 14 * MM_PER_PT, WIDE, bold=True)
        text_at(axes, EDGE, top - 5.0, title, 14, bold=True)
        for k, line in enumerate(lines):
            text_at(axes, EDGE, top - 11.0 - 4.4 * k, line, 9)

    return SheetBlock(11.0 + 4.4 * len(lines) + 2.0, draw)


def _steps() -> SheetBlock:
    lines = [line for k, step in enumerate(_STEPS, 1) for line in wrapped(f"{k}.  {step}", 8 * MM_PER_PT, WIDE)]
    meaning = "; ".join(f"{mark}: {what}" for mark, what in MARKS.items())
    lines += wrapped(f"{meaning[0].upper()}{meaning[1:]}.", 8 * MM_PER_PT, WIDE)

    def draw(axes: Any, top: float) -> None:
        text_at(axes, EDGE, top - 5.5, "At the bench", 11, bold=True)
        axes.plot([EDGE, PAGE_MM[0] - EDGE], [top - 7.2] * 2, color=INK, linewidth=0.8)
        for k, line in enumerate(lines):
            text_at(axes, EDGE, top - 11.6 - 4.2 * k, line, 8)

    return SheetBlock(12.0 + 4.2 * len(lines), draw)
