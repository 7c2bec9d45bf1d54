"""The wire for a batch: what to cut for each piece, and from which length of stock, with the least waste."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import ClassVar

import helix
from helix.errors import ValidationError, ValidationIssue
from helix.findings import Judgement
from helix.model.batch.plan_parts import CutPiece, Cutting, End, Plan
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.batch.piece_cuts import PLAIN_END, EndCut, PieceCut, end_cuts, piece_cut
from helix.studies.batch.sawing import (
    SawnStock,
    WireUse,
    cutting_list,
    least_tail,
    sawn_stock,
    units_down,
    units_up,
    wire_use,
)
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.studies.hold.stretch import stretch
from helix.studies.judge import judge_shaped
from helix.studies.shape.shape import ShapeResult, shape
from helix.units import format_force, format_length
from helix.values import Result, hidden, result

SCHEMA = 2
STRETCH_DRAWS = 1000  # the stretch asks the hold for its forces only, not for chances
OnOutput = Callable[[str], None]
Ends = dict[Recipe, tuple[tuple[EndCut, ...], ShapeResult]]
"""Of each joint, what it takes of each wire, and its shape."""


@result
class Short:
    """Pieces that the stock has no room for. needed_mm: what all pieces of this wire take, without cuts and rests; stock_mm: what
    there is of it. stock_name, stock_more: of the longest stock so many more would do for all that is short of this wire."""

    name: str
    wire: str
    count: int
    missing_mm: float
    needed_mm: float
    stock_mm: float
    stock_name: str
    stock_more: int


@result
class UnusedStock:
    """Lengths of stock that are not cut into."""

    name: str
    wire: str
    length_mm: float
    count: int


@result
class CutPlan(Result):
    """The answer for a plan. gap: the largest of the wires' own, 0 is proven best; cost: of the wire used up,
    an offcut that is kept keeps its share of the price; opened_cost: of all stock cut into, whole; short: what the
    stock has no room for."""

    rows_in: ClassVar = "pieces"
    also: ClassVar = (
        "title=plan.title",
        "unused",
        "minimised=plan.cutting.minimise",
        "opened_mm",
        "used_mm",
        "waste_mm",
        "gap",
        "proven",
        "cost",
        "opened_cost",
        "currency",
    )
    plan: Plan = hidden()
    pieces: tuple[PieceCut, ...]
    stock: tuple[SawnStock, ...]
    wires: tuple[WireUse, ...]
    short: tuple[Short, ...]
    cutting: Cutting
    notes: tuple[str, ...]
    schema: int = SCHEMA
    version: str = helix.__version__

    @property
    def unused(self) -> tuple[UnusedStock, ...]:
        """Lengths of stock that are not cut into."""
        cut_into = Counter(id(sawn.stock) for sawn in self.stock)
        left = ((item, item.count - cut_into[id(item)]) for item in self.plan.stock if item.count is not None)
        return tuple(
            UnusedStock(name=item.name, wire=item.wire, length_mm=item.length_mm, count=count)
            for item, count in left
            if count
        )

    @property
    def proven(self) -> bool:
        """Whether no list is better."""
        return self.gap == 0.0

    @property
    def currency(self) -> str | None:
        """Of the prices."""
        return self.plan.cutting.currency or None

    @property
    def waste_mm(self) -> float:
        """Wire that is neither in a piece nor worth keeping."""
        return sum(wire.waste_mm for wire in self.wires)

    @property
    def opened_mm(self) -> float:
        """Length of all stock that is cut into, whole."""
        return sum(wire.opened_mm for wire in self.wires)

    @property
    def used_mm(self) -> float:
        """What is used up of it: pieces and waste."""
        return sum(wire.pieces_mm + wire.waste_mm for wire in self.wires)

    @property
    def gap(self) -> float:
        """How far the list may be from the best, as a share: of what was minimised, and of the waste after that."""
        return max((max(wire.gap, wire.waste_gap or 0.0) for wire in self.wires), default=0.0)

    @property
    def cost(self) -> float | None:
        """Price of the wire used up, None where no stock has a price."""
        if all(bar.price is None for bar in self.plan.stock):
            return None
        return sum(bar.cost for bar in self.stock)

    @property
    def opened_cost(self) -> float | None:
        """Price of every length of stock that is cut into, whole."""
        if all(bar.price is None for bar in self.plan.stock):
            return None
        return sum(bar.stock.price or 0.0 for bar in self.stock)


def search_seconds(pieces: int) -> float:
    """How long to search for the best list: 2.5 s for up to 60 pieces, 18 s for 500 and more.

    >>> search_seconds(60), search_seconds(500)
    (2.5, 18.0)
    """
    return 2.5 + 15.5 * min(max(pieces - 60, 0), 440) / 440


def cut_plan(
    plan: Plan,
    *,
    seconds: float | None = None,
    own: Mapping[Recipe, OwnPulls] | None = None,
    on_output: OnOutput = lambda _: None,
) -> CutPlan:
    """Cut lengths, marks and the cutting list of a plan.

    seconds: about how long to search for the best list, all wires together (default: by the number of
    pieces); own: pieces of one's own of some of its joints, which decide how those end. Raises ValidationError for joints that cannot be made, pieces
    shorter than their joints, and pieces longer than any stock; where the stock runs out, ``short`` says
    of what, and the list holds the rest.
    """
    ends = _ends(plan, own or {}, on_output)
    pieces = _pieces(plan, ends)
    total = sum(piece.to_cut for piece in pieces)
    budget = search_seconds(total) if seconds is None else seconds
    sawn: list[SawnStock] = []
    uses: list[WireUse] = []
    short: list[Short] = []
    for name, wire in plan.wires.items():
        mine = [piece for piece in pieces if piece.piece.wire == name]
        if not mine:
            continue
        share = sum(piece.to_cut for piece in mine) / total
        on_output(f"planning {sum(piece.to_cut for piece in mine)} pieces of wire {name} ...")
        stock = [bar for bar in plan.stock if bar.wire == name]
        tail = least_tail(plan, mine)
        cutting = cutting_list(plan, mine, stock, tail, share * budget)
        cuts = sawn_stock(plan, mine, stock, cutting)
        sawn += cuts
        uses.append(wire_use(name, wire, mine, stock, cuts, cutting, tail, plan.cutting.minimise))
        needed_mm = sum(piece.to_cut * piece.saw_mm for piece in mine)
        stock_mm = sum(bar.length_mm * (bar.count or 0) for bar in stock)
        longest = max(stock, key=lambda bar: bar.length_mm)
        lacking = [piece.saw_mm for piece, number in zip(mine, cutting.short, strict=True) for _ in range(number)]
        more = bars_for(lacking, longest.length_mm, plan.cutting.saw_loss_mm)
        short += [
            Short(
                name=piece.piece.name,
                wire=name,
                count=number,
                missing_mm=number * piece.saw_mm,
                needed_mm=needed_mm,
                stock_mm=stock_mm,
                stock_name=longest.name or "stock",
                stock_more=more,
            )
            for piece, number in zip(mine, cutting.short, strict=True)
            if number
        ]
    return CutPlan(
        plan=plan,
        pieces=pieces,
        stock=tuple(sawn),
        wires=tuple(uses),
        short=tuple(short),
        notes=plan.notes,
        cutting=plan.cutting,
    )


def bars_for(lengths_mm: Sequence[float], bar_mm: float, saw_loss_mm: float) -> int:
    """Bars of one length from which these pieces can be cut, each with its saw cut: the longest first, each from the first bar with room.

    >>> bars_for([600.0, 500.0, 400.0], 1000.0, 2.0)
    2
    """
    rests: list[float] = []
    for length in sorted(lengths_mm, reverse=True):
        k = next((k for k, rest in enumerate(rests) if rest >= length), len(rests))
        if k == len(rests):
            rests.append(bar_mm)
        rests[k] -= length + saw_loss_mm
    return len(rests)


def joints_of(plan: Plan) -> Iterator[Recipe]:
    """The recipes of a plan's ends."""
    return (end.recipe for piece in plan.pieces for end in piece.ends if end.recipe is not None)


def _ends(plan: Plan, own: Mapping[Recipe, OwnPulls], on_output: OnOutput) -> Ends:
    """Every joint of the plan, each shaped once."""
    ends: Ends = {}
    faults: list[ValidationIssue] = []
    wanted = [end for piece in plan.pieces for end in piece.ends if end.recipe is not None]
    for end in dict.fromkeys(wanted):
        if end.recipe is None or end.recipe in ends:
            continue
        wire = end.recipe.wire
        on_output(f"shaping the joint of end {end.name} in {wire.size or format_length(wire.diameter_mm)} wire ...")
        try:
            shaped = shape(end.recipe)
            judgement = _judged(shaped, own.get(end.recipe))
            ends[end.recipe] = end_cuts(end, shaped, judgement), shaped
        except ValidationError as problem:
            place = f"end {end.name}: {{}}"
            for fault in problem.faults:
                faults.append(ValidationIssue(replace(fault.path, file=place.format(fault.path.file)), fault.message))
    if faults:
        raise ValidationError(faults)
    return ends


def _judged(shaped: ShapeResult, own: OwnPulls | None) -> Judgement:
    """The one verdict on a joint, by pieces of one's own where there are any."""
    if own is None:
        return shaped.judgement
    return judge_shaped(shaped, hold_with(shaped.recipe, setting_of(shaped.recipe), own))


def _pieces(plan: Plan, ends: Ends) -> tuple[PieceCut, ...]:
    piece_cuts: list[PieceCut] = []
    faults: list[ValidationIssue] = []
    for piece in plan.pieces:
        wire = plan.wires[piece.wire]
        try:
            give = [_stretch(piece, end, ends, wire) for end in piece.ends]
            of_wires = _wires(piece, ends)
            made = [
                piece_cut(own, wire, of_wire, plan.cutting, (give[0], give[1]), paired=len(of_wires) > 1)
                for own, of_wire in of_wires
            ]
        except ValidationError as problem:
            faults += problem.faults
            continue
        longest = max((s.length_mm for s in plan.stock if s.wire == piece.wire and s.count != 0), default=0.0)
        takes_mm = max(own.saw_mm for own in made)
        if units_up(takes_mm) > units_down(longest):
            what = f"the longest is {format_length(longest)}" if longest else "there is none of it"
            message = f"takes {format_length(takes_mm)} of wire {piece.wire}, more than any stock: {what}"
            faults.append(ValidationIssue(f"piece {piece.name}", message))
        piece_cuts += made
    if faults:
        raise ValidationError(faults)
    return tuple(piece_cuts)


def _wires(piece: CutPiece, ends: Ends) -> list[tuple[CutPiece, tuple[EndCut, EndCut]]]:
    """Each wire of a piece with what its two joints take of it.

    Of two wires worked as one, the first of one end is the second of the other: so what one is longer by at one end it is
    shorter by at the other, and joints of one recipe take wires of one length.
    """
    first, second = (None if end.recipe is None else ends[end.recipe][0] for end in piece.ends)
    counts = {len(cuts) for cuts in (first, second) if cuts is not None} or {1}
    if len(counts) > 1:
        message = "must be of one wire each, or of two each; one of them is of two wires worked as one"
        raise ValidationError.at(f"piece {piece.name}: ends", message)
    several = counts.pop()
    first, second = first or (PLAIN_END,) * several, second or (PLAIN_END,) * several
    if several == 1:
        return [(piece, (first[0], second[0]))]
    return [
        (replace(piece, name=f"{piece.name}, wire {k + 1}"), (one, other))
        for k, (one, other) in enumerate(zip(first, reversed(second), strict=True))
    ]


def _stretch(piece: CutPiece, end: End, ends: Ends, wire: Wire) -> float:
    """What the piece's load adds to one of its joints [mm].

    Raises ValidationError where the load is beyond what the wire can carry.
    """
    load = piece.at_load_n
    if load is None:
        return 0.0
    if load >= wire.breaking_load_n[0]:
        least = format_force(wire.breaking_load_n[0])
        message = f"must be below the {least} at which the wire may break; got {format_force(load)}"
        raise ValidationError.at(f"piece {piece.name}: at_load", message)
    if end.recipe is None:
        return 0.0
    return stretch(ends[end.recipe][1], hold(end.recipe, draws=STRETCH_DRAWS), load).joint_stretch_mm.nominal
