"""Serving the page: a port of this machine, patience with slow clients that ends, the browser, Ctrl-C."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from typing import Any

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from helix.errors import ValidationError, argument_issue
from helix.page.server.request_checks import LARGEST_HEAD

PORT = 8474
"""Tried first, so that an address that was kept leads back; a free one is taken where it is in use."""
EVERY_ADDRESS = {"0.0.0.0": "127.0.0.1", "::": "::1"}
"""Hosts that mean every address of this machine, and how it calls itself then."""
MOST_CONNECTIONS = 200
HEAD_S = 10.0
"""From a connection, or from the first byte of a further request, to the end of its headers."""
IDLE_S = 30.0
UNREAD_S = 30.0
"""A client that reads nothing for so long is let go."""
ENDING_S = 2


class PatientProtocol(H11Protocol):
    """HTTP that does not wait for ever: for headers, or for a client that does not read."""

    _head: asyncio.TimerHandle | None = None
    _unread: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        super().connection_made(transport)
        self._head = self.loop.call_later(HEAD_S, self._late)

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        self._look()

    def on_response_complete(self) -> None:
        super().on_response_complete()
        self._look()

    def connection_lost(self, exc: Exception | None) -> None:
        self._stop_waiting()
        self._read_on()
        super().connection_lost(exc)

    def pause_writing(self) -> None:
        super().pause_writing()
        self._unread = self._unread or self.loop.call_later(UNREAD_S, self.transport.abort)

    def resume_writing(self) -> None:
        self._read_on()
        super().resume_writing()

    def _look(self) -> None:
        """Wait for the rest of headers that have begun, and no longer for those that have come."""
        begun = self.conn.their_state is h11.IDLE and bool(self.conn.trailing_data[0])
        if begun and self._head is None:
            self._head = self.loop.call_later(HEAD_S, self._late)
        elif not begun and self.cycle is not None:
            self._stop_waiting()

    def _late(self) -> None:
        if self.transport.is_closing() or self.conn.their_state is not h11.IDLE:
            return
        body = b"the request did not come in time\n"
        self.transport.write(
            b"HTTP/1.1 408 Request Timeout\r\nContent-Type: text/plain; charset=utf-8\r\nConnection: close\r\n"
            b"Content-Length: %d\r\n\r\n%b" % (len(body), body)
        )
        self.transport.close()

    def _stop_waiting(self) -> None:
        if self._head:
            self._head.cancel()
            self._head = None

    def _read_on(self) -> None:
        if self._unread:
            self._unread.cancel()
            self._unread = None


class Server(uvicorn.Server):
    """A server that says when it is ready."""

    def __init__(self, app: ASGIApp, ready: Callable[[], None] = lambda: None) -> None:
        super().__init__(
            uvicorn.Config(
                app, http=PatientProtocol, ws="none", loop="asyncio", lifespan="on", interface="asgi3",
                log_config=None, log_level="critical", access_log=False, server_header=False, proxy_headers=False,
                limit_concurrency=MOST_CONNECTIONS, timeout_keep_alive=int(IDLE_S),
                timeout_graceful_shutdown=ENDING_S, h11_max_incomplete_event_size=LARGEST_HEAD,
            )
        )  # fmt: skip
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._ready()


def listening(host: str, port: int | None) -> socket.socket:
    """A socket that listens at a host; without a port at PORT, or a free one.

    Raises ValidationError when the port is in use or the host is none of this machine.
    """
    if not host:  # the socket would take it for every address of this machine
        raise ValidationError(
            [argument_issue("host", "must be an address of this machine, such as 127.0.0.1; got none")]
        )
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for wanted in (PORT, 0) if port is None else (port,):
        listener = socket.socket(
            family, socket.SOCK_STREAM, socket.IPPROTO_TCP
        )  # asyncio sends at once only where it reads TCP
        try:
            if sys.platform == "win32":
                listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
            else:
                listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listener.bind((host, wanted))
            listener.listen(128)
            return listener
        except OSError as error:
            listener.close()
            in_use = error.errno in (errno.EADDRINUSE, errno.EACCES)
            if in_use and port is None:
                continue
            if error.errno == errno.EADDRINUSE:
                raise ValidationError(
                    [argument_issue("port", f"{wanted} is in use; leave the port out for a free one")]
                ) from None
            if error.errno == errno.EACCES:
                raise ValidationError(
                    [argument_issue("port", f"{wanted} is not allowed to you; leave the port out")]
                ) from None
            why = (error.strerror or str(error)).lower()
            raise ValidationError([argument_issue("host", f'"{host}" cannot be served: {why}')]) from None
    raise ValidationError([argument_issue("port", "there is no free port")])


def address_of(host: str, port: int) -> str:
    """What a browser on this machine opens."""
    shown = EVERY_ADDRESS.get(host, host)
    return f"http://[{shown}]:{port}/" if ":" in shown else f"http://{shown}:{port}/"


def serve(app: ASGIApp, at: socket.socket, ready: Callable[[], None]) -> None:
    """Serve until Ctrl-C; `ready` is called once the page can be asked for."""
    with contextlib.suppress(KeyboardInterrupt):
        Server(app, ready).run(sockets=[at])


def open_browser(address: str) -> None:
    """Open the address, without waiting for the browser."""

    def work() -> None:
        with contextlib.suppress(Exception):
            webbrowser.open(address)

    threading.Thread(target=work, daemon=True).start()
