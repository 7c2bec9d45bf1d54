"""One wire's cutting list: which lengths of stock are cut into, where each piece is sawn, and what is left over."""

from __future__ import annotations

from itertools import groupby
from typing import ClassVar

import numpy as np

from helix.cutting_stock.cutting_model import Charge
from helix.cutting_stock.cutting_search import CuttingList, cut_stock
from helix.mechanics.wire_mass import wire_mass
from helix.model.batch.plan_parts import Plan, Stock
from helix.model.joint.wire import Wire
from helix.studies.batch.piece_cuts import PieceCut
from helix.values import hidden, keyed, result

UNIT = 0.1  # lengths are planned in tenths of a millimetre [mm]
OPENING = 0.5  # a length of stock is cut into only if that spares another this share of the shortest piece


@result
class SawnPiece:
    """One piece on its length of stock [mm]: from, to, and its kind."""

    also: ClassVar = ("cut_mm=length_mm",)
    name: str
    from_mm: float
    to_mm: float

    @property
    def length_mm(self) -> float:
        """How long it is sawn."""
        return self.to_mm - self.from_mm


@result
class SawnStock:
    """One length of stock as cut. number: which of its kind, from 1; left_mm: beyond the last cut; kept:
    whether that is worth keeping; loss_mm: taken by the saw; cost: of what is used up, at its price."""

    also: ClassVar = ("name=stock.name", "wire=stock.wire", "length_mm=stock.length_mm", "waste_mm", "cost=priced")
    stock: Stock = hidden()
    number: int
    cuts: tuple[SawnPiece, ...]
    left_mm: float
    kept: bool
    loss_mm: float = keyed("saw_loss_mm")
    cost: float = hidden()

    @property
    def priced(self) -> float | None:
        """Its cost, None where the plan gives no price."""
        return None if self.stock.price is None else self.cost

    @property
    def waste_mm(self) -> float:
        """Wire that is neither in a piece nor worth keeping."""
        return self.loss_mm + (0.0 if self.kept else self.left_mm)


@result
class WireUse:
    """One wire: pieces cut, wire in them [mm] and [kg]; stock that is cut into, whole [mm]; waste, what is kept of
    that stock, how many lengths are left whole and how much that is.

    gap: how far what is minimised may be above the least there can be, as a share of it. least_waste_mm: no list
    wastes less (with no more stock cut into, where that was minimised), None where cost was; waste_gap: the rest,
    as a share of the wire used up. method: how the list was found; least_tail_mm: the shortest rest kept.
    """

    also: ClassVar = (
        "size=wire.size",
        "diameter_mm=wire.diameter_mm",
        "material=wire.material",
        "density_kg_m3=wire.density_kg_m3",
    )
    name: str
    wire: Wire = hidden()
    pieces: int
    pieces_mm: float
    pieces_kg: float
    opened_mm: float
    waste_mm: float
    kept_mm: float
    whole: int = hidden()
    whole_mm: float = hidden()
    gap: float
    least_waste_mm: float | None
    waste_gap: float | None
    method: str
    least_tail_mm: float


def least_tail(plan: Plan, pieces: list[PieceCut]) -> float:
    """The shortest rest of a wire that is worth keeping."""
    stated = plan.cutting.least_tail_mm
    return min(piece.saw_mm for piece in pieces) if stated is None else stated


def cutting_list(
    plan: Plan, pieces: list[PieceCut], stock: list[Stock], least_tail_mm: float, seconds: float
) -> CuttingList:
    """The cutting list of one wire; of stock without limit, a length for each piece is more than enough."""
    most = sum(piece.to_cut for piece in pieces)
    first, second = _charges(plan, pieces, stock)
    return cut_stock(
        [units_up(piece.saw_mm) for piece in pieces],
        [piece.to_cut for piece in pieces],
        [units_down(bar.length_mm) for bar in stock],
        [most if bar.count is None else bar.count for bar in stock],
        saw_loss=units_up(plan.cutting.saw_loss_mm),
        least_tail=units_up(least_tail_mm),
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
    lengths = np.array([bar.length_mm for bar in stock])
    if plan.cutting.minimise == "stock":
        return Charge(ones, whole=True), Charge(ones)
    if plan.cutting.minimise == "waste":
        shortest = min(units_up(piece.saw_mm) for piece in pieces)
        return Charge(ones), Charge(lengths / lengths.max(), opening=OPENING * shortest)
    prices = np.array([bar.price or 0.0 for bar in stock]) / lengths
    return Charge(prices, whole=True), Charge(prices + 0.01 * prices.mean() + 1e-9)


def sawn_stock(plan: Plan, pieces: list[PieceCut], stock: list[Stock], cutting: CuttingList) -> list[SawnStock]:
    """The list with every cut at its place: long pieces first, a saw loss after bar."""
    order = sorted(range(len(pieces)), key=lambda k: -pieces[k].saw_mm)
    loss = plan.cutting.saw_loss_mm
    sawn = []
    for kind, cuts in groupby(cutting.cuts, key=lambda cut: cut.stock):
        item = stock[kind]
        for number, cut in enumerate(cuts, 1):
            at, placed = 0.0, []
            for k in order:
                for _ in range(cut.counts[k]):
                    placed.append(SawnPiece(name=pieces[k].piece.name, from_mm=at, to_mm=at + pieces[k].saw_mm))
                    at += pieces[k].saw_mm + loss
            taken = sum(pieces[k].saw_mm * cut.counts[k] for k in order)
            # sums of lengths are off by a last bit: without it nothing would be lost where the saw takes nothing
            left = max(0.0, round(item.length_mm - at, 6))
            lost = max(0.0, round(item.length_mm - left - taken, 6))
            used = item.length_mm - (left if cut.kept else 0.0)
            sawn.append(
                SawnStock(
                    stock=item,
                    number=number,
                    cuts=tuple(placed),
                    left_mm=left,
                    kept=cut.kept,
                    loss_mm=lost,
                    cost=(item.price or 0.0) * used / item.length_mm,
                )
            )
    return sawn


def wire_use(
    name: str,
    wire: Wire,
    pieces: list[PieceCut],
    stock: list[Stock],
    sawn: list[SawnStock],
    cutting: CuttingList,
    least_tail_mm: float,
    minimise: str,
) -> WireUse:
    made = sum(piece.length_mm for bar in sawn for piece in bar.cuts)
    waste = sum(bar.waste_mm for bar in sawn)
    opened = [sum(1 for bar in sawn if bar.stock is item) for item in stock]
    whole = [0 if item.count is None else item.count - number for item, number in zip(stock, opened, strict=True)]
    used = made + waste
    charge, bound = (
        (cutting.charge, cutting.bound) if minimise == "waste" else (cutting.second_charge, cutting.second_bound)
    )
    slack = None if minimise == "cost" else (charge - bound) * UNIT if _differ(charge, bound) else 0.0
    return WireUse(
        name=name,
        wire=wire,
        pieces=sum(len(bar.cuts) for bar in sawn),
        pieces_mm=made,
        pieces_kg=wire_mass(made, wire.diameter_mm, wire.density_kg_m3),
        opened_mm=sum(bar.stock.length_mm for bar in sawn),
        waste_mm=waste,
        kept_mm=sum(bar.left_mm for bar in sawn if bar.kept),
        whole=sum(whole),
        whole_mm=sum(item.length_mm * number for item, number in zip(stock, whole, strict=True)),
        gap=cutting.gap,
        least_waste_mm=None if slack is None else max(0.0, waste - slack),
        waste_gap=None if slack is None else min(slack, waste) / used if used else 0.0,
        method=cutting.method,
        least_tail_mm=least_tail_mm,
    )


def _differ(charge: float, bound: float) -> bool:
    return charge - bound > 1e-8 * max(charge, 1.0)


def units_up(mm: float) -> int:
    return int(-(-round(mm / UNIT, 6) // 1))


def units_down(mm: float) -> int:
    return int(round(mm / UNIT, 6) // 1)
