"""An inspection as people read it: what was made beside what was to be made, what to doubt, and the verdict."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from helix.model.measured.readings import ANGLES, BY_EYE, LENGTHS
from helix.output.inspect.inspect_answer import inspect_answer
from helix.output.inspect.inspect_picture import reading_text
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.assumptions import inspection_notes
from helix.output.words.findings.reading_words import why
from helix.output.words.words import fixed_length, plain_count, telling_of
from helix.studies.inspect.made_checks import Inconsistency
from helix.units import MM_PER_INCH, UnitSystem, format_length
from helix.values import Words

if TYPE_CHECKING:
    from helix.studies.inspect.inspection_result import Inspection, Sized


def inspection_document(result: Inspection, units: UnitSystem = "metric") -> Document:
    """The whole inspection as a report; for impossible readings, what cannot be and why."""
    blocks: list[Block] = [
        Heading(result.recipe.title, 1),
        inspect_answer(result, units),
        Para(" ".join(filter(None, (_length(result, units), _undrawn(result, units), _cut(result, units))))),
        Bullets(_reasons(result, units)),
        _sizes(result, units),
        _readings(result, units),
        Bullets(inspection_notes(result)),
    ]
    return Document(result.recipe.title, tuple(block for block in blocks if block not in (Bullets(()), Para(""))))


def remarks(result: Inspection) -> list[str]:
    """What stands at the head of the recipe as made."""
    lines = [f"As made, from caliper readings; verdict: {result.verdict}."]
    lines += [
        f"{name}: {size.value:.4g} {unit}".rstrip() + f" ({size.low:.4g} to {size.high:.4g})"
        for name, size, unit in (
            ("lay length", result.lay_mm, "mm"),
            ("gap between wraps", result.gap_mm, "mm"),
            ("evenness (1: both legs alike)", result.evenness, ""),
            ("pin", result.pin_mm, "mm"),
        )
        if size.read
    ]
    lines.append("Evenness and pitch are the recipe's own where the readings cannot tell them from it.")
    return lines


def _length(result: Inspection, units: UnitSystem) -> str:
    """By how much the finished length is off; empty where there is none."""
    off = result.finished_off_mm
    if off is None:
        return ""
    way = "longer" if off.value > 0.0 else "shorter"
    shown = [_signed(mm, units) for mm in (off.low, off.high)]
    return f"The finished length is {format_length(abs(off.value), units)} {way} than the recipe's ({shown[0]} to {shown[1]})."


def _undrawn(result: Inspection, units: UnitSystem) -> str:
    """What the joint drawn as made cannot have of the readings; empty where it has all."""
    parts = [
        f"{one.reading.replace('_', ' ')} {reading_text(one.reading, one.drawn, units)} ({reading_text(one.reading, one.read, units)} read)"
        for one in result.undrawn
    ]
    return f"No joint has every reading; as made it is drawn with {' and '.join(parts)}." if parts else ""


def _cut(result: Inspection, units: UnitSystem) -> str:
    """The wire that it takes as it was made, each of two; empty where there is no joint."""
    cuts = [format_length(mm, units) for mm in result.cuts_mm]
    if len(cuts) < 2:
        return f"Made so it takes {cuts[0]} of wire, handle included." if cuts else ""
    return f"Made so it takes {cuts[0]} of wire 1 and {cuts[1]} of wire 2, handles included."


def _reasons(result: Inspection, units: UnitSystem) -> tuple[str, ...]:
    """What the verdict rests on, the most severe first; notes are left out."""
    return tuple(f"{finding.word}: {finding.message}" for finding in telling_of(result.whole, units))


def _signed(mm: float, units: UnitSystem) -> str:
    value = mm / MM_PER_INCH if units == "inch" else mm
    return f"{value:+.{3 if units == 'inch' else 2}f}"


def _sizes(result: Inspection, units: UnitSystem) -> Table:
    unit, digits = ("in", 4) if units == "inch" else ("mm", 3)
    rows: list[tuple[str, ...]] = []

    def row(name: str, size: Sized, factor: float, decimals: int) -> None:
        cells = [f"{value * factor:.{decimals}f}" for value in (size.value, size.low, size.high, size.recipe)]
        words = "" if size.read else "not read"
        rows.append((name, *(_no_minus_zero(c) for c in cells), words or ("off" if size.off else "fits")))

    length = 1.0 / MM_PER_INCH if units == "inch" else 1.0
    row(f"wire {unit}", result.wire_mm, length, digits)
    if result.turns:
        row(f"lay length {unit}", result.lay_mm, length, digits)
        row("lay angle deg", result.lay_rad, math.degrees(1.0), 1)
        if result.recipe.wire.count == 1:
            row("evenness (1: legs alike)", result.evenness, 1.0, 2)
    if result.wraps:
        row(f"gap between wraps {unit}", result.gap_mm, length, digits)
    row(f"eye, pin {unit}", result.pin_mm, length, digits - 1)
    if result.finished_mm is not None:
        row(f"finished length {unit}", result.finished_mm, length, digits - 2)  # as the head of the page has it
    return Table(
        "Made, and limits that hold all together in 95 of 100 joints",
        ("", "made", "low", "high", "recipe", ""),
        tuple(rows),
        (0, 5),
        f"turns {plain_count(result.turns)}, wraps {plain_count(result.wraps)}",
    )


def _no_minus_zero(text: str) -> str:
    return text.lstrip("-") if float(text) == 0.0 else text


def _readings(result: Inspection, units: UnitSystem) -> Table:
    rows = []
    for reading in result.readings.values():
        if reading.name in ANGLES:
            shown = (f"{reading.value:g} deg", f"+- {reading.sd:g}")
            rows.append((reading.words, *shown, ANGLES[reading.name]))
            continue
        if reading.name == "evenness":
            seen = next(what for value, what in BY_EYE.values() if value == reading.value)
            rows.append((reading.words, f"{reading.value:g}", f"+- {reading.sd:g}", f"{seen} (assumed, no source)"))
            continue
        what = LENGTHS.get(reading.name, "")
        count = reading.name in ("turns", "wraps")
        value = plain_count(reading.value) if count else format_length(reading.value, units)
        digits = 4 if units == "inch" else 3
        sd = "exact" if count and not reading.sd else (
            f"{reading.sd:g}" if count else fixed_length(reading.sd, units, digits)
        )  # fmt: skip
        rows.append((reading.words, value, f"+- {sd}" if sd != "exact" else sd, what))
    heading = ("", "", "", "")
    return Table("Readings, with their standard deviations", heading, tuple(rows), (0, 2, 3))


WORDS: Final[Words] = {Inconsistency: {"why": why}}
"""What JSON carries of an inspection beside its fields."""
