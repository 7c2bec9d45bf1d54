"""Polynomials as plain tuples of ascending coefficients: for the many small ones that an eye is made of.

numpy's own polynomials cost more to make than these take to use.
"""

from __future__ import annotations

from collections.abc import Sequence

from helix.geometry.maths.jets import Array

Coefficients = tuple[float, ...]


def value(c: Sequence[float], u: float) -> float:
    """The value at ``u``, by Horner's rule.

    >>> value((1.0, 0.0, 2.0), 3.0)
    19.0
    """
    total = 0.0
    for k in reversed(c):
        total = total * u + k
    return float(total)


def values(c: Sequence[float], u: Array) -> Array:
    """The values at ``u`` (n,)."""
    total = 0.0 * u + c[-1]
    for k in reversed(c[:-1]):
        total *= u
        total += k
    return total


def derivative(c: Sequence[float]) -> Coefficients:
    """The derivative; of a constant (0,).

    >>> derivative((5.0, 1.0, 3.0))
    (1.0, 6.0)
    """
    return tuple(k * v for k, v in enumerate(c) if k) or (0.0,)


def integral(c: Sequence[float], start: float = 0.0) -> Coefficients:
    """The antiderivative whose value at 0 is ``start``.

    >>> integral((1.0, 6.0), 5.0)
    (5.0, 1.0, 3.0)
    """
    return (start, *(v / (k + 1) for k, v in enumerate(c)))


def times(c: Sequence[float], factor: float) -> Coefficients:
    """Every coefficient times ``factor``."""
    return tuple(v * factor for v in c)


def added(a: Sequence[float], b: Sequence[float]) -> Coefficients:
    """The sum.

    >>> added((1.0,), (1.0, 2.0))
    (2.0, 2.0)
    """
    longer, shorter = (a, b) if len(a) >= len(b) else (b, a)
    return tuple(v + (shorter[k] if k < len(shorter) else 0.0) for k, v in enumerate(longer))


def substituted(c: Sequence[float], start: float, slope: float = 1.0) -> Coefficients:
    """The coefficients in t of the polynomial at ``start + slope t``.

    >>> substituted((0.0, 0.0, 1.0), 1.0, -1.0)
    (1.0, -2.0, 1.0)
    """
    out = [float(c[-1])]
    for v in reversed(c[:-1]):
        out = [start * a + slope * b for a, b in zip([*out, 0.0], [0.0, *out], strict=True)]
        out[0] += v
    return tuple(out)
