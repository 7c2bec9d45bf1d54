"""Every public function says in sections what it takes, gives and refuses; every public class says what it is."""

from __future__ import annotations

import inspect
import re

import pytest

import helix

FUNCTIONS = {name: getattr(helix, name) for name in helix.__all__ if inspect.isfunction(getattr(helix, name))}
FUNCTIONS |= {f"pulls.{name}": getattr(helix.pulls, name) for name in ("read", "plan", "compare")}
CLASSES = [name for name in helix.__all__ if inspect.isclass(getattr(helix, name))]


def described(text: str) -> set[str]:
    """Names in the section Parameters of a docstring."""
    section = re.search(r"Parameters\n-+\n(.*?)(\n\n|\Z)", text, re.DOTALL)
    heads = [line for line in section[1].splitlines() if not line.startswith(" ")] if section else []
    return {name.strip(" *") for head in heads for name in head.partition(" :")[0].split(",")}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_describes_each_parameter_and_what_it_returns(name: str) -> None:
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    assert described(text) == set(inspect.signature(FUNCTIONS[name]).parameters)
    assert "Returns\n-------" in text
    assert "Raises\n------" in text


@pytest.mark.parametrize("name", CLASSES)
def test_a_public_class_says_what_it_is(name: str) -> None:
    text = getattr(helix, name).__doc__ or ""
    assert len(text.split()) >= 4 and not text.startswith(f"{name}(")  # not what a dataclass writes by itself
