"""What every command prints without --all: a short answer, the verdict first, and nothing that --all leaves out.

Map of what must hold:
  at most eight lines and one of caution, as printed, of at most 100 columns; cut six and one a piece
  the verdict's word comes first for a joint that is not good, and a sharp or faulty joint is not praised
  --all says all that the answer says
  words that people do not use stand nowhere
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from helix.commands.main import main
from helix.findings import Severity
from helix.model.recipe.recipe import read_recipe
from helix.output.report.document import answer_text
from helix.output.teaching.teaching_answers import steps_answer
from helix.output.words.answer_words import CAUTION
from helix.output.words.lesson_words import first_lesson
from helix.output.words.words import mark_number, verdict_word
from helix.studies.judge import judge
from helix.studies.shape.shape import shape
from helix.studies.teaching.steps import forming_steps, ink_marks
from helix.units import UnitSystem

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs/examples/logger-tether.toml"
TWO_WIRES = ROOT / "docs/examples/anchor-tether.toml"
PLAN = ROOT / "docs/examples/reef-station.toml"
PULLS = ROOT / "docs/examples/pulls/logger-tethers.csv"
NO_JOINT = ("crossings-as-turns", "lay-two")  # refused as recipes
FAULTS = [path for path in sorted((ROOT / "docs/examples/faults").glob("*.toml")) if path.stem not in NO_JOINT]
FEW_FAULTS = [DEMO, *(path for path in FAULTS if path.stem in ("open-barrel", "overbent-120", "twist-only"))]
FEW = ("--draws", "200")
OF_A_JOINT = {
    "shape": (),
    "hold": FEW,
    "form": (),
    "stretch": ("--load", "300 N"),
    "sheet": ("-o", "joint.pdf", "--force"),
    "draw": ("-o", "joint.svg", "--force"),
}
OTHERS: dict[str, tuple[str, ...]] = {
    "why": (str(DEMO), *FEW),
    "spread": (str(DEMO), *FEW),
    "sizes": (),
    "choose": ("--load", "400 N", "--family", "MWG", "--material", "302 stainless", "--rows", "2"),
    "link": (str(DEMO), "--ring", "5 mm", "--ring-inside", "20 mm"),
    "cut": (str(PLAN),),
    "compare": (str(DEMO), str(FAULTS[0]), "-o", "both.svg", "--force"),
    "pulls compare": (str(PULLS), "--by", "group"),
    "pulls plan": (str(DEMO),),
}
WITH_ALL = {*OF_A_JOINT, *OTHERS} - {"sheet", "draw"}


@pytest.fixture
def printed(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)

    def run(name: str, *words: str) -> list[str]:
        assert main([*name.split(), *words]) == 0
        return capsys.readouterr().out.rstrip("\n").split("\n")

    return run


def check_short(lines: list[str], most: int = 8) -> None:
    assert lines[-1] == CAUTION
    assert len(lines) <= most + 1, lines
    assert max(map(len, lines)) <= 100
    assert not any(line.startswith(" ") or not line for line in lines)


def _slow_but(path: Path) -> Any:
    """Every command on a good joint, on one that may unwind, and on faults of twist, exit and barrel; on the rest when asked."""
    return pytest.param(path, id=path.stem, marks=() if path in (*FEW_FAULTS, TWO_WIRES) else pytest.mark.slow)


@pytest.mark.parametrize("path", [_slow_but(path) for path in (DEMO, *FAULTS)])
def test_a_joint_is_answered_in_eight_lines_its_verdict_first(printed, path: Path) -> None:
    judgement = judge(read_recipe(path))
    for name, more in OF_A_JOINT.items():
        lines = printed(name, str(path), *more)
        check_short(lines)
        if judgement.severity > Severity.NOTE:
            assert lines[0].startswith(f"{verdict_word(judgement)}: "), (name, lines)
        if not judgement.is_ok:
            assert not re.search(r"\b(LOCKS|OK)\b", "\n".join(lines)), (name, lines)
        if "Plan with" in "\n".join(lines):
            assert "an estimate" in next(line for line in lines if "Plan with" in line)


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("path", [_slow_but(path) for path in (DEMO, TWO_WIRES, *FAULTS)])
def test_steps_say_what_to_do_and_where_to_ink_as_short(path: Path, units: UnitSystem) -> None:
    result = shape(read_recipe(path))
    marks = ink_marks(result)
    lines = (
        answer_text(steps_answer(result, forming_steps(result), marks, units, "Drawn in steps")).rstrip().split("\n")
    )
    check_short(lines)
    told = " ".join(lines)
    if len(result.wires) == 1:
        ink = told.split("from the tag's end: ")[1].split(". ")[0]
        assert [part.split()[0] for part in ink.split(", ")] == [mark_number(mark, units).split()[0] for mark in marks]
        assert f"{mark_number(next(mark for mark in marks if 'middle' in mark.what), units)} on the pin" in ink


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("path", [_slow_but(path) for path in FAULTS])
def test_a_comparison_teaches_what_its_picture_teaches(printed, path: Path, units: str) -> None:
    lines = printed("compare", str(DEMO), str(path), "--units", units)
    check_short(lines)
    first = first_lesson(shape(read_recipe(path)))
    told = " ".join(lines)
    if first is None:
        assert "nothing found wrong" in lines[0]
    else:
        assert f"{first[1].headline[1:]}. " in told
        assert f"Because {first[1].because}. Do this: {first[1].do}." in told


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", OTHERS)
def test_every_other_command_is_answered_as_short(printed, name: str, units: str) -> None:
    pieces = PLAN.read_text(encoding="utf-8").count("[[piece]]") if name == "cut" else 0
    lines = printed(name, *OTHERS[name], "--units", units)
    check_short(lines, 6 + pieces if pieces else 8)


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name == "spread" else ()) for name in sorted(WITH_ALL)]
)
def test_all_says_what_the_answer_says(printed, name: str) -> None:
    words = (str(FAULTS[-2]), *OF_A_JOINT[name]) if name in OF_A_JOINT else OTHERS[name]
    lines = [line for line in printed(name, *words) if not line.startswith(("helix new ", "Then: helix "))]
    answer = " ".join(" ".join(lines[:-2]).split())  # without the lines that say what to type
    told = " ".join(" ".join(printed(name, *words, "--all")).split())
    assert len(answer) > 40 and answer in told
    assert CAUTION in told


def test_the_table_of_a_hold_stands_alone(printed) -> None:
    lines = printed("hold", str(DEMO), "--table", *FEW)
    assert "Verdict for each pair" in "\n".join(lines) and not any(line.startswith("LOCKS") for line in lines)


def test_inches_are_those_of_a_tape(printed) -> None:
    text = "\n".join(printed("shape", str(DEMO), "--units", "inch"))
    assert re.search(r"Cut \d+ \d+/(2|4|8|16) in", text) and " mm" not in text and "0.49 turn" not in text


FORBIDDEN = (
    "LOCKS, BUT BREAKS EARLY", "the first locks", "smallest safe pair", "what gives way first", "most cautious of those",
    "the friction of published tests", "it would take more than the wire", "a page to turn it on",
    "can be used with care", "proven to be the least", "a rest is kept", "will do in 80", "spare will do",
    "Distances in in", "open what presses", "what a bend takes off", "gravest", "came to no rest", "about nothing",
    "range that is sensible", "values are left open", "rows that cannot be read",
)  # fmt: skip


@pytest.mark.parametrize("words", FORBIDDEN)
def test_plain_words_everywhere(words: str) -> None:
    found = []
    for folder in ("helix", "docs"):
        for path in (ROOT / folder).rglob("*"):
            kept = path.suffix in (".py", ".md", ".toml", ".js", ".html", ".css") and "decisions" not in path.parts
            if not kept or path.name == "changelog.md":
                continue
            text = path.read_text(encoding="utf-8")
            if words in text or (not words.isupper() and words.lower() in text.lower()):
                found.append(path.relative_to(ROOT).as_posix())
    assert found == []
