"""The commands that show: draw's models, compare, steps, view; and what they refuse.

Map of what must hold:
  each kind of file is written, says what it is, and is not written over another
  an option that says nothing about a file is refused; all faults are told at once, nothing is half written
  a machine that cannot draw pictures gets drawings, or one line where there is no drawing of it
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
import trimesh

from helix.commands.main import main
from helix.output.picture import gl, window
from helix.studies.shape.shape import shape
from helix.tasks.shape import draw_task
from helix.tasks.teaching import compare_task

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "docs" / "examples" / "logger-tether.toml"
LESSONS = ROOT / "docs" / "lessons"
GOOD, BAD = LESSONS / "good.toml", LESSONS / "steep-exit.toml"
NO_GL = "this machine cannot draw 3-D pictures (no GL); on Debian or Ubuntu: sudo apt install libegl1"
_computed = cache(shape)


class Ran(NamedTuple):
    code: int
    out: str
    told: list[str]


Run = Callable[..., Ran]


@pytest.fixture
def helix(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)
    for task in (draw_task, compare_task):
        monkeypatch.setattr(task, "shape", _computed)

    def run(*words: object) -> Ran:
        code = main([str(word) for word in words])
        told = capsys.readouterr()
        assert "Traceback" not in told.out + told.err
        return Ran(code, told.out, told.err.splitlines())

    return run


@pytest.fixture
def no_gl(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gl, "rendering_problem", lambda: NO_GL)


def left_behind() -> set[str]:
    return {path.name for path in Path().iterdir()}


def test_a_long_model_tells_its_size_and_its_time_first(helix: Run, tmp_path: Path) -> None:
    """Failed once: 1,000 turns took 48 s, and neither their length nor the time was told before."""
    recipe = tmp_path / "long.toml"
    recipe.write_text(
        '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n[twist]\nturns = 120\n'
    )
    ran = helix("draw", recipe, "-o", "a.stl", "--quality", "draft")
    size = next(line for line in ran.out.splitlines() if line.startswith("True size: "))
    first = next(line for line in ran.told if "takes" in line)
    assert ran.code == 0 and size.split(",")[0] in first and "takes 2 to 7 s" in first


@pytest.mark.parametrize("name", ["a.stl", "a.GLB", "a.ply"])
def test_draw_writes_models(helix: Run, name: str) -> None:
    ran = helix("draw", DEMO, "-o", name, "--quality", "draft", "--scale", "10", "--standing", "5 mm")
    assert ran.code == 0 and ran.told == []
    lines = ran.out.splitlines()
    assert lines[1].startswith("Cut 460 mm")  # of the recipe, not of the shortened model
    assert lines[2] == f"Model in {name}" and lines[3].startswith("10x: ") and "bed of 220 mm" in " ".join(lines[3:5])
    body = trimesh.load(name, force="mesh")
    assert body.is_watertight
    long = max(body.extents) * (1000 if name.endswith("GLB") else 1)
    assert 300 < long < 420
    both = helix("draw", DEMO, "-o", f"both-{name}", "--quality", "draft", "--scale", "7", "--split", "--beside", BAD)
    assert both.code == 0 and both.out.splitlines()[3].startswith("7x, 4 parts side by side: ")
    assert trimesh.load(f"both-{name}", force="mesh").body_count == 6
    again = helix("draw", DEMO, "-o", name)
    assert again.code == 2 and "--force" in again.told[0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "a.png", "--scale", "2"), "--scale: is for models"),
        (("-o", "a.svg", "--view", "top"), "--view: is for pictures"),
        (("-o", "a.svg", "--transparent"), "--transparent: is for pictures"),
        (("-o", "a.stl", "--size", "800x600"), "--size: is for pictures and drawings"),
        (("-o", "a.stl", "--scale", "ten"), "--scale: must be a number from 0.001 to 1000"),
        (("-o", "a.stl", "--scale", "nan"), "--scale: must be a number"),
        (("-o", "a.stl", "--standing", "5"), "--standing: "),
        (("-o", "a.stl", "--standing", "0 mm"), "--standing: must be above 0"),
        (("-o", "a.stl", "--beside", "nowhere.toml"), "nowhere.toml: no such file"),
        (("-o", "a.stl", "--bed", "0 mm"), "--bed: must be at least 10"),
        (("-o", "a.png", "--split"), "--split: is for models"),
        (("-o", "a.obj"), "a.obj: must end in .png"),
        (("-o", "no/a.stl"), "must be in a folder that exists"),
    ],
)
def test_what_draw_refuses(helix: Run, words: tuple[str, ...], said: str) -> None:
    ran = helix("draw", DEMO, *words)
    assert ran.code == 2 and len(ran.told) == 1 and said in ran.told[0]
    assert left_behind() == set()


def test_all_faults_are_told_at_once(helix: Run) -> None:
    ran = helix("draw", "nowhere.toml", "-o", "no/a.stl", "--scale", "-1", "--view", "top")
    assert ran.code == 2 and len(ran.told) == 4


def test_compare_writes_and_tells(helix: Run) -> None:
    ran = helix("compare", GOOD, BAD, "-o", "both.svg", "--strict")
    assert ran.code == 1 and ran.told == ["1 good against 1 bad: drawing, this takes a few seconds ..."]
    lines = ran.out.splitlines()
    assert lines[0] == "SHARP: Steep exit: the tag is bent back past square." and "Drawn in both.svg" in lines
    assert any(line.startswith("Do this: ") for line in lines)
    told = helix("compare", GOOD, BAD, "--all").out
    assert "81 deg over 8.5 d, radius 1.03 d against 120 deg over 11.3 d" in told
    assert Path("both.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert helix("compare", GOOD, BAD, "-o", "both.svg").code == 2


def test_what_compare_refuses(helix: Run) -> None:
    ran = helix("compare", GOOD, "-o", "both.txt", "--width", "12")
    assert ran.code == 2 and len(ran.told) == 3 and left_behind() == set()
    ran = helix("compare", GOOD, "nowhere.toml", "-o", "both.png")
    assert ran.code == 2 and len(ran.told) == 1 and "nowhere.toml" in ran.told[0]
    assert helix("compare", *[GOOD] * 9, "-o", "both.png").code == 2


def test_compare_without_graphics(helix: Run, no_gl: None) -> None:
    ran = helix("compare", GOOD, BAD, "-o", "both.png")
    assert ran.code == 0 and len(ran.told) == 2 and "libegl1" in ran.told[0] and "both.svg" in ran.told[0]
    assert left_behind() == {"both.svg"}
    assert helix("compare", GOOD, BAD, "-o", "both.html").code == 0
    assert "data:image/svg+xml" in Path("both.html").read_text(encoding="utf-8")


@pytest.mark.slow
def test_steps_without_graphics(helix: Run, no_gl: None) -> None:
    few = GOOD.read_text(encoding="utf-8").replace("turns = 5", "turns = 1").replace("wraps = 5", "wraps = 1")
    Path("few.toml").write_text(few, encoding="utf-8")
    ran = helix("steps", "few.toml", "-o", "steps", "--size", "640x400")
    assert ran.code == 0 and any("libegl1" in line for line in ran.told)
    assert len(list(Path("steps").glob("*.svg"))) == 10 and Path("steps/steps.txt").is_file()
    assert ran.out.startswith("FAULT: ") and "Drawn in steps" in ran.out
    ran = helix("steps", GOOD, "-o", "steps.gif")
    assert ran.code == 2 and len(ran.told) == 1 and "libegl1" in ran.told[0]
    ran = helix("steps", GOOD, "-o", "steps")
    assert ran.code == 2 and "not empty" in ran.told[0]
    assert left_behind() == {"few.toml", "steps"}


@pytest.mark.parametrize("name", ["a.png", "a.mp4", "a.stl", "no/a.gif", "no/steps"])
def test_what_steps_refuses(helix: Run, name: str) -> None:
    ran = helix("steps", GOOD, "-o", name)
    assert ran.code == 2 and len(ran.told) == 1 and left_behind() == set()


def test_view_without_a_display_is_one_line(helix: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(window, "window_problem", lambda: "there is no display; do this instead")
    ran = helix("view", GOOD)
    assert ran.code == 2 and ran.told == ["helix: view: there is no display; do this instead"]
    shown: list[str] = []
    monkeypatch.setattr(window, "window_problem", lambda: None)
    monkeypatch.setattr(window, "show", lambda result, colour: shown.append(colour))
    assert helix("view", BAD, "--colour", "strain").code == 0
    assert helix("view", BAD, "--strict").code == 1
    assert shown == ["strain", "verdict"]


@pytest.mark.rendering
def test_pictures_in_every_look(rendering: None, helix: Run) -> None:
    from PIL import Image

    for k, look in enumerate(
        ("--view top --colour section", "--view eye --theme dark", "--view three-quarter --transparent")
    ):
        assert helix("draw", BAD, "-o", f"{k}.png", "--size", "640x360", *look.split()).code == 0
        with Image.open(f"{k}.png") as image:
            assert image.size == (640, 360) and image.mode == ("RGBA" if "transparent" in look else "RGB")
