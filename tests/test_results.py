"""Every result of a study is a value. What is tested, strongest first:

* the record of each is what its published JSON schema says, and the schemas are those of the classes;
* JSON gives the same data again; a pickled result is equal, with an equal hash; another result is not;
* a short repr, a table for a notebook, and a data frame with one row a row of a table.
"""

from __future__ import annotations

import dataclasses
import importlib
import json
import pickle
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest

from helix.model.batch.plan import read_plan
from helix.model.measured.curve_file import read_mapping
from helix.model.measured.pull_file import pull_file_from_text, read_pull_file
from helix.model.measured.readings import read_readings
from helix.output.hold.hold_record import hold_to_dict, table_to_dict
from helix.output.report.record import record, to_json
from helix.studies.batch.choosing import Requirements, choose, usual_joint, with_wire
from helix.studies.batch.cut_plan import cut_plan
from helix.studies.hold.evidence.friction_fit import calibrate
from helix.studies.hold.hold_table import hold_table
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.sensitivity import Sensitivities, sensitivities
from helix.studies.hold.stretch import stretch
from helix.studies.hold.why import why
from helix.studies.inspect.inspection import inspect
from helix.studies.inspect.spread import Steps, spread
from helix.studies.link.link_result import Ring
from helix.studies.link.linking import link_joints
from helix.studies.pulls.pull_compare import compare_pulls
from helix.studies.pulls.pull_curves import curves_of
from helix.studies.pulls.pull_predicted import recipes_of
from helix.studies.pulls.pulls import PullsResult, read_pulls
from helix.studies.pulls_plan.load_cells import load_cell
from helix.studies.pulls_plan.pull_plan import Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted
from helix.studies.shape.shape import shape
from helix.studies.shape.size_list import list_sizes
from helix.studies.simulate.pull_result import PullSimulation
from helix.studies.simulate.shipped import shipped_pull
from helix.studies.teaching.compare_joints import compare
from helix.studies.teaching.hand_work import form
from helix.values import Result, Values, carried, result, to_plain
from tests.studies.hold.evidence.test_friction_fit import bench
from tests.studies.hold.hold_recipes import joint

SCRIPT = importlib.import_module("scripts.json_schema")
RECIPE = joint()
SETTING = setting_of(RECIPE, draws=300)
EXAMPLES = Path(__file__).parents[1] / "docs" / "examples"
PLAN, PULLS = EXAMPLES / "reef-station.toml", EXAMPLES / "pulls" / "logger-tethers.csv"
MAKE: dict[str, Callable[[], Any]] = {
    "shape": lambda: shape(RECIPE),
    "shape of wraps alone": lambda: shape(joint(turns=0)),
    "hold": lambda: hold_with(RECIPE, SETTING),
    "hold of an uneven twist": lambda: hold_with(joint(twist="evenness = 0.2"), SETTING),
    "hold of wraps alone": lambda: hold_with(joint(turns=0), SETTING),
    "table": lambda: hold_table(RECIPE, SETTING, 4, 3),
    "sensitivities": lambda: Sensitivities(**dict(zip(("now", "bars"), sensitivities(RECIPE, SETTING), strict=True))),
    "calibration": lambda: calibrate(bench("L", 1), SETTING.scatter),
    "why": lambda: why(joint(turns=4), SETTING),
    "form": lambda: form(RECIPE),
    "simulate": lambda: PullSimulation(recipe=RECIPE, strength_n=800.0, runs=(shipped_pull("turns-5").run,)),
    "stretch": lambda: stretch(shape(RECIPE), hold_with(RECIPE, SETTING), 500.0),
    "link": lambda: link_joints(RECIPE),
    "link on a ring": lambda: link_joints(joint(turns=0), ring=Ring(diameter_mm=3.0, inside_mm=20.0)),
    "inspect": lambda: inspect(RECIPE, read_readings({"twist_length": "16.9 mm", "turns": "5"}, RECIPE)),
    "cut": lambda: cut_plan(read_plan(PLAN), seconds=0.2),
    "choose": lambda: choose(
        Requirements(load_n=400.0, family="MWG", rows=2), lambda wire, pin: with_wire(usual_joint(), wire, pin)
    ),
    "spread": lambda: spread(RECIPE, Steps(), draws=100),
    "sizes": lambda: list_sizes("MWG"),
    "compare": lambda: compare([shape(RECIPE), shape(joint(turns=0))]),
    "pulls read": lambda: reading(PULLS.read_text(encoding="utf-8"), PULLS.parent),
    "pulls read of little": lambda: reading("id,group,load,unit,failure\n1,A,700,N,grip\n2,A,x,N,broke\n"),
    "pulls compare": lambda: compare_pulls(read_pull_file(PULLS), "group"),
    "pulls plan": lambda: plan_pulls([("a.toml", RECIPE)], Wanted(apart=0.05, shares=(0.1, 0.6)), Setup(joints=1)),
    "pulls plan of stairs": lambda: plan_pulls(
        [("a.toml", RECIPE)], Wanted(), Setup(turns=(3.0, 5.0), wraps=(2.0, 5.0), design="staircase")
    ),
    "pulls plan of a load": lambda: plan_pulls([], Wanted(), Setup(expected_n=800.0, cells=(load_cell(1000.0),))),
}


def reading(text: str, folder: Path | None = None) -> PullsResult:
    """A reading with all that can be in it: curves and what was predicted, where the files stand beside it."""
    file = pull_file_from_text(text)
    if folder is None:
        return read_pulls(file)
    curves, faults = curves_of(file.pieces, folder, read_mapping(folder / "curves.toml"), file.place)
    recipes, notes = recipes_of(file, folder)
    return read_pulls(file, 620.0, curves, faults, recipes, (), notes)


@cache
def made(name: str) -> Any:
    return MAKE[name]()


def command_record(name: str) -> tuple[str, dict[str, Any]]:
    """The command that prints a result, and what it prints."""
    if name in ("table", "sensitivities"):
        bars = made("sensitivities")
        return "hold", hold_to_dict(made("hold")) | table_to_dict(made("table"), bars.now, bars.bars)
    if name == "calibration":
        return "hold", hold_to_dict(made("hold"), made("calibration"))
    words = name.split()
    return " ".join(words[: 2 if words[0] == "pulls" else 1]), record(made(name))


@pytest.mark.parametrize("name", MAKE)
def test_the_record_is_what_its_schema_says(name: str) -> None:
    command, data = command_record(name)
    schema = json.loads(SCRIPT.path_of(command).read_text(encoding="utf-8"))
    again = json.loads(to_json(data))
    assert again == data
    check = jsonschema.Draft202012Validator(schema)
    check.check_schema(schema)
    assert [f"{list(error.absolute_path)}: {error.message}" for error in check.iter_errors(again)] == []
    for key in ("schema", "verdict", "pieces", "choices", "work", "load_n", "inputs"):  # and it can say no
        if key in again:
            assert not check.is_valid(again | {key: {"not": "this"}}), key
            assert not check.is_valid({name: item for name, item in again.items() if name != key}), key
    assert not check.is_valid(again | {"more": 1})


def test_the_published_schemas_are_those_of_the_classes() -> None:
    assert SCRIPT.main(["--check"]) == 0
    assert {path.stem for path in SCRIPT.FOLDER.glob("*.json")} == {
        SCRIPT.path_of(name).stem for name in SCRIPT.COMMANDS
    }


@pytest.mark.parametrize("name", MAKE)
def test_a_result_compares_hashes_and_pickles_with_all_that_is_in_it(name: str) -> None:
    value = made(name)
    again = pickle.loads(pickle.dumps(value))
    assert again == value and hash(again) == hash(value) and again is not value
    assert len({again, value}) == 1
    for field in dataclasses.fields(value):
        if isinstance(getattr(value, field.name), str | float | int | tuple):
            other = dataclasses.replace(value, **{field.name: "something else"})
            assert other != value and value != other, field.name


@pytest.mark.parametrize("name", MAKE)
def test_a_result_is_legible(name: str) -> None:
    value = made(name)
    assert repr(value).startswith(f"{type(value).__name__}(") and len(repr(value)) < 500
    html = value._repr_html_()
    assert html.startswith("<table><tr><th>") and html.count("<tr>") == html.count("</tr>") > 1
    if value.rows_in:
        frame = value.to_frame()
        rows = getattr(value, value.rows_in)
        assert len(frame) == len(rows) == html.count("<tr>") - 1
        assert not frame.map(lambda cell: isinstance(cell, list | dict)).any(axis=None)
    else:
        with pytest.raises(TypeError, match="is no table"):
            value.to_frame()


@pytest.mark.parametrize("name", MAKE)
def test_a_result_cannot_be_changed_nor_made_by_position(name: str) -> None:
    value = made(name)
    with pytest.raises(dataclasses.FrozenInstanceError):
        value.schema = 99
    with pytest.raises(TypeError, match="positional"):
        type(value)(1)
    assert not hasattr(value, "__dict__")
    assert set(value.to_dict()) == set(carried(type(value)))


def test_the_same_question_gives_an_equal_answer_and_another_does_not() -> None:
    assert hold_with(RECIPE, setting_of(RECIPE, draws=300)) == made("hold")
    assert hold_with(RECIPE, setting_of(RECIPE, draws=300, seed=1)) != made("hold")
    assert form(RECIPE) == made("form") != form(RECIPE, 60.0)


@result
class Sample(Result):
    """A result with an array, a number that is not known, and a value inside."""

    curve: np.ndarray
    load_n: float
    inner: Values = Values(angle_deg=1.0)


def test_arrays_and_what_is_not_known_are_compared_by_what_they_say() -> None:
    one, two = (Sample(curve=np.array([1.0, np.nan]), load_n=np.nan) for _ in range(2))
    assert one == two and hash(one) == hash(two)
    assert one != Sample(curve=np.array([1.0, 2.0]), load_n=np.nan)
    assert one != Sample(curve=np.array([[1.0, np.nan]]), load_n=np.nan)
    assert one != dataclasses.replace(one, inner=Values(angle_deg=2.0))
    assert to_plain(one) == {"curve": [1.0, None], "load_n": None, "inner": {"angle_deg": 1.0}}


def test_a_schema_is_refused_where_a_class_changes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(SCRIPT, "FOLDER", tmp_path)
    assert SCRIPT.main(["--check"]) == 1
    assert SCRIPT.main([]) == 0 and SCRIPT.main(["--check"]) == 0
    changed = tmp_path / "form.json"
    changed.write_text(changed.read_text(encoding="utf-8").replace("hand_force_n", "hand_force_lbf"), encoding="utf-8")
    assert SCRIPT.main(["--check"]) == 1
    assert "hand_force_n" in SCRIPT.schema_of("form")["properties"]
