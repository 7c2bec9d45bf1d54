"""Random recipes: no traceback, every identity that applies, no overlap presented as sound.

The recipes come from `tests.tools.strategies`, the same every time; the checks are in `tests.attack.random_checks`. They are
answered in parts, which may run in several processes; most of the parts are slow studies.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from tests.attack.random_checks import problem_of
from tests.tools.sampled import sampled
from tests.tools.strategies import recipe_texts

CASES = 150
PARTS = 25  # the test command answers one, the others are slow studies


@cache
def drawn() -> list[str]:
    """The texts of the recipes."""
    texts: list[str] = []

    @settings(max_examples=CASES, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(recipe_texts())
    def collect(text: str) -> None:
        texts.append(text)

    collect()
    return texts


@pytest.mark.slow
def test_there_are_as_many_recipes_as_there_should_be():
    assert len(drawn()) >= CASES
    assert len(set(drawn())) > 0.9 * CASES


@pytest.mark.parametrize("part", sampled(range(PARTS), PARTS))
def test_every_recipe_is_answered_soundly(part):
    problems = [p for case in list(enumerate(drawn()))[part::PARTS] if (p := problem_of(case))]
    assert not problems, "\n".join(problems)


def test_what_goes_wrong_is_told_with_its_recipe():
    assert "turns = -1" in (problem_of((0, "[twist]\nturns = -1\n")) or "")


def test_a_wrong_number_is_a_problem(monkeypatch):
    """The checks can fail: a gap that is claimed to be wider than it is."""
    import tests.attack.random_checks as checks
    from helix.studies.shape.shape import shape as answer

    def boasted(recipe):
        result = answer(recipe)
        return replace(result, clearance=replace(result.clearance, least_d=0.0), findings=())

    text = '[wire]\ndiameter = "1 mm"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n[barrel]\npitch = "1 d"\n'
    assert problem_of((0, text)) is None
    monkeypatch.setattr(checks, "shape", boasted)
    assert "nearer than the least gap" in (problem_of((0, text)) or "")
