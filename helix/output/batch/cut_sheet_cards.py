"""The pieces on the sheet for the bench: what to cut for each kind, and its ink marks on a bar."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from helix.output.batch.batch_answers import mark_to
from helix.output.batch.cut_sheet_parts import (
    EDGE,
    MM_PER_PT,
    PAGE_MM,
    RIGHT,
    WIDE,
    SheetBlock,
    paragraph,
    wide_lines,
    words,
)
from helix.output.canvas.lettering import fitted_line
from helix.output.canvas.primitives import SOFT, Area, Primitive, Stroke, rectangle
from helix.output.words.words import tape_number
from helix.studies.batch.piece_cuts import MARKS
from helix.studies.teaching.hand_work import pin_to_bend_mm
from helix.units import UNIT_WORDS, UnitSystem, format_force, format_length

if TYPE_CHECKING:
    from helix.studies.batch.piece_cuts import PieceCut


def piece_card(cut: PieceCut, letter: str, tint: str, units: UnitSystem) -> SheetBlock:
    """One kind of piece: what to cut, and its marks on a bar whose middle is left out."""
    unit = UNIT_WORDS[units]

    def size(mm: float, to_mm: float = 0.1) -> str:
        return tape_number(mm, units, to_mm)

    def mark(mm: float) -> str:
        return size(mm, mark_to(cut))

    spare = f" and {cut.spare} spare" if cut.spare else ""
    head = f"{letter}   {cut.piece.name}: make {cut.piece.count}{spare}"
    load = "" if cut.piece.at_load_n is None else f" under {format_force(cut.piece.at_load_n, units)}"
    about = (
        f"Wire {cut.piece.wire}{f' ({cut.wire.size})' if cut.wire.size else ''}. "
        f"Cut {size(cut.saw_mm)} {unit}. Needs {size(cut.low_mm, 1.0)} to {size(cut.high_mm, 1.0)} {unit}. "
        f"Finished {size(cut.piece.length_mm)} {unit} between the pins{load}."
    )
    if cut.long:
        about += f" This is {format_length(cut.extra_mm, units)} long: trim it."
    elif cut.high_mm > cut.low_mm:
        about += " More or less comes off the handles."
    lines = wide_lines([f"{about}{_pins(cut, units)}"], 8)
    top = 12.6 + 4.0 * len(lines)
    middle = PAGE_MM[0] / 2
    shapes: list[Primitive] = [
        words(EDGE, 4.4, fitted_line(head, 10 * MM_PER_PT, WIDE, bold=True), 10, bold=True),
        *paragraph(8.6, 4.0, lines, 8),
        *(shape for number in (1, 2) for shape in _end(cut, number, tint, top, mark)),
        *(Stroke(((x - 1.2, top + 6.0), (x + 1.2, top - 1.0)), 0.25) for x in (middle - 1.2, middle + 1.2)),
    ]
    return SheetBlock(top + 13.5, tuple(shapes))


def _pins(cut: PieceCut, units: UnitSystem) -> str:
    """The pins to bend its eyes round, which are thinner than the eyes."""
    pins = [pin_to_bend_mm(end.recipe) for end in cut.piece.ends if end.recipe is not None]
    shown = dict.fromkeys(format_length(pin, units) for pin in pins if pin is not None)
    return f" Bend the eye{'s' if len(pins) > 1 else ''} on a pin of {' and '.join(shown)}." if shown else ""


def _end(cut: PieceCut, number: int, tint: str, top: float, size: Callable[[float], str]) -> list[Primitive]:
    """Half of a piece's bar, marks measured from its own end; the right half is the mirror."""
    half, bottom = WIDE / 2 - 2.0, top + 5.0
    sign, edge = (1.0, EDGE) if number == 1 else (-1.0, RIGHT)
    near, far = ("start", "end") if number == 1 else ("end", "start")
    marks = [mark for mark in cut.marks if mark.end == number]
    at = {mark.what: mark.from_first_mm if number == 1 else mark.from_second_mm for mark in marks}
    end = cut.piece.ends[number - 1].name
    scale = sign * 0.72 * half / max(at.values(), default=1.0)
    shapes: list[Primitive] = []
    if at:
        shapes.append(
            Area(rectangle(edge + min(at.values()) * scale, top, edge + max(at.values()) * scale, bottom), tint)
        )
    outline = ((edge + sign * half, top), (edge, top), (edge, bottom), (edge + sign * half, bottom))
    shapes.append(Stroke(outline, 0.28))
    shapes.append(
        words(edge + sign * 1.5, bottom - 1.6, f"handle, end {end}" if at else f"end {end}", 7, SOFT, anchor=near)
    )
    for k, mark in enumerate(MARKS):
        if mark not in at:
            continue
        x, heavy = edge + at[mark] * scale, mark == "eye middle"
        above = mark in ("eye middle", "barrel end")
        span = ((x, bottom + 0.4), (x, top - 2.2)) if above else ((x, bottom + 2.2), (x, top - 0.4))
        shapes.append(Stroke(span, 0.56 if heavy else 0.32, role="ink mark"))
        outward = k < 2  # the first two labels run towards the end, the others away from it
        x += -0.8 * sign if outward else 0.8 * sign
        text = f"{mark} {size(at[mark])}"
        shapes.append(
            words(x, top - 1.2 if above else bottom + 3.4, text, 7.5, bold=heavy, anchor=far if outward else near)
        )
    return shapes
