"""A cut plan as rows of text: always mm, whatever people chose to read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helix.model.measured.csv_cells import csv_of

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan

CSV_HEADER = (
    "stock", "stock_number", "wire", "stock_mm", "cut", "piece", "length_mm", "from_mm", "to_mm", "severity", "judgement",
)  # fmt: skip


def cut_plan_csv(result: CutPlan) -> str:
    """The cutting list as comma-separated text, one piece a row, its place on its length of stock in mm, and the verdict on its
    joints."""
    judged = {piece.piece.name: piece.judgement for piece in result.pieces}
    rows = (
        (
            sawn.stock.name,
            sawn.number,
            sawn.stock.wire,
            round(sawn.stock.length_mm, 1),
            number,
            cut.name,
            round(cut.length_mm, 1),
            round(cut.from_mm, 1),
            round(cut.to_mm, 1),
            judged[cut.name].severity.word,
            judged[cut.name].code,
        )
        for sawn in result.stock
        for number, cut in enumerate(sawn.cuts, 1)
    )
    return csv_of((CSV_HEADER, *rows))
