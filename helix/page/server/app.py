"""The page's server: which address answers what. Every answer is made elsewhere; no path from a client is opened."""

from __future__ import annotations

import asyncio
import contextlib
import importlib
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable, Mapping, Sequence
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from helix.errors import ValidationError, argument_issue
from helix.page.answers.pane import Download, Pane
from helix.page.server import worker
from helix.page.server.bounded_queue import BoundedQueue, FullAnswers
from helix.page.server.jobs import Jobs, QueueFull
from helix.page.server.replies import faulty, plain_name, to_bytes, told
from helix.page.server.request_checks import MOST_BYTES, MOST_BYTES_OF_FILES, Guard, Refused, json_of, refusal, reply
from helix.page.server.worker_pool import WorkerPool, WorkFailed

Answer = Callable[[dict[str, Any]], dict[str, Any]]
Handler = Callable[[Request], Awaitable[Response]]

BUNDLED = {
    "/": ("page.html", "text/html; charset=utf-8"),
    "/three.js": ("built/three.js", "text/javascript; charset=utf-8"),
    "/viewer.js": ("built/viewer.js", "text/javascript; charset=utf-8"),
    "/page.js": ("built/page.js", "text/javascript; charset=utf-8"),
    "/page.css": ("built/page.css", "text/css; charset=utf-8"),
    "/icon": ("icon.svg", "image/svg+xml"),
}
"""Address, file of this package, type: all the files there are."""


def make_app(
    joint: Answer | None = None,
    full: Callable[..., Any] = worker.joint,
    panes: Mapping[str, Pane] | None = None,
    downloads: Mapping[str, Download] | None = None,
    start: Callable[[], dict[str, Any]] | None = None,
    hosts: Iterable[str] = (),
    anywhere: bool = False,
    warm: Sequence[str] = worker.WARM,
) -> ASGIApp:
    """The page's server, for any ASGI server. Whatever is None is helix's own.

    joint answers drafts, in a thread; full(body, tell) full answers, in another process, as all slow work.
    hosts, anywhere: see Guard. warm: see WorkerPool.
    """
    served = _Served(joint, full, panes, downloads, start, warm)
    app = Starlette(routes=served.routes(), lifespan=served.lifespan)
    app.add_exception_handler(HTTPException, _of_http)
    app.router.redirect_slashes = False
    return Guard(app, hosts, anywhere)


async def _of_http(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    words = {404: "there is nothing at this address", 405: "this address is not asked in this way"}
    answer = refusal(status, words.get(status, "this cannot be answered"))
    if isinstance(error, HTTPException) and error.headers:
        answer.headers.update(error.headers)
    return answer


def guarded(handler: Handler) -> Handler:
    """Turn every error of a handler into a reply in words."""

    async def answer(request: Request) -> Response:
        try:
            return await handler(request)
        except Refused as refused:
            final = refusal(refused.status, str(refused))
            final.headers["connection"] = "close"
            return final
        except QueueFull:
            return refusal(503, "too much is waiting already; try again in a moment")
        except ClientDisconnect:
            return Response(status_code=499)  # nobody reads it
        except WorkFailed as failed:
            return reply(faulty(failed.faults), 500 if failed.own else 422)
        except HTTPException:
            raise
        except Exception as error:  # noqa: BLE001  (told in words)
            status, faults = told(error)
            if status == 422 and all(fault["place"] == "request" for fault in faults):
                status = 400  # the JSON itself
            return reply(faulty(faults), status)

    return answer


class _Served:
    """What the addresses share."""

    def __init__(
        self,
        joint: Answer | None,
        full: Callable[..., Any],
        panes: Mapping[str, Pane] | None,
        downloads: Mapping[str, Download] | None,
        start: Callable[[], dict[str, Any]] | None,
        warm: Sequence[str],
    ) -> None:
        self._warm = warm
        self._joint, self._full_run, self._start = joint, full, start
        self._panes, self._downloads = panes, downloads
        self._started: bytes | None = None
        self.lane: BoundedQueue
        self.full: FullAnswers
        self.jobs: Jobs

    def routes(self) -> list[Route]:
        given: list[tuple[str, str, Handler]] = [
            ("/api/start", "GET", self.start),
            ("/api/joint", "POST", self.joint),
            ("/api/read", "POST", self.read),
            ("/api/write", "POST", self.write),
            ("/api/units", "POST", self.units),
            ("/api/code", "POST", self.code),
            ("/api/pane/{name}", "POST", self.pane),
            ("/api/file/{name}", "POST", self.file),
            ("/api/job/{id}", "GET", self.job),
            ("/api/job/{id}", "DELETE", self.cancel),
        ]
        return [
            *(Route(path, guarded(_bundled), methods=["GET"]) for path in BUNDLED),
            *(Route(path, guarded(handler), methods=[method]) for path, method, handler in given),
        ]

    @contextlib.asynccontextmanager
    async def lifespan(self, app: Starlette) -> AsyncIterator[None]:
        crew, own = WorkerPool(self._warm), WorkerPool(self._warm)
        self.lane, self.full, self.jobs = BoundedQueue(), FullAnswers(self._full_run, own), Jobs(crew)
        own.refill()
        crew.refill()
        if self._joint is None:
            self.lane.warm(_first_draft)
        watch = asyncio.create_task(self.jobs.watch())
        try:
            yield
        finally:
            watch.cancel()
            await self.jobs.close()
            await asyncio.gather(crew.close(), own.close())
            self.lane.close()

    # ---------------------------------------------------------------- the joint

    async def start(self, request: Request) -> Response:
        def work() -> bytes:
            run = self._start or _own("helix.page.answers.joint_answer", "start_record")
            return to_bytes(run())

        if self._started is None:
            self._started = await self.lane.do(request, work)
        return reply(self._started)

    async def joint(self, request: Request) -> Response:
        body = await json_of(request)
        if body.get("draft") is not True:
            return reply(await self.full.do(request, body))
        run = self._joint or _own("helix.page.answers.joint_answer", "joint_answer")
        return reply(await self.lane.do_soon(request, lambda: to_bytes(run(body))))

    # ---------------------------------------------------------------- files of recipes

    async def read(self, request: Request) -> Response:
        body = await json_of(request)
        return reply(await self.lane.do(request, lambda: to_bytes(_read(body))))

    async def write(self, request: Request) -> Response:
        body = await json_of(request)
        return reply(await self.lane.do(request, lambda: to_bytes(_written(body))))

    async def units(self, request: Request) -> Response:
        body = await json_of(request)
        return reply(await self.lane.do(request, lambda: to_bytes(_in_units(body))))

    async def code(self, request: Request) -> Response:
        body, run = await json_of(request), _own("helix.page.answers.share", "code_record")
        return reply(await self.lane.do(request, lambda: to_bytes(run(body))))

    # ---------------------------------------------------------------- panes, downloads, jobs

    async def pane(self, request: Request) -> Response:
        panes = self._panes if self._panes is not None else _own("helix.page.answers.panes", "PANES")
        name = request.path_params["name"]
        pane = panes.get(name)
        if pane is None:
            raise HTTPException(404)
        body = await json_of(request, MOST_BYTES_OF_FILES if name.startswith("pulls") else MOST_BYTES)
        if pane.slow:
            return self._accepted(pane.run, body)
        return reply(await self.lane.do(request, lambda: to_bytes({"ok": True, **pane.run(body, _nobody)})))

    async def file(self, request: Request) -> Response:
        downloads = (
            self._downloads if self._downloads is not None else _own("helix.page.answers.downloads", "DOWNLOADS")
        )
        name = request.path_params["name"]
        download = downloads.get(name)
        if download is None:
            raise HTTPException(404)
        body = await json_of(request, MOST_BYTES_OF_FILES if name.startswith("pulls") else MOST_BYTES)
        if download.slow:
            return self._accepted(download.run, body, file=True)
        made: list[tuple[str, str]] = []

        def work() -> bytes:
            title, kind, content = download.run(body, _nobody)
            made.append((title, kind))
            return content

        content = await self.lane.do(request, work)
        title, kind = made[0]
        attached = f'attachment; filename="{plain_name(title)}"'
        return Response(content, media_type=kind, headers={"content-disposition": attached})

    def _accepted(self, run: Callable[..., Any], body: dict[str, Any], file: bool = False) -> Response:
        return reply({"ok": True, "job": self.jobs.add(run, body, file).id}, 202)

    async def job(self, request: Request) -> Response:
        job = self.jobs.find(request.path_params["id"])
        if job is None:
            return refusal(404, "there is no such job, or its result is kept no longer")
        return reply(job.record())

    async def cancel(self, request: Request) -> Response:
        job = self.jobs.find(request.path_params["id"])
        if job is None:
            return refusal(404, "there is no such job, or its result is kept no longer")
        await self.jobs.cancel(job)
        return reply(job.record())


def _nobody(line: str) -> None:
    """Progress of what is quick, which nobody reads."""


def _own(module: str, name: str) -> Any:
    return getattr(importlib.import_module(module), name)


def _first_draft() -> None:
    """Load what drafts need before there is a hand to wait for them."""
    from helix.page.answers.joint_answer import START, joint_answer, start_record

    joint_answer({"recipe": START, "draft": True})
    start_record()


async def _bundled(request: Request) -> Response:
    name, kind = BUNDLED[request.url.path]
    return Response(await asyncio.to_thread((files("helix.page") / name).read_bytes), media_type=kind)


def _text(body: dict[str, Any]) -> str:
    text = body.get("text")
    if not isinstance(text, str):
        raise ValidationError([argument_issue("text", "must be the text of a file")])
    return text


def _read(body: dict[str, Any]) -> dict[str, Any]:
    """What a file that the browser has read holds."""
    from helix.model.files.toml_file import toml_values
    from helix.page.answers.recipe_tables import tables_of_text

    kind, text = body.get("kind", "recipe"), _text(body)
    if kind == "recipe":
        return {"ok": True, "recipe": tables_of_text(text, "recipe")}
    if kind == "plan":
        toml_values(text, "plan")
        return {"ok": True, "plan": text}
    raise ValidationError([argument_issue("kind", 'must be "recipe" or "plan"')])


def _written(body: dict[str, Any]) -> dict[str, Any]:
    from helix.page.answers.recipe_tables import recipe_of_tables, tables_of_text, text_of_tables

    recipe = recipe_of_tables(body.get("recipe"))
    text = text_of_tables(body["recipe"])
    if tables_of_text(text, "recipe") != body["recipe"]:
        raise ValidationError([argument_issue("recipe", "holds what a recipe file cannot hold")])
    return {"ok": True, "text": text, "name": plain_name(f"{recipe.title}.toml")}


def _in_units(body: dict[str, Any]) -> dict[str, Any]:
    from helix.page.answers.joint_answer import units_of
    from helix.page.answers.recipe_tables import in_units, recipe_of_tables

    recipe_of_tables(body.get("recipe"))
    return {"ok": True, "recipe": in_units(body["recipe"], units_of(body))}
