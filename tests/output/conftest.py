"""Real results to write and draw: the examples of docs/examples, each computed once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from helix.model.recipe.recipe import read_recipe
from helix.studies.shape.shape import ShapeResult, shape

EXAMPLES = Path(__file__).resolve().parents[2] / "docs" / "examples"


@cache
def _computed(name: str) -> ShapeResult:
    return shape(read_recipe(EXAMPLES / f"{name}.toml"))


@pytest.fixture(scope="session")
def example() -> Callable[[str], ShapeResult]:
    """The result of an example by its name, such as "faults/wide-throat"."""
    return _computed


@pytest.fixture(scope="session")
def good() -> ShapeResult:
    return _computed("faults/good")


@pytest.fixture(scope="session")
def short_exit() -> ShapeResult:
    """Two sharp bends and an overlap."""
    return _computed("faults/short-exit")
