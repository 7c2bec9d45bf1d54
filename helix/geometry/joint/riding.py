"""The tag riding on the standing leg: touching by construction wherever the offset is one diameter.

The standing leg is a curve S with a frame (U, V) carried from the joint axis onto its tangent by
the smallest rotation. The tag is G = S + rho (cos chi U + sin chi V). Against the
rotation-minimising frame the tag turns at the rate ``psi_rate`` per unit of the leg's length; in
the frame used here that is

    chi' = psi_rate |S'| + (Tx Ty' - Ty Tx') / (1 + Tz)

(derivation and check: docs/theory/exit.md). In an even or uneven twist with its contact on the axis
psi_rate is the torsion of the leg's helix. rho = 1 touches; rho = 1 + lift * bump lifts off.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from helix.geometry.maths.jets import Array, Jet, polynomial
from helix.geometry.maths.quadrature import Antiderivative
from helix.geometry.wire.curves import Curve, Vector

# 256 t^4 (1 - t)^4: C3 at both ends, 1 in the middle
BUMP = tuple(256.0 * c for c in (0.0, 0.0, 0.0, 0.0, 1.0, -4.0, 6.0, -4.0, 1.0))


def _tangent(core: Curve, u: Array, order: int) -> tuple[Vector, Jet, Vector]:
    """Position jets, speed jet and unit-tangent jets of the core (order, order - 1)."""
    s = core.jets(u, order)
    way = Jet.beside(*s).derivative()
    x2, y2, z2 = (way * way).split(3)
    v = (x2 + y2 + z2).sqrt()
    x, y, z = (way / Jet.beside(v, v, v)).split(3)
    return s, v, (x, y, z)


def _frame(t: Vector) -> tuple[Vector, Vector]:
    """Compute the smallest-rotation frame of a tangent with Tz > -1."""
    x, y, w = t[0], t[1], t[2] + 1.0
    xy, xx, yy = (Jet.beside(x, x, y) * Jet.beside(y, x, y) / Jet.beside(w, w, w)).split(3)
    u = (1.0 - xx, -xy, -x)
    v = (-xy, 1.0 - yy, -y)
    return u, v


@dataclass(frozen=True)
class ContactCurve:
    """The tag over one piece of the standing leg (unit: the wire diameter; u as the core's).

    ``psi_rate`` ascends in t = u/span (a number: constant). ``chi0`` is the angle at the core's start, see
    :func:`starting_angle`. The core needs C3.
    """

    core: Curve
    psi_rate: float | tuple[float, ...]
    chi0: float
    lift: float = 0.0
    speed: float | None = None
    _chi: Antiderivative = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        def rate(u: Array) -> Array:
            _, v, t = _tangent(self.core, u, 2)
            turned: Array = self._rate(u, v, t, 0).c[0]
            return turned

        panel = min(0.75, self.core.span / 4.0)  # a short run-in turns the frame fast
        object.__setattr__(self, "_chi", Antiderivative(rate, self.core.span, panel=panel))

    @property
    def span(self) -> float:
        """As the core."""
        return self.core.span

    @property
    def chi_end(self) -> float:
        """The angle at the core's far end."""
        return self.chi0 + self._chi.total

    def _rate(self, u: Array, v: Jet, t: Vector, order: int) -> Jet:
        """Compute chi' from the core's speed and tangent, which are one order higher."""
        tx, ty = t[0].derivative(), t[1].derivative()
        one, other = (Jet.beside(t[0], t[1]) * Jet.beside(ty, tx)).split(2)
        psi = self.psi_rate
        along = psi if isinstance(psi, float) else polynomial(psi, Jet.variable(u, order) / self.span)
        return v.truncated(order) * along + (one - other) / (t[2] + 1.0)

    def jets(self, u: Array, order: int) -> Vector:
        """Jets of x, y, z."""
        s, v, t = _tangent(self.core, u, order + 1)
        if order:
            chi = self._rate(u, v, t, order - 1).integral(self._chi(u) + self.chi0)
        else:
            chi = Jet((self._chi(u) + self.chi0)[None, :])
        sin, cos = chi.sin_cos()
        if self.lift:
            rho = polynomial(BUMP, Jet.variable(u, order) / self.span) * self.lift + 1.0
            sin, cos = sin * rho, cos * rho
        frame_u, frame_v = _frame(t)
        across = Jet.beside(cos, cos, cos) * Jet.beside(*frame_u)
        x, y, z = (Jet.beside(*s) + across + Jet.beside(sin, sin, sin) * Jet.beside(*frame_v)).split(3)
        return x, y, z


def starting_angle(core: Curve, tag_start: Array) -> float:
    """Compute chi of the point ``tag_start`` (3,) seen from the core's first point."""
    u0 = np.zeros(1)
    s, _, t = _tangent(core, u0, 1)
    frame_u, frame_v = _frame(t)
    d = tag_start - np.array([j.c[0, 0] for j in s])
    cos = sum(float(d[i] * frame_u[i].c[0, 0]) for i in range(3))
    sin = sum(float(d[i] * frame_v[i].c[0, 0]) for i in range(3))
    return float(np.arctan2(sin, cos))
