"""Both ends of what is formed at many moments at once, and how the wire leaves them (unit: the wire diameter).

The same wire as helix.geometry.joint.partly_formed lays for one moment, as arrays: a film of a making is hundreds of
moments. Derivation: docs/theory/forming.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from helix.geometry.joint.partly_formed import LEAST_FADE, FormedPlace, Rising
from helix.geometry.maths.jets import Array
from helix.geometry.maths.quadrature import arc_lengths
from helix.geometry.wire.curves import TransitionCurve, derivatives, speeds
from helix.geometry.wire.path import Path

RISE_NODES = 9
"""Places along a rise, from the end of what is formed to where the wire runs straight."""
_PANEL = 0.5  # longest stretch for one rule [d]
_UNIT = TransitionCurve(((0.0,) * 3, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), 1.0, 1.0, 1.0, 0, 1.0)


@dataclass(frozen=True)
class FreeEnds:
    """One side of the wire at n moments. s (n,): arc length of the end of what is formed, from the standing end.

    points, tangents (n, m, 3), along (n, m): places along the rise, with their arc lengths from that end; where the
    wire runs straight at once they are all the end itself. From the last the wire runs on straight.
    """

    s: Array
    points: Array
    tangents: Array
    along: Array

    def place(self, distance: Array) -> Array:
        """Compute the points (n, 3) at these arc lengths (n,) from the end, none within the rise."""
        rest = distance - self.along[:, -1]
        reached: Array = self.points[:, -1] + rest[:, None] * self.tangents[:, -1]
        return reached


def free_ends(
    path: Path, places: Sequence[FormedPlace], risings: Sequence[Rising], handle: float, *, low: bool
) -> FreeEnds:
    """Compute how the wire leaves what is formed at many moments.

    Parameters
    ----------
    path : Path
        The finished wire.
    places : sequence of FormedPlace
        The end of what is formed at each moment.
    risings : sequence of Rising
        How the rest leaves there.
    handle : float
        Length of the handle [d].
    low : bool
        Whether it is the standing side, which runs towards the start of the path.

    Returns
    -------
    FreeEnds
        As partly_formed lays it.

    Examples
    --------
    >>> from helix.geometry.wire.curves import Line
    >>> from helix.geometry.wire.path import CurvePiece
    >>> line = Path((CurvePiece("standing", Line((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 5.0)),))
    >>> ends = free_ends(line, [FormedPlace(0, 2.0)], [Rising(0.0, 0.0)], 1.0, low=True)
    >>> ends.s.tolist(), ends.place(np.array([0.5])).tolist()
    ([2.0], [[0.0, 0.0, 1.5]])
    """
    piece, u = np.array([place.piece for place in places]), np.array([place.u for place in places])
    s = _arc_lengths(path, piece, u)
    d = path.evaluate(piece, u, 2)
    speed = np.linalg.norm(d[1], axis=1, keepdims=True)
    t = d[1] / speed * (-1.0 if low else 1.0)
    bent = (d[2] - t * np.sum(d[2] * t, axis=1, keepdims=True)) / speed**2
    fade, lift = np.array([r.fade for r in risings]), np.array([r.lift for r in risings])
    rest = s if low else path.length + handle - s
    fade = np.where((fade > LEAST_FADE) & (rest > 2.0 * fade), fade, 0.0)
    b = np.array([r.upward for r in risings])
    b = b - t * np.sum(b * t, axis=1, keepdims=True)
    size = np.linalg.norm(b, axis=1, keepdims=True)
    b = np.divide(b, size, out=np.zeros_like(b), where=(size > 0.0) & (fade > 0.0)[:, None])

    def leaves(share: Array) -> tuple[Array, Array]:
        """Points and rates (n, m, 3) at shares (m,) of the fade: the unit transition curve, stretched."""
        unit = derivatives(_UNIT, share, 1)
        f, bend, up = fade[:, None, None], bent[:, None, :], (lift[:, None] * b)[:, None, :]
        by, rate = (unit[k][None, :, :, None] for k in (0, 1))
        points = d[0][:, None] + f * (by[:, :, 0] * t[:, None] + by[:, :, 1] * f * bend + by[:, :, 2] * up)
        return points, rate[:, :, 0] * t[:, None] + rate[:, :, 1] * f * bend + rate[:, :, 2] * up

    nodes = np.linspace(0.0, 1.0, RISE_NODES)
    points, rates = leaves(nodes)
    size = np.linalg.norm(rates, axis=2, keepdims=True)
    places_in, weights = np.polynomial.legendre.leggauss(8)
    width = nodes[1] - nodes[0]
    inner = (nodes[:-1, None] + width * (places_in + 1.0) / 2.0).ravel()
    lengths = np.linalg.norm(leaves(inner)[1], axis=2).reshape(len(s), -1, len(weights)) @ weights * (width / 2.0)
    along = np.concatenate([np.zeros((len(s), 1)), np.cumsum(lengths, axis=1)], axis=1) * fade[:, None]
    tangents = np.where((fade > 0.0)[:, None, None], rates / size, t[:, None])
    return FreeEnds(s, points, tangents, along)


def _arc_lengths(path: Path, piece: np.ndarray, u: Array) -> Array:
    """Arc lengths (n,) of places from the standing end."""
    s = np.empty(u.shape)
    for k in np.flatnonzero(np.bincount(piece)):
        own = piece == k
        curve = path.pieces[k].curve
        if curve.speed is not None:
            s[own] = path.starts[k] + curve.speed * u[own]
            continue
        knots = np.linspace(0.0, curve.span, max(2, int(np.ceil(curve.span / _PANEL)) + 1))
        knots = np.sort(np.concatenate([knots, u[own]]))
        lengths = arc_lengths(lambda v, curve=curve: speeds(curve, v), knots)  # type: ignore[misc]
        s[own] = path.starts[k] + lengths[np.searchsorted(knots, u[own])]
    return s
