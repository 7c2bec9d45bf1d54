"""The joint as a vector drawing (SVG), over and under as in the wire; needs numpy only, no graphics card."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from helix.output.files import write_whole
from helix.output.inks import PAPER, Ink, Stroke, Text
from helix.output.layout import Sheet, compose
from helix.output.tube import rotation_minimising_frame
from helix.output.view import Shown, View, shown_part, side_view
from helix.output.words import title_of
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.studies.shape import ShapeResult

Floats = NDArray[np.float64]

PAGE_MM = (320.0, 180.0)
OUTLINE = "#23272b"
_BODY = 0.86  # share of the diameter that is shaded; the rest is the darker outline
_PIECE_D, _PIECE_RAD = 0.5, 0.2  # longest piece, and most turning within it
# towards the lamp, the eye's axes: right, up, nearer
_LAMP = np.array([-0.35, 0.70, 0.62])
_DARK, _MIDDLE, _LIGHT = (
    np.array(c) for c in ((66.0, 74.0, 82.0), (142.0, 151.0, 159.0), (214.0, 219.0, 223.0))
)
_FONT = "'DejaVu Sans', Verdana, 'Segoe UI', Helvetica, Arial, sans-serif"


@dataclass(frozen=True)
class Piece:
    """A short length of wire as drawn: its first and last row, how near it is to the viewer, its unbroken run."""

    rows: tuple[int, int]
    near: float
    run: slice

    def lapped(self, rows: int) -> tuple[int, int]:
        """First and last row, so many rows further, but not past the ends of the wire."""
        return max(self.rows[0] - rows, self.run.start), min(self.rows[1] + rows, self.run.stop - 1)


def drawing_svg(
    result: ShapeResult, units: UnitSystem = "metric", *, page_mm: tuple[float, float] = PAGE_MM
) -> str:
    """The joint seen along the pin as SVG text: true to a stated scale, the page measured in mm.

    The same result gives the same text. Raises nothing of its own.
    """
    shown = shown_part(result.joint)
    page = compose(
        result, shown, side_view(), page_mm, units, whole_scale=True,
        scale_note=f"scale {{scale}} : 1 on a page of {page_mm[0]:g} x {page_mm[1]:g} mm",
    )  # fmt: skip
    width, height = page_mm
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
            f'viewBox="0 0 {width:g} {height:g}" data-scale="{page.view.scale:g}" role="img">'
        ),
        f"<title>{escape(_clean(title_of(result)))}</title>",
        f'<rect width="{width:g}" height="{height:g}" fill="{PAPER}"/>',
        *(_ink(ink) for ink in page.under),
        '<g id="wire" fill="none" stroke-linejoin="round" stroke-linecap="butt">',
        *_wire(shown, page),
        "</g>",
        '<g id="labels">',
        *(_ink(ink) for ink in page.over),
        "</g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def write_drawing(
    result: ShapeResult,
    path: Path,
    units: UnitSystem = "metric",
    *,
    page_mm: tuple[float, float] = PAGE_MM,
    force: bool = False,
) -> None:
    """Write the drawing to an SVG file, whole or not at all; raises InputFaults when it cannot."""
    write_whole(path, drawing_svg(result, units, page_mm=page_mm), force=force)


def pieces(shown: Shown, view: View) -> list[Piece]:
    """The wire cut into short pieces, straight ones longer, the farthest from the viewer first."""
    _, near = view.project(shown.points_mm)
    found: list[Piece] = []
    for run in shown.pieces:
        steps = np.linalg.norm(np.diff(shown.points_mm[run], axis=0), axis=1)
        turns = np.linalg.norm(np.diff(shown.tangents[run], axis=0), axis=1)
        cost = np.maximum(steps / (_PIECE_D * shown.d_mm), turns / _PIECE_RAD)
        run_up = np.concatenate(([0.0], np.cumsum(cost)))
        edges = np.linspace(0.0, run_up[-1], max(int(np.ceil(run_up[-1])), 1) + 1)
        cuts = np.unique(np.searchsorted(run_up, edges - 1e-9).clip(0, len(run_up) - 1)) + run.start
        cuts[0], cuts[-1] = run.start, run.stop - 1
        found += [
            Piece((a, b), float(near[a : b + 1].mean()), run)
            for a, b in zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True)
        ]
    found.sort(key=lambda piece: (piece.near, piece.rows))
    return found


def _wire(shown: Shown, page: Sheet) -> list[str]:
    """Each piece as a dark stroke as wide as the wire and shaded facets inside it, far pieces first.

    The stroke laps one sample over its neighbours and the facets two, so that no seam and no dark end shows.
    """
    d = page.wire_width
    decimals = 2 if d >= 2.0 else 3
    flat, _ = page.view.project(shown.points_mm)
    towards = shown.tangents @ page.view.axes[2]
    facets_round = 24 if d >= 2.0 else 12 if d >= 0.5 else 6  # half of them face the viewer
    left, right, colours, seen = _surface(shown, page.view, d * _BODY / 2, facets_round)
    lines: list[str] = []
    for piece in pieces(shown, page.view):
        a, b = piece.lapped(2)
        middle = (a + b) // 2
        bent = float(np.linalg.norm(shown.tangents[b] - shown.tangents[a])) > _PIECE_RAD
        there = [a, middle, b] if bent else [a, b]
        facets = [
            f'<path d="{_path(corners, decimals)}Z" fill="{_hex(colours[middle, k])}"/>'
            for k in np.flatnonzero(seen[middle]).tolist()
            for corners in [np.concatenate((left[there, k], right[there[::-1], k]))]
        ]
        a, b = piece.lapped(1)
        stroke = _path(flat[a : b + 1], decimals)
        drawn = [f'<path d="{stroke}" stroke="{OUTLINE}" stroke-width="{d:.4f}"/>', *facets]
        for end, outwards in ((piece.run.start, -1.0), (piece.run.stop - 1, 1.0)):
            if end in piece.rows:
                cap = _cap(left[end], flat[end], d, decimals)
                drawn = [*drawn, cap] if outwards * towards[end] >= 0 else [cap, *drawn]
        lines += drawn
    return lines


def _surface(
    shown: Shown, view: View, radius: float, facets: int
) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """Both edges of each facet on the canvas (n, m, 2), its colour (n, m, 3), and whether it is seen (n, m)."""
    flat, _ = view.project(shown.points_mm)
    frames = [rotation_minimising_frame(shown.points_mm[run], shown.tangents[run]) for run in shown.pieces]
    u = np.concatenate([frame[0] for frame in frames]) @ view.axes.T
    v = np.concatenate([frame[1] for frame in frames]) @ view.axes.T
    turn = 2 * np.pi * np.arange(facets) / facets
    half = np.pi / facets

    def around(angle: Floats) -> Floats:
        return np.cos(angle)[None, :, None] * u[:, None] + np.sin(angle)[None, :, None] * v[:, None]

    def edge(angle: Floats) -> Floats:
        return flat[:, None, :] + radius / np.cos(half) * around(angle)[:, :, :2] * np.array([1.0, -1.0])

    normal = around(turn)
    return edge(turn - 1.15 * half), edge(turn + 1.15 * half), _shade(normal), normal[:, :, 2] > -0.05


def _shade(normal: Floats) -> Floats:
    """Colour (..., 3) of bright metal with unit normals (..., 3) in the viewer's axes."""
    lit = normal @ (_LAMP / np.linalg.norm(_LAMP))
    half_way = _LAMP / np.linalg.norm(_LAMP) + np.array([0.0, 0.0, 1.0])
    gleam = np.clip(normal @ (half_way / np.linalg.norm(half_way)), 0.0, 1.0) ** 24
    tone = np.clip(0.44 + 0.62 * lit, 0.0, 1.0)[..., None]
    low = _DARK + (_MIDDLE - _DARK) * np.minimum(2 * tone, 1.0)
    colour = low + (_LIGHT - _MIDDLE) * np.maximum(2 * tone - 1.0, 0.0)
    return np.clip(colour + 42.0 * gleam[..., None], 0.0, 255.0)


def _cap(ring: Floats, middle: Floats, width: float, decimals: int) -> str:
    """A cut end: its facet corners ring (m, 2) pushed out to the middle of the outline."""
    edge = middle + (ring - middle) * (1.0 + _BODY) / (2 * _BODY)
    return (
        f'<path d="{_path(edge, decimals)}Z" fill="#c3c9ce" stroke="{OUTLINE}" '
        f'stroke-width="{(1.0 - _BODY) / 2 * width:.4f}"/>'
    )


def _hex(colour: Floats) -> str:
    return "#" + "".join(f"{round(float(value)):02x}" for value in colour)


def _path(points: Floats, decimals: int) -> str:
    return "M" + "L".join(f"{x:.{decimals}f} {y:.{decimals}f}" for x, y in points.tolist())


def _ink(ink: Ink) -> str:
    if isinstance(ink, Text):
        weight = ' font-weight="bold"' if ink.bold else ""
        anchor = "" if ink.anchor == "start" else f' text-anchor="{ink.anchor}"'
        return (
            f'<text x="{ink.x:.3f}" y="{ink.y:.3f}" font-family="{_FONT}" font-size="{ink.size:.3f}" '
            f'fill="{ink.colour}"{weight}{anchor}>{escape(_clean(ink.text))}</text>'
        )
    role = f" data-role={quoteattr(ink.role)}" if ink.role else ""
    data = "M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in ink.points)
    if isinstance(ink, Stroke):
        return f'<path d="{data}" fill="none" stroke="{ink.colour}" stroke-width="{ink.width:.3f}"{role}/>'
    edge = f' stroke="{ink.edge}" stroke-width="{ink.edge_width:.3f}"' if ink.edge else ""
    return f'<path d="{data}Z" fill="{ink.fill or "none"}"{edge}{role}/>'


def _clean(text: str) -> str:
    """Text without the characters that XML cannot hold."""
    return "".join(
        char for char in text if char in "\t\n" or (ord(char) >= 0x20 and not 0xD800 <= ord(char) <= 0xDFFF
        and ord(char) not in (0xFFFE, 0xFFFF))
    )  # fmt: skip
