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

from helix.cutting_stock.cutting_model import NEGLIGIBLE, Charge, Column, CuttingProblem, IntegerList, Model
from helix.cutting_stock.cutting_patterns import Capacity, Counts, Floats, Priced, best_pattern, count_bound, patterns

MOST_PATTERNS = 3000  # listed in full up to here
POOL_PIECES = 25  # stock that gives more pieces than this is planned piece by piece ...
POOL_UNITS = 8  # ... if there are no more lengths of it than this
_ROUNDS = 200
_SHAKES, _SHAKE = 40, 0.02


@dataclass(frozen=True)
class StockCut:
    """One length of stock as cut.

    stock: its kind; counts: pieces of each kind; used: length taken from it for good; tail: length beyond the last cut;
    kept: whether that is worth keeping.
    """

    stock: int
    counts: tuple[int, ...]
    used: int
    tail: int
    kept: bool


@dataclass(frozen=True)
class CuttingList:
    """A list of cuts.

    short: pieces of each kind that the stock has no room for; charge: the first, of all stock; bound: no list has a smaller one; second_charge, second_bound: the second charge, and what no list of the same
    first charge is below; method: how the list was made.
    """

    cuts: tuple[StockCut, ...]
    short: tuple[int, ...]
    charge: float
    bound: float
    second_charge: float
    second_bound: float
    method: str

    @property
    def gap(self) -> float:
        """How far the charge may be above the least possible, relative to it; 0 is proven best."""
        return _gap(self.charge, self.bound)

    @property
    def second_gap(self) -> float:
        """The same of the second charge, among lists of the same first one."""
        return _gap(self.second_charge, self.second_bound)


def _gap(charge: float, bound: float) -> float:
    if charge <= 0.0:
        return 0.0
    share = (charge - bound) / charge
    return 0.0 if share < 10 * NEGLIGIBLE else share


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

    Parameters
    ----------
    lengths, demand : sequence of int, (n,)
        Of the pieces, 1 or more of one small unit; how many of each, 0 or more.
    stock_lengths, stock_counts : sequence of int, (m,)
        The same of the stock.
    saw_loss : int
        Taken at each cut, 0 or more.
    least_tail : int, optional
        An offcut of this length or more is kept and not used up; None: none is.
    first, second : Charge, optional
        What is made least (default: the length used up), and what decides between lists of the same first charge.
    seconds : float
        About how long to search.

    Returns
    -------
    CuttingList
        With bounds that no list is below.

    Raises
    ------
    ValueError
        When an argument is outside these.
    ConvergenceError
        When the solver gives up.

    Notes
    -----
    docs/theory/cutting-stock.md.

    Examples
    --------
    >>> best = cut_stock([45, 36, 31, 14], [97, 610, 395, 211], [100], [1000])
    >>> len(best.cuts), best.gap
    (453, 0.0)
    """
    problem = _checked(lengths, demand, stock_lengths, stock_counts, saw_loss, least_tail, first, second)
    if not problem.demand.any():
        return CuttingList((), (0,) * len(problem.demand), 0.0, 0.0, 0.0, 0.0, "nothing to cut")
    return _Search(problem, time.monotonic() + seconds).run()


def _checked(
    lengths: Sequence[int],
    demand: Sequence[int],
    stock_lengths: Sequence[int],
    stock_counts: Sequence[int],
    saw_loss: int,
    least_tail: int | None,
    first: Charge | None,
    second: Charge | None,
) -> CuttingProblem:
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
    capacities = tuple(Capacity(int(length), int(loss), tail) for length in stock)
    return CuttingProblem(pieces, wanted, capacities, np.minimum(there, wanted.sum()), first, second)


def _whole(name: str, values: Sequence[int], least: int) -> Counts:
    """Return the values as whole numbers; raise ValueError where one is none, or below the least."""
    checked = np.asarray(values)
    if checked.ndim != 1 or (checked.size and not np.issubdtype(checked.dtype, np.integer)):
        raise ValueError(f"{name} must be whole numbers; got {list(values)!r:.60}")
    if checked.size and int(checked.min()) < least:
        raise ValueError(f"{name} must be {least} or more; got {checked.min()}")
    return checked.astype(np.int64)


class _Search:
    """One search: the columns there are so far, the pools, and the two solves over them."""

    def __init__(self, problem: CuttingProblem, until: float) -> None:
        self.problem = problem
        self.until = until
        self.columns: dict[tuple[int, bytes], Column] = {}
        self.pools: list[int] = []  # kind of stock of each pool
        self.patterned: list[int] = []  # kinds of stock that are cut by patterns

    def run(self) -> CuttingList:
        problem, second = self.problem, self.problem.second
        method = self._gather()
        generated, bound, second_bound = method == "column generation", -math.inf, -math.inf
        if generated:
            bound = self._generate(problem, problem.first)
            self._dive()
            second_bound = -math.inf if second is None else self._generate(problem, second)
        share = 0.3 if generated else 0.6 if second else 1.0
        best = self._model(problem).whole(problem.first, self._left() * share)
        if generated and (self._charge(best) - bound > self._same(bound) or best.short.any()):
            self._enrich()
            again = self._model(problem).whole(problem.first, 0.5 * self._left())
            best = min(best, again, key=lambda made: (int(made.short.sum()), self._charge(made)))
        chosen, bound_of_columns = self._decided(best)
        if not generated:
            bound, second_bound = best.bound, bound_of_columns
        return self._list(chosen, bound, second_bound, method)

    def _left(self) -> float:
        return max(0.5, self.until - time.monotonic())

    def _charge(self, best: IntegerList) -> float:
        return best.charged(self.problem.first, self.problem.capacities)

    def _same(self, charge: float) -> float:
        """Return what two first charges may differ by and still be equal."""
        return 0.9 if self.problem.first.counted else NEGLIGIBLE * max(1.0, abs(charge))

    def _model(self, problem: CuttingProblem) -> Model:
        return Model(problem, list(self.columns.values()), self.pools)

    def _decided(self, best: IntegerList) -> tuple[IntegerList, float]:
        """Return the list that the second charge prefers among those of the same first charge, and a bound on that."""
        second, capacities = self.problem.second, self.problem.capacities
        if second is None or best.short.any() or not best.cuts:
            return best, -math.inf
        limit = self._charge(best)
        again = self._model(self.problem).whole(second, self._left(), (self.problem.first, limit))
        worse = again.short.any() or not again.cuts or self._charge(again) > limit + self._same(limit)
        if worse or again.charged(second, capacities) >= best.charged(second, capacities):
            return best, again.bound
        return again, again.bound

    def _gather(self) -> str:
        """Choose patterns or pool for each kind of stock; list the patterns if they are few."""
        problem, listed = self.problem, True
        for kind, capacity in enumerate(problem.capacities):
            number = int(problem.counts[kind])
            pieces = count_bound(capacity, problem.lengths, problem.demand)
            if number == 0 or pieces == 0:
                continue
            if pieces > POOL_PIECES and number <= POOL_UNITS:
                self.pools += [kind] * number
                continue
            self.patterned.append(kind)
            if listed:
                every = patterns(capacity, problem.lengths, problem.demand, MOST_PATTERNS - len(self.columns))
                listed = every is not None
                for counts in every or []:
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
        self.columns[key] = Column(kind, counts, self.problem.capacities[kind].charged(counts, self.problem.lengths))
        return True

    def _priced(self, problem: CuttingProblem, kind: int, duals: Floats, charge: Charge) -> list[Priced]:
        """Return the best patterns of a kind of stock, its rest not kept and kept, each with its reduced cost."""
        capacity, rate = problem.capacities[kind], float(charge.rates[kind])
        fixed = charge.opening + (rate * capacity.length if charge.whole else 0.0)
        by_length = 0.0 if charge.whole else rate
        priced = []
        for kept in (False,) if charge.whole else (False, True):
            best = best_pattern(capacity, problem.lengths, problem.demand, duals, by_length, kept=kept)
            if best is not None:
                priced.append(Priced(best.counts, best.cost + fixed, best.bound + fixed))
        return priced

    def _generate(self, problem: CuttingProblem, charge: Charge) -> float:
        """Add columns until none pays; return a bound on the charge of any list."""
        if not self.columns:
            for kind in self.patterned:
                for first in range(len(problem.lengths)):
                    self._add(kind, _greedy(problem.capacities[kind], problem.lengths, problem.demand, first))
        best = -math.inf
        for _ in range(_ROUNDS):
            value, piece_duals, stock_duals, _ = self._model(problem).relaxed(charge)
            bound, added = value, False
            for kind in self.patterned:
                least = 0.0
                for priced in self._priced(problem, kind, piece_duals, charge):
                    least = min(least, priced.bound - stock_duals[kind])
                    if priced.cost - stock_duals[kind] < -NEGLIGIBLE * max(1.0, abs(value)):
                        added |= self._add(kind, priced.counts)
                bound += least * int(problem.counts[kind])
            best = max(best, bound)
            if not added or time.monotonic() > self.until:
                break
        return best

    def _dive(self) -> None:
        """Fix the columns that the relaxed answer uses most, and generate for what is left, to the end."""
        left, counts = self.problem.demand.copy(), self.problem.counts.copy()
        half = time.monotonic() + 0.5 * (self.until - time.monotonic())
        while left.any() and time.monotonic() < half:
            rest = replace(self.problem, demand=left, counts=counts)
            self._generate(rest, rest.first)
            model = self._model(rest)
            usable = [
                (float(times), column)
                for times, column in zip(model.relaxed(rest.first)[3], model.columns, strict=False)
                if times > 1e-9 and np.all(column.counts <= left) and counts[column.stock] > 0
            ]
            if not usable:
                break
            sure = [(math.floor(times + 1e-9), column) for times, column in usable if times >= 1.0 - 1e-9]
            for number, column in sure or [(1, max(usable, key=lambda pair: pair[0])[1])]:
                fits = left[column.counts > 0] // column.counts[column.counts > 0]
                times = int(min(number, fits.min(), counts[column.stock]))
                left = left - times * column.counts
                counts[column.stock] -= times

    def _enrich(self) -> None:
        """Add columns that are nearly as good, found with the duals of the pieces shaken a little."""
        problem, rng = self.problem, np.random.default_rng(0)
        charges = [charge for charge in (problem.first, problem.second) if charge is not None]
        duals = [self._model(problem).relaxed(charge)[1] for charge in charges]
        quarter = time.monotonic() + 0.25 * (self.until - time.monotonic())
        for charge, piece_duals in _SHAKES * list(zip(charges, duals, strict=True)):
            shaken = piece_duals * (1.0 + _SHAKE * rng.standard_normal(len(piece_duals)))
            for kind in self.patterned:
                for priced in self._priced(problem, kind, shaken, charge):
                    self._add(kind, priced.counts)
            if time.monotonic() > quarter or len(self.columns) > MOST_PATTERNS:
                break

    def _list(self, best: IntegerList, bound: float, second_bound: float, method: str) -> CuttingList:
        problem, short = self.problem, best.short
        cuts = []
        for column in best.cuts:
            capacity = problem.capacities[column.stock]
            tail = capacity.tail(column.counts, problem.lengths)
            kept = column.used < capacity.length and tail > 0
            cuts.append(StockCut(column.stock, tuple(int(n) for n in column.counts), column.used, tail, kept))
        cuts.sort(key=lambda cut: (cut.stock, tuple(-n for n in cut.counts)))
        made = int((problem.demand - short) @ problem.lengths)
        charge, second = best.charged(problem.first, problem.capacities), problem.second
        proven = _proven(problem.first, bound, charge, made)
        if _gap(charge, proven) > 0.0:
            proven = _proven(problem.first, _reachable(problem, bound, short), charge, made)
        then = 0.0 if second is None else best.charged(second, problem.capacities)
        return CuttingList(
            cuts=tuple(cuts),
            short=tuple(int(n) for n in short),
            charge=charge,
            bound=proven,
            second_charge=then,
            second_bound=0.0 if second is None else _proven(second, second_bound, then, made),
            method=method,
        )


def _proven(charge: Charge, bound: float, total: float, made: int) -> float:
    """Raise a bound to what the pieces alone take at the lowest rate, and to a whole number where charges are."""
    if charge.counted and math.isfinite(bound):
        bound = math.ceil(bound - 1e-6 * max(1.0, abs(bound) * 1e-3))
    return min(max(bound, float(charge.rates.min(initial=math.inf)) * made if made else 0.0), total)


def _greedy(capacity: Capacity, lengths: Counts, demand: Counts, first: int) -> Counts:
    """Return a pattern that takes as many as it can of one kind, then of the longest others that fit."""
    counts = np.zeros(len(lengths), dtype=np.int64)
    left = capacity.whole
    for kind in (first, *np.argsort(-lengths)):
        step = int(lengths[kind]) + capacity.saw_loss
        number = min(int(demand[kind] - counts[kind]), left // step)
        counts[kind] += number
        left -= number * step
    return counts


def _reachable(problem: CuttingProblem, bound: float, short: Counts) -> float:
    """Return a sharper bound where the charge is a sum of whole lengths of stock."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    shortest = int(problem.lengths[problem.demand > 0].min())
    keeps = any(capacity.keeping >= shortest + capacity.saw_loss for capacity in problem.capacities)
    if (keeps and not problem.first.whole) or not math.isfinite(bound) or short.any():
        return bound
    charges = (
        problem.first.rates * np.array([capacity.length for capacity in problem.capacities]) + problem.first.opening
    )
    size = float(charges.max(initial=0.0))
    if size <= 0.0:
        return bound
    lowest = bound / size * (1.0 - 1e-9) - 1e-9
    answer = milp(
        charges / size,
        constraints=LinearConstraint(charges[None, :] / size, lowest, np.inf),
        bounds=Bounds(0.0, problem.counts.astype(float)),
        integrality=np.ones(len(charges)),
        options={"time_limit": 2.0},
    )
    if answer.mip_dual_bound is None or answer.status not in (0, 1):
        return bound
    return max(bound, float(answer.mip_dual_bound) * size)
