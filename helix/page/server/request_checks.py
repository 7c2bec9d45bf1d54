"""What a request must be to get past the door: from this page, to this machine, of a decent size, in decent time.

A page elsewhere on the web can make a browser send requests to 127.0.0.1. It cannot choose the Host of its own name
(so a name that was pointed at this machine is refused), it cannot hide its Origin, and it cannot send JSON without
asking first, which nothing here answers.
"""

from __future__ import annotations

import asyncio
import ipaddress
import time
from collections.abc import Iterable
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from helix.page.server.replies import faulty, in_words, object_of, to_bytes

MOST_BYTES = 2_000_000
MOST_BYTES_OF_FILES = 8_000_000
MOST_DRAINED = 64_000_000
"""Of a body that is too large, so much is read and thrown away, that the reply is not lost with the connection."""
LARGEST_HEAD = 16 * 1024
SILENCE_S = 10.0
BODY_S = 60.0
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
"""No style in the text of a page either: the page takes the styles of a chart out and sets them as properties."""
HEADERS = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    ("cache-control", "no-store"),
)


class Refused(Exception):
    """A request that is answered with this status and these words."""

    def __init__(self, status: int, message: str) -> None:
        super().__init__(message)
        self.status = status


def reply(content: object, status: int = 200) -> Response:
    """A reply in JSON; bytes are taken as JSON already."""
    body = content if isinstance(content, bytes) else to_bytes(content)
    return Response(body, status_code=status, media_type="application/json")


def refusal(status: int, message: str) -> Response:
    return reply(faulty([in_words(message)]), status)


class Guard:
    """Lets in what comes from this page and this machine; every reply carries the headers of a careful page.

    hosts: names beside 127.0.0.1, localhost and [::1] under which the page may be asked for.
    anywhere: whether the page is served to other machines too, which know it by the address they reached.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = (), anywhere: bool = False) -> None:
        self.app = app
        self.hosts = {"127.0.0.1", "localhost", "[::1]"} | {_bracketed(host.lower()) for host in hosts}
        self.anywhere = anywhere

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        async def careful(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS:
                    headers[name] = value
            await send(message)

        fault = self.fault(scope)
        large = sum(len(name) + len(value) for name, value in scope["headers"]) > LARGEST_HEAD
        if fault or large:
            answer = refusal(431, "the headers are too large") if large else refusal(403, str(fault))
            answer.headers["connection"] = "close"
            await answer(scope, receive, careful)
        else:
            await self.app(scope, receive, careful)

    def fault(self, scope: Scope) -> str | None:
        """Why a request is refused, or None."""
        headers = Headers(scope=scope)
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or not self._is_here(hosts[0].lower(), scope.get("server")):
            return "this page answers to its own address only"
        if any(origin.lower() != f"http://{hosts[0].lower()}" for origin in origins):
            return "another page must not drive this one"
        site = headers.get("sec-fetch-site", "none")
        opened = (
            scope["method"] == "GET"
            and scope["path"] == "/"
            and headers.get("sec-fetch-mode") == "navigate"
            and headers.get("sec-fetch-dest") == "document"
        )  # somebody followed a link to the page
        if site not in ("none", "same-origin") and not opened:
            return "another page must not drive this one"
        return None

    def _is_here(self, host: str, server: tuple[str, int | None] | None) -> bool:
        name, colon, port = host.rpartition(":")
        if not colon or host.endswith("]"):
            name, port = host, ""
        if port and server and server[1] is not None and port != str(server[1]):
            return False
        return name in self.hosts or (self.anywhere and server is not None and name == _bracketed(server[0].lower()))


def _bracketed(host: str) -> str:
    """An IPv6 address as it stands in a Host header."""
    return f"[{host}]" if ":" in host and not host.startswith("[") else host


def is_loopback(host: str) -> bool:
    """Whether a host is this machine only.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("localhost"), is_loopback("0.0.0.0")
    (True, True, True, False)
    """
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


async def json_of(request: Request, most: int = MOST_BYTES) -> dict[str, Any]:
    """The JSON object that was sent; raises Refused, ValidationError for what is no such object, ClientDisconnect."""
    kinds = request.headers.getlist("content-type")
    if len(kinds) != 1 or kinds[0].split(";")[0].strip().lower() != "application/json":
        raise Refused(415, "the body must be application/json")
    if request.headers.get("content-encoding", "identity") != "identity":
        raise Refused(415, "the body must not be compressed")
    return object_of(await _body(request, most))


async def _body(request: Request, most: int) -> bytes:
    parts, size, more = [], 0, True
    until = time.monotonic() + BODY_S
    while more:
        try:
            async with asyncio.timeout(min(SILENCE_S, until - time.monotonic())):
                message = await request.receive()
        except TimeoutError:
            raise Refused(408, "the body did not come in time") from None
        if message["type"] == "http.disconnect":
            raise ClientDisconnect
        part, more = message.get("body", b""), message.get("more_body", False)
        size += len(part)
        if size <= most:
            parts.append(part)
        else:
            parts.clear()
            if size > MOST_DRAINED:
                break
    if size > most:
        raise Refused(413, f"the body must be at most {most // 1_000_000} MB")
    return b"".join(parts)
