"""The stock on the sheet for the bench: a bar for each length, boxes to tick, and where to cut."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from helix.output.batch.batch_answers import long_length
from helix.output.batch.cut_sheet_parts import (
    EDGE,
    MM_PER_PT,
    RIGHT,
    WIDE,
    SheetBlock,
    hatched,
    outlined,
    paragraph,
    wide_lines,
    words,
)
from helix.output.batch.cut_table import left, stock_name
from helix.output.canvas.lettering import fitted_line, text_width
from helix.output.canvas.primitives import SOFT, Area, Primitive, rectangle
from helix.output.words.words import tape_number
from helix.units import UNIT_WORDS, UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.batch.sawing import SawnStock

_MOST_PLACES = 14  # cuts whose places are written out
_MOST_BOXES = 400
_THINNEST = 1.5  # of a piece on a bar [mm on paper]


def stock_bar(
    result: CutPlan, cut: SawnStock, named: dict[str, str], tints: dict[str, str], units: UnitSystem
) -> SheetBlock:
    """One length of stock: its name, the bar, boxes to tick, and where to cut."""
    wire = result.plan.wires[cut.stock.wire]
    size = f"{wire.size}, " if wire.size else ""
    about = f"wire {cut.stock.wire}: {size}{format_length(wire.diameter_mm, units)} {wire.material}"
    groups = [(name, len(list(pieces))) for name, pieces in groupby(cut.cuts, key=lambda piece: piece.name)]
    rows = _box_rows(groups, named)
    lines = wide_lines([_said(cut, named, units)], 7.5)
    rest = left(cut, units)
    room = WIDE - text_width(rest, 8 * MM_PER_PT) - 2.0
    long, letter = f", {long_length(cut.stock.length_mm, units)}", 9 * MM_PER_PT
    head = fitted_line(stock_name(cut), letter, room - text_width(long, letter, True), bold=True) + long
    beside = text_width(head, letter, True) + 2.0
    apart = 0.0 if beside + text_width(about, 7.5 * MM_PER_PT) <= room else 3.7  # else on a line of its own
    shapes: list[Primitive] = [
        words(EDGE, 4.0, head, 9, bold=True),
        words(EDGE if apart else EDGE + beside, 4.0 + apart, about, 7.5, SOFT),
        words(RIGHT, 4.0, rest, 8, anchor="end"),
        *_segments(cut, named, tints, 6.5 + apart),
    ]
    y = 15.0 + apart
    for row in rows:
        y += 5.0
        for x, name, number in row:
            shapes.append(words(x, y - 0.7, named[name], 8, bold=True))
            shapes += [outlined(x + 4.0 + 4.2 * k, y - 3.2, 3.2, 3.2) for k in range(number)]
    return SheetBlock(y + 4.0 + 3.7 * len(lines), (*shapes, *paragraph(y + 3.6, 3.7, lines, 7.5)))


def _box_rows(groups: list[tuple[str, int]], named: dict[str, str]) -> list[list[tuple[float, str, int]]]:
    """Rows of (x, piece, number of boxes) that fit the width; none for more boxes than a person ticks."""
    if sum(count for _, count in groups) > _MOST_BOXES:
        return []
    rows: list[list[tuple[float, str, int]]] = [[]]
    x = EDGE
    most = int((WIDE - 6.0) / 4.2)
    for name, count in groups:
        while count:
            number = min(count, most)
            wide = 4.0 + 4.2 * number + 4.0
            if x + wide - 4.0 > EDGE + WIDE and rows[-1]:
                rows.append([])
                x = EDGE
            rows[-1].append((x, name, number))
            x += wide
            count -= number
    return rows


def _said(cut: SawnStock, named: dict[str, str], units: UnitSystem) -> str:
    """What the bar shows, in words, with the places of the cuts where there are few."""
    words = []
    for name, pieces in groupby(cut.cuts, key=lambda piece: piece.name):
        listed = list(pieces)
        words.append(f"{len(listed)} x {named[name]} {tape_number(listed[0].length_mm, units)}")
    text = f"{', then '.join(words)} {UNIT_WORDS[units]}."
    if len(cut.cuts) <= _MOST_PLACES:
        places = ", ".join(tape_number(piece.to_mm, units) for piece in cut.cuts)
        text += f" Pieces end, from the first end of the stock, at {places}."
    return text


def _segments(cut: SawnStock, named: dict[str, str], tints: dict[str, str], top: float) -> list[Primitive]:
    scale, tall, base = WIDE / cut.stock.length_mm, 8.0, top + 5.2
    shapes: list[Primitive] = []
    for name, pieces in groupby(cut.cuts, key=lambda piece: piece.name):
        run = list(pieces)
        if run[0].length_mm * scale < _THINNEST and len(run) > 1:  # too thin to draw one by one
            parts = [(run[0].from_mm, run[-1].to_mm - run[0].from_mm, f"{len(run)} x {named[name]}", 12.0)]
        else:
            parts = [(piece.from_mm, piece.length_mm, named[name], 2.6) for piece in run]
        for start, length, label, least in parts:
            x, wide = EDGE + start * scale, length * scale
            shapes.append(outlined(x, top, wide, tall, tints[name]))
            if wide > least:
                shapes.append(words(x + wide / 2, base, label, 8 if wide > 4.0 else 6, bold=True, anchor="middle"))
    wide = cut.left_mm * scale
    if wide > 0.05:
        word, x = "keep" if cut.kept else "waste", RIGHT - wide
        shapes += [outlined(x, top, wide, tall), *([] if cut.kept else hatched(x, top, wide, tall))]
        if wide > 9.0:
            half = text_width(word, 7 * MM_PER_PT) / 2 + 0.3
            shapes.append(
                Area(rectangle(RIGHT - wide / 2 - half, base - 2.4, RIGHT - wide / 2 + half, base + 1.0), "#ffffff")
            )
            shapes.append(words(RIGHT - wide / 2, base - 0.1, word, 7, anchor="middle"))
    return shapes
