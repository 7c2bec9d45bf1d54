"""What all tests share: the settings of hypothesis, and the way in to tests that draw."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from helix.output.gl import rendering_problem
from tests.browser import SOFTWARE_3D, browser_problem, chromium

os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("same-cases-every-time", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("same-cases-every-time")


@pytest.fixture(scope="session")
def rendering() -> None:
    """Let a test draw with VTK: it is skipped where the machine cannot, or fails if drawing is required.

    HELIX_REQUIRE_RENDERING=1 (set where the system packages are known to be installed) requires it.
    """
    _need(rendering_problem())


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A headless Chromium that draws in 3-D by software, for tests that look at pages; skipped like `rendering`."""
    _need(browser_problem())
    with chromium(*SOFTWARE_3D) as started:
        yield started


def _need(problem: str | None) -> None:
    """Skip the test, or fail it where drawing is required, unless there is no problem."""
    if problem is None:
        return
    if os.environ.get("HELIX_REQUIRE_RENDERING", "0") not in ("", "0"):
        pytest.fail(f"rendering is required here, but {problem}", pytrace=False)
    pytest.skip(problem)
