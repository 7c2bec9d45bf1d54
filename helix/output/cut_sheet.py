"""The sheet for the bench: a bar for each length of stock, then each piece with its ink marks. PDF or SVG.

The bars are drawn with matplotlib. A PDF has as many A4 pages as it takes, an SVG one page as long as it takes.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.output.cut_table import answer, decimals, left, letters, long_length, stock_name
from helix.output.files import write_whole
from helix.output.inks import INK, SOFT
from helix.output.lettering import fitted_line, text_width
from helix.output.lettering import wrapped as broken
from helix.output.words import fixed_length
from helix.studies.piece_cuts import MARKS
from helix.units import UnitSystem, format_force, format_length

if TYPE_CHECKING:
    from helix.studies.cut_plan import CutPlan, SawnStock
    from helix.studies.piece_cuts import PieceCut

PAGE_MM = (210.0, 297.0)
_EDGE = 13.0
_WIDE = PAGE_MM[0] - 2 * _EDGE
_MM_PER_PT = 25.4 / 72.0
# Okabe and Ito's palette, paled; every part bears its letter too [pub]
_TINTS = ("#cfe3f5", "#f9dfae", "#bfe5d6", "#f3cfe0", "#f8f2a8", "#d5dbe2", "#f2c9ae", "#d9f0fb")
_MOST_PLACES = 14  # cuts whose places are written out
_MOST_BOXES = 400
_THINNEST = 1.5  # of a piece on a bar [mm on paper]
_STEPS = (
    "Cut a length of stock from one end, in the order of its bar, and tick each piece off.",
    "Ink the marks of each piece from both of its ends, the tape's zero at the wire's end.",
    "Lay the eye middle on the pin. The throat marks come together where the twist begins.",
    "Twist, swing out, wind the barrel up to its mark, and work the handle off.",
    "Measure the finished length between the pins before the second joint's barrel is wound.",
)


@dataclass(frozen=True)
class _Block:
    """A part of the sheet that stays together: its height, and what draws it below a height [mm]."""

    height: float
    draw: Callable[[Any, float], None]
    heading: bool = False


def write_cut_sheet(result: CutPlan, path: Path, units: UnitSystem, *, force: bool = False) -> None:
    """Write the sheet to a PDF or SVG file, whole or not at all; raises InputFaults when it cannot."""
    kind = "svg" if path.suffix.lower() == ".svg" else "pdf"
    write_whole(path, sheet_bytes(result, units, kind), force=force)


def sheet_bytes(result: CutPlan, units: UnitSystem, kind: str = "pdf") -> bytes:
    """The sheet as the content of a file; the same plan gives the same bytes."""
    import matplotlib
    from matplotlib.backends.backend_pdf import PdfPages

    blocks = _blocks(result, units)
    out = io.BytesIO()
    settings = {
        "svg.hashsalt": "helix",
        "svg.fonttype": "none",
        "pdf.fonttype": 42,
        "font.family": "DejaVu Sans",
    }
    with matplotlib.rc_context(settings):
        if kind == "svg":
            height = max(PAGE_MM[1], sum(block.height for block in blocks) + 2 * _EDGE + 8.0)
            figure = _page([blocks], 0, height, result)
            figure.savefig(out, format="svg", metadata={"Date": None, "Creator": "helix"})
            return out.getvalue()
        pages = _paged(blocks)
        with PdfPages(
            out, metadata={"CreationDate": None, "Creator": "helix", "Title": result.plan.title}
        ) as pdf:
            for number in range(len(pages)):
                pdf.savefig(_page(pages, number, PAGE_MM[1], result))
    return out.getvalue()


def _paged(blocks: list[_Block]) -> list[list[_Block]]:
    """Blocks page by page, none broken, a heading with what follows it."""
    room = PAGE_MM[1] - 2 * _EDGE - 8.0
    pages: list[list[_Block]] = [[]]
    for k, block in enumerate(blocks):
        needed = block.height + (blocks[k + 1].height if block.heading and k + 1 < len(blocks) else 0.0)
        if pages[-1] and sum(each.height for each in pages[-1]) + needed > room:
            pages.append([])
        pages[-1].append(block)
    return pages


def _page(pages: list[list[_Block]], number: int, height: float, result: CutPlan) -> Any:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(PAGE_MM[0] / 25.4, height / 25.4), facecolor="white")
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(0.0, PAGE_MM[0]), ylim=(0.0, height))
    axes.axis("off")
    top = height - _EDGE
    for block in pages[number]:
        block.draw(axes, top)
        top -= block.height
    _foot(axes, number + 1, len(pages), result)
    return figure


def _foot(axes: Any, page: int, pages: int, result: CutPlan) -> None:
    """A rule to check the print by, the page, and the caution."""
    y = 8.0
    axes.plot([_EDGE, _EDGE + 100.0], [y, y], color=INK, linewidth=0.6, solid_capstyle="butt")
    for k in range(11):
        tall = 2.0 if k % 5 == 0 else 1.0
        axes.plot([_EDGE + 10.0 * k] * 2, [y, y + tall], color=INK, linewidth=0.6, solid_capstyle="butt")
    _text(
        axes,
        _EDGE,
        y - 3.2,
        "100 mm when printed at full size. Bars are drawn each to its own length.",
        6,
        SOFT,
    )
    _text(axes, PAGE_MM[0] - _EDGE, y + 1.0, f"page {page} of {pages}", 7, SOFT, anchor="right")
    _text(
        axes,
        PAGE_MM[0] - _EDGE,
        y - 3.2,
        "Hard wire whips: wear eye protection. Not for lifting.",
        6,
        SOFT,
        anchor="right",
    )


def _blocks(result: CutPlan, units: UnitSystem) -> list[_Block]:
    named, blocks = (
        letters(result),
        [_head(result, units), _title("From the stock", "tick each piece off as it is cut")],
    )
    tints = {name: _TINTS[k % len(_TINTS)] for k, name in enumerate(named)}
    blocks += [_bar(result, each, named, tints, units) for each in result.stock]
    blocks += [
        _title("Each piece, with its ink marks", "measured from its own end of the cut wire; not to scale")
    ]
    blocks += [_card(each, named[each.piece.name], tints[each.piece.name], units) for each in result.pieces]
    blocks.append(_steps())
    return blocks


def _head(result: CutPlan, units: UnitSystem) -> _Block:
    lines = broken(answer(result, units), 9 * _MM_PER_PT, _WIDE)

    def draw(axes: Any, top: float) -> None:
        title = fitted_line(result.plan.title, 14 * _MM_PER_PT, _WIDE, bold=True)
        _text(axes, _EDGE, top - 5.0, title, 14, bold=True)
        for k, line in enumerate(lines):
            _text(axes, _EDGE, top - 11.0 - 4.4 * k, line, 9)

    return _Block(11.0 + 4.4 * len(lines) + 2.0, draw)


def _title(text: str, note: str) -> _Block:
    def draw(axes: Any, top: float) -> None:
        _text(axes, _EDGE, top - 5.5, text, 11, bold=True)
        _text(axes, PAGE_MM[0] - _EDGE, top - 5.5, note, 7.5, SOFT, anchor="right")
        axes.plot([_EDGE, PAGE_MM[0] - _EDGE], [top - 7.2] * 2, color=INK, linewidth=0.8)

    return _Block(9.5, draw, heading=True)


def _bar(
    result: CutPlan, each: SawnStock, named: dict[str, str], tints: dict[str, str], units: UnitSystem
) -> _Block:
    """One length of stock: its name, the bar, boxes to tick, and where to cut."""
    wire = result.plan.wires[each.stock.wire]
    size = f"{wire.size}, " if wire.size else ""
    head = f"{stock_name(each)}, {long_length(each.stock.length_mm, units)}"
    about = f"wire {each.stock.wire}: {size}{format_length(wire.diameter_mm, units)} {wire.material}"
    groups = [(name, len(list(pieces))) for name, pieces in groupby(each.cuts, key=lambda cut: cut.name)]
    boxes = _box_rows(groups, named)
    lines = broken(_said(each, named, units), 7.5 * _MM_PER_PT, _WIDE)
    height = 6.0 + 9.0 + 5.0 * len(boxes) + 3.7 * len(lines) + 4.0

    def draw(axes: Any, top: float) -> None:
        _text(axes, _EDGE, top - 4.0, head, 9, bold=True)
        _text(axes, _EDGE + text_width(head, 9 * _MM_PER_PT, True) + 2.0, top - 4.0, about, 7.5, SOFT)
        _text(axes, PAGE_MM[0] - _EDGE, top - 4.0, left(each, units), 8, anchor="right")
        _segments(axes, each, named, tints, top - 14.5)
        y = top - 15.0
        for row in boxes:
            y -= 5.0
            for x, name, number in row:
                _text(axes, x, y + 0.7, named[name], 8, bold=True)
                for k in range(number):
                    _box(axes, x + 4.0 + 4.2 * k, y, 3.2)
        for k, line in enumerate(lines):
            _text(axes, _EDGE, y - 3.6 - 3.7 * k, line, 7.5)

    return _Block(height, draw)


def _box_rows(groups: list[tuple[str, int]], named: dict[str, str]) -> list[list[tuple[float, str, int]]]:
    """Rows of (x, piece, number of boxes) that fit the width; none for more boxes than a person ticks."""
    if sum(count for _, count in groups) > _MOST_BOXES:
        return []
    rows: list[list[tuple[float, str, int]]] = [[]]
    x = _EDGE
    most = int((_WIDE - 6.0) / 4.2)
    for name, count in groups:
        while count:
            number = min(count, most)
            wide = 4.0 + 4.2 * number + 4.0
            if x + wide - 4.0 > _EDGE + _WIDE and rows[-1]:
                rows.append([])
                x = _EDGE
            rows[-1].append((x, name, number))
            x += wide
            count -= number
    return rows


def _said(each: SawnStock, named: dict[str, str], units: UnitSystem) -> str:
    """What the bar shows, in words, with the places of the cuts where there are few."""
    said = []
    for name, pieces in groupby(each.cuts, key=lambda cut: cut.name):
        listed = list(pieces)
        said.append(
            f"{len(listed)} x {named[name]} {fixed_length(listed[0].length_mm, units, decimals(units))}"
        )
    unit = "in" if units == "inch" else "mm"
    text = f"{', then '.join(said)} {unit}."
    if len(each.cuts) <= _MOST_PLACES:
        places = ", ".join(fixed_length(cut.to_mm, units, decimals(units)) for cut in each.cuts)
        text += f" Pieces end, from the first end of the stock, at {places}."
    return text


def _segments(
    axes: Any, each: SawnStock, named: dict[str, str], tints: dict[str, str], bottom: float
) -> None:
    scale, tall = _WIDE / each.stock.length_mm, 8.0
    for name, pieces in groupby(each.cuts, key=lambda cut: cut.name):
        run = list(pieces)
        if run[0].length_mm * scale < _THINNEST and len(run) > 1:  # too thin to draw one by one
            x, wide = _EDGE + run[0].from_mm * scale, (run[-1].to_mm - run[0].from_mm) * scale
            _area(axes, x, bottom, wide, tall, tints[name])
            if wide > 12.0:
                label = f"{len(run)} x {named[name]}"
                _text(axes, x + wide / 2, bottom + 2.8, label, 8, bold=True, anchor="center")
            continue
        for cut in run:
            x, wide = _EDGE + cut.from_mm * scale, cut.length_mm * scale
            _area(axes, x, bottom, wide, tall, tints[name])
            if wide > 2.6:
                size = 8 if wide > 4.0 else 6
                _text(axes, x + wide / 2, bottom + 2.8, named[name], size, bold=True, anchor="center")
    wide = each.left_mm * scale
    if wide > 0.05:
        hatch = None if each.kept else "//////"
        _area(axes, PAGE_MM[0] - _EDGE - wide, bottom, wide, tall, "white", hatch=hatch)
        word = "keep" if each.kept else "waste"
        if wide > 9.0:
            _text(axes, PAGE_MM[0] - _EDGE - wide / 2, bottom + 2.9, word, 7, anchor="center", halo=True)


def _card(each: PieceCut, letter: str, tint: str, units: UnitSystem) -> _Block:
    """One kind of piece: what to cut, and its marks on a bar whose middle is left out."""
    unit = "in" if units == "inch" else "mm"

    def size(mm: float) -> str:
        return fixed_length(mm, units, decimals(units))

    spare = f" and {each.spare} spare" if each.spare else ""
    head = f"{letter}   {each.piece.name}: make {each.piece.count}{spare}"
    load = "" if each.piece.at_load_n is None else f" under {format_force(each.piece.at_load_n, units)}"
    about = (
        f"Wire {each.piece.wire}{f' ({each.wire.size})' if each.wire.size else ''}. "
        f"Cut {size(each.saw_mm)} {unit}. Needs {size(each.low_mm)} to {size(each.high_mm)} {unit}. "
        f"Finished {size(each.piece.length_mm)} {unit} between the pins{load}."
    )
    if each.long:
        about += f" This is {format_length(each.extra_mm, units)} long: trim it."
    elif each.high_mm > each.low_mm:
        about += " More or less comes off the handles."
    lines = broken(about, 8 * _MM_PER_PT, _WIDE)

    def draw(axes: Any, top: float) -> None:
        _text(axes, _EDGE, top - 4.4, fitted_line(head, 10 * _MM_PER_PT, _WIDE, bold=True), 10, bold=True)
        for k, line in enumerate(lines):
            _text(axes, _EDGE, top - 8.6 - 4.0 * k, line, 8)
        bottom = top - 8.6 - 4.0 * len(lines) - 9.0
        for number in (1, 2):
            _end(axes, each, number, tint, bottom, size)
        middle = PAGE_MM[0] / 2
        for x in (middle - 1.2, middle + 1.2):
            axes.plot([x - 1.2, x + 1.2], [bottom - 1.0, bottom + 6.0], color=INK, linewidth=0.7)

    return _Block(8.6 + 4.0 * len(lines) + 9.0 + 8.5, draw)


def _end(
    axes: Any, each: PieceCut, number: int, tint: str, bottom: float, size: Callable[[float], str]
) -> None:
    """Half of a piece's bar, marks measured from its own end; the right half is the mirror."""
    half, tall = _WIDE / 2 - 2.0, 5.0
    sign, edge = (1.0, _EDGE) if number == 1 else (-1.0, PAGE_MM[0] - _EDGE)
    marks = [mark for mark in each.marks if mark.end == number]
    at = {mark.what: mark.from_first_mm if number == 1 else mark.from_second_mm for mark in marks}
    end = each.piece.ends[number - 1].name
    _area(axes, edge if sign > 0 else edge - half, bottom, half, tall, "white", edge="none")
    reach = 0.72 * half
    scale = reach / max(at.values(), default=1.0)
    if at:
        inner = sorted(at.values())
        start = edge + sign * inner[0] * scale
        wide = (inner[-1] - inner[0]) * scale
        _area(axes, start if sign > 0 else start - wide, bottom, wide, tall, tint, edge="none")
    for y in (bottom, bottom + tall):
        axes.plot([edge, edge + sign * half], [y, y], color=INK, linewidth=0.8, solid_capstyle="butt")
    axes.plot([edge, edge], [bottom, bottom + tall], color=INK, linewidth=0.8, solid_capstyle="butt")
    word = f"handle, end {end}" if at else f"end {end}"
    _text(axes, edge + sign * 1.5, bottom + 1.6, word, 7, SOFT, anchor="left" if sign > 0 else "right")
    for k, what in enumerate(MARKS):
        if what not in at:
            continue
        x = edge + sign * at[what] * scale
        above = what in ("eye middle", "barrel end")
        heavy = what == "eye middle"
        span = (bottom - 0.4, bottom + tall + 2.2) if above else (bottom - 2.2, bottom + tall + 0.4)
        axes.plot([x, x], span, color=INK, linewidth=1.6 if heavy else 0.9, solid_capstyle="butt")
        outward = k < 2  # the first two labels run towards the end, the others away from it
        anchor = "right" if outward == (sign > 0) else "left"
        step = 0.8 if anchor == "left" else -0.8
        y = bottom + tall + 1.2 if above else bottom - 3.4
        _text(axes, x + step, y, f"{what} {size(at[what])}", 7.5, bold=heavy, anchor=anchor)


def _steps() -> _Block:
    lines = [
        line for k, step in enumerate(_STEPS, 1) for line in broken(f"{k}.  {step}", 8 * _MM_PER_PT, _WIDE)
    ]
    meaning = "; ".join(f"{mark}: {what}" for mark, what in MARKS.items())
    lines += broken(f"{meaning[0].upper()}{meaning[1:]}.", 8 * _MM_PER_PT, _WIDE)

    def draw(axes: Any, top: float) -> None:
        _text(axes, _EDGE, top - 5.5, "At the bench", 11, bold=True)
        axes.plot([_EDGE, PAGE_MM[0] - _EDGE], [top - 7.2] * 2, color=INK, linewidth=0.8)
        for k, line in enumerate(lines):
            _text(axes, _EDGE, top - 11.6 - 4.2 * k, line, 8)

    return _Block(12.0 + 4.2 * len(lines), draw)


def _text(
    axes: Any,
    x: float,
    y: float,
    text: str,
    size: float,
    colour: str = INK,
    *,
    bold: bool = False,
    anchor: str = "left",
    halo: bool = False,
) -> None:
    box = {"facecolor": "white", "edgecolor": "none", "pad": 0.8} if halo else None
    axes.text(
        x,
        y,
        text.replace("$", r"\$"),
        fontsize=size,
        color=colour,
        fontweight="bold" if bold else "normal",
        ha=anchor,
        va="baseline",
        bbox=box,
    )


def _area(
    axes: Any,
    x: float,
    y: float,
    wide: float,
    tall: float,
    fill: str,
    *,
    edge: str = INK,
    hatch: str | None = None,
) -> None:
    from matplotlib.patches import Rectangle

    axes.add_patch(
        Rectangle(
            (x, y), wide, tall, facecolor=fill, edgecolor=edge, linewidth=0.6, hatch=hatch, joinstyle="miter"
        )
    )


def _box(axes: Any, x: float, y: float, side: float) -> None:
    _area(axes, x, y, side, side, "white")
