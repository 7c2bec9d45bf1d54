"""Simulated pulls and twistings that come with the package, so that they can be played without the extra `simulate`.

Made by scripts/make_simulated_runs.py. Places are kept as int16 steps from frame to frame, so they compress.
"""

from __future__ import annotations

import functools
import io
import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.pull_result import Break, PullOutcome, PullPoint, PullRun, Start
from helix.values import to_plain

FILE: Final = "simulated.npz"
FRAMES: Final = 24
"""At most so many of each run are kept."""
_MOST_TENSION: Final = 1.25
_POINT: Final = ("pull_d", "load", "throat_deg", "through_d", "turned", "tag_load")


@dataclass(frozen=True)
class ShippedPull:
    """key: a short name. recipe, run: as `simulate` gives them, with fewer frames. kernel: number of the kernels that made it."""

    key: str
    recipe: Recipe
    run: PullRun
    kernel: int


@functools.cache
def shipped_list() -> dict[str, dict[str, Any]]:
    """What is told of each pull, by its key: `recipe` as text, `run`; quick, since nothing is unpacked."""
    told = open_shipped()[1]
    return {row["key"]: row | {"kernel": told["kernel"]} for row in told["pulls"]}


@functools.lru_cache(maxsize=4)
def shipped_pull(key: str) -> ShippedPull:
    """One of the pulls that come with the package. Raises KeyError for a key that is not in `shipped_list`."""
    told = shipped_list()[key]
    return _unpacked(open_shipped()[0], told, told["kernel"])


def open_shipped() -> tuple[Any, dict[str, Any]]:
    """The arrays of the file, unpacked as they are asked for, and what is told beside them: `kernel`, `pulls`, `forms`."""
    data = np.load(io.BytesIO(files("helix.data").joinpath(FILE).read_bytes()))
    return data, json.loads(bytes(data["told"]).decode("utf-8"))


def whole_steps(frames: NDArray[np.float64], scale: float) -> NDArray[np.int16]:
    """Places (k, n, 3) as whole steps from frame to frame, (3, k, n)."""
    whole = np.round(frames / scale).astype(np.int16)
    return np.diff(whole, axis=0, prepend=np.zeros_like(whole[:1])).transpose(2, 0, 1)


def pack_pull(
    key: str, text: str, run: PullRun, rows: NDArray[np.int64]
) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """What is told of a run, and its arrays by name. text: of its recipe; rows: frames that are kept."""
    frames = run.frames[rows]
    scale = float(np.abs(frames).max()) / 32767.0
    names = list(dict.fromkeys(run.section))
    curve = np.array([[getattr(run.curve[row], name) for name in _POINT] for row in rows], dtype=np.float32)
    tension = np.clip(np.round(run.tensions[rows] / _MOST_TENSION * 255.0), 0, 255).astype(np.uint8)
    told = {
        "key": key,
        "recipe": text,
        "scale": scale,
        "sections": names,
        "pin_d": list(run.pin_d),
        "run": {name: to_plain(getattr(run, name)) for name in
                ("start", "friction", "outcome", "loose_d", "peak_load", "works", "unaccounted", "overlap_d", "breaks")},
    }  # fmt: skip
    arrays: dict[str, NDArray[Any]] = {
        "steps": whole_steps(frames, scale),
        "curve": curve,
        "tension": np.diff(tension, axis=0, prepend=np.zeros_like(tension[:1])),
        "section": np.array([names.index(name) for name in run.section], dtype=np.uint8),
        "s_d": run.s_d.astype(np.float32),
    }
    return told, {f"{key}/{name}": array for name, array in arrays.items()}


def _unpacked(data: Any, told: dict[str, Any], kernel: int) -> ShippedPull:
    key, known = told["key"], told["run"]
    frames = np.cumsum(data[f"{key}/steps"].transpose(1, 2, 0), axis=0, dtype=np.int16) * told["scale"]
    tensions = np.cumsum(data[f"{key}/tension"], axis=0, dtype=np.uint8) * (_MOST_TENSION / 255.0)
    run = PullRun(
        start=Start[known["start"].upper()],
        friction=known["friction"],
        outcome=PullOutcome[known["outcome"].upper()],
        loose_d=known["loose_d"],
        peak_load=known["peak_load"],
        curve=tuple(
            PullPoint(**dict(zip(_POINT, map(float, row), strict=True))) for row in data[f"{key}/curve"].tolist()
        ),
        breaks=tuple(Break(**item) for item in known["breaks"]),
        works=tuple(known["works"]),
        unaccounted=known["unaccounted"],
        overlap_d=known["overlap_d"],
        s_d=data[f"{key}/s_d"].astype(np.float64),
        section=tuple(told["sections"][number] for number in data[f"{key}/section"]),
        pin_d=tuple(told["pin_d"]),
        tensions=np.asarray(tensions, dtype=np.float64),
        frames=np.asarray(frames, dtype=np.float64),
    )
    return ShippedPull(key, recipe_from_text(told["recipe"]), run, kernel)
