"""Processes for slow work: a few are kept warm, none outlives the server.

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
MOST_WARM = 2
"""Processes that are kept, once so many were busy at a time: a page asks what a joint holds and reads its pieces at once,
and a new process costs ten times what either does."""
LINGER_S = 0.7
"""What nobody waits for any more may end by itself so long: most does, and its process is kept."""
MOST_TASKS = 100
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

    async def rest(self) -> None:
        """Wait for the end of work that was given up, whatever comes of it."""
        back = self.process.stdout
        while back is not None and (line := await back.readline()):
            if line[:1] in b"dfe":
                return

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
    """The processes that work or wait. One is there at any time, warm; a second is kept once it was needed.

    warm: names of the modules that a process loads before there is work.
    """

    def __init__(self, warm: Sequence[str] = WARM) -> None:
        self.warm = warm
        self.busy: set[Worker] = set()
        self._idle: list[asyncio.Future[Worker]] = []  # those that wait, are being started, or end what was given up
        self._resting: set[Worker] = set()
        self._chores: set[asyncio.Task[None]] = set()
        self._closed = False

    async def do(
        self, run: Callable[..., Any], body: dict[str, Any], on_progress: Callable[[str], None], file: bool = False
    ) -> bytes:
        """Have it done by a process; raises WorkFailed. Cancelled, that process is ended, unless it is done in a moment."""
        worker = await self._take()
        kept: asyncio.Future[Worker] | None = None
        loop = asyncio.get_running_loop()
        try:
            return await worker.do(run, body, on_progress, file)
        except asyncio.CancelledError:
            if worker.fit and not self._closed:
                kept = loop.create_task(self._rested(worker))
            raise
        finally:
            self.busy.discard(worker)
            if kept is None and worker.fit and not self._closed and self._count < MOST_WARM:
                kept = loop.create_future()
                kept.set_result(worker)
            if kept is None:
                self._chore(worker.end())
                self.refill()
            else:
                self._idle.append(kept)

    async def _rested(self, worker: Worker) -> Worker:
        """The process once it has ended what was given up; a new one where that takes long."""
        self._resting.add(worker)
        try:
            await asyncio.wait_for(worker.rest(), LINGER_S)
            return worker
        except (TimeoutError, ValueError):
            self._chore(worker.end())
            return await Worker.start(self.warm)
        except asyncio.CancelledError:  # whoever waited for it has left
            self._chore(worker.end())
            raise
        finally:
            self._resting.discard(worker)

    async def _take(self) -> Worker:
        ready = next((k for k, found in enumerate(self._idle) if found.done()), 0)
        worker = await (self._idle.pop(ready) if self._idle else Worker.start(self.warm))
        if not worker.fit:
            self._chore(worker.end())
            worker = await Worker.start(self.warm)
        self.busy.add(worker)
        return worker

    @property
    def _count(self) -> int:
        return len(self.busy) + len(self._idle)

    def refill(self) -> None:
        """Start a process where none is left."""
        if not self._closed and not self._count:
            self._idle.append(asyncio.get_running_loop().create_task(Worker.start(self.warm)))

    def _chore(self, work: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(work)
        self._chores.add(task)
        task.add_done_callback(self._chores.discard)

    async def close(self) -> None:
        """End every process."""
        self._closed = True
        idle, self._idle = self._idle, []
        await asyncio.gather(*(worker.end() for worker in self._resting))  # what is waited for below ends with it
        workers = [*self.busy, *await asyncio.gather(*idle)]
        await asyncio.gather(*(worker.end() for worker in workers), return_exceptions=True)
        await asyncio.gather(*self._chores, return_exceptions=True)
