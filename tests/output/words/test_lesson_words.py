"""Lessons: what is to be seen, why it matters, what hands should do.

Map of what must hold:
  every code that a joint can be judged by has a lesson: three parts, no numbers, each a line of a picture and a sheet
  what is taught of an overlap is what hands did to make it, of a joint that unwinds what would mend it
"""

from __future__ import annotations

import ast
import re
from dataclasses import replace
from pathlib import Path

import pytest

from helix.findings import Finding, Severity
from helix.model.recipe.recipe import read_recipe
from helix.output.canvas.lettering import text_width
from helix.output.words.findings.finding_words import ADVICE, WORDS, Explained
from helix.output.words.lesson_words import BY_REMEDY, LESSONS, Lesson, first_lesson, lesson_of, with_advice
from helix.output.words.words import telling
from helix.studies.hold import hold_findings, holding
from helix.studies.shape import bend_findings, joint_findings
from helix.studies.shape.shape import shape
from helix.values import Values
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


@pytest.mark.parametrize(("code", "remedy"), [(code, remedy) for code, each in BY_REMEDY.items() for remedy in each])
def test_what_is_advised_makes_the_lesson(code: str, remedy: str) -> None:
    values = Values(
        lay_d=8.0, leg_d=3.7, swing_turns=0.5, few_turns=True, few_wraps=False, strain=0.6, strain_limit=0.5
    )
    found = Explained(Finding(code=code, severity=Severity.FAULT, values=values, remedy=remedy), "", "", "", "")
    lesson = lesson_of(found)
    assert lesson != Lesson(*LESSONS[code]) and all(lesson) and remedy in ADVICE
    assert text_width(lesson.headline, 1.0, bold=True) < NARROWEST / 1.7
    for line in lesson[1:]:
        assert text_width(f"{line}.", 1.0) < NARROWEST and "{" not in line


@pytest.mark.parametrize(("lay", "named"), [("8 d", "lay 8 d, not 4 d"), ("9 d", "lay 9 d, not 4 d"), ("4 d", "")])
def test_a_twist_that_is_too_open_is_named_by_its_lay(lay: str, named: str) -> None:
    """Failed once: a joint of five turns of 8 d was told to make more full turns."""
    good = read_recipe(EXAMPLES / "faults" / "good.toml")
    lay_mm = float(lay.split()[0]) * good.wire.diameter_mm
    found = first_lesson(shape(good.variant(twist=replace(good.twist, lay_mm=lay_mm, length_mm=None))))
    assert bool(found) == bool(named)
    if found:
        assert named in found[1].headline and found[1].do.startswith("wind it steeper, to a lay of 4 d")
        assert found[0].do.startswith("wind the twist steeper")


def test_a_joint_that_unwinds_for_want_of_turns_is_taught_to_make_them() -> None:
    good = read_recipe(EXAMPLES / "faults" / "good.toml")
    found = first_lesson(shape(good.variant(twist=replace(good.twist, turns=4.0, length_mm=None))))
    assert found is not None and found[1].headline == "Too few turns" and found[1].do.startswith("make five full turns")


def test_an_overlap_is_taught_by_what_hands_did() -> None:
    found = first_lesson(shape(read_recipe(EXAMPLES / "faults" / "short-exit.toml")))
    assert found is not None
    assert found[0].finding.code == "exit-overlaps" and found[1].headline == "The tag is swung out too soon"


def test_paper_says_what_to_do_and_not_where_to_look() -> None:
    found = telling(shape(read_recipe(EXAMPLES / "faults" / "twist-only.toml")))
    (unwinds,) = (finding for finding in found if finding.finding.code == "unwinds")
    assert unwinds.do == with_advice(unwinds).do == "add touching wraps"
    (barrel,) = (finding for finding in found if finding.finding.code == "no-barrel")
    assert with_advice(barrel) == barrel
