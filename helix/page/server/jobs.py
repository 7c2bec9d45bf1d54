"""Heavy studies as jobs: a few at a time, each with its progress, a way to end it, and a result that is kept a while."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from helix.page.server.replies import to_bytes, told
from helix.page.server.worker_pool import WorkerPool, WorkFailed

MOST_RUNNING = 2
MOST_WAITING = 16
MOST_KEPT = 32
LARGEST_KEPT = 128 * 1024 * 1024
KEPT_S = 600.0
FORGOTTEN_S = 180.0
"""A job that nobody has asked after for so long is ended: its page was closed. A page in the background asks once a
minute."""


class QueueFull(Exception):
    """Too much is waiting already."""


@dataclass
class Job:
    """One heavy study, waiting, running or ended."""

    id: str
    state: str = "waiting"
    said: str = ""
    made: float = field(default_factory=time.monotonic)
    started: float | None = None
    ended: float | None = None
    asked: float = field(default_factory=time.monotonic)
    result: bytes = b""
    faults: list[dict[str, str]] = field(default_factory=list)
    task: asyncio.Task[None] | None = None

    @property
    def seconds(self) -> float:
        return 0.0 if self.started is None else (self.ended or time.monotonic()) - self.started

    def record(self) -> bytes:
        """The job as JSON."""
        head: dict[str, Any] = {"ok": True, "job": self.id, "state": self.state, "said": self.said}
        head["seconds"] = round(self.seconds, 1)
        if self.state == "failed":
            head["faults"] = self.faults
        text = to_bytes(head)
        return text[:-1] + b',"result":' + self.result + b"}" if self.state == "done" else text


class Jobs:
    """Every job of this server."""

    def __init__(self, crew: WorkerPool) -> None:
        self.crew = crew
        self.all: dict[str, Job] = {}
        self._free = asyncio.Semaphore(MOST_RUNNING)

    def add(self, run: Callable[..., Any], body: dict[str, Any], file: bool = False) -> Job:
        """Start a job, or let it wait its turn; raises QueueFull."""
        self.tidy()
        if sum(job.state == "waiting" for job in self.all.values()) >= MOST_WAITING:
            raise QueueFull
        job = Job(secrets.token_urlsafe(12))
        self.all[job.id] = job
        job.task = asyncio.get_running_loop().create_task(self._work(job, run, body, file))
        return job

    async def _work(self, job: Job, run: Callable[..., Any], body: dict[str, Any], file: bool) -> None:
        def said(line: str) -> None:
            job.said = line

        try:
            async with self._free:
                job.state, job.started = "running", time.monotonic()
                job.result = await self.crew.do(run, body, said, file)
            job.state = "done"
        except WorkFailed as failed:
            job.state, job.faults = "failed", failed.faults
        except asyncio.CancelledError:
            job.state = "cancelled"
        except Exception as error:  # noqa: BLE001  (told in words)
            job.state, job.faults = "failed", told(error)[1]
        finally:
            job.ended = time.monotonic()

    def find(self, name: str) -> Job | None:
        """The job, noted as asked after; None where there is none or it is kept no longer."""
        self.tidy()
        job = self.all.get(name)
        if job:
            job.asked = time.monotonic()
        return job

    async def cancel(self, job: Job) -> None:
        """End a job and its process; one that has ended stays as it is."""
        if job.ended is None and job.task:
            job.task.cancel()
            await asyncio.wait([job.task])
            if job.ended is None:  # it never began
                job.state, job.ended = "cancelled", time.monotonic()

    def tidy(self) -> None:
        """Forget what is old, too much or too large; end what nobody asks after."""
        now = time.monotonic()
        ended = sorted((job for job in self.all.values() if job.ended), key=lambda job: -(job.ended or 0.0))
        room = LARGEST_KEPT
        for number, job in enumerate(ended):
            room -= len(job.result)
            if number >= MOST_KEPT or now - (job.ended or 0.0) > KEPT_S or (room < 0 and number):
                del self.all[job.id]
        for job in self.all.values():
            if job.ended is None and job.task and now - job.asked > FORGOTTEN_S:
                job.task.cancel()

    async def watch(self) -> None:
        """Tidy now and then, until cancelled."""
        while True:
            await asyncio.sleep(20.0)
            self.tidy()

    async def close(self) -> None:
        for job in list(self.all.values()):
            with contextlib.suppress(Exception):
                await self.cancel(job)
