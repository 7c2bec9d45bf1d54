"""The page's server running in a thread of the test, with work of the test's own behind it; raw requests to it."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from helix.page.answers.pane import Download, Pane
from helix.page.server.app import make_app
from helix.page.server.serving import Server, listening
from tests.page.work import breaks, deaf, dies, echo, endless, file, naps, no_number, process, refuses

PATIENCE_S = 20.0
SLOW = (process, endless, naps, deaf, dies, refuses, breaks, no_number)
PANES = {f"slow-{run.__name__}": Pane(run, slow=True) for run in SLOW} | {
    run.__name__: Pane(run, slow=False) for run in (echo, refuses, breaks, no_number)
}
DOWNLOADS = {"quick.csv": Download(file, slow=False), "slow.csv": Download(file, slow=True)}


# ---------------------------------------------------------------- the server


@dataclass(frozen=True)
class Reply:
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)

    @property
    def said(self) -> list[str]:
        return [fault["message"] for fault in self.json["faults"]]


@dataclass(frozen=True)
class Running:
    """A server at a port of this machine."""

    port: int

    def ask(self, method: str, path: str, body: object = None, **headers: str) -> Reply:
        """One request; bytes go as they are, all else as JSON. Header names with _ for -; "" leaves one out."""
        sent = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        kept = {"Content-Type": "application/json"} if sent is not None else {}
        kept |= {name.replace("_", "-"): value for name, value in headers.items()}
        talk = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        with contextlib.closing(talk):
            talk.putrequest(method, path, skip_host="Host" in kept)
            if sent is not None:
                kept.setdefault("Content-Length", str(len(sent)))
            for name, value in kept.items():
                if value:
                    talk.putheader(name, value)
            talk.endheaders()
            if sent is not None:
                talk.send(sent)
            reply = talk.getresponse()
            return Reply(reply.status, {k.lower(): v for k, v in reply.getheaders()}, reply.read())

    def post(self, path: str, body: object = None, **headers: str) -> Reply:
        return self.ask("POST", path, {} if body is None else body, **headers)

    def joint(self, body: object) -> Reply:
        """An answer about a joint; asked again where a draft came late, as on a busy machine."""
        until = time.monotonic() + PATIENCE_S
        while (reply := self.post("/api/joint", body)).status == 503 and time.monotonic() < until:
            time.sleep(0.05)
        return reply

    def raw(self, *parts: bytes) -> bytes:
        """What comes back until the server closes the connection."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=PATIENCE_S) as talk:
            for part in parts:
                talk.sendall(part)
            found = b""
            with contextlib.suppress(ConnectionResetError):
                while part := talk.recv(65536):
                    found += part
            return found

    def job(self, name: str, body: object = None) -> str:
        reply = self.post(f"/api/pane/{name}", body)
        assert reply.status == 202, reply.body
        return str(reply.json["job"])

    def wait(self, job: str, done: Callable[[dict[str, Any]], bool] | None = None) -> dict[str, Any]:
        """The job's record once it has ended, or once done(record)."""
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            record: dict[str, Any] = self.ask("GET", f"/api/job/{job}").json
            if done(record) if done else record["state"] not in ("waiting", "running"):
                return record
            time.sleep(0.02)
        raise AssertionError(f"this job does not end: {record}")


@contextlib.contextmanager
def running(**more: Any) -> Iterator[Running]:
    """A server with the work above behind it; it is stopped, and its processes with it, when the block ends."""
    given: dict[str, Any] = {
        "joint": lambda body: {"ok": True, "draft": body},
        "full": echo,
        "panes": PANES,
        "downloads": DOWNLOADS,
        "start": lambda: {"ok": True, "recipe": {}},
        "warm": (),
    }
    at = listening("127.0.0.1", 0)
    ready = threading.Event()
    server = Server(make_app(**given | more), ready.set)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [at]})
    port = at.getsockname()[1]
    thread.start()
    try:
        assert ready.wait(PATIENCE_S)
        yield Running(port)
    finally:
        server.should_exit = True
        thread.join(PATIENCE_S)
        assert not thread.is_alive()


def alive(process: int) -> bool:
    """Whether a process is there and has not ended (one that its parent has not looked at counts as ended)."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    with contextlib.suppress(OSError):
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    return True


def gone(process: int) -> bool:
    """Whether a process ends soon."""
    until = time.monotonic() + PATIENCE_S
    while alive(process) and time.monotonic() < until:
        time.sleep(0.02)
    return not alive(process)
