"""The probe for 3-D drawing.

A machine without OpenGL is made here by hiding the graphics drivers from the library that looks them up:
VTK then really ends its process with a segmentation fault, and the probe must survive that.
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from helix.output.picture import gl
from tests.tools.sampled import sampled

ROOT = Path(__file__).resolve().parents[3]
NO_GL = {"__EGL_VENDOR_LIBRARY_FILENAMES": "/nonexistent.json", "VTK_DEFAULT_OPENGL_WINDOW": "vtkEGLRenderWindow"}
on_linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="hides drivers the way Linux has them")


def environment(**changes: str) -> dict[str, str]:
    dropped = ("HELIX_REQUIRE_RENDERING", "PYTEST_ADDOPTS", gl._WINDOW)
    return {**{name: value for name, value in os.environ.items() if name not in dropped}, **changes}


def run(*arguments: str, **changes: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *arguments]
    return subprocess.run(command, cwd=ROOT, env=environment(**changes), capture_output=True, text=True, check=False)


@pytest.fixture
def fresh_probe(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "kept"))
    gl.rendering_problem.cache_clear()
    yield
    gl.rendering_problem.cache_clear()
    gl._trusted.clear()


def test_a_picture_can_be_drawn_in_this_process_after_the_probe(rendering: None) -> None:
    import pyvista

    plotter = pyvista.Plotter(off_screen=True, window_size=[64, 48])
    plotter.set_background("blue")
    plotter.add_mesh(pyvista.Sphere(), color="red", lighting=False)
    picture = plotter.screenshot(return_img=True)
    plotter.close()
    assert picture.shape == (48, 64, 3)
    assert tuple(picture[24, 32]) == (255, 0, 0)
    assert tuple(picture[0, 0]) == (0, 0, 255)


def test_without_vtk_the_extra_to_install_is_named_and_no_child_is_started(
    fresh_probe: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(gl, "_probe", lambda window: pytest.fail("a child was started"))
    problem = gl.rendering_problem()
    assert problem is not None and "helix[render]" in problem and "apt" not in problem
    from helix.output.picture.window import window_problem

    assert "helix[render]" in str(window_problem())


@on_linux
def test_without_drivers_vtk_crashes_and_the_probe_names_the_packages() -> None:
    answer = run("-m", "helix.output.picture.gl", **NO_GL)
    assert answer.returncode == 3, answer.stderr
    assert answer.stdout.count("\n") == 1
    assert "SIGSEGV" in answer.stdout
    for package in ("libegl1", "libgl1-mesa-dri", "libx11-6"):
        assert package in answer.stdout


@on_linux
@pytest.mark.parametrize(("required", "code", "closing"), sampled([("1", 1, "1 error"), ("0", 0, "1 skipped")], 2))
def test_tests_that_draw_skip_without_drivers_unless_drawing_is_required(
    required: str, code: int, closing: str
) -> None:
    target = f"{Path(__file__)}::{test_a_picture_can_be_drawn_in_this_process_after_the_probe.__name__}"
    answer = run("-m", "pytest", "-p", "no:cacheprovider", target, HELIX_REQUIRE_RENDERING=required, **NO_GL)
    assert answer.returncode == code, answer.stdout
    assert closing in answer.stdout.splitlines()[-1]
    assert "sudo apt install libegl1" in answer.stdout


@pytest.mark.parametrize(
    ("script", "said"),
    [
        pytest.param("import os, signal; os.kill(os.getpid(), signal.SIGTERM)", "SIGTERM", marks=on_linux),
        ("raise ImportError('libX11.so.6: cannot open shared object file')", "libX11.so.6: cannot open"),
        ("print('drawn 0 0 0 0 0 0')", "came out wrong"),
        ("pass", "came out wrong"),
        ("import time; time.sleep(30)", "was not done after"),
    ],
)
@pytest.mark.usefixtures("fresh_probe")
def test_whatever_goes_wrong_in_the_child_becomes_one_line(
    script: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(gl, "_PROBE", script)
    monkeypatch.setattr(gl, "_PROBE_TIMEOUT_S", 0.5 if "sleep" in script else 30.0)
    problem = gl.rendering_problem()
    assert problem is not None
    assert said in problem
    assert "\n" not in problem


@pytest.mark.usefixtures("fresh_probe")
def test_the_probe_runs_once_a_process(monkeypatch: pytest.MonkeyPatch) -> None:
    probed: list[str] = []

    def probe(window: str) -> str | None:
        probed.append(window)
        return "broken"

    monkeypatch.setattr(gl, "_probe", probe)
    monkeypatch.setattr(gl, "_windows_to_try", lambda: ("",))
    assert gl.rendering_problem() == gl.rendering_problem()
    assert probed == [""]


@on_linux
@pytest.mark.usefixtures("fresh_probe")
@pytest.mark.parametrize(
    ("display", "answers", "told"),
    [("", [None], gl._EGL_WINDOW), (":0", [None], None), (":0", ["no server", None], gl._EGL_WINDOW)],
)
def test_vtk_is_told_to_draw_without_a_display_where_that_is_what_works(
    display: str, answers: list[str | None], told: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(gl._WINDOW, raising=False)
    monkeypatch.setenv("DISPLAY", display)
    left = list(answers)
    monkeypatch.setattr(gl, "_probe", lambda window: left.pop(0))
    assert gl.rendering_problem() is None
    assert left == []
    assert os.environ.pop(gl._WINDOW, None) == told


def probed(monkeypatch: pytest.MonkeyPatch, answer: str | None) -> list[str]:
    """The windows that are tried from now on, as a new process would, each with this answer."""
    tried: list[str] = []

    def probe(window: str) -> str | None:
        tried.append(window)
        return answer

    monkeypatch.setattr(gl, "_probe", probe)
    monkeypatch.setattr(gl, "_windows_to_try", lambda: ("",))
    gl.rendering_problem.cache_clear()
    return tried


@pytest.mark.usefixtures("fresh_probe")
def test_a_good_verdict_is_kept_for_the_next_process_and_a_bad_one_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    for answer, tries in (("broken", [""]), ("broken", [""]), (None, [""]), (None, []), ("broken", [])):
        tried = probed(monkeypatch, answer)
        assert (gl.rendering_problem() is None) == (answer is None or not tries)
        assert tried == tries


@pytest.mark.usefixtures("fresh_probe")
@pytest.mark.parametrize("ends", [False, True])
def test_a_kept_verdict_is_gone_when_the_first_picture_ends_the_process(
    ends: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    probed(monkeypatch, None)
    gl.rendering_problem()
    tried = probed(monkeypatch, "broken")
    assert gl.rendering_problem() is None and not tried  # on the word of the run before
    drawing = gl.first_picture()
    drawing.__enter__()
    if not ends:
        drawing.__exit__(None, None, None)
    tried = probed(monkeypatch, "broken")
    assert (gl.rendering_problem() is not None) == ends == bool(tried)


@pytest.mark.usefixtures("fresh_probe")
@pytest.mark.parametrize("name", ["DISPLAY", "__EGL_VENDOR_LIBRARY_FILENAMES", "LIBGL_ALWAYS_SOFTWARE"])
def test_another_display_or_driver_is_tried_anew(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    probed(monkeypatch, None)
    gl.rendering_problem()
    monkeypatch.setenv(name, "other")
    tried = probed(monkeypatch, "broken")
    assert gl.rendering_problem() is not None and tried


@pytest.mark.usefixtures("fresh_probe")
def test_where_nothing_can_be_kept_each_process_tries(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "kept").write_text("a file where the folder would be", encoding="utf-8")
    for _ in range(2):
        tried = probed(monkeypatch, None)
        assert gl.rendering_problem() is None and tried == [""]
