"""Slow work of the page in processes of its own.

Map of what must hold:
  a job's result is what the work gives, its progress is told, its process is not the server's
  a cancelled job's process ends, having cleaned up; one that does not listen ends all the same; one that is done at once is kept
  two processes are kept warm once two were busy
  work that dies, refuses or breaks is a failed job in words, and the next job goes well
  no process outlives the server, not even when the server is killed
  a few run at a time, some wait, more are turned away; results are forgotten by age, number and size
  a full answer whose client has left does not keep others waiting
"""

from __future__ import annotations

import asyncio
import base64
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from helix.page.server import bounded_queue as lanes
from helix.page.server import jobs
from helix.page.server import worker_pool as crew
from helix.page.server.jobs import Job, Jobs
from helix.page.server.worker import YIELDS, name_of, named
from helix.page.server.worker_pool import WorkerPool, WorkFailed
from tests.page import work as own_work
from tests.page.serving import PATIENCE_S, Running, alive, gone, running

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "GRACE_S", 0.3)
    monkeypatch.setattr(crew, "LINGER_S", 0.1)


@pytest.fixture(scope="module")
def server() -> Iterator[Running]:
    with running() as found:
        yield found


def process_of(record: dict[str, Any]) -> int:
    return int(record["said"].removeprefix("process "))


def said(record: dict[str, Any]) -> bool:
    return bool(record["said"])


def test_a_job_runs_in_another_process_and_tells_how_far_it_is(server: Running) -> None:
    record = server.wait(server.job("slow-process"))
    assert record["state"] == "done" and record["said"] == "first\\nline" and record["seconds"] >= 0.0
    process = record["result"]["process"]
    assert process != os.getpid() and alive(process)
    if sys.platform != "win32":
        assert os.getpriority(os.PRIO_PROCESS, process) == min(os.getpriority(os.PRIO_PROCESS, 0) + YIELDS, 19)
    assert server.wait(server.job("slow-process"))["result"]["process"] == process  # kept warm


def test_a_process_that_has_had_much_memory_is_replaced(server: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "MOST_MEMORY_MB", 1.0)
    first, second = (server.wait(server.job("slow-process"))["result"]["process"] for _ in range(2))
    assert first != second and gone(first)


def test_memory_of_the_process_that_starts_it_is_not_its_own() -> None:
    """Linux hands the most memory of a process on to those that it starts; by that every process would be replaced."""
    code = "import subprocess, sys; held = bytearray(150_000_000); subprocess.run([sys.executable, '-c', sys.argv[1]], check=True)"
    inner = "from helix.page.server.worker import _most_memory_mb; print(_most_memory_mb())"
    said = subprocess.run(
        [sys.executable, "-c", code, inner], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout
    assert float(said) < 120.0
    if sys.platform == "linux":
        assert float(said) > 5.0


def test_a_file_that_takes_long_comes_as_the_result_of_a_job(server: Running) -> None:
    file = server.wait(server.post("/api/file/slow.csv").json["job"])["result"]["file"]
    assert (file["name"], file["type"]) == ("my-joint.csv", "text/csv")
    assert base64.b64decode(file["base64"]) == b"a,b\n\x00\xff"


def test_a_cancelled_job_cleans_up_and_its_process_ends(server: Running, tmp_path: Path) -> None:
    job = server.job("slow-endless", {"file": str(tmp_path / "half")})
    process = process_of(server.wait(job, said))
    assert (tmp_path / "half").exists() and alive(process)
    assert server.ask("DELETE", f"/api/job/{job}").json["state"] == "cancelled"
    assert gone(process) and not (tmp_path / "half").exists()
    assert server.ask("GET", f"/api/job/{job}").json["state"] == "cancelled"


def test_work_given_up_that_is_done_in_a_moment_costs_no_process(
    server: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is typed supersedes an estimate again and again; a process for each took most of the time."""
    monkeypatch.setattr(crew, "LINGER_S", PATIENCE_S)
    job = server.job("slow-naps")
    process = process_of(server.wait(job, said))
    assert server.ask("DELETE", f"/api/job/{job}").json["state"] == "cancelled"
    after = {server.wait(server.job("slow-process"))["result"]["process"] for _ in range(3)}
    assert process in after and len(after) <= crew.MOST_WARM


@pytest.mark.slow
def test_two_that_were_busy_at_once_are_both_kept(server: Running) -> None:
    def both() -> set[int]:
        going = [server.job("slow-naps", {"seconds": 2.0}) for _ in range(2)]
        found = {process_of(server.wait(job, said)) for job in going}
        assert all(server.wait(job)["state"] == "done" for job in going)
        return found

    first = both()
    assert len(first) == 2 and both() == first


def test_work_that_does_not_listen_ends_all_the_same(server: Running) -> None:
    job = server.job("slow-deaf")
    process = process_of(server.wait(job, said))
    server.ask("DELETE", f"/api/job/{job}")
    assert gone(process)


def test_work_whose_process_dies_fails_in_words_and_the_next_goes_well(server: Running) -> None:
    record = server.wait(server.job("slow-dies"))
    assert record["state"] == "failed" and "ended with code 3" in record["faults"][0]["message"]
    job = server.job("slow-deaf")
    os.kill(process_of(server.wait(job, said)), signal.SIGKILL)
    assert "killed" in server.wait(job)["faults"][0]["message"]
    assert server.wait(server.job("slow-process"))["state"] == "done"


def test_refusals_and_our_own_faults_are_failed_jobs_in_words(server: Running) -> None:
    record = server.wait(server.job("slow-refuses"))
    assert record["state"] == "failed" and [fault["key"] for fault in record["faults"]] == ["twist.turns", "load"]
    for name in ("slow-breaks", "slow-no_number"):
        record = server.wait(server.job(name))
        assert record["state"] == "failed" and "please report it" in record["faults"][0]["message"]


def test_an_ended_job_cannot_be_cancelled_and_an_unknown_one_not_found(server: Running) -> None:
    job = server.job("slow-process")
    server.wait(job)
    assert server.ask("DELETE", f"/api/job/{job}").json["state"] == "done"
    for method in ("GET", "DELETE"):
        assert server.ask(method, "/api/job/none").status == 404


def test_two_run_others_wait_more_are_turned_away(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "MOST_WAITING", 2)
    with running() as server:
        first = [server.job("slow-deaf") for _ in range(2)]
        processes = [process_of(server.wait(job, said)) for job in first]
        waiting = [server.job("slow-process") for _ in range(2)]
        turned_away = server.post("/api/pane/slow-process")
        assert turned_away.status == 503 and "waiting" in turned_away.said[0]
        assert [server.ask("GET", f"/api/job/{job}").json["state"] for job in waiting] == ["waiting"] * 2
        assert server.ask("DELETE", f"/api/job/{waiting[0]}").json["state"] == "cancelled"
        server.ask("DELETE", f"/api/job/{first[0]}")
        assert server.wait(waiting[1])["state"] == "done"
        assert alive(processes[1])
    assert gone(processes[1])


def test_results_are_forgotten_by_age_number_and_size(monkeypatch: pytest.MonkeyPatch) -> None:
    now = time.monotonic()

    def kept(found: list[Job]) -> set[str]:
        asyncio.set_event_loop(loop)
        held = Jobs(WorkerPool(()))
        held.all = {job.id: job for job in found}
        held.tidy()
        return set(held.all)

    loop = asyncio.new_event_loop()
    try:
        assert kept([Job("new", ended=now - 5.0), Job("old", ended=now - jobs.KEPT_S - 1.0), Job("going")]) == {
            "new",
            "going",
        }
        assert kept([Job(str(n), ended=now - n) for n in range(40)]) == {str(n) for n in range(jobs.MOST_KEPT)}
        monkeypatch.setattr(jobs, "LARGEST_KEPT", 25)
        assert kept([Job(str(n), ended=now - n, result=b"x" * 10) for n in range(4)]) == {"0", "1"}
        assert kept([Job("large", ended=now, result=b"x" * 99), Job("b", ended=now - 1.0)]) == {"large"}
    finally:
        asyncio.set_event_loop(None)
        loop.close()


def test_a_job_that_nobody_asks_after_is_ended(server: Running, monkeypatch: pytest.MonkeyPatch) -> None:
    process = process_of(server.wait(server.job("slow-deaf"), said))
    monkeypatch.setattr(jobs, "FORGOTTEN_S", 0.05)
    time.sleep(0.1)
    server.ask("GET", "/api/job/another")  # tidies
    assert gone(process)


# ---------------------------------------------------------------- full answers


def test_a_full_answer_comes_from_another_process_and_one_that_nobody_waits_for_gives_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(lanes, "LINGER_S", 0.1)
    with running(full=own_work.as_asked, joint=lambda body: {"process": os.getpid()}) as server:
        assert server.post("/api/joint", {"draft": True}).json["process"] == os.getpid()
        other = server.post("/api/joint", {"work": "process", "draft": False}).json["process"]
        assert other != os.getpid() and server.post("/api/joint", {"work": "process"}).json["process"] == other
        reply = server.post("/api/joint", {"work": "refuses"})
        assert reply.status == 422 and reply.json["faults"][0]["key"] == "twist.turns"

        body = b'{"work": "deaf"}'
        head = b"POST /api/joint HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n"
        with socket.create_connection(("127.0.0.1", server.port)) as talk:
            talk.sendall(head % len(body) + body)
            time.sleep(0.2)
            assert server.post("/api/joint", {"draft": True}).status == 200  # beside it
        again = server.post("/api/joint", {"work": "process"}).json["process"]
        assert again != other and gone(other)


# ---------------------------------------------------------------- the end


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_no_process_outlives_a_server_that_is_killed(tmp_path: Path) -> None:
    code = f"""
import asyncio, sys
sys.path.insert(0, {str(ROOT)!r})
from tests.page import serving
with serving.running() as server:
    job = server.job("slow-endless", {{"file": sys.argv[1]}})
    print(server.wait(job, lambda record: record["said"])["said"], flush=True)
    serving.time.sleep(100.0)
"""
    path = tmp_path / "half"
    with subprocess.Popen(
        [sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE, text=True, stderr=subprocess.DEVNULL
    ) as server:
        try:
            assert server.stdout
            process = int(server.stdout.readline().removeprefix("process "))
            server.kill()
            server.wait(PATIENCE_S)
            assert gone(process) and not path.exists()
        finally:
            server.kill()


def test_functions_are_found_again_by_name() -> None:
    assert named(name_of(own_work.echo)) is own_work.echo
    with pytest.raises(ValueError, match="top of a module"):
        name_of(lambda body, on_output: body)


def test_a_crew_that_is_closed_leaves_nothing() -> None:
    async def work() -> list[int]:
        all_of_them = WorkerPool(())
        all_of_them.refill()
        found = [int(await pid(all_of_them)), int(await pid(all_of_them))]
        with pytest.raises(WorkFailed):
            await all_of_them.do(own_work.dies, {}, lambda line: None)
        found.append(int(await pid(all_of_them)))
        await all_of_them.close()
        return found

    async def pid(all_of_them: WorkerPool) -> bytes:
        return (await all_of_them.do(own_work.process, {}, lambda line: None)).partition(b":")[2].rstrip(b"}")

    with ThreadPoolExecutor(1) as apart:  # a browser of other tests has an event loop running in this thread
        first, second, third = apart.submit(asyncio.run, work()).result()
    assert first == second != third and gone(first) and gone(third)
