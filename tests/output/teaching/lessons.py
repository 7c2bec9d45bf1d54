"""Lessons as results, for the tests of what is taught; and whether words keep apart."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

from helix.model.recipe.recipe import read_recipe
from helix.output.canvas.canvas import Canvas
from helix.output.canvas.primitives import Text
from helix.output.teaching.bench import Bench, bench_of
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.steps import Step, forming_steps
from tests.output.picture.test_picture_layout import box_of, overlap

LESSONS = Path(__file__).resolve().parents[3] / "docs" / "lessons"


@cache
def lesson(name: str) -> ShapeResult:
    return shape(read_recipe(LESSONS / f"{name}.toml"))


@cache
def small() -> tuple[Bench, tuple[Step, ...]]:
    """A joint of one turn and one wrap: few steps."""
    recipe = lesson("good").recipe
    few = replace(recipe, twist=replace(recipe.twist, turns=1.0), barrel=replace(recipe.barrel, wraps=1.0))
    result = shape(few)
    return bench_of(result, "metric"), forming_steps(result)


def words_apart(canvas: Canvas) -> None:
    texts = [item for item in canvas.over if isinstance(item, Text)]
    for item in texts:
        x0, y0, x1, y1 = box_of(item)
        assert x0 >= -1 and y0 >= -1 and x1 <= canvas.width + 1 and y1 <= canvas.height + 1, item.text
    for first, second in combinations(texts, 2):
        assert not overlap(box_of(first), box_of(second)), (first.text, second.text)
