"""A simulated forming as a film for the viewer: the wire at each moment in small numbers, how hard it is bent, what the hands do.

The keys are described in docs/sheet-and-viewer.md. The page lays a smooth line through the places and works out nothing else.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.mechanics import limits
from helix.output.shape.colouring import TAG_TONE, rgb
from helix.output.simulate.pull_film import film_legend, wire_film
from helix.output.viewer.scene import METAL, outermost
from helix.output.words.sentence_format import TESTED
from helix.output.words.words import quarters
from helix.studies.simulate.form_result import FormRun, Stage
from helix.units import UnitSystem

A_SECOND: Final = 5
MOST_STRAIN: Final = 0.64
"""The last shade; the wire's own wrapping test strains it by 0.5."""
BENT_NOTE: Final = (
    "strain of the outer fibres, from blue (straight) to pale yellow (0.6 and more); simulated, not tested"
)
BENT_TICKS: Final = ((0.0, "0"), (0.25, "0.25"), (0.5, "0.5"))
_DONE: Final = {
    Stage.TWIST: ("Twist", "Both legs go round each other; the eye is seen at rest, the hands go round it."),
    Stage.STRAIGHTEN: ("Straighten the leg", "The twist is held, the standing leg comes into line."),
    Stage.SWING: ("Swing the tag", "The tag is pulled out, nearly square to the leg."),
    Stage.WIND: ("Wind the barrel", "The tag goes round the leg, wrap on wrap."),
    Stage.LET_GO: ("Let go", "The tag is cut off; barrel and twist spring open a little."),
}
_PIN_HALF_D: Final = 2.0
_PAN: Final = 3
_MARK: Final = "Simulated, not tested."


def forming_film(run: FormRun, pin_d: float, d_mm: float, units: UnitSystem = "metric") -> dict[str, Any]:
    """The film of a forming, ready for JSON; lengths in mm. pin_d: diameter of the pin."""
    points = np.round(run.frames * d_mm, 4)
    tone = np.where(run.tag[:, None], rgb(METAL) * TAG_TONE, rgb(METAL))
    return wire_film(points, run.strains / MOST_STRAIN, tone, d_mm, units) | {
        "a_second": A_SECOND,
        "starts": list(run.starts),
        "captions": [
            {"title": title, "sentence": f"{sentence} {_MARK}"}
            for title, sentence in (done_words(run.stages[k]) for k in run.starts)
        ],
        "said": [said_words(run, k) for k in range(len(points))],
        "pin": {
            "middle": [0.0, 0.0, 0.0],
            "radius": round(0.985 * 0.5 * pin_d * d_mm, 4),
            "half": pin_half(pin_d * d_mm, d_mm),
        },
        "views": _views(run, points, pin_corners(pin_d * d_mm, d_mm)),
    }


def _views(run: FormRun, points: NDArray[np.float64], pin: NDArray[np.float64]) -> list[dict[str, Any]]:
    """What must be in the picture, as of the film of a making: all that a stage needs at its first frame and at its last, but for the
    few in which the view passes on to it."""
    ends = [*(start - 1 for start in run.starts[1:]), len(points) - 1]
    views = []
    for start, end in zip(run.starts, ends, strict=True):
        seen = range(end if run.stages[end] is Stage.LET_GO else start, end + 1)  # let go, the tag stands out no longer
        swept = np.vstack([pin, *(points[k, run.there(k)] for k in seen)])
        around = [round(float(value), 2) for value in outermost(swept).ravel()]
        views += [
            {"frame": frame, "points": around} for frame in dict.fromkeys((min(start + _PAN * bool(start), end), end))
        ]
    return views


def bend_legend() -> dict[str, Any]:
    """The legend of the colours of the bend, as the viewer takes it."""
    return film_legend("Bend", BENT_NOTE, MOST_STRAIN, BENT_TICKS)


def pin_half(pin_mm: float, d_mm: float) -> float:
    """Half of the length of the pin that is drawn."""
    return _PIN_HALF_D * d_mm + 0.5 * pin_mm


def pin_corners(pin_mm: float, d_mm: float) -> NDArray[np.float64]:
    """Corners of the box round the pin (8, 3)."""
    half = 0.5 * pin_mm, pin_half(pin_mm, d_mm), 0.5 * pin_mm
    return np.array([(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * half


def done_words(stage: Stage) -> tuple[str, str]:
    """What the hands do in a stage, as a heading and a sentence."""
    return _DONE[stage]


def said_words(run: FormRun, frame: int) -> list[str]:
    """How far the hands are, and the hardest bend."""
    stage, rounds = run.stages[frame], run.rounds[frame]
    done = _quarters_of(min(rounds, run.turns), "turn")
    if stage in (Stage.WIND, Stage.LET_GO):
        done += f", {_quarters_of(max(rounds - run.turns, 0.0), 'wrap')}"
    most = float(run.strains[frame].max())
    past = f", past the {limits.STRAIN_OK:.2f} of the {TESTED}" if round(most, 2) > limits.STRAIN_OK else ""
    return [done, f"hardest bend {most:.2f}{past}"]


def _quarters_of(count: float, what: str) -> str:
    return f"{quarters(count)} {what}{'' if 0 < round(4.0 * count) <= 4 else 's'}"
