"""The one verdict on a joint: the worst of its shape, its hold, its counts and what practice says.

Every output of a joint shows this one; tests/studies/test_judge.py holds them to it. What each severity stands for is
written in docs/decisions/0080-one-judgement.md.
"""

from __future__ import annotations

from functools import lru_cache

from helix.findings import Finding, Judgement, judgement_of
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import found_of_hold
from helix.studies.shape.shape import ShapeResult, shape


def judge(recipe: Recipe) -> Judgement:
    """The judgement of a recipe's joint. Raises InfeasibleJointError where the joint cannot exist.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n[twist]\\nturns = '
    >>> [judge(recipe_from_text(text + turns)).code for turns in ("5", "2")]
    ['ok', 'few']
    """
    return judgement_of((*_found_of_shape(recipe), *found_of_hold(recipe)))


def judge_held(held: HoldResult) -> Judgement:
    """The judgement of a joint whose hold is estimated already, perhaps by settings of its own."""
    return judgement_of((*_found_of_shape(held.recipe), *held.findings))


def judge_shaped(shaped: ShapeResult, held: HoldResult | None) -> Judgement:
    """The judgement of a joint that is shaped already; held: None where it is too far out to be estimated."""
    return judgement_of((*shaped.findings, *(found_of_hold(shaped.recipe) if held is None else held.findings)))


@lru_cache(maxsize=64)
def _found_of_shape(recipe: Recipe) -> tuple[Finding, ...]:
    return shape(recipe).findings
