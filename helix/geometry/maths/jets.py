"""Truncated Taylor arithmetic: a value with its first few derivatives, for whole arrays at once.

A curve is then written once, as a formula, and its tangent and curvature follow exactly: no
finite differences and no derivative typed by hand. Coefficient ``c[k]`` is ``f^(k)(u) / k!``.

Source: the usual recurrences of Taylor arithmetic (Griewank and Walther, "Evaluating
Derivatives", 2nd ed., SIAM 2008, table 13.1; from memory). Checked against sympy in the tests.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_FACTORIALS = np.array([math.factorial(k) for k in range(12)], dtype=float)[:, None]  # more orders than are asked for

_COUNTS = np.arange(1.0, 13.0)[:, None]


class Jet:
    """Taylor coefficients of a scalar function at n points.

    ``c`` has shape (order + 1, n). Arithmetic truncates to the lower order of its operands.

    >>> u = Jet.variable(np.array([0.5]), 2)
    >>> (u * u * u).derivatives()[:, 0].tolist()
    [0.125, 0.75, 3.0]
    """

    __slots__ = ("c",)

    def __init__(self, c: Array) -> None:
        self.c = c

    @staticmethod
    def variable(u: ArrayLike, order: int) -> Jet:
        """Make the identity function at the points ``u`` (n,): value u, first derivative 1."""
        values = np.atleast_1d(np.asarray(u, dtype=float))
        c = np.zeros((order + 1, values.size))
        c[0] = values
        if order:
            c[1] = 1.0
        return Jet(c)

    @staticmethod
    def beside(*jets: Jet) -> Jet:
        """Put functions at as many points side by side, so that all are worked on at once; to the lowest order of them."""
        low = min(len(jet.c) for jet in jets)
        return Jet(np.concatenate([jet.c[:low] for jet in jets], axis=1))

    def split(self, count: int) -> tuple[Jet, ...]:
        """Take functions that were put side by side apart again."""
        size = self.c.shape[1] // count
        return tuple(Jet(self.c[:, k * size : (k + 1) * size]) for k in range(count))

    @property
    def order(self) -> int:
        """The highest derivative carried."""
        return len(self.c) - 1

    def derivatives(self, out: Array | None = None) -> Array:
        """Plain derivatives, shape (order + 1, n): the factorials multiplied in; into an array if one is given."""
        plain: Array = np.multiply(self.c, _FACTORIALS[: self.order + 1], out=out)
        return plain

    def derivative(self) -> Jet:
        """Differentiate: a jet of one order less."""
        return Jet(self.c[1:] * _COUNTS[: self.order])

    def integral(self, value: Array) -> Jet:
        """Integrate: the jet of one order more whose value at the points is ``value`` (n,)."""
        c = np.empty((len(self.c) + 1, self.c.shape[1]))
        c[0] = value
        np.divide(self.c, _COUNTS[: len(self.c)], out=c[1:])
        return Jet(c)

    def truncated(self, order: int) -> Jet:
        """Carry the same function to a lower order."""
        return Jet(self.c[: order + 1])

    def __add__(self, other: Jet | float) -> Jet:
        if isinstance(other, Jet):
            m = min(self.c.shape[0], other.c.shape[0])
            return Jet(self.c[:m] + other.c[:m])
        c = self.c.copy()
        c[0] += other
        return Jet(c)

    __radd__ = __add__

    def __neg__(self) -> Jet:
        return Jet(-self.c)

    def __sub__(self, other: Jet | float) -> Jet:
        return self + (-other)

    def __rsub__(self, other: float) -> Jet:
        return (-self) + other

    def __mul__(self, other: Jet | float) -> Jet:
        if not isinstance(other, Jet):
            return Jet(self.c * other)
        a, b = self.c, other.c
        m = min(a.shape[0], b.shape[0])
        c = a[0] * b[:m]
        for k in range(1, m):
            c[k:] += a[k] * b[: m - k]
        return Jet(c)

    __rmul__ = __mul__

    def __truediv__(self, other: Jet | float) -> Jet:
        if not isinstance(other, Jet):
            return Jet(self.c / other)
        a, b = self.c, other.c
        m = min(a.shape[0], b.shape[0])
        c = np.empty((m, max(a.shape[1], b.shape[1])))
        for k in range(m):
            rest = a[k].copy() if a.shape[1] == c.shape[1] else np.broadcast_to(a[k], c[k].shape).copy()
            for j in range(1, k + 1):
                rest -= b[j] * c[k - j]
            c[k] = rest / b[0]
        return Jet(c)

    def sqrt(self) -> Jet:
        """Take the square root; the value must be positive."""
        a = self.c
        c = np.empty_like(a)
        c[0] = np.sqrt(a[0])
        for k in range(1, a.shape[0]):
            rest = a[k].copy()
            for j in range(1, k):
                rest -= c[j] * c[k - j]
            c[k] = rest / (2.0 * c[0])
        return Jet(c)

    def sin_cos(self) -> tuple[Jet, Jet]:
        """Sine and cosine together."""
        a = self.c
        s, c = np.empty_like(a), np.empty_like(a)
        s[0], c[0] = np.sin(a[0]), np.cos(a[0])
        for k in range(1, a.shape[0]):
            s[k], c[k] = a[1] * c[k - 1], a[1] * s[k - 1]
            for j in range(2, k + 1):
                bent = j * a[j]
                s[k] += bent * c[k - j]
                c[k] += bent * s[k - j]
            s[k] /= k
            c[k] /= -k
        return Jet(s), Jet(c)


def polynomial(coefficients: Sequence[float], u: Jet) -> Jet:
    """Evaluate a polynomial of a jet.

    Parameters
    ----------
    coefficients : sequence of float
        Ascending.
    u : Jet
        What it is a polynomial of.

    Returns
    -------
    Jet
        Its value.

    Examples
    --------
    >>> polynomial([1.0, 0.0, 2.0], Jet.variable([3.0], 1)).c[:, 0].tolist()
    [19.0, 12.0]
    """
    if len(coefficients) == 1:
        constant = np.zeros_like(u.c)
        constant[0] = coefficients[0]
        return Jet(constant)
    if u.order > 1 and u.c[2:].any():
        row = [float(value) for value in coefficients]
        result = Jet(np.zeros_like(u.c)) + row[-1]
        for value in row[-2::-1]:
            result = result * u + value
        return result
    # u is linear: each derivative is a polynomial of the value, all of them by Horner's rule together
    steps, count = _derived(tuple(coefficients), u.order)
    c = np.zeros_like(u.c)
    at, out = u.c[0], c[:count]
    for rows, column in steps:
        part = out[:rows]
        part *= at
        part += column
    power: Array | float = 1.0
    for k in range(1, count):
        power = power * u.c[1]
        out[k] *= power
    return Jet(c)


@lru_cache(maxsize=2048)
def _derived(coefficients: tuple[float, ...], order: int) -> tuple[tuple[tuple[int, Array], ...], int]:
    """Coefficients of a polynomial and of its derivatives over k!, highest power first: how many rows have it, and these."""
    rows = [[float(value) for value in coefficients]]
    while len(rows) <= order and len(rows[-1]) > 1:
        k = len(rows) - 1
        rows.append([value * j / (k + 1) for j, value in enumerate(rows[-1])][1:])
    powers = reversed(range(len(coefficients)))
    columns = [np.array([[row[j]] for row in rows if j < len(row)]) for j in powers]
    return tuple((len(column), column) for column in columns), len(rows)


CUBIC_STEP = (0.0, 0.0, 3.0, -2.0)
QUINTIC_STEP = (0.0, 0.0, 0.0, 10.0, -15.0, 6.0)
SEPTIC_STEP = (0.0, 0.0, 0.0, 0.0, 35.0, -84.0, 70.0, -20.0)
