"""What a comparison of groups says: a sentence a pair, the table, the chart."""

from __future__ import annotations

import math

from helix.output.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.pull_panels import compare_chart
from helix.output.pull_report import CAUTION, methods_table
from helix.output.pull_words import NONE, Shown, p_value, percents
from helix.studies.pull_compare import CompareResult
from helix.units import UnitSystem


def compare_document(result: CompareResult, units: UnitSystem = "metric") -> Document:
    """The report of a comparison."""
    shown = Shown(units)
    title = f"Pull tests compared by {result.by}: {result.place}"
    told = [shown.text(c.says) for c in result.comparisons]
    notes = [f"{c.first} and {c.second}: {note}." for c in result.comparisons for note in c.notes]
    rows = tuple(
        (
            c.first, c.second, f"{c.modes[0]} / {c.modes[1]}" if c.modes else NONE, f"{c.n[0]} / {c.n[1]}",
            shown.loads(c.difference_n), percents(c.share_of_second), p_value(c.welch_p), p_value(c.holm_welch_p),
            p_value(c.rank_p), p_value(c.holm_rank_p), shown.loads(c.joint_difference_n),
        )
        for c in result.comparisons
    )  # fmt: skip
    heading = (
        "first", "second", "ended", "n", f"difference, {shown.force}", "in %", "Welch p", "by Holm", "rank p", "by Holm",
        f"one joint, {shown.force}",
    )  # fmt: skip
    shares = tuple(
        (
            c.first,
            c.second,
            *(f"{a} of {n}" for a, n in c.unwound),
            p_value(c.fisher_p),
            p_value(c.holm_fisher_p),
        )
        for c in result.comparisons
        if not math.isnan(c.fisher_p)
    )
    blocks: list[Block | None] = [
        Heading(title, 1),
        *(Para(text, strong=len(told) <= 6) for text in told),
        Para(f"helix {result.version}. {CAUTION}"),
        compare_chart(result, units),
        Table(
            "Loads, first less second", heading, rows, (0, 1, 2),
            "Limits at 95 %, for each pair on its own. By Holm: corrected for all pairs. One joint: the difference once "
            "corrected for two joints a piece.", ("M5", "M12", "M13", "M15"),
        ),
        Table(
            "Pieces that unwound", ("first", "second", "first unwound", "second unwound", "Fisher p", "by Holm"), shares, (0, 1), "",
            ("M14", "M15"),
        ),
        Heading("What to keep in mind"),
        Bullets(tuple(shown.text(note) for note in (*notes, *result.notes))) if notes or result.notes else None,
        Heading("Methods and sources"),
        methods_table(("M1", "M5", "M12", "M13", "M14", "M15")),
    ]  # fmt: skip
    return Document(title, tuple(block for block in blocks if block is not None))
