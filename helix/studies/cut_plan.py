"""The wire for a batch: what to cut for each piece, and from which length of stock, with the least waste."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby

import numpy as np

import helix
from helix.errors import Fault, InputFaults
from helix.mechanics.cutting_model import Charge
from helix.mechanics.cutting_stock import CuttingList, cut_stock
from helix.mechanics.wire_mass import wire_mass
from helix.model.plan_parts import End, Piece, Plan, Stock
from helix.model.recipe_parts import Recipe
from helix.model.wire import Wire
from helix.studies.holding import hold
from helix.studies.piece_cuts import PLAIN_END, EndCut, PieceCut, end_cut, piece_cut
from helix.studies.shape import ShapeResult, shape
from helix.studies.stretch import stretch
from helix.units import format_force, format_length

SCHEMA = 1
UNIT = 0.1  # lengths are planned in tenths of a millimetre [mm]
OPENING = 0.5  # a length of stock is cut into only if that spares another this share of the shortest piece
STRETCH_DRAWS = 1000  # the stretch asks the hold for its forces only, not for chances
Tell = Callable[[str], None]


@dataclass(frozen=True)
class SawnPiece:
    """One piece on its length of stock [mm]: from, to, and its kind."""

    name: str
    from_mm: float
    to_mm: float

    @property
    def length_mm(self) -> float:
        """How long it is sawn."""
        return self.to_mm - self.from_mm


@dataclass(frozen=True)
class SawnStock:
    """One length of stock as cut. number: which of its kind, from 1; left_mm: beyond the last cut; kept:
    whether that is worth keeping; loss_mm: taken by the saw; cost: of what is used up, at its price."""

    stock: Stock
    number: int
    cuts: tuple[SawnPiece, ...]
    left_mm: float
    kept: bool
    loss_mm: float
    cost: float

    @property
    def waste_mm(self) -> float:
        """Wire that is neither in a piece nor worth keeping."""
        return self.loss_mm + (0.0 if self.kept else self.left_mm)


@dataclass(frozen=True)
class WireUse:
    """One wire: pieces cut, wire in them [mm] and [kg]; stock that is cut into, whole [mm]; waste, what is kept of
    that stock, how many lengths are left whole and how much that is.

    gap: how far what is minimised may be above the least there can be, as a share of it. least_waste_mm: no list
    wastes less (with no more stock cut into, where that was minimised), None where cost was; waste_gap: the rest,
    as a share of the wire used up. method: how the list was found; least_tail_mm: the shortest rest kept.
    """

    name: str
    wire: Wire
    pieces: int
    pieces_mm: float
    pieces_kg: float
    opened_mm: float
    waste_mm: float
    kept_mm: float
    whole: int
    whole_mm: float
    gap: float
    least_waste_mm: float | None
    waste_gap: float | None
    method: str
    least_tail_mm: float


@dataclass(frozen=True)
class Short:
    """Pieces that the stock has no room for."""

    name: str
    wire: str
    count: int
    missing_mm: float


@dataclass(frozen=True)
class CutPlan:
    """The answer for a plan. gap: the largest of the wires' own, 0 is proven best; cost: of the wire used up,
    a rest worth keeping keeps its share of the price; opened_cost: of all stock cut into, whole; short: what the
    stock has no room for."""

    plan: Plan
    pieces: tuple[PieceCut, ...]
    stock: tuple[SawnStock, ...]
    wires: tuple[WireUse, ...]
    short: tuple[Short, ...]
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]
    schema: int
    version: str

    @property
    def waste_mm(self) -> float:
        """Wire that is neither in a piece nor worth keeping."""
        return sum(each.waste_mm for each in self.wires)

    @property
    def opened_mm(self) -> float:
        """Length of all stock that is cut into, whole."""
        return sum(each.opened_mm for each in self.wires)

    @property
    def used_mm(self) -> float:
        """What is used up of it: pieces and waste."""
        return sum(each.pieces_mm + each.waste_mm for each in self.wires)

    @property
    def gap(self) -> float:
        """How far the list may be from the best, as a share: of what was minimised, and of the waste after that."""
        return max((max(each.gap, each.waste_gap or 0.0) for each in self.wires), default=0.0)

    @property
    def cost(self) -> float | None:
        """Price of the wire used up, None where no stock has a price."""
        if all(each.price is None for each in self.plan.stock):
            return None
        return sum(each.cost for each in self.stock)

    @property
    def opened_cost(self) -> float | None:
        """Price of every length of stock that is cut into, whole."""
        if all(each.price is None for each in self.plan.stock):
            return None
        return sum(each.stock.price or 0.0 for each in self.stock)


def search_seconds(pieces: int) -> float:
    """How long to search for the best list: 2.5 s for up to 60 pieces, 18 s for 500 and more.

    >>> search_seconds(60), search_seconds(500)
    (2.5, 18.0)
    """
    return 2.5 + 15.5 * min(max(pieces - 60, 0), 440) / 440


def cut_plan(plan: Plan, *, seconds: float | None = None, tell: Tell = lambda _: None) -> CutPlan:
    """Cut lengths, marks and the cutting list of a plan.

    seconds: about how long to search for the best list, all wires together (default: by the number of
    pieces); tell: is told what is going on. Raises InputFaults for joints that cannot be made, pieces
    shorter than their joints, and pieces longer than any stock; where the stock runs out, ``short`` says
    of what, and the list holds the rest.
    """
    ends = _ends(plan, tell)
    pieces = _pieces(plan, ends)
    total = sum(each.to_cut for each in pieces)
    budget = search_seconds(total) if seconds is None else seconds
    sawn: list[SawnStock] = []
    uses: list[WireUse] = []
    short: list[Short] = []
    for name, wire in plan.wires.items():
        mine = [each for each in pieces if each.piece.wire == name]
        if not mine:
            continue
        share = sum(each.to_cut for each in mine) / total
        tell(f"planning {sum(each.to_cut for each in mine)} pieces of wire {name} ...")
        stock = [each for each in plan.stock if each.wire == name]
        tail = _least_tail(plan, mine)
        found = _listed(plan, mine, stock, tail, share * budget)
        cuts = _sawn(plan, mine, stock, found)
        sawn += cuts
        uses.append(_use(name, wire, mine, stock, cuts, found, tail, plan.cutting.minimise))
        short += [
            Short(each.piece.name, name, number, number * each.saw_mm)
            for each, number in zip(mine, found.short, strict=True)
            if number
        ]
    return CutPlan(
        plan=plan,
        pieces=pieces,
        stock=tuple(sawn),
        wires=tuple(uses),
        short=tuple(short),
        assumptions=_assumptions(plan, pieces),
        notes=plan.notes,
        schema=SCHEMA,
        version=helix.__version__,
    )


def _ends(plan: Plan, tell: Tell) -> dict[Recipe, tuple[EndCut, ShapeResult]]:
    """Every joint of the plan, each shaped once."""
    found: dict[Recipe, tuple[EndCut, ShapeResult]] = {}
    faults: list[Fault] = []
    wanted = [end for piece in plan.pieces for end in piece.ends if end.recipe is not None]
    for end in dict.fromkeys(wanted):
        if end.recipe is None or end.recipe in found:
            continue
        wire = end.recipe.wire
        tell(
            f"shaping the joint of end {end.name} in {wire.size or format_length(wire.diameter_mm)} wire ..."
        )
        try:
            shaped = shape(end.recipe)
            found[end.recipe] = end_cut(end, shaped), shaped
        except InputFaults as problem:
            faults += [Fault(f"end {end.name}: {each.place}", each.message) for each in problem.faults]
    if faults:
        raise InputFaults(faults)
    return found


def _pieces(plan: Plan, ends: dict[Recipe, tuple[EndCut, ShapeResult]]) -> tuple[PieceCut, ...]:
    found: list[PieceCut] = []
    faults: list[Fault] = []
    for piece in plan.pieces:
        first, second = (PLAIN_END if end.recipe is None else ends[end.recipe][0] for end in piece.ends)
        wire = plan.wires[piece.wire]
        try:
            give = [_stretch(piece, end, ends, wire) for end in piece.ends]
            made = piece_cut(piece, wire, (first, second), plan.cutting, (give[0], give[1]))
        except InputFaults as problem:
            faults += problem.faults
            continue
        longest = max((s.length_mm for s in plan.stock if s.wire == piece.wire and s.count), default=0.0)
        if _up(made.saw_mm) > _down(longest):
            what = f"the longest is {format_length(longest)}" if longest else "there is none of it"
            message = f"takes {format_length(made.saw_mm)} of wire {piece.wire}, more than any stock: {what}"
            faults.append(Fault(f"piece {piece.name}", message))
        found.append(made)
    if faults:
        raise InputFaults(faults)
    return tuple(found)


def _stretch(piece: Piece, end: End, ends: dict[Recipe, tuple[EndCut, ShapeResult]], wire: Wire) -> float:
    """What the piece's load adds to one of its joints [mm].

    Raises InputFaults where the load is beyond what the wire can carry.
    """
    load = piece.at_load_n
    if load is None:
        return 0.0
    if load >= wire.breaking_load_n[0]:
        least = format_force(wire.breaking_load_n[0])
        message = f"must be below the {least} at which the wire may break; got {format_force(load)}"
        raise InputFaults([Fault(f"piece {piece.name}: at_load", message)])
    if end.recipe is None:
        return 0.0
    return stretch(ends[end.recipe][1], hold(end.recipe, draws=STRETCH_DRAWS), load).joint_mm.nominal


def _up(mm: float) -> int:
    return int(-(-round(mm / UNIT, 6) // 1))


def _down(mm: float) -> int:
    return int(round(mm / UNIT, 6) // 1)


def _least_tail(plan: Plan, pieces: list[PieceCut]) -> float:
    """The shortest rest of a wire that is worth keeping."""
    stated = plan.cutting.least_tail_mm
    return min(each.saw_mm for each in pieces) if stated is None else stated


def _listed(
    plan: Plan, pieces: list[PieceCut], stock: list[Stock], least_tail_mm: float, seconds: float
) -> CuttingList:
    """The cutting list of one wire."""
    first, second = _charges(plan, pieces, stock)
    return cut_stock(
        [_up(each.saw_mm) for each in pieces],
        [each.to_cut for each in pieces],
        [_down(each.length_mm) for each in stock],
        [each.count for each in stock],
        saw_loss=_up(plan.cutting.saw_loss_mm),
        least_tail=_up(least_tail_mm),
        first=first,
        second=second,
        seconds=seconds,
    )


def _charges(plan: Plan, pieces: list[PieceCut], stock: list[Stock]) -> tuple[Charge, Charge]:
    """What is made least, and what decides between equal lists.

    "stock": the length of stock cut into, then the waste. "waste": the waste, then few lengths cut into, and short
    ones first. "cost": the price of the stock cut into, then that of the wire used up.
    """
    ones = np.ones(len(stock))
    lengths = np.array([each.length_mm for each in stock])
    if plan.cutting.minimise == "stock":
        return Charge(ones, whole=True), Charge(ones)
    if plan.cutting.minimise == "waste":
        shortest = min(_up(each.saw_mm) for each in pieces)
        return Charge(ones), Charge(lengths / lengths.max(), opening=OPENING * shortest)
    prices = np.array([each.price or 0.0 for each in stock]) / lengths
    return Charge(prices, whole=True), Charge(prices + 0.01 * prices.mean() + 1e-9)


def _sawn(plan: Plan, pieces: list[PieceCut], stock: list[Stock], found: CuttingList) -> list[SawnStock]:
    """The list with every cut at its place: long pieces first, a saw loss after each."""
    order = sorted(range(len(pieces)), key=lambda k: -pieces[k].saw_mm)
    loss = plan.cutting.saw_loss_mm
    sawn = []
    for kind, cuts in groupby(found.cuts, key=lambda each: each.stock):
        item = stock[kind]
        for number, each in enumerate(cuts, 1):
            at, placed = 0.0, []
            for k in order:
                for _ in range(each.counts[k]):
                    placed.append(SawnPiece(pieces[k].piece.name, at, at + pieces[k].saw_mm))
                    at += pieces[k].saw_mm + loss
            left = max(0.0, item.length_mm - at)
            taken = sum(piece.length_mm for piece in placed)
            used = item.length_mm - (left if each.kept else 0.0)
            sawn.append(
                SawnStock(
                    stock=item,
                    number=number,
                    cuts=tuple(placed),
                    left_mm=left,
                    kept=each.kept,
                    loss_mm=item.length_mm - left - taken,
                    cost=(item.price or 0.0) * used / item.length_mm,
                )
            )
    return sawn


def _use(
    name: str,
    wire: Wire,
    pieces: list[PieceCut],
    stock: list[Stock],
    sawn: list[SawnStock],
    found: CuttingList,
    least_tail_mm: float,
    minimise: str,
) -> WireUse:
    made = sum(piece.length_mm for each in sawn for piece in each.cuts)
    waste = sum(each.waste_mm for each in sawn)
    opened = [sum(1 for each in sawn if each.stock is item) for item in stock]
    whole = [item.count - number for item, number in zip(stock, opened, strict=True)]
    used = made + waste
    charge, bound = (found.charge, found.bound) if minimise == "waste" else (found.then, found.then_bound)
    slack = None if minimise == "cost" else (charge - bound) * UNIT if _differ(charge, bound) else 0.0
    return WireUse(
        name=name,
        wire=wire,
        pieces=sum(len(each.cuts) for each in sawn),
        pieces_mm=made,
        pieces_kg=wire_mass(made, wire.diameter_mm, wire.density_kg_m3),
        opened_mm=sum(each.stock.length_mm for each in sawn),
        waste_mm=waste,
        kept_mm=sum(each.left_mm for each in sawn if each.kept),
        whole=sum(whole),
        whole_mm=sum(item.length_mm * number for item, number in zip(stock, whole, strict=True)),
        gap=found.gap,
        least_waste_mm=None if slack is None else max(0.0, waste - slack),
        waste_gap=None if slack is None else min(slack, waste) / used if used else 0.0,
        method=found.method,
        least_tail_mm=least_tail_mm,
    )


def _differ(charge: float, bound: float) -> bool:
    return charge - bound > 1e-8 * max(charge, 1.0)


def _assumptions(plan: Plan, pieces: tuple[PieceCut, ...]) -> tuple[str, ...]:
    said = [
        "Finished length runs between what bears in the eyes, as wound; a plain end counts to its tip.",
        (
            "The interval of a cut is the root of the sum of squares of the recipes' tolerances; the choice of "
            "ramps, one model for both ends, is added up."
        ),
    ]
    if any(each.piece.at_load_n is not None for each in pieces):
        said.append(
            "Under a stated load the straight wire stretches elastically and the joints by the estimate of helix "
            "stretch; play in the eyes comes on top."
        )
    if plan.cutting.spare > 0.0:
        said.append(
            f"{100.0 * plan.cutting.spare:g} % of the joints are spoiled, each on its own; a piece with a spoiled joint "
            "is cut anew."
        )
    if any(each.mass_kg is not None for each in plan.stock):
        said.append("A mass of stock is that of the wire alone, without its spool.")
    return tuple(said)
