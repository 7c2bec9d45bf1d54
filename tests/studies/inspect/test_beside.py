"""Readings beside the intended joint's, and the drawing on which they are typed.

Map of what must hold:
  what is intended = what calipers read on the recipe's own joint, built and measured
  each reading is OK as far as its uncertainty and the recipe's tolerance go, and no further
  a size is off in the table where its reading is on the drawing, and where it is found so
  a reading that tells a finding of the made joint is as grave as that
  on the drawing every length is as long, and every angle as wide, as it is to be
"""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from helix.findings import Severity
from helix.mechanics import limits
from helix.model.joint.joint import build_joint
from helix.model.measured.readings import read_readings
from helix.model.recipe.recipe import Recipe, recipe_from_text
from helix.output.inspect.inspect_picture import ROWS, inspect_picture, picture_of_made
from helix.studies.inspect.beside import Beside, intended_readings, readings_beside
from helix.studies.inspect.inspection import inspect
from helix.studies.inspect.made_joint import finished_slack
from helix.studies.shape.outline import draft
from tests.studies.inspect.caliper_readings import caliper_readings

TEXT = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n'


def recipe_of(more: str = "") -> Recipe:
    return recipe_from_text(TEXT + more)


def beside(recipe: Recipe, **texts: str) -> dict[str, Beside]:
    found = inspect(recipe, read_readings(texts, recipe))
    return {row.name: row for row in readings_beside(found, intended_readings(draft(recipe)))}


@pytest.mark.parametrize("more", ["", "[twist]\nturns = 4\nlay_length = '5 d'\n", "[barrel]\nwraps = 7\n"])
def test_intended_is_what_calipers_read(more: str) -> None:
    recipe = recipe_of(more)
    read, intended = caliper_readings(build_joint(recipe)), intended_readings(draft(recipe))
    assert len(read) > 6
    for name, value in read.items():
        assert intended[name] == pytest.approx(value, rel=2e-3), name
    assert intended["exit"] == pytest.approx(80.84, abs=0.01)


@pytest.mark.parametrize(
    ("name", "sd"), [("twist_length", 0.05), ("lay", 0.02), ("eye", 0.02), ("barrel_length", 0.05), ("length", 0.1)]
)
def test_a_reading_is_ok_as_far_as_it_may_be_off(name: str, sd: float) -> None:
    recipe, slack = recipe_of(), recipe_of().tolerance
    intended = intended_readings(draft(recipe))[name]
    allowed = limits.SURE * sd + {
        "twist_length": 5 * slack.lay_mm, "lay": slack.lay_mm, "eye": slack.pin_mm, "barrel_length": 5 * slack.wrap_gap_mm,
        "length": finished_slack(recipe),
    }[name]  # fmt: skip
    for off in (0.98, 1.02):
        row = beside(recipe, **{name: f"{intended + off * allowed} mm +- {sd} mm"})[name]
        assert row.severity is (Severity.OK if off < 1.0 else Severity.CAUTION), off
        assert row.intended == intended


def test_a_reading_that_tells_a_finding_is_as_grave() -> None:
    rows = beside(recipe_of(), turns="3", first_bend="100 deg", eye="6 mm")
    assert rows["first_bend"].severity is Severity.SHARP and rows["eye"].severity is Severity.OK
    assert rows["turns"].severity is Severity.FAULT  # it unwinds
    assert beside(recipe_of(), turns="5")["turns"].severity is Severity.OK
    assert beside(recipe_of(), turns="7")["turns"].severity is Severity.CAUTION


def points_of(path: str) -> Any:
    return np.array([[float(number) for number in pair.split()] for pair in re.split("[ML]", path)[1:]])


@pytest.mark.parametrize("more", ["", "[twist]\nturns = 0\n", "[barrel]\nwraps = 0\n"])
def test_the_drawing_is_true(more: str) -> None:
    outline = draft(recipe_of(more))
    picture, intended = inspect_picture(outline), intended_readings(outline)
    x0, y0, width, height = picture["box"]
    assert {place["name"] for place in picture["places"]} == set(intended)
    for place in picture["places"]:
        line, name = points_of(place["path"]), place["name"]
        assert place["row"] in ROWS
        assert (line >= [x0, y0]).all() and (line <= [x0 + width, y0 + height]).all()
        if name == "exit":  # clear of the wraps
            barrel = next(points_of(each["path"]) for each in picture["places"] if each["name"] == "barrel_diameter")
            assert line[:, 1].max() < barrel[:, 1].min() - picture["d_mm"]
        if name in ("first_bend", "exit"):
            arms = [line[1] - line[0], line[-2] - line[0]]
            cos = arms[0] @ arms[1] / np.prod([np.linalg.norm(arm) for arm in arms])
            assert np.degrees(np.arccos(cos)) == pytest.approx(intended[name], abs=0.1)
        elif name not in ("turns", "wraps"):
            assert np.linalg.norm(line[-1] - line[0]) == pytest.approx(intended[name], abs=3e-3), name
    wire = np.concatenate([points_of(piece["edge"]) for piece in picture["wire"]])
    whole = next(points_of(place["path"]) for place in picture["places"] if place["name"] == "length")
    assert wire[:, 0].min() + picture["d_mm"] / 2 == pytest.approx(whole[:, 0].min(), abs=0.01)  # from inside the bight


def test_the_made_joint_lies_over_the_intended_one() -> None:
    recipe = recipe_of()
    found = inspect(recipe, read_readings({"turns": "4", "twist_length": "11.8 mm"}, recipe))
    over = picture_of_made(found, draft(recipe))
    own = np.concatenate([points_of(path) for path in over["wire"]])
    intended = np.concatenate([points_of(piece["edge"]) for piece in inspect_picture(draft(recipe))["wire"]])
    assert own[:, 0].min() == pytest.approx(intended[:, 0].min(), abs=0.01)  # the same eye
    assert intended[:, 0].max() - own[:, 0].max() == pytest.approx(2.95, abs=0.1)  # a turn less
    assert [(row["name"], row["shown"], row["intended"]) for row in over["read"]] == [
        ("turns", "4", "5"), ("twist_length", "11.8 mm", "14.7 mm"),
    ]  # fmt: skip


@pytest.mark.parametrize("eye", ["6.04", "6.10", "6.14", "6.16", "6.3"])
def test_drawing_table_and_finding_agree_on_what_is_off(eye: str) -> None:
    """Failed once: an eye of 6.10 on a pin of 6 was ok on the drawing and off in the table."""
    recipe = recipe_of()
    found = inspect(recipe, read_readings({"eye": f"{eye} mm"}, recipe))
    (row,) = readings_beside(found, intended_readings(draft(recipe)))
    told = [each.place for each in found.whole.findings if each.code == "off-recipe"]
    assert found.pin_mm.off == (row.severity is not Severity.OK) == (told == ["eye"]) == (float(eye) > 6.15)
