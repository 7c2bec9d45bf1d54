"""Ways to cut one length of stock into pieces: listed in full, or the one that pays best.

A pattern is how many pieces of each kind are cut from one length of stock. Every piece costs a saw loss
besides its own length, but for one that ends flush with the stock. What is left is *kept* when it is at
least as long as the least tail; then the pattern is charged for pieces and saw loss only, else for the
whole stock. Lengths are whole numbers of one small unit, such as tenths of a millimetre.
Theory: docs/theory/cutting-stock.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
_MOST_VISITED = 40_000  # patterns walked through before a full list is given up
_MOST_STATES = 120_000  # lengths that are told apart when looking for the best pattern


@dataclass(frozen=True)
class Capacity:
    """What one kind of stock has room for: its length, the loss at each cut, the shortest rest kept (None: none is)."""

    length: int
    saw_loss: int
    least_tail: int | None

    @property
    def whole(self) -> int:
        """Room for pieces, a saw loss counted with each, when nothing is kept."""
        return self.length + self.saw_loss

    @property
    def keeping(self) -> int:
        """The same when the least tail is kept; below 0 when that cannot be."""
        return -1 if self.least_tail is None else self.length - self.least_tail

    def charged(self, counts: Counts, lengths: Counts) -> int:
        """Return the length that cutting these counts takes from the stock for good.

        Parameters
        ----------
        counts, lengths : array of int, (n,)
            How many pieces of each kind, and their lengths.

        Returns
        -------
        int
            In units of the lengths.

        Examples
        --------
        >>> Capacity(6000, 2, 500).charged(np.array([3]), np.array([1000]))
        3006
        >>> Capacity(6000, 2, 500).charged(np.array([5]), np.array([1100]))
        6000
        """
        taken = int(counts @ (lengths + self.saw_loss))
        return taken if taken == 0 or taken <= self.keeping else self.length

    def tail(self, counts: Counts, lengths: Counts) -> int:
        """Return the length that is left beyond the last cut, kept or not.

        Parameters
        ----------
        counts, lengths : array of int, (n,)
            How many pieces of each kind, and their lengths.

        Returns
        -------
        int
            In units of the lengths.

        Examples
        --------
        >>> Capacity(6000, 2, 500).tail(np.array([5]), np.array([1100]))
        490
        """
        return max(0, self.length - int(counts @ (lengths + self.saw_loss)))


def patterns(capacity: Capacity, lengths: Counts, most: Counts, limit: int) -> list[Counts] | None:
    """Return every pattern that can be part of a best list, or None where there are more than `limit`.

    Listed are those that have no space for a further piece and, where tails are kept, all that keep one.

    Parameters
    ----------
    capacity : Capacity
        Of the stock.
    lengths, most : array of int, (n,)
        Of the pieces, above 0, and how many of each at most.
    limit : int
        Patterns at most.

    Returns
    -------
    list of array of int, (n,), or None
        How many pieces of each kind.

    Examples
    --------
    >>> listed = patterns(Capacity(10, 0, None), np.array([5, 3]), np.array([9, 9]), 100)
    >>> sorted(tuple(int(number) for number in pattern) for pattern in listed)
    [(0, 3), (1, 1), (2, 0)]
    """
    order = np.argsort(-lengths, kind="stable")
    steps = lengths + capacity.saw_loss
    listed: list[Counts] = []

    def every(counts: tuple[int, ...], space: int) -> Iterator[tuple[tuple[int, ...], int]]:
        if len(counts) == len(order):
            yield counts, space
            return
        kind = order[len(counts)]
        for number in range(min(int(most[kind]), space // int(steps[kind])) + 1):
            yield from every((*counts, number), space - number * int(steps[kind]))

    for visited, (ordered, space) in enumerate(every((), capacity.whole)):
        pattern = np.zeros(len(lengths), dtype=np.int64)
        pattern[order] = ordered
        full = not np.any((pattern < most) & (steps <= space))
        if pattern.any() and (full or capacity.whole - space <= capacity.keeping):
            listed.append(pattern)
        if visited > _MOST_VISITED or len(listed) > limit:
            return None
    return listed


def count_bound(capacity: Capacity, lengths: Counts, most: Counts) -> int:
    """Return how many pieces one length of stock can give at most.

    Parameters
    ----------
    capacity : Capacity
        Of the stock.
    lengths, most : array of int, (n,)
        Of the pieces, above 0, and how many of each at most.

    Returns
    -------
    int
        At most so many.

    Examples
    --------
    >>> count_bound(Capacity(10, 0, None), np.array([5, 3]), np.array([9, 2]))
    2
    """
    left, number = capacity.whole, 0
    for kind in np.argsort(lengths):
        fits = min(int(most[kind]), left // int(lengths[kind] + capacity.saw_loss))
        number += fits
        left -= fits * int(lengths[kind] + capacity.saw_loss)
        if fits < most[kind]:
            break
    return number


@dataclass(frozen=True)
class Priced:
    """The pattern that pays best with its reduced cost, and the least that any pattern could have."""

    counts: Counts
    cost: float
    bound: float


def best_pattern(
    capacity: Capacity, lengths: Counts, most: Counts, duals: Floats, rate: float, *, kept: bool
) -> Priced | None:
    """Return the pattern of least charge less duals, or None where not one piece fits.

    Parameters
    ----------
    capacity : Capacity
        Of the stock.
    lengths, most : array of int, (n,)
        Of the pieces, above 0, and how many of each at most.
    duals : array, (n,)
        What a piece of each kind is worth.
    rate : float
        Charge per unit of length, 0 or more.
    kept : bool
        Whether the least tail is to be kept (charged for what is cut) or not (charged for the whole stock).

    Returns
    -------
    Priced or None
        None where not one piece fits.

    Notes
    -----
    A bounded knapsack by dynamic programming: exact, but where the space is more than 120,000 steps of the lengths'
    common divisor; then the pattern may miss the best by the rounding, and `bound` says by how much at most.

    Examples
    --------
    >>> best = best_pattern(
    ...     Capacity(10, 0, None), np.array([5, 3]), np.array([9, 9]), np.array([5.0, 3.5]), 1.0, kept=False
    ... )
    >>> [int(n) for n in best.counts], best.cost, best.bound
    ([0, 3], -0.5, -0.5)
    """
    steps = lengths + capacity.saw_loss
    space = capacity.keeping if kept else capacity.whole
    if space < int(steps.min()):
        return None
    gains = duals - rate * steps if kept else duals
    fixed = 0.0 if kept else rate * capacity.length
    usable = np.flatnonzero((gains > 0.0) & (steps <= space) & (most > 0))
    counts = np.zeros(len(lengths), dtype=np.int64)
    if not len(usable):
        return Priced(counts, fixed, fixed)
    grain = int(np.gcd.reduce(steps[usable]))
    exact = space // grain <= _MOST_STATES
    grain = grain if exact else -(-space // _MOST_STATES)
    high = np.minimum(most[usable], space // steps[usable])
    counts[usable] = _knapsack(-(-steps[usable] // grain), high, gains[usable], space // grain)
    value = float(counts @ gains)
    bound = value
    if not exact:
        above = _knapsack(steps[usable] // grain, high, gains[usable], space // grain)
        bound = max(value, float(above @ gains[usable]))
    return Priced(counts, fixed - value, fixed - bound)


def _knapsack(steps: Counts, most: Counts, gains: Floats, space: int) -> Counts:
    """Return the counts (n,) of the greatest gain whose steps come to at most `space`."""
    best = np.zeros(space + 1)
    taken: list[tuple[int, int, NDArray[np.bool_]]] = []
    for kind, step in enumerate(steps):
        left, share = int(most[kind]), 1
        while left > 0:  # the count is made of 1, 2, 4 ... and a rest
            number = min(share, left)
            left -= number
            share *= 2
            width = int(step) * number
            if width > space:
                break
            with_it = best[: space + 1 - width] + gains[kind] * number
            better = np.zeros(space + 1, dtype=bool)
            better[width:] = with_it > best[width:]
            best[width:] = np.maximum(best[width:], with_it)
            taken.append((kind, number, better))
    counts = np.zeros(len(steps), dtype=np.int64)
    at = space
    for kind, number, better in reversed(taken):
        if better[at]:
            counts[kind] += number
            at -= int(steps[kind]) * number
    return counts
