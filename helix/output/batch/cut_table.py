"""A cut plan as people read it on a terminal: the answer first, then pieces, marks, and stock length by length."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from helix.mechanics import limits
from helix.output.batch.batch_answers import cut_answer, letters, long_length, mark_to, money
from helix.output.report.document import Block, Bullets, Document, Heading, Para, Table
from helix.output.words.assumptions import cut_assumptions
from helix.output.words.words import plain_count, tape_number, telling_of
from helix.studies.batch.piece_cuts import MARKS, SAWN_TO
from helix.units import UnitSystem, format_force, format_length, format_mass

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan, Short
    from helix.studies.batch.piece_cuts import PieceCut
    from helix.studies.batch.sawing import SawnStock, WireUse

_HOW = {
    "every pattern": "every way to cut was looked at",
    "column generation": "the best ways to cut were generated",
    "piece by piece": "planned piece by piece",
    "nothing to cut": "nothing to cut",
}


def cut_plan_document(result: CutPlan, units: UnitSystem = "metric") -> Document:
    """The whole answer as a report."""
    blocks: list[Block | None] = [
        Heading(result.plan.title, 1),
        cut_answer(result, units),
        Para(answer(result, units), strong=True),
        _pieces(result, units),
        Bullets(tuple(_advice(result, units))),
        _marks(result, units),
        *(_stock_table(name, list(cuts), units) for name, cuts in groupby(result.stock, key=lambda s: s.stock.wire)),
        _wires(result, units),
        Bullets((*cut_assumptions(result), *result.notes)),
    ]
    return Document(result.plan.title, tuple(block for block in blocks if block and block != Bullets(())))


def answer(result: CutPlan, units: UnitSystem = "metric") -> str:
    """The answer in a few sentences: pieces, stock, waste, cost, and how sure it is that there is no better list."""
    wanted = sum(use.piece.count for use in result.pieces)
    spare = sum(use.spare for use in result.pieces)
    lengths, minimised = len(result.stock), result.plan.cutting.minimise
    share = result.waste_mm / result.used_mm if result.used_mm else 0.0
    besides = f" ({wanted} and {spare} spare)" if spare else ""
    stock = f"{lengths} length{'' if lengths == 1 else 's'} of stock, {long_length(result.opened_mm, units)}"
    gap = max((use.gap for use in result.wires), default=0.0)
    waste = (
        f"Waste {long_length(result.waste_mm, units)}, {_percent(share)} of the {long_length(result.used_mm, units)}"
    )
    currency = result.plan.cutting.currency
    text = f"Cut {wanted + spare} pieces{besides} from {stock}"
    text += f": {_sure(gap, 'stock possible')}. " if minimised == "stock" else ". "
    text += f"{waste} used up"
    if minimised == "cost":
        text += "."
    else:
        least = sum(use.least_waste_mm or 0.0 for use in result.wires)
        over = max((use.waste_gap or 0.0 for use in result.wires), default=0.0)
        what = "there can be with no more stock" if minimised == "stock" else "there can be"
        if over == 0.0:
            text += f": the least {what} (proven)."
        else:
            text += f"; the least {what} is {long_length(least, units)} or more."
    if result.cost is not None and result.opened_cost is not None:
        sure = f": {_sure(gap, 'cost there can be')}" if minimised == "cost" else ""
        text += f" The stock cut into costs {money(result.opened_cost, currency)}{sure}"
        text += f"; what is used up of it, {money(result.cost, currency)}."
    return text


def _sure(gap: float, what: str) -> str:
    """How near the least something is."""
    return f"the least {what} (proven)" if gap == 0.0 else f"at most {_percent(gap)} more than the least {what}"


def short_text(lack: Short, units: UnitSystem = "metric") -> str:
    """What is short, as a fault says it."""
    pieces = "1 piece has" if lack.count == 1 else f"{lack.count} pieces have"
    missing, needed, there = (long_length(mm, units) for mm in (lack.missing_mm, lack.needed_mm, lack.stock_mm))
    return (
        f"wire {lack.wire} runs out: {pieces} no stock to be cut from, {missing} of wire; all of its pieces take {needed}, "
        f'without saw cuts and rests, and the stock has {there}: {lack.stock_more} more of "{lack.stock_name}" would do'
    )


def _pieces(result: CutPlan, units: UnitSystem) -> Table:
    unit = "in" if units == "inch" else "mm"
    named = letters(result)
    heading = ("", "piece", "wire", "wanted", "spare", f"finished {unit}", f"cut {unit}", "low to high")
    rows = []
    for piece in result.pieces:
        size = [tape_number(mm, units, SAWN_TO) for mm in (piece.low_mm, piece.high_mm)]
        rows.append((
            named[piece.piece.name],
            piece.piece.name,
            piece.piece.wire,
            str(piece.piece.count),
            str(piece.spare),
            tape_number(piece.piece.length_mm, units),
            tape_number(piece.saw_mm, units) + ("*" if piece.long else " "),
            f"{size[0]} to {size[1]}",
        ))  # fmt: skip
    return Table("Pieces", heading, tuple(rows), (0, 1, 2))


def _advice(result: CutPlan, units: UnitSystem) -> list[str]:
    """Which pieces are cut long, what a load does, and whether the spares are likely to do."""
    lines = []
    for piece in result.pieces:
        name, half = piece.piece.name, 0.5 * (piece.high_mm - piece.low_mm)
        if piece.long:
            where = "at the plain end" if _one_plain(piece) else "off the handles"
            lines.append(
                f"{name}*: cut {format_length(piece.extra_mm, units)} long and trim {where}; the handle is too short "
                f"to take up the {format_length(half, units)} that the cut is uncertain by."
            )
        if piece.piece.at_load_n is not None:
            lines.append(
                f"{name}: {format_length(piece.free_mm, units)} free, {format_length(piece.stretch_mm, units)} more "
                f"under {format_force(piece.piece.at_load_n, units)}."
            )
        if piece.spare and piece.enough < limits.SPARE_ENOUGH:
            lines.append(f"{name}: {piece.spare} spare is enough in {100.0 * piece.enough:.0f} of 100 batches.")
        for end in {end.name: end for end in piece.ends if end.judgement is not None}.values():
            for worst in telling_of(end.judgement, units)[:1] if end.judgement is not None else ():
                lines.append(f"{name}, end {end.name}: {worst.word}: {worst.what}.")
    if any(half_width(piece) > 0.0 and not piece.long for piece in result.pieces):
        which = "All other pieces" if any(piece.long for piece in result.pieces) else "All pieces"
        lines.append(f"{which}: cut as stated; what a joint takes more or less comes off its handle.")
    return lines


def half_width(piece: PieceCut) -> float:
    """Plus or minus of a cut [mm]."""
    return 0.5 * (piece.high_mm - piece.low_mm)


def _one_plain(piece: PieceCut) -> bool:
    return sum(1 for end in piece.ends if end.wire_mm > 0.0) == 1


def _marks(result: CutPlan, units: UnitSystem) -> Table | None:
    """One row a joint: where to mark, along the wire from its own end."""
    rows: list[tuple[str, ...]] = []
    named, last = letters(result), ""
    for piece in result.pieces:
        for number, end in enumerate(piece.piece.ends, 1):
            mine = {mark.what: mark for mark in piece.marks if mark.end == number}
            if not mine:
                continue
            at = [mine[what].from_first_mm if number == 1 else mine[what].from_second_mm for what in MARKS]
            letter = named[piece.piece.name]
            rows.append((
                letter,
                piece.piece.name if number == 1 or last != letter else "",
                end.name,
                *(tape_number(mm, units, mark_to(piece)) for mm in at),
            ))  # fmt: skip
            last = letter
    if not rows:
        return None
    unit = "in" if units == "inch" else "mm"
    legend = "; ".join(f"{mark}: {what}" for mark, what in MARKS.items())
    return Table(
        f"Ink marks, {unit} from each end of the cut wire (the handle's end)",
        ("", "piece", "from the end", *MARKS),
        tuple(rows),
        (0, 1, 2),
        f"{legend[0].upper()}{legend[1:]}.",
    )


def _stock_table(wire: str, cuts: list[SawnStock], units: UnitSystem) -> Table:
    """What is cut from each length of stock of a wire."""
    rows = tuple(
        (stock_name(sawn), long_length(sawn.stock.length_mm, units), runs(sawn, units), left(sawn, units))
        for sawn in cuts
    )
    return Table(f"Stock, wire {wire}", ("stock", "length", "cut from it", "rest"), rows, (0, 2, 3))


def stock_name(sawn: SawnStock) -> str:
    """The stock's name, and which of its kind where there are several."""
    return sawn.stock.name if sawn.stock.count == 1 else f"{sawn.stock.name}, no. {sawn.number}"


def runs(sawn: SawnStock, units: UnitSystem) -> str:
    """What is cut from one length of stock: "3 x long tether 1680.5, 1 x ..."."""
    parts = []
    for name, pieces in groupby(sawn.cuts, key=lambda cut: cut.name):
        listed = list(pieces)
        parts.append(f"{len(listed)} x {name} {tape_number(listed[0].length_mm, units)}")
    return ", ".join(parts)


def left(sawn: SawnStock, units: UnitSystem) -> str:
    """What is left of one length of stock, and what to do with it."""
    if sawn.left_mm < 0.05:
        return "Nothing is left"
    return f"Left {long_length(sawn.left_mm, units)}, {'keep' if sawn.kept else 'too short to keep'}"


def _wires(result: CutPlan, units: UnitSystem) -> Table:
    heading = ("wire", "size", "pieces", "wire in them", "mass", "waste", "kept", "whole", "over the least")
    rows = []
    for use in result.wires:
        rows.append((
            use.name,
            use.wire.size or format_length(use.wire.diameter_mm, units),
            str(use.pieces),
            long_length(use.pieces_mm, units),
            format_mass(use.pieces_kg, units),
            long_length(use.waste_mm, units),
            long_length(use.kept_mm, units) if use.kept_mm else "-",
            f"{plain_count(use.whole)} ({long_length(use.whole_mm, units)})" if use.whole else "-",
            _gap(use),
        ))  # fmt: skip
    how = "; ".join(f"{use.name}: {_HOW.get(use.method, use.method)}" for use in result.wires)
    tails = "; ".join(
        f"{use.name}: {format_length(use.least_tail_mm, units)}" for use in result.wires if use.least_tail_mm
    )
    text = f"Lists found: {how}." + (f" Shortest offcut that is kept: {tails}." if tails else "")
    return Table("Wire in all", heading, tuple(rows), (0, 1), text)


def _gap(use: WireUse) -> str:
    """How much one wire's list may be over the least possible."""
    gap = max(use.gap, use.waste_gap or 0.0)
    return "nothing (proven)" if gap == 0.0 else f"at most {_percent(gap)}"


def _percent(share: float) -> str:
    return f"{100.0 * share:.2g} %"
