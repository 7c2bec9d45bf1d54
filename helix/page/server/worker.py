"""The other process, in which slow work runs: it can be ended at any moment, and ends when the server does.

It reads one JSON object a line, {"run": "module:name", "body": {...}, "file": bool}, and writes lines that begin
with a letter: "s" how far it is, "m" the most memory it has had in MB, "d" done, "f" faults, "e" an internal error.
"""

from __future__ import annotations

import base64
import contextlib
import importlib
import json
import operator
import os
import queue
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from typing import Any, BinaryIO

from helix.errors import one_line
from helix.page.server.replies import plain_name, to_bytes, told

GRACE_S = 1.0
"""How long work that is ended may take to remove its temporary files."""
WARM = ("helix.page.answers.joint_answer", "helix.page.answers.panes", "helix.page.answers.downloads")
"""Modules that are loaded before there is work."""
YIELDS = 10
"""By how much these processes are nicer than the server, which answers while a slider moves."""


def main(warm: Sequence[str] = WARM) -> None:
    """Load the modules of these names, then work until the server ends; what a hand waits for comes first."""
    signal.signal(signal.SIGTERM, _stop)
    if sys.platform != "win32":
        os.nice(YIELDS)
    answers = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)  # what a package prints must not get between the answers
    sys.stdout = sys.stderr
    tasks: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(tasks,), daemon=True).start()
    try:
        for name in warm:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        while True:
            _answer(json.loads(tasks.get()), answers)
    except (SystemExit, BrokenPipeError):
        os._exit(0)  # at once: a thread still reads


def _stop(number: int, frame: object) -> None:
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    raise SystemExit(0)


def _listen(tasks: queue.SimpleQueue[bytes]) -> None:
    """Hand on each line; when the server's end of the pipe closes, so does this process."""
    while line := sys.stdin.buffer.readline():
        tasks.put(line)
    if sys.platform != "win32":
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGTERM)  # wakes it from a sleep too
    threading.Event().wait(GRACE_S)
    os._exit(0)


def _put(answers: BinaryIO, letter: bytes, content: bytes) -> None:
    line = memoryview(letter + content + b"\n")
    while line:
        line = line[answers.write(line) :]


def _answer(task: dict[str, Any], answers: BinaryIO) -> None:
    def on_output(line: str) -> None:
        _put(answers, b"s", to_bytes(one_line(line)))

    try:
        letter, content = b"d", to_bytes(_result(named(task["run"]), task["body"], on_output, task["file"]))
    except BrokenPipeError:
        raise
    except Exception as error:  # noqa: BLE001  (told in words)
        status, faults = told(error)
        letter, content = b"e" if status == 500 else b"f", to_bytes(faults)
    _put(answers, b"m", to_bytes(_most_memory_mb()))
    _put(answers, letter, content)


def _most_memory_mb() -> float:
    """The most memory that this process has had; 0 where the system does not say."""
    with (
        contextlib.suppress(OSError, ValueError),
        open("/proc/self/status", encoding="ascii", errors="replace") as status,
    ):
        for line in status:
            if line.startswith("VmHWM:"):  # ru_maxrss starts at what the process that started this one has had
                return float(line.split()[1]) / 1024.0
    try:
        import resource
    except ImportError:  # Windows
        return 0.0
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1024.0 * 1024.0 if sys.platform == "darwin" else 1024.0)


def _result(run: Callable[..., Any], body: dict[str, Any], on_output: Callable[[str], None], file: bool) -> Any:
    result = run(body, on_output)
    if not file:
        return result
    name, kind, content = result
    return {"file": {"name": plain_name(name), "type": kind, "base64": base64.b64encode(content).decode("ascii")}}


def name_of(run: Callable[..., Any]) -> str:
    """What `named` finds a function by; raises ValueError for one that does not stand at the top of a module."""
    name = f"{run.__module__}:{run.__qualname__}"
    if "<" in name:
        raise ValueError(f"slow work must be a function at the top of a module; got {name}")
    return name


def named(name: str) -> Callable[..., Any]:
    module, _, inside = name.partition(":")
    function: Callable[..., Any] = operator.attrgetter(inside)(importlib.import_module(module))
    return function


def joint(body: dict[str, Any], on_output: Callable[[str], None]) -> dict[str, Any]:
    """A full answer about a joint, made here so that drafts do not wait for it."""
    from helix.page.answers.joint_answer import joint_answer

    return joint_answer(body)
