"""A simulated pull as a film for the viewer: the wire at each moment in small numbers, its tension, what is said of it.

The keys are described in docs/sheet-and-viewer.md. The page lays a smooth line through the places and works out nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.shape.colouring import TAG_TONE, hex_of, ramp, rgb
from helix.output.simulate.pull_frames import PullFrames, pull_frames
from helix.output.viewer.scene import METAL, outermost, packed
from helix.output.words.answer_words import breaks_words
from helix.studies.simulate.pull_result import PullOutcome, PullRun
from helix.units import UnitSystem, format_force, format_length

Floats = NDArray[np.float64]

SHADES: Final = 32
A_SECOND: Final = 8
_TAG: Final = ("entry_tag", "twist_tag", "exit_tag", "barrel", "stub")
PIN_HALF_D: Final = 2.0
PULLS_D: Final = 10.0  # length of the arrow that pulls with all that straight wire holds
_MARK_D: Final = 1.5  # from the wire to the mark on the pin
_OUT_D: Final = 2.3  # how far the arrow round the pin stands off
_ARC_RAD: Final = 0.9  # half of its arc
_APART: Final = "How far the ends go apart is drawn, not simulated. "
_THREADED_D: Final = 0.2  # wire that ran round the pin is told from there on
STATES: Final = {
    PullOutcome.BREAKS: "broke",
    PullOutcome.SLIPS: "slips",
    PullOutcome.HELD: "still holds",
    PullOutcome.DIVERGED: "did not converge",
}
"""What has become of the joint in a word, once there is no way back."""
GIVES_WAY: Final = "It shows what gives way, not whether it holds: no hand winds as evenly as this."
TENSION_NOTE: Final = "tension over the strength of straight wire; simulated, not tested"
TENSION_TICKS: Final = ((0.0, "0"), (0.5, "half"), (1.0, "all"))
LEGS_NOTE: Final = (
    "Legs: the angle between the eye's legs at their middles, under load; Throat in Shape: where they cross"
)


def pull_film(run: PullRun, d_mm: float, strength_n: float, units: UnitSystem = "metric") -> dict[str, Any]:
    """The film of a run that has a curve, ready for JSON; lengths in mm."""
    shown = pull_frames(run)
    points = np.round(shown.points * d_mm, 4)
    bare, dark = rgb(METAL), rgb(METAL) * TAG_TONE
    tag = np.isin(run.section, _TAG)
    pin = np.array(run.pin_d) * d_mm
    middle, radius, half = pin[:3], float(pin[3]), PIN_HALF_D * d_mm + float(pin[3])
    low, across = middle - [0.0, 0.0, radius], np.array([0.0, half, 0.0])
    beside = np.array([0.0, _MARK_D * d_mm, 0.0])
    runs = round_pin(run, d_mm)
    ends = [
        points[:: max(len(points) - 1, 1)].reshape(-1, 3),
        points[:, 0] + [0.0, 0.0, PULLS_D * d_mm],
        middle + across,
        middle - across,
    ]
    near = np.vstack([*ends, *([] if runs is None else [runs])])
    around = outermost(near)
    return wire_film(points, shown.tensions, np.where(tag[:, None], dark, bare), d_mm, units) | {
        "a_second": A_SECOND,
        "load": [round(max(point.load, 0.0), 3) if shown.bears(k) else 0.0 for k, point in enumerate(shown.curve)],
        "ink": packed(shown.ink, "u1"),
        "pull": [round(float(value) * d_mm, 4) for value in shown.pull_d],
        "pull_words": [format_length(float(value) * d_mm, units) for value in shown.pull_d],
        "said": [said_words(shown, k, d_mm, strength_n, units) for k in range(len(points))],
        "last": shown.last,
        "broken": shown.broken,
        "state": STATES[run.outcome],
        "captions": [
            {"title": "Pulled", "sentence": "Simulated, not tested. The load rises."},
            {
                "title": end_words(run),
                "sentence": f"No way back from here. {_APART if shown.broken else ''}Simulated, not tested.",
            },
        ],
        "pin": {
            "middle": _rounded(middle),
            "radius": round(0.985 * radius, 4),
            "ends": _rounded([middle - across, middle + across]),
            "marks": _rounded([[low - across, low - beside], [low + beside, low + across]]),
        },
        "pulls": PULLS_D * d_mm,
        "runs": None if runs is None else _rounded(runs),
        "around": [round(float(value), 2) for value in around.ravel()],
    }


def wire_film(points_mm: Floats, coloured: Floats, bare: Floats, d_mm: float, units: UnitSystem) -> dict[str, Any]:
    """What every film of a wire has: its places (k, n, 3), what colours them (k, n) from 0 to 1 in shades, and the colours (n, 3) of bare wire."""
    scale = float(np.abs(points_mm).max()) / 32767.0
    return {
        "frames": len(points_mm),
        "radius": 0.5 * d_mm,
        "wire": wire_words(d_mm, units),
        "scale": scale,
        "points": packed(np.round(points_mm / scale), "<i2"),
        "tension": packed(np.clip(np.floor(coloured * SHADES), 0, SHADES - 1), "u1"),
        "plain": packed(np.round(255.0 * bare), "u1"),
        "ramp": _shades(),
    }


def wire_words(d_mm: float, units: UnitSystem) -> str:
    """Of which wire a film is, for its picture.

    >>> wire_words(0.7366, "metric")
    'wire 0.737 mm'
    """
    return f"wire {format_length(d_mm, units)}"


def _rounded(places: object) -> Any:
    return np.round(places, 4).tolist()  # type: ignore[call-overload]


def round_pin(run: PullRun, d_mm: float) -> NDArray[np.float64] | None:
    """An arrow along the way of wire that runs round the pin (n, 3), from the tag to the standing leg; None where none does."""
    if run.outcome is not PullOutcome.SLIPS:
        return None
    first = run.frames[0] * d_mm
    middle, far = np.array(run.pin_d[:3]) * d_mm, (run.pin_d[3] + _OUT_D) * d_mm
    low = int(np.argmin(first[:, 2]))
    way = np.sign(first[low - 3, 0] - first[low + 3, 0])
    angles = np.linspace(-_ARC_RAD, _ARC_RAD, 9)
    return np.asarray(middle + far * np.stack([way * np.sin(angles), 0.0 * angles, -np.cos(angles)], axis=1))


def said_words(shown: PullFrames, frame: int, d_mm: float, strength_n: float, units: UnitSystem) -> list[str]:
    """The load in a frame, and what it is; of a broken wire, at which load it broke."""
    point = shown.curve[frame]
    load = max(point.load, 0.0)
    words = f"{100.0 * load:.0f} % of straight wire"
    if not shown.bears(frame):
        words = f"broke at {words}"
    else:
        words += f", legs {point.throat_deg:.0f} deg"
        if point.through_d > _THREADED_D:
            words += f", {format_length(point.through_d * d_mm, units)} of wire through"
    return [format_force(load * strength_n, units), words]


def end_words(run: PullRun) -> str:
    """What happens from the moment on from which there is no way back."""
    if run.outcome is PullOutcome.BREAKS and run.nominal is not None:
        return f"It breaks {breaks_words(run.nominal.section)}"
    words = {PullOutcome.SLIPS: "It slips: wire runs round the pin", PullOutcome.HELD: "The pull ended, it still holds"}
    return words.get(run.outcome, "The run did not converge further")


def _shades() -> list[str]:
    """The colours from none to all."""
    return [hex_of(shade) for shade in ramp((np.arange(SHADES) + 0.5) / SHADES)]


def tension_legend() -> dict[str, Any]:
    """The legend of the colours of tension, as the viewer takes it."""
    return film_legend("Tension", TENSION_NOTE, 1.0, TENSION_TICKS)


def film_legend(name: str, note: str, most: float, ticks: Iterable[tuple[float, str]]) -> dict[str, Any]:
    """The legend of what colours a film, from 0 to `most`, as the viewer takes it."""
    return {
        "name": name,
        "title": name,
        "entries": [],
        "note": note,
        "scale": [0.0, most],
        "ticks": [list(tick) for tick in ticks],
        "ramp": _shades(),
    }
