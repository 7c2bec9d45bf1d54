"""Cutting stock: the kernel against exhaustive search, and what every list must satisfy.

Map of what must hold:
  small cases = exhaustive search over every way to hand the pieces out
  the best pattern = the best of all patterns; a list of patterns holds every one that can matter
  every list: each piece cut once, each length of stock used as often as there is of it, lengths add up
  bound <= charge; scaling every length scales the charge; more stock never costs more; the order is no matter
  short of stock: what is short is the least possible, and everything else is cut
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helix.cutting_stock import cutting_search as cutting_stock
from helix.cutting_stock.cutting_model import Charge
from helix.cutting_stock.cutting_patterns import Capacity, best_pattern, count_bound, patterns
from helix.cutting_stock.cutting_search import CuttingList, cut_stock


def by_length(rates, *, whole: bool = False, opening: float = 0.0) -> Charge:
    return Charge(np.array(rates, dtype=float), whole, opening)


def least_charge(lengths, stock, saw_loss, least_tail, rates, whole=False) -> float:
    """Least charge of cutting single pieces from single lengths of stock, by trying everything."""
    capacities = [Capacity(each, saw_loss, least_tail) for each in stock]
    lengths = sorted(lengths, reverse=True)
    best = [np.inf]
    loads: list[list[int]] = [[] for _ in stock]

    def place(k: int) -> None:
        if k == len(lengths):
            total = 0.0
            for capacity, load, rate in zip(capacities, loads, rates, strict=True):
                ones = np.ones(len(load), dtype=np.int64)
                used = capacity.charged(ones, np.array(load, dtype=np.int64))
                total += rate * (capacity.length if whole and load else used)
            best[0] = min(best[0], total)
            return
        seen = set()
        for capacity, load, rate in zip(capacities, loads, rates, strict=True):
            state = (capacity.length, rate, tuple(load))
            fits = sum(load) + lengths[k] + saw_loss * (len(load) + 1) <= capacity.whole
            if fits and state not in seen:
                seen.add(state)
                load.append(lengths[k])
                place(k + 1)
                load.pop()

    place(0)
    return best[0]


def check(found: CuttingList, lengths, demand, stock, counts, saw_loss, least_tail, rates=None, whole=False) -> None:
    """Whatever was asked, the list can be cut and its numbers are its own."""
    lengths, rates = np.asarray(lengths), [1.0] * len(stock) if rates is None else rates
    cut = sum((np.array(each.counts) for each in found.cuts), np.zeros(len(lengths), dtype=int))
    assert np.array_equal(cut + np.array(found.short), demand)
    for kind, number in enumerate(counts):
        assert sum(each.stock == kind for each in found.cuts) <= number
    for each in found.cuts:
        pieces = int(np.array(each.counts) @ lengths)
        flush = pieces + saw_loss * sum(each.counts) > stock[each.stock]
        losses = saw_loss * sum(each.counts) if not flush else stock[each.stock] - pieces
        assert losses <= saw_loss * sum(each.counts)
        assert pieces + losses + each.tail == stock[each.stock]
        assert each.kept == (least_tail is not None and each.tail >= max(least_tail, 1))
        assert each.used == stock[each.stock] - (each.tail if each.kept else 0)
    lengths_used = [stock[each.stock] if whole else each.used for each in found.cuts]
    theirs = sum(rates[each.stock] * used for each, used in zip(found.cuts, lengths_used, strict=True))
    assert found.charge == pytest.approx(theirs, rel=1e-12)
    assert 0.0 <= found.bound <= found.charge
    assert 0.0 <= found.gap <= 1.0


def least_both(lengths, stock, saw_loss, least_tail, weight) -> float:
    """The same of `weight` times the stock cut into and what is used up."""
    capacities = [Capacity(each, saw_loss, least_tail) for each in stock]
    best = [np.inf]

    def place(k: int, loads: tuple[tuple[int, ...], ...]) -> None:
        if k == len(lengths):
            total = 0.0
            for capacity, load in zip(capacities, loads, strict=True):
                used = capacity.charged(np.ones(len(load), dtype=np.int64), np.array(load, dtype=np.int64))
                total += weight * capacity.length * bool(load) + used
            best[0] = min(best[0], total)
            return
        seen = set()
        for u, (capacity, load) in enumerate(zip(capacities, loads, strict=True)):
            fits = sum(load) + lengths[k] + saw_loss * (len(load) + 1) <= capacity.whole
            if fits and (capacity.length, load) not in seen:
                seen.add((capacity.length, load))
                place(k + 1, (*loads[:u], (*load, lengths[k]), *loads[u + 1 :]))

    place(0, ((),) * len(stock))
    return best[0]


@st.composite
def small_cases(draw):
    lengths = draw(st.lists(st.integers(3, 60), min_size=1, max_size=3, unique=True))
    demand = [draw(st.integers(1, 2)) for _ in lengths]
    stock = draw(st.lists(st.integers(60, 130), min_size=1, max_size=3, unique=True))
    counts = [draw(st.integers(1, 2)) for _ in stock]
    rates = draw(st.one_of(st.none(), st.just([round(1.0 + 0.37 * k, 2) for k in range(len(stock))])))
    least_tail = draw(st.one_of(st.none(), st.integers(0, 70)))
    return lengths, demand, stock, counts, draw(st.integers(0, 4)), least_tail, rates, draw(st.booleans())


@settings(max_examples=80)
@given(small_cases())
def test_small_cases_against_every_way_to_cut(case) -> None:
    lengths, demand, stock, counts, saw_loss, least_tail, rates, whole = case
    each_rate = [1.0] * len(stock) if rates is None else rates
    found = cut_stock(
        lengths,
        demand,
        stock,
        counts,
        saw_loss=saw_loss,
        least_tail=least_tail,
        first=by_length(each_rate, whole=whole),
    )
    check(found, lengths, demand, stock, counts, saw_loss, least_tail, each_rate, whole)
    pieces = [length for length, number in zip(lengths, demand, strict=True) for _ in range(number)]
    units = [k for k, number in enumerate(counts) for _ in range(number)]
    single = [stock[k] for k in units], saw_loss, least_tail, [each_rate[k] for k in units], whole
    theirs = least_charge(pieces, *single)
    if np.isinf(theirs):
        assert sum(found.short) > 0
    else:
        assert not any(found.short)
        assert found.charge == pytest.approx(theirs, rel=1e-9)
        assert found.gap == 0.0


@settings(max_examples=30)
@given(small_cases())
def test_the_second_charge_is_least_among_equals(case) -> None:
    """Least stock first, then least waste: against every list of the same first charge."""
    lengths, demand, stock, counts, saw_loss, least_tail, _, _ = case
    ones = [1.0] * len(stock)
    found = cut_stock(
        lengths, demand, stock, counts, saw_loss=saw_loss, least_tail=least_tail,
        first=by_length(ones, whole=True), second=by_length(ones),
    )  # fmt: skip
    if any(found.short):
        return
    check(found, lengths, demand, stock, counts, saw_loss, least_tail, ones, True)
    pieces = [length for length, number in zip(lengths, demand, strict=True) for _ in range(number)]
    units = [stock[k] for k, number in enumerate(counts) for _ in range(number)]
    # one charge that puts the stock far before the waste, tried in every way
    weight = 1 + sum(units)
    both = least_both(pieces, units, saw_loss, least_tail, weight)
    assert weight * found.charge + found.second_charge == pytest.approx(both, rel=1e-12)
    assert found.second_charge == sum(each.used for each in found.cuts)
    assert found.second_gap == 0.0


@pytest.mark.parametrize("least_tail", [None, 30])
def test_three_ways_to_plan_give_one_charge(monkeypatch, least_tail) -> None:
    """Every pattern, column generation and piece by piece on one case that all three prove."""
    case = ([50, 37, 22], [5, 6, 7], [150, 113], [5, 3])
    charges = {}
    for name, most, pieces in (("every pattern", 3000, 99), ("column generation", 0, 99), ("piece by piece", 3000, 0)):
        monkeypatch.setattr(cutting_stock, "MOST_PATTERNS", most)
        monkeypatch.setattr(cutting_stock, "POOL_PIECES", pieces)
        found = cut_stock(*case, saw_loss=1, least_tail=least_tail)
        check(found, *case, 1, least_tail)
        assert found.method == name
        charges[name] = found.charge
        if name != "column generation":
            assert found.gap == 0.0
    assert charges["every pattern"] == charges["piece by piece"] <= charges["column generation"]
    assert charges["column generation"] <= 1.02 * charges["every pattern"]


def test_a_coil_beside_offcuts() -> None:
    """A coil far longer than it needs to be: nothing is wasted but the saw loss, and the offcuts go first."""
    case = ([700, 450, 300], [12, 20, 16], [40_000, 1500, 1150, 900], [1, 1, 1, 1])
    found = cut_stock(*case, saw_loss=2, least_tail=280, second=by_length([40_000.0, 1500.0, 1150.0, 900.0]))
    check(found, *case, 2, 280)
    need = 12 * 700 + 20 * 450 + 16 * 300
    assert need < found.charge <= need + 2 * 48
    assert found.gap == 0.0
    plain = cut_stock(*case, saw_loss=2, least_tail=280)
    from_coil = [sum(each.used for each in each_list.cuts if each.stock == 0) for each_list in (found, plain)]
    assert found.charge == plain.charge
    assert from_coil[0] <= from_coil[1]
    assert {each.stock for each in found.cuts} >= {1, 2}


def test_scaling_order_and_more_stock() -> None:
    rng = np.random.default_rng(5)
    lengths, demand = rng.integers(200, 900, 5), rng.integers(1, 7, 5)
    stock, counts = [2000, 1700, 1250], [8, 6, 9]
    plain = cut_stock(lengths, demand, stock, counts, saw_loss=3)
    check(plain, lengths, demand, stock, counts, 3, None)
    longer = cut_stock(7 * lengths, demand, [7 * each for each in stock], counts, saw_loss=21)
    assert longer.charge == 7 * plain.charge
    mixed = cut_stock(lengths[::-1], demand[::-1], stock[::-1], counts[::-1], saw_loss=3)
    assert mixed.charge == plain.charge
    more = cut_stock(lengths, demand, [*stock, 1900], [*counts, 4], saw_loss=3)
    assert more.charge <= plain.charge


def test_short_of_stock() -> None:
    found = cut_stock([50, 30], [3, 4], [110], [2])
    check(found, [50, 30], [3, 4], [110], [2], 0, None)
    # 220 of stock for 270 of pieces: two times 50 + 30 + 30 leave one piece of 50 out
    assert found.short == (1, 0)
    none = cut_stock([500], [2], [110], [2])
    assert none.short == (2,)
    assert none.cuts == ()


def test_the_second_charge_only_decides_between_equals() -> None:
    """Two 6s fit in a 12 or in two 6s, both without waste: the second charge chooses."""
    for then, wanted in (([1.0, 0.0], {1}), ([0.0, 1.0], {0})):
        found = cut_stock([6], [2], [12, 6], [1, 2], second=by_length(then))
        assert found.charge == 12
        assert {each.stock for each in found.cuts} == wanted


def test_few_lengths_are_cut_into_where_the_waste_is_the_same() -> None:
    """Ten rods that each could keep a rest: without a price on opening any of them will do, with it the fewest."""
    case = ([400], [10], [2500], [10])
    only = by_length([0.0], opening=1.0)
    found = cut_stock(*case, least_tail=300, second=only)
    check(found, *case, 0, 300)
    assert found.charge == 4000
    assert len(found.cuts) == 2
    pools = cut_stock([400], [60], [15_000], [6], least_tail=300, second=only)
    assert pools.method == "piece by piece"
    assert (pools.charge, len(pools.cuts)) == (24_000, 2)
    assert found.second_charge == 2.0
    assert found.second_gap == 0.0


def test_dear_and_cheap_stock() -> None:
    found = cut_stock([5], [4], [10, 10], [2, 2], first=by_length([2.0, 0.5]))
    assert {each.stock for each in found.cuts} == {1}
    assert found.charge == 10.0


def test_nothing_to_cut_and_what_is_refused() -> None:
    assert cut_stock([5], [0], [10], [1]).cuts == ()
    for bad, message in (
        ({"lengths": [0]}, "lengths must be 1 or more"),
        ({"lengths": [1.5]}, "lengths must be whole numbers"),
        ({"demand": [-1]}, "demand must be 0 or more"),
        ({"demand": [1, 2]}, "must be as many"),
        ({"stock_lengths": [-5]}, "stock_lengths must be 1 or more"),
        ({"saw_loss": -1}, "saw_loss must be 0 or more"),
        ({"least_tail": -1}, "least_tail must be 0 or more"),
        ({"first": by_length([np.nan])}, "the first charge must be 0 or more and finite"),
        ({"second": by_length([1.0], opening=-1.0)}, "the second charge must be 0 or more"),
        ({"first": by_length([1.0, 2.0])}, "rates of the first charge must be as many as the stock"),
    ):
        good = {"lengths": [5], "demand": [1], "stock_lengths": [10], "stock_counts": [1]}
        with pytest.raises(ValueError, match=message):
            cut_stock(**(good | bad))


@settings(max_examples=60)
@given(
    st.lists(st.integers(2, 40), min_size=1, max_size=4),
    st.integers(20, 110),
    st.integers(0, 3),
    st.one_of(st.none(), st.integers(0, 60)),
    st.integers(0, 10_000),
)
def test_the_best_pattern_is_the_best_of_all(lengths, length, saw_loss, least_tail, seed) -> None:
    pieces, capacity = np.array(lengths), Capacity(length, saw_loss, least_tail)
    rng = np.random.default_rng(seed)
    most, duals = rng.integers(0, 4, len(pieces)), rng.uniform(0.0, 60.0, len(pieces))
    every = [np.array(c) for c in itertools.product(*(range(n + 1) for n in most))]
    taken = [int(c @ (pieces + saw_loss)) for c in every]
    for kept, space in ((False, capacity.whole), (True, capacity.keeping)):
        found = best_pattern(capacity, pieces, most, duals, 1.0, kept=kept)
        costs = [(t if kept else length) - float(c @ duals) for c, t in zip(every, taken, strict=True) if t <= space]
        if found is None:
            assert space < int((pieces + saw_loss).min())
            continue
        assert found.cost == pytest.approx(min(costs), abs=1e-9)
        assert found.bound == found.cost
        assert int(found.counts @ (pieces + saw_loss)) <= space
    fit = [c for c, t in zip(every, taken, strict=True) if t <= capacity.whole]
    assert max(int(c.sum()) for c in fit) == count_bound(capacity, pieces, most)
    listed = {tuple(int(n) for n in c) for c in patterns(capacity, pieces, most, 10_000) or []}
    for counts in fit:  # a pattern that is left out has capacity for another piece and keeps no tail
        t = int(counts @ (pieces + saw_loss))
        if counts.any() and tuple(int(n) for n in counts) not in listed:
            assert t > capacity.keeping
            assert np.any((counts < most) & (t + pieces + saw_loss <= capacity.whole))


def test_a_coarse_search_brackets_the_best_pattern(monkeypatch) -> None:
    """With fewer states than lengths the pattern fits all the same, and the bound lies below every pattern."""
    from helix.cutting_stock import cutting_patterns

    rng = np.random.default_rng(3)
    pieces, most = rng.integers(5000, 20_000, 6), rng.integers(1, 9, 6)
    duals, capacity = pieces * rng.uniform(0.95, 1.1, 6), Capacity(100_003, 17, None)
    exact = best_pattern(capacity, pieces, most, duals, 1.0, kept=False)
    monkeypatch.setattr(cutting_patterns, "_MOST_STATES", 3000)
    coarse = best_pattern(capacity, pieces, most, duals, 1.0, kept=False)
    assert int(coarse.counts @ (pieces + 17)) <= capacity.whole
    assert coarse.bound <= exact.cost <= coarse.cost
    assert coarse.cost - coarse.bound < 0.02 * capacity.length


def test_too_many_patterns_are_not_listed() -> None:
    assert patterns(Capacity(1000, 0, None), np.arange(10, 30), np.full(20, 50), 500) is None


@pytest.mark.slow
def test_sixty_pieces_of_eight_lengths_on_mixed_stock(capfd) -> None:
    """The size that a season's plan has, within its time; and the solver prints nothing of its own."""
    rng = np.random.default_rng(1)
    lengths, demand = np.sort(rng.integers(3000, 25_000, 8)), rng.multinomial(60, np.ones(8) / 8)
    stock, counts = [60_000, 40_000, 29_505, 18_000, 250_000], [10, 4, 2, 3, 1]
    found = cut_stock(lengths, demand, stock, counts, saw_loss=20, least_tail=3000, seconds=2.0)
    check(found, lengths, demand, stock, counts, 20, 3000)
    assert not any(found.short)
    assert found.gap < 1e-4
    assert capfd.readouterr() == ("", "")


def test_the_bound_is_never_below_what_the_pieces_alone_take() -> None:
    """However short the search: pieces of 700 and 450 from rods of 2000 with no time at all."""
    found = cut_stock(
        [700, 450],
        [9, 11],
        [2000],
        [20],
        saw_loss=1,
        first=by_length([1.0], whole=True),
        second=by_length([2.0]),
        seconds=0.0,
    )
    check(found, [700, 450], [9, 11], [2000], [20], 1, None, [1.0], True)
    assert found.bound >= 9 * 700 + 11 * 450
    assert found.second_bound >= 2 * (9 * 700 + 11 * 450)
    assert found.second_bound <= found.second_charge
