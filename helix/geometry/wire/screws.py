"""Stretches of wire that a screw carries onto themselves: of a long one a window stands for the whole.

Unit: the wire diameter. Every pair of places in the middle of a long twist or coil is met again in a short window of
it, where nothing else is near: helices of one lay and one axis, and a straight core on that axis, go over into
themselves when all are turned and moved along together. Derivation: docs/theory/clearance.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from helix.geometry.maths.jets import Array
from helix.geometry.wire.curves import Curve, Line, Mirrored, Moved, Reversed, Strand
from helix.geometry.wire.path import Path

_WINDOW = 1.0  # height of the window that stands for the rest [d]
_WORTH = 4.0  # a middle shorter than this is not left out [d]


@dataclass(frozen=True)
class Screw:
    """A helix about a line along z, or that line itself.

    axis: its x and y; rate: turns of the angle along z [rad/d], None of the line; z0 and slope: the height z0 + slope u.
    """

    axis: tuple[float, float]
    rate: float | None
    radius: float
    z0: float
    slope: float
    span: float

    @property
    def ends(self) -> tuple[float, float]:
        """Its lowest and its highest place."""
        other = self.z0 + self.slope * self.span
        return min(self.z0, other), max(self.z0, other)


def screw_of(curve: Curve) -> Screw | None:
    """Tell the helix that a curve is, as its formula says.

    Parameters
    ----------
    curve : Curve
        The curve.

    Returns
    -------
    Screw or None
        None where it is no helix about a line along z, nor such a line.

    Examples
    --------
    >>> screw_of(Reversed(Strand((0.5,), (2.0,), 0.0, 3.0, 10.0))).ends
    (3.0, 13.0)
    """
    if isinstance(curve, Strand):
        if len(curve.radius) > 1 or (len(curve.rate) > 1 and curve.radius[0] != 0.0):
            return None
        rate = curve.rate[0] if curve.radius[0] != 0.0 else None
        return Screw((0.0, 0.0), rate, abs(curve.radius[0]), curve.z0, 1.0, curve.span)
    if isinstance(curve, Line):
        (x, y, z), (across, aside, slope) = curve.start, curve.direction
        return Screw((x, y), None, 0.0, z, slope, curve.span) if across == aside == 0.0 else None
    if not isinstance(curve, Reversed | Mirrored | Moved):
        return None
    base = screw_of(curve.base)
    if base is None:
        return None
    (x, y), rate, z0, slope = base.axis, base.rate, base.z0, base.slope
    if isinstance(curve, Reversed):
        z0, slope = z0 + slope * base.span, -slope
    elif isinstance(curve, Mirrored):
        y, rate = -y, None if rate is None else -rate
    else:
        x, y, z0 = x + curve.by[0], y + curve.by[1], z0 + curve.by[2]
    return Screw((x, y), rate, base.radius, z0, slope, base.span)


Place = tuple[int, int]
"""Which path, and which of its pieces."""


@dataclass(frozen=True)
class Family:
    """Pieces that one screw carries onto themselves, and their largest radius."""

    members: dict[Place, Screw]
    axis: tuple[float, float]
    radius: float


def families(paths: Sequence[Path], reach: float) -> list[Family]:
    """Find the helices of one lay and axis, with the straight pieces on it, of which a middle could be left out.

    Parameters
    ----------
    paths : sequence of Path
        The wires.
    reach : float
        Within which pairs of places matter [d].

    Returns
    -------
    list of Family
        Each with a helix that is long enough.
    """
    screws = {(n, k): screw_of(piece.curve) for n, path in enumerate(paths) for k, piece in enumerate(path.pieces)}
    known = {place: screw for place, screw in screws.items() if screw is not None}
    least = 4.0 * reach + _WINDOW + _WORTH
    found = []
    for axis, rate in dict.fromkeys(
        (s.axis, s.rate) for s in known.values() if s.rate is not None and np.subtract(*s.ends[::-1]) > least
    ):
        members = {place: s for place, s in known.items() if s.axis == axis and s.rate in (rate, None)}
        found.append(Family(members, axis, max(s.radius for s in members.values())))
    return found


def left_out(family: Family, low: Array, high: Array, reach: float) -> list[tuple[float, float]]:
    """Find the heights between which a family need not be looked at.

    Parameters
    ----------
    family : Family
        The pieces.
    low, high : array (n,)
        Heights between which anything else comes within reach of it [d].
    reach : float
        Within which pairs of places matter [d].

    Returns
    -------
    list of tuple of float
        From where to where.

    Notes
    -----
    Within reach of an end the screw does not carry over either. Of each stretch between these a window is kept at its
    low end, with what is within reach of it, and at its high end what is within reach of what follows.
    """
    ends = np.array([end for screw in family.members.values() for end in screw.ends])
    low, high = np.concatenate([low, ends - reach]), np.concatenate([high, ends + reach])
    order = np.argsort(low)
    low, high = low[order], np.maximum.accumulate(high[order])
    starts, stops = high[:-1] + _WINDOW + reach, low[1:] - reach
    return [(float(a), float(b)) for a, b in zip(starts, stops, strict=True) if b - a > _WORTH]
