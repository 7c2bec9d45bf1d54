"""What all tests share: the settings of hypothesis, and the way in to tests that draw."""

from __future__ import annotations

import os

import pytest
from hypothesis import settings

from helix.output.gl import rendering_problem

os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("same-cases-every-time", derandomize=True, deadline=None, print_blob=True)
settings.load_profile("same-cases-every-time")


@pytest.fixture(scope="session")
def rendering() -> None:
    """Let a test draw with VTK: it is skipped where the machine cannot, or fails if drawing is required.

    HELIX_REQUIRE_RENDERING=1 (set where the system packages are known to be installed) requires it.
    """
    problem = rendering_problem()
    if problem is None:
        return
    if os.environ.get("HELIX_REQUIRE_RENDERING", "0") not in ("", "0"):
        pytest.fail(f"rendering is required here, but {problem}", pytrace=False)
    pytest.skip(problem)
