"""The making of a joint as moving pictures (GIF, WebP), and as a page of pictures to step through (HTML)."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.canvas.canvas import canvas_pixels
from helix.output.picture.render import Painter, painter
from helix.output.report.document_html import html_file, inline_image
from helix.output.teaching.bench import Bench
from helix.output.teaching.between_steps import Between, handle_swept
from helix.output.teaching.step_pictures import step_canvas
from helix.output.words.answer_words import CAUTION
from helix.output.words.step_words import step_words
from helix.output.words.words import answer_line, mark_number, of_each_wire, tape_numbers, title_of
from helix.studies.teaching.making import wires_at
from helix.studies.teaching.steps import Step
from helix.units import UNIT_WORDS

SIZE_PX = (900, 600)
_BETWEEN = {"twist": 8, "wrap": 8, "bend": 8, "cross": 8, "straighten": 6, "swing": 6, "handle": 6}
MOST_FRAMES = 240
_ROCKED: Final = 28
"""Frames in which the handle is rocked until it breaks."""
_MOVING_MS, _RESTING_MS, _LAST_MS = 90, 1100, 3000

OnProgress = Callable[[int, int], None]


@dataclass(frozen=True)
class Moment:
    """A frame: the step that it leads to, the moment of the making (None: the step as it is), how long it stays; whether
    the handle is rocked in it, which is at the step before."""

    step: Step
    moment: float | None
    shown_ms: int
    rocked: bool = False


def moments(steps: Sequence[Step]) -> list[Moment]:
    """The frames of an animation: every step rests a second, between two of them the wire moves; the handle is rocked."""
    made = [Moment(steps[0], None, 2 * _RESTING_MS)]
    wanted = sum(_BETWEEN.get(step.kind, 0) for step in steps[1:])
    rocked = _ROCKED if any(_breaks(*pair) for pair in pairwise(steps)) else 0
    share = min(1.0, max(MOST_FRAMES - len(steps) - rocked, 0) / max(wanted, 1))
    rocked = min(rocked, max(MOST_FRAMES - len(steps), 0))
    for before, step in pairwise(steps):
        between = int(_BETWEEN.get(step.kind, 0) * share)
        for part in (np.arange(1, between) / between).tolist() if between > 1 else []:
            moment = before.moment + part * (step.moment - before.moment)
            made.append(Moment(step, moment, _MOVING_MS))
        if _breaks(before, step):  # the first of the moves between the two
            rocks = before.moment + np.arange(1, rocked + 1) / (rocked + 1)
            made += [Moment(before, moment, _MOVING_MS, rocked=True) for moment in rocks.tolist()]
        made.append(Moment(step, None, _RESTING_MS))
    made[-1] = Moment(made[-1].step, None, _LAST_MS)
    return made


def _breaks(before: Step, step: Step) -> bool:
    """Whether a handle is worked off between two steps."""
    return before.kind == "handle" and step.broken_off_d > 0.0


def frames(
    bench: Bench, shown: Sequence[Moment], size_px: tuple[int, int] = SIZE_PX, on_output: OnProgress | None = None
) -> Iterator[NDArray[np.uint8]]:
    """Each frame (height, width, 3), 0 to 255; tell: called with how many are done, and of how many."""
    swept = handle_swept(bench) if any(moment.rocked for moment in shown) else None
    with painter() as by:
        for done, moment in enumerate(shown):
            yield _frame(bench, moment, size_px, by, swept)
            if on_output:
                on_output(done + 1, len(shown))


def moving_bytes(
    bench: Bench,
    steps: Sequence[Step],
    kind: str,
    size_px: tuple[int, int] = SIZE_PX,
    on_output: OnProgress | None = None,
) -> bytes:
    """The making as an endless animation; kind: "gif" or "webp". Raises CannotRender where nothing can be drawn."""
    from PIL import Image

    made = moments(steps)
    pictures = [Image.fromarray(pixels) for pixels in frames(bench, made, size_px, on_output)]
    shown = [moment.shown_ms for moment in made]
    how: dict[str, Any] = {"save_all": True, "duration": shown, "loop": 0}
    if kind == "gif":
        palette = _palette(pictures)
        pictures = [picture.quantize(palette=palette, dither=Image.Dither.NONE) for picture in pictures]
        how |= {"optimize": False, "disposal": 1}
    else:
        how |= {"quality": 82, "method": 2}
    buffer = io.BytesIO()
    pictures[0].save(buffer, kind.upper(), append_images=pictures[1:], **how)
    return buffer.getvalue()


def steps_html(bench: Bench, steps: Sequence[Step], pictures: Sequence[bytes], kind: str) -> str:
    """One self-contained page: a picture and a sentence for each step, to go through by key, touch or button.

    kind: of the pictures, "webp" or "svg+xml". Without scripts all steps stand one below the other.
    """
    title = f"{title_of(bench.result)}: how it is made"
    rows = "".join(
        f"<tr><td>{mark.letter}</td><td>{mark_number(mark, bench.units)}</td>"
        f"<td>{tape_numbers([place.from_standing_end_mm for place in mark.places], bench.units)}</td><td>{escape(mark.what)}</td></tr>\n"
        for mark in bench.marks
    )
    unit = f"{UNIT_WORDS[bench.units]}{of_each_wire(bench.marks, bench.units)}"
    figures = "".join(
        f'<figure id="step{step.number}"><figcaption><b>{step.number} of {len(steps)}. {escape(step.title)}.</b> '
        f"{escape(step_words(step, bench.result, bench.units))}</figcaption>\n{inline_image(picture, kind, step.title)}</figure>\n"
        for step, picture in zip(steps, pictures, strict=True)
    )
    body = (
        f"<h1>{escape(title)}</h1>\n<p>{escape(answer_line(bench.result, bench.units))}</p>\n"
        f'<nav hidden><button id="back">Back</button> <input id="which" type="range" min="1" max="{len(steps)}" '
        'value="1" aria-label="Step"> <button id="on">Next</button></nav>\n'
        f"<main>\n{figures}</main>\n"
        f"<table><caption>Ink marks</caption><thead><tr><th></th><th>{unit} from the tag's end</th>"
        f"<th>{unit} from the standing end</th><th></th></tr></thead><tbody>\n{rows}</tbody></table>\n"
        f'<p class="note">{escape(CAUTION)}</p>'
    )
    return html_file(title, body, _STYLE, _SCRIPT)


def _frame(
    bench: Bench, moment: Moment, size_px: tuple[int, int], by: Painter, swept: NDArray[np.float64] | None
) -> NDArray[np.uint8]:
    if moment.moment is None:
        canvas = step_canvas(bench, moment.step, size_px)
    else:
        now = Between(wires_at(bench.making, moment.moment), tail_mm=swept if moment.rocked else None, tail=1.0)
        canvas = step_canvas(bench, moment.step, size_px, now=now)
    return canvas_pixels(canvas, by=by)[..., :3]


def _palette(pictures: Sequence[Any]) -> Any:
    """256 colours that serve all frames, taken from some of them."""
    from PIL import Image

    some = [pictures[k] for k in np.unique(np.linspace(0, len(pictures) - 1, 6).astype(int))]
    width, height = some[0].size
    sheet = Image.new("RGB", (width, height * len(some)))
    for k, picture in enumerate(some):
        sheet.paste(picture, (0, k * height))
    return sheet.quantize(256, method=Image.Quantize.MEDIANCUT)


_STYLE = """
figcaption { min-height: 3em; } img { border-radius: 4px; background: #f6f5f2; } b { font-weight: 600; }
nav { display: flex; gap: .8rem; align-items: center; position: sticky; top: 0; padding: .5rem 0;
  background: var(--paper); } nav[hidden] { display: none; }
button { font: inherit; padding: .4rem 1.1rem; min-height: 2.6rem; } input { flex: 1; min-height: 2.6rem; }
td:first-child { font-weight: 600; } td:last-child, td:first-child { text-align: left; }
""".lstrip()

_SCRIPT = """
(function () {
  const figures = [...document.querySelectorAll("figure")], which = document.getElementById("which");
  let now = 1;
  function show(step) {
    now = Math.min(Math.max(step, 1), figures.length);
    figures.forEach((figure, k) => { figure.hidden = k + 1 !== now; });
    which.value = now;
  }
  document.querySelector("nav").hidden = false;
  document.getElementById("back").onclick = () => show(now - 1);
  document.getElementById("on").onclick = () => show(now + 1);
  which.oninput = () => show(Number(which.value));
  document.onkeydown = (event) => {
    if (event.target === which) return;
    const way = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, " ": 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 };
    if (event.key in way && event.target.tagName !== "BUTTON") { show(now + way[event.key]); event.preventDefault(); }
    if (event.key === "Home") { show(1); event.preventDefault(); }
    if (event.key === "End") { show(figures.length); event.preventDefault(); }
  };
  let from = null;
  document.addEventListener("touchstart", (event) => { from = event.changedTouches[0].clientX; }, { passive: true });
  document.addEventListener("touchend", (event) => {
    const moved = event.changedTouches[0].clientX - from;
    if (event.target !== which && Math.abs(moved) > 60) show(now + (moved < 0 ? 1 : -1));
  }, { passive: true });
  show(1);
})();
""".strip()
