"""The steps of making a joint as data for the viewer: the wire at each, coloured by its parts and inked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from helix.output.shape.colouring import SECTION_COLOURS
from helix.output.viewer.scene import METAL, packed, rings_record
from helix.output.words.words import tape_number
from helix.studies.teaching.steps import Step, forming_steps, ink_marks
from helix.units import UnitSystem

if TYPE_CHECKING:
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
    total = result.cut.total_mm / d
    marks = np.array([total - mark.from_tag_end_mm / d for mark in ink_marks(result)])
    records = []
    for step in forming_steps(result) if steps is None else steps:
        if step.kind == "finished":
            continue
        record = _record(step, d, marks)
        if step.kind == "mark":
            record["notes"] = _mark_notes(result, step, units)
        records.append(record)
    return records


def _mark_notes(result: ShapeResult, step: Step, units: UnitSystem) -> list[dict[str, Any]]:
    """The ink marks as labels: letter, distance from the tag's end, and what is there."""
    d, total = result.recipe.wire.diameter_mm, result.cut.total_mm
    samples = step.path.sample(_STEP_D, _STRAIGHT_STEP_D)
    notes = []
    for mark in ink_marks(result):
        s = (total - mark.from_tag_end_mm) / d
        point = [round(float(np.interp(s, samples.s, samples.points[:, k]) * d), 3) for k in range(3)]
        size = tape_number(mark.from_tag_end_mm, units)
        notes.append({
            "name": mark.letter, "part": True, "title": f"{mark.letter} {size}", "lines": [mark.what],
            "verdict": "", "point": point, "also": [],
        })  # fmt: skip
    return notes


def _record(step: Step, d: float, marks: NDArray[np.float64]) -> dict[str, Any]:
    samples = step.path.sample(_STEP_D, _STRAIGHT_STEP_D)
    formed = _formed(step)
    first = int(np.searchsorted(samples.s, min(formed[0], float(marks.min(initial=np.inf))) - _STANDING_D))
    s = samples.s[first:]
    names = np.array([_NAMES.index(piece.section) for piece in step.path.pieces])
    section = names[samples.piece[first:]]
    for mark in marks:
        section = np.where(np.abs(s - mark) <= _INK_D, _NAMES.index("ink"), section)
    points = samples.points[first:] * d
    near = (s >= formed[0] - _NEAR_D) & (s <= formed[1] + _NEAR_D)
    if step.kind == "mark":
        near[:] = True
    rows = np.flatnonzero(near)
    rows = rows[np.unique(np.linspace(0, len(rows) - 1, _MOST_POINTS).astype(int))]
    wire = rings_record(points, samples.tangents[first:], d, colours={})
    wire["section"] = packed(section, "u1")
    return {
        "kind": step.kind,
        "title": step.title,
        "sentence": step.sentence,
        "wire": wire,
        "fit": [round(float(value), 2) for value in points[rows].ravel()],
    }


def _formed(step: Step) -> tuple[float, float]:
    """Stretch with its final shape, the standing leg left out: that is straight from the start."""
    ends = [k for k, piece in enumerate(step.path.pieces) if piece.section == "standing"]
    standing = float(step.path.starts[ends[-1]] + step.path.lengths[ends[-1]]) if ends else 0.0
    return max(step.formed_d[0], standing), step.formed_d[1]


def palettes() -> dict[str, list[str]]:
    """Colours of the sections of a step's wire, by the names of the ways to colour."""
    parts = [*SECTION_COLOURS.values(), _HANDLE, _INK]
    return {"plain": [METAL] * (len(parts) - 1) + [_INK], "section": parts}
