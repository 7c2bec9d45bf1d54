"""One command on files that somebody made up, in process and through the real entry: what must hold whatever they are."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import signal
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType

from helix.commands.main import main

LONGEST_S = 3.0
"""Processor time of one answer."""
GIVEN_UP_S = 15.0
_NO_NUMBER = re.compile(r"(?<![\w\"])[-+]?(?:nan|inf)\b")
_FAULT = ("fault of helix itself", "Traceback", "Warning:")


@dataclass(frozen=True)
class Case:
    """A command's words and the files that it finds in its folder. long: it may take as long as it takes."""

    words: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)
    long: bool = False

    def __str__(self) -> str:
        parts = [f"helix {' '.join(self.words)}"]
        parts += [f"--- {name}\n{content.decode('utf-8', 'backslashreplace')}" for name, content in self.files.items()]
        return "\n".join(parts)


@dataclass(frozen=True)
class Outcome:
    """What became of a case: its exit code or status, processor time [s], and what is wrong with it, "" for nothing."""

    code: int
    seconds: float
    problem: str
    said: str = ""
    most_mb: float = 0.0


class TooSlow(BaseException):
    """Passes every `except Exception`."""


def outcome_of(case: Case) -> Outcome:
    """Run a case in a folder of its own."""
    out, err = io.StringIO(), io.StringIO()
    with TemporaryDirectory() as name, _working_in(Path(name)):
        for file, content in case.files.items():
            Path(file).write_bytes(content)
        started = time.process_time()
        try:
            with (
                contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), alarm(), warnings.catch_warnings(),
            ):  # fmt: skip
                warnings.simplefilter("error")
                code, problem = main(case.words), ""
        except TooSlow:
            code, problem = -1, f"no answer in {GIVEN_UP_S:g} s"
        except BaseException as error:  # noqa: BLE001  (nothing may leave it)
            code, problem = -1, f"raised {type(error).__name__}: {error}"
        seconds = time.process_time() - started
        left = [path.name for path in Path().rglob("*") if path.suffix == ".part"]
        made = sorted({path.name for path in Path().iterdir()} - set(case.files))
    problem = problem or _problem(case, code, out.getvalue(), err.getvalue())
    if not problem and left:
        problem = f"leaves {left}"
    if not problem and code == 2 and made and "pulls" not in case.words:
        problem = f"refuses, but wrote {made}"
    if not problem and seconds > LONGEST_S and not case.long:
        problem = f"took {seconds:.1f} s"
    return Outcome(code, seconds, problem, err.getvalue())


def _problem(case: Case, code: int, out: str, err: str) -> str:
    lines = [line for line in err.splitlines() if line.startswith("helix: ")]
    for word in _FAULT:
        if word in err:
            return next((line for line in err.splitlines() if word in line), word)
    if code not in (0, 1, 2):
        return f"exit code {code}"
    if "more memory than there is" in err:
        return "runs out of memory"
    if code and not lines and not (code == 1 and "--strict" in case.words):
        return f"exit code {code} without a word"
    told = out.startswith("NO VERDICT: ")  # readings that cannot be: what to measure again is an answer
    if code == 2 and out and not told and "--json" not in case.words and "pulls" not in case.words:
        return "refuses, but answers"
    if not out:
        return ""
    if "--json" in case.words:
        try:
            json.loads(out, parse_constant=no_constant)
        except ValueError as error:
            return f"JSON: {error}"
        return ""
    # a group that its file calls "3+inf" is no number
    named = b"\n".join(case.files.values()).decode("utf-8", "replace")
    words = [word.strip(":;,.") for word in out.partition("\n")[2].split() if _NO_NUMBER.search(word)]
    shown = next((word for word in words if word not in named), "")
    return f"shows no number: {shown}" if shown else ""


def no_constant(text: str) -> float:
    """Refuse NaN and its like, which are no JSON."""
    raise ValueError(f"holds {text}")


@contextlib.contextmanager
def _working_in(folder: Path) -> Iterator[None]:
    before = os.getcwd()
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)


@contextlib.contextmanager
def alarm() -> Iterator[None]:
    """Give up after so much processor time of the process itself (POSIX; elsewhere not)."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooSlow

    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, GIVEN_UP_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)
