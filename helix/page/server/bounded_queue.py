"""Who works out what: drafts in a few threads, full answers one after another in a process of their own."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from starlette.requests import ClientDisconnect, Request

from helix.page.server.jobs import QueueFull
from helix.page.server.request_checks import Refused
from helix.page.server.worker_pool import WorkerPool

MOST_THREADS = 4
MOST_WAITING = 64
BEGUN_S, DRAFT_S = 0.5, 0.8
"""A draft that has not begun or is not there so soon after it was asked for is refused: a newer one is on its way, or
the full answer. The page has it within a second then, on a busy machine too."""
_NEWEST = 0.2
"""Share that the newest work has in how long work takes."""
JOINT_S = 120.0
"""A full answer that takes longer is given up."""
LINGER_S = 2.0
"""What is nearly done may end by itself when nobody waits for it any more: that is cheaper than a new process."""


class _Queue:
    """So many at work at once, so many waiting."""

    def __init__(self, at_once: int, waiting: int) -> None:
        self._free = asyncio.Semaphore(at_once)
        self._most, self.waiting = waiting, 0

    @contextlib.asynccontextmanager
    async def turn(self, request: Request) -> AsyncIterator[None]:
        """Wait for a turn and keep it; raises QueueFull, and ClientDisconnect when the client left meanwhile."""
        if self.waiting >= self._most:
            raise QueueFull
        self.waiting += 1
        try:
            await self._free.acquire()
        finally:
            self.waiting -= 1
        try:
            if await request.is_disconnected():
                raise ClientDisconnect
            yield
        finally:
            self._free.release()


class BoundedQueue:
    """A few threads for what is quick, so that the event loop is free; so many may wait."""

    def __init__(self, threads: int = MOST_THREADS, waiting: int = MOST_WAITING) -> None:
        self._threads = ThreadPoolExecutor(threads, thread_name_prefix="helix-page")
        self._queue, self._at_once = _Queue(threads, waiting), threads
        self._usual_s: float | None = None

    async def do(self, request: Request, work: Callable[[], bytes]) -> bytes:
        """Have it done; raises QueueFull, and ClientDisconnect when the client left while it waited."""
        return await self._done(request, work, asyncio.Event())

    async def do_soon(self, request: Request, work: Callable[[], bytes]) -> bytes:
        """The same of a draft; raises Refused where it is not done in time, at once where what waits already takes too
        long. What has begun ends by itself, and keeps its turn until then."""
        if self._queue.waiting * (self._usual_s or 0.0) / self._at_once > BEGUN_S:
            raise Refused(503, "too many drafts are waiting already; try again in a moment")
        begun = asyncio.Event()
        done = asyncio.create_task(self._done(request, work, begun))
        await asyncio.wait({done}, timeout=BEGUN_S)
        if begun.is_set():
            await asyncio.wait({done}, timeout=DRAFT_S - BEGUN_S)
        if done.done():
            return done.result()
        if begun.is_set():
            done.add_done_callback(_look_at)
        else:
            done.cancel()
        raise Refused(503, f"this draft takes longer than {DRAFT_S:g} s; the full answer takes its time")

    async def _done(self, request: Request, work: Callable[[], bytes], begun: asyncio.Event) -> bytes:
        async with self._queue.turn(request):
            begun.set()
            loop = asyncio.get_running_loop()
            start = loop.time()
            try:
                return await loop.run_in_executor(self._threads, work)
            finally:
                taken = loop.time() - start
                self._usual_s = taken if self._usual_s is None else self._usual_s + _NEWEST * (taken - self._usual_s)

    def warm(self, work: Callable[[], object]) -> None:
        """Have it done once, whatever comes of it."""
        self._threads.submit(work)

    def close(self) -> None:
        self._threads.shutdown(wait=False, cancel_futures=True)


class FullAnswers:
    """Full answers, one after another, in a process of their own: a draft must not wait for them."""

    def __init__(self, run: Callable[..., Any], crew: WorkerPool, waiting: int = MOST_WAITING) -> None:
        self._run, self._crew, self._queue = run, crew, _Queue(1, waiting)

    async def do(self, request: Request, body: dict[str, Any]) -> bytes:
        """The answer; raises QueueFull, WorkFailed, Refused, and ClientDisconnect when the client has left."""
        async with self._queue.turn(request):
            work = asyncio.create_task(self._crew.do(self._run, body, lambda line: None))
            left = asyncio.create_task(_left(request))
            try:
                done, _ = await asyncio.wait({work, left}, timeout=JOINT_S, return_when=asyncio.FIRST_COMPLETED)
                if work in done:
                    return work.result()
                if left in done:
                    await asyncio.wait({work}, timeout=LINGER_S)
                    raise ClientDisconnect
                raise Refused(503, f"this joint takes longer than {JOINT_S:.0f} s to work out")
            finally:
                left.cancel()
                work.cancel()  # of what is done nothing comes
                await asyncio.wait({work})
                if not work.cancelled():
                    work.exception()  # looked at: nobody else will


def _look_at(task: asyncio.Task[bytes]) -> None:
    """Look at what came of work that nobody waits for any more, so that it is not reported as lost."""
    if not task.cancelled():
        task.exception()


async def _left(request: Request) -> None:
    """Wait until the client has closed the connection."""
    while (await request.receive())["type"] != "http.disconnect":
        pass
