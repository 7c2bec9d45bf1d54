"""Cutting lengths of stock into pieces with the least waste, and a proof of how near the least it is.

Arrays in, arrays out; lengths are whole numbers of one small unit, such as tenths of a millimetre. Stock that gives few pieces is planned by patterns: all of
them where they can be listed, else those that column generation finds (P. C. Gilmore & R. E. Gomory, Oper.
Res. 9 (1961) 849, from memory). Stock that gives many, such as a coil, is planned piece by piece.
Theory: docs/theory/cutting-stock.md.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from helix.cutting_stock.cutting_model import Charge, Column, Model, Task, Whole
from helix.cutting_stock.cutting_patterns import Counts, Floats, Priced, Room, best_pattern, count_bound, patterns

MOST_PATTERNS = 3000  # listed in full up to here
POOL_PIECES = 25  # stock that gives more pieces than this is planned piece by piece ...
POOL_UNITS = 8  # ... if there are no more lengths of it than this
_NOTHING = 1e-9  # relative: charges that differ by less are equal
_ROUNDS = 200
_SHAKES, _SHAKE = 40, 0.02


@dataclass(frozen=True)
class StockCut:
    """One length of stock as cut. stock: its kind; counts: pieces of each kind; used: length taken from it for
    good; tail: length beyond the last cut; kept: whether that is worth keeping."""

    stock: int
    counts: tuple[int, ...]
    used: int
    tail: int
    kept: bool


@dataclass(frozen=True)
class CuttingList:
    """A list of cuts. short: pieces of each kind that the stock has no room for; charge: the first, of all
    stock; bound: no list has a smaller one; then, then_bound: the second charge, and what no list of the same
    first charge is below; method: how the list was found."""

    cuts: tuple[StockCut, ...]
    short: tuple[int, ...]
    charge: float
    bound: float
    then: float
    then_bound: float
    method: str

    @property
    def gap(self) -> float:
        """How far the charge may be above the least possible, as a share of it; 0 is proven best."""
        return _gap(self.charge, self.bound)

    @property
    def then_gap(self) -> float:
        """The same of the second charge, among lists of the same first one."""
        return _gap(self.then, self.then_bound)


def _gap(charge: float, bound: float) -> float:
    if charge <= 0.0:
        return 0.0
    share = (charge - bound) / charge
    return 0.0 if share < 10 * _NOTHING else share


def cut_stock(
    lengths: Sequence[int],
    demand: Sequence[int],
    stock_lengths: Sequence[int],
    stock_counts: Sequence[int],
    *,
    saw_loss: int = 0,
    least_tail: int | None = None,
    first: Charge | None = None,
    second: Charge | None = None,
    seconds: float = 15.0,
) -> CuttingList:
    """Return the list of cuts of least charge that makes every piece, or as much of them as there is room for.

    lengths (n,): of the pieces, above 0; demand (n,): how many of each, 0 or more; stock_lengths (m,) and
    stock_counts (m,): the same of the stock; saw_loss: at each cut, 0 or more; least_tail: a rest of this
    length or more is kept and not used up (None: no rest is); all of them whole numbers. first: what is made
    least (default: the length used up); second: what decides between lists of the same first charge; seconds:
    about how long to search. Raises ValueError outside these.

    >>> found = cut_stock([45, 36, 31, 14], [97, 610, 395, 211], [100], [1000])
    >>> len(found.cuts), found.gap
    (453, 0.0)
    """
    task = _checked(lengths, demand, stock_lengths, stock_counts, saw_loss, least_tail, first, second)
    if not task.demand.any():
        return CuttingList((), (0,) * len(task.demand), 0.0, 0.0, 0.0, 0.0, "nothing to cut")
    return _Search(task, time.monotonic() + seconds).run()


def _checked(
    lengths: Sequence[int],
    demand: Sequence[int],
    stock_lengths: Sequence[int],
    stock_counts: Sequence[int],
    saw_loss: int,
    least_tail: int | None,
    first: Charge | None,
    second: Charge | None,
) -> Task:
    pieces, wanted = _whole("lengths", lengths, 1), _whole("demand", demand, 0)
    stock, there = _whole("stock_lengths", stock_lengths, 1), _whole("stock_counts", stock_counts, 0)
    (loss,) = _whole("saw_loss", [saw_loss], 0)
    tail = None if least_tail is None else int(_whole("least_tail", [least_tail], 0)[0])
    if len(pieces) != len(wanted) or not len(pieces):
        raise ValueError(f"lengths and demand must be as many, 1 or more; got {len(pieces)}, {len(wanted)}")
    if len(stock) != len(there):
        raise ValueError(f"stock_lengths and stock_counts must be as many; got {len(stock)}, {len(there)}")
    first = first or Charge(np.ones(len(stock)))
    for name, charge in (("first", first), ("second", second)):
        if charge is None:
            continue
        values = np.append(charge.rates, charge.opening)
        if len(charge.rates) != len(stock):
            raise ValueError(f"rates of the {name} charge must be as many as the stock; got {len(charge.rates)}")
        if not np.all((values >= 0.0) & np.isfinite(values)):
            raise ValueError(f"the {name} charge must be 0 or more and finite; got {values.min(initial=np.inf)}")
    rooms = tuple(Room(int(each), int(loss), tail) for each in stock)
    return Task(pieces, wanted, rooms, np.minimum(there, wanted.sum()), first, second)


def _whole(name: str, values: Sequence[int], least: int) -> Counts:
    """The values as whole numbers; raises ValueError where one is none, or below the least."""
    found = np.asarray(values)
    if found.ndim != 1 or (found.size and not np.issubdtype(found.dtype, np.integer)):
        raise ValueError(f"{name} must be whole numbers; got {list(values)!r:.60}")
    if found.size and int(found.min()) < least:
        raise ValueError(f"{name} must be {least} or more; got {found.min()}")
    return found.astype(np.int64)


class _Search:
    """One search: the columns found so far, the pools, and the two solves over them."""

    def __init__(self, task: Task, until: float) -> None:
        self.task = task
        self.until = until
        self.columns: dict[tuple[int, bytes], Column] = {}
        self.pools: list[int] = []  # kind of stock of each pool
        self.patterned: list[int] = []  # kinds of stock that are cut by patterns

    def run(self) -> CuttingList:
        method, first, second = self._gather(), self.task.first, self.task.second
        if method != "column generation":
            best = self._model().whole(first, self._left() * (0.6 if second else 1.0))
            chosen, then_bound = self._decided(best)
            return self._told(chosen, best.bound, then_bound, method)
        bound = self._generate(self.task.demand, first)
        self._dive()
        then_bound = -math.inf if second is None else self._generate(self.task.demand, second)
        best = self._model().whole(first, 0.3 * self._left())
        if self._charge(best) - bound > self._nothing(bound) or best.short.any():
            self._enrich()
            again = self._model().whole(first, 0.5 * self._left())
            best = min(best, again, key=lambda each: (int(each.short.sum()), self._charge(each)))
        chosen, _ = self._decided(best)
        return self._told(chosen, bound, then_bound, method)

    def _left(self) -> float:
        return max(0.5, self.until - time.monotonic())

    def _charge(self, best: Whole) -> float:
        return best.charged(self.task.first, self.task.rooms)

    def _least(self, charge: Charge, short: Counts) -> float:
        """What the pieces alone take, all from the stock of the lowest rate."""
        made = int((self.task.demand - short) @ self.task.lengths)
        return float(charge.rates.min()) * made if len(charge.rates) else 0.0

    def _nothing(self, bound: float) -> float:
        """What two charges may differ by and still be equal."""
        return 0.9 if self.task.first.counted else _NOTHING * max(1.0, abs(bound))

    def _model(self) -> Model:
        return Model(self.task, list(self.columns.values()), self.pools, self.task.demand)

    def _decided(self, best: Whole) -> tuple[Whole, float]:
        """The list that the second charge prefers among those of the same first charge, and a bound on that."""
        second, rooms = self.task.second, self.task.rooms
        if second is None or best.short.any() or not best.cuts:
            return best, -math.inf
        limit = self._charge(best)
        again = self._model().whole(second, self._left(), (self.task.first, limit))
        worse = again.short.any() or not again.cuts or self._charge(again) > limit + self._nothing(limit)
        if worse or again.charged(second, rooms) >= best.charged(second, rooms):
            return best, again.bound
        return again, again.bound

    def _gather(self) -> str:
        """Choose patterns or pool for each kind of stock; list the patterns if they are few."""
        task, listed = self.task, True
        for kind, room in enumerate(task.rooms):
            number = int(task.counts[kind])
            pieces = count_bound(room, task.lengths, task.demand)
            if number == 0 or pieces == 0:
                continue
            if pieces > POOL_PIECES and number <= POOL_UNITS:
                self.pools += [kind] * number
                continue
            self.patterned.append(kind)
            if listed:
                found = patterns(room, task.lengths, task.demand, MOST_PATTERNS - len(self.columns))
                listed = found is not None
                for counts in found or []:
                    self._add(kind, counts)
        if not self.patterned:
            return "piece by piece"
        if listed:
            return "every pattern"
        self.columns.clear()
        return "column generation"

    def _add(self, kind: int, counts: Counts) -> bool:
        key = (kind, counts.tobytes())
        if key in self.columns or not counts.any():
            return False
        self.columns[key] = Column(kind, counts, self.task.rooms[kind].charged(counts, self.task.lengths))
        return True

    def _priced(self, kind: int, demand: Counts, worth: Floats, charge: Charge) -> list[Priced]:
        """The best patterns of a kind of stock, its rest not kept and kept, each with its charge less its worth."""
        room, rate = self.task.rooms[kind], float(charge.rates[kind])
        found = []
        for kept in (False,) if charge.whole else (False, True):
            by_length = 0.0 if charge.whole else rate
            best = best_pattern(room, self.task.lengths, demand, worth, by_length, kept=kept)
            if best is not None:
                fixed = charge.opening + (rate * room.length if charge.whole else 0.0)
                found.append(Priced(best.counts, best.cost + fixed, best.bound + fixed))
        return found

    def _generate(self, demand: Counts, charge: Charge) -> float:
        """Add columns until none pays; return a bound on the charge of any list."""
        task = self.task
        if not self.columns:
            for kind in self.patterned:
                for first in range(len(task.lengths)):
                    self._add(kind, _greedy(task.rooms[kind], task.lengths, demand, first))
        best = -math.inf
        for _ in range(_ROUNDS):
            model = Model(task, list(self.columns.values()), self.pools, demand)
            value, worth, scarce = model.relaxed(charge)
            bound, added = value, False
            for kind in self.patterned:
                least = 0.0
                for found in self._priced(kind, demand, worth, charge):
                    least = min(least, found.bound - scarce[kind])
                    if found.cost - scarce[kind] < -_NOTHING * max(1.0, abs(value)):
                        added |= self._add(kind, found.counts)
                bound += least * int(task.counts[kind])
            best = max(best, bound)
            if not added or time.monotonic() > self.until:
                break
        return best

    def _dive(self) -> None:
        """Fix the columns that the relaxed answer uses most, and generate for what is left, to the end."""
        left = self.task.demand.copy()
        room = self.task.counts.copy()
        half = time.monotonic() + 0.5 * (self.until - time.monotonic())
        full = self.task
        while left.any() and time.monotonic() < half:
            self.task = replace(full, demand=left, counts=room)
            self._generate(left, full.first)
            model = Model(self.task, list(self.columns.values()), self.pools, left)
            weights = model.relaxed_columns(full.first)
            usable = [
                (float(w), c)
                for w, c in zip(weights, model.columns, strict=True)
                if w > 1e-9 and np.all(c.counts <= left) and room[c.stock] > 0
            ]
            if not usable:
                break
            sure = [(math.floor(w + 1e-9), c) for w, c in usable if w >= 1.0 - 1e-9]
            for number, column in sure or [(1, max(usable, key=lambda each: each[0])[1])]:
                fits = left[column.counts > 0] // column.counts[column.counts > 0]
                times = int(min(number, fits.min(), room[column.stock]))
                left = left - times * column.counts
                room[column.stock] -= times
        self.task = full

    def _enrich(self) -> None:
        """Add columns that are nearly as good, found with the worth of the pieces shaken a little."""
        task, rng = self.task, np.random.default_rng(0)
        charges = [task.first] if task.second is None else [task.first, task.second]
        worths = [self._model().relaxed(charge)[1] for charge in charges]
        quarter = time.monotonic() + 0.25 * (self.until - time.monotonic())
        for _ in range(_SHAKES):
            for charge, worth in zip(charges, worths, strict=True):
                shaken = worth * (1.0 + _SHAKE * rng.standard_normal(len(worth)))
                for kind in self.patterned:
                    for found in self._priced(kind, task.demand, shaken, charge):
                        self._add(kind, found.counts)
            if time.monotonic() > quarter or len(self.columns) > MOST_PATTERNS:
                break

    def _told(self, best: Whole, bound: float, then_bound: float, method: str) -> CuttingList:
        task, short = self.task, best.short
        cuts = []
        for column in best.cuts:
            room = task.rooms[column.stock]
            tail = room.tail(column.counts, task.lengths)
            kept = column.used < room.length and tail > 0
            cuts.append(StockCut(column.stock, tuple(int(n) for n in column.counts), column.used, tail, kept))
        cuts.sort(key=lambda cut: (cut.stock, tuple(-n for n in cut.counts)))
        charge = self._charge(best)
        then = 0.0 if task.second is None else best.charged(task.second, task.rooms)
        bound = _reachable(task, bound) if not short.any() else bound
        return CuttingList(
            cuts=tuple(cuts),
            short=tuple(int(n) for n in short),
            charge=charge,
            bound=_proven(task.first, bound, charge, self._least(task.first, short)),
            then=then,
            then_bound=0.0
            if task.second is None
            else _proven(task.second, then_bound, then, self._least(task.second, short)),
            method=method,
        )


def _proven(charge: Charge, bound: float, found: float, least: float) -> float:
    """A bound from the least that the pieces alone take to what was found; a whole number where charges are."""
    if charge.counted and math.isfinite(bound):
        bound = math.ceil(bound - 1e-6 * max(1.0, abs(bound) * 1e-3))
    return min(max(bound, least), found)


def _greedy(room: Room, lengths: Counts, demand: Counts, first: int) -> Counts:
    """A pattern that takes as many as it can of one kind, then of the longest others that fit."""
    counts = np.zeros(len(lengths), dtype=np.int64)
    left = room.whole
    for kind in (first, *np.argsort(-lengths)):
        step = int(lengths[kind]) + room.saw_loss
        number = min(int(demand[kind] - counts[kind]), left // step)
        counts[kind] += number
        left -= number * step
    return counts


def _reachable(task: Task, bound: float) -> float:
    """A sharper bound where the charge is a sum of whole lengths of stock."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    shortest = int(task.lengths[task.demand > 0].min())
    keeps = any(room.keeping >= shortest + room.saw_loss for room in task.rooms)
    if (keeps and not task.first.whole) or not math.isfinite(bound):
        return bound
    charges = task.first.rates * np.array([room.length for room in task.rooms]) + task.first.opening
    size = float(charges.max(initial=0.0))
    if size <= 0.0:
        return bound
    lowest = bound / size * (1.0 - 1e-9) - 1e-9
    answer = milp(
        charges / size,
        constraints=LinearConstraint(charges[None, :] / size, lowest, np.inf),
        bounds=Bounds(0.0, task.counts.astype(float)),
        integrality=np.ones(len(charges)),
        options={"time_limit": 2.0},
    )
    if answer.mip_dual_bound is None or answer.status not in (0, 1):
        return bound
    return max(bound, float(answer.mip_dual_bound) * size)
