"""Readings of the demo recipe and what is found of them, each worked out once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from helix.model.measured.readings import read_readings
from helix.model.recipe.recipe import Recipe, read_recipe
from helix.studies.inspect.inspection import Found, found_of, inspect
from helix.studies.inspect.inspection_result import Inspection

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
D = 0.7366


@cache
def recipe(name: str = "logger-tether") -> Recipe:
    return read_recipe(EXAMPLES / f"{name}.toml")


@cache
def found(**texts: str) -> Found:
    return found_of(recipe(), read_readings(texts, recipe()))


@cache
def inspected(**texts: str) -> Inspection:
    return inspect(recipe(), read_readings(texts, recipe()))


def seen(of: Recipe, counted_to: str = "twist", **texts: str) -> Inspection:
    return inspect(of, read_readings(texts, of), counted_to)
