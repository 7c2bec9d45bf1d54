"""Mistakes that people make at a keyboard meet a suggestion, in one line, with exit code 2.

Map of what must hold:
  a command or an option that there is not: the one likely meant, or where they are listed
  a file of another kind, in every direction: what it is, what is needed, how to come by one
  a file that is not there: in which folder it was looked for, and the name there that is likely meant
  a folder that is not there: the line that makes it
"""

from __future__ import annotations

from pathlib import Path

import pytest

from helix.commands.main import main
from helix.model.measured.curve_file import MAPPING_TEMPLATE
from helix.model.measured.readings_file import readings_template

EXAMPLES = Path(__file__).resolve().parents[2] / "docs/examples"
DEMO, PLAN, PULLS = (
    str(EXAMPLES / name) for name in ("logger-tether.toml", "reef-station.toml", "pulls/logger-tethers.csv")
)
FILES = {"recipe": DEMO, "plan": PLAN, "pulls": PULLS, "readings": "readings.toml", "mapping": "mapping.toml"}
CALLED = {
    "recipe": "this is a recipe",
    "plan": "this is a plan of pieces to cut",
    "pulls": "this is a table of pull tests",
    "readings": "this is a file of readings",
    "mapping": "this is a mapping of curves",
}
NEEDED = {
    "recipe": ("a recipe is needed", '"helix new FILE" writes', ("shape",)),
    "plan": ("a plan is needed", '"helix cut --template" writes', ("cut",)),
    "pulls": ("a table of pull tests is needed", '"helix pulls template FILE" writes', ("pulls", "read")),
    "readings": ("a file of readings is needed", '"helix inspect --template" writes', ("inspect", DEMO, "--readings")),
    "mapping": (
        "a mapping is needed",
        '"helix pulls template --mapping FILE" writes',
        ("pulls", "read", PULLS, "--curves"),
    ),
}
OTHERS = [(wanted, got) for wanted in NEEDED for got in CALLED if got != wanted]


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    Path("readings.toml").write_text(readings_template(), encoding="utf-8")
    Path("mapping.toml").write_text(MAPPING_TEMPLATE, encoding="utf-8")

    def run(*words: str) -> str:
        assert main(list(words)) == 2
        out, err = capsys.readouterr()
        assert out == "" and err.count("\n") == 1
        return err

    return run


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("shap", DEMO), 'there is no command "shap"; did you mean shape?'),
        (("qqq", DEMO), "helix --help lists them"),
        (("pulls", "reed", "x.csv"), 'there is no command "pulls reed"; did you mean read?'),
        (("shape", DEMO, "--al"), "helix shape has no option --al; did you mean --all?"),
        (("shape", DEMO, "--zzz=3"), "helix shape has no option --zzz; helix shape --help lists them"),
        (("shape", DEMO, "--units", "imperial"), "--units"),
        (("hold", "none.toml"), "no such file in "),
        (("hold", "reading.toml"), "did you mean readings.toml?"),
        (("hold", "none.toml"), '"helix new FILE" writes'),
        (("pulls", "read", "none.csv"), "no such file in "),
        (("cut",), 'PLAN: must be given, such as "plan.toml"; "helix cut --template" writes'),
        (("inspect", DEMO), '"helix inspect --template" writes'),
        (("draw", DEMO), "such as: helix draw joint.toml -o joint.png"),
        (("choose",), 'such as: helix choose --load "600 N"'),
        (("draw", DEMO, "-o", "sub/joint.svg"), "mkdir -p sub"),
        (("new", "sub dir/joint.toml"), "mkdir -p 'sub dir'"),
        (("cut", "--template", "sub/plan.toml"), "mkdir -p sub"),
    ],
)
def test_a_mistake_is_told_in_one_line(told, words: tuple[str, ...], line: str) -> None:
    assert line in told(*words)


@pytest.mark.parametrize(("wanted", "got"), OTHERS)
def test_a_file_of_another_kind_is_named(told, wanted: str, got: str) -> None:
    needed, start, words = NEEDED[wanted]
    err = told(*words, FILES[got])
    assert f"{CALLED[got]}; {needed}: {start}" in err


def test_pull_tests_that_move_a_hold_are_known_by_kind_too(told) -> None:
    for option in ("--pulls", "--calibrate"):
        assert "this is a plan of pieces to cut; a table of pull tests is needed" in told("hold", DEMO, option, PLAN)


def test_words_of_the_field_are_understood_and_said_so_once(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    text = Path(DEMO).read_text(encoding="utf-8")
    text = text.replace('"MWG 12"', '"no. 12"\nrated_load = "150 lb"').replace('"metric"', '"in"')
    Path("joint.toml").write_text(text, encoding="utf-8")
    assert main(["stretch", "joint.toml", "--load", "60 lb"]) == 0
    out, err = capsys.readouterr()
    assert "60.0 lbf" in out and " N " not in out
    for remark in (
        '"no. 12" read as music wire gauge, MWG 12: 0.737 mm, 0.029 in.',
        '"150 lb" read as lbf.',
        '"60 lb" read as lbf.',
    ):
        assert err.count(remark) == 1
    for units in ("in", "inch", "inches"):
        assert main(["shape", DEMO, "--units", units]) == 0
    assert main(["cut", PLAN, "--paper", "Letter", "-o", "sheet.svg"]) == 0
    assert main(["cut", PLAN, "--paper", "letter", "-o", "sheet.svg", "--force"]) == 0
