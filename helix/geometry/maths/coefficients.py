"""Polynomials as plain tuples of ascending coefficients: for the many small ones that an eye is made of.

numpy's own polynomials cost more to make than these take to use.
"""

from __future__ import annotations

from collections.abc import Sequence

from helix.geometry.maths.jets import Array

Coefficients = tuple[float, ...]


def value(c: Sequence[float], u: float) -> float:
    """Evaluate a polynomial at one place, by Horner's rule.

    Parameters
    ----------
    c : sequence of float
        Coefficients, ascending.
    u : float
        The place.

    Returns
    -------
    float
        Its value.

    Examples
    --------
    >>> value((1.0, 0.0, 2.0), 3.0)
    19.0
    """
    total = 0.0
    for k in reversed(c):
        total = total * u + k
    return float(total)


def values(c: Sequence[float], u: Array) -> Array:
    """Evaluate a polynomial at places ``u`` (n,)."""
    total = 0.0 * u + c[-1]
    for k in reversed(c[:-1]):
        total *= u
        total += k
    return total


def derivative(c: Sequence[float]) -> Coefficients:
    """Differentiate a polynomial.

    Parameters
    ----------
    c : sequence of float
        Coefficients, ascending.

    Returns
    -------
    tuple of float
        Coefficients, (0,) for a constant.

    Examples
    --------
    >>> derivative((5.0, 1.0, 3.0))
    (1.0, 6.0)
    """
    return tuple(k * v for k, v in enumerate(c) if k) or (0.0,)


def integral(c: Sequence[float], start: float = 0.0) -> Coefficients:
    """Integrate a polynomial.

    Parameters
    ----------
    c : sequence of float
        Coefficients, ascending.
    start : float
        Value at 0.

    Returns
    -------
    tuple of float
        Coefficients of the antiderivative.

    Examples
    --------
    >>> integral((1.0, 6.0), 5.0)
    (5.0, 1.0, 3.0)
    """
    return (start, *(v / (k + 1) for k, v in enumerate(c)))


def times(c: Sequence[float], factor: float) -> Coefficients:
    """Every coefficient times ``factor``."""
    return tuple(v * factor for v in c)


def added(a: Sequence[float], b: Sequence[float]) -> Coefficients:
    """Add two polynomials.

    Parameters
    ----------
    a, b : sequence of float
        Coefficients, ascending.

    Returns
    -------
    tuple of float
        Coefficients of the sum.

    Examples
    --------
    >>> added((1.0,), (1.0, 2.0))
    (2.0, 2.0)
    """
    longer, shorter = (a, b) if len(a) >= len(b) else (b, a)
    return tuple(v + (shorter[k] if k < len(shorter) else 0.0) for k, v in enumerate(longer))


def substituted(c: Sequence[float], start: float, slope: float = 1.0) -> Coefficients:
    """Write a polynomial at ``start + slope t`` as one in t.

    Parameters
    ----------
    c : sequence of float
        Coefficients, ascending.
    start, slope : float
        Of the straight line that is put in.

    Returns
    -------
    tuple of float
        Coefficients in t.

    Examples
    --------
    >>> substituted((0.0, 0.0, 1.0), 1.0, -1.0)
    (1.0, -2.0, 1.0)
    >>> substituted((0.0, 0.0, 1.0), 1.0)
    (1.0, 2.0, 1.0)
    """
    out = [float(c[-1])]
    for v in reversed(c[:-1]):
        out = [start * a + slope * b for a, b in zip([*out, 0.0], [0.0, *out], strict=True)]
        out[0] += v
    return tuple(out)
