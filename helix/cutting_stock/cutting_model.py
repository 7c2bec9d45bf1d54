"""The linear model of a cutting list: patterns taken so many times, pools cut piece by piece, pieces short.

Lengths are whole numbers of one small unit. Theory: docs/theory/cutting-stock.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from helix.cutting_stock.cutting_patterns import Counts, Floats, Room
from helix.errors import ConvergenceError

_NOTHING = 1e-9  # relative: charges that differ by less are equal


@dataclass(frozen=True)
class Charge:
    """What a list of cuts is charged by. rates (m,): of each kind of stock, per unit of length; whole: of all of
    a length that is cut into, else of what is used up of it; opening: for each length that is cut into besides."""

    rates: Floats
    whole: bool = False
    opening: float = 0.0

    def of(self, stock: int, room: Room, used: float) -> float:
        """The charge of one length of stock of which so much is used up."""
        if used <= 0.0:
            return 0.0
        return float(self.rates[stock]) * (room.length if self.whole else used) + self.opening

    @property
    def counted(self) -> bool:
        """Whether every charge is a whole number."""
        return bool(np.all(self.rates == 1.0)) and self.opening == 0.0


@dataclass(frozen=True)
class Task:
    """What is asked: pieces and how many of each, room and number of each kind of stock, the charge to make least,
    and the one that decides between equal lists."""

    lengths: Counts
    demand: Counts
    rooms: tuple[Room, ...]
    counts: Counts
    first: Charge
    second: Charge | None = None


@dataclass(frozen=True)
class Column:
    """A pattern of one kind of stock, and what it uses up of its length."""

    stock: int
    counts: Counts
    used: int


@dataclass(frozen=True)
class Whole:
    """A list in whole pieces: one column a length of stock, the pieces short, the solver's bound."""

    cuts: list[Column]
    short: Counts
    bound: float

    def charged(self, charge: Charge, rooms: tuple[Room, ...]) -> float:
        """The charge of the list."""
        return sum(charge.of(cut.stock, rooms[cut.stock], cut.used) for cut in self.cuts)


class Model:
    """The linear model over columns and pools. Variables: columns, then for each pool its pieces, whether it
    is used up, whether its tail is kept and how much is used up, and at the end the short pieces."""

    def __init__(self, task: Task, columns: list[Column], pools: list[int], demand: Counts) -> None:
        self.task, self.columns, self.pools, self.demand = task, columns, pools, demand
        n = len(task.lengths)
        self.unit = float(task.lengths.max())  # lengths are scaled by it for the solver
        self.first_pool = len(columns)
        self.per_pool = n + 3
        self.first_short = self.first_pool + self.per_pool * len(pools)
        self.size = self.first_short + n
        self._build()

    def _build(self) -> None:
        from scipy.sparse import csr_matrix

        task, n, unit = self.task, len(self.task.lengths), self.unit
        rows: list[int] = []
        where: list[int] = []
        values: list[float] = []
        low: list[float] = []
        high: list[float] = []

        def row(entries: list[tuple[int, float]], least: float, most: float) -> None:
            for place, value in entries:
                rows.append(len(low))
                where.append(place)
                values.append(value)
            low.append(least)
            high.append(most)

        for kind in range(n):
            entries = [(k, float(c.counts[kind])) for k, c in enumerate(self.columns) if c.counts[kind]]
            entries += [(self._piece(p, kind), 1.0) for p in range(len(self.pools))]
            row([*entries, (self.first_short + kind, 1.0)], float(self.demand[kind]), np.inf)
        self.stock_rows = sorted({c.stock for c in self.columns})
        for stock in self.stock_rows:
            entries = [(k, 1.0) for k, c in enumerate(self.columns) if c.stock == stock]
            row(entries, -np.inf, float(task.counts[stock]))
        self.pool_rows = len(low)
        for p, stock in enumerate(self.pools):
            room = task.rooms[stock]
            steps = [(self._piece(p, k), (task.lengths[k] + room.saw_loss) / unit) for k in range(n)]
            used, kept, length = (self._piece(p, n + k) for k in range(3))
            row([(used, 1.0), (kept, 1.0)], -np.inf, 1.0)
            # half a unit more room lets no other list in, and keeps rounding out of the solver's way
            row([*steps, (used, -(room.whole + 0.5) / unit), (kept, -(room.keeping + 0.5) / unit)], -np.inf, 0.0)
            # of a used-up pool all is used, of a kept one what is cut from it
            row([(length, 1.0), (used, -room.length / unit)], 0.0, np.inf)
            cut = [(place, -step) for place, step in steps]
            row([(length, 1.0), *cut, (used, (room.saw_loss + 0.5) / unit)], 0.0, np.inf)
            if p and self.pools[p - 1] == stock:  # equal pools are taken in their order
                before = [(self._piece(p - 1, n + k), 1.0) for k in range(2)]
                row([*before, (used, -1.0), (kept, -1.0)], 0.0, np.inf)
        self.matrix: Any = csr_matrix((values, (rows, where)), shape=(len(low), self.size))
        self.low, self.high = np.array(low), np.array(high)
        self.most = np.full(self.size, np.inf)
        self.most[self.first_short :] = self.demand
        for p, stock in enumerate(self.pools):
            self.most[self._piece(p, 0) : self._piece(p, n)] = self.demand
            keeps = self.task.rooms[stock].keeping > 0
            self.most[[self._piece(p, n), self._piece(p, n + 1)]] = 1.0, float(keeps)

    def _piece(self, pool: int, kind: int) -> int:
        return self.first_pool + self.per_pool * pool + kind

    def costs(self, charge: Charge) -> Floats:
        """Charge of every variable; a short piece costs more than all that could be cut instead."""
        task, n, unit = self.task, len(self.task.lengths), self.unit
        costs = np.zeros(self.size)
        costs[: self.first_pool] = [charge.of(c.stock, task.rooms[c.stock], c.used) / unit for c in self.columns]
        for p, stock in enumerate(self.pools):
            opened = charge.opening
            if charge.whole:
                opened += float(charge.rates[stock]) * task.rooms[stock].length
            else:
                costs[self._piece(p, n + 2)] = charge.rates[stock]
            costs[[self._piece(p, n), self._piece(p, n + 1)]] = opened / unit
        total = sum(room.length * int(count) for room, count in zip(task.rooms, task.counts, strict=True))
        reach = min(float(total), 20.0 * float(self.demand @ task.lengths)) / unit
        penalty = 10.0 * max(1.0, float(charge.rates.max(initial=0.0))) * max(1.0, reach)
        costs[self.first_short :] = penalty * task.lengths / unit
        return costs

    def relaxed(self, charge: Charge) -> tuple[float, Floats, Floats]:
        """Value of the relaxed model, worth of a piece of each kind, and of a length of each stock."""
        answer = self._relaxed(charge)
        n = len(self.task.lengths)
        duals = self._marginals(answer)
        scarce = np.zeros(len(self.task.rooms))
        scarce[self.stock_rows] = duals[n : self.pool_rows]
        return float(answer.fun) * self.unit, duals[:n] * self.unit, scarce * self.unit

    def relaxed_columns(self, charge: Charge) -> Floats:
        """How often the relaxed answer uses each column."""
        return np.asarray(self._relaxed(charge).x[: self.first_pool])

    def _relaxed(self, charge: Charge) -> Any:
        from scipy.optimize import linprog

        flip = np.where(np.isfinite(self.low), -1.0, 1.0)  # every row has one finite side
        limits = np.where(np.isfinite(self.low), -self.low, self.high)
        matrix = self.matrix.multiply(flip[:, None]).tocsr()
        bounds = np.column_stack([np.zeros(self.size), self.most])
        answer = linprog(self.costs(charge), A_ub=matrix, b_ub=limits, bounds=bounds, method="highs")
        if answer.x is None:
            raise ConvergenceError(f"the cutting list was not solved, as scipy's solver gave up: {answer.message}")
        return answer

    def _marginals(self, answer: Any) -> Floats:
        flip = np.where(np.isfinite(self.low), -1.0, 1.0)
        return np.asarray(answer.ineqlin.marginals) * flip

    def whole(self, charge: Charge, seconds: float, within: tuple[Charge, float] | None = None) -> Whole:
        """The best answer in whole pieces; of those whose other charge is within a limit, if there is one."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        n = len(self.task.lengths)
        whole = np.ones(self.size)
        whole[[self._piece(p, n + 2) for p in range(len(self.pools))]] = 0.0
        constraints = [LinearConstraint(self.matrix, self.low, self.high)]
        if within is not None:
            scaled = within[1] / self.unit
            limit = scaled + _NOTHING * max(1.0, scaled)
            constraints.append(LinearConstraint(self.costs(within[0])[None, :], -np.inf, limit))
        costs = self.costs(charge)
        size = max(1e-12, float(charge.rates.max(initial=0.0)), charge.opening / self.unit)
        answer = milp(
            costs / size,
            constraints=constraints,
            bounds=Bounds(np.zeros(self.size), self.most),
            integrality=whole,
            options={"time_limit": seconds, "mip_rel_gap": self._fine(charge)},
        )
        bound = -math.inf if answer.mip_dual_bound is None else float(answer.mip_dual_bound) * self.unit * size
        if answer.x is None:
            return Whole([], self.demand.copy(), bound)
        return self._cuts(np.round(answer.x[: self.size]).astype(np.int64), bound)

    def _fine(self, charge: Charge) -> float:
        """Relative gap that is no gap, where charges are whole numbers."""
        task = self.task
        if not charge.counted:
            return 0.0
        pieces = int(task.demand.sum()) * max(room.length for room in task.rooms)
        stock = sum(room.length * int(count) for room, count in zip(task.rooms, task.counts, strict=True))
        return 0.9 / max(1, min(pieces, stock))

    def _cuts(self, found: Counts, bound: float) -> Whole:
        """Patterns one by one, pieces beyond the demand left out of the last that have them."""
        task, n = self.task, len(self.task.lengths)
        made: list[tuple[int, Counts]] = []
        for number, column in zip(found[: self.first_pool], self.columns, strict=True):
            made += [(column.stock, column.counts.copy()) for _ in range(int(number))]
        for p, stock in enumerate(self.pools):
            made.append((stock, found[self._piece(p, 0) : self._piece(p, n)].copy()))
        surplus = sum((c for _, c in made), np.zeros(n, dtype=np.int64)) - self.demand
        for _, counts in sorted(made, key=lambda each: int(each[1].sum())):
            less = np.minimum(counts, np.maximum(surplus, 0))
            counts -= less
            surplus -= less
        cuts = []
        for stock, counts in made:
            if counts.any():
                cuts.append(Column(stock, counts, task.rooms[stock].charged(counts, task.lengths)))
        return Whole(cuts, np.maximum(-surplus, 0), bound)
