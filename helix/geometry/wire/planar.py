"""A curve whose heading is prescribed as seen along the pin (the y axis), with an offset to the side.

Unit: the wire diameter. Where the heading turns evenly, or not at all, its integrals have a closed form; elsewhere they
are spectral. The eye is made of such pieces: docs/theory/eye.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from helix.geometry.maths.coefficients import derivative, values
from helix.geometry.maths.jets import Array, Jet, polynomial
from helix.geometry.maths.quadrature import Antiderivative
from helix.geometry.wire.curves import Vector, circling

_LONG = 40.0  # a shorter straight leg is sampled as closely as the bends beside it [d]


class _Arc:
    """Compute x and z along a heading that turns evenly, or not at all: an arc's chord at its mean heading, in closed form."""

    def __init__(self, heading: float, curvature: float, span: float) -> None:
        self.heading, self.half = heading, curvature / 2.0
        x, z = self(np.array([span]))
        self.totals = float(x[0]), float(z[0])

    def __call__(self, u: Array) -> Array:
        """Compute x and z (2, n) from the start at ``u`` (n,)."""
        turned = self.half * u
        chord = np.sin(turned) / self.half if self.half else u
        mean = self.heading + turned
        return np.array([chord * np.sin(mean), -chord * np.cos(mean)])


@lru_cache(maxsize=256)
def _way(theta: tuple[float, ...], span: float) -> _Arc | Antiderivative:
    """Compute x and z along a heading; the same piece is met again when the eye is closed."""
    if len(theta) <= 2:
        return _Arc(theta[0], theta[1] if len(theta) > 1 else 0.0, span)

    def slopes(u: Array) -> Array:
        heading = values(theta, u)
        return np.array([np.sin(heading), -np.cos(heading)])

    return Antiderivative(slopes, span)


@dataclass(frozen=True)
class PlanarPiece:
    """Planar heading theta(sigma) with a side offset y(sigma); sigma is the parameter.

    (x, z)' = (sin theta, -cos theta). Coefficients ascend in sigma [d].
    """

    theta: tuple[float, ...]
    y: tuple[float, ...]
    x0: float
    z0: float
    span: float
    _way: _Arc | Antiderivative = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_way", _way(self.theta, self.span))

    @property
    def straight(self) -> bool:
        """Whether it is long, and neither its heading nor its side slope changes."""
        return self.span > _LONG and not (any(self.theta[1:]) or any(self.y[2:]))

    @property
    def speed(self) -> float | None:
        """Told where it is long and straight."""
        return math.hypot(1.0, *self.y[1:2]) if self.straight else None

    @property
    def end(self) -> tuple[float, float]:
        """(x, z) at the far end."""
        x, z = self._way.totals
        return self.x0 + x, self.z0 + z

    def heading(self, u: Array) -> Array:
        """Compute the heading theta at ``u`` [rad]."""
        return values(self.theta, u)

    def seen(self, u: Array) -> Array:
        """Compute x and z (2, n) at ``u``: the piece as seen along the pin."""
        return self._way(u) + [[self.x0], [self.z0]]

    def speeds(self, u: Array) -> Array:
        """Compute |dr/du| at ``u``: 1 seen along the pin, and the side slope."""
        return np.asarray(np.hypot(1.0, values(derivative(self.y), u)), dtype=float)

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        low = max(order - 1, 0)
        if len(self.theta) <= 2:  # an arc, or straight
            cos, sin = circling(1.0, self.heading(u), sum(self.theta[1:]), low)
        else:
            sin, cos = polynomial(self.theta, Jet.variable(u, low)).sin_cos()
        x_u, z_u = self.seen(u)
        x = sin.integral(x_u).truncated(order)
        z = (-cos).integral(z_u).truncated(order)
        return x, polynomial(self.y, Jet.variable(u, order)), z
