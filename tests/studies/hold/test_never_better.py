"""No joint is said to better the same one made right, nor a worsened twin its twin: load to plan with, expected load,
probability of unwinding. Over all examples of faults and random recipes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from helix.errors import HelixError
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.holding import HoldResult, hold
from tests.strategies import recipe_texts

DOCS = Path(__file__).resolve().parents[3] / "docs"
EXAMPLES = sorted((DOCS / "examples" / "faults").glob("*.toml"))


@cache
def texts(count: int) -> tuple[str, ...]:
    found: list[str] = []

    @settings(max_examples=count, phases=[Phase.generate], suppress_health_check=list(HealthCheck), database=None)
    @given(recipe_texts())
    def collect(text: str) -> None:
        found.append(text)

    collect()
    return tuple(found)


def estimate(recipe: Recipe) -> HoldResult | None:
    try:
        return hold(recipe, draws=400)
    except (HelixError, ValueError):
        return None


def no_better(worse: HoldResult, better: HoldResult) -> bool:
    """Whether a joint is nowhere said to better another; one without a load is not."""
    if math.isnan(worse.plan_with_n) or math.isnan(better.plan_with_n):
        return math.isnan(worse.plan_with_n)
    loads = worse.plan_with_n <= better.plan_with_n + 1e-6 and worse.expected_n <= better.expected_n + 1e-6
    return loads and worse.probability.unwinds >= better.probability.unwinds - 1e-9


def worsened(recipe: Recipe) -> Iterator[tuple[str, Recipe]]:
    """The same joint with one thing made worse by hands."""
    barrel, twist = recipe.barrel, recipe.twist
    d = recipe.wire.diameter_mm
    if barrel.wraps:
        yield (
            "open barrel",
            recipe.variant(barrel=_changed(barrel, pitch_mm=max(barrel.pitch_mm or 0.0, 1.02 * d) + 0.5 * d)),
        )
        other = "opposite" if barrel.hand == "same" else None
        if other:
            yield "opposite hand", recipe.variant(barrel=_changed(barrel, hand=other))
    if twist.turns > 1.0:
        yield "a turn fewer", recipe.variant(twist=_changed(twist, turns=twist.turns - 1.0, length_mm=None))
    if twist.turns and twist.evenness > 0.3:
        yield "less even", recipe.variant(twist=_changed(twist, evenness=0.3))


def _changed(part: object, **changes: object) -> object:
    from dataclasses import replace

    return replace(part, **changes)


def problems(recipe: Recipe) -> list[str]:
    own = estimate(recipe)
    if own is None:
        return []
    found = []
    if own.made_right is not None and not math.isnan(own.plan_with_n):
        right = own.made_right
        if own.plan_with_n > right.plan_with_n + 1e-6 or own.expected_n > right.expected_n + 1e-6:
            found.append("betters the same joint made right")
    for name, twin in worsened(recipe):
        worse = estimate(twin)
        if worse is not None and not no_better(worse, own):
            found.append(f"{name}: {worse.plan_with_n:.2f} N against {own.plan_with_n:.2f} N")
    return found


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_of_a_fault_is_no_better_than_it_is_made_right(path: Path) -> None:
    try:
        recipe = recipe_from_text(path.read_text(encoding="utf-8"))
    except HelixError:
        return
    assert problems(recipe) == []


@pytest.mark.parametrize("count", [15, pytest.param(300, marks=pytest.mark.slow)])
def test_a_worsened_twin_is_no_better(count: int) -> None:
    found = {}
    for text in texts(count):
        try:
            recipe = recipe_from_text(text)
        except HelixError:
            continue
        if said := problems(recipe):
            found[text] = said
    assert not found, "\n\n".join(f"{text}\n{said}" for text, said in list(found.items())[:3])
