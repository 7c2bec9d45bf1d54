"""Wire in entry bends and eye of many joints at once: the shape of :mod:`helix.geometry.joint.eye`, its lengths only."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from helix.geometry.joint.eye import FADE, KINK, RAMP, SPREAD, Throat
from helix.geometry.maths.jets import Array

_T, _WEIGHTS = np.polynomial.legendre.leggauss(24)
_T, _WEIGHTS = (_T + 1.0) / 2.0, _WEIGHTS / 2.0
# the heading over a stretch whose curvature is k times a shape of t: its length times k times this
_RISE, _FALL = _T**3 - _T**4 / 2.0, _T - _T**3 + _T**4 / 2.0  # of 3 t^2 - 2 t^3, and of 1 less that
_UP, _DOWN = _T**2 / 2.0, _T - _T**2 / 2.0  # of t, and of 1 - t
_BUMP = 20.0 * _T**3 - 45.0 * _T**4 + 36.0 * _T**5 - 10.0 * _T**6  # integral of the bump that takes out a side slope
_BUMP_DROPS = (4.0 / 7.0, 3.0 / 7.0)  # and the integral of that; of the far bump, which is the same from its other end


class Throats(NamedTuple):
    """The fields of :class:`helix.geometry.joint.eye.Throat` as arrays (n,)."""

    radius: Array
    curvature: Array
    lay: Array
    leg_angle: Array
    bend_radius: Array
    kinked: Array

    @classmethod
    def of(cls, throats: list[Throat]) -> Throats:
        """Gather throats into arrays."""
        return cls(*(np.array([getattr(throat, name) for throat in throats]) for name in cls._fields))

    @property
    def slope(self) -> Array:
        """Side slope once the twist's curvature has faded."""
        return self.curvature * FADE / 4.0

    @property
    def bends(self) -> list[tuple[Array, Array]]:
        """Curvature and third of the length of each bend from the throat outward; a length of 0 is none."""
        sharp = (1.0 + self.slope**2) / self.bend_radius
        turn = self.leg_angle - self.lay
        first = np.where(self.kinked, KINK, np.where(np.abs(turn) > 1e-12, turn, 0.0))
        second = np.where(self.kinked, -KINK, 0.0)
        return [
            (np.sign(turned) * k, np.abs(turned) / (2.0 * k)) for turned, k in ((first, sharp), (second, sharp / 4.0))
        ]


def eye_lengths(pin: Array, tag: Throats, standing: Throats) -> Array:
    """Compute the wire in both entry bends and the eye.

    Parameters
    ----------
    pin : array (n,)
        Diameter of what passes through the eye, above 0 [d].
    tag, standing : Throats
        The two legs at the throat, arrays (n,).

    Returns
    -------
    array (n,)
        Wire from throat to throat [d]; nan where the legs do not reach the throat.

    Notes
    -----
    The curve is that of `closed_eye` (docs/theory/eye.md); its integrals are taken by a 24-point Gauss rule on each
    smooth stretch, which is exact to rounding.

    Examples
    --------
    >>> from helix.geometry.joint.eye import closed_eye
    >>> throat = Throat(0.5, 0.763027, 0.665774, 0.665774, 1.310570)
    >>> round(float(eye_lengths(np.array([8.0]), Throats.of([throat]), Throats.of([throat]))[0]), 6)
    31.653453
    """
    total, closes = _planar_length(pin, tag, standing)
    entries = [FADE + 3.0 * sum(third for _, third in legs.bends) for legs in (tag, standing)]
    middle = (entries[0] + total - entries[1]) / 2.0
    spreads = [np.minimum(SPREAD, middle - entries[0]), np.minimum(SPREAD, total - entries[1] - middle)]
    starts = [entries[0], total - entries[1] - spreads[1]]
    # the side slope: down as the tag's curvature fades, two bumps that bring the offset across, up again at the end
    down, up = -tag.slope, standing.slope
    reach = [d * q + total - p - q for d, p, q in zip(_BUMP_DROPS, starts, spreads, strict=True)]
    across = -standing.radius - tag.radius - (
        -tag.curvature * FADE**2 / 5.0 + down * (total - FADE) + standing.curvature * FADE**2 / 20.0
    )  # fmt: skip
    first = (across + (down + up) * reach[1]) / (reach[0] - reach[1])
    second = -(down + up) - first
    column = np.newaxis
    stretches = (
        (FADE, down[:, column] * (1.0 - (1.0 - _T) ** 4)),
        (entries[0] - FADE, down[:, column]),
        (spreads[0], down[:, column] + first[:, column] * _BUMP),
        (starts[1] - entries[0] - spreads[0], (down + first)[:, column]),
        (spreads[1], (down + first)[:, column] + second[:, column] * (1.0 - _BUMP[::-1])),
        (entries[1] - FADE, -up[:, column]),
        (FADE, -up[:, column] * (1.0 - _T**4)),
    )
    more = sum(length * np.sum(_WEIGHTS * (np.sqrt(1.0 + slope**2) - 1.0), axis=1) for length, slope in stretches)
    return np.where(closes, total + more, np.nan)


def _planar_length(pin: Array, tag: Throats, standing: Throats) -> tuple[Array, np.ndarray]:
    """Length seen along the pin, and whether both straight legs are none too short."""
    rho = (pin + 1.0) / 2.0
    turn = np.pi + tag.leg_angle + standing.leg_angle
    ramp = np.minimum(RAMP, 0.25 * rho * turn)
    constant, fade, none = None, np.full_like(rho, FADE), np.zeros_like(rho)
    steps: list[tuple[Array, Array, Array | None]] = [(fade, none, constant)]
    steps += _bend_steps(tag.bends)
    steps += [(ramp, -1.0 / rho, _UP), (rho * turn - ramp, -1.0 / rho, constant), (ramp, -1.0 / rho, _DOWN)]
    steps += _bend_steps(standing.bends[::-1])
    steps.append((fade, none, constant))
    x, z, heading = np.zeros_like(rho), np.zeros_like(rho), tag.lay
    for length, curvature, shape in steps:
        turned = length * curvature
        if shape is constant:  # a chord at its mean heading
            chord, mean = length * np.sinc(turned / 2.0 / np.pi), heading + turned / 2.0
            x, z, heading = x + chord * np.sin(mean), z - chord * np.cos(mean), heading + turned
        else:
            along = heading[:, np.newaxis] + turned[:, np.newaxis] * shape
            x = x + length * np.sum(_WEIGHTS * np.sin(along), axis=1)
            z = z - length * np.sum(_WEIGHTS * np.cos(along), axis=1)
            heading = heading + turned / 2.0
    crossing = np.sin(tag.leg_angle + standing.leg_angle)
    closes = np.abs(crossing) >= 1e-9
    over = np.where(closes, crossing, 1.0)
    leg = (z * np.sin(standing.leg_angle) - x * np.cos(standing.leg_angle)) / over
    other = -(z * np.sin(tag.leg_angle) + x * np.cos(tag.leg_angle)) / over
    closes &= (leg >= 0.0) & (other >= 0.0)
    return sum((length for length, _, _ in steps), none) + np.where(closes, leg + other, 0.0), closes


def _bend_steps(bends: list[tuple[Array, Array]]) -> list[tuple[Array, Array, Array | None]]:
    """Each bend in three equal lengths: its curvature rises, stays, falls."""
    return [(third, curvature, shape) for curvature, third in bends for shape in (_RISE, None, _FALL)]
