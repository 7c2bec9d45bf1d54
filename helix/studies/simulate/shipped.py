"""Simulated pulls and formings that come with the package, so that they can be played without the extra `simulate`.

Made by scripts/make/simulated_runs.py. Places are kept as int16 steps from frame to frame, so they compress.
"""

from __future__ import annotations

import functools
import io
import json
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.form_result import BarrelShape, FormOutcome, FormRun, Stage, TwistShape
from helix.studies.simulate.pull_result import Break, PullOutcome, PullPoint, PullRun, Start
from helix.values import to_plain

FILE: Final = "simulated.npz"
FRAMES: Final = 24
"""At most so many of each run are kept."""
_MOST_TENSION: Final = 1.25
_POINT: Final = ("pull_d", "load", "throat_deg", "through_d", "turned", "tag_load")

FORM_FRAMES: Final = 36
"""About so many of each are kept."""
MOST_STRAIN: Final = 1.0
_SHAPES: Final[dict[str, Callable[..., TwistShape | BarrelShape]]] = {
    "held": TwistShape,
    "free": TwistShape,
    "wound": BarrelShape,
    "sprung": BarrelShape,
}
_STAGES: Final = tuple(Stage)


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


def _whole_steps(frames: NDArray[np.float64], scale: float) -> NDArray[np.int16]:
    """Places (k, n, 3) as whole steps from frame to frame, (3, k, n)."""
    whole = np.round(frames / scale).astype(np.int16)
    return np.diff(whole, axis=0, prepend=np.zeros_like(whole[:1])).transpose(2, 0, 1)


def _places(steps: NDArray[np.int16], scale: float) -> NDArray[np.float64]:
    """Places (k, n, 3) from their steps."""
    return np.asarray(np.cumsum(steps.transpose(1, 2, 0), axis=0, dtype=np.int16) * scale, dtype=np.float64)


def _level_steps(values: NDArray[np.float64], most: float) -> NDArray[np.uint8]:
    """Values (k, n) from 0 to `most` in 255 levels, as steps from frame to frame."""
    levels = np.clip(np.round(values / most * 255.0), 0, 255).astype(np.uint8)
    return np.diff(levels, axis=0, prepend=np.zeros_like(levels[:1]))


def _values(steps: NDArray[np.uint8], most: float) -> NDArray[np.float64]:
    """Values (k, n) from the steps of their levels."""
    return np.asarray(np.cumsum(steps, axis=0, dtype=np.uint8) * (most / 255.0), dtype=np.float64)


def _scale(frames: NDArray[np.float64]) -> float:
    """The step in which such places are kept."""
    return float(np.abs(frames).max()) / 32767.0


def pack_pull(
    key: str, text: str, run: PullRun, rows: NDArray[np.int64]
) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """What is told of a run, and its arrays by name. text: of its recipe; rows: frames that are kept."""
    frames = run.frames[rows]
    scale = _scale(frames)
    names = list(dict.fromkeys(run.section))
    curve = np.array([[getattr(run.curve[row], name) for name in _POINT] for row in rows], dtype=np.float32)
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
        "steps": _whole_steps(frames, scale),
        "curve": curve,
        "tension": _level_steps(run.tensions[rows], _MOST_TENSION),
        "section": np.array([names.index(name) for name in run.section], dtype=np.uint8),
        "s_d": run.s_d.astype(np.float32),
    }
    return told, {f"{key}/{name}": array for name, array in arrays.items()}


def _unpacked(data: Any, told: dict[str, Any], kernel: int) -> ShippedPull:
    key, known = told["key"], told["run"]
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
        tensions=_values(data[f"{key}/tension"], _MOST_TENSION),
        frames=_places(data[f"{key}/steps"], told["scale"]),
    )
    return ShippedPull(key, recipe_from_text(told["recipe"]), run, kernel)


@dataclass(frozen=True)
class ShippedForm:
    """key: a short name. recipe, run: as `simulate` gives them, with fewer frames."""

    key: str
    recipe: Recipe
    run: FormRun


@functools.cache
def form_list() -> dict[str, dict[str, Any]]:
    """What is told of each forming, by its key; quick, since nothing is unpacked."""
    told = open_shipped()[1]
    return {row["key"]: row | {"kernel": told["kernel"]} for row in told["forms"]}


@functools.lru_cache(maxsize=4)
def shipped_form(key: str) -> ShippedForm:
    """One of the formings that come with the package. Raises KeyError for a key that is not in `form_list`."""
    return unpack_form(open_shipped()[0], form_list()[key])


def form_rows(run: FormRun, most: int = FORM_FRAMES) -> NDArray[np.int64]:
    """Frames that are kept: evenly over the run, the last of each stage among them."""
    even = np.linspace(0, len(run.stages) - 1, min(most, len(run.stages))).round().astype(np.int64)
    ends = [k for k, stage in enumerate(run.stages) if k + 1 == len(run.stages) or run.stages[k + 1] is not stage]
    return np.unique(np.append(even, ends))


def pack_form(
    key: str, text: str, run: FormRun, rows: NDArray[np.int64]
) -> tuple[dict[str, Any], dict[str, NDArray[Any]]]:
    """What is told of a run, and its arrays by name. text: of its recipe; rows: frames that are kept."""
    frames = run.frames[rows]
    scale = _scale(frames)
    told = {"key": key, "recipe": text, "scale": scale, "run": to_plain(run)}
    arrays: dict[str, NDArray[Any]] = {
        "steps": _whole_steps(frames, scale),
        "strain": _level_steps(run.strains[rows], MOST_STRAIN),
        "stage": np.array([_STAGES.index(run.stages[row]) for row in rows], dtype=np.uint8),
        "rounds": np.array([run.rounds[row] for row in rows], dtype=np.float32),
        "tag": run.tag,
        "s_d": run.s_d.astype(np.float32),
    }
    return told, {f"{key}/{name}": array for name, array in arrays.items()}


def unpack_form(data: Any, told: dict[str, Any]) -> ShippedForm:
    """A forming from what `pack_form` made of it."""
    key, known = told["key"], dict(told["run"])
    for name, kind in _SHAPES.items():
        known[name] = None if known[name] is None else kind(**known[name])
    known["outcome"], known["twisted"] = FormOutcome(known["outcome"]), tuple(known["twisted"])
    run = FormRun(
        **known,
        frames=_places(data[f"{key}/steps"], told["scale"]),
        strains=_values(data[f"{key}/strain"], MOST_STRAIN),
        stages=tuple(_STAGES[number] for number in data[f"{key}/stage"]),
        rounds=tuple(float(value) for value in data[f"{key}/rounds"]),
        tag=data[f"{key}/tag"],
        s_d=data[f"{key}/s_d"].astype(np.float64),
    )
    return ShippedForm(key, recipe_from_text(told["recipe"]), run)
