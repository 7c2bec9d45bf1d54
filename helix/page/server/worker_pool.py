"""Processes for slow work: one is kept warm, none outlives the server.

All of it runs on the server's event loop.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import subprocess
import sys
from collections.abc import Callable, Coroutine, Sequence
from typing import Any

from helix.page.server.replies import in_words
from helix.page.server.worker import GRACE_S, WARM, name_of

LARGEST_LINE = 256 * 1024 * 1024
MOST_TASKS = 25
MOST_MEMORY_MB = 400.0
"""A process that has done so much, or has had so much memory, is replaced, so that its memory is given back."""
_START = "import sys, json; sys.path[:], warm = json.loads(sys.argv[1]); from helix.page.server.worker import main; main(warm)"


class WorkFailed(Exception):
    """Work that ended with faults: [{"place", "key", "message"}]; `own` where the fault is helix's."""

    def __init__(self, faults: list[dict[str, str]], own: bool = False) -> None:
        super().__init__("; ".join(fault["message"] for fault in faults))
        self.faults, self.own = faults, own


class Worker:
    """One process, see helix.page.server.worker."""

    def __init__(self, process: asyncio.subprocess.Process) -> None:
        self.process = process
        self.tasks = 0
        self.memory_mb = 0.0

    @classmethod
    async def start(cls, warm: Sequence[str] = WARM) -> Worker:
        """A new process that loads the modules of these names before there is work."""
        apart: dict[str, Any] = (
            {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}  # type: ignore[attr-defined,unused-ignore]
            if sys.platform == "win32"
            else {"start_new_session": True}
        )  # Ctrl-C at the terminal reaches the server only, which then ends its processes
        return cls(
            await asyncio.create_subprocess_exec(
                sys.executable, "-P", "-c", _START, json.dumps([sys.path, list(warm)]),
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, limit=LARGEST_LINE, **apart,
            )
        )  # fmt: skip

    @property
    def fit(self) -> bool:
        return self.process.returncode is None and self.tasks < MOST_TASKS and self.memory_mb < MOST_MEMORY_MB

    async def do(
        self, run: Callable[..., Any], body: dict[str, Any], on_progress: Callable[[str], None], file: bool
    ) -> bytes:
        """The result as JSON; raises WorkFailed. Cancelled, it leaves a process that must be ended."""
        to, back = self.process.stdin, self.process.stdout
        if to is None or back is None:
            raise ValueError("a worker must be made by Worker.start")
        self.tasks += 1
        task = {"run": name_of(run), "body": body, "file": file}
        try:
            to.write(json.dumps(task).encode("ascii") + b"\n")
            await to.drain()
            while line := await back.readline():
                letter, content = line[:1], line[1:-1]
                if letter == b"d":
                    return content
                if letter in b"fe":
                    raise WorkFailed(json.loads(content), own=letter == b"e")
                if letter == b"m":
                    self.memory_mb = float(content)
                if letter == b"s":
                    on_progress(json.loads(content))
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


class WorkerPool:
    """The processes that work or wait. One is there at any time, warm; more only while there is more work.

    warm: names of the modules that a process loads before there is work.
    """

    def __init__(self, warm: Sequence[str] = WARM) -> None:
        self.warm = warm
        self.busy: set[Worker] = set()
        self._next: asyncio.Future[Worker] | None = None  # the one that waits, or is being started
        self._chores: set[asyncio.Task[None]] = set()
        self._closed = False

    async def do(
        self, run: Callable[..., Any], body: dict[str, Any], on_progress: Callable[[str], None], file: bool = False
    ) -> bytes:
        """Have it done by a process; raises WorkFailed. Cancelled, that process is ended."""
        worker = await self._take()
        fit = False
        try:
            result = await worker.do(run, body, on_progress, file)
            fit = worker.fit
            return result
        except WorkFailed:
            fit = worker.fit
            raise
        finally:
            self.busy.discard(worker)
            if fit and self._wanted():
                self._next = asyncio.get_running_loop().create_future()
                self._next.set_result(worker)
            else:
                self._chore(worker.end())
                self.refill()

    async def _take(self) -> Worker:
        started, self._next = self._next, None
        worker = await (started or Worker.start(self.warm))
        if not worker.fit:
            self._chore(worker.end())
            worker = await Worker.start(self.warm)
        self.busy.add(worker)
        return worker

    def _wanted(self) -> bool:
        return not self._closed and not self.busy and self._next is None

    def refill(self) -> None:
        """Start a process where none is left."""
        if self._wanted():
            self._next = asyncio.get_running_loop().create_task(Worker.start(self.warm))

    def _chore(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._chores.add(task)
        task.add_done_callback(self._chores.discard)

    async def close(self) -> None:
        """End every process."""
        self._closed = True
        started, self._next = self._next, None
        workers = [*self.busy, *([await started] if started else [])]
        await asyncio.gather(*(worker.end() for worker in workers), return_exceptions=True)
        await asyncio.gather(*self._chores, return_exceptions=True)
