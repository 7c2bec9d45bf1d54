"""A cut plan as plain data and as rows: always mm, N and kg, whatever people chose to read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from helix.model.measured.csv_cells import csv_of
from helix.output.report.record import plain

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.batch.piece_cuts import PieceCut
    from helix.studies.batch.sawing import SawnStock

CSV_HEADER = ("stock", "stock_number", "wire", "stock_mm", "cut", "piece", "length_mm", "from_mm", "to_mm")


def cut_plan_to_dict(result: CutPlan) -> dict[str, Any]:
    """The whole answer as dicts, lists, numbers and text, ready for JSON.

    ``pieces``: one entry a kind, `marks_mm` from the first end; ``stock``: one entry a length that is cut
    into; ``short``: what the stock has no room for, empty where everything is cut.
    """
    plan = result.plan
    return plain({
        "schema": result.schema,
        "version": result.version,
        "title": plan.title,
        "pieces": [_piece(each) for each in result.pieces],
        "stock": [_stock(each) for each in result.stock],
        "unused": _unused(result),
        "wires": [
            {
                "name": use.name,
                "size": use.wire.size,
                "diameter_mm": use.wire.diameter_mm,
                "material": use.wire.material,
                "density_kg_m3": use.wire.density_kg_m3,
                "pieces": use.pieces,
                "pieces_mm": use.pieces_mm,
                "pieces_kg": use.pieces_kg,
                "opened_mm": use.opened_mm,
                "waste_mm": use.waste_mm,
                "least_waste_mm": use.least_waste_mm,
                "waste_gap": use.waste_gap,
                "kept_mm": use.kept_mm,
                "least_tail_mm": use.least_tail_mm,
                "gap": use.gap,
                "method": use.method,
            }
            for use in result.wires
        ],
        "minimised": plan.cutting.minimise,
        "opened_mm": result.opened_mm,
        "used_mm": result.used_mm,
        "waste_mm": result.waste_mm,
        "gap": result.gap,
        "proven": result.gap == 0.0,
        "cost": result.cost,
        "opened_cost": result.opened_cost,
        "currency": plan.cutting.currency or None,
        "short": [
            {"name": each.name, "wire": each.wire, "count": each.count, "missing_mm": each.missing_mm}
            for each in result.short
        ],
        "cutting": {
            "saw_loss_mm": plan.cutting.saw_loss_mm,
            "least_tail_mm": plan.cutting.least_tail_mm,
            "spare": plan.cutting.spare,
            "handle_give": plan.cutting.handle_give,
        },
        "assumptions": list(result.assumptions),
        "notes": list(result.notes),
    })  # fmt: skip


def cut_plan_csv(result: CutPlan) -> str:
    """The cutting list as comma-separated text, one piece a row, its place on its length of stock in mm."""
    rows = (
        (
            each.stock.name,
            each.number,
            each.stock.wire,
            round(each.stock.length_mm, 1),
            number,
            cut.name,
            round(cut.length_mm, 1),
            round(cut.from_mm, 1),
            round(cut.to_mm, 1),
        )
        for each in result.stock
        for number, cut in enumerate(each.cuts, 1)
    )
    return csv_of((CSV_HEADER, *rows))


def _piece(each: PieceCut) -> dict[str, Any]:
    return {
        "name": each.piece.name,
        "count": each.piece.count,
        "spare": each.spare,
        "spare_enough": each.enough,
        "wire": each.piece.wire,
        "ends": [end.name for end in each.piece.ends],
        "length_mm": each.piece.length_mm,
        "at_load_n": each.piece.at_load_n,
        "free_mm": each.free_mm,
        "straight_mm": each.straight_mm,
        "cut_mm": each.cut_mm,
        "low_mm": each.low_mm,
        "high_mm": each.high_mm,
        "saw_mm": each.saw_mm,
        "cut_long": each.long,
        "marks_mm": [mark.from_first_mm for mark in each.marks],
        "marks": [
            {
                "what": mark.what,
                "end": each.piece.ends[mark.end - 1].name,
                "from_first_mm": mark.from_first_mm,
                "from_second_mm": mark.from_second_mm,
            }
            for mark in each.marks
        ],
        "joints": [
            {
                "end": end.name,
                "joint_mm": end.wire_mm,
                "handle_mm": end.handle_mm,
                "bearing_mm": end.bearing_mm,
                "verdict": end.verdict or None,
            }
            for end in each.ends
        ],
    }


def _stock(each: SawnStock) -> dict[str, Any]:
    return {
        "name": each.stock.name,
        "number": each.number,
        "wire": each.stock.wire,
        "length_mm": each.stock.length_mm,
        "cuts": [
            {"name": cut.name, "cut_mm": cut.length_mm, "from_mm": cut.from_mm, "to_mm": cut.to_mm} for cut in each.cuts
        ],
        "left_mm": each.left_mm,
        "kept": each.kept,
        "saw_loss_mm": each.loss_mm,
        "waste_mm": each.waste_mm,
        "cost": each.cost if each.stock.price is not None else None,
    }


def _unused(result: CutPlan) -> list[dict[str, Any]]:
    """Lengths of stock that are not cut into."""
    found = []
    for item in result.plan.stock:
        left = item.count - sum(1 for each in result.stock if each.stock is item)
        if left:
            found.append({"name": item.name, "wire": item.wire, "length_mm": item.length_mm, "count": left})
    return found
