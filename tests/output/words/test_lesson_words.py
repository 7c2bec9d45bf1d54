"""Lessons: what is to be seen, why it matters, what hands should do.

Map of what must hold:
  every code that a joint can be judged by has a lesson: three parts, no numbers, each a line of a picture and a sheet
  what is taught of an overlap is what hands did to make it
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from helix.model.recipe.recipe import read_recipe
from helix.output.canvas.lettering import text_width
from helix.output.words.finding_words import WORDS
from helix.output.words.lesson_words import LESSONS, Lesson, first_lesson, with_advice
from helix.output.words.words import telling
from helix.studies.hold import hold_findings, holding
from helix.studies.shape import bend_findings, joint_findings
from helix.studies.shape.shape import shape
from tests.output.conftest import EXAMPLES

NARROWEST = 60.0  # heights of the font in a line of a picture that is named by "Because" or "Do this"


def judged_codes() -> list[str]:
    """Codes that the studies which judge a joint find."""
    codes: set[str] = set()
    for module in (bend_findings, joint_findings, hold_findings, holding):
        tree = ast.parse(Path(str(module.__file__)).read_text())
        codes |= {
            node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)
        }
    return sorted(codes & set(WORDS))


def test_the_codes_are_those_that_are_known() -> None:
    assert {"steep-first-bend", "wraps-overlap", "tight-eye", "unwinds", "no-model", "rated-not-held-by-all"} <= set(
        judged_codes()
    )


@pytest.mark.parametrize("code", judged_codes())
def test_every_judgement_has_its_lesson(code: str) -> None:
    lesson = Lesson(*LESSONS[code])
    assert all(lesson)
    assert text_width(lesson.headline, 1.0, bold=True) < NARROWEST / 1.7  # it is larger
    for line in lesson[1:]:
        assert text_width(f"{line}.", 1.0) < NARROWEST
        assert not re.search(r"\d|look under|--", line)
    assert lesson.headline[0].isupper() and lesson.because[0].islower() and lesson.do[0].islower()


def test_an_overlap_is_taught_by_what_hands_did() -> None:
    found = first_lesson(shape(read_recipe(EXAMPLES / "faults" / "short-exit.toml")))
    assert found is not None
    assert found[0].finding.code == "exit-overlaps" and found[1].headline == "The tag is swung out too soon"


def test_paper_says_what_to_do_and_not_where_to_look() -> None:
    found = telling(shape(read_recipe(EXAMPLES / "faults" / "twist-only.toml")))
    (unwinds,) = (finding for finding in found if finding.finding.code == "unwinds")
    assert unwinds.do != with_advice(unwinds).do == LESSONS["unwinds"][2]
    (barrel,) = (finding for finding in found if finding.finding.code == "no-barrel")
    assert with_advice(barrel) == barrel
