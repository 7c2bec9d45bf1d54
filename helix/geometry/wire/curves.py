"""The curves a joint is made of, each a formula with exact derivatives (unit: the wire diameter).

A curve has a ``span`` (its parameter runs from 0 to it) and ``jets(u, order)``, which returns the
Taylor jets of x, y and z at the parameters ``u`` (n,). Constant-speed curves also give ``speed``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from helix.geometry.maths.coefficients import values
from helix.geometry.maths.jets import Array, Jet, polynomial
from helix.geometry.maths.quadrature import Antiderivative, arc_lengths

Vector = tuple[Jet, Jet, Jet]


class Curve(Protocol):
    """What every curve offers. Curves that are equal are the same: their lengths and samples are kept."""

    def __hash__(self) -> int: ...

    @property
    def span(self) -> float:
        """Largest value of the parameter."""
        ...

    @property
    def speed(self) -> float | None:
        """|dr/du| where it is constant, else None."""
        ...

    def jets(self, u: Array, order: int) -> Vector:
        """Compute jets of x, y, z at ``u`` (n,)."""
        ...


@dataclass(frozen=True)
class Line:
    """A straight piece from ``start`` along the unit vector ``direction``; u is arc length."""

    start: tuple[float, float, float]
    direction: tuple[float, float, float]
    span: float
    speed: float | None = 1.0

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        s = Jet.variable(u, order)
        x, y, z = (s * d + p for p, d in zip(self.start, self.direction, strict=True))
        return x, y, z


@dataclass(frozen=True)
class Strand:
    """x + iy = r(t) exp(i theta(t)) at height z0 + u, with t = u/span.

    ``radius`` and ``rate`` (d theta/dz) are ascending polynomials in t; the radius may be negative
    (the opposite side). Constant coefficients make a helix; a radius that goes smoothly to zero
    brings a leg onto the axis; a changing rate opens the lay.
    """

    radius: tuple[float, ...]
    rate: tuple[float, ...]
    theta0: float
    z0: float
    span: float

    @property
    def speed(self) -> float | None:
        """Constant only for a helix (or the axis itself)."""
        if len(self.radius) == 1 and (len(self.rate) == 1 or self.radius[0] == 0.0):
            return float(np.hypot(1.0, self.radius[0] * self.rate[0]))
        return None

    @property
    def theta_end(self) -> float:
        """The angle at the far end."""
        powers = np.arange(1, len(self.rate) + 1)
        return self.theta0 + self.span * float(np.sum(np.array(self.rate) / powers))

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        v = Jet.variable(u, order)
        if len(self.radius) == len(self.rate) == 1:
            x, y = circling(self.radius[0], self.rate[0] * u + self.theta0, self.rate[0], order)
            return x, y, v + self.z0
        t = v / self.span
        turn = [0.0, *(c / (k + 1) for k, c in enumerate(self.rate))]
        theta = polynomial(turn, t) * self.span + self.theta0
        sin, cos = theta.sin_cos()
        r = polynomial(self.radius, t)
        return r * cos, r * sin, v + self.z0


def circling(radius: float, angle: Array, rate: float, order: int) -> tuple[Jet, Jet]:
    """Jets of x and y on a circle, the angle (n,) running at a rate: each derivative is a quarter turn ahead."""
    x, y = np.empty((2, order + 1, angle.size))
    np.multiply(np.cos(angle), radius, out=x[0])
    np.multiply(np.sin(angle), radius, out=y[0])
    for k in range(1, order + 1):
        np.multiply(y[k - 1], -rate / k, out=x[k])
        np.multiply(x[k - 1], rate / k, out=y[k])
    return Jet(x), Jet(y)


def lay_way(lay: tuple[float, ...], span: float) -> Antiderivative:
    """Return how far a wire has come, across and along, whose angle ``lay`` ascends in t = u/span [rad]."""

    def rates(u: Array) -> Array:
        angle = values(lay, u / span)
        return np.array([np.sin(angle), np.cos(angle)])

    return Antiderivative(rates, span)


@dataclass(frozen=True)
class CoreCoil:
    """A wire on a straight core (centre-line radius 1) whose lay angle is prescribed along itself.

    ``lay`` is an ascending polynomial in t = u/span of the angle to the axis [rad]; u is arc
    length: z' = cos(lay), chi' = sin(lay). kappa^2 = lay'^2 + sin^4(lay) (a geodesic and a normal
    part; derivation in docs/theory/exit.md). C2 where lay is C1.
    """

    lay: tuple[float, ...]
    chi0: float
    z0: float
    span: float
    speed: float | None = 1.0
    _way: Antiderivative = field(init=False, repr=False, compare=False)  # chi and z

    def __post_init__(self) -> None:
        object.__setattr__(self, "_way", lay_way(self.lay, self.span))

    @property
    def chi_end(self) -> float:
        """The angle round the axis at the far end."""
        return self.chi0 + self._way.totals[0]

    @property
    def z_end(self) -> float:
        """The height at the far end."""
        return self.z0 + self._way.totals[1]

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        low = Jet.variable(u, max(order - 1, 0))
        sin_lay, cos_lay = polynomial(self.lay, low / self.span).sin_cos()
        chi_u, z_u = self._way(u)
        chi = sin_lay.integral(chi_u + self.chi0).truncated(order)
        z = cos_lay.integral(z_u + self.z0).truncated(order)
        sin, cos = chi.sin_cos()
        return cos, sin, z


@dataclass(frozen=True)
class TransitionCurve:
    """A wire that leaves a point along its tangent while its curvature fades and it lifts sideways.

    r(u) = p + T u + N n(u) + B m(u), n'' = curvature * (1 - step(u/fade)) then 0, m' rises smoothly
    from 0 to ``lift`` (the tangent of the lift angle) over ``fade``. ``p, T, N, B`` are rows of
    ``frame`` (4, 3); N and B are unit vectors square to T. ``part`` 0 is the fade, 1 the straight rest.
    """

    frame: tuple[tuple[float, float, float], ...]
    curvature: float
    lift: float
    fade: float
    part: int
    span: float

    @property
    def straight(self) -> bool:
        """Whether this is the straight rest."""
        return self.part == 1

    @property
    def speed(self) -> float | None:
        """Constant on the straight rest only."""
        if self.part == 0:
            return None
        _, t_, n_, b_ = np.array(self.frame)
        return float(np.linalg.norm(t_ + n_ * (self.curvature * self.fade / 2.0) + b_ * self.lift))

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        along = Jet.variable(u, order)
        f, k = self.fade, self.curvature
        if self.part == 0:
            t = along / f
            n = polynomial((0.0, 0.0, 0.5, 0.0, -0.25, 0.1), t) * (k * f * f)
            m = polynomial((0.0, 0.0, 0.0, 1.0, -0.5), t) * (self.lift * f)
        else:
            n = along * (k * f / 2.0) + 0.35 * k * f * f
            m = along * self.lift + 0.5 * self.lift * f
            along = along + f
        p, t_, n_, b_ = self.frame
        x, y, z = (along * t_[i] + n * n_[i] + m * b_[i] + p[i] for i in range(3))
        return x, y, z


@dataclass(frozen=True)
class OfBase:
    """A curve made of another one, as long and as fast."""

    base: Curve

    @property
    def span(self) -> float:
        """As the base."""
        return self.base.span

    @property
    def speed(self) -> float | None:
        """As the base."""
        return self.base.speed


@dataclass(frozen=True)
class Reversed(OfBase):
    """The same curve run from its far end."""

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        sign = (-1.0) ** np.arange(order + 1)
        x, y, z = (Jet(j.c * sign[:, None]) for j in self.base.jets(self.base.span - u, order))
        return x, y, z


@dataclass(frozen=True)
class Mirrored(OfBase):
    """The mirror image y -> -y: the other hand."""

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        x, y, z = self.base.jets(u, order)
        return x, -y, z


@dataclass(frozen=True)
class Moved(OfBase):
    """The same curve moved by ``by`` (x, y, z), not turned."""

    by: tuple[float, float, float]

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        x, y, z = (jet + way for jet, way in zip(self.base.jets(u, order), self.by, strict=True))
        return x, y, z


def is_straight(curve: Curve) -> bool:
    """Tell whether a curve is a straight line at constant speed, as its formula says.

    Parameters
    ----------
    curve : Curve
        The curve.

    Returns
    -------
    bool
        Whether it is.

    Examples
    --------
    >>> is_straight(Reversed(Line((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 2.0)))
    True
    """
    while isinstance(curve, OfBase):
        curve = curve.base
    if isinstance(curve, Strand):
        return curve.radius == (0.0,)
    return isinstance(curve, Line) or getattr(curve, "straight", False)


def positions(curve: Curve, u: Array) -> Array:
    """Compute points (n, 3) of a curve at the parameters ``u`` (n,)."""
    return np.stack([j.c[0] for j in curve.jets(u, 0)], axis=1)


def derivatives(curve: Curve, u: Array, order: int = 2, out: Array | None = None) -> Array:
    """Compute plain derivatives with respect to the parameter: shape (order + 1, n, 3); into an array if one is given."""
    stacked = np.empty((order + 1, len(u), 3)) if out is None else out
    if isinstance(curve, Reversed):
        derivatives(curve.base, curve.span - u, order, stacked)
        np.negative(stacked[1::2], out=stacked[1::2])
        return stacked
    for k, jet in enumerate(curve.jets(u, order)):
        jet.derivatives(out=stacked[:, :, k])
    return stacked


MOST_PANELS = 2000  # that a piece of wire is first measured in: what bends in one that long bends slowly


def curve_length(curve: Curve, panel: float = 1.0) -> float:
    """Compute the arc length of a whole curve: closed form at constant speed, else Gauss-Legendre.

    Parameters
    ----------
    curve : Curve
        The curve.
    panel : float
        Longest stretch for one rule, before it is halved [d].

    Returns
    -------
    float
        Arc length [d].

    Notes
    -----
    Panels are halved until the length stays (a tag that is swung too sharply races round its bend). A very long curve begins
    with longer ones.
    """
    if curve.speed is not None:
        return curve.speed * curve.span
    count = max(1, int(np.ceil(min(curve.span / panel, MOST_PANELS))))
    before = -1.0
    for halved in range(9):
        knots = np.linspace(0.0, curve.span, count * 2**halved + 1)
        length = float(arc_lengths(lambda u: speeds(curve, u), knots)[-1])
        if abs(length - before) <= (1e-13 + 1e-16 * knots.size) * length:  # the sum's own rounding
            break
        before = length
    return length


def speeds(curve: Curve, u: Array) -> Array:
    """Compute |dr/du| at the parameters ``u`` (n,)."""
    if curve.speed is not None:
        return np.full(u.shape, curve.speed)
    if isinstance(curve, Reversed):
        return speeds(curve.base, curve.base.span - u)
    if isinstance(curve, Mirrored):
        return speeds(curve.base, u)
    own = getattr(curve, "speeds", None)  # a curve may know them without its points
    return np.asarray(own(u)) if own else np.linalg.norm(derivatives(curve, u, 1)[1], axis=1)


def curvature_vectors(d: Array) -> Array:
    """Compute curvature vectors (n, 3) from plain derivatives (3, n, 3) in any parameter."""
    v2 = np.sum(d[1] ** 2, axis=1, keepdims=True)
    along = np.sum(d[1] * d[2], axis=1, keepdims=True)
    vectors: Array = (d[2] - d[1] * (along / v2)) / v2
    return vectors
