"""Root finding for one unknown, bracketed by a change of sign."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable

from helix.errors import ConvergenceError

_EPS = sys.float_info.epsilon


class NoBracket(ValueError):
    """The function has the same sign at both ends, so no root is known to lie between them."""


def bracketed_root(f: Callable[[float], float], lo: float, hi: float, tol: float = 0.0, max_steps: int = 2000) -> float:
    """Return the root of a function between two places, where it must have opposite signs.

    Parameters
    ----------
    f : callable
        Continuous function of one float.
    lo, hi : float
        Ends of the bracket, either order.
    tol : float
        Width at which to stop, 0 or more; 0 goes on to the last bit of the root.
    max_steps : int
        Most evaluations.

    Returns
    -------
    float
        The root.

    Raises
    ------
    NoBracket
        Where the signs agree or a value is not a number.
    ValueError
        For a negative width.
    ConvergenceError
        After ``max_steps`` evaluations.

    Notes
    -----
    Inverse quadratic interpolation where it is safe, else bisection: T. R. Chandrupatla, Adv. Eng. Softw. 28 (1997)
    145, doi 10.1016/S0965-9978(96)00051-8, from memory.

    Examples
    --------
    >>> bracketed_root(lambda x: x * x - 2.0, 0.0, 2.0)
    1.4142135623730951
    """
    if not (math.isfinite(lo) and math.isfinite(hi)):
        raise NoBracket(f"bracket must be finite; got {lo!r} to {hi!r}")
    if not tol >= 0.0:
        raise ValueError(f"tol must be zero or more; got {tol!r}")
    # b is the newest point, a the other end of the bracket, c the one that was dropped.
    a, b = float(lo), float(hi)
    fa, fb = f(a), f(b)
    if fa == 0.0:
        return a
    if fb == 0.0:
        return b
    if math.isnan(fa) or math.isnan(fb) or (fa > 0.0) == (fb > 0.0):
        raise NoBracket(f"f must change sign over the bracket; got f({a!r}) = {fa!r}, f({b!r}) = {fb!r}")
    share = 0.5
    for _ in range(max_steps):
        x = a + share * (b - a)
        fx = f(x)
        if fx == 0.0:
            return x
        if math.isnan(fx):
            raise NoBracket(f"f must be a number within the bracket; got f({x!r}) = nan")
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, fc = b, fb
            b, fb = a, fa
        a, fa = x, fx
        best = a if abs(fa) < abs(fb) else b
        width = abs(b - a)
        reach = 0.5 * (_EPS * abs(best) + tol)
        least = reach / width if width > 0.0 else 1.0
        if least >= 0.5:
            return best
        xi = (a - b) / (c - b)
        phi = (fa - fb) / (fc - fb)
        if phi * phi < xi and (1.0 - phi) ** 2 < 1.0 - xi:
            share = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        else:
            share = 0.5
        share = min(1.0 - least, max(least, share))
    raise ConvergenceError(f"no root to the asked width after {max_steps} steps; the bracket is {a!r} to {b!r}")
