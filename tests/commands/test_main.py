"""The command line, as a user and as a script meets it.

Map of what must hold:
  the answer comes first, exit codes are 0, 1 (only with --strict) and 2, nothing ends in a traceback
  all faults of the recipe and of the options are told at once, one line each, on standard error only
  no output file is touched when anything is wrong, and none is replaced without --force
  units change what people read, never the JSON
  a machine that cannot draw gets the drawing, and is told so
"""

from __future__ import annotations

import csv
import io
import json
import os
import shlex
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from helix.commands.main import main
from helix.model.recipe.recipe_parts import Recipe
from helix.output.picture import gl
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.shape.shape import ShapeResult, shape
from helix.tasks.registry import SENTENCES
from helix.tasks.shape import draw_task, shape_task

ROOT = Path(__file__).resolve().parents[2]
DEMO = str(ROOT / "docs" / "examples" / "logger-tether.toml")
FAULTS = ROOT / "docs" / "examples" / "faults"


_shaped = cache(shape)


def _computed_once(recipe: Recipe, own: OwnPulls | None) -> ShapeResult:
    assert own is None
    return _shaped(recipe)


class Ran(NamedTuple):
    code: int
    out: str
    err: str

    @property
    def told(self) -> list[str]:
        return self.err.splitlines()


Run = Callable[..., Ran]


@pytest.fixture
def helix(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run a command in an empty folder; one recipe is computed once for all tests here."""
    monkeypatch.chdir(tmp_path)
    for task in (shape_task, draw_task):
        monkeypatch.setattr(task, "shape_judged", _computed_once)

    def run(*words: object) -> Ran:
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.out + told.err
        return Ran(code, told.out, told.err)

    return run


def test_shape_answers_first(helix: Run) -> None:
    ran = helix("shape", DEMO)
    assert (ran.code, ran.err) == (0, "")
    lines = [line for line in ran.out.splitlines() if line]
    assert lines[0].startswith("Cut 460 mm (") and lines[1].startswith("OK. ")


@pytest.mark.parametrize(
    ("name", "strict"),
    [("good", 0), ("bench-exit", 0), ("twist-only", 1), ("wide-throat", 1), ("short-exit", 1), ("tight-pitch", 1)],
)
def test_only_strict_turns_findings_into_exit_code_1(helix: Run, name: str, strict: int) -> None:
    assert helix("shape", FAULTS / f"{name}.toml").code == 0
    assert helix("shape", FAULTS / f"{name}.toml", "--strict", "--json").code == strict


def test_json_is_the_same_in_every_unit_system(helix: Run) -> None:
    metric, inch = (helix("shape", DEMO, "--json", "--units", units) for units in ("metric", "inch"))
    assert metric == inch
    data = json.loads(metric.out)
    assert data["schema"] == 2 and data["wire"]["diameter_mm"] == 0.7366
    assert json.loads(helix("shape", DEMO, "--json").out) == data


def test_units_follow_the_recipe_unless_told_otherwise(helix: Run, tmp_path: Path) -> None:
    recipe = tmp_path / "inch.toml"
    recipe.write_text(Path(DEMO).read_text(encoding="utf-8").replace('units = "metric"', 'units = "inch"'))
    assert "Cut 18 1/8 in (" in helix("shape", recipe).out
    assert "Cut 460 mm (" in helix("shape", recipe, "--units", "metric").out


@pytest.mark.parametrize(("step", "most_d"), [(None, 0.02), ("0.005 d", 0.005), ("0.05 mm", 0.05 / 0.7366)])
def test_points_are_written_at_the_step_asked_for(helix: Run, step: str | None, most_d: float) -> None:
    ran = helix("shape", DEMO, "--points", "line.csv", *([] if step is None else ["--step", step]))
    assert ran.code == 0 and "line.csv" in ran.err and ran.out.count("Cut 460 mm") == 1
    rows = list(csv.reader(io.StringIO(Path("line.csv").read_text(encoding="ascii"))))
    assert rows[0] == ["s_mm", "x_mm", "y_mm", "z_mm", "curvature_per_mm", "section"]
    s = np.array([float(row[0]) for row in rows[1:]])
    assert np.diff(s).min() > 0 and np.diff(s).max() <= most_d * 0.7366 * (1 + 1e-9)
    total = json.loads(helix("shape", DEMO, "--json").out)["cut"]["total_mm"]
    assert s[-1] - s[0] == pytest.approx(total - 60.0, rel=1e-9)
    assert rows[1][5] == "standing" and rows[-1][5] == "stub"
    assert {row[5] for row in rows[1:]} == {
        "standing", "barrel_core", "exit_standing", "twist_standing", "entry_standing", "eye",
        "entry_tag", "twist_tag", "exit_tag", "barrel", "stub",
    }  # fmt: skip


@pytest.mark.parametrize("step", ["0", "-1 mm", "0 mm", "3", "nan d", "2 d", "90 deg", "1e-9 d", ""])
def test_a_step_that_cannot_be_is_told_and_nothing_is_written(helix: Run, tmp_path: Path, step: str) -> None:
    ran = helix("shape", DEMO, "--points", "line.csv", f"--step={step}")
    assert ran.code == 2 and ran.out == "" and len(ran.told) == 1
    assert ran.told[0].startswith("helix: --step: must be ")
    assert os.listdir(tmp_path) == []


def test_a_step_without_points_is_a_fault(helix: Run) -> None:
    assert helix("shape", DEMO, "--step", "1 d").told == ["helix: --step: needs points, the file to write"]


def test_every_fault_of_recipe_and_options_is_told_at_once(helix: Run, tmp_path: Path) -> None:
    recipe = tmp_path / "bad.toml"
    recipe.write_text('[wire]\nsize = "MWG 12"\nmaterial = "string"\n[eye]\npin = "6"\n[twist]\nturn = 5\n')
    ran = helix("draw", recipe, "-o", "a.bmp", "--size", "1x1")
    assert ran.code == 2 and ran.out == ""
    assert len(ran.told) == 5
    for part in ("material", "pin", "turn", "a.bmp: must end in", "--size: must be"):
        assert sum(part in line for line in ran.told) >= 1
    assert os.listdir(tmp_path) == ["bad.toml"]


def test_a_shape_that_cannot_be_is_refused(helix: Run) -> None:
    ran = helix("shape", FAULTS / "lay-two.toml")
    assert ran.code == 2 and ran.out == "" and len(ran.told) == 1 and "2 d" in ran.err


@pytest.mark.parametrize("recipe", ["none.toml", ".", os.devnull, "a\nb.toml", "x" * 300])
def test_a_recipe_that_is_no_file_is_one_line(helix: Run, recipe: str) -> None:
    for words in (("shape", recipe), ("draw", recipe, "-o", "a.svg")):
        ran = helix(*words)
        assert ran.code == 2 and len(ran.told) == 1 and ran.told[0].startswith("helix: ")


@pytest.mark.parametrize(
    "words",
    [
        (), ("frobnicate",), ("shape",), ("shape", DEMO, "--units", "cubits"), ("shape", DEMO, "--unit", "inch"),
        ("draw", DEMO), ("new",), ("sizes", "--family"), ("sizes", "extra"), ("shape", DEMO, "\x1b[31m"),
        ("pulls",), ("pulls", "reed"), ("pulls", "read"),
    ],
)  # fmt: skip
def test_words_that_are_not_understood_are_one_line(helix: Run, words: tuple[str, ...]) -> None:
    ran = helix(*words)
    assert ran.code == 2 and ran.out == "" and len(ran.told) == 1
    assert ran.told[0].startswith("helix: ") and "\x1b" not in ran.err and "a fault of helix" not in ran.err


@pytest.mark.parametrize(
    "words",
    [
        *((*name.split(), "--help") for name in SENTENCES),
        ("--help",),
        ("page", "--help"),
        ("sizes", "-h"),
        ("--version",),
    ],
)
def test_help_and_version_are_done(helix: Run, words: tuple[str, ...]) -> None:
    ran = helix(*words)
    assert ran.code == 0 and ran.out and ran.err == ""


def test_new_writes_a_recipe_that_can_be_used(helix: Run) -> None:
    assert helix("new", "joint.toml").code == 0
    assert helix("shape", "joint.toml").code == 0
    Path("joint.toml").write_text("mine")
    ran = helix("new", "joint.toml")
    assert ran.code == 2 and "--force" in ran.err and Path("joint.toml").read_text() == "mine"
    assert helix("new", "joint.toml", "--force").code == 0
    assert Path("joint.toml").read_text() != "mine"


def test_new_writes_inches_where_it_is_told_to(helix: Run) -> None:
    assert helix("new", "joint.toml", "--units", "inch").code == 0
    ran = helix("shape", "joint.toml")
    assert ran.code == 0 and " in" in ran.out and " mm" not in ran.out
    assert helix("new", "other.toml", "--units", "feet").code == 2 and not Path("other.toml").exists()


def test_new_takes_the_wire_that_choose_names(helix: Run) -> None:
    ran = helix("choose", "--load", "90 lb", "--material", "1.4310 HS", "--pin", "1/4 in", "--rows", "1")
    then, words = ran.out.splitlines()[-3:-1]
    assert then.endswith("Type next, then helix hold joint.toml:")
    assert helix(*shlex.split(words)[1:]).code == 0
    ran = helix("hold", "joint.toml", "--draws", "200")
    assert ran.code == 0 and ran.out.startswith("LOCKS") and " lbf" in ran.out
    recipe = Path("joint.toml").read_text()
    assert 'material = "1.4310 high strength"' in recipe and 'pin = "0.250 in"' in recipe


@pytest.mark.parametrize(
    ("words", "place"),
    [
        (("--material", "stainless"), "--material"),
        (("--size", "12"), "--size"),
        (("--size", "AWG 1", "--material", "1.4310 HS"), "--size"),
        (("--pin", "0 mm"), "--pin"),
        (("--size", "MWG 12", "--diameter", "1 mm"), "--diameter"),
        (("--diameter", "30 mm", "--material", "1.4310 HS"), "--diameter"),
    ],
)
def test_new_refuses_a_wire_that_is_in_no_table(helix: Run, words: tuple[str, ...], place: str) -> None:
    ran = helix("new", "joint.toml", *words)
    assert ran.code == 2 and len(ran.told) == 1 and ran.told[0].startswith(f"helix: {place}: ")
    assert not Path("joint.toml").exists()


def test_new_takes_wire_of_no_size(helix: Run) -> None:
    assert helix("new", "joint.toml", "--diameter", "2 mm", "--material", "302", "--pin", "25 mm").code == 0
    recipe = Path("joint.toml").read_text()
    assert 'diameter = "2.00 mm"' in recipe and "\nsize" not in recipe
    assert "Cut " in helix("shape", "joint.toml").out


def test_all_adds_to_the_tables_and_takes_nothing_away(helix: Run) -> None:
    short, long = (helix("shape", DEMO, *more).out for more in ((), ("--all",)))
    for heading in ("Contact, length along the wire", "Its family: ", "What the interval of the cut is made of"):
        assert heading in long and heading not in short
    assert [line for line in short.splitlines() if line not in long.splitlines()] == [short.splitlines()[-2]]
    assert "--all" in short.splitlines()[-2]
    assert helix("shape", DEMO, "--json", "--all").out == helix("shape", DEMO, "--json").out


@pytest.mark.parametrize(
    ("target", "said"),
    [
        ("no/a.svg", "folder that exists"),
        ("here.svg", "--force"),
        ("folder.svg", "got a folder"),
        ("a.jpg", "must end in"),
    ],
)
def test_where_nothing_can_be_written_is_told_before_computing(
    helix: Run, monkeypatch: pytest.MonkeyPatch, target: str, said: str
) -> None:
    Path("here.svg").write_text("mine")
    Path("folder.svg").mkdir()
    for task in (shape_task, draw_task):
        monkeypatch.setattr(task, "shape_judged", lambda recipe, own: pytest.fail("computed"))
    ran = helix("draw", DEMO, "-o", target)
    assert ran.code == 2 and said in ran.err and len(ran.told) == 1
    ran = helix("shape", DEMO, "--points", target)
    assert ran.code == 2 and len(ran.told) == 1
    assert Path("here.svg").read_text() == "mine"


def test_draw_writes_the_drawing_of_the_size_asked_for(helix: Run) -> None:
    ran = helix("draw", DEMO, "-o", "joint.svg", "--size", "297x210")
    assert ran.code == 0 and ran.err == ""
    assert ran.out.startswith("OK. ") and "Cut 460 mm" in ran.out and "Drawn in joint.svg" in ran.out.splitlines()
    assert 'width="297mm" height="210mm"' in Path("joint.svg").read_text(encoding="utf-8")
    assert helix("draw", FAULTS / "short-exit.toml", "-o", "b.svg", "--strict").code == 1


@pytest.mark.rendering
def test_draw_writes_the_picture(rendering: None, helix: Run) -> None:
    from PIL import Image

    ran = helix("draw", DEMO, "-o", "joint.PNG", "--size", "800x450")
    assert ran.code == 0
    with Image.open("joint.PNG") as image:
        assert image.size == (800, 450)


def test_a_machine_that_cannot_draw_gets_the_drawing(helix: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl, "rendering_problem", lambda: "this machine cannot draw; install libegl1")
    ran = helix("draw", DEMO, "-o", "joint.png", "--size", "1000x700")
    assert ran.code == 0 and "install libegl1" in ran.err and "joint.svg" in ran.err
    assert Path("joint.svg").read_text(encoding="utf-8").startswith("<?xml") and not Path("joint.png").exists()
    ran = helix("draw", DEMO, "-o", "joint.png")
    assert ran.code == 2 and "joint.svg: exists already" in ran.told[-1]


def test_sizes_can_be_narrowed(helix: Run) -> None:
    every, narrow = (
        helix("sizes", "--all", *more).out for more in ((), ("--family", "mwg", "--material", "302 stainless"))
    )
    assert "AWG 20" in every and "music wire" in every
    assert "AWG 20" not in narrow and "music wire" not in narrow and "MWG 12" in narrow
    data = json.loads(helix("sizes", "--family", "MWG", "--json").out)
    assert {row["family"] for row in data["sizes"]} == {"MWG"}
    assert "MWG 2, 0.0110 in, to MWG 20, 0.0450 in" in helix("sizes", "--units", "inch").out
    ran = helix("sizes", "--family", "X", "--material", "y")
    assert ran.code == 2 and len(ran.told) == 2 and ran.out == ""


@pytest.mark.parametrize(
    ("fault", "code", "said"),
    [
        (KeyboardInterrupt(), 130, "stopped"),
        (PermissionError(13, "Permission denied", "thing"), 2, "thing: permission denied"),
        (OSError("odd"), 2, "odd"),
        (MemoryError(), 2, "more memory"),
        (ZeroDivisionError("division by zero"), 2, "please report it: ZeroDivisionError"),
    ],
)
def test_what_nobody_expected_is_one_line(
    helix: Run, monkeypatch: pytest.MonkeyPatch, fault: BaseException, code: int, said: str
) -> None:
    def fails(recipe: object, own: object) -> None:
        raise fault

    monkeypatch.setattr(shape_task, "shape_judged", fails)
    monkeypatch.delenv("HELIX_DEBUG", raising=False)
    ran = helix("shape", DEMO)
    assert ran.code == code and said in ran.err and len(ran.told) == 1 and ran.out == ""


def started(*words: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "helix", *words], capture_output=True, cwd=ROOT, timeout=60, check=False, **options
    )


def test_it_runs_as_a_module() -> None:
    done = started("shape", DEMO, "--json")
    assert done.returncode == 0 and done.stderr == b"" and json.loads(done.stdout)["schema"] == 2


@pytest.mark.skipif(os.name != "posix", reason="pipes as POSIX has them")
@pytest.mark.parametrize("words", ["sizes", f"shape '{DEMO}' --json", "shape --help"])
def test_a_reader_that_stops_early_is_no_fault(words: str) -> None:
    line = f"'{sys.executable}' -m helix {words} | '{sys.executable}' -c 'import sys; sys.stdin.close()'"
    done = subprocess.run(["sh", "-c", line], capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert done.stderr == b""


def test_any_title_can_be_printed_on_any_terminal(tmp_path: Path) -> None:
    recipe = tmp_path / "r.toml"
    text = Path(DEMO).read_text(encoding="utf-8").replace("Logger tether", "\u00d6se \u4e2d")
    recipe.write_text(text, encoding="utf-8")
    done = started("shape", str(recipe), "--all", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0 and done.stdout.isascii() and b"\\xd6se \\u4e2d" in done.stdout
    done = started("shape", str(recipe), env={**os.environ, "PYTHONIOENCODING": "utf-8"})
    assert "\u00d6se \u4e2d" in done.stdout.decode("utf-8")


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal as POSIX has it")
@pytest.mark.parametrize(("settings", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)])
def test_colour_on_a_terminal_only(settings: dict[str, str], coloured: bool) -> None:
    import pty

    master, slave = pty.openpty()
    env = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "TERM")} | {"TERM": "xterm"} | settings
    with subprocess.Popen(
        [sys.executable, "-m", "helix", "shape", DEMO, "--all"], stdout=slave, cwd=ROOT, env=env
    ) as ran:
        os.close(slave)
        seen = b""
        while True:
            try:
                part = os.read(master, 4096)
            except OSError:
                break
            if not part:
                break
            seen += part
        ran.wait(60)
    os.close(master)
    assert (b"\x1b[" in seen) == coloured and b"OK" in seen
