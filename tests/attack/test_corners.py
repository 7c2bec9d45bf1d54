"""Every end of every range of a recipe answers, or is refused in a line, in little memory and time.

Each end alone; pairs of ends, and the slower commands, are slow studies. All in a process whose memory is limited.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from helix.model.recipe.recipe import recipe_from_text
from helix.studies.shape.along import strain_of
from helix.studies.shape.outline import DRAFT_STEP, LONGEST_DRAFT_D, draft
from helix.studies.shape.shape import shape
from tests.attack.corners import BASE, MOST_MB, MOST_S, corners, problem_of, singles, text_of

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are those of POSIX")


def rows_of(*words: str) -> list[dict[str, Any]]:
    """What a process of bounded memory measured."""
    threads = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}  # each maps memory of its own
    child = subprocess.run(
        [sys.executable, "-m", "tests.attack.corners", *words], cwd=ROOT, env=os.environ | threads,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert child.returncode == 0, child.stderr
    return [json.loads(line) for line in child.stdout.splitlines()]


@pytest.mark.slow
def test_each_end_of_every_range_answers_in_little_memory_and_time():
    rows = rows_of("single", "shape", "draft")
    assert len(rows) == 2 * len(list(singles())) > 130
    assert sum(row["code"] == 0 for row in rows) > 0.6 * len(rows)
    assert [problem for row in rows if (problem := problem_of(row))] == []
    assert max(row["s"] for row in rows if row["command"] == "draft") < 1.0
    assert max(row["mb"] for row in rows if row["command"] == "draft") < 150.0


@pytest.mark.slow
def test_the_other_commands_answer_at_each_end():
    rows = rows_of("single", "hold", "why", "form", "stretch", "link", "draw", "sheet", "page")
    assert [problem for row in rows if (problem := problem_of(row))] == []


@pytest.mark.slow
@pytest.mark.parametrize("part", [0, 17])
def test_pairs_of_ends_answer(part):
    rows = rows_of("pairs", str(part), "32", "shape", "draft", "hold")  # every 32nd pair: all of them take half an hour
    assert len(rows) > 180
    assert [problem for row in rows if (problem := problem_of(row))] == []


def test_a_problem_is_a_fault_of_ours_too_much_memory_or_too_much_time():
    row = {"corner": [], "command": "shape", "said": "", "mb": MOST_MB, "s": MOST_S}
    assert problem_of(row) is None
    worse: list[dict[str, object]] = [
        {"mb": 1.01 * MOST_MB},
        {"s": 1.01 * MOST_S},
        {"said": "internal error, please report it: ValueError"},
        {"said": "this needs more memory than there is"},
    ]
    assert all(problem_of(row | change) for change in worse)


def test_the_corners_are_both_ends_of_every_range_and_read_as_text():
    found = corners()
    assert {("eye", "throat", "1 deg"), ("eye", "throat", "175 deg"), ("twist", "turns", 1000.0)} <= set(found)
    assert recipe_from_text(text_of(())).wire.diameter_mm == 0.737
    assert 'pin = "1000 d"' in text_of((("eye", "pin", "1000 d"),))
    assert BASE["eye"] == {"pin": "6 mm"}


def test_a_draft_of_a_long_joint_looks_at_three_turns_and_draws_them_all():
    """Its strains are those of the short joint, at their places on the whole one; the line is the whole one's."""
    recipe = recipe_from_text(text_of((("twist", "turns", 300.0), ("barrel", "wraps", 200.0))))
    quick, full = draft(recipe), shape(recipe)
    assert quick.joint.own_d > LONGEST_DRAFT_D
    assert quick.strains.samples.s[-1] < 0.2 * LONGEST_DRAFT_D + quick.joint.layout.path.section_length("standing")
    line = quick.line(0.3)
    assert line.s_mm[-1] == pytest.approx(full.joint.wire_mm, rel=1e-4)
    for bend, known in zip(quick.bends, full.bends, strict=True):
        assert bend.strain == pytest.approx(known.strain, abs=2e-3)
        assert bend.s_mm == pytest.approx(known.s_mm, abs=20 * DRAFT_STEP)
    path = full.joint.layout.path
    middle = path.starts[:-1] + path.lengths / 2.0
    twist = [k for k, piece in enumerate(path.pieces) if piece.section in ("twist_tag", "twist_standing", "barrel")]
    assert strain_of(quick).at(middle[twist]) == pytest.approx(strain_of(full).at(middle[twist]), abs=2e-3)
