"""What is found of a bend, and that taking its advice cures it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.recipe.recipe import Exit, Eye, Recipe, recipe_from_text
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.shape import shape
from tests.tools.sampled import sampled

START = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "8 mm"\n'


CURES = {
    "gradual-exit": lambda recipe: replace(recipe, exit=Exit("gradual", None, None, None)),
    "own-angle": lambda recipe: replace(recipe, eye=Eye(recipe.eye.pin_mm, None)),
}


def bad(recipe: Recipe) -> list[Finding]:
    return [finding for finding in shape(recipe).findings if bends_of(finding)]


@pytest.mark.parametrize("lay", sampled(["3.6 d", "4 d", "5 d", "6 d", "7.5 d"], 4))
@pytest.mark.parametrize(
    "exit_lines",
    ['leg = "1 d"\nswing = 0.1', 'leg = "2.5 d"\nswing = 0.5', 'leg = "8 d"\nswing = 0.1', 'style = "bench"'],
)
def test_the_advice_on_an_exit_cures_it(lay: str, exit_lines: str) -> None:
    recipe = recipe_from_text(f'{START}[twist]\nlay_length = "{lay}"\n[exit]\n{exit_lines}\n')
    found = bad(recipe)
    for finding in found:
        cured = shape(CURES[finding.remedy](recipe))
        assert not [b for b in cured.bends if b.name in bends_of(finding) and b.severity]
    if "0.1" in exit_lines:
        assert found


@pytest.mark.parametrize(
    ("exit_lines", "found"),
    [
        ('peak_angle = "100 deg"', {"exit_tag": "steep-exit"}),
        ('leg = "8 d"\nswing = 0.1', {"exit_tag": "tight-exit"}),
        ('leg = "2.5 d"\nswing = 0.5', {"exit_standing": "tight-leg-exit", "exit_tag": "tight-exit"}),
        ('leg = "1 d"\nswing = 0.1', {"exit_standing": "tight-leg-exit", "exit_tag": "exit-overlaps"}),
    ],
)
def test_each_exit_has_its_finding_and_what_is_advised_is_the_gradual_one(
    exit_lines: str, found: dict[str, str]
) -> None:
    result = shape(recipe_from_text(f"{START}[exit]\n{exit_lines}\n"))
    findings = [finding for finding in result.findings if bends_of(finding)]
    assert {finding.place: finding.code for finding in findings} == found
    plan = shape(recipe_from_text(START)).joint.layout.planned.plan
    (swing,) = plan.swings
    # round a core of 1 d, by Simpson's rule, as if the lay swung evenly: within 0.01 turn of the curve
    lays = np.linspace(swing.lay_from, swing.lay_to, 3)
    turns = swing.length * float(np.dot([1.0, 4.0, 1.0], np.sin(lays))) / (6.0 * 2.0 * np.pi)
    for finding in findings:
        assert finding["length_d"] == next(bend.length_d for bend in result.bends if bend.name == finding.place)
        if finding.remedy == "gradual-exit":  # rounded up
            assert plan.leg <= finding["leg_d"] < plan.leg + 0.1
            assert turns - 0.01 < finding["swing_turns"] < turns + 0.06


@pytest.mark.parametrize("throat", [95.0, 120.0])
def test_the_advice_on_a_wide_throat_cures_it(throat: float) -> None:
    recipe = recipe_from_text(f'{START}throat = "{throat} deg"\n')
    (finding,) = bad(recipe)
    assert (finding.code, finding.place, finding.severity) == ("steep-first-bend", "entry", Severity.SHARP)
    assert finding["angle_deg"] == pytest.approx(throat) and finding["limit_deg"] == pytest.approx(90.0)
    assert bends_of(finding) == ("entry_standing", "entry_tag") and "length_d" not in finding.values
    cured = CURES[finding.remedy](recipe)
    assert bad(cured) == [] and finding["own_deg"] == pytest.approx(shape(cured).bends[0].visible_angle_deg)


def test_a_tight_lay_is_told_to_use_a_longer_one() -> None:
    recipe = recipe_from_text(f'{START}[twist]\nlay_length = "2.9 d"\n')
    assert {finding.code: finding.remedy for finding in bad(recipe)}["steep-first-bend"] == "lay-for-angle"


def test_a_kink_gives_its_radius_and_the_limit_of_it() -> None:
    """A kink is too short to show in the strain averaged over half a diameter."""
    found = bad(recipe_from_text(f'{START}[entry]\nradius = "0.6 d"\n'))
    assert [(f.code, f.place, f.severity) for f in found] == [
        ("tight-first-bend", name, Severity.CAUTION) for name in ("entry_standing", "entry_tag")
    ]
    for finding in found:
        assert float(finding["strain"] or 0.0) < limits.STRAIN_OK and finding["radius_d"] == pytest.approx(
            0.6, abs=1e-9
        )
        assert finding["kink_limit_d"] == pytest.approx(0.5 / limits.STRAIN_CAUTION)
