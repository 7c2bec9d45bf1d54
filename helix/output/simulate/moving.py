"""What moving pictures (WebP) of a simulation share: the wire of a moment, a view that holds all of the film, the file."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.canvas import Canvas, canvas_pixels
from helix.output.picture.render import painter
from helix.output.picture.view import TILT_RAD, View, VisiblePart, fitted, side_view

Floats = NDArray[np.float64]
OnProgress = Callable[[int, int], None]

_LAST_MS: Final = 2500
_FINE: Final = 4  # places between two of the film's


def endless(
    draw: Callable[[float], Canvas], times: Sequence[float], a_second: int, on_output: OnProgress | None = None
) -> bytes:
    """The pictures of all times as an endless animation. Raises CannotRender where nothing can be drawn."""
    from PIL import Image

    pictures = []
    with painter() as by:
        for done, time in enumerate(times, 1):
            pictures.append(Image.fromarray(canvas_pixels(draw(time), by=by)[..., :3]))
            if on_output:
                on_output(done, len(times))
    each = [round(1000.0 / a_second)] * (len(pictures) - 1)
    buffer = io.BytesIO()
    pictures[0].save(
        buffer, "WEBP", save_all=True, append_images=pictures[1:], duration=[*each, _LAST_MS], loop=0, quality=82, method=2
    )  # fmt: skip
    return buffer.getvalue()


def spline_wire(nodes_mm: Floats, shades: Floats, d_mm: float, cuts: Iterable[int] = ()) -> tuple[VisiblePart, Floats]:
    """The wire of a moment, a quadratic spline over its places (n, 3), in two where it is cut; its colours from those of the places (n, 3)."""
    u = (np.arange(_FINE) + 0.5) / _FINE - 0.5
    points, along, colours = [], [], []
    pieces: list[slice] = []
    for first, last in pairwise([0, *cuts, len(nodes_mm)]):
        own = nodes_mm[first:last]
        before, here, after = (own[k : len(own) - 2 + k, None] for k in range(3))
        a, b = 0.5 - u[:, None], 0.5 + u[:, None]
        points.append((0.5 * a**2 * before + (0.75 - u[:, None] ** 2) * here + 0.5 * b**2 * after).reshape(-1, 3))
        along.append((-a * before - 2.0 * u[:, None] * here + b * after).reshape(-1, 3))
        colours.append(np.repeat(shades[first + 1 : last - 1], _FINE, axis=0))
        start = pieces[-1].stop if pieces else 0
        pieces.append(slice(start, start + len(points[-1])))
    line, tangents = np.concatenate(points), np.concatenate(along)
    tangents /= np.linalg.norm(tangents, axis=1, keepdims=True)
    s = np.concatenate([[0.0], np.linalg.norm(np.diff(line, axis=0), axis=1).cumsum()])
    part = VisiblePart(line, tangents, np.zeros(len(line), dtype=np.int64), s, tuple(pieces), None, ("wire",), d_mm)
    return part, np.concatenate(colours)


def view_of(line_mm: Floats, d_mm: float, box: tuple[float, float, float, float]) -> View:
    """A view in which all these places (n, 3) lie in the box."""
    all_of_it = VisiblePart(
        line_mm,
        line_mm,
        np.zeros(len(line_mm), dtype=np.int64),
        np.zeros(len(line_mm)),
        (slice(0, len(line_mm)),),
        None,
        ("wire",),
        d_mm,
    )
    return fitted(side_view(TILT_RAD), all_of_it, box)
