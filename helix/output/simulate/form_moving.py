"""A simulated forming as a moving picture (WebP): what the hands do, how far they are, the colours of the bend."""

from __future__ import annotations

from typing import Final

import numpy as np

from helix.output.canvas.canvas import Canvas, Frame
from helix.output.canvas.legend import legend_shapes
from helix.output.canvas.lettering import fitted_line, wrapped
from helix.output.canvas.primitives import INK, SOFT, Area, Primitive, Stroke, Text, disc
from helix.output.picture.render import pin_body
from helix.output.shape.colouring import Legend, ramp, rgb
from helix.output.simulate.forming_film import BENT_TICKS, MOST_STRAIN, done_words, pin_corners, pin_half, said_words
from helix.output.simulate.moving import OnProgress, endless, spline_wire, view_of
from helix.output.simulate.pull_moving import PIN_COLOUR, SIZE_PX
from helix.output.words.answer_words import CAUTION, headline, short_title
from helix.studies.judge import judge
from helix.studies.simulate.form_result import FormRun
from helix.studies.simulate.pull_result import PullSimulation
from helix.units import UnitSystem

A_SECOND: Final = 8


def moving_form(
    result: PullSimulation,
    run: FormRun,
    units: UnitSystem = "metric",
    size_px: tuple[int, int] = SIZE_PX,
    on_output: OnProgress | None = None,
) -> bytes:
    """The forming as an endless animation, a picture a frame. Raises CannotRender where nothing can be drawn."""
    frames = range(len(run.frames))
    return endless(lambda k: form_canvas(result, run, int(k), units, size_px), frames, A_SECOND, on_output)


def form_canvas(
    result: PullSimulation, run: FormRun, frame: int, units: UnitSystem = "metric", size_px: tuple[int, int] = SIZE_PX
) -> Canvas:
    """The picture of a frame: wire, pin, what the hands do, scale, and a line of the whole forming with its stages marked."""
    width, height = size_px
    d, pin = result.recipe.wire.diameter_mm, result.recipe.eye.pin_mm
    f = min(width / 62.0, height / 40.0)
    margin = 1.6 * f
    there = run.there(frame)
    wire, colours = spline_wire(
        run.frames[frame, there] * d, ramp(np.clip(run.strains[frame, there] / MOST_STRAIN, 0.0, 1.0)), d
    )
    long = 2.0 * pin_half(pin, d)
    body = pin_body(np.zeros(3), np.array([0.0, 1.0, 0.0]), 0.985 * pin, long, rgb(PIN_COLOUR))
    box = (margin, 6.5 * f, width - margin, height - 11.5 * f)
    view = view_of(np.vstack([run.frames.reshape(-1, 3) * d, pin_corners(pin, d)]), d, box)
    title, sentence = done_words(run.stages[frame])
    far, hardest = said_words(run, frame)
    judged = f"{headline(judge(result.recipe, result.of_hold), units)} (the joint, as judged)"
    y, x0, x1 = height - 9.6 * f, margin, width - margin
    places = [x0 + k / max(len(run.frames) - 1, 1) * (x1 - x0) for k in (*run.starts[1:], frame)]
    over: list[Primitive] = [
        Text(margin, 2.4 * f, fitted_line(short_title(result.recipe.title), 1.3 * f, 0.55 * width, bold=True), 1.3 * f, INK, True),
        Text(margin, 4.3 * f, "Simulated, not tested", 1.15 * f, INK, True),
        Text(width - margin, 3.0 * f, far, 1.6 * f, INK, True, "end"),
        Text(width - margin, 4.9 * f, f"hands {run.hands_deg:.0f} deg apart, {hardest}", f, INK, anchor="end"),
        Stroke(((x0, y), (x1, y)), 0.25 * f, SOFT, "forming"),
        *(Stroke(((x, y - 0.7 * f), (x, y + 0.7 * f)), 0.2 * f, INK, "stage") for x in places[:-1]),
        Area(disc(places[-1], y, 0.6 * f), INK),
        Text(x0, y - 1.2 * f, fitted_line(f"{title}. {sentence}", 1.15 * f, x1 - x0, bold=True), 1.15 * f, INK, True),
        *legend_shapes(Legend("Bend", scale=(0.0, MOST_STRAIN), ticks=BENT_TICKS, note="strain of the outer fibres; simulated, not tested"), x0, y + 2.2 * f, f, 0.48 * (x1 - x0)),
        *(Text(0.52 * width, y + (3.4 + 1.3 * k) * f, line, f, INK) for k, line in enumerate(wrapped(judged, f, x1 - 0.52 * width, most=3))),
        Text(x1, height - 0.6 * f, fitted_line(CAUTION, 0.8 * f, x1 - x0), 0.8 * f, SOFT, anchor="end"),
    ]  # fmt: skip
    frames = (Frame(box, view, wire, colours, things=(body,)),)
    return Canvas(width, height, frames, tuple(over), title=f"{short_title(result.recipe.title)}: simulated forming")
