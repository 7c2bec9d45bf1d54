"""Three stories of bends at fault: each told of its own fault only, with values of its own, and in words of its own.

Strongest first: the band of a wide throat against the reference's formula and table; the strain of the wrapping test; which
story belongs to which example; no story for a sound joint; no two stories share a sentence.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np
import pytest

from helix.mechanics.bends.first_bend import SURPLUS, opening_load
from helix.mechanics.bends.hand_twist import hands_alike
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_text
from helix.output.words.lesson_words import LESSONS
from helix.output.words.story_words import HEADINGS, story_line, story_lines
from helix.studies.hold.bend_stories import FIRST_BEND, LEG_EXIT, TAG_EXIT, BendStory, bend_stories
from helix.studies.hold.holding import hold

DOCS = Path(__file__).resolve().parents[3] / "docs"
TOLD = {
    "wide-throat": ["first-bend-wound"],
    "small-entry-radius": ["first-bend-edge"],
    "short-exit": ["leg-exit"],
    "overbent-100": ["tag-exit"],
    "overbent-120": ["tag-exit"],
    "good": [],
    "bench-exit": [],
    "open-barrel": [],
    "opposite-hand-barrel": [],
    "uneven-half": [],
    "wraps-only": [],
}


def throat(angle_deg: float, made: str = "wound") -> Recipe:
    return recipe_from_text(
        f'[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "10 d"\nthroat = "{angle_deg} deg"\n'
        f'throat_made = "{made}"\n[twist]\nturns = 5\nlay_length = "4 d"\n'
    )


def stories(recipe: Recipe) -> tuple[BendStory, ...]:
    return bend_stories(hold(recipe, draws=500))


@pytest.mark.parametrize("name", TOLD)
def test_each_is_told_of_its_own_fault_only(name: str) -> None:
    assert [story.code for story in stories(read_recipe(DOCS / f"examples/faults/{name}.toml"))] == TOLD[name]


@pytest.mark.parametrize("angle", [91.0, 95.0, 100.0, 105.0, 110.0])
def test_the_band_of_a_throat_wound_wide_is_that_of_its_opening(angle: float) -> None:
    recipe = throat(angle)
    (story,) = stories(recipe)
    strength, half = recipe.wire.breaking_load_n[1], math.radians(0.5 * angle)
    assert story.code == "first-bend-wound" and story["strain"] > story["strain_limit"] == 0.5
    assert story["load_low_n"] == pytest.approx(strength * (float(opening_load(half, flow=0.9)) + SURPLUS))
    assert story["load_low_n"] < story["load_high_n"] < 0.92 * strength
    assert story["cost_most_n"] == pytest.approx(story["load_high_n"] - story["load_low_n"])
    assert story["free_deg"] == pytest.approx(88.5, abs=0.1)  # e1 is the standing exit's 0.487 there
    assert story["hands_alike_deg"] == pytest.approx(np.degrees(hands_alike(half)))
    assert story["hands_alike_deg"] < story["hands_alike_own_deg"]


@pytest.mark.parametrize("angle", [60.0, 88.0, 90.0])
@pytest.mark.parametrize("made", ["wound", "spread"])
def test_a_throat_within_its_limit_has_no_story(angle: float, made: str) -> None:
    assert stories(throat(angle, made)) == ()


@pytest.mark.parametrize("angle", [95.0, 120.0])
def test_a_spread_throat_has_a_story_of_its_own(angle: float) -> None:
    (story,) = stories(throat(angle, "spread"))
    assert (story.code, story.of, story.grade) == ("first-bend-spread", "spread-throat", "C")
    assert "cost_most_n" not in dict(story.values) and story["strain"] < 0.39


def test_no_two_share_a_word_of_what_they_say() -> None:
    examples = [
        read_recipe(DOCS / f"examples/faults/{name}.toml") for name in ("wide-throat", "short-exit", "overbent-120")
    ]
    told = [stories(recipe)[0] for recipe in examples]
    for one, other in itertools.combinations(told, 2):
        assert one.place != other.place and one.code != other.code and HEADINGS[one.code] != HEADINGS[other.code]
        assert set(dict(one.values)) ^ set(dict(other.values))
        lines = [set(story_lines(story)) - {story_lines(story)[-1]} for story in (one, other)]
        assert not lines[0] & lines[1] and story_line(one) != story_line(other)
    assert told[1]["pushed_by_tag"] is True and told[2]["carries"] == pytest.approx(0.23)


def test_pictures_say_the_three_lessons_apart() -> None:
    said = [LESSONS[code] for code in ("steep-first-bend", "tight-leg-exit", "steep-exit")]
    for one, other in itertools.combinations(said, 2):
        assert not set(one) & set(other)
    assert all(code in LESSONS for code in (*FIRST_BEND, *LEG_EXIT, *TAG_EXIT))
