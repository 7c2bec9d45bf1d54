"""The pieces on the sheet for the bench: what to cut for each kind, and its ink marks on a bar."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from helix.output.batch.cut_sheet_parts import EDGE, MM_PER_PT, PAGE_MM, WIDE, SheetBlock, area, text_at
from helix.output.batch.cut_table import decimals
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, SOFT
from helix.output.words.words import fixed_length
from helix.studies.batch.piece_cuts import MARKS
from helix.units import UnitSystem, format_force, format_length

if TYPE_CHECKING:
    from helix.studies.batch.piece_cuts import PieceCut


def piece_card(each: PieceCut, letter: str, tint: str, units: UnitSystem) -> SheetBlock:
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
    lines = wrapped(about, 8 * MM_PER_PT, WIDE)

    def draw(axes: Any, top: float) -> None:
        text_at(axes, EDGE, top - 4.4, fitted_line(head, 10 * MM_PER_PT, WIDE, bold=True), 10, bold=True)
        for k, line in enumerate(lines):
            text_at(axes, EDGE, top - 8.6 - 4.0 * k, line, 8)
        bottom = top - 8.6 - 4.0 * len(lines) - 9.0
        for number in (1, 2):
            _end(axes, each, number, tint, bottom, size)
        middle = PAGE_MM[0] / 2
        for x in (middle - 1.2, middle + 1.2):
            axes.plot([x - 1.2, x + 1.2], [bottom - 1.0, bottom + 6.0], color=INK, linewidth=0.7)

    return SheetBlock(8.6 + 4.0 * len(lines) + 9.0 + 8.5, draw)


def _end(axes: Any, each: PieceCut, number: int, tint: str, bottom: float, size: Callable[[float], str]) -> None:
    """Half of a piece's bar, marks measured from its own end; the right half is the mirror."""
    half, tall = WIDE / 2 - 2.0, 5.0
    sign, edge = (1.0, EDGE) if number == 1 else (-1.0, PAGE_MM[0] - EDGE)
    marks = [mark for mark in each.marks if mark.end == number]
    at = {mark.what: mark.from_first_mm if number == 1 else mark.from_second_mm for mark in marks}
    end = each.piece.ends[number - 1].name
    area(axes, edge if sign > 0 else edge - half, bottom, half, tall, "white", edge="none")
    reach = 0.72 * half
    scale = reach / max(at.values(), default=1.0)
    if at:
        inner = sorted(at.values())
        start = edge + sign * inner[0] * scale
        wide = (inner[-1] - inner[0]) * scale
        area(axes, start if sign > 0 else start - wide, bottom, wide, tall, tint, edge="none")
    for y in (bottom, bottom + tall):
        axes.plot([edge, edge + sign * half], [y, y], color=INK, linewidth=0.8, solid_capstyle="butt")
    axes.plot([edge, edge], [bottom, bottom + tall], color=INK, linewidth=0.8, solid_capstyle="butt")
    word = f"handle, end {end}" if at else f"end {end}"
    text_at(axes, edge + sign * 1.5, bottom + 1.6, word, 7, SOFT, anchor="left" if sign > 0 else "right")
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
        text_at(axes, x + step, y, f"{what} {size(at[what])}", 7.5, bold=heavy, anchor=anchor)
