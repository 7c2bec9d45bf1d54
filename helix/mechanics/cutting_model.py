"""The linear model of a cutting list: patterns taken so many times, pools cut piece by piece, pieces short.

Lengths are whole numbers of one small unit. Theory: docs/theory/cutting-stock.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from helix.mechanics.cutting_patterns import Counts, Floats, Room

_NOTHING = 1e-9  # relative: charges that differ by less are equal


@dataclass(frozen=True)
class Task:
    """What is asked: pieces and how many of each, room and number of each stock, rates of both charges, and what
    the second one adds for each length of stock that is cut into."""

    lengths: Counts
    demand: Counts
    rooms: tuple[Room, ...]
    counts: Counts
    rates: Floats
    then: Floats
    opening: float = 0.0

    def second(self, stock: int, charged: float) -> float:
        """The second charge of one length of stock that is cut into."""
        return charged * float(self.then[stock]) + self.opening if charged > 0.0 else 0.0

    @property
    def decides(self) -> bool:
        """Whether there is a second charge."""
        return self.opening > 0.0 or bool(self.then.any())

    @property
    def counted(self) -> bool:
        """Whether every charge is a whole number."""
        return bool(np.all(self.rates == 1.0))


@dataclass(frozen=True)
class Column:
    """A pattern of one kind of stock with its charge."""

    stock: int
    counts: Counts
    charge: float
    second: float


@dataclass(frozen=True)
class Whole:
    """A list in whole pieces: one column a length of stock, the pieces short, the solver's bound."""

    cuts: list[Column]
    short: Counts
    bound: float

    @property
    def charge(self) -> float:
        """The first charge of all stock."""
        return sum(cut.charge for cut in self.cuts)

    @property
    def second(self) -> float:
        """The second charge of all stock."""
        return sum(cut.second for cut in self.cuts)


class Model:
    """The linear model over columns and pools. Variables: columns, then for each pool its pieces, whether it
    is used up, whether its tail is kept and its charge, and at the end the short pieces."""

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
            room, rate = task.rooms[stock], float(task.rates[stock])
            steps = [(self._piece(p, k), (task.lengths[k] + room.saw_loss) / unit) for k in range(n)]
            used, kept, charge = (self._piece(p, n + k) for k in range(3))
            row([(used, 1.0), (kept, 1.0)], -np.inf, 1.0)
            # half a unit more room lets no other list in, and keeps rounding out of the solver's way
            row(
                [*steps, (used, -(room.whole + 0.5) / unit), (kept, -(room.keeping + 0.5) / unit)],
                -np.inf,
                0.0,
            )
            # a used-up pool is charged whole, a kept one for what is cut from it
            row([(charge, 1.0), (used, -rate * room.length / unit)], 0.0, np.inf)
            cut = [(place, -rate * step) for place, step in steps]
            row([(charge, 1.0), *cut, (used, rate * (room.saw_loss + 0.5) / unit)], 0.0, np.inf)
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
        self.costs = self._costs(second=False)

    def _piece(self, pool: int, kind: int) -> int:
        return self.first_pool + self.per_pool * pool + kind

    def _costs(self, second: bool) -> Floats:
        """Charge of every variable; a short piece costs more than all that could be cut instead."""
        task, n = self.task, len(self.task.lengths)
        rates = task.then if second else task.rates
        size = float(max(rates.max(initial=0.0), task.opening / self.unit, 1e-12)) if second else 1.0
        costs = np.zeros(self.size)
        costs[: self.first_pool] = [
            (c.second if second else c.charge) / self.unit / size for c in self.columns
        ]
        for p, stock in enumerate(self.pools):
            if second:  # what is cut stands in for the charge
                steps = (task.lengths + task.rooms[stock].saw_loss) / self.unit
                costs[self._piece(p, 0) : self._piece(p, n)] = rates[stock] / size * steps
                costs[[self._piece(p, n), self._piece(p, n + 1)]] = task.opening / self.unit / size
            else:
                costs[self._piece(p, n + 2)] = 1.0
        total = sum(room.length * int(count) for room, count in zip(task.rooms, task.counts, strict=True))
        reach = min(float(total), 20.0 * float(self.demand @ task.lengths)) / self.unit
        penalty = 10.0 * max(1.0, float(task.rates.max(initial=0.0))) * max(1.0, reach)
        costs[self.first_short :] = penalty * task.lengths / self.unit
        return costs

    def relaxed(self) -> tuple[float, Floats, Floats]:
        """Value of the relaxed model, worth of a piece of each kind, and of a length of each stock."""
        answer = self._relaxed()
        n = len(self.task.lengths)
        duals = self._marginals(answer)
        scarce = np.zeros(len(self.task.rooms))
        scarce[self.stock_rows] = duals[n : self.pool_rows]
        return float(answer.fun) * self.unit, duals[:n] * self.unit, scarce * self.unit

    def relaxed_columns(self) -> Floats:
        """How often the relaxed answer uses each column."""
        return np.asarray(self._relaxed().x[: self.first_pool])

    def _relaxed(self) -> Any:
        from scipy.optimize import linprog

        flip = np.where(np.isfinite(self.low), -1.0, 1.0)  # every row has one finite side
        limits = np.where(np.isfinite(self.low), -self.low, self.high)
        matrix = self.matrix.multiply(flip[:, None]).tocsr()
        bounds = np.column_stack([np.zeros(self.size), self.most])
        answer = linprog(self.costs, A_ub=matrix, b_ub=limits, bounds=bounds, method="highs")
        if answer.x is None:
            raise RuntimeError(f"the relaxed cutting list was not solved: {answer.message}")
        return answer

    def _marginals(self, answer: Any) -> Floats:
        flip = np.where(np.isfinite(self.low), -1.0, 1.0)
        return np.asarray(answer.ineqlin.marginals) * flip

    def whole(self, seconds: float, no_more_than: float | None = None) -> Whole:
        """The best answer in whole pieces; with a limit, the best by the second charge within it."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        n = len(self.task.lengths)
        whole = np.ones(self.size)
        whole[[self._piece(p, n + 2) for p in range(len(self.pools))]] = 0.0
        constraints = [LinearConstraint(self.matrix, self.low, self.high)]
        costs = self.costs
        if no_more_than is not None:
            scaled = no_more_than / self.unit
            constraints.append(
                LinearConstraint(self.costs[None, :], -np.inf, scaled + _NOTHING * max(1.0, scaled))
            )
            costs = self._costs(second=True)
        answer = milp(
            costs,
            constraints=constraints,
            bounds=Bounds(np.zeros(self.size), self.most),
            integrality=whole,
            options={"time_limit": seconds, "mip_rel_gap": self._fine()},
        )
        bound = -math.inf if answer.mip_dual_bound is None else float(answer.mip_dual_bound) * self.unit
        if answer.x is None:
            return Whole([], self.demand.copy(), bound)
        return self._cuts(np.round(answer.x[: self.size]).astype(np.int64), bound)

    def _fine(self) -> float:
        """Relative gap that is no gap: where every rate is 1 charges are whole numbers."""
        task = self.task
        if not task.counted:
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
                charged = task.rooms[stock].charged(counts, task.lengths)
                cuts.append(
                    Column(stock, counts, charged * float(task.rates[stock]), task.second(stock, charged))
                )
        return Whole(cuts, np.maximum(-surplus, 0), bound)
