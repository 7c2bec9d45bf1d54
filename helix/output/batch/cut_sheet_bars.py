"""The stock on the sheet for the bench: a bar for each length, boxes to tick, and where to cut."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Any

from helix.output.batch.cut_sheet_parts import EDGE, MM_PER_PT, PAGE_MM, WIDE, SheetBlock, area, box, text_at
from helix.output.batch.cut_table import decimals, left, long_length, stock_name
from helix.output.canvas.lettering import text_width, wrapped
from helix.output.canvas.primitives import SOFT
from helix.output.words.words import fixed_length
from helix.units import UnitSystem, format_length

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.batch.sawing import SawnStock

_MOST_PLACES = 14  # cuts whose places are written out
_MOST_BOXES = 400
_THINNEST = 1.5  # of a piece on a bar [mm on paper]


def stock_bar(
    result: CutPlan, each: SawnStock, named: dict[str, str], tints: dict[str, str], units: UnitSystem
) -> SheetBlock:
    """One length of stock: its name, the bar, boxes to tick, and where to cut."""
    wire = result.plan.wires[each.stock.wire]
    size = f"{wire.size}, " if wire.size else ""
    head = f"{stock_name(each)}, {long_length(each.stock.length_mm, units)}"
    about = f"wire {each.stock.wire}: {size}{format_length(wire.diameter_mm, units)} {wire.material}"
    groups = [(name, len(list(pieces))) for name, pieces in groupby(each.cuts, key=lambda cut: cut.name)]
    boxes = _box_rows(groups, named)
    lines = wrapped(_said(each, named, units), 7.5 * MM_PER_PT, WIDE)
    height = 6.0 + 9.0 + 5.0 * len(boxes) + 3.7 * len(lines) + 4.0

    def draw(axes: Any, top: float) -> None:
        text_at(axes, EDGE, top - 4.0, head, 9, bold=True)
        text_at(axes, EDGE + text_width(head, 9 * MM_PER_PT, True) + 2.0, top - 4.0, about, 7.5, SOFT)
        text_at(axes, PAGE_MM[0] - EDGE, top - 4.0, left(each, units), 8, anchor="right")
        _segments(axes, each, named, tints, top - 14.5)
        y = top - 15.0
        for row in boxes:
            y -= 5.0
            for x, name, number in row:
                text_at(axes, x, y + 0.7, named[name], 8, bold=True)
                for k in range(number):
                    box(axes, x + 4.0 + 4.2 * k, y, 3.2)
        for k, line in enumerate(lines):
            text_at(axes, EDGE, y - 3.6 - 3.7 * k, line, 7.5)

    return SheetBlock(height, draw)


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


def _said(each: SawnStock, named: dict[str, str], units: UnitSystem) -> str:
    """What the bar shows, in words, with the places of the cuts where there are few."""
    said = []
    for name, pieces in groupby(each.cuts, key=lambda cut: cut.name):
        listed = list(pieces)
        said.append(f"{len(listed)} x {named[name]} {fixed_length(listed[0].length_mm, units, decimals(units))}")
    unit = "in" if units == "inch" else "mm"
    text = f"{', then '.join(said)} {unit}."
    if len(each.cuts) <= _MOST_PLACES:
        places = ", ".join(fixed_length(cut.to_mm, units, decimals(units)) for cut in each.cuts)
        text += f" Pieces end, from the first end of the stock, at {places}."
    return text


def _segments(axes: Any, each: SawnStock, named: dict[str, str], tints: dict[str, str], bottom: float) -> None:
    scale, tall = WIDE / each.stock.length_mm, 8.0
    for name, pieces in groupby(each.cuts, key=lambda cut: cut.name):
        run = list(pieces)
        if run[0].length_mm * scale < _THINNEST and len(run) > 1:  # too thin to draw one by one
            x, wide = EDGE + run[0].from_mm * scale, (run[-1].to_mm - run[0].from_mm) * scale
            area(axes, x, bottom, wide, tall, tints[name])
            if wide > 12.0:
                label = f"{len(run)} x {named[name]}"
                text_at(axes, x + wide / 2, bottom + 2.8, label, 8, bold=True, anchor="center")
            continue
        for cut in run:
            x, wide = EDGE + cut.from_mm * scale, cut.length_mm * scale
            area(axes, x, bottom, wide, tall, tints[name])
            if wide > 2.6:
                size = 8 if wide > 4.0 else 6
                text_at(axes, x + wide / 2, bottom + 2.8, named[name], size, bold=True, anchor="center")
    wide = each.left_mm * scale
    if wide > 0.05:
        hatch = None if each.kept else "//////"
        area(axes, PAGE_MM[0] - EDGE - wide, bottom, wide, tall, "white", hatch=hatch)
        word = "keep" if each.kept else "waste"
        if wide > 9.0:
            text_at(axes, PAGE_MM[0] - EDGE - wide / 2, bottom + 2.9, word, 7, anchor="center", halo=True)
