"""Turns against wraps as a document: the fewest counts estimated to lock first, then every cell, then what moves the answer."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import groupby
from typing import Final, Literal

from helix.data.practice import practice
from helix.mechanics import limits
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.hold_words import model_name
from helix.output.words.sentence_format import among, odds_words, of_all
from helix.studies.hold.hold_table import HoldCell, HoldTable
from helix.studies.hold.outcome import Verdict
from helix.studies.hold.sensitivity import Answer, Bar
from helix.units import UnitSystem, format_force

MOVES: Final = "--table --all: what moves the answer, and the rest."
CELL_WORDS: Final = {"locks": "locks", "marginal": "margin", "unwinds": "unwind", "no model": "none"}
UNPULLED: Final = "locks?"
MEANS: Final = (
    "locks: the wire breaks first; margin: it may unwind; unwind: it unwinds; none: no model knows so few wraps."
)
ALONE: Final = "By the models alone, your pull tests are not counted here"


def safe_line(table: HoldTable) -> str:
    """The fewest counts estimated to lock for this wire, in words."""
    if table.smallest_safe.turns is None:
        return (
            "No pair up to 10 turns locks: pieces of yours unwound, or models that apply give unwinding more than 1 chance in 20."
            if table.smallest_safe.by_pieces
            else "No pair up to 10 turns locks: every model that applies gives unwinding more than 1 chance in 20 somewhere."
        )
    if table.smallest_safe.by_pieces:
        pulled = any(cell.by_pieces for cell in table.cells if cell.verdict == "locks")
        return (
            f"Fewest counts that no pieces of yours count against, and that the models lock: {table.smallest_safe.turns:g} turns{'' if pulled else ', not pulled yet'}, "
            f"and {table.smallest_safe.wraps_by_practice:g} wraps (no model; {practice().saying('wraps')})."
        )
    return (
        f"Fewest counts estimated to lock: {table.smallest_safe.turns:g} turns (by the models) and {table.smallest_safe.wraps_by_practice:g} wraps (no model; "
        f"{practice().saying('wraps')}). The models see a barrel of {limits.HINGE_WRAPS:g} wraps or more as one hinge."
    )


def pieces_line(table: HoldTable) -> str:
    """What own pieces say in the table; empty where there are none."""
    if table.unwound is None:
        own = next((cell for cell in table.cells if cell.by_pieces), None)
        of_own = "" if own is None else f"{own.turns:g} turns and {own.wraps:g} wraps are as your pull tests have them"
        if table.bounded:
            return f"{of_own}{', all else' if own else 'All'} is by the models, at no higher a load than pieces bent alike broke at."
        return f"{of_own}, all else is by the models alone." if own else ""
    of = table.unwound
    return (
        f"By your pull tests {of.turns:g} turns and {of.wraps:g} wraps unwound in {among(of.unwound, of.pieces)}: no joint of as few turns is better, whatever its wraps. "
        f'Of all with "{UNPULLED}" no piece was pulled: pull some before you rely on one.'
    )


def cell_word(cell: HoldCell, table: HoldTable) -> str:
    """The word in a cell, with a star where its number of wraps is beyond what the models know, and a mark where pieces unwound and none
    of this pair was pulled."""
    return _end_word(cell, table) + ("*" if is_starred(cell) else "")


def cell_end(cell: HoldCell, table: HoldTable) -> Verdict | Literal["not pulled"]:
    """How a cell ends, that it locks only where own pieces say so or none unwound."""
    return "not pulled" if is_unpulled(cell, table) else cell.verdict


def _end_word(cell: HoldCell, table: HoldTable) -> str:
    end = cell_end(cell, table)
    return UNPULLED if end == "not pulled" else CELL_WORDS[end]


def is_unpulled(cell: HoldCell, table: HoldTable) -> bool:
    """Whether only the models say that it locks, where own pieces have unwound."""
    return table.unwound is not None and cell.verdict == "locks" and not cell.by_pieces


def table_document(
    table: HoldTable, base: Answer, bars: tuple[Bar, ...], units: UnitSystem, title: str, *, moves: bool = True
) -> Document:
    """Turns against wraps for one recipe; moves: with what moves the answer, else, in a terminal, how to see it."""
    blocks: list[Block] = [
        Heading(title, 1),
        Para(safe_line(table), strong=True),
        *([Para(line, strong=True)] if (line := pieces_line(table)) else []),
        cells_table(table),
        turns_table(table, units),
        *(sensitivity_blocks(base, bars, units, alone=table.own) if moves else [Para(MOVES)]),
    ]
    return Document(title, tuple(blocks))


def cells_table(table: HoldTable) -> Table:
    """Every pair: a word, starred where the number of wraps is beyond what the models know. Neighbours alike are one."""
    wraps = sorted({cell.wraps for cell in table.cells})
    turns = sorted({cell.turns for cell in table.cells})
    at = {(cell.turns, cell.wraps): cell_word(cell, table) for cell in table.cells}
    across = _alike([(count, tuple(at[row, count] for row in turns)) for count in wraps])
    down = _alike([(row, tuple(at[row, counts[0]] for counts in across)) for row in turns])
    return Table(
        "Verdict for each pair: turns down, wraps across",
        ("turns", *(_from_to(counts) for counts in across)),
        tuple((_from_to(rows), *(at[rows[0], counts[0]] for counts in across)) for rows in down),
        note=(
            f"{MEANS} "
            f"Star: as a barrel of {limits.HINGE_WRAPS:g} wraps; what more wraps add no model knows, "
            f"{practice().saying('wraps')}."
        ),
    )


def turns_table(table: HoldTable, units: UnitSystem) -> Table:
    """Turn by turn, with a barrel that is a hinge: load and chance. Neighbours that are alike are one row."""
    told = []
    for cell in table.cells:
        if cell.wraps != limits.HINGE_WRAPS:
            continue
        band, chance = cell.hold_n, cell.probability_unwinds
        if cell.model is None:
            word = _end_word(cell, table)
            by = "your pull tests" if cell.by_pieces else "-"
            told.append((cell.turns, (word, "-", "-", "-", by)))
            continue
        none = math.isnan(band.nominal)  # the model knows the chance only
        load = "-" if none else f"{format_force(band.low, units)} to {format_force(band.high, units)}"
        of = table.unwound
        if cell.by_pieces and of is not None:  # no load is one to plan with
            told.append(
                (cell.turns, (_end_word(cell, table), "-", "-", of_all(of.unwound, of.pieces), "your pull tests"))
            )
            continue
        told.append(
            (
                cell.turns,
                (_end_word(cell, table), _force(band.nominal, units), load, odds_words(chance), model_name(cell.model)),
            )
        )
    words = dict(told)
    return Table(
        f"Turn by turn, with a barrel of {limits.HINGE_WRAPS:g} wraps or more",
        ("turns", "verdict", "holds", "from weakest to strongest", "joints that unwind", "by"),
        tuple((_from_to(rows), *words[rows[0]]) for rows in _alike(told)),
        left=(0, 1, 5),
    )


def _alike(told: Iterable[tuple[float, tuple[str, ...]]]) -> list[list[float]]:
    """Neighbours of which the same is told, together."""
    return [[count for count, _ in group] for _, group in groupby(told, key=lambda pair: pair[1])]


def _from_to(counts: list[float]) -> str:
    return f"{counts[0]:g}" if len(counts) == 1 else f"{counts[0]:g} to {counts[-1]:g}"


def sensitivity_blocks(base: Answer, bars: tuple[Bar, ...], units: UnitSystem, alone: bool = False) -> list[Block]:
    """How the answer moves with one cause at a time, then what no model knows; alone: own pieces were pulled, which are not in it."""
    rows = []
    for bar in bars:
        if bar.at_low is None or bar.at_high is None:
            continue
        held = [_force(end.plan_with_n, units) for end in (bar.at_low, bar.at_high)]
        chance = [odds_words(end.probability_unwinds) for end in (bar.at_low, bar.at_high)]
        rows.append((bar.cause, bar.low or "", held[0], chance[0], bar.high or "", held[1], chance[1]))
    now = f"As it stands{', by the models alone' if alone else ''}: {_force(base.plan_with_n, units)}, {odds_words(base.probability_unwinds)}."
    return [
        Heading("What moves the answer"),
        *([Para(f"{ALONE}: pieces do not say what moves it.", strong=True)] if alone else []),
        Table(
            "One cause at a time, the one that moves the load furthest first",
            ("cause", "from", "19 of 20 hold more", "unwinds", "to", "19 of 20 hold more", "unwinds"),
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
