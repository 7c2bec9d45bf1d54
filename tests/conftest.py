"""What all tests share: the settings of hypothesis, and the way in to tests that draw."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from helix.output.picture.gl import rendering_problem
from tests.page.served import served
from tests.tools.browser import SOFTWARE_3D, browser_problem, chromium

os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("same-cases-every-time", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("same-cases-every-time")


TOGETHER = {
    "tests/page/answers/test_panes_in_browser.py": "browser of the panes",  # a pane shows what tests before brought up
    "tests/page/test_page_states.py": "browser of the panes",
    "in_browser.py": "browser",  # a browser and a server take seconds to start
    "test_the_page_of_a_forming_plays_it": "browser",
    "tests/output/test_every_output.py": "every output",
    "tests/mechanics/rod/": "rod",
    "tests/studies/simulate/": "rod",
    "tests/output/sheet/test_sheet.py": "sheet",
    "tests/output/pulls/test_pull_report.py": "pull report",
    "tests/output/hold/test_hold_record.py": "hold record",
    "tests/studies/shape/test_outline.py": "outline",
}
"""What shares something that takes long to make, by a part of its name: it runs in one process. So does each file, as its
tests ask of the same joints, which are kept."""


def scope_of(name: str) -> str:
    """What a test is run together with: the tests of its file, unless TOGETHER says more."""
    return next((group for part, group in TOGETHER.items() if part in name), name.partition("::")[0])


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Tests by TOGETHER: with the pytest of today the marks of xdist group nothing (it writes where no name is read)."""
    if config.getoption("dist") != "loadgroup":
        return None
    from xdist.scheduler import LoadGroupScheduling

    class Together(LoadGroupScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return scope_of(nodeid)

    return Together(config, log)


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
