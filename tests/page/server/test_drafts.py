"""Drafts under load: none is waited for longer than DRAFT_S, and the server answers while bad ones are worked out."""

from __future__ import annotations

import asyncio
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from helix.page.server.bounded_queue import BEGUN_S, DRAFT_S, MOST_THREADS, BoundedQueue
from helix.page.server.request_checks import Refused
from tests.page.serving import PATIENCE_S, Reply, Running, running
from tests.page.work import dies


@pytest.fixture(name="gate")
def _gate() -> threading.Event:
    return threading.Event()


def drafts(server: Running, bodies: list[dict[str, Any]]) -> list[tuple[float, Reply]]:
    """Ask for drafts all at once; how long each took and what came."""
    found: list[tuple[float, Reply]] = []

    def ask(body: dict[str, Any]) -> None:
        start = time.monotonic()
        reply = server.post("/api/joint", body | {"draft": True})
        found.append((time.monotonic() - start, reply))

    threads = [threading.Thread(target=ask, args=(body,)) for body in bodies]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    return found


def test_bad_drafts_are_turned_away_in_time_and_block_nobody_for_longer(gate: threading.Event) -> None:
    """Every thread hangs in a draft: those and all that wait are answered in a second, and then all goes on."""
    worked: list[int] = []

    def joint(body: dict[str, Any]) -> dict[str, Any]:
        if body.get("bad"):
            gate.wait(PATIENCE_S)
        worked.append(body["number"])
        return {"ok": True}

    with running(joint=joint) as server:
        bad = [{"bad": True, "number": k} for k in range(MOST_THREADS)]
        found = drafts(server, [*bad, *({"number": k} for k in range(100, 106))])
        assert {reply.status for seconds, reply in found if seconds > BEGUN_S - 0.1} == {503}
        assert max(seconds for seconds, _ in found) < DRAFT_S + 0.5
        late = sum(reply.status == 503 for _, reply in found)
        assert late >= MOST_THREADS and "takes longer than" in found[-1][1].said[0]
        gate.set()
        until = time.monotonic() + PATIENCE_S
        while not set(range(MOST_THREADS)) <= set(worked) and time.monotonic() < until:
            time.sleep(0.01)
        assert drafts(server, [{"number": 200}])[0][1].status == 200
        assert len(worked) == len(found) - late + MOST_THREADS + 1  # what had not begun is not worked out any more


class _Patient:
    """A request whose client stays."""

    async def is_disconnected(self) -> bool:
        return False


def test_a_draft_behind_too_many_is_turned_away_at_once_and_one_behind_few_is_not(gate: threading.Event) -> None:
    request: Any = _Patient()

    def work() -> bytes:
        time.sleep(0.6 * BEGUN_S)
        return b"{}"

    def hang() -> bytes:
        gate.wait(PATIENCE_S)
        return b"{}"

    async def drafts_behind(count: int) -> float:
        queue = BoundedQueue(threads=1)
        await queue.do(request, work)  # so long does work take
        tasks = [asyncio.create_task(queue.do(request, run)) for run in (hang, *[lambda: b"{}"] * count)]
        await asyncio.sleep(0)
        start = time.monotonic()
        with pytest.raises(Refused):
            await queue.do_soon(request, lambda: b"{}")
        taken = time.monotonic() - start
        gate.set()
        await asyncio.gather(*tasks)
        gate.clear()
        queue.close()
        return taken

    with ThreadPoolExecutor(1) as another:  # a browser's test may have left a loop running in this thread
        assert another.submit(asyncio.run, drafts_behind(4)).result() < 0.5 * BEGUN_S
        assert another.submit(asyncio.run, drafts_behind(0)).result() > 0.9 * BEGUN_S


def test_two_bad_drafts_leave_the_sliders_of_others_free(gate: threading.Event) -> None:
    def joint(body: dict[str, Any]) -> dict[str, Any]:
        if body.get("bad"):
            gate.wait(PATIENCE_S)
        return {"ok": True}

    with running(joint=joint) as server:
        hung = threading.Thread(target=drafts, args=(server, [{"bad": True}, {"bad": True}]))
        hung.start()
        time.sleep(0.1)
        assert [reply.status for _, reply in drafts(server, [{}, {}, {}])] == [200] * 3
        gate.set()
        hung.join(PATIENCE_S)


def test_a_full_answer_whose_process_dies_is_a_plain_fault() -> None:
    with running(full=dies) as server:
        reply = server.post("/api/joint", {"draft": False})
        assert reply.status == 422
        assert "ended before its result" in reply.said[0]
        assert server.post("/api/joint", {"draft": True}).status == 200
