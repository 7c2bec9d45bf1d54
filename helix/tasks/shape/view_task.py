"""View: the joint in a window of its own, to turn with the mouse."""

from __future__ import annotations

from helix.errors import ValidationError, ValidationIssue
from helix.output.picture import window
from helix.studies.judge import shape_judged
from helix.studies.shape.shape import ShapeResult
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE
from helix.tasks.shape.draw_task import COLOUR
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Task


def _shown(given: Given) -> ShapeResult:
    problem = window.window_problem()
    if problem:
        raise ValidationError([ValidationIssue("view", problem)])
    result = shape_judged(given.recipe, given.pulls)
    window.show(result, given.colour or "verdict")
    return result


TASK = Task(options=(RECIPE, COLOUR, PULLS), run=_shown, strict=STRICT, is_ok=is_ok)
