"""A result as plain data for other programs: always mm, N, MPa and degrees, whatever people chose to read."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from helix.findings import Finding, Judgement
from helix.model.recipe.recipe_parts import Recipe
from helix.output.words.answer_words import CAUTION
from helix.output.words.assumptions import WORDS as ASSUMED
from helix.output.words.findings.finding_words import explain
from helix.studies.judge import judge
from helix.values import Result, Words, to_plain

if TYPE_CHECKING:
    from helix.model.joint.joint import CentreLine
    from helix.studies.shape.shape import ShapeResult

_PULLS = "helix.output.pulls.pull_sentences"
_WORDS: Final = {
    "hold": "helix.output.hold.hold_record",
    "inspect": "helix.output.inspect.inspect_table",
    "pulls": _PULLS,
    "pulls_plan": _PULLS,
}
_ROWS_AT_ONCE: Final = 50_000
POINTS_HEADER = "s_mm,x_mm,y_mm,z_mm,curvature_per_mm,section"


def result_to_dict(result: ShapeResult) -> dict[str, Any]:
    """The shape of a joint as data, ready for JSON."""
    return record(result)


def record(result: Result) -> dict[str, Any]:
    """What JSON carries of a result: its fields by one walk, the words that its subject adds to them, and, of one joint,
    the one verdict on it; last the caution that goes with every number."""
    data = dict(to_plain(result, words_of(type(result))))
    recipe = getattr(result, "recipe", None)
    if isinstance(recipe, Recipe) and "judgement" not in data:
        data["judgement"] = judgement_record(judge(recipe, getattr(result, "of_hold", None)))
    return data | {"caution": CAUTION}


def words_of(kind: type) -> Words:
    """The words that JSON carries beside the fields of a subject's results and of findings."""
    subject = kind.__module__.split(".")[2]
    own: Words = import_module(_WORDS[subject]).WORDS if subject in _WORDS else {}
    return {**JUDGED, **own, kind: {**own.get(kind, {}), **ASSUMED.get(kind.__name__, {})}}


def message(finding: Finding) -> str:
    """What a finding says, metric."""
    return explain(finding).message


def remedy(finding: Finding) -> str:
    """What to do about it, in place of the remedy's code."""
    return explain(finding).do


JUDGED: Words = {Finding: {"message": message, "remedy": remedy}}


def judgement_record(judgement: Judgement) -> dict[str, Any]:
    """The verdict on a joint as plain data: its severity, the code of the finding behind it, and every finding."""
    return dict(to_plain(judgement, JUDGED))


def to_json(data: dict[str, Any]) -> str:
    """The data as JSON text, indented, in the order of its keys, ending in a line feed; never NaN.

    >>> print(to_json({"cut_mm": 712.5}), end="")
    {
      "cut_mm": 712.5
    }
    """
    return json.dumps(data, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def points_text(lines: Sequence[CentreLine], section_names: tuple[str, ...]) -> str:
    """The centre line of each wire as comma-separated text, one sample a row, numbers in full double precision.

    Columns: arc length from the standing end and position in mm, curvature in 1/mm, name of the section; of several
    wires first the number of the wire.
    """
    several = len(lines) > 1
    out = io.StringIO()
    out.write(f"{'wire,' if several else ''}{POINTS_HEADER}\n")
    for number, line in enumerate(lines, 1):
        first = f"{number}," if several else ""
        columns = np.column_stack((line.s_mm, line.points_mm, line.curvature_per_mm))
        for start in range(0, len(columns), _ROWS_AT_ONCE):
            rows = slice(start, start + _ROWS_AT_ONCE)
            names = [section_names[k] for k in line.section[rows]]
            out.writelines(
                f"{first}{s!r},{x!r},{y!r},{z!r},{k!r},{name}\n"
                for (s, x, y, z, k), name in zip(columns[rows].tolist(), names, strict=True)
            )
    return out.getvalue()
