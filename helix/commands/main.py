"""The command line: one parser made from the tasks, one way to run them, one line a fault.

Exit codes: 0 done; 1 done, but something is sharp or overlaps (with --strict only), or a search came to no
rest, which is said in a line; 2 the input cannot be used, or nothing could be written; 130 stopped from the keyboard,
143 or 129 by SIGTERM or SIGHUP.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import sys
import threading
from collections.abc import Iterable, Iterator, Sequence
from types import FrameType
from typing import TYPE_CHECKING, NoReturn

from helix.commands.shared import DONE, NO_ANSWER, STOPPED, UNUSABLE, complain
from helix.commands.task_command import add_options, run_task, such_line
from helix.errors import ConvergenceError, HelixError, ValidationError, by_rows, one_line

if TYPE_CHECKING:
    from helix.tasks.task import Task

PAGE_SENTENCE = (
    "Serve a page on this machine: turn the knobs and see the joint, its wire and its bends answer. Ctrl-C ends it."
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command with these words (default: those of the process) and return its exit code.

    Nothing is raised: every fault is one line on standard error.
    """
    _open_closed_streams()
    with _stopping_in_order():
        return _run(argv)


class _Ended(KeyboardInterrupt):
    """The system asks the process to end: it stops as from the keyboard, and takes its unfinished files away."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.code = 128 + number


def _run(argv: Sequence[str] | None) -> int:
    try:
        try:
            words = sys.argv[1:] if argv is None else argv
            unknown = unknown_word(words)
            if unknown:
                complain(unknown)
                return UNUSABLE
            options = parser_of(words).parse_args(words)
        except SystemExit as end:  # --help, or a fault that the parser has already told
            code = end.code if isinstance(end.code, int) else UNUSABLE
        else:
            code = run_task(options.task, vars(options))
        sys.stdout.flush()  # here, where a pipe that was closed early is no fault
        return code
    except ValidationError as faults:
        for fault in by_rows(faults.faults):
            complain(str(fault))
        return UNUSABLE
    except BrokenPipeError:
        _close_pipe()  # whoever read the output has seen enough
        return DONE
    except KeyboardInterrupt as stop:
        complain("stopped; no file was left half written")
        return stop.code if isinstance(stop, _Ended) else STOPPED
    except ConvergenceError as error:
        complain(one_line(str(error)))
        return NO_ANSWER
    except HelixError as error:
        complain(str(error))
        return UNUSABLE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{(error.strerror or str(error) or type(error).__name__).lower()}")
        return UNUSABLE
    except MemoryError:
        complain(f"this needs more memory than there is{_smaller(words)}")
        return UNUSABLE
    except Exception as error:
        if os.environ.get("HELIX_DEBUG"):
            raise
        what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        complain(f"internal error, please report it: {what}; HELIX_DEBUG=1 shows where")
        return UNUSABLE


class _Parser(argparse.ArgumentParser):
    """A parser that tells a fault in one line, as every other fault is told; such: a line of it that would do."""

    such = ""

    def error(self, message: str) -> NoReturn:
        such = f"; such as: {self.such}" if self.such else ""
        complain(f"{message}{such}; {self.prog} --help shows what there is")
        raise SystemExit(UNUSABLE)


def parser_of(words: Sequence[str]) -> argparse.ArgumentParser:
    """The parser, with the options of the command that the words name; of the others it knows the names alone."""
    from helix import __version__
    from helix.tasks.registry import SENTENCES

    named = [word for word in words if not word.startswith("-")][:2]
    parser = _Parser(
        prog="helix",
        description="Shape, wire length and bends of a twisted wire joint: an eye in solid spring-hard wire.",
        epilog="Estimates, not proofs. Not for lifting, fall arrest or loads over people.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"helix {__version__}")
    folders = {"": parser.add_subparsers(dest="command", metavar="COMMAND", required=True)}
    for name, sentence in (*SENTENCES.items(), ("page", PAGE_SENTENCE)):
        folder, _, own = name.rpartition(" ")
        made = folders[folder].add_parser(own, help=sentence, description=sentence, allow_abbrev=False)
        if name == "pulls":
            folders[name] = made.add_subparsers(dest="pulls_command", metavar="COMMAND", required=True)
        elif name.split() == named[: len(name.split())]:
            task = _task(name)
            add_options(made, task)
            made.set_defaults(task=task)
            made.such = such_line(name, task)
    return parser


def unknown_word(words: Sequence[str]) -> str:
    """A command or an option that there is not, with the one that is likely meant; empty where all are known.

    >>> unknown_word(["shap", "joint.toml"])
    'there is no command "shap"; did you mean shape?'
    """
    from helix.tasks.registry import PLACES, SENTENCES

    named = [word for word in words if not word.startswith("-")]
    if not named:
        return ""
    first = {name.split()[0] for name in SENTENCES} | {"page"}
    if named[0] not in first:
        return f'there is no command "{one_line(named[0])[:40]}"{_likely(named[0], first, "helix --help lists them")}'
    seconds = {name.split()[1] for name in SENTENCES if name.split()[0] == named[0] and " " in name}
    if seconds and len(named) > 1 and named[1] not in seconds:
        known = _likely(named[1], seconds, f"there are {', '.join(sorted(seconds))}")
        return f'there is no command "{named[0]} {one_line(named[1])[:40]}"{known}'
    name = " ".join(named[: 2 if seconds else 1])
    if name not in PLACES and name != "page":
        return ""
    task = _task(name)
    parser = argparse.ArgumentParser(add_help=True, allow_abbrev=False)
    add_options(parser, task)
    known_options = {text for action in parser._actions for text in action.option_strings} | {"--version"}
    for word in words:
        if word == "--":
            break
        option = word.partition("=")[0]
        if option.startswith("--") and option not in known_options:
            known = _in_the_recipe(option, task) or _likely(option, known_options, f"helix {name} --help lists them")
            return f"helix {name} has no option {one_line(option)[:40]}{known}"
    return ""


def _in_the_recipe(option: str, task: Task) -> str:
    """Where in the recipe something stands that was typed as an option of a task that reads one."""
    from helix.model.recipe.recipe_keys import TABLES
    from helix.tasks.options import RECIPE_FILE

    key = option.removeprefix("--").replace("-", "_")
    table = next((table for table, keys in TABLES.items() if any(key == known.name for known in keys)), "")
    reads_one = any(given.kind is RECIPE_FILE for given in task.options)
    return f": change {key} under [{table}] in the recipe" if table and reads_one else ""


def _likely(word: str, known: Iterable[str], otherwise: str) -> str:
    from difflib import get_close_matches

    names = sorted(known)
    near = get_close_matches(word, names, n=1, cutoff=0.7) or [name for name in names if name.startswith(f"{word}-")]
    return f"; did you mean {near[0]}?" if near else f"; {otherwise}"


def _task(name: str) -> Task:
    if name == "page":
        from helix.commands.page_command import TASK

        return TASK
    from helix.tasks.registry import task

    return task(name)


def _smaller(words: Sequence[str]) -> str:
    """What takes less memory, of the options that the command has."""
    task = vars(parser_of(words).parse_args(words)).get("task")
    keys = {option.key for option in task.options} if task else set()
    less = [f"a {change} --{key}" for key, change in (("step", "longer"), ("size", "smaller")) if key in keys]
    return f"; take {' or '.join(less)}" if less else ""


def _close_pipe() -> None:
    """Point standard output at nothing, so that the interpreter does not complain while it ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)


def _open_closed_streams() -> None:
    """Give a standard stream that was closed nothing to read or write, so that no file takes its number."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115  (as long as the process)


@contextlib.contextmanager
def _stopping_in_order() -> Iterator[None]:
    """Let SIGTERM and SIGHUP end the work as Ctrl-C does; one that is ignored (nohup) stays ignored."""

    def end(number: int, frame: FrameType | None) -> None:
        raise _Ended(number)

    taken: list[int] = []
    if threading.current_thread() is threading.main_thread():
        for number in (getattr(signal, name, None) for name in ("SIGTERM", "SIGHUP")):
            if number is not None and signal.getsignal(number) is signal.SIG_DFL:
                signal.signal(number, end)
                taken.append(number)
    try:
        yield
    finally:
        for number in taken:
            signal.signal(number, signal.SIG_DFL)
