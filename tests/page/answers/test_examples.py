"""What comes with the page: the files in the package are those of the docs, and every one of them reads."""

from __future__ import annotations

from pathlib import Path

import pytest

from helix.model.batch.plan import plan_from_text
from helix.model.joint.section_names import SECTIONS
from helix.model.measured.pull_file import pull_file_from_text
from helix.page.answers.examples import examples, lessons
from helix.page.answers.joint_answer import joint_answer
from helix.page.answers.quiz import quiz
from helix.page.answers.recipe_tables import recipe_of_tables
from helix.studies.shape.along import overlaps_along
from helix.studies.shape.shape import shape

ROOT = Path(__file__).resolve().parents[3]
DATA = ROOT / "helix" / "data"
COPIES = sorted([*(DATA / "examples").iterdir(), *(DATA / "lessons").iterdir()])
FAULTS = ("sharp", "fault")


@pytest.mark.parametrize("copy", COPIES, ids=lambda path: path.name)
def test_a_file_in_the_package_equals_that_of_the_docs(copy: Path) -> None:
    folders = [ROOT / "docs" / "lessons"] if copy.parent.name == "lessons" else [
        ROOT / "docs" / "examples", ROOT / "docs" / "examples" / "pulls"
    ]  # fmt: skip
    found = [folder / copy.name for folder in folders if (folder / copy.name).is_file()]
    assert [path.read_bytes() for path in found] == [copy.read_bytes()]


def test_every_lesson_of_the_docs_comes_with_the_page() -> None:
    told = {lesson["name"]: lesson for lesson in lessons()}
    assert set(told) | {"good"} == {path.stem for path in (ROOT / "docs" / "lessons").glob("*.toml")}
    for lesson in told.values():
        assert recipe_of_tables(lesson["recipe"]) != recipe_of_tables(lesson["good"])
        assert lesson["title"]
        assert len(lesson["paragraph"]) > 200
        assert not [mark for mark in ("*", "#", "`", "helix compare") if mark in lesson["paragraph"]]


def test_every_question_of_the_quiz_has_a_place_and_a_lesson() -> None:
    asked = quiz()
    places = {place["name"]: place["sections"] for place in asked["places"]}
    assert all(set(sections) <= set(SECTIONS) for sections in places.values())
    right = []
    for tables in asked["joints"]:
        told = joint_answer({"recipe": tables})
        at = {place for finding in told["findings"] if finding["severity"] in FAULTS for place in finding["at"]}
        assert at and at <= set(places)
        assert all(told["lessons"][0].values())
        assert not list(
            overlaps_along(shape(recipe_of_tables(tables)))
        )  # its colour would tell the place, and no hand makes it
        assert "title" not in tables and told["judgement"]["severity"] in FAULTS  # a caution is no fault
        right.append(frozenset(at))
    assert {place for at in right for place in at} == set(places) - {"eye"}
    assert max(map(right.count, right)) <= len(right) / 3  # no place is right more often than not
    good = joint_answer({"recipe": lessons()[0]["good"]})
    assert good["findings"] == good["lessons"] == []


def test_the_examples_read_and_say_that_they_are_invented(tmp_path: Path) -> None:
    plan, pulls = examples()
    for each in (plan, pulls):
        assert each["invented"]
        assert "invented" in each["title"]
        assert "nvented" in each["text"]
    for file in plan["files"]:
        (tmp_path / file["name"]).write_text(file["text"], encoding="utf-8")
    assert sum(piece.count for piece in plan_from_text(plan["text"], "plan", tmp_path).pieces) == 48
    read = pull_file_from_text(pulls["text"])
    assert len(read.pieces) == 136
    assert not read.faults
    named = {Path(name).name for piece in read.pieces for name in piece.recipes if name}
    assert named == {file["name"] for file in pulls["files"]}
