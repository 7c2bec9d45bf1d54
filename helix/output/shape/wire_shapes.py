"""The wire as flat shapes for a drawing: short pieces, shaded, the near ones painted over the far ones."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.primitives import Area, Stroke
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import TAG_TONE, hex_of, tag_proportion
from helix.output.surface.tube import rotation_minimising_frame

Floats = NDArray[np.float64]

OUTLINE = "#23272b"
_BODY = 0.86  # share of the diameter that is shaded; the rest is the darker outline
_MOST_PIECES = 10_000  # a wire of more is drawn in longer ones: a thousand turns on one page are a hair
_PIECE_D, _PIECE_RAD = 0.5, 0.2  # longest piece, and most turning within it
# towards the lamp, the eye's axes: right, up, nearer
_LAMP = np.array([-0.35, 0.70, 0.62])
_CUT = np.array((130.0, 138.0, 146.0))  # darker than the drawn wire, so that it is no disc
_DARK, _MIDDLE, _LIGHT = (np.array(c) for c in ((66.0, 74.0, 82.0), (142.0, 151.0, 159.0), (214.0, 219.0, 223.0)))


@dataclass(frozen=True)
class WirePiece:
    """A short length of wire as drawn: its first and last row, how near it is to the viewer, its unbroken run."""

    rows: tuple[int, int]
    near: float
    run: slice

    def lapped(self, rows: int) -> tuple[int, int]:
        """First and last row, so many rows further, but not past the ends of the wire."""
        return max(self.rows[0] - rows, self.run.start), min(self.rows[1] + rows, self.run.stop - 1)


def pieces(shown: VisiblePart, view: View) -> list[WirePiece]:
    """The wire cut into short pieces, straight ones longer, the farthest from the viewer first."""
    _, near = view.project(shown.points_mm)
    wire_pieces: list[WirePiece] = []
    costs = []
    for run in shown.pieces:
        steps = np.linalg.norm(np.diff(shown.points_mm[run], axis=0), axis=1)
        turns = np.linalg.norm(np.diff(shown.tangents[run], axis=0), axis=1)
        costs.append(np.maximum(steps / (_PIECE_D * shown.d_mm), turns / _PIECE_RAD))
    coarse = max(1.0, sum(float(cost.sum()) for cost in costs) / _MOST_PIECES)
    for run, cost in zip(shown.pieces, costs, strict=True):
        run_up = np.concatenate(([0.0], np.cumsum(cost))) / coarse
        edges = np.linspace(0.0, run_up[-1], max(int(np.ceil(run_up[-1])), 1) + 1)
        cuts = np.unique(np.searchsorted(run_up, edges - 1e-9).clip(0, len(run_up) - 1)) + run.start
        cuts[0], cuts[-1] = run.start, run.stop - 1
        wire_pieces += [
            WirePiece((a, b), float(near[a : b + 1].mean()), run)
            for a, b in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True)
        ]
    wire_pieces.sort(key=lambda piece: (piece.near, piece.rows))
    return wire_pieces


def wire_shapes(shown: VisiblePart, view: View, width: float) -> list[Area | Stroke]:
    """The wire as strokes and areas in the order of painting, far pieces first; `width`: of the wire on the canvas."""
    return [shape for _, shapes in layers(shown, view, width) for shape in shapes]


def layers(shown: VisiblePart, view: View, width: float) -> list[tuple[float, list[Area | Stroke]]]:
    """The same piece by piece, each with how near it is to the viewer, so that several wires can be painted as one.

    Each piece is a dark stroke as wide as the wire (ends cut square) and shaded facets inside it. The
    stroke laps one sample over its neighbours and the facets two, so that no seam and no dark end shows.
    """
    flat, _ = view.project(shown.points_mm)
    towards = shown.tangents @ view.axes[2]
    facets_round = 24 if width >= 2.0 else 12 if width >= 0.5 else 6  # half of them face the viewer
    left, right, colours, seen = _surface(shown, view, width * _BODY / 2, facets_round)
    flat_rows, tones, painted = _points(flat), _tones(shown), list[tuple[float, list[Area | Stroke]]]()
    for piece in pieces(shown, view):
        a, b = piece.lapped(2)
        middle = (a + b) // 2
        bent = float(np.linalg.norm(shown.tangents[b] - shown.tangents[a])) > _PIECE_RAD
        there = [a, middle, b] if bent else [a, b]
        facing = np.flatnonzero(seen[middle])
        corners = np.concatenate((left[there], right[there[::-1]]))[:, facing].transpose(1, 0, 2).tolist()
        facets = [
            Area(tuple(map(tuple, ring)), f"#{colour:06x}")
            for ring, colour in zip(corners, colours[middle, facing].tolist(), strict=True)
        ]
        a, b = piece.lapped(1)
        drawn: list[Area | Stroke] = [Stroke(flat_rows[a : b + 1], width, OUTLINE), *facets]
        for end, outwards in ((piece.run.start, -1.0), (piece.run.stop - 1, 1.0)):
            if end in piece.rows and not shown.closed:
                cap = _cap(left[end], flat[end], width, tones[end])
                drawn = [*drawn, cap] if outwards * towards[end] >= 0 else [cap, *drawn]
        painted.append((piece.near, drawn))
    return painted


def _surface(
    shown: VisiblePart, view: View, radius: float, facets: int
) -> tuple[Floats, Floats, NDArray[np.int64], NDArray[np.bool_]]:
    """Both edges of each facet on the canvas (n, m, 2), its colour as one number (n, m), and whether it is seen (n, m)."""
    flat, _ = view.project(shown.points_mm)
    frames = [rotation_minimising_frame(shown.points_mm[run], shown.tangents[run]) for run in shown.pieces]
    u = np.concatenate([frame[0] for frame in frames]) @ view.axes.T
    v = np.concatenate([frame[1] for frame in frames]) @ view.axes.T
    turn = 2 * np.pi * np.arange(facets) / facets
    half = np.pi / facets

    def around(angle: Floats) -> Floats:
        return np.cos(angle)[None, :, None] * u[:, None] + np.sin(angle)[None, :, None] * v[:, None]

    def edge(angle: Floats) -> Floats:
        ends: Floats = flat[:, None, :] + radius / np.cos(half) * around(angle)[:, :, :2] * np.array([1.0, -1.0])
        return ends

    normal = around(turn)
    colour = np.rint(_tones(shown)[:, None, None] * _shade(normal)).astype(np.int64) @ np.array([0x10000, 0x100, 1])
    return edge(turn - 1.15 * half), edge(turn + 1.15 * half), colour, normal[:, :, 2] > -0.05


def _tones(shown: VisiblePart) -> Floats:
    """How light each row (n,) is: the tag darker than the standing leg, as in a picture."""
    return 1.0 - (1.0 - TAG_TONE) * tag_proportion(shown.section, shown.names, shown.s_mm / shown.d_mm)


def _shade(normal: Floats) -> Floats:
    """Colour (..., 3) of bright metal with unit normals (..., 3) in the viewer's axes."""
    lit = normal @ (_LAMP / np.linalg.norm(_LAMP))
    half_way = _LAMP / np.linalg.norm(_LAMP) + np.array([0.0, 0.0, 1.0])
    gleam = np.clip(normal @ (half_way / np.linalg.norm(half_way)), 0.0, 1.0) ** 24
    tone = np.clip(0.44 + 0.62 * lit, 0.0, 1.0)[..., None]
    low = _DARK + (_MIDDLE - _DARK) * np.minimum(2 * tone, 1.0)
    colour = low + (_LIGHT - _MIDDLE) * np.maximum(2 * tone - 1.0, 0.0)
    bright: Floats = np.clip(colour + 42.0 * gleam[..., None], 0.0, 255.0)
    return bright


def _cap(ring: Floats, middle: Floats, width: float, tone: float) -> Area:
    """A cut end: its facet corners ring (m, 2) pushed out to the middle of the outline; tone: of the wire there."""
    edge = middle + (ring - middle) * (1.0 + _BODY) / (2 * _BODY)
    return Area(_points(edge), hex_of(tone * _CUT / 255.0), OUTLINE, (1.0 - _BODY) / 2 * width)


def _points(flat: Floats) -> tuple[tuple[float, float], ...]:
    return tuple(map(tuple, flat.tolist()))
