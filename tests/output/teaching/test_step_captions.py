"""What is written below a step, and what `compare` says of several.

Map of what must hold:
  steps of a joint at fault say so: on the sheet, at the step that makes it and at the last, in the words; a good joint's do not
  every picture of a step has the key to its ink letters; all of what hands do lies inside it
  several joints are counted as good and bad; a joint at fault is not praised by its hold
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from helix.model.recipe.recipe import read_recipe
from helix.output.canvas.canvas import Canvas
from helix.output.canvas.primitives import Stroke, Text
from helix.output.teaching.bench import Bench, bench_of
from helix.output.teaching.step_captions import fault_at, fault_line
from helix.output.teaching.step_pictures import contact_canvas, step_canvas
from helix.output.teaching.steps_folder import words
from helix.output.teaching.teaching_answers import compare_answer
from helix.output.words.compare_words import hold_line, tally
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.compare_joints import compare
from helix.studies.teaching.steps import Step, forming_steps
from tests.output.conftest import EXAMPLES

LESSONS = Path(__file__).resolve().parents[3] / "docs" / "lessons"
FAULTS = EXAMPLES / "faults"


@cache
def made(path: Path) -> tuple[ShapeResult, Bench, tuple[Step, ...]]:
    result = shape(read_recipe(path))
    return result, bench_of(result, "metric"), forming_steps(result)


def texts(canvas: Canvas) -> list[str]:
    return [item.text for item in canvas.over if isinstance(item, Text)]


@pytest.mark.parametrize(
    ("path", "kind", "line"),
    [
        (LESSONS / "steep-entry.toml", "cross", "SHARP: The legs cross too steeply. Do this: hold the legs closer"),
        (LESSONS / "open-barrel.toml", "wrap", "FAULT: The wraps stand apart. Do this: wind each wrap hard"),
        (
            FAULTS / "loose-twist.toml",
            "twist",
            "FAULT: The twist is too open: lay 10 d, not 4 d. Do this: wind it steeper",
        ),
        (FAULTS / "short-exit.toml", "swing", "FAULT: The tag is swung out too soon. Do this: let the leg come"),
        (FAULTS / "twist-only.toml", "finished", "FAULT: There is no barrel. Do this: add wraps that touch"),
    ],
)
def test_steps_of_a_joint_at_fault_say_so_where_it_goes_wrong(path: Path, kind: str, line: str) -> None:
    result, bench, steps = made(path)
    wrong = fault_line(result)
    assert wrong.startswith(line)
    told = {step.kind for step in steps if fault_at(result, step, bench.kinds)}
    assert told == {kind, "finished"}
    assert wrong in words(bench, steps)
    assert any(text.startswith(line[:30]) for text in texts(contact_canvas(bench, steps)))
    for step in steps[1:3]:
        assert any(line[:30] in text for text in texts(step_canvas(bench, step)))


def test_a_good_joints_steps_blame_nothing_and_have_their_key_and_hands_in_the_picture() -> None:
    result, bench, steps = made(LESSONS / "good.toml")
    assert fault_line(result) == "" and not any(fault_at(result, step, bench.kinds) for step in steps)
    for step in steps[1:-1]:
        canvas = step_canvas(bench, step)
        assert any(text.startswith("Ink: A it breaks here; B") for text in texts(canvas))
        x0, y0, x1, y1 = canvas.frames[0].box
        for item in canvas.over:
            if isinstance(item, Stroke) and item.role in ("hand", "grip"):
                assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in item.points), step.title


def test_several_joints_are_counted_and_a_bad_one_is_not_praised() -> None:
    good, uneven, barrel = (made(path)[0] for path in (
        LESSONS / "good.toml", FAULTS / "uneven-half.toml", LESSONS / "open-barrel.toml"))  # fmt: skip
    both = compare([good, uneven, barrel])
    assert tally(both.results) == "1 good against 2 bad" and tally([good]) == "1 good"
    answer = compare_answer(both, "metric", "Drawn.")
    assert answer.lines[0] == "1 good against 2 bad."
    assert answer.lines[2] == "FAULT: Open barrel: the wraps stand apart; wind each wrap hard against the last."
    uneven_line, open_line = (hold_line(both, joint, "metric") for joint in (1, 2))
    assert "no load" in open_line or "not in the estimate" in open_line
    assert uneven_line.startswith("Hold, an estimate: MARGINAL, it may unwind")  # what unevenness costs is in its load
    assert not any("LOCKS" in line or "locks" in line for line in (uneven_line, open_line))
