"""Recipes with something wrong, for the tests of what is said of them."""

from __future__ import annotations

import pytest

from helix.errors import ValidationError
from helix.model.recipe.recipe import recipe_from_text


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(text, "j.toml")
    lines = tuple(str(fault) for fault in caught.value.faults)
    assert str(caught.value).split("\n") == list(lines)
    for line in lines:
        assert line.isprintable() and line.startswith("j.toml") and 20 < len(line) < 400
    return lines


LEAST = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n'
