"""`helix page` running for a test, on a free port of this machine."""

from __future__ import annotations

import contextlib
import json
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

PATIENCE_S = 20.0


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@contextlib.contextmanager
def served(log: Path) -> Iterator[str]:
    """The address of a page that is served until the block ends; what the server says goes into a file."""
    port = free_port()
    address = f"http://127.0.0.1:{port}/"
    with log.open("w", encoding="utf-8") as said:
        server = subprocess.Popen(
            [sys.executable, "-m", "helix", "page", "--no-open", "--port", str(port)], stdout=said, stderr=said
        )
        try:
            _wait(server, address, log)
            yield address
        finally:
            server.terminate()
            server.wait(timeout=PATIENCE_S)


def _wait(server: subprocess.Popen[bytes], address: str, log: Path) -> None:
    until = time.monotonic() + PATIENCE_S
    while server.poll() is None and time.monotonic() < until:
        with (
            contextlib.suppress(urllib.error.URLError, ConnectionError),
            urllib.request.urlopen(f"{address}api/start", timeout=PATIENCE_S) as reply,
        ):
            json.load(reply)
            return
        time.sleep(0.1)
    raise RuntimeError(f"helix page did not come up:\n{log.read_text(encoding='utf-8')}")
