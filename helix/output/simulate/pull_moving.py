"""A simulated pull as a moving picture (WebP): its film, the load, where there is no way back, the colours of the tension."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.canvas import Canvas, Frame
from helix.output.canvas.legend import legend_shapes
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, SOFT, Area, Primitive, Stroke, Text, disc
from helix.output.picture.closeup.guide_shapes import arrow_shapes
from helix.output.picture.render import pin_body
from helix.output.picture.view import View, VisiblePart
from helix.output.shape.colouring import Legend, ramp, rgb
from helix.output.simulate.moving import OnProgress, endless, spline_wire, view_of
from helix.output.simulate.pull_film import PIN_HALF_D, PULLS_D, TENSION_NOTE, end_words, round_pin, said_words
from helix.output.simulate.pull_frames import PullFrames, pull_frames
from helix.output.words.answer_words import CAUTION, headline, short_title
from helix.studies.judge import judge
from helix.studies.simulate.pull_result import PullSimulation
from helix.units import UnitSystem

SIZE_PX: Final = (900, 600)
BETWEEN: Final = 3
"""Pictures from one moment of the film to the next."""
A_SECOND: Final = 24
PIN_COLOUR: Final = "#d9c9ae"
_INK_COLOUR: Final = "#ffffff"


def moving_pull(
    result: PullSimulation,
    units: UnitSystem = "metric",
    size_px: tuple[int, int] = SIZE_PX,
    on_output: OnProgress | None = None,
) -> bytes:
    """The middle run as an endless animation. Raises CannotRender where nothing can be drawn."""
    run = result.middle
    shown = pull_frames(run)
    times = np.linspace(0.0, len(shown.points) - 1.0, BETWEEN * (len(shown.points) - 1) + 1).tolist()
    return endless(lambda time: pull_canvas(result, shown, time, units, size_px), times, A_SECOND, on_output)


def pull_canvas(
    result: PullSimulation,
    shown: PullFrames,
    time: float,
    units: UnitSystem = "metric",
    size_px: tuple[int, int] = SIZE_PX,
) -> Canvas:
    """The picture of a moment, between the film's frames too: wire, pin, load, scale, and a line of the pull with the mark on it."""
    run, (width, height) = result.middle, size_px
    d = result.recipe.wire.diameter_mm
    f = min(width / 62.0, height / 40.0)
    margin, row = 1.6 * f, int(np.floor(time))
    box = (margin, 6.5 * f, width - margin, height - 11.5 * f)
    wire, colours = _wire(shown, time, d)
    view = _view(shown, np.array(run.pin_d) * d, d, box)
    middle = np.array(run.pin_d[:3]) * d
    pin = pin_body(middle, np.array([0.0, 1.0, 0.0]), 1.97 * run.pin_d[3] * d, 2.0 * PIN_HALF_D * d, rgb(PIN_COLOUR))
    frame = Frame(box, view, wire, colours, things=(pin,))
    load, words = said_words(shown, row, d, result.strength_n, units)
    gone = row >= shown.last
    judged = f"{headline(judge(result.recipe, result.of_hold), units)} (the joint, as judged)"
    over: list[Primitive] = [
        Text(margin, 2.4 * f, fitted_line(short_title(result.recipe.title), 1.3 * f, 0.55 * width, bold=True), 1.3 * f, INK, True),
        Text(margin, 4.3 * f, "Simulated, not tested", 1.15 * f, INK, True),
        Text(width - margin, 3.0 * f, load, 2.2 * f, INK, True, "end"),
        Text(width - margin, 4.9 * f, fitted_line(words, f, 0.68 * width), f, INK, anchor="end"),
    ]  # fmt: skip
    end = view.project(wire.points_mm[:1])[0][0]
    long = (
        PULLS_D * d * view.scale * (_between([point.load for point in shown.curve], time) if shown.bears(row) else 0.0)
    )
    if long > 3.0 * f:
        over += arrow_shapes(((end[0], end[1]), (end[0] + long, end[1])), 0.35 * f, "pull")
    low = view.project([middle, middle - [0.0, 0.0, run.pin_d[3] * d]])[0]
    over.append(
        Stroke(
            (tuple((0.3 * low[0] + 0.7 * low[1]).tolist()), tuple(low[1].tolist())), 0.25 * f, INK, "mark on the pin"
        )
    )
    runs = round_pin(run, d)
    if runs is not None and gone:
        over += arrow_shapes(tuple((x, y) for x, y in view.project(runs)[0].tolist()), 0.3 * f, "runs round the pin")
    y, x0, x1 = height - 9.6 * f, margin, width - margin
    at = [x0 + share / (len(shown.points) - 1) * (x1 - x0) for share in (shown.last, time)]
    over += [
        Stroke(((x0, y), (x1, y)), 0.25 * f, SOFT, "pull"),
        Stroke(((at[0], y - 0.7 * f), (at[0], y + 0.9 * f)), 0.2 * f, INK, "gives way"),
        Area(disc(at[1], y, 0.6 * f), INK),
        Text(at[0] - 0.5 * f, y + 1.7 * f, "gives way", 0.9 * f, SOFT, anchor="end"),
        Text(x0, y - 1.2 * f, f"{end_words(run)}." if gone else "Pulled.", 1.15 * f, INK, True),
        *legend_shapes(Legend("Tension", scale=(0.0, 1.0), ticks=((0.0, "0"), (0.5, "half"), (1.0, "all")), note=TENSION_NOTE), x0, y + 2.2 * f, f, 0.48 * (x1 - x0)),
        *(Text(0.52 * width, y + (3.4 + 1.3 * k) * f, line, f, INK) for k, line in enumerate(wrapped(judged, f, x1 - 0.52 * width, most=3))),
        Text(x1, height - 0.6 * f, fitted_line(CAUTION, 0.8 * f, x1 - x0), 0.8 * f, SOFT, anchor="end"),
    ]  # fmt: skip
    return Canvas(width, height, (frame,), tuple(over), title=f"{short_title(result.recipe.title)}: simulated pull")


def _between(values: Any, time: float) -> Any:
    """A value between two frames."""
    values = np.asarray(values)
    row = min(int(np.floor(time)), len(values) - 1)
    share = time - row
    return values[row] if share == 0.0 else (1.0 - share) * values[row] + share * values[row + 1]


def _wire(shown: PullFrames, time: float, d_mm: float) -> tuple[VisiblePart, NDArray[np.float64]]:
    """The wire at a moment, in one piece or in two, and its colours."""
    nodes, tension = _between(shown.points, time) * d_mm, _between(shown.tensions, time)
    cuts = [] if shown.broken is None or time <= shown.last else [shown.broken]
    shades = np.where(shown.ink[:, None], rgb(_INK_COLOUR), ramp(np.clip(tension, 0.0, 1.0)))
    return spline_wire(nodes, shades, d_mm, cuts)


def _view(shown: PullFrames, pin_mm: NDArray[np.float64], d_mm: float, box: tuple[float, float, float, float]) -> View:
    """A view that holds all of the film, the pin and the arrow."""
    corners = [pin_mm[:3] + way * (pin_mm[3] + d_mm) * axis for axis in np.eye(3) for way in (-1.0, 1.0)]
    far = shown.points[:, 0] * d_mm + [0.0, 0.0, PULLS_D * d_mm]
    low = pin_mm[:3] - [0.0, 0.0, pin_mm[3] + 3.0 * d_mm]  # the arrow round the pin
    line = np.vstack([shown.points[0] * d_mm, shown.points[-1] * d_mm, far, corners, low[None]])
    return view_of(line, d_mm, box)
