"""The making as a moving picture at 30 a second.

Map of what must hold:
  a picture each thirtieth of a second; each is drawn once, in order, and only when it is written
  a picture shows the wire at its time with the handle that broke off, counts, and keeps the ways of hands inside
  the view passes over to the handle and back without a jump
"""

from __future__ import annotations

import io
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from helix.output.canvas.canvas import Canvas
from helix.output.canvas.primitives import Stroke, Text
from helix.output.teaching import smooth
from helix.output.teaching.bench import Bench, bench_of
from helix.output.teaching.between_steps import handle_swept
from helix.output.teaching.step_pictures import step_canvas
from helix.studies.teaching.film import Film, film_of, film_state
from tests.studies.teaching.test_steps import lesson


@cache
def bench() -> Bench:
    return bench_of(lesson("good"), "metric")


@cache
def film() -> Film:
    return film_of(lesson("good"), None, 6.0)


def canvas(time: float) -> Canvas:
    state = film_state(film(), time)
    between = smooth._between(bench(), film(), state, handle_swept(bench()))
    return step_canvas(bench(), state.step, (900, 600), now=between)


def test_a_picture_each_thirtieth_of_a_second() -> None:
    times = np.array(smooth.smooth_times(film())) * film().seconds
    assert np.diff(times) == pytest.approx(np.full(len(times) - 1, 1 / 30), rel=2e-3)
    assert times[-1] == pytest.approx(film().seconds)


def test_a_picture_counts_and_keeps_hands_inside() -> None:
    for number in (3, 6, 9, 12, 16):
        made = canvas(film().time_of(number) - 0.02)
        x0, y0, x1, y1 = made.frames[0].box
        for stroke in (shape for shape in made.over if isinstance(shape, Stroke) and shape.role == "hand"):
            assert all(x0 < x < x1 and y0 < y < y1 for x, y in stroke.points)
        counted = [
            shape.text
            for shape in made.over
            if isinstance(shape, Text) and " of 5 " in shape.text and shape.anchor == "end"
        ]
        assert bool(counted) == (number in (6, 12)), number
    off = canvas(float(film().times[-2]) - 0.005)
    assert off.frames[0].shown.pieces[1].stop == len(off.frames[0].shown.s_mm)  # in two


def test_the_view_passes_over_without_a_jump() -> None:
    times = np.linspace(film().time_of(15) - 0.01, 1.0, 50)
    scales = np.log([canvas(float(time)).frames[0].view.scale for time in times])
    all_of_it, step_s = np.ptp(scales), (times[1] - times[0]) * film().seconds
    assert np.abs(np.diff(scales)).max() <= 1.5 * all_of_it * step_s / 0.8  # the steepest of 3 x^2 - 2 x^3 over 0.8 s
    assert all_of_it > 0.3 and scales[-1] == pytest.approx(scales[0], abs=1e-9)


def test_pictures_are_asked_for_one_by_one(monkeypatch: pytest.MonkeyPatch, rendering: None) -> None:
    from PIL import Image

    drawn: list[float] = []
    own = step_canvas

    def counted(*given: Any, **more: Any) -> Any:
        drawn.append(len(drawn))
        return own(*given, **more)

    monkeypatch.setattr(smooth, "step_canvas", counted)
    monkeypatch.setattr(smooth, "smooth_times", lambda of: [0.2, 0.9])
    done: list[int] = []
    written = smooth.smooth_bytes(bench(), film().steps, (320, 210), lambda now, of: done.append(now))
    made = Image.open(io.BytesIO(written))
    assert (made.format, getattr(made, "n_frames", 0), made.size) == ("WEBP", 3, (320, 210))
    assert len(drawn) == 3 and done == [2, 3]
    pictures = []
    for k in range(3):
        made.seek(k)
        pictures.append(np.asarray(made.convert("RGB"), dtype=float))
    assert all(np.abs(a - b).max() > 100 for a, b in pairwise(pictures))
