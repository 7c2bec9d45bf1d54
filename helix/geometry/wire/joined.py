"""Curves of a pair of wires: two wires side by side along a centre curve, and a smooth join between two pieces.

Unit: the wire diameter. Derivations: docs/theory/doubled.md.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from helix.geometry.maths.coefficients import added, times
from helix.geometry.maths.jets import Array, Jet, polynomial
from helix.geometry.maths.quadrature import Antiderivative
from helix.geometry.wire.curves import Curve, Vector, curvature_vectors, derivatives, lay_way
from helix.geometry.wire.planar import PlanarPiece

Place = tuple[float, float, float]


@dataclass(frozen=True)
class Beside:
    """One wire of a pair that lies along a planar piece: its centre curve C moved by ``side`` across it.

    r = C + side (cos phi n + sin phi m), n square to C as seen along the pin and outward of the eye, m = T x n. With
    ``side`` 1/2 and -1/2 the two wires are one diameter apart at every place, whatever phi does: the vector between them
    is square to both. ``phi`` ascends in u [rad]; u is the base's.
    """

    base: PlanarPiece
    side: float
    phi: tuple[float, ...]

    @property
    def span(self) -> float:
        """As the base."""
        return self.base.span

    @property
    def speed(self) -> float | None:
        """As the base, where that is long and straight and the pair does not turn about itself."""
        return self.base.speed if not any(self.phi[1:]) else None

    @property
    def straight(self) -> bool:
        """Whether it is a straight line, as the base."""
        return self.base.straight and not any(self.phi[1:])

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        x, y, z = self.base.jets(u, order)
        along = Jet.variable(u, order)
        sin, cos = polynomial(self.base.theta, along).sin_cos()
        slope = polynomial([k * c for k, c in enumerate(self.base.y)][1:] or [0.0], along)
        stretch = (slope * slope + 1.0).sqrt()
        turned_sin, turned_cos = polynomial(self.phi, along).sin_cos()
        outward, aside = turned_cos * self.side, turned_sin * self.side / stretch
        return (x + outward * cos + aside * slope * sin, y - aside, z + outward * sin - aside * slope * cos)


_ASIDE = tuple(
    64.0 * c for c in (0.0, 0.0, 0.0, 1.0, -3.0, 3.0, -1.0)
)  # t^3 (1 - t)^3: C2 at its ends, 1 in the middle


@dataclass(frozen=True)
class Join:
    """A quintic from one place to another with given unit tangents and curvature vectors, so C2 with what it joins.

    ``start`` and ``end`` are (place, tangent, curvature vector), each three numbers; u runs to ``span``, near the
    length where the bend is gentle. ``lift`` moves its middle aside, smoothly.
    """

    start: tuple[Place, Place, Place]
    end: tuple[Place, Place, Place]
    span: float
    lift: Place = (0.0, 0.0, 0.0)
    speed: float | None = None

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        t = Jet.variable(u, order) / self.span
        x, y, z = (
            polynomial(added(row, times(_ASIDE, by)), t)
            for row, by in zip(self._coefficients(), self.lift, strict=True)
        )
        return x, y, z

    def _coefficients(self) -> list[tuple[float, ...]]:
        """Coefficients of each coordinate, ascending in t = u/span."""
        n = self.span
        rows: list[tuple[float, ...]] = []
        for p0, v0, a0, p1, v1, a1 in zip(*self.start, *self.end, strict=True):
            c0, c1, c2 = p0, v0 * n, a0 * n * n / 2.0
            gap, slope, bend = p1 - c0 - c1 - c2, v1 * n - c1 - 2.0 * c2, a1 * n * n - 2.0 * c2
            rows.append(
                (
                    c0, c1, c2,
                    10.0 * gap - 4.0 * slope + bend / 2.0,
                    -15.0 * gap + 7.0 * slope - bend,
                    6.0 * gap - 3.0 * slope + bend / 2.0,
                )
            )  # fmt: skip
        return rows


def contact_element(curve: Curve, u: float) -> tuple[Place, Place, Place]:
    """Return place, unit tangent and curvature vector of a curve at a parameter, as `Join` takes them.

    Parameters
    ----------
    curve : Curve
        The curve.
    u : float
        The parameter, within its span.

    Returns
    -------
    tuple of three places
        Place [d], unit tangent, curvature vector [1/d].
    """
    d = derivatives(curve, np.array([u]), 2)
    tangent = d[1, 0] / np.linalg.norm(d[1, 0])
    place, along, bent = (tuple(float(c) for c in row) for row in (d[0, 0], tangent, curvature_vectors(d)[0]))
    return (place[0], place[1], place[2]), (along[0], along[1], along[2]), (bent[0], bent[1], bent[2])


def joined(one: Curve, other: Curve) -> Join:
    """Join the end of a curve to the start of another.

    Parameters
    ----------
    one, other : Curve
        The two curves, as they are run.

    Returns
    -------
    Join
        Its span is its own arc length, to a part in a thousand.

    Notes
    -----
    The span starts as the chord and follows the length twice.
    """
    start, end = contact_element(one, one.span), contact_element(other, 0.0)
    span = float(np.linalg.norm(np.subtract(end[0], start[0])))
    join = Join(start, end, span)
    for _ in range(2):
        points = np.stack([j.c[0] for j in join.jets(np.linspace(0.0, join.span, 65), 0)], axis=1)
        join = Join(start, end, float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()))
    return join


@dataclass(frozen=True)
class Flat:
    """A wire on a flat beside two straight wires: it runs in a plane at a prescribed angle to them.

    r = start + across X(u) + (0, 0, Z(u)), X' = sin(lay), Z' = cos(lay); ``across`` is a unit vector square to z. ``lay``
    ascends in t = u/span [rad]; u is arc length.
    """

    lay: tuple[float, ...]
    start: Place
    across: tuple[float, float]
    span: float
    speed: float | None = 1.0
    _way: Antiderivative = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_way", lay_way(self.lay, self.span))

    @property
    def straight(self) -> bool:
        """Whether it is a straight line."""
        return not any(self.lay[1:])

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        low = Jet.variable(u, max(order - 1, 0))
        sin, cos = polynomial(self.lay, low / self.span).sin_cos()
        across_u, z_u = self._way(u)
        across = sin.integral(across_u).truncated(order)
        z = cos.integral(z_u + self.start[2]).truncated(order)
        return across * self.across[0] + self.start[0], across * self.across[1] + self.start[1], z
