"""A browser for tests that look at pages: headless Chromium, without a network."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

PROGRAMS = ("chromium", "chromium-browser", "google-chrome")
PATIENCE_MS = 120_000  # a machine that does other work besides is slow, not wrong
QUIET = (
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-quic",
    "--no-first-run", "--no-sandbox",
)  # fmt: skip
SOFTWARE_3D = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-gpu-compositing")
"""3-D alone goes through the software's graphics card: with the page itself, a test costs three times as much."""
COARSE = {"device_scale_factor": 0.5}
"""Of a visit that looks at no fine pixels: the joint is drawn in a quarter of them, which is most of what a page costs here."""
NO_WEBGL = """HTMLCanvasElement.prototype.getContext = ((own) => function (kind, ...more) {
  return kind.startsWith("webgl") ? null : own.call(this, kind, ...more);
})(HTMLCanvasElement.prototype.getContext);"""


def browser_problem() -> str | None:
    """What keeps tests from using a browser here, or None."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return "the package playwright is not installed (pip install -e .[test])"
    if program() is None:
        return "there is no Chromium (sudo apt install chromium)"
    return None


def program() -> str | None:
    return os.environ.get("HELIX_CHROMIUM") or next(filter(None, map(shutil.which, PROGRAMS)), None)


@contextlib.contextmanager
def chromium(*flags: str) -> Iterator[Any]:
    """A running Chromium with an empty profile; it ends with the block."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory(prefix="helix-browser-") as home, sync_playwright() as play:
        started = play.chromium.launch(
            executable_path=program(), headless=True, args=[*QUIET, *flags],
            env={**os.environ, "HOME": home, "XDG_CONFIG_HOME": home, "XDG_CACHE_HOME": home},
        )  # fmt: skip
        try:
            yield started
        finally:
            started.close()


class Visit:
    """A page opened from disk with the network off, or from an address of this machine with everything else
    blocked; what it asks for and complains about is written down."""

    def __init__(
        self,
        browser: Any,
        place: Path | str,
        size: tuple[int, int] = (1000, 640),
        *,
        scripts: bool = True,
        before: str = "",
        watched: bool = True,
        **more: Any,
    ) -> None:
        """place: a file, or an address. before: a script that runs before those of the page. Not watched: nothing is
        blocked or written down, which holds each request up by some ms."""
        served = isinstance(place, str)
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            offline=not served,
            java_script_enabled=scripts,
            reduced_motion="reduce",
            **more,
        )
        if before:
            self.context.add_init_script(before)
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE_MS)
        self.said: list[str] = []
        self.asked: list[str] = []
        self.address = place if isinstance(place, str) else place.resolve().as_uri()
        self.home = self.address.partition("#")[0]
        if watched:
            self._watch(served)
        self.page.goto(self.address)

    def _watch(self, served: bool) -> None:
        self.page.on("console", lambda line: self._hear(f"{line.type}: {line.text}"))
        self.page.on("pageerror", lambda error: self.said.append(f"error: {error}"))
        self.page.on("request", lambda request: self.asked.append(request.url))
        if served:
            self.context.route(lambda url: not self._own(url), lambda route: route.abort())

    def _hear(self, line: str) -> None:
        """Note what the console says, but for the browser's own lines about slow drawing."""
        if "GPU stall" not in line:
            self.said.append(line)

    def _own(self, url: str) -> bool:
        if not self.home.startswith("http"):
            return url == self.address
        return url.startswith(self.home)

    @property
    def elsewhere(self) -> list[str]:
        """Every address asked for besides the page itself, what serves it, and data within it."""
        return [url for url in self.asked if not self._own(url) and not url.startswith(("data:", "blob:"))]

    def settle(self) -> None:
        """Wait until what was asked for is drawn."""
        self.page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
