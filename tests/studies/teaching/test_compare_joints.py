"""Good beside bad, in numbers and in words.

Map of what must hold:
  a joint does not differ from itself; a difference is symmetric
  every lesson differs from the good joint in what it teaches, and in its verdict; and says so in words
  every number in the words is the joint's own
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from helix.model.recipe.recipe import read_recipe
from helix.output.words.compare_words import difference_lines, value_text
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.compare_joints import Comparison, compare

LESSONS = Path(__file__).resolve().parents[3] / "docs" / "lessons"
TEACHES = {
    "steep-entry": ("entry_deg", "against 100 deg, radius 0.88 d"),
    "steep-exit": ("exit_deg", "81 deg over 8.5 d, radius 1.03 d against 120 deg over 11.3 d, radius 0.67 d"),
    "uneven-twist": ("tag_share", "the tag takes 1.00 times the leg's wire against 1.86 times"),
    "open-barrel": ("gap_d", "Gaps between the wraps: none against 0.79 d"),
    "opposite-hand-barrel": ("barrel_hand", "the same way round as the twist against the other way"),
    "wraps-only": ("turns", "5 even turns against 0 even turns"),
    "half-turns-counted": ("turns", "5 even turns against 2.5 even turns"),
}


@cache
def lesson(name: str) -> ShapeResult:
    return shape(read_recipe(LESSONS / f"{name}.toml"))


@cache
def beside(name: str) -> Comparison:
    return compare([lesson("good"), lesson(name)])


def test_there_is_a_lesson_for_each() -> None:
    assert {path.stem for path in LESSONS.glob("*.toml")} == {*TEACHES, "good"}
    assert {path.stem for path in LESSONS.glob("*.md")} >= set(TEACHES)


def test_a_joint_does_not_differ_from_itself() -> None:
    found = compare([lesson("good"), lesson("good")])
    assert found.differing(1) == ()
    assert difference_lines(found, 1, "metric") == ["Nothing that can be seen or matters."]
    with pytest.raises(ValueError, match="2 joints or more"):
        compare([lesson("good")])


@pytest.mark.parametrize("name", TEACHES)
def test_a_lesson_differs_in_what_it_teaches(name: str) -> None:
    found = beside(name)
    key, said = TEACHES[name]
    assert found.row(key).differs == (False, True)
    assert found.row("verdict").values[0] == "ok" and found.row("verdict").values[1] in ("fault", "sharp")
    lines = difference_lines(found, 1, "metric")
    assert any(said in line for line in lines), lines
    assert lines[0].startswith("Verdict: ok against ") and found.results[1].judgement.severity.name in lines[0]
    back = compare([lesson(name), lesson("good")])
    assert {row.key for row in back.differing(1)} == {row.key for row in found.differing(1)}


@pytest.mark.parametrize("name", ["steep-exit", "wraps-only"])
def test_the_numbers_are_the_joints_own(name: str) -> None:
    found = beside(name)
    good, bad = found.results
    assert found.row("cut_mm").values == (good.cut.total_mm, bad.cut.total_mm)
    exits = [next(bend for bend in result.bends if bend.name == "exit_tag") for result in (good, bad)]
    assert found.row("exit_deg").values == tuple(bend.visible_angle_deg for bend in exits)
    assert found.row("exit_d").values == tuple(bend.length_d for bend in exits)
    assert found.row("hold_n").values[0] == pytest.approx(found.holds[0].hold_n.nominal)
    for row in found.rows:
        for value in row.values:
            text = value_text(row, value, "metric")
            if isinstance(value, float) and value and row.unit != "share":
                number = float(re.findall(r"-?[0-9.]+", text)[0])
                close = {"deg": 0.5, "N": 0.5, "d": 0.051}.get(row.unit, 0.006)
                assert number == pytest.approx(value, rel=0.01, abs=close)


def test_inches_are_told_in_inches() -> None:
    lines = " ".join(difference_lines(beside("wraps-only"), 1, "inch"))
    assert " in against " in lines and "lbf" in lines and " mm" not in lines.split("Wire to cut")[1]


def test_a_key_that_is_none_is_refused() -> None:
    with pytest.raises(KeyError):
        beside("steep-exit").row("colour")
