"""The sheet for the bench: a bar for each length of stock, then each piece with its ink marks. PDF or SVG.

A PDF has as many pages as it takes, an SVG one page as long as it takes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from helix.findings import Severity
from helix.output.batch.batch_answers import letters, worst_line, worst_of
from helix.output.batch.cut_sheet_bars import stock_bar
from helix.output.batch.cut_sheet_cards import piece_card
from helix.output.batch.cut_sheet_parts import (
    EDGE,
    LINE,
    MM_PER_PT,
    PAGE_MM,
    RIGHT,
    WIDE,
    SheetBlock,
    columns,
    paragraph,
    title_block,
    wide_lines,
    words,
)
from helix.output.batch.cut_table import answer
from helix.output.canvas.lettering import fitted_title
from helix.output.canvas.paper import SIZES_MM, Page, page_pdf
from helix.output.canvas.primitives import SOFT, Primitive, Stroke, moved
from helix.output.canvas.shapes_svg import page_svg
from helix.output.sheet.sheet import CHECK_MM, check_length
from helix.output.words.answer_words import CAUTION
from helix.studies.batch.piece_cuts import MARKS
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan

_LEAST_ROOM = 2 * EDGE + 8.0  # of a page that no block may take [mm]
# Okabe and Ito's palette, paled; every part bears its letter too [pub]
_TINTS = ("#cfe3f5", "#f9dfae", "#bfe5d6", "#f3cfe0", "#f8f2a8", "#d5dbe2", "#f2c9ae", "#d9f0fb")
_STEPS = (
    "Cut a length of stock from one end, in the order of its bar, and tick each piece off.",
    "Ink the marks of each piece from both of its ends, the tape's zero at the wire's end.",
    "Lay the eye middle on the pin. The throat marks come together where the twist begins.",
    "Twist, swing out, wind the barrel up to its mark, and work the handle off.",
    "Measure the finished length between the pins before the second joint's barrel is wound.",
)


def sheet_bytes(result: CutPlan, units: UnitSystem, kind: str = "pdf", *, paper: str = "a4") -> bytes:
    """The sheet as the content of a file; the same plan gives the same bytes. paper: one of `SIZES_MM`.

    A3 lies and has two columns, each as an A4 page; the others stand and have one.
    """
    blocks, title, most = _blocks(result, units), result.plan.title, 2 if paper == "a3" else 1
    wide, tall = SIZES_MM[paper] if paper == "a3" else SIZES_MM[paper][::-1]
    if kind == "svg":
        halves = _halves(blocks, most)
        height = max(tall, _LEAST_ROOM + max(_height(column) for column in halves))
        return page_svg(_page(halves, (wide, height), title, "page 1 of 1", units)).encode()
    filled = columns(blocks, tall - _LEAST_ROOM)
    pages = [filled[k : k + most] for k in range(0, len(filled), most)]
    return page_pdf(*(
        _page(page, (wide, tall), title, f"page {number} of {len(pages)}", units)
        for number, page in enumerate(pages, 1)
    ))  # fmt: skip


def _height(blocks: list[SheetBlock]) -> float:
    return sum(block.height for block in blocks)


def _halves(blocks: list[SheetBlock], count: int) -> list[list[SheetBlock]]:
    """All blocks in so many columns of about one height: one or two."""
    if count == 1:
        return [blocks]
    half = max(max(block.height for block in blocks), _height(blocks) / 2)
    while len(made := columns(blocks, half)) > count:
        half += 5.0
    return made


def _page(
    filled: list[list[SheetBlock]], size: tuple[float, float], title: str, number: str, units: UnitSystem
) -> Page:
    aside = size[0] % PAGE_MM[0] / 2 if size[0] > PAGE_MM[0] else 0.0  # what a column leaves of the width
    shapes = [moved(item, 0.0, aside) for item in _foot(size[1] - 8.0, number, units)]
    for k, blocks in enumerate(filled):
        top = EDGE
        for block in blocks:
            shapes += [moved(item, top, aside + k * PAGE_MM[0]) for item in block.shapes]
            top += block.height
    return Page(*size, title, tuple(shapes))


def _foot(y: float, number: str, units: UnitSystem) -> list[Primitive]:
    """A rule to check the print by, the page, and the caution."""
    length = CHECK_MM[units]
    parts, numbered = (16, 4) if units == "inch" else (10, 5)
    ticks = [(EDGE + length * k / parts, 2.0 if k % numbered == 0 else 1.0) for k in range(parts + 1)]
    note = f"{check_length(units)} when printed at full size. Each bar is to its own length."
    return [
        Stroke(((EDGE, y), (EDGE + length, y)), LINE, role="check rule"),
        *(Stroke(((x, y), (x, y - tall)), LINE) for x, tall in ticks),
        words(EDGE + length + 3.0, y, note, 7, SOFT),
        words(EDGE, y + 3.8, CAUTION, 7.5),
        words(RIGHT, y + 3.8, number, 7, SOFT, anchor="end"),
    ]


def _blocks(result: CutPlan, units: UnitSystem) -> list[SheetBlock]:
    named = letters(result)
    tints = {name: _TINTS[k % len(_TINTS)] for k, name in enumerate(named)}
    return [
        _head(result, units),
        title_block("From the stock", "tick each piece off as it is cut"),
        *(stock_bar(result, stock, named, tints, units) for stock in result.stock),
        title_block("Each piece, with its ink marks", "measured from its own end of the cut wire; not to scale"),
        *(piece_card(cut, named[cut.piece.name], tints[cut.piece.name], units) for cut in result.pieces),
        _steps(),
    ]


def _head(result: CutPlan, units: UnitSystem) -> SheetBlock:
    found = [worst_line(result, units)] if worst_of(result).severity > Severity.NOTE else []
    lines = wide_lines([*found, answer(result, units)], 9)
    title = fitted_title(result.plan.title, 14 * MM_PER_PT, WIDE)
    return SheetBlock(
        13.0 + 4.4 * len(lines), (words(EDGE, 5.0, title, 14, bold=True), *paragraph(11.0, 4.4, lines, 9))
    )


def _steps() -> SheetBlock:
    meaning = "; ".join(f"{mark}: {what}" for mark, what in MARKS.items())
    steps = [f"{k}.  {step}" for k, step in enumerate(_STEPS, 1)]
    lines = wide_lines([*steps, f"{meaning[0].upper()}{meaning[1:]}."], 8)
    shapes = (*title_block("At the bench", "").shapes, *paragraph(11.6, 4.2, lines, 8))
    return SheetBlock(12.0 + 4.2 * len(lines), shapes)
