"""Simulated formings that come with the package, in the file of the pulls (`shipped`)."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.form_result import BarrelShape, FormOutcome, FormRun, Stage, TwistShape
from helix.studies.simulate.shipped import open_shipped, whole_steps
from helix.values import to_plain

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
    scale = float(np.abs(frames).max()) / 32767.0
    strains = np.clip(np.round(run.strains[rows] / MOST_STRAIN * 255.0), 0, 255).astype(np.uint8)
    told = {"key": key, "recipe": text, "scale": scale, "run": to_plain(run)}
    arrays: dict[str, NDArray[Any]] = {
        "steps": whole_steps(frames, scale),
        "strain": np.diff(strains, axis=0, prepend=np.zeros_like(strains[:1])),
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
    steps = data[f"{key}/steps"].transpose(1, 2, 0)
    strains = np.cumsum(data[f"{key}/strain"], axis=0, dtype=np.uint8) * (MOST_STRAIN / 255.0)
    run = FormRun(
        **known,
        frames=np.asarray(np.cumsum(steps, axis=0, dtype=np.int16) * told["scale"], dtype=np.float64),
        strains=np.asarray(strains, dtype=np.float64),
        stages=tuple(_STAGES[number] for number in data[f"{key}/stage"]),
        rounds=tuple(float(value) for value in data[f"{key}/rounds"]),
        tag=data[f"{key}/tag"],
        s_d=data[f"{key}/s_d"].astype(np.float64),
    )
    return ShippedForm(key, recipe_from_text(told["recipe"]), run)
