"""A recipe that is written reads back as the same recipe, whatever it says."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import pytest
from hypothesis import given, settings

from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_writing import recipe_file_text
from tests.tools.strategies import recipe_texts


def assert_same(one: object, other: object, where: str = "recipe") -> None:
    """Every number to nine digits, that is to 5e-9 and the rounding of a conversion, everything else the same; a wire's source and the notes left out."""
    if is_dataclass(one):
        for field in fields(one):
            if field.name not in ("source", "notes", "length_mm"):
                assert_same(getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}")
    elif isinstance(one, tuple):
        for a, b in zip(one, other, strict=True):
            assert_same(a, b, where)
    elif isinstance(one, float):
        assert other == pytest.approx(one, rel=6e-9), where
    else:
        assert other == one, where


@settings(max_examples=60)
@given(recipe_texts())
def test_what_is_written_reads_back(text: str) -> None:
    recipe = recipe_from_text(text)
    written = recipe_file_text(recipe, ["a remark\nof two lines"])
    assert written.startswith("# a remark\n# of two lines\n")
    assert_same(recipe, recipe_from_text(written))
    assert recipe_file_text(recipe_from_text(written)) == recipe_file_text(recipe)


@pytest.mark.parametrize("title", ['a "quoted" title', "back\\slash", "sm\u00f8rrebr\u00f8d", "# no comment"])
def test_any_title(title: str) -> None:
    import json

    head = f"title = {json.dumps(title, ensure_ascii=False)}\n"
    recipe = recipe_from_text(head + '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n')
    assert recipe_from_text(recipe_file_text(recipe)).title == title
