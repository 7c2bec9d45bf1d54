"""Processes for slow work: one is kept warm, none outlives the server.

All of it runs on the server's event loop.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import subprocess
import sys
from collections.abc import Callable
from typing import Any

from helix.page.replies import in_words
from helix.page.worker import GRACE_S, name_of

LARGEST_LINE = 256 * 1024 * 1024
MOST_TASKS = 25
"""What one process does before it is replaced, so that its memory is given back."""
_START = "import sys, json; sys.path[:] = json.loads(sys.argv[1]); from helix.page.worker import main; main()"


class WorkFailed(Exception):
    """Work that ended with faults: [{"place", "key", "message"}]; `own` where the fault is helix's."""

    def __init__(self, faults: list[dict[str, str]], own: bool = False) -> None:
        super().__init__("; ".join(fault["message"] for fault in faults))
        self.faults, self.own = faults, own


class Worker:
    """One process, see helix.page.worker."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self.process = process
        self.tasks = 0

    @classmethod
    async def start(cls) -> Worker:
        apart: dict[str, Any] = (
            {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}  # type: ignore[attr-defined,unused-ignore]
            if sys.platform == "win32"
            else {"start_new_session": True}
        )  # Ctrl-C at the terminal reaches the server only, which then ends its processes
        return cls(
            await asyncio.create_subprocess_exec(
                sys.executable, "-P", "-c", _START, json.dumps(sys.path),
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, limit=LARGEST_LINE, **apart,
            )
        )  # fmt: skip

    @property
    def fit(self) -> bool:
        return self.process.returncode is None and self.tasks < MOST_TASKS

    async def do(
        self, run: Callable[..., Any], body: dict[str, Any], said: Callable[[str], None], file: bool
    ) -> bytes:
        """The result as JSON; raises WorkFailed. Cancelled, it leaves a process that must be ended."""
        assert self.process.stdin and self.process.stdout
        self.tasks += 1
        task = {"run": name_of(run), "body": body, "file": file}
        try:
            self.process.stdin.write(json.dumps(task).encode("ascii") + b"\n")
            await self.process.stdin.drain()
            while line := await self.process.stdout.readline():
                letter, content = line[:1], line[1:-1]
                if letter == b"d":
                    return content
                if letter in b"fe":
                    raise WorkFailed(json.loads(content), own=letter == b"e")
                if letter == b"s":
                    said(json.loads(content))
        except ValueError:
            await self.end()
            raise WorkFailed([in_words("the result is too large to hand over")]) from None
        except ConnectionError:
            pass
        code = await self.process.wait()
        raise WorkFailed([in_words(f"the work ended before its result: {_ended(code)}")])

    async def end(self) -> None:
        """End the process: asked first, so that it removes its temporary files."""
        with contextlib.suppress(ProcessLookupError):
            self.process.terminate()
        if self.process.stdin:
            self.process.stdin.close()
        try:
            await asyncio.wait_for(self.process.wait(), GRACE_S)
        except TimeoutError:
            with contextlib.suppress(ProcessLookupError):
                self.process.kill()
            await self.process.wait()


def _ended(code: int) -> str:
    if code == -9:
        return "its process was killed, perhaps for want of memory"
    return f"its process was ended by signal {-code}" if code < 0 else f"its process ended with code {code}"


class Crew:
    """The processes that work or wait; `spare` at most are kept waiting."""

    def __init__(self, spare: int = 1) -> None:
        self.spare = spare
        self.idle: list[Worker] = []
        self.busy: set[Worker] = set()
        self._chores: set[asyncio.Task[None]] = set()
        self._closed = False

    async def do(
        self, run: Callable[..., Any], body: dict[str, Any], said: Callable[[str], None], file: bool = False
    ) -> bytes:
        """Have it done by a warm process; raises WorkFailed. Cancelled, the process is ended."""
        worker = None
        while self.idle and worker is None:
            found = self.idle.pop()
            if found.fit:
                worker = found
            else:
                self.chore(found.end())
        worker = worker or await Worker.start()
        self.busy.add(worker)
        self.chore(self.fill())
        kept = False
        try:
            result = await worker.do(run, body, said, file)
            kept = True
            return result
        except WorkFailed:
            kept = worker.fit
            raise
        finally:
            self.busy.discard(worker)
            if kept and worker.fit and len(self.idle) < self.spare and not self._closed:
                self.idle.append(worker)
            else:
                self.chore(worker.end())
                self.chore(self.fill())

    async def fill(self) -> None:
        """Start what is missing of the processes that wait."""
        while not self._closed and len(self.idle) < self.spare:
            worker = await Worker.start()
            if self._closed or len(self.idle) >= self.spare:
                await worker.end()
            else:
                self.idle.append(worker)

    def chore(self, work: Any) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._chores.add(task)
        task.add_done_callback(self._chores.discard)

    async def close(self) -> None:
        """End every process."""
        self._closed = True
        await asyncio.gather(*(worker.end() for worker in (*self.idle, *self.busy)), return_exceptions=True)
        await asyncio.gather(*self._chores, return_exceptions=True)
