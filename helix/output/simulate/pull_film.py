"""A simulated pull as a film for the viewer: the wire at each moment in small numbers, its tension, what is said of it.

The keys are described in docs/sheet-and-viewer.md. The page lays a smooth line through the places and works out nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.output.shape.colouring import TAG_TONE, hex_of, ramp, rgb
from helix.output.viewer.scene import METAL, packed
from helix.output.words.answer_words import breaks_words
from helix.studies.simulate.pull_result import PullOutcome, PullRun
from helix.units import UnitSystem, format_force, format_length

MOST_FRAMES: Final = 40
SHADES: Final = 32
A_SECOND: Final = 8
_TAG: Final = ("entry_tag", "twist_tag", "exit_tag", "barrel", "stub")
_PIN_HALF_D: Final = 2.0
GIVES_WAY: Final = "It shows what gives way, not whether it holds: no hand winds as evenly as this."
TENSION_NOTE: Final = "tension over the strength of straight wire; simulated, not tested"


def pull_film(run: PullRun, d_mm: float, strength_n: float, units: UnitSystem = "metric") -> dict[str, Any]:
    """The film of a run that has a curve, ready for JSON; lengths in mm."""
    rows = frame_rows(run)
    return film_record(
        points=np.round(run.frames[rows] * d_mm, 4),
        tensions=run.tensions[rows],
        tag=np.isin(run.section, _TAG),
        pull_d=[run.curve[row].pull_d for row in rows],
        loads=[run.curve[row].load for row in rows],
        throats=[run.curve[row].throat_deg for row in rows],
        last=int(np.searchsorted(rows, run.last)),
        end=end_words(run),
        pin_mm=[value * d_mm for value in run.pin_d],
        d_mm=d_mm,
        strength_n=strength_n,
        units=units,
    )


def frame_rows(run: PullRun, most: int = MOST_FRAMES) -> NDArray[np.int64]:
    """Points of the curve that are shown: evenly over the pull, with the one from which there is no way back."""
    even = np.linspace(0, len(run.curve) - 1, min(most, len(run.curve))).round().astype(np.int64)
    return np.unique(np.append(even, run.last))


def end_words(run: PullRun) -> str:
    """What happens from the moment on from which there is no way back."""
    if run.outcome is PullOutcome.BREAKS and run.nominal is not None:
        return f"It breaks {breaks_words(run.nominal.section)}"
    words = {PullOutcome.SLIPS: "It slips: wire runs round the pin", PullOutcome.HELD: "The pull ended, it still holds"}
    return words.get(run.outcome, "The run did not converge further")


def film_record(
    *,
    points: NDArray[np.float64],
    tensions: NDArray[np.float64],
    tag: NDArray[np.bool_],
    pull_d: Sequence[float],
    loads: Sequence[float],
    throats: Sequence[float],
    last: int,
    end: str,
    pin_mm: Sequence[float],
    d_mm: float,
    strength_n: float,
    units: UnitSystem,
) -> dict[str, Any]:
    """Frames (k, n, 3) in mm, tensions (k, n), which nodes are the tag's (n,); last: frame from which there is no way back."""
    scale = float(np.abs(points).max()) / 32767.0
    bare, dark = rgb(METAL), rgb(METAL) * TAG_TONE
    ways = np.array([(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if (x, y, z) != (0, 0, 0)])
    near = points[:: max(len(points) - 1, 1)].reshape(-1, 3)
    around = near[np.argmax(ways @ near.T, axis=1)]
    shades = ramp((np.arange(SHADES) + 0.5) / SHADES)
    said = [
        [
            format_force(max(load, 0.0) * strength_n, units),
            f"{100.0 * max(load, 0.0):.0f} % of straight wire, throat {throat:.0f} deg",
        ]
        for load, throat in zip(loads, throats, strict=True)
    ]
    return {
        "frames": len(points),
        "a_second": A_SECOND,
        "radius": 0.5 * d_mm,
        "scale": scale,
        "points": packed(np.round(points / scale), "<i2"),
        "tension": packed(np.clip(np.floor(tensions * SHADES), 0, SHADES - 1), "u1"),
        "plain": packed(np.round(255.0 * np.where(tag[:, None], dark, bare)), "u1"),
        "ramp": [hex_of(shade) for shade in shades],
        "pull": [round(value * d_mm, 4) for value in pull_d],
        "pull_words": [format_length(value * d_mm, units) for value in pull_d],
        "said": said,
        "last": last,
        "captions": [
            {"title": "Pulled", "sentence": "Simulated, not tested. The load rises."},
            {"title": end, "sentence": "No way back from here. Simulated, not tested."},
        ],
        "pin": {
            "middle": [round(value, 4) for value in pin_mm[:3]],
            "radius": round(0.985 * pin_mm[3], 4),
            "half": _PIN_HALF_D * d_mm + pin_mm[3],
        },
        "around": [round(float(value), 2) for value in around.ravel()],
    }


def tension_legend() -> dict[str, Any]:
    """The legend of the colours of tension, as the viewer takes it."""
    return {
        "name": "Tension",
        "title": "Tension",
        "entries": [],
        "note": TENSION_NOTE,
        "scale": [0.0, 1.0],
        "ticks": [[0.0, "0"], [0.5, "half"], [1.0, "all"]],
        "ramp": [hex_of(shade) for shade in ramp((np.arange(SHADES) + 0.5) / SHADES)],
    }
