"""How much light gets to each side of the wire past the rest of it: what makes touching parts look as if they touch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from helix.output.picture.view import VisiblePart
from helix.output.surface.tube import rotation_minimising_frame

Floats = NDArray[np.float64]

SIDES = 16
"""Directions round the wire in which it is asked how much light gets there."""
_STEP_D, _REACH_D = 0.2, 2.6
_PAIRS, _SOUGHT = 4_000, 400_000  # looked at together: what a processor keeps at hand; looked for together


def openness(shown: VisiblePart, run: slice) -> tuple[Floats, Floats, Floats]:
    """Share of light (n, 16) that gets to each ring of a run of wire, past all other wire nearby, and two normals (n, 3).

    The first direction is the first normal, the others follow towards the second. Worked out once for each unbroken
    length of wire and kept with it, as the same wire is often painted several times.
    """
    piece = next(piece for piece in shown.pieces if piece.start <= run.start and run.stop <= piece.stop)
    if piece.start not in shown.shades:
        shown.shades[piece.start] = _openness(shown, piece)
    light, u, v = shown.shades[piece.start]
    part = slice(run.start - piece.start, run.stop - piece.start)
    return light[part], u[part], v[part]


def _openness(shown: VisiblePart, run: slice) -> tuple[Floats, Floats, Floats]:
    """A short length ds of wire at distance r takes d ds sin(a) cos(b)/(pi r^2) of the light, a its slant and b its
    direction from straight above; what several lengths take is multiplied.
    """
    d = shown.d_mm
    some = _thinned(shown, _STEP_D * d)
    points, tangents = shown.points_mm[some], shown.tangents[some]
    rows = np.unique(np.concatenate((np.arange(run.start, run.stop, 2), [run.stop - 1])))
    u_all, v_all = rotation_minimising_frame(shown.points_mm[run], shown.tangents[run])
    u, v = u_all[rows - run.start], v_all[rows - run.start]
    turn = 2.0 * np.pi * np.arange(SIDES) / SIDES
    cos, sin = np.cos(turn), np.sin(turn)
    taken = np.zeros((len(rows), SIDES))
    ring, other = pairs_within(shown.points_mm[rows], points, _REACH_D * d)
    for k in range(0, len(ring), _PAIRS):
        i, j = ring[k : k + _PAIRS], other[k : k + _PAIRS]
        away, along = points[j] - shown.points_mm[rows[i]], tangents[j]  # from the middle of the wire
        beyond = _dot(u[i], away)[:, None] * cos + _dot(v[i], away)[:, None] * sin  # how far away on that side
        slant = _dot(u[i], along)[:, None] * cos + _dot(v[i], along)[:, None] * sin
        square = np.maximum((_dot(away, away) + d * d / 4.0)[:, None] - d * beyond, (0.3 * d) ** 2)
        above = np.clip(beyond - d / 2.0, 0.0, None)
        along_square = (_dot(away, along)[:, None] - d / 2.0 * slant) ** 2
        part = above * np.sqrt(np.clip(square - along_square, 0.0, None)) / square**2
        first = np.flatnonzero(np.diff(i, prepend=-1))
        taken[i[first]] += np.add.reduceat(part, first, axis=0) * (_STEP_D * d * d / np.pi)
    light = np.exp(-1.25 * taken)
    at = np.arange(run.stop - run.start)
    return np.stack([np.interp(at, rows - run.start, light[:, k]) for k in range(SIDES)], axis=1), u_all, v_all


def pairs_within(x: Floats, y: Floats, reach: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Row numbers (m,), (m,) of all pairs of points x (n, 3) and y (k, 3) within reach, in the order of the first.

    Points of y are sorted along the axis that they stretch along most, and looked through in that order: enough for a
    wire, and loads nothing.

    >>> pairs_within(np.eye(3), np.array([[1.0, 0.0, 0.5], [0.0, 0.0, 9.0]]), 1.0)
    (array([0]), array([0]))
    """
    if not len(x) or not len(y):
        return np.zeros(0, np.intp), np.zeros(0, np.intp)
    axis = int(np.argmax(np.ptp(y, axis=0)))
    order = np.argsort(y[:, axis], kind="stable")
    heights = y[order, axis]
    low = np.searchsorted(heights, x[:, axis] - reach, "left")
    high = np.searchsorted(heights, x[:, axis] + reach, "right")
    firsts: list[NDArray[np.intp]] = []
    seconds: list[NDArray[np.intp]] = []
    ends = np.cumsum(high - low)
    start = 0
    while start < len(x):
        done = int(ends[start - 1]) if start else 0
        stop = max(int(np.searchsorted(ends, done + _SOUGHT, "right")), start + 1)
        counts = (high - low)[start:stop]
        i = np.repeat(np.arange(start, stop), counts)
        j = order[np.arange(len(i)) + np.repeat(low[start:stop] - (np.cumsum(counts) - counts), counts)]
        away = y[j] - x[i]
        near = _dot(away, away) <= reach * reach
        firsts.append(i[near])
        seconds.append(j[near])
        start = stop
    return np.concatenate(firsts), np.concatenate(seconds)


def _thinned(shown: VisiblePart, step_mm: float) -> NDArray[np.intp]:
    """Rows about so far apart along the wire."""
    count = np.floor((shown.s_mm - shown.s_mm[0]) / step_mm)
    return np.flatnonzero(np.diff(count, prepend=-1.0) > 0.0)


def _dot(a: Floats, b: Floats) -> Floats:
    return np.asarray(np.einsum("mc,mc->m", a, b))
