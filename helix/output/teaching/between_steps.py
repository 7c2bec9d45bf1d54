"""The wire at a time between two steps in a step's picture: ways of hands, and a view that goes over to the handle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.canvas import Box
from helix.output.canvas.primitives import Primitive
from helix.output.picture.closeup.guide_shapes import arrow_shapes
from helix.output.picture.view import TILT_RAD, View, side_view
from helix.studies.teaching.making import WireNow, wires_at

if TYPE_CHECKING:
    from helix.output.teaching.bench import Bench


@dataclass(frozen=True)
class Between:
    """Each wire at a time between two steps, in the place of a step's own.

    hands_mm: ways of hands, points (n, 3) each. count: turns or wraps by then, in words. tail_mm, tail: points (n, 3) of the
    handle, and how far the view has gone over to that of all of it, 0 to 1. pin: whether the joint is still on it.
    """

    wires: tuple[WireNow, ...]
    hands_mm: tuple[NDArray[np.float64], ...] = ()
    count: str = ""
    tail_mm: NDArray[np.float64] | None = None
    tail: float = 0.0
    pin: bool = True


def handle_swept(bench: Bench) -> NDArray[np.float64] | None:
    """The joint with its handle, bent and rocked as far as it will be, in mm (n, 3); None where there is no handle."""
    kinds = [move.kind for move in bench.making.moves]
    if "rock" not in kinds:
        return None
    first = kinds.index("rock")
    points = []
    for moment in (first, first + 0.2):
        for making, now in zip(bench.making.wires, wires_at(bench.making, moment), strict=True):
            samples = now.path.sample(0.2, 1.0)
            points.append(samples.points[samples.s > making.throat_d[0]] * bench.d_mm)
    return np.concatenate(points)


def tail_view(points_mm: NDArray[np.float64], d: float, area: Box) -> View:
    """The joint and all of the handle, but little of the standing leg."""
    x0, y0, x1, y1 = area
    flat, _ = side_view(TILT_RAD).project(points_mm)
    low, high = flat.min(axis=0) - 3.0 * d, flat.max(axis=0) + 3.0 * d
    scale = float(min((x1 - x0) / (high[0] - low[0]), (y1 - y0) / (high[1] - low[1])))
    middle = (low + high) / 2 * scale
    return View(side_view(TILT_RAD).axes, scale, ((x0 + x1) / 2 - float(middle[0]), (y0 + y1) / 2 - float(middle[1])))


def passing_view(one: View, other: View, share: float) -> View:
    """A view between two along the same directions: its scale passes over in proportion."""
    scale = one.scale * (other.scale / one.scale) ** share
    x, y = (a + share * (b - a) for a, b in zip(one.origin, other.origin, strict=True))
    return View(one.axes, scale, (x, y))


def way_shapes(now: Between, view: View, area: Box, f: float) -> list[Primitive]:
    """Arrows along the ways that hands go next, as far as they are in the picture."""
    x0, y0, x1, y1 = area
    shapes: list[Primitive] = []
    for way in now.hands_mm:
        flat = view.project(way)[0]
        inside = np.all((flat > (x0 + f, y0 + f)) & (flat < (x1 - f, y1 - f)), axis=1)
        flat = flat[np.cumprod(inside).astype(bool)]
        if float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum()) > 1.5 * f:
            shapes += arrow_shapes(tuple((float(x), float(y)) for x, y in flat), 0.35 * f, "hand")
    return shapes
