"""What a page draws of a hold estimate: the loads on one scale, and turns against wraps as a map; words and numbers."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from helix.data.practice import practice
from helix.mechanics import limits
from helix.output.hold.hold_table_report import MEANS, cell_end, cell_word, is_starred, pieces_line, safe_line
from helix.output.words.answer_words import unwinds_words
from helix.output.words.findings.finding_words import capital
from helix.output.words.hold_words import piece_clause
from helix.output.words.sentence_format import of_all
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.hold_table import HoldCell, HoldTable
from helix.studies.judge import load_to_plan
from helix.units import UnitSystem, format_force


@dataclass(frozen=True)
class Mark:
    """A load on the scale: "plan", "expected", "label" or "straight"; words: its name and its load."""

    name: str
    load_n: float
    words: str


def gauge(result: HoldResult, units: UnitSystem) -> dict[str, Any] | None:
    """Plan with, expected, label and straight wire on one scale that begins at 0; None where no load is estimated. Of a joint
    that is not to be planned with there is no load to plan with on it.

    to_plan: whether the scale is filled up to that load. low_n, high_n: 95 % of pieces. no_label: why the label is missing; empty where it is not.
    """
    if math.isnan(result.plan_with_n):
        return None
    rated_n = result.wire.rated_load_n
    use, one = load_to_plan(result).use, "one joint " if piece_clause(result, units) else ""
    loads = [
        *(
            []
            if use == "do-not"
            else [("plan", f"Plan {one}with" if use == "plan" else "19 of 20 above", result.plan_with_n)]
        ),
        ("expected", "Expected", result.expected_n),
        *([] if rated_n is None else [("label", "Label", rated_n)]),
        ("straight", "Straight wire", result.strength_n),
    ]
    marks = [Mark(name, load_n, f"{word} {format_force(load_n, units)}") for name, word, load_n in loads]
    return {
        "marks": [asdict(mark) for mark in marks],
        "to_plan": use == "plan",
        "low_n": result.hold_n.low,
        "high_n": result.hold_n.high,
        "most_n": 1.08 * max(result.hold_n.high, *(mark.load_n for mark in marks)),
        "range": f"Middle 19 of 20 pieces{', broken or unwound' if use == 'do-not' else ''}: {format_force(result.hold_n.low, units)} to {format_force(result.hold_n.high, units)}; 1 in 40 ends below it, 1 in 40 above",
        "no_label": "" if rated_n is not None else "Label: not known. Give it under Wire, Rated load.",
    }


def count_map(table: HoldTable, units: UnitSystem) -> dict[str, Any]:
    """Every pair as a cell with its words, and what the star and the frame mean."""
    turns, wraps = (sorted({getattr(cell, name) for cell in table.cells}) for name in ("turns", "wraps"))
    starred = f"Models see {limits.HINGE_WRAPS:g} wraps or more as one hinge, so a cell with a star has the verdict of {limits.HINGE_WRAPS:g} wraps; below that it is no better than with them."
    return {
        "title": "Turns (down) against wraps (across)",
        "safe": safe_line(table),
        "pieces": pieces_line(table),
        "star": f"{capital(MEANS)} * {starred} For the number of wraps itself there is no model; practice says {practice().says['wraps']}.",
        "here": "Framed: the joint in hand. Press a cell to make it the joint in hand; all else stays as it is.",
        "turns": turns,
        "wraps": wraps,
        "cells": [[_cell(table.cell(turn, wrap), table, units) for wrap in wraps] for turn in turns],
    }


def _cell(cell: HoldCell, table: HoldTable, units: UnitSystem) -> dict[str, Any]:
    chance, load_n = cell.probability_unwinds, cell.hold_n.nominal
    known = "" if math.isnan(chance) else f", {unwinds_words(chance)}"
    if cell.by_pieces and table.unwound is not None:
        of = table.unwound
        known = f", {of_all(of.unwound, of.pieces)} of {of.turns:g} turns and {of.wraps:g} wraps unwound"
    load = "" if math.isnan(load_n) else f", expected {format_force(load_n, units)}"
    star = "; the number of wraps is in no model" if is_starred(cell) else ""
    word, end = cell_word(cell, table), cell_end(cell, table)
    by = "; by your pull tests" if cell.by_pieces else "; by the models alone" if table.unwound is not None else ""
    return {
        "verdict": end,
        "word": word,
        "said": f"{word}, {cell.turns:g} turns, {cell.wraps:g} wraps{'' if end == 'not pulled' else f': {end}'}{known}{load}{star}{by}",
    }
