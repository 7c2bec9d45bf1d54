"""The linear model of a cutting list: patterns taken so many times, pools cut piece by piece, pieces short.

Lengths are whole numbers of one small unit. HiGHS solves it, through scipy. Theory: docs/theory/cutting-stock.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from helix.cutting_stock.cutting_patterns import Capacity, Counts, Floats
from helix.errors import ConvergenceError

NEGLIGIBLE = 1e-9  # relative: charges that differ by less are equal


@dataclass(frozen=True)
class Charge:
    """What a list of cuts is charged by.

    rates (m,): of each kind of stock, per unit of length; whole: of all of a length that is cut into, else of what is
    used up of it; opening: for each length that is cut into besides.
    """

    rates: Floats
    whole: bool = False
    opening: float = 0.0

    def of(self, stock: int, capacity: Capacity, used: float) -> float:
        """Return the charge of one length of stock of which so much is used up."""
        if used <= 0.0:
            return 0.0
        return float(self.rates[stock]) * (capacity.length if self.whole else used) + self.opening

    @property
    def counted(self) -> bool:
        """Whether every charge is a whole number."""
        return bool(np.all(self.rates == 1.0)) and self.opening == 0.0


@dataclass(frozen=True)
class CuttingProblem:
    """Pieces and how many of each, capacity and number of each kind of stock, what is made least and what then."""

    lengths: Counts
    demand: Counts
    capacities: tuple[Capacity, ...]
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
class IntegerList:
    """A list in whole pieces: one column a length of stock, the pieces short, the solver's bound."""

    cuts: list[Column]
    short: Counts
    bound: float

    def charged(self, charge: Charge, capacities: tuple[Capacity, ...]) -> float:
        """Return the charge of the list."""
        return sum(charge.of(cut.stock, capacities[cut.stock], cut.used) for cut in self.cuts)


class Model:
    """The linear model `matrix` x <= `limits`, 0 <= x <= `most`.

    Variables: columns, then for each pool (one length of stock, of the kinds in `pools`) its pieces, whether it is used
    up, whether its tail is kept and how much is used up, and at the end the short pieces.
    """

    def __init__(self, problem: CuttingProblem, columns: list[Column], pools: list[int]) -> None:
        self.problem, self.columns, self.pools = problem, columns, pools
        n = len(problem.lengths)
        self.unit = float(problem.lengths.max())  # lengths are scaled by it for the solver
        self.firsts = len(columns) + (n + 3) * np.arange(len(pools) + 1)  # of each pool, and of the short pieces
        self.size = int(self.firsts[-1]) + n
        self.used_up, self.kept, self.cut_off = (self.firsts[:-1] + n + k for k in range(3))
        self._build()

    def _build(self) -> None:
        problem, n, unit = self.problem, len(self.problem.lengths), self.unit
        kinds = np.array([column.stock for column in self.columns], dtype=int)
        demand, stock = np.zeros((n, self.size)), np.zeros((len(problem.counts), self.size))
        demand[:, : len(kinds)] = -np.reshape([column.counts for column in self.columns], (len(kinds), n)).T
        for first in self.firsts:
            demand[:, first : first + n] = -np.eye(n)
        stock[kinds, np.arange(len(kinds))] = 1.0
        self.most = np.full(self.size, np.inf)
        self.most[self.firsts[-1] :] = 0.0 if self._plenty() else problem.demand
        rows = [demand, stock]
        for p, kind in enumerate(self.pools):
            capacity, first = problem.capacities[kind], self.firsts[p]
            steps = (problem.lengths + capacity.saw_loss) / unit
            pool = np.zeros((5, self.size))
            block = pool[:, first : first + n + 3]
            block[0, n : n + 2] = 1.0  # it is used up, or its tail is kept, or neither
            # half a unit more lets no other list in, and keeps rounding out of the solver's way
            block[1] = [*steps, -(capacity.whole + 0.5) / unit, -(capacity.keeping + 0.5) / unit, 0.0]
            # of a used-up pool all is used, of a kept one what is cut from it
            block[2, n:] = capacity.length / unit, 0.0, -1.0
            block[3] = [*steps, -(capacity.saw_loss + 0.5) / unit, 0.0, -1.0]
            if p and self.pools[p - 1] == kind:  # equal pools are taken in their order
                pool[4, [self.used_up[p], self.kept[p]]] = 1.0
                pool[4, [self.used_up[p - 1], self.kept[p - 1]]] = -1.0
            rows.append(pool)
            self.most[first : first + n + 2] = [*problem.demand, 1.0, float(capacity.keeping > 0)]
        self.matrix = np.vstack(rows)
        self.limits = np.zeros(len(self.matrix))
        self.limits[: len(stock) + n] = [*-problem.demand, *problem.counts]
        self.limits[len(stock) + n :: 5] = 1.0

    def _plenty(self) -> bool:
        """Tell whether nothing can be short: a length of one kind of stock for each piece, and a column for each kind of piece."""
        problem, wanted = self.problem, self.problem.demand > 0
        longest = int(problem.lengths[wanted].max(initial=0))
        kinds = [
            kind for kind, capacity in enumerate(problem.capacities)
            if problem.counts[kind] >= problem.demand.sum() and capacity.length >= longest
        ]  # fmt: skip
        made = [column.counts for column in self.columns if column.stock in kinds]
        return bool(made) and bool(np.all((np.max(made, axis=0) > 0) | ~wanted))

    def costs(self, charge: Charge) -> Floats:
        """Return the charge of every variable; a short piece costs more than all that could be cut instead."""
        problem, unit = self.problem, self.unit
        lengths = np.array([capacity.length for capacity in problem.capacities], dtype=float)
        costs = np.zeros(self.size)
        costs[: len(self.columns)] = [charge.of(c.stock, problem.capacities[c.stock], c.used) for c in self.columns]
        whole = charge.rates * lengths if charge.whole else np.zeros(len(lengths))
        costs[self.used_up] = costs[self.kept] = (whole + charge.opening)[self.pools]
        costs[self.cut_off] = 0.0 if charge.whole else charge.rates[self.pools] * unit
        reach = min(float(lengths @ problem.counts), 20.0 * float(problem.demand @ problem.lengths)) / unit
        penalty = 10.0 * max(1.0, float(charge.rates.max(initial=0.0))) * max(1.0, reach)
        costs[self.firsts[-1] :] = penalty * problem.lengths
        return costs / unit

    def relaxed(self, charge: Charge) -> tuple[float, Floats, Floats, Floats]:
        """Return the value of the relaxed model, duals of the pieces and of the stock, and how often each column is used."""
        from scipy.optimize import linprog

        bounds = np.column_stack([np.zeros(self.size), self.most])
        answer = linprog(self.costs(charge), A_ub=self.matrix, b_ub=self.limits, bounds=bounds, method="highs")
        if answer.x is None:
            raise ConvergenceError(f"the cutting list was not solved, as scipy's solver gave up: {answer.message}")
        n, duals = len(self.problem.lengths), np.asarray(answer.ineqlin.marginals) * self.unit
        return float(answer.fun) * self.unit, -duals[:n], duals[n:][: len(self.problem.counts)], answer.x

    def whole(self, charge: Charge, seconds: float, within: tuple[Charge, float] | None = None) -> IntegerList:
        """Return the best answer in whole pieces; of those whose other charge is within a limit, if there is one."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        whole = np.ones(self.size)
        whole[self.cut_off] = 0.0
        constraints = [LinearConstraint(csr_array(self.matrix), -np.inf, self.limits)]
        if within is not None:
            scaled = within[1] / self.unit
            limit = scaled + NEGLIGIBLE * max(1.0, scaled)
            constraints.append(LinearConstraint(self.costs(within[0])[None, :], -np.inf, limit))
        size = max(1e-12, float(charge.rates.max(initial=0.0)), charge.opening / self.unit)
        answer: Any = milp(
            self.costs(charge) / size,
            constraints=constraints,
            bounds=Bounds(np.zeros(self.size), self.most),
            integrality=whole,
            options={"time_limit": seconds, "mip_rel_gap": self._fine(charge)},
        )
        bound = -math.inf if answer.mip_dual_bound is None else float(answer.mip_dual_bound) * self.unit * size
        if answer.x is None:
            return IntegerList([], self.problem.demand.copy(), bound)
        return self._cuts(np.round(answer.x).astype(np.int64), bound)

    def _fine(self, charge: Charge) -> float:
        """Return the relative gap that is no gap, where charges are whole numbers."""
        if not charge.counted:
            return 0.0
        lengths = np.array([capacity.length for capacity in self.problem.capacities])
        return 0.9 / max(
            1, min(int(self.problem.demand.sum()) * int(lengths.max()), int(lengths @ self.problem.counts))
        )

    def _cuts(self, answer: Counts, bound: float) -> IntegerList:
        """Take patterns one by one, and leave pieces beyond the demand out of the last that have them."""
        problem, n = self.problem, len(self.problem.lengths)
        cut: list[tuple[int, Counts]] = []
        for column, times in zip(self.columns, answer, strict=False):
            cut += [(column.stock, column.counts.copy()) for _ in range(int(times))]
        cut += [(kind, answer[first : first + n].copy()) for kind, first in zip(self.pools, self.firsts, strict=False)]
        surplus = sum((counts for _, counts in cut), np.zeros(n, dtype=np.int64)) - problem.demand
        for _, counts in sorted(cut, key=lambda pattern: int(pattern[1].sum())):
            less = np.minimum(counts, np.maximum(surplus, 0))
            counts -= less
            surplus -= less
        columns = [
            Column(stock, counts, problem.capacities[stock].charged(counts, problem.lengths))
            for stock, counts in cut
            if counts.any()
        ]
        return IntegerList(columns, np.maximum(-surplus, 0), bound)
