"""What a comparison of groups says: a sentence a pair, the table, the chart."""

from __future__ import annotations

import math

from helix.output.pulls.pull_panels import compare_chart
from helix.output.pulls.pull_report import CAUTION, methods_table
from helix.output.pulls.pull_sentences import comparison_words
from helix.output.report.document import Answer, Block, Bullets, Document, Heading, Para, Table
from helix.output.words.answer_words import INVENTED
from helix.output.words.findings.finding_words import capital
from helix.output.words.pull_words import NONE, PullFormat, p_value, percents, remark_line
from helix.studies.pulls.pull_compare import CompareResult, Comparison, Tested
from helix.units import UnitSystem

_SHOWN = 3


def compare_document(result: CompareResult, units: UnitSystem = "metric") -> Document:
    """The report of a comparison."""
    shown = PullFormat(units)
    title = f"Pull tests compared by {result.by}: {result.place}{INVENTED if result.invented else ''}"
    lines = [comparison_words(pair, shown) for pair in result.comparisons]
    surest = sorted(range(len(lines)), key=lambda place: _ranked(result.comparisons[place]))
    first = sorted(surest[:_SHOWN])
    notes = [note for pair in result.comparisons for note in pair.notes] + list(result.notes)
    rows = tuple(
        (
            f"{c.first} less {c.second}", _modes(c), f"{c.n[0]} / {c.n[1]}", shown.loads(c.difference_n),
            percents(c.share_of_second), _corrected(c.welch), _corrected(c.rank),
            shown.loads(c.joint_difference_n),
        )
        for c in result.comparisons
    )  # fmt: skip
    heading = (
        "pair", "ended", "n", f"difference, {shown.force}", "in %", "Welch p / Holm", "rank p / Holm",
        f"one joint, {shown.force}",
    )  # fmt: skip
    shares = tuple(
        (f"{c.first} and {c.second}", *(f"{side.count} of {side.total}" for side in c.unwound), _corrected(c.fisher))
        for c in result.comparisons
        if not math.isnan(c.fisher.p)
    )
    blocks: list[Block | None] = [
        Heading(title, 1),
        Answer(tuple(capital(lines[place]) for place in first), f"{len(lines)} pairs by {result.by}{INVENTED if result.invented else ''}"),
        *(Para(text) for place, text in enumerate(lines) if place not in first),
        Para(f"helix {result.version}. {CAUTION}"),
        compare_chart(result, units),
        Table(
            "Loads, first less second", heading, rows, (0, 1),
            "Limits at 95 %, for each pair on its own. Holm: p corrected for all pairs. One joint: the difference once "
            "corrected for two joints a piece, where both mostly broke.", ("M5", "M12", "M13", "M15"),
        ),
        Table(
            "Pieces that unwound", ("pair", "first unwound", "second unwound", "Fisher p / Holm"), shares, (0,), "",
            ("M14", "M15"),
        ),
        Heading("What to keep in mind"),
        Bullets(tuple(remark_line(note, units) for note in notes)) if notes else None,
        Heading("Methods and sources"),
        methods_table(("M1", "M5", "M12", "M13", "M14", "M15")),
    ]  # fmt: skip
    return Document(title, tuple(block for block in blocks if block is not None))


def _ranked(pair: Comparison) -> float:
    """The corrected p of a pair, by which the surest difference is said first; pairs without one come last."""
    known = [tested.holm for tested in (pair.welch, pair.fisher) if not math.isnan(tested.p)]
    return min(known, default=math.inf)


def _modes(pair: Comparison) -> str:
    if pair.modes is None:
        return NONE
    return pair.modes[0] if pair.modes[0] == pair.modes[1] else f"{pair.modes[0]} / {pair.modes[1]}"


def _corrected(tested: Tested) -> str:
    return NONE if math.isnan(tested.p) else f"{p_value(tested.p)} / {p_value(tested.holm)}"
