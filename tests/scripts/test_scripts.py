"""The scripts that set helix up and run the demo, without a network and without touching .venv.

What is checked by a real clean clone in .ci/run (the install itself) is not repeated here.
"""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = ROOT / "scripts"


def load(name: str, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return importlib.import_module(name)


@pytest.fixture
def setup(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    return load("_venv", monkeypatch)


class Recorder:
    """Stands in for running commands: notes them, makes what ``python -m venv`` would make, may fail."""

    def __init__(self, setup: ModuleType, venv: Path, fail: BaseException | None = None) -> None:
        self.setup, self.venv, self.fail = setup, venv, fail
        self.commands: list[list[str]] = []

    def __call__(self, command: Sequence[str], doing: str, log: Path | None) -> None:
        self.commands.append(list(command))
        if "venv" in command:
            python = self.setup.venv_python(self.venv)
            python.parent.mkdir(parents=True, exist_ok=True)
            python.touch()
            (self.venv / "pyvenv.cfg").touch()
        elif self.fail is not None:
            raise self.fail


@pytest.fixture
def recorder(setup: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Recorder:
    recorder = Recorder(setup, tmp_path / "venv")
    monkeypatch.setattr(setup, "_run", recorder)
    monkeypatch.setattr(setup, "_usable", lambda venv: setup.venv_python(venv).exists())
    return recorder


def test_first_run_makes_and_installs_second_runs_nothing(setup: ModuleType, recorder: Recorder) -> None:
    assert setup.ensure("test", recorder.venv) == setup.venv_python(recorder.venv)
    assert [command[2] for command in recorder.commands] == ["venv", "pip", "pip"]
    assert recorder.commands[-1][-1] == f"{ROOT}[render,test]"
    for command in recorder.commands[1:]:
        assert command[command.index("--constraint") + 1] == str(setup.CONSTRAINTS)
    recorder.commands.clear()
    setup.ensure("test", recorder.venv)
    setup.ensure("", recorder.venv)
    assert recorder.commands == []


def test_demo_then_test_adds_the_tools_to_the_same_environment(setup: ModuleType, recorder: Recorder) -> None:
    setup.ensure("", recorder.venv)
    assert recorder.commands[-1][-1] == f"{ROOT}[render]"
    recorder.commands.clear()
    setup.ensure("test", recorder.venv)
    assert [command[2] for command in recorder.commands] == ["pip", "pip"]


@pytest.mark.parametrize("fault", [KeyboardInterrupt(), OSError("pipe broke")])
def test_an_interrupted_install_leaves_no_stamp(setup: ModuleType, recorder: Recorder, fault: BaseException) -> None:
    setup.ensure("", recorder.venv)
    recorder.fail = fault
    with pytest.raises((KeyboardInterrupt, setup.SetUpFailed)):
        setup.ensure("test", recorder.venv)
    assert setup.read_stamp(recorder.venv) == ("", ())
    recorder.fail = None
    recorder.commands.clear()
    setup.ensure("", recorder.venv)
    assert [command[2] for command in recorder.commands] == ["pip", "pip"]


@pytest.mark.parametrize("changed", ["pyproject.toml", "scripts/constraints.txt", "version", "place"])
def test_whatever_decides_the_install_is_in_the_key(
    setup: ModuleType, changed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for place in ("one", "two"):
        (tmp_path / place / "scripts").mkdir(parents=True)
        for name in ("pyproject.toml", "scripts/constraints.txt"):
            (tmp_path / place / name).write_text("as it was")

    def key(place: str) -> str:
        monkeypatch.setattr(setup, "ROOT", tmp_path / place)
        monkeypatch.setattr(setup, "CONSTRAINTS", tmp_path / place / "scripts" / "constraints.txt")
        return str(setup.key())

    before = key("one")
    assert before == key("one")
    if changed == "version":
        monkeypatch.setattr(sys, "version", sys.version.replace("3.", "4."))
    elif changed != "place":
        (tmp_path / "one" / changed).write_text("changed")
    assert key("two" if changed == "place" else "one") != before


@pytest.mark.parametrize("content", ["", "{", "[]", "null", '{"key": 1}', '{"key": "a", "extras": 3}'])
def test_a_spoilt_stamp_counts_as_none(setup: ModuleType, tmp_path: Path, content: str) -> None:
    (tmp_path / setup.STAMP_NAME).write_text(content)
    assert setup.read_stamp(tmp_path) == ("", ())
    setup.write_stamp(tmp_path, "a", ["test"])
    assert setup.read_stamp(tmp_path) == ("a", ("test",))
    assert json.loads((tmp_path / setup.STAMP_NAME).read_text())["extras"] == ["test"]
    assert [path.name for path in tmp_path.iterdir()] == [setup.STAMP_NAME]


def test_a_folder_that_is_no_environment_is_left_alone(setup: ModuleType, recorder: Recorder) -> None:
    recorder.venv.mkdir()
    (recorder.venv / "letters.txt").write_text("mine")
    with pytest.raises(setup.SetUpFailed, match="is no virtual environment; move it away"):
        setup.ensure("", recorder.venv)
    assert (recorder.venv / "letters.txt").read_text() == "mine"
    assert recorder.commands == []


def test_this_environment_is_usable_and_a_copy_elsewhere_is_not(setup: ModuleType, tmp_path: Path) -> None:
    here = Path(sys.prefix)
    if not (here / "pyvenv.cfg").is_file():
        pytest.skip("the tests do not run in a virtual environment")
    assert setup._usable(here)
    (tmp_path / "pyvenv.cfg").write_text((here / "pyvenv.cfg").read_text())
    assert not setup._usable(tmp_path)


NO_ROOM = "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device"
NO_NETWORK = """\
WARNING: Retrying (Retry(total=0, connect=None, read=None, redirect=None, status=None)) after connection broken \
by 'NewConnectionError('<pip._vendor.urllib3.connection.HTTPSConnection object at 0x7f>: Failed to establish a new \
connection: [Errno -3] Temporary failure in name resolution')': /simple/setuptools/
ERROR: Could not find a version that satisfies the requirement setuptools (from versions: none)
ERROR: No matching distribution found for setuptools"""
NO_WHEEL = """\
ERROR: Could not find a version that satisfies the requirement vtk==9.7.2 (from versions: none)
ERROR: No matching distribution found for vtk==9.7.2"""


@pytest.mark.parametrize(
    ("output", "said"),
    [
        (NO_ROOM, "The disk is full"),
        (NO_NETWORK, "check the network"),
        (NO_WHEEL, "no ready-made vtk==9.7.2 for Python"),
        ("[Errno 30] Read-only file system: '/clone/.venv'", "make .* writable"),
        ("one\n\nERROR: something new", "something new"),
    ],
)
def test_a_failed_install_says_why_and_what_to_do(setup: ModuleType, output: str, said: str) -> None:
    with pytest.raises(setup.SetUpFailed, match=said):
        raise setup.SetUpFailed(setup.explain(output))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("  Downloading vtk-9.7.2-cp311-cp311-manylinux_2_28_x86_64.whl (139.6 MB)", "downloading vtk 9.7.2"),
        ("Collecting matplotlib>=3.9 (from helix==0.1.0)", "looking up matplotlib"),
        ("Installing collected packages: a, b, c", "unpacking packages (3)"),
        ("WARNING: Retrying (Retry(total=4", "does not answer"),
    ],
)
def test_progress_is_in_words(setup: ModuleType, line: str, said: str) -> None:
    assert said in setup.progress(line)
    assert setup.progress("Requirement already satisfied: numpy") == ""


def test_a_command_shows_its_steps_and_its_fault_ends_the_set_up(
    setup: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(setup, "_TICK_S", 0.1)
    code = "import time; print('Collecting vtk>=9', flush=True); time.sleep(0.5); raise SystemExit('Errno 28')"
    with pytest.raises(setup.SetUpFailed, match="trying failed. The disk is full"):
        setup._run([sys.executable, "-c", code], "trying", tmp_path / "log")
    assert capsys.readouterr().out.count("looking up vtk") >= 2
    assert (tmp_path / "log").read_text().startswith("Collecting vtk")


def run_script(name: str, before: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a script in a fresh Python after some lines that make the machine look different."""
    code = f"{textwrap.dedent(before)}\nimport runpy, sys\nsys.path.insert(0, {str(SCRIPTS)!r})\n"
    code += f"sys.argv = [{str(SCRIPTS / name)!r}, *{arguments!r}]\nrunpy.run_path(sys.argv[0], run_name='__main__')"
    command = [sys.executable, "-c", code]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


EVERY = {path.relative_to(SCRIPTS).as_posix(): path.read_text("utf-8") for path in sorted(SCRIPTS.rglob("*.py"))}
SETTING_UP = [name for name, text in EVERY.items() if "from _venv import" in text]


def test_the_scripts_of_the_readme_set_helix_up() -> None:
    assert {"demo.py", "test.py", "check.py", "bench.py"} <= set(SETTING_UP)


@pytest.mark.parametrize("name", SETTING_UP)
def test_an_old_python_gets_one_line(name: str) -> None:
    answer = run_script(name, "import sys; sys.version_info = (3, 10, 13); sys.version = '3.10.13 (main)'")
    assert answer.returncode == 1
    assert answer.stderr == f"{Path(name).name} needs Python 3.11 or newer (try python3.12); this is 3.10.13\n"


def test_a_python_without_ensurepip_gets_the_name_of_the_package(tmp_path: Path) -> None:
    answer = run_script(
        "demo.py",
        f"""
        import importlib.util, pathlib, sys
        sys.path.insert(0, {str(SCRIPTS)!r})
        find = importlib.util.find_spec
        importlib.util.find_spec = lambda name, *more: None if name == "ensurepip" else find(name, *more)
        import _venv
        _venv.ensure.__defaults__ = ("", pathlib.Path({str(tmp_path)!r}) / ".venv")
        """,
    )
    assert answer.returncode == 1
    assert answer.stderr.count("\n") == 1
    version = f"{sys.version_info.major}.{sys.version_info.minor}"
    assert "has no module ensurepip, so it cannot make a virtual environment" in answer.stderr
    assert f"sudo apt install python{version}-venv" in answer.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow  # two demos; one is run before the tests
def test_demo_prints_numbers_and_draws_a_picture_and_can_be_run_again(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    demo = load("demo", monkeypatch)
    for _ in range(2):
        assert demo.demo(Path(sys.executable), tmp_path) == 0
    printed = capfd.readouterr().out
    (picture,) = tmp_path.iterdir()
    assert printed.count(f"Picture: {picture}") == 2
    assert printed.count("Cut 460 mm") == 2 and printed.count("An estimate.") == 2
    for words, what in demo.NEXT:
        typed = f"helix {words.format(recipe='docs/examples/logger-tether.toml')}\n"
        assert printed.count(typed) == printed.count(what) == 2
    start = picture.read_bytes()[:400]
    assert start.startswith(b"\x89PNG") if picture.suffix == ".png" else b"<svg" in start


def test_demo_draws_elsewhere_if_the_clone_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    demo = load("demo", monkeypatch)
    clone = tmp_path / "a-file-where-the-clone-should-be"
    clone.touch()
    monkeypatch.setattr(demo, "ROOT", clone)
    monkeypatch.setattr(demo.tempfile, "tempdir", str(tmp_path))
    folder = demo.output_folder()
    assert folder.is_dir()
    assert folder.parent == tmp_path


def test_bench_runs_in_turn_and_gives_the_ratio_of_medians(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = load("bench", monkeypatch)
    (shape,) = (entry for entry in bench.BENCHES if entry.name == "shape")
    calls: list[str] = []

    def runner(python: Path, arguments: tuple[str, ...], row: object) -> Callable[[], float]:
        mine = arguments == shape.ours
        times = iter([9.0, 0.3, 0.5, 0.4, 7.0, 0.4] if mine else [9.0, 0.1, 0.05, 0.1, 0.2, 0.1])

        def once() -> float:
            calls.append("ours" if mine else "peer")
            return next(times)

        return once

    monkeypatch.setattr(bench, "runner", runner)
    result = bench.measure_commands(shape, Path(sys.executable), 5)
    assert calls == ["ours", "peer"] * 6
    assert result.ratio == pytest.approx(0.4 / 0.1)
    assert result.verdict == "stretch met"
    assert bench.Measured(shape, (0.5, 0.5), (0.1, 0.1)).verdict == "goal met"
    missed = bench.Measured(shape, (0.9, 0.9), (0.1, 0.1))
    assert missed.verdict == "GOAL MISSED" and missed.missed
    assert "4" in bench.table([result]).splitlines()[1].split()


def test_bench_tells_a_command_that_fails_and_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = load("bench", monkeypatch)
    row = replace(bench.BENCHES[0], ours=("-c", "raise SystemExit(3)"), peer=("-c", "pass"))
    failed = bench.measure_commands(row, Path(sys.executable), 1)
    assert failed.missed and failed.ratio is None and "FAILED" in failed.verdict and "ended with 3" in failed.verdict
    row = replace(row, ours=("-c", "pass"), peer=("-c", "raise SystemExit(3)"), error=None)
    alone = bench.measure_commands(row, Path(sys.executable), 1)
    assert len(alone.ours) == 1 and "ended with 3" in alone.verdict
    assert "no peer" in bench.table([failed, alone])


def test_a_missing_peer_is_named_and_an_oracle_that_fails_hides_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, warm = load("bench", monkeypatch), load("benches.warm", monkeypatch)

    def not_there() -> object:
        raise ImportError("no such package")

    def broken() -> object:
        raise RuntimeError("peer broke")

    def no_truth(answer: object) -> float:
        raise ZeroDivisionError("no truth")

    slow = warm.Sides(
        lambda: sum(range(10**6)), {"fast": lambda: lambda: None, "gone": not_there, "bad": broken}, no_truth
    )
    row = replace(bench.BENCHES[0], goal=1.0, error=1e-12)
    result = bench.from_job(row, warm.measured(slow, 3))
    assert "GOAL MISSED" in result.verdict and result.missed
    assert "not installed, skipped: gone" in result.verdict
    assert "peer broke" in result.verdict and "no truth" in result.verdict and "error not known" in result.verdict
    wrong = warm.Sides(lambda: 0.5, {"slower": lambda: lambda: sum(range(10**6)) * 0.0}, abs)
    assert bench.from_job(row, warm.measured(wrong, 3)).verdict == "stretch met; ERROR TOO LARGE"
    assert bench.from_job(row, {"failed": "it broke"}).verdict == "FAILED; ours: it broke"


def test_every_bench_has_a_command_or_a_job(monkeypatch: pytest.MonkeyPatch) -> None:
    bench, warm = load("bench", monkeypatch), load("benches.warm", monkeypatch)
    named = {entry.name for entry in bench.BENCHES if not entry.ours}
    jobs = [job for module, told in warm.MODULES.items() for job in told if job in load(module, monkeypatch).JOBS]
    assert named == set(jobs) and len(jobs) == len(set(jobs))
    assert all(entry.peer or entry.limit for entry in bench.BENCHES if entry.ours)


def test_a_mutant_meets_the_tests_near_it(monkeypatch: pytest.MonkeyPatch) -> None:
    mutants = load("mutants", monkeypatch)
    monkeypatch.chdir(ROOT)
    tests = mutants.tests_of(Path("helix/studies/hold/why.py"))
    assert tests[:2] == ["helix/studies/hold/why.py", "tests/studies/hold/test_why.py"]
    beside = {path.relative_to(ROOT).as_posix() for path in (ROOT / "tests/studies/hold").glob("test_*.py")}
    assert beside | set(mutants.DECIDING) <= set(tests) and all(Path(test).is_file() for test in tests)
    elsewhere = "tests/geometry/joint/test_riding.py"  # imports jets
    assert elsewhere in mutants.tests_of(Path("helix/geometry/maths/jets.py"))
    assert elsewhere not in mutants.tests_of(Path("helix/geometry/maths/roots.py"))
    assert all((ROOT / part).exists() for part in mutants.PARTS)


@pytest.mark.parametrize(
    ("became", "passes", "code"),
    [((), True, 2), (("killed",), True, 0), (("timed out", "survived"), True, 1), (("killed", "survived"), False, 2)],
)
def test_mutants_tell_what_survived(
    became: tuple[str, ...],
    passes: bool,
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    mutants = load("mutants", monkeypatch)
    monkeypatch.chdir(ROOT)
    for name in ("PYTHONPATH", "XDG_CACHE_HOME", "PYTHONPYCACHEPREFIX", "PYTHONDONTWRITEBYTECODE"):
        monkeypatch.setenv(name, "")
    monkeypatch.setattr(mutants, "copy_the_clone", lambda into: None)
    monkeypatch.setattr(mutants, "run", lambda *given: (("part", what, "place", "test") for what in became))
    monkeypatch.setattr(mutants, "PYTEST", (sys.executable, "-c", f"raise SystemExit({0 if passes else 1})"))
    assert mutants.main(["part"]) == code
    noticed = sum(what != "survived" for what in became)
    printed = capsys.readouterr().out
    told = f"{noticed} of {len(became):3} noticed" if passes else "test fails without a fault too"
    assert told in printed
    assert Path.cwd() == ROOT


def test_scripts_need_the_standard_library_only() -> None:
    from tests.test_layers import imports_of

    own = {name.split("/")[0].removesuffix(".py") for name in EVERY}
    for name, text in EVERY.items():
        if f".venv/bin/python scripts/{name}" in text or "from benches.warm import" in text:
            continue  # it is run with what is installed, and says so
        for item in imports_of(text, Path(name).stem):
            top = item.target.split(".")[0]
            assert top in own or top in sys.stdlib_module_names or not item.on_load, str(item)


def test_every_package_is_pinned_once() -> None:
    lines = (SCRIPTS / "constraints.txt").read_text(encoding="utf-8").splitlines()
    names = [line.split("==")[0].lower() for line in lines if not line.startswith("#")]
    assert all(line.startswith("#") or line.count("==") == 1 for line in lines)
    assert len(set(names)) == len(names)
    for needed in ("numpy", "scipy", "sympy", "trimesh", "pyvista", "vtk", "matplotlib", "pytest", "setuptools"):
        assert needed in names
