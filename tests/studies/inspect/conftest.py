"""What the tests of inspection share: the lengths of a recipe are worked out once in a process."""

from __future__ import annotations

from functools import cache

import pytest

from helix.studies.inspect import inspection
from helix.studies.inspect.made_joint import lengths_of

LENGTHS = cache(lengths_of)


@pytest.fixture(autouse=True)
def each_recipe_is_built_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inspection, "lengths_of", LENGTHS)
