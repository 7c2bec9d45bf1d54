"""The steps of making a joint as data for the viewer: the wire at each, coloured by its parts and inked."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from helix.output.shape.colouring import SECTION_COLOURS
from helix.output.viewer.scene import METAL, packed, rings_record
from helix.output.words.step_words import step_words
from helix.output.words.words import mark_number
from helix.studies.teaching.steps import Step, forming_steps, ink_marks
from helix.units import UnitSystem

if TYPE_CHECKING:
    from helix.geometry.wire.path import Path
    from helix.studies.shape.shape import ShapeResult

_STEP_D, _STRAIGHT_STEP_D = 0.2, 0.6
_STANDING_D = 60.0  # standing leg that is kept beyond what has its final shape [d]
_NEAR_D = 18.0  # wire on either side of the formed stretch that stays in the picture [d]
_INK_D = 0.45  # half the width of an ink mark [d]
_INK, _HANDLE = "#1c1f23", "#e9e6df"
_NAMES = (*SECTION_COLOURS, "handle", "ink")
_MOST_POINTS = 120


def steps_record(
    result: ShapeResult, units: UnitSystem = "metric", steps: Sequence[Step] | None = None
) -> list[dict[str, Any]]:
    """Each forming step: title, sentence, the wire as rings, and the points that must be in the picture.

    The standing leg is cut short far from what is being formed; every other part of the wire is whole.
    The finished joint itself is left out: it is the scene's own wire. steps: if they are at hand already.
    """
    d = result.recipe.wire.diameter_mm
    marks = marks_of_wires_d(result)
    records = []
    for step in forming_steps(result) if steps is None else steps:
        if step.kind == "finished":
            continue
        record = _record(step, d, marks, step_words(step, result, units))
        if step.kind == "mark":
            record["notes"] = mark_notes(result, step, units)
        records.append(record)
    return records


def mark_notes(result: ShapeResult, step: Step, units: UnitSystem) -> list[dict[str, Any]]:
    """The ink marks as labels: letter, distance from the tag's end, and what is there."""
    d = result.recipe.wire.diameter_mm
    samples = step.path.sample(_STEP_D, _STRAIGHT_STEP_D)
    notes = []
    for mark, s in zip(ink_marks(result), marks_of_wires_d(result)[0].tolist(), strict=True):
        point = [round(float(np.interp(s, samples.s, samples.points[:, k]) * d), 3) for k in range(3)]
        size = mark_number(mark, units)
        notes.append({
            "name": mark.letter, "part": True, "title": f"{mark.letter} {size}", "lines": [mark.what],
            "verdict": "", "point": point, "also": [],
        })  # fmt: skip
    return notes


def marks_of_wires_d(result: ShapeResult) -> list[NDArray[np.float64]]:
    """Arc lengths of the ink marks on each wire, from its standing end [d]."""
    d, marks = result.recipe.wire.diameter_mm, ink_marks(result)
    return [
        np.array([(wire.cut_mm - mark.places[number].from_tag_end_mm) / d for mark in marks])
        for number, wire in enumerate(result.wires)
    ]


def _record(step: Step, d: float, marks: list[NDArray[np.float64]], sentence: str) -> dict[str, Any]:
    parts = [_wire_rows(step, number, inked) for number, inked in enumerate(marks)]
    points, tangents, section = (np.concatenate([part[column] for part in parts]) for column in (0, 1, 2))
    ends = np.cumsum([0, *(len(part[0]) for part in parts)]).tolist()
    wire = rings_record(points * d, tangents, d, list(pairwise(ends)), colours={})
    wire["section"] = packed(section, "u1")
    rows = np.flatnonzero(np.concatenate([part[3] for part in parts]))
    rows = rows[np.unique(np.linspace(0, len(rows) - 1, _MOST_POINTS).astype(int))]
    return {
        "kind": step.kind,
        "title": step.title,
        "sentence": sentence,
        "wire": wire,
        "fit": [round(float(value), 2) for value in (points[rows] * d).ravel()],
    }


def _wire_rows(
    step: Step, number: int, marks: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64], NDArray[np.bool_]]:
    """One of a step's wires: points and tangents (n, 3) in wire diameters, sections (n,), and what must be in the picture (n,)."""
    path = step.paths[number]
    samples = path.sample(_STEP_D, _STRAIGHT_STEP_D)
    low, high = _formed(path, step.formed_of_d[number])
    first = int(np.searchsorted(samples.s, min(low, float(marks.min(initial=np.inf))) - _STANDING_D))
    s = samples.s[first:]
    names = np.array([_NAMES.index(piece.section) for piece in path.pieces])
    section = names[samples.piece[first:]]
    for mark in marks:
        section = np.where(np.abs(s - mark) <= _INK_D, _NAMES.index("ink"), section)
    near = (s >= low - _NEAR_D) & (s <= high + _NEAR_D) | (step.kind == "mark")
    return samples.points[first:], samples.tangents[first:], section, near


def _formed(path: Path, formed_d: tuple[float, float]) -> tuple[float, float]:
    """Stretch with its final shape, the standing leg left out: that is straight from the start."""
    ends = [k for k, piece in enumerate(path.pieces) if piece.section == "standing"]
    standing = float(path.starts[ends[-1]] + path.lengths[ends[-1]]) if ends else 0.0
    return max(formed_d[0], standing), formed_d[1]


def palettes() -> dict[str, list[str]]:
    """Colours of the sections of a step's wire, by the names of the ways to colour."""
    parts = [*SECTION_COLOURS.values(), _HANDLE, _INK]
    return {"plain": [METAL] * (len(parts) - 1) + [_INK], "section": parts}
