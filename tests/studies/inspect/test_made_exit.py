"""The joint drawn as made has what was measured. What is tested, strongest first:

* its whole length is the one that was read, whatever else was: exits of every kind, and in hand on the page;
* the length over the eye's outside end is the one inside it and the wire;
* where no joint has all readings, what it has instead is told, and nothing else is;
* noise of readings alone makes no finding of an exit; an exit that was made much shorter is one;
* pieces of the recipe stay pieces of the joint as made.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from helix.findings import Severity
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import RULE_MM, read_readings
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_text
from helix.output.inspect.inspect_table import inspection_document
from helix.output.report.document import document_text
from helix.page.answers.joint_answer import START, joint_answer
from helix.page.answers.panes import answer
from helix.studies.hold.evidence.wound_alike import pulled_alike
from helix.studies.inspect.inspection import inspect
from helix.studies.inspect.inspection_result import Inspection
from helix.studies.inspect.made_exit import exit_to_length
from helix.studies.shape.joint_sizes import finished_mm, outside_length_mm
from tests.studies.inspect.caliper_readings import caliper_readings
from tests.tools.sampled import sampled

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
TETHER = read_recipe(EXAMPLES / "logger-tether.toml")
SLOW = pytest.mark.slow


def inspected(recipe: Recipe = TETHER, **texts: str) -> Inspection:
    return inspect(recipe, read_readings(texts, recipe))


@pytest.mark.parametrize(
    "name", ["logger-tether", "faults/uneven-half", "faults/overbent-100", "faults/short-exit", "faults/bench-exit"]
)
@pytest.mark.parametrize("more_mm", [-0.4, pytest.param(-0.1, marks=SLOW), pytest.param(0.6, marks=SLOW), 3.0])
def test_an_exit_makes_a_joint_so_long(name: str, more_mm: float) -> None:
    recipe = read_recipe(EXAMPLES / f"{name}.toml")
    length = finished_mm(build_joint(recipe)) + more_mm
    made = exit_to_length(recipe, length)
    assert finished_mm(build_joint(made)) == pytest.approx(length, abs=0.01)
    assert made.variant(exit=recipe.exit) == recipe.variant()


@pytest.mark.parametrize("more_mm", [-0.1, 0.6, 3.0])
def test_wraps_alone_begin_later_or_sooner(more_mm: float) -> None:
    test_an_exit_makes_a_joint_so_long("faults/wraps-only", more_mm)


@pytest.mark.parametrize(
    "length", [pytest.param("30.8 mm", marks=SLOW), "31.0 mm", pytest.param("31.8 mm", marks=SLOW)]
)
@pytest.mark.parametrize(
    "twist", sampled([{}, {"twist_length": "14.7 mm"}, {"twist_length": "15.3 mm", "eye": "6.2 mm"}], 3, 2)
)
def test_in_hand_it_is_as_long_as_it_was_read(length: str, twist: dict[str, str]) -> None:
    """Failed once: 31.0 mm read, 31.8 mm shown, outside the limits that were stated beside it."""
    body: dict[str, Any] = {"recipe": START, "units": "metric", "turns": "5", "wraps": "5", "length": length, **twist}
    made = answer("inspect", body, lambda _: None)["made"]
    assert joint_answer({"recipe": made, "units": "metric"})["answer"]["finished"] == length


def test_over_the_outside_of_the_eye() -> None:
    joint = build_joint(TETHER)
    assert outside_length_mm(joint) == pytest.approx(finished_mm(joint) + joint.diameter_mm, abs=1e-9)
    assert caliper_readings(joint)["outside_length"] == pytest.approx(outside_length_mm(joint), abs=1e-3)
    by_rule = inspected(turns="5", twist_length="14.7 mm", outside_length="32.5 mm")
    assert by_rule.readings["outside_length"].sd == RULE_MM
    assert by_rule.finished_mm is not None and by_rule.finished_mm.read
    assert by_rule.finished_mm.value == pytest.approx(32.5 - joint.diameter_mm, abs=0.1)
    assert by_rule.shaped is not None
    assert by_rule.shaped.finished.length_mm == pytest.approx(by_rule.finished_mm.value, abs=0.01)


def test_two_wires_have_a_length_over_the_outer_one() -> None:
    text = (EXAMPLES / "logger-tether.toml").read_text().replace("[wire]", "[wire]\ncount = 2")
    recipe = recipe_from_text(text.replace("[eye]", '[eye]\npair = "one over the other"').replace('"4 d"', '"8 d"'))
    joint = build_joint(recipe)
    assert outside_length_mm(joint) - finished_mm(joint) == pytest.approx(2.0 * joint.diameter_mm, rel=0.2)


def test_what_no_joint_has_is_told_and_nothing_else() -> None:
    usual = {"turns": "5", "wraps": "5", "twist_length": "14.7 mm", "eye": "6 mm"}
    assert inspected(**usual, length="31.0 mm").undrawn == ()
    short = inspected(**usual, length="28.5 mm")
    (told,) = short.undrawn
    assert (told.reading, told.read) == ("length", 28.5) and short.shaped is not None
    assert told.drawn == pytest.approx(short.shaped.finished.length_mm, abs=1e-4) and told.drawn > 29.0
    assert "as made it is drawn with length 29" in document_text(inspection_document(short))
    thick = inspected(**usual, barrel_diameter="2.30 mm")
    assert [one.reading for one in thick.undrawn] == ["barrel_diameter"]


@pytest.mark.slow
def test_noise_is_no_short_exit_and_a_short_exit_is_found() -> None:
    seen, rng = caliper_readings(build_joint(TETHER)), np.random.default_rng(5)
    for _ in range(6):
        texts = {
            name: f"{seen[name] + rng.normal(0.0, 0.11):.2f} mm" for name in ("twist_length", "barrel_length", "length")
        }
        assert inspected(turns="5", wraps="5", **texts).verdict == "good"
    short = inspected(turns="5", wraps="5", twist_length="15.3 mm", length="31.0 mm")
    assert short.judgement.severity is Severity.CAUTION
    assert "tight-leg-exit" in {finding.code for finding in short.judgement.findings}


def test_pieces_stay_its_own() -> None:
    made = inspected(turns="5", wraps="5", length="31.0 mm").made
    assert made is not None and made.exit != TETHER.exit and pulled_alike(TETHER, made)
    far = inspected(turns="5", wraps="5", twist_length="14.7 mm", length="33.0 mm").made
    assert far is not None and not pulled_alike(TETHER, far)
