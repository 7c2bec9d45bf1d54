"""Turns against wraps as a document: the fewest counts estimated to lock first, then every cell, then what moves the answer."""

from __future__ import annotations

import math
from typing import Final

from helix.data.practice import practice
from helix.mechanics import limits
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.hold_words import limits_words, model_name
from helix.output.words.sentence_format import chance_words
from helix.studies.hold.hold_table import HoldCell, HoldTable
from helix.studies.hold.sensitivity import Answer, Bar
from helix.units import UnitSystem, format_force

CELL_WORDS: Final = {"locks": "locks", "marginal": "margin", "unwinds": "unwind", "no model": "none"}


def safe_line(table: HoldTable) -> str:
    """The fewest counts estimated to lock for this wire, in words."""
    if table.smallest_safe.turns is None:
        return (
            "No pair up to 10 turns locks: every model that applies gives unwinding more than 1 chance in 20 somewhere."
        )
    return (
        f"Fewest counts estimated to lock: {table.smallest_safe.turns:g} turns (by the models) and {table.smallest_safe.wraps_by_practice:g} wraps (no model; "
        f"{practice().saying('wraps')}). The models see a barrel of {limits.HINGE_WRAPS:g} wraps or more as one hinge."
    )


def table_document(table: HoldTable, base: Answer, bars: tuple[Bar, ...], units: UnitSystem, title: str) -> Document:
    """Everything about turns and wraps for one recipe."""
    blocks: list[Block] = [
        Heading(title, 1),
        Para(safe_line(table), strong=True),
        cells_table(table),
        turns_table(table, units),
        *sensitivity_blocks(base, bars, units),
    ]
    return Document(title, tuple(blocks))


def cells_table(table: HoldTable) -> Table:
    """Every pair: a word, starred where the number of wraps is beyond what the models know."""
    wraps = sorted({cell.wraps for cell in table.cells})
    rows = []
    for turns in sorted({cell.turns for cell in table.cells}):
        cells = [cell for cell in table.cells if cell.turns == turns]
        rows.append((f"{turns:g}", *(CELL_WORDS[c.verdict] + ("*" if is_starred(c) else "") for c in cells)))
    return Table(
        "Verdict for each pair: turns down, wraps across (with a star: see below)",
        ("turns", *(f"{count:g}" for count in wraps)),
        tuple(rows),
        note=(
            "locks: the wire breaks first; margin: it may unwind; unwind: it unwinds; none: no model knows so few wraps. "
            f"locks*: as a barrel of {limits.HINGE_WRAPS:g} wraps; what more wraps add no model knows, "
            f"{practice().saying('wraps')}."
        ),
    )


def turns_table(table: HoldTable, units: UnitSystem) -> Table:
    """Turn by turn, with a barrel that is a hinge: load and chance."""
    rows = []
    for cell in table.cells:
        if cell.wraps != limits.HINGE_WRAPS:
            continue
        band, chance = cell.hold_n, cell.probability_unwinds
        if cell.model is None:
            rows.append((f"{cell.turns:g}", cell.verdict, "-", "-", "-", "-"))
            continue
        none = math.isnan(band.nominal)  # the model knows the chance only
        load = "-" if none else f"{format_force(band.low, units)} to {format_force(band.high, units)}"
        rows.append(
            (
                f"{cell.turns:g}",
                cell.verdict,
                _force(band.nominal, units),
                load,
                f"{chance_words(chance)} ({limits_words(cell.probability_low, cell.probability_high)})",
                model_name(cell.model),
            )
        )
    return Table(
        f"Turn by turn, with a barrel of {limits.HINGE_WRAPS:g} wraps or more",
        ("turns", "verdict", "holds", "from weakest to strongest", "chance of unwinding (counted)", "governing model"),
        tuple(rows),
        left=(0, 1, 5),
    )


def sensitivity_blocks(base: Answer, bars: tuple[Bar, ...], units: UnitSystem) -> list[Block]:
    """How the answer moves with one cause at a time, then what no model knows."""
    rows = []
    for bar in bars:
        if bar.at_low is None or bar.at_high is None:
            continue
        held = [_force(end.plan_with_n, units) for end in (bar.at_low, bar.at_high)]
        chance = [chance_words(end.probability_unwinds) for end in (bar.at_low, bar.at_high)]
        rows.append((bar.cause, bar.low or "", held[0], chance[0], bar.high or "", held[1], chance[1]))
    now = f"As it stands: {_force(base.plan_with_n, units)}, {chance_words(base.probability_unwinds)}."
    return [
        Heading("What moves the answer"),
        Table(
            "One cause at a time, the one that moves the load furthest first",
            ("cause", "from", "19 of 20 hold", "unwinds", "to", "19 of 20 hold", "unwinds"),
            tuple(rows),
            left=(0, 1, 4),
            note=now,
        ),
        Bullets(tuple(f"{bar.cause[0].upper()}{bar.cause[1:]}: {bar.note}." for bar in bars if bar.note)),
    ]


def is_starred(cell: HoldCell) -> bool:
    """Whether the verdict is that of another number of wraps, which the models do not tell from this one."""
    return bool(cell.wraps_note) and cell.verdict != "no model"


def _force(newton: float, units: UnitSystem) -> str:
    return "-" if math.isnan(newton) else format_force(newton, units)
