"""Shape: wire to cut, bends and sizes; the centre line as points."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.output.report.record import points_text, result_to_dict
from helix.output.shape.shape_answers import shape_answer
from helix.output.shape.shape_table import shape_text
from helix.studies.judge import shape_judged
from helix.studies.shape.shape import ShapeResult
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, Option, quantity, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task

DEFAULT_STEP_D: Final = 0.02
MOST_ROWS: Final = 1_000_000


def _points(result: ShapeResult, given: Given, suffix: str) -> str:
    d_mm = result.recipe.wire.diameter_mm
    length_d = sum(row.wire_mm for wire in result.wires for row in wire.sections) / d_mm
    least_d = length_d / MOST_ROWS
    step_d = max(DEFAULT_STEP_D, least_d) if given.step is None else given.step / d_mm
    if step_d < least_d:
        least = f'must be at least "{1.005 * least_d:.2g} d" for this joint, {MOST_ROWS:,} points'
        raise ValidationError([argument_issue("step", least)])
    lines = [wire.sample(step_d) for wire in result.joint.wires]
    given.on_output(f"{sum(len(line.s_mm) for line in lines):,} points along the wire")
    return points_text(lines, tuple(result.joint.section_names))


def _needless(given: Given) -> Iterator[ValidationIssue]:
    if given.step is not None and "points" not in given.targets:
        yield argument_issue("step", "needs points, the file to write")


TASK = Task(
    options=(
        RECIPE,
        Option(
            "step",
            "distance of the points",
            quantity("length", most_d=1.0, of_wire=True),
            usual=f'"{DEFAULT_STEP_D:g} d"',
        ),
        units(),
        PULLS,
    ),
    run=lambda given: shape_judged(given.recipe, given.pulls),
    check=_needless,
    answer=lambda result, given: shape_answer(result, given.system),
    text=lambda result, given: shape_text(result, given.system, colour=given.coloured, every=True),
    record=result_to_dict,
    json="mm, N and deg",
    files=(
        Output(
            "points",
            "also write the centre line, one point a row",
            (".csv",),
            _points,
            said="points written to {}",
            letters="FILE.csv",
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
