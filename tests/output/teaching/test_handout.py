"""The handout for a class.

Map of what must hold:
  the question pages say the same whatever is wrong, so that nothing on them can give it away
  every lesson stands on the answer pages, no lesson on the question pages; the caution stands on all
  joints of demo data are called invented in front and behind; nothing runs past the paper
"""

from __future__ import annotations

from pathlib import Path

import pytest

from helix.commands.main import main
from helix.model.recipe.recipe import read_recipe
from helix.output.canvas.lettering import text_width
from helix.output.canvas.paper import Page
from helix.output.canvas.primitives import Text
from helix.output.teaching.handout import handout_pages
from helix.output.words.answer_words import CAUTION
from helix.output.words.lesson_words import lesson_of
from helix.output.words.words import telling
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.compare_joints import compare
from helix.units import UnitSystem
from tests.tools.pdf_text import page_texts

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
GOOD = EXAMPLES / "logger-tether.toml"
FAULTS = [EXAMPLES / "faults" / f"{name}.toml" for name in ("open-barrel", "twist-only", "overbent-120", "wraps-only")]


@pytest.fixture(scope="module")
def joints() -> list[ShapeResult]:
    return [shape(read_recipe(path)) for path in (GOOD, *FAULTS)]


def lines(pages: list[Page]) -> list[str]:
    return [item.text for page in pages for item in page.shapes if isinstance(item, Text)]


def test_questions_say_the_same_whatever_is_wrong(joints: list[ShapeResult]) -> None:
    good, *bad = joints
    fronts = [lines(handout_pages(compare([good, other]))[0]) for other in (good, *bad)]
    assert all(front == fronts[0] for front in fronts)
    assert any("(invented)" in line for line in fronts[0])


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_every_lesson_is_behind_and_none_in_front(joints: list[ShapeResult], units: UnitSystem) -> None:
    front, behind = handout_pages(compare(joints), units)
    asked, told = " ".join(lines(front)), " ".join(lines(behind))
    for result in joints[1:]:
        lessons = [lesson_of(finding) for finding in telling(result, units) if finding.finding in result.findings]
        assert lessons
        for part in (part for lesson in lessons for part in lesson if part):
            assert part in told
            assert part not in asked
    assert "(invented)" in told
    for page in (*front, *behind):
        assert CAUTION in lines([page])
        for item in page.shapes:
            if isinstance(item, Text):
                wide = text_width(item.text, item.size, item.bold)
                start = item.x - (wide if item.anchor == "end" else 0.0)
                assert start >= 5.0
                assert start + wide <= page.width - 5.0
                assert item.y <= page.height - 5.0
            else:
                assert all(5.0 <= x <= page.width - 5.0 and 5.0 <= y <= page.height - 5.0 for x, y in item.points)


def test_command_writes_the_handout(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "handout.pdf"
    assert main(["compare", str(GOOD), str(FAULTS[0]), "-o", str(target)]) == 0
    pages = page_texts(target)
    assert [("Do this" in page) for page in pages] == [False, True]
