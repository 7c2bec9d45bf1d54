"""One request of the page's server, in process and in this thread: what must hold whatever its body is.

Full answers and slow panes run where quick ones do, so that their time and memory are seen here; what they answer is
the same function's.
"""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Self

from helix.page.answers.downloads import DOWNLOADS
from helix.page.answers.joint_answer import joint_answer
from helix.page.answers.pane import OnOutput, Work
from helix.page.answers.panes import PANES
from helix.page.server.app import make_app
from tests.attack.attacking import GIVEN_UP_S, LONGEST_S, Outcome, TooSlow, alarm, no_constant
from tests.attack.corners import MOST_MB as MOST_OF_A_SERVER_MB
from tests.attack.corners import most_memory_mb, watch_memory

FRESH_MB = 60.0
"""What a server holds that has answered once."""
MOST_MB = MOST_OF_A_SERVER_MB - FRESH_MB
"""What a request may take above what the process held before it, which may be another test's."""


@dataclass(frozen=True)
class Request:
    """A body for an address. long: it may take as long as it takes."""

    path: str
    body: bytes
    long: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """The command's words, as it were, by which outcomes are counted."""
        return (self.path.removeprefix("/api/"),)

    def __str__(self) -> str:
        return f"POST {self.path}\n{self.body.decode('utf-8', 'backslashreplace')[:20_000]}"


class _InThisThread(asyncio.SelectorEventLoop):
    """Does at once what others hand to a thread, so that it can be stopped."""

    def run_in_executor(self, executor: Any, work: Callable[..., Any], *args: Any) -> asyncio.Future[Any]:  # type: ignore[override]
        future = self.create_future()
        try:
            future.set_result(work(*args))
        except Exception as error:  # noqa: BLE001  (it is the answer)
            future.set_exception(error)
        return future

    def run_until_complete(self, future: Any) -> Any:
        """Run though a browser that is driven from this thread has a loop of its own here, which waits meanwhile."""
        other = asyncio._get_running_loop()
        asyncio._set_running_loop(None)
        try:
            return super().run_until_complete(future)
        finally:
            asyncio._set_running_loop(other)


def _joint(body: dict[str, Any], on_output: OnOutput) -> dict[str, Any]:
    return joint_answer(body)


class Asked:
    """The page's server, to be asked one thing after another."""

    def __init__(self) -> None:
        self.loop = _InThisThread()
        panes = {name: Work(pane.run, slow=False) for name, pane in PANES.items()}
        files = {name: Work(file.run, slow=False) for name, file in DOWNLOADS.items()}
        self.app = make_app(panes=panes | {"joint": Work(_joint, slow=False)}, downloads=files, warm=())
        self.events: asyncio.Queue[dict[str, Any]] = asyncio.Queue()
        self.up = asyncio.Event()

    def __enter__(self) -> Self:
        self.life = self.loop.create_task(self.app({"type": "lifespan", "asgi": {"version": "3.0"}, "state": {}},
                                                   self.events.get, self._came))  # fmt: skip
        self.events.put_nowait({"type": "lifespan.startup"})
        self.loop.run_until_complete(self.up.wait())
        return self

    async def _came(self, message: Any) -> None:
        self.up.set()

    def __exit__(self, *ended: object) -> None:
        self.events.put_nowait({"type": "lifespan.shutdown"})
        self.loop.run_until_complete(self.life)
        self.loop.close()

    def status_and_content(self, request: Request) -> tuple[int, str, bytes]:
        """Status, type and content of the reply."""
        path = "/api/pane/joint" if request.path == "/api/joint" else request.path
        scope = {
            "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http", "path": path,
            "raw_path": path.encode(), "query_string": b"", "root_path": "", "server": ("127.0.0.1", 80), "client": ("127.0.0.1", 9),
            "headers": [(b"host", b"127.0.0.1"), (b"content-type", b"application/json")],
        }  # fmt: skip
        waiting = [{"type": "http.request", "body": request.body, "more_body": False}]
        sent: list[Any] = []

        async def receive() -> dict[str, Any]:
            if waiting:
                return waiting.pop()
            await asyncio.sleep(3600.0)
            return {"type": "http.disconnect"}

        async def send(message: Any) -> None:
            sent.append(message)

        self.loop.run_until_complete(self.app(scope, receive, send))
        kinds = dict(sent[0]["headers"])
        content = b"".join(message.get("body", b"") for message in sent[1:])
        return sent[0]["status"], kinds[b"content-type"].decode("ascii"), content


def outcome_of_request(server: Asked, request: Request) -> Outcome:
    """Ask, and see what is wrong with the reply: its status, its JSON, its time, its memory."""
    watch_memory()
    held_mb = most_memory_mb("VmRSS")
    content, kind, err = b"", "", io.StringIO()
    started = time.process_time()
    try:
        with contextlib.redirect_stderr(err), alarm():
            code, kind, content = server.status_and_content(request)
            problem = _problem(code, kind, content)
    except TooSlow:
        code, problem = -1, f"no answer in {GIVEN_UP_S:g} s"
    except Exception as error:  # noqa: BLE001  (nothing may leave it)
        code, problem = -1, f"raised {type(error).__name__}: {error}"
    taken, most_mb = time.process_time() - started, most_memory_mb() - held_mb
    if not problem and taken > LONGEST_S and not request.long:
        problem = f"took {taken:.1f} s"
    if not problem and most_mb > MOST_MB:
        problem = f"took {most_mb:.0f} MB"
    return Outcome(code, taken, problem, content[:300].decode("utf-8", "replace") if "json" in kind else "", most_mb)


def _problem(code: int, kind: str, content: bytes) -> str:
    if code not in (200, 400, 413, 422):
        return f"answers {code}: {content[:300].decode('utf-8', 'replace')}"
    if "json" not in kind:
        return ""
    try:
        answer = json.loads(content, parse_constant=no_constant)
    except ValueError as error:
        return f"JSON: {error}"
    messages = [fault["message"] for fault in answer.get("faults", ())] if isinstance(answer, dict) else []
    if code != 200 and not all(messages or [""]):
        return f"answers {code} without a word"
    if any("more memory than there is" in message for message in messages):
        return "runs out of memory"
    return ""


@contextlib.contextmanager
def asked() -> Iterator[Asked]:
    """The page's server."""
    with Asked() as server:
        yield server
