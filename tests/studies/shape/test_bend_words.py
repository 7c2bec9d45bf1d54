"""Taking the advice that a bend's sentence gives cures the bend."""

from __future__ import annotations

from dataclasses import replace

import pytest

import helix
from helix.model.recipe.recipe import Exit, Eye, Recipe, recipe_from_text

START = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "8 mm"\n'


def taken(recipe: Recipe, remedy: str) -> Recipe:
    """The recipe with the key that the remedy names."""
    if 'style = "gradual"' in remedy:
        return replace(recipe, exit=Exit("gradual", None, None, None))
    assert 'throat = "tangent"' in remedy
    return replace(recipe, eye=Eye(recipe.eye.pin_mm, None))


@pytest.mark.parametrize("lay", ["3.6 d", "4 d", "5 d", "6 d", "7.5 d"])
@pytest.mark.parametrize(
    "exit_lines",
    ['leg = "1 d"\nswing = 0.1', 'leg = "2.5 d"\nswing = 0.5', 'leg = "8 d"\nswing = 0.1', 'style = "bench"'],
)
def test_the_advice_on_an_exit_cures_it(lay: str, exit_lines: str) -> None:
    recipe = recipe_from_text(f'{START}[twist]\nlay_length = "{lay}"\n[exit]\n{exit_lines}\n')
    bad = [b for b in helix.shape(recipe).bends if b.verdict != "ok"]
    for bend in bad:
        cured = helix.shape(taken(recipe, bend.remedy))
        assert {b.name: b.verdict for b in cured.bends}[bend.name] == "ok"
    if "0.1" in exit_lines:
        assert bad


@pytest.mark.parametrize("throat", ["95 deg", "120 deg"])
def test_the_advice_on_a_wide_throat_cures_it(throat: str) -> None:
    recipe = recipe_from_text(f'{START}throat = "{throat}"\n')
    bad = [b for b in helix.shape(recipe).bends if b.verdict != "ok"]
    assert {b.name for b in bad} == {"entry_standing", "entry_tag"}
    assert all(b.verdict == "ok" for b in helix.shape(taken(recipe, bad[0].remedy)).bends)


def test_a_tight_lay_is_told_to_use_a_longer_one() -> None:
    recipe = recipe_from_text(f'{START}[twist]\nlay_length = "2.9 d"\n')
    advice = {b.name: b.remedy for b in helix.shape(recipe).bends if b.verdict != "ok"}
    assert "longer lay" in advice["entry_tag"]
