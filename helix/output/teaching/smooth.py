"""The making as a moving picture at 30 a second (WebP): the wire at every time of its film, in a view that goes along."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.canvas import canvas_pixels
from helix.output.picture.render import painter
from helix.output.teaching.bench import Bench
from helix.output.teaching.between_steps import Between, handle_swept
from helix.output.teaching.step_pictures import step_canvas
from helix.output.words.words import counted
from helix.studies.teaching.film import FRAMES_A_SECOND, Film, FilmState, film_of, film_state
from helix.studies.teaching.steps import Step

_MARKS_MS, _LAST_MS = 2500, 2500
_KEY_FRAMES: Final = 60  # at the most between two whole pictures
_HOLD_D = 6.0  # a hand is shown no farther from the work, so that it is in the picture
_PAN_S = 0.8  # in which the view passes over to the handle, and back

OnProgress = Callable[[int, int], None]
Pixels = NDArray[np.uint8]


def smooth_times(film: Film) -> list[float]:
    """The times of the pictures: 30 a second, from the straight wire on the pin to the finished joint."""
    first = float(film.times[1])
    count = round(film.seconds * (1.0 - first) * FRAMES_A_SECOND) + 1
    return [float(time) for time in np.linspace(first, 1.0, count)]


def smooth_bytes(
    bench: Bench, steps: Sequence[Step], size_px: tuple[int, int], on_output: OnProgress | None = None
) -> bytes:
    """The making as an endless WebP animation, one picture in memory at a time. Raises CannotRender where nothing can be drawn."""
    film = film_of(bench.result, steps, _HOLD_D)
    times = smooth_times(film)
    edges = np.round(np.arange(len(times) + 1) * 1000.0 / FRAMES_A_SECOND).astype(
        int
    )  # so that thirds of a ms do not add up
    shown = [_MARKS_MS, *np.diff(edges).tolist()[:-1], _LAST_MS]
    buffer = io.BytesIO()
    with painter() as by:

        def pictures() -> Iterator[Pixels]:
            yield canvas_pixels(step_canvas(bench, film.steps[0], size_px), by=by)[..., :3]
            tail_mm = handle_swept(bench)
            for done, time in enumerate(times, 2):
                state = film_state(film, time)
                between = _between(bench, film, state, tail_mm)
                pixels = canvas_pixels(step_canvas(bench, state.step, size_px, now=between), by=by)
                if on_output:
                    on_output(done, len(shown))
                yield pixels[..., :3]

        reel = _reel(pictures(), len(shown))
        reel.save(buffer, "WEBP", save_all=True, duration=shown, loop=0, quality=82, method=2, kmin=0, kmax=_KEY_FRAMES)
    return buffer.getvalue()


def _between(bench: Bench, film: Film, state: FilmState, tail_mm: NDArray[np.float64] | None) -> Between:
    handle = next((film.time_of(step.number - 1) for step in film.steps if step.kind == "handle"), 1.0)
    off = float(film.times[-3]) if tail_mm is not None else 1.0
    pan = _PAN_S / film.seconds
    share = float(np.clip(min((state.time - handle) / pan, 1.0 - (state.time - off) / pan), 0.0, 1.0))
    return Between(
        wires=state.wires,
        hands_mm=tuple(way * bench.d_mm for way in state.hands if way is not None),
        count=""
        if state.count is None or state.of is None
        else f"{state.count:.1f} {counted(state.step.kind, state.of)}",
        tail_mm=tail_mm,
        tail=share * share * (3.0 - 2.0 * share),
        pin=state.pin_out < 1.0,
    )


def _reel(pictures: Iterator[Pixels], count: int) -> Any:
    """A picture of many, of which Pillow asks for one after the other and none twice."""
    from PIL import Image

    class Reel(Image.Image):
        n_frames = count
        at = -1

        def seek(self, frame: int) -> None:
            if frame > self.at:
                self.at = frame
                one = Image.fromarray(next(pictures))
                self.im, self._mode, self._size = one.im, one.mode, one.size

    reel = Reel()
    reel.seek(0)
    return reel
