"""What all tests share: the settings of hypothesis, and the way in to tests that draw."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from helix.output.picture.gl import rendering_problem
from tests.browser import SOFTWARE_3D, browser_problem, chromium
from tests.page.served import served

os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("same-cases-every-time", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("same-cases-every-time")


@pytest.fixture(scope="session")
def rendering() -> None:
    """Let a test draw with VTK: it is skipped where the machine cannot, or fails if drawing is required.

    HELIX_REQUIRE_RENDERING=1 (set where the system packages are known to be installed) requires it.
    """
    _need(rendering_problem())


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A headless Chromium that draws in 3-D by software, for tests that look at pages; skipped like `rendering`."""
    _need(browser_problem())
    with chromium(*SOFTWARE_3D) as started:
        yield started


@pytest.fixture(scope="session")
def page_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a `helix page` that runs as long as the tests."""
    with served(tmp_path_factory.mktemp("page") / "said.txt") as found:
        yield found


def _need(problem: str | None) -> None:
    """Skip the test, or fail it where drawing is required, unless there is no problem."""
    if problem is None:
        return
    if os.environ.get("HELIX_REQUIRE_RENDERING", "0") not in ("", "0"):
        pytest.fail(f"rendering is required here, but {problem}", pytrace=False)
    pytest.skip(problem)
