"""No command and no option is lost unawares: options.txt lists them all; and each option is told in full.

Map of what must hold:
  the command line has exactly the commands and options of the list
  every option has help, a default of its own kind is read by that kind, and no two of a task share a key
  a fault of an option names it as it is typed, wherever it comes from
  helix --help loads no task, and a command only its own
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

import pytest

from helix.commands.main import main, parser_of
from helix.commands.page_command import TASK as PAGE
from helix.commands.task_command import typed
from helix.errors import ValidationIssue, argument_issue
from helix.tasks.registry import PLACES, SENTENCES, task

LIST = Path(__file__).with_name("options.txt")
DEMO = Path(__file__).resolve().parents[2] / "docs" / "examples" / "logger-tether.toml"
TASKS = {name: task(name) for name in PLACES} | {"page": PAGE}


def listed() -> dict[str, set[str]]:
    lines = [line for line in LIST.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {name: set(words.split()) for name, _, words in (line.partition(": ") for line in lines)}


def offered(name: str) -> set[str]:
    """What the parser of a command takes: names of options, and words that stand without one."""
    parser = parser_of(name.split())
    for word in name.split():
        parser = next(a for a in parser._actions if isinstance(a, argparse._SubParsersAction)).choices[word]
    return {
        "/".join(action.option_strings) or str(action.metavar) for action in parser._actions if action.dest != "help"
    }


def test_every_command_and_option_is_there() -> None:
    assert {name: offered(name) for name in TASKS} == listed()
    assert set(SENTENCES) | {"page"} == set(TASKS) | {"pulls"}


@pytest.mark.parametrize("name", TASKS)
def test_every_option_is_told_in_full(name: str) -> None:
    options = TASKS[name].options
    keys = [*(option.key for option in options), *(output.key for output in TASKS[name].files)]
    assert len(keys) == len(set(keys))
    for option in options:
        assert option.help, option.key
        if option.default is not None:
            assert option.value(None, None) == option.value(option.default, None), option.key


def test_faults_name_options_as_they_are_typed() -> None:
    assert typed(task("form"), argument_issue("hand_force", "x")).place == "--hand-force"
    assert typed(task("pulls plan"), argument_issue("order", "x")).place == "--order"
    assert typed(task("compare"), argument_issue("recipes", "x")).place == "RECIPE"
    assert typed(task("form"), argument_issue("load", "x")).place == "load"  # not an option of that task
    assert typed(task("stretch"), ValidationIssue("load", "x")).place == "load"  # a file of that name


def test_faults_of_studies_name_options_too(capsys: pytest.CaptureFixture[str]) -> None:
    for words, place in (
        (("stretch", str(DEMO), "--load", "90 kN"), "--load"),
        (("choose", "--load", "90 kN"), "--load"),
        (("sizes", "--family", "x"), "--family"),
        (("pulls", "plan"), "RECIPE"),
    ):
        assert main(words) == 2
        assert capsys.readouterr().err.startswith(f"helix: {place}: ")


@pytest.mark.parametrize(("words", "loaded"), [("--help", set()), ("sizes", {"helix.tasks.shape.sizes_task"})])
def test_only_the_task_that_is_asked_for_is_loaded(words: str, loaded: set[str]) -> None:
    program = (
        "import sys\nfrom helix.commands.main import main\nmain(sys.argv[1:])\n"
        "sys.stderr.write(' '.join(name for name in sys.modules if name.endswith('_task')))"
    )
    done = subprocess.run([sys.executable, "-c", program, words], capture_output=True, text=True, check=True)
    assert set(done.stderr.split()) == loaded
