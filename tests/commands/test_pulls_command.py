"""`helix pulls` as it is typed: exit codes, one line a fault, nothing overwritten, what can be read is not lost."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from helix.commands.main import main

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs" / "examples" / "pulls" / "logger-tethers.csv"
RECIPE = ROOT / "docs" / "examples" / "logger-tether.toml"
HEAD = "id,group,load,unit,failure\n"
GOOD = HEAD + "".join(f"{k},A,{700 + 10 * k},N,broke_exit\n" for k in range(1, 7))
BAD = GOOD + "7,A,x,N,broke\n8,A,700,N,slipped\n"


@pytest.fixture
def tests_csv(tmp_path: Path) -> Path:
    path = tmp_path / "tests.csv"
    path.write_text(GOOD)
    return path


def run(*words: object) -> int:
    return main(["pulls", *(str(word) for word in words)])


def test_the_least_file_as_text_and_as_json(tests_csv: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("read", tests_csv) == 0
    assert "A: 6 broke, 0 unwound; mean 735 N; plan with " in capsys.readouterr().out
    assert run("read", tests_csv, "--json", "--rated", "620 N") == 0
    told = capsys.readouterr()
    (group,) = json.loads(told.out)["groups"]
    assert group["n"] == 6
    assert group["mean_n"] == pytest.approx(735.0)
    assert group["efficiency_over_rated"] == pytest.approx(735.0 / 620.0, rel=1e-4)
    assert group["efficiency_over_control"] is None
    assert told.err == ""
    assert "two-joints-taken" in [note["code"] for note in json.loads(told.out)["notes"]]


def test_faults_are_told_the_rest_is_read_and_no_report_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, report = tmp_path / "bad.csv", tmp_path / "report.html"
    path.write_text(BAD)
    assert run("read", path, "--json", "-o", report) == 2
    told = capsys.readouterr()
    lines = told.err.splitlines()
    assert lines[0] == f'helix: {path} row 8, column load: must be a number; got "x"'
    assert "row 9, column failure" in lines[1]
    assert "did you mean grip" in lines[1]
    assert "no report was written" in lines[2]
    assert not report.exists()
    record = json.loads(told.out)
    assert record["groups"][0]["n"] == 6
    assert len(record["faults"]) == 2
    assert "2 of 8 rows are unreadable" in record["notes"][0]["message"]
    assert run("read", path, "-o", report, "--leave-out") == 0
    assert "Unreadable rows, left out" in report.read_text(encoding="utf-8")


def test_nothing_is_overwritten_and_faults_come_at_once(
    tests_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mine = tmp_path / "mine.html"
    mine.write_text("mine")
    assert (
        run("read", tests_csv, "-o", mine, "-o", tmp_path / "no" / "report.pdf", "-o", "x.docx", "--rated", "12 mm")
        == 2
    )
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 4
    assert mine.read_text() == "mine"
    assert run("read", tests_csv, "-o", mine, "--force") == 0
    assert mine.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_report_charts_and_pdf(tests_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "charts"
    assert run("read", tests_csv, "-o", tmp_path / "a.pdf", "--charts", folder) == 0
    assert sorted(path.name for path in folder.iterdir()) == [
        "pieces.png",
        "pieces.svg",
        "probability.png",
        "probability.svg",
    ]
    assert (tmp_path / "a.pdf").read_bytes().startswith(b"%PDF")
    assert run("read", tests_csv, "--charts", folder) == 2
    assert "exists already" in capsys.readouterr().err
    assert [path.suffix for path in tmp_path.iterdir() if path.suffix == ".part"] == []


def test_template_is_printed_and_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("template") == 0
    printed = capsys.readouterr().out
    assert printed.startswith("id,group,")
    path, mapping = tmp_path / "mine.csv", tmp_path / "curves.toml"
    assert run("template", path, "--mapping", mapping) == 0
    assert path.read_text() == printed
    assert run("template", "-o", path) == 2
    assert run("template", path, "-o", tmp_path / "other.csv") == 2
    assert path.read_text() == printed


def test_compare(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("compare", DEMO, "--by", "group", "--json") == 0
    record = json.loads(capsys.readouterr().out)
    assert len(record["comparisons"]) == 21
    assert run("compare", DEMO, "--by", "weather") == 2
    assert "must be a column of" in capsys.readouterr().err
    assert run("compare", DEMO) == 2


def test_plan_with_order_and_labels(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order, labels = tmp_path / "order.csv", tmp_path / "labels.pdf"
    words = (
        "plan",
        RECIPE,
        "--turns",
        "4,5",
        "--wraps",
        "3,5",
        "--each",
        "3",
        "--batches",
        "A,B",
        "--order",
        order,
        "--labels",
        labels,
    )
    assert run(*words, "--json") == 0
    record = json.loads(capsys.readouterr().out)
    assert len(record["order"]) == 22
    assert len(order.read_text().splitlines()) == 23
    assert labels.read_bytes().startswith(b"%PDF")
    assert run(*words) == 2
    assert capsys.readouterr().err.count("exists already") == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "RECIPE: must be one or more, or the load be given"),
        (("--expect-load", "12 mm"), "--expect-load: must be a force"),
        (("--expect-load", "900 N", "--cv", "5"), "--cv: must be a share above 0 and at most 0.5"),
        (("--expect-load", "900 N", "--wires", "two"), "--wires: must be a whole number from 1 to 100"),
        (("--expect-load", "900 N", "--cell", "5000"), "--cell: must be a force"),
        (("--expect-load", "900 N", "--cell", "5000 N, class 7"), "class must be one of 0.5, 1, 2, 3; got 7"),
        (("--expect-load", "900 N", "--cell", "5000 N, colour red"), "knows class and resolution only"),
        (("--expect-load", "900 N", "--unwinding", "0.1"), "--unwinding: must be 2 numbers from 0 to 1"),
        (("--expect-load", "900 N", "--apart", "2"), "--apart: must be above 0 and below the load itself"),
        (("--expect-load", "900 N", "--batches", "A,,B"), "--batches: must be 1 to 20 different names"),
        (("--expect-load", "900 N", "--order", "o.csv"), "RECIPE: must be given, so that there are pieces"),
        (("none.toml",), "none.toml"),
    ],
)
def test_plans_that_cannot_be_made(words: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", *words) == 2
    err = capsys.readouterr().err
    assert said in err
    assert "Traceback" not in err


@pytest.mark.parametrize("name", ["missing.csv", "."])
def test_files_that_are_none(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("read", tmp_path / name) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_curves_with_faults_name_their_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "m.toml").write_text('[load]\ncolumn = "F"\nunit = "N"\n[extension]\ncolumn = "s"\nunit = "mm"\n')
    (tmp_path / "short.csv").write_text("s,F\n0,0\n")
    (tmp_path / "flat.csv").write_text("s,F\n" + "".join(f"{k},-{k}\n" for k in range(40)))
    rows = "".join(
        f"{k},A,{700 + k},N,broke_exit,{c}\n" for k, c in enumerate(("short.csv", "flat.csv", "none.csv", ""))
    )
    (tmp_path / "t.csv").write_text("id,group,load,unit,failure,curve\n" + rows)
    assert run("read", tmp_path / "t.csv", "--curves", tmp_path / "m.toml", "--json") == 2
    told = capsys.readouterr()
    assert len(told.err.splitlines()) == 3
    assert "row 3, column curve: flat.csv: the load must rise" in told.err
    assert json.loads(told.out)["groups"][0]["n"] == 4


def test_the_same_file_feeds_the_hold_calibration(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hold", str(RECIPE), "--calibrate", str(DEMO), "--all"]) == 0
    assert "alibration" in capsys.readouterr().out


@pytest.mark.parametrize("depth", [200, 3000])
def test_nested_brackets_are_refused_in_a_line(
    tests_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], depth: int
) -> None:
    mapping = tmp_path / "curves.toml"
    mapping.write_text("extension = " + "[" * depth + "]" * depth)
    assert run("read", tests_csv, "--curves", mapping) == 2
    lines = capsys.readouterr().err.splitlines()
    assert lines and all(line.startswith(f"helix: {mapping}") for line in lines)
    nested = tmp_path / "nested.csv"
    nested.write_text(f"id,group,load,unit,failure\n1,A,{'(' * depth}800{')' * depth},N,broke\n")
    assert run("read", nested) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert "row 2, column load: must be a number" in line and len(line) < 300


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize("words", [("read", "PIPE"), ("compare", "PIPE", "--by", "group"), ("plan", "PIPE")])
def test_a_pipe_is_refused_and_not_waited_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert run(*(pipe if word == "PIPE" else word for word in words)) == 2
    assert capsys.readouterr().err == f"helix: {pipe}: must be a regular file; got a device or a pipe\n"


@pytest.mark.slow
def test_charts_are_written_all_or_none(
    tests_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "charts"
    real, calls = os.fsync, []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 3:
            raise OSError(28, "No space left on device")
        real(handle)

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        assert run("read", tests_csv, "--charts", folder) == 2
    assert "no space left" in capsys.readouterr().err and not folder.exists()
    assert run("read", tests_csv, "--charts", folder) == 0
    names = sorted(path.name for path in folder.iterdir())
    assert len(names) >= 4
    (folder / names[0]).unlink()
    assert run("read", tests_csv, "--charts", folder) == 2
    assert sorted(path.name for path in folder.iterdir()) == names[1:]


def test_a_plan_that_nobody_pulls_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("plan", RECIPE, "--each", "1000", "--turns", "3,4,5", "--wraps", "4,5") == 2
    assert "--each: must make a plan of at most 5,000 pieces; this one has 6,005" in capsys.readouterr().err


def test_a_recipe_of_another_wire_is_told(tests_csv: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sized = tmp_path / "sized.csv"
    sized.write_text("id,group,size,load,unit,failure\n1,A,MWG 14,900,N,broke\n2,A,MWG 14,910,N,broke\n")
    assert run("read", sized, "--recipe", RECIPE) == 0
    assert f"A: nothing is predicted, because {RECIPE.name} is of another wire." in capsys.readouterr().out
    assert run("read", tests_csv, "--recipe", RECIPE, "--all") == 0
    assert "helix expected" in capsys.readouterr().out
