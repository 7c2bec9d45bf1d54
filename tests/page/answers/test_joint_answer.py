"""What the page is told about a joint: that it is the program's own answer, and that its controls fit the recipe.

Map of what must hold:
  answer, blocks and record are those of the command; a draft has the same cut and scene's place
  every control belongs to a key of a recipe; its default, its ends and its steps read
  within every sensible range an otherwise good joint has no flag and no sharp bend, and just outside one some do
  what a control is filled with reads back as the joint it came from
  an applied remedy cures its finding, or makes a refused joint possible
  a recipe of tables is the same recipe written as a file, and in the other unit
"""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from helix.errors import ValidationError
from helix.findings import Severity
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_keys import KEYS
from helix.output.report.record import result_to_dict
from helix.output.words.words import answer_line
from helix.page.answers.joint_answer import START, joint_answer
from helix.page.answers.knobs import GROUPS, KNOBS, Knob, filled
from helix.page.answers.recipe_tables import in_units, recipe_of_tables, tables_of_text, text_of_tables
from helix.page.server.replies import told
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.outline import draft
from helix.studies.shape.remedies import apply
from helix.studies.shape.shape import shape
from tests.page.joints import FAULTY

UNITS = ("metric", "inch")
NUMBERS = [knob for knob in KNOBS if knob.scales]


def with_value(knob: Knob, value: float | str | None, scale: str = "metric") -> dict[str, Any]:
    """The good joint with one control moved, as the page moves it."""
    if knob.scales and isinstance(value, float | int) and knob.scales[scale].unit:
        value = f"{value} {knob.scales[scale].unit}"
    return apply(copy.deepcopy(START), {knob.key: value})


def test_the_answer_is_the_commands_own() -> None:
    told = joint_answer({"recipe": START, "units": "metric"})
    result = shape(recipe_of_tables(START))
    line = answer_line(result, "metric")
    answer = told["answer"]
    assert line == f"Cut {answer['cut']} ({answer['interval']}): {answer['parts']}."
    assert told["record"] == result_to_dict(result)
    assert json.loads(json.dumps(told, allow_nan=False)) == told


def test_a_draft_has_the_same_cut() -> None:
    quick, full = (joint_answer({"recipe": START, "draft": yes}) for yes in (True, False))
    for key in ("cut", "finished", "verdict", "sentence"):
        assert quick["answer"][key] == full["answer"][key], key
    assert quick["record"] is None and quick["answer"]["interval"] is None
    assert len(quick["scene"]["wire"]["middle"]) < len(full["scene"]["wire"]["middle"]) / 2


def test_every_control_belongs_to_a_key() -> None:
    assert len({knob.key for knob in KNOBS}) == len(KNOBS)
    for knob in KNOBS:
        table, key = knob.key.split(".")
        assert key in KEYS[table]
        assert knob.table in dict(GROUPS)
    stated = {knob.key for knob in KNOBS}
    other = {
        "wire.measured_pulls",
        "twist.crossings",
        "twist.lay_angle",
        "twist.length",
        "wire.own",
    }  # said in another way
    assert {f"{table}.{key}" for table, keys in KEYS.items() if table for key in keys} == stated | other


@pytest.mark.parametrize("scale", UNITS)
@pytest.mark.parametrize("knob", NUMBERS, ids=lambda knob: knob.key)
def test_both_ends_of_every_slider_read(knob: Knob, scale: str) -> None:
    """A value that cannot be is a fault of that key, never of another."""
    found = knob.scales[scale]
    assert found.low < found.high and 0 < found.step <= (found.high - found.low) / 8
    for value in (found.low, found.high):
        try:
            recipe_of_tables(with_value(knob, value, scale))
        except ValidationError as faults:
            assert all(fault.place.endswith(knob.key.split(".")[1]) for fault in faults.faults), faults


@pytest.mark.parametrize("knob", KNOBS, ids=lambda knob: knob.key)
def test_every_reset_gives_a_sound_joint(knob: Knob) -> None:
    assert shape(recipe_of_tables(with_value(knob, knob.default))).judgement.severity <= Severity.NOTE


@pytest.mark.parametrize(("lie", "cut"), [("side by side", "2 x 498 mm"), ("one over the other", "501 mm and 499 mm")])
def test_two_wires_are_taken_with_a_lay_of_their_own(lie: str, cut: str) -> None:
    tables = apply(copy.deepcopy(START), {"wire.count": 2, "eye.pair": lie, "twist.lay_length": None})
    found = joint_answer({"recipe": tables})
    assert found["answer"]["cut"] == cut and found["filled"]["wire.count"] == 2 and found["filled"]["eye.pair"] == lie
    lay = found["filled"]["twist.lay_length"]
    assert next(knob.record()["default_of_two"] for knob in KNOBS if knob.key == "twist.lay_length") == lay
    assert found["sensible"]["twist.lay_length"][0] < float(lay.split()[0]) < found["sensible"]["twist.lay_length"][1]
    assert len(found["scene"]["wire"]["pieces"]) == 2 * len(joint_answer({"recipe": START})["scene"]["wire"]["pieces"])


SENSIBLE = [knob for knob in NUMBERS if knob.scales["metric"].sensible]


@pytest.mark.parametrize("knob", SENSIBLE, ids=lambda knob: knob.key)
def test_within_the_sensible_range_nothing_is_flagged(knob: Knob) -> None:
    scale = knob.scales["metric"]
    assert scale.sensible is not None
    low, high = scale.sensible
    assert scale.low <= low < high <= scale.high
    for value in (low, (low + high) / 2.0, high):
        found = shape(recipe_of_tables(with_value(knob, value)))
        told = [f.code for f in found.judgement.findings if f.severity > Severity.NOTE and not bends_of(f)]
        assert not told and found.judgement.is_ok, (value, told)


def test_within_ranges_that_go_with_the_joint_nothing_is_flagged() -> None:
    told = joint_answer({"recipe": START, "units": "inch"})
    for key, ends in told["sensible"].items():
        knob = next(knob for knob in KNOBS if knob.key == key)
        for value in ends:
            assert shape(recipe_of_tables(with_value(knob, value, "inch"))).judgement.severity <= Severity.NOTE, (
                key,
                value,
            )


@pytest.mark.parametrize("units", UNITS)
def test_what_a_control_is_filled_with_reads_back(units: str) -> None:
    for tables in (START, *FAULTY.values()):
        before = draft(recipe_of_tables(tables))
        values = filled(before, "inch" if units == "inch" else "metric")
        own = {
            key: values[key] for key in ("eye.pin", "twist.lay_length", "finish.handle", "finish.stub", "barrel.wraps")
        }
        again = recipe_of_tables(apply(tables, own))
        assert again.eye.pin_mm == pytest.approx(before.recipe.eye.pin_mm, rel=1e-3)
        assert again.twist.lay_mm == pytest.approx(before.recipe.twist.lay_mm, rel=1e-3)
        assert again.finish.handle_mm == pytest.approx(before.recipe.finish.handle_mm, rel=1e-3)


@pytest.mark.parametrize("name", FAULTY)
def test_an_applied_remedy_cures_its_finding(name: str) -> None:
    told = joint_answer({"recipe": FAULTY[name]})
    grave = [finding for finding in told["findings"] if finding["severity"] in ("sharp", "fault")]
    assert grave and grave[0]["fixes"]
    tables = grave[0]["fixes"][0]["recipe"]
    after = joint_answer({"recipe": tables})
    assert (grave[0]["code"], grave[0]["name"]) not in [(f["code"], f["name"]) for f in after["findings"]]


REFUSED = {
    "eye too small": {"eye.pin": "3 mm", "entry.radius": "4 d", "eye.throat": "150 deg"},
    "lay too short": {"twist.lay_length": "2 d"},
    "crossings counted": {"twist.lay_length": None, "twist.turns": 10.0, "twist.length": "15 mm"},
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_joint_comes_with_what_makes_it_possible(name: str) -> None:
    with pytest.raises(ValidationError) as refused:
        joint_answer({"recipe": apply(START, REFUSED[name])})
    status, faults = told(refused.value)
    assert status == 422 and all(fault["key"] for fault in faults)
    cures = [cure for fault in faults for cure in fault["fixes"]]
    assert cures
    for cure in cures:
        assert cure["say"]
        assert joint_answer({"recipe": cure["recipe"], "draft": True})["ok"]


@pytest.mark.parametrize("name", FAULTY)
def test_tables_and_file_are_the_same_recipe(name: str) -> None:
    tables = FAULTY[name]
    text = text_of_tables(tables)
    assert tables_of_text(text, "joint.toml") == tables
    assert recipe_from_text(text) == recipe_of_tables(tables)


def test_strange_text_survives_the_file() -> None:
    tables = START | {"title": 'a "b" \\ \u2113 \' # = [x] end'}
    assert tables_of_text(text_of_tables(tables), "x") == tables


def test_there_and_back_in_the_other_unit() -> None:
    inches = in_units(START, "inch")
    assert inches["eye"]["pin"] == "0.23622 in" and inches["units"] == "inch"
    back = in_units(inches, "metric")
    assert back == START | {"units": "metric"}
    assert recipe_of_tables(inches).eye.pin_mm == pytest.approx(6.0, rel=1e-4)


@pytest.mark.parametrize("pin", ["2.545 mm", "0.64 mm", "0.08 mm", "1.259 mm", "12.345 mm", "0.030781 mm", "0 mm"])
def test_a_length_of_five_digits_comes_back_as_it_was(pin: str) -> None:
    tables = {"units": "metric", "eye": {"pin": pin}}
    inches = in_units(tables, "inch")
    assert in_units(inches, "metric") == tables
    assert in_units(in_units(inches, "metric"), "inch") == inches


@pytest.mark.parametrize("recipe", [None, [], "x", {}, {"wire": 3}, {"eye": {"pin": float("nan")}}])
def test_what_is_no_recipe_is_refused_in_words(recipe: object) -> None:
    with pytest.raises(ValidationError) as found:
        joint_answer({"recipe": recipe})
    assert all(len(str(fault)) < 300 and "\n" not in str(fault) for fault in found.value.faults)


@pytest.mark.parametrize(("key", "value"), [("twist.turns", None), ("title", None), ("notes", ["a", None])])
def test_null_is_refused_alike_by_all_that_take_a_recipe(key: str, value: object) -> None:
    """JSON has it, a recipe file has not; once it was left out in an answer and refused in a file."""
    tables = copy.deepcopy(START)
    *table, name = key.split(".")
    (tables[table[0]] if table else tables)[name] = value
    for take in (recipe_of_tables, text_of_tables, lambda each: joint_answer({"recipe": each})):
        with pytest.raises(ValidationError, match="left out; got null") as refused:
            take(tables)
        assert [fault["key"] for fault in told(refused.value)[1]] == [key]


@pytest.mark.parametrize(
    ("key", "value", "code"), [("barrel.wraps", "2.5", "wrong-type"), ("wire.material", None, "missing")]
)
def test_a_fault_at_its_knob_does_not_tell_what_to_write_into_a_file(key: str, value: object, code: str) -> None:
    table, _, name = key.partition(".")
    tables = {**START, table: {**START.get(table, {}), name: value}}
    if value is None:
        del tables[table][name]
    with pytest.raises(ValidationError) as raised:
        recipe_of_tables(tables)
    [fault] = [fault for fault in told(raised.value)[1] if fault["key"] == key]
    assert fault["code"] == code and fault["message"].startswith(("must be", "is missing"))
    assert f"{name} =" not in fault["message"] and f"{name} =" in str(raised.value)


@pytest.mark.parametrize(
    ("key", "value"), [("wire.size", "12"), ("wire.size", None), ("wire.material", "x"), ("exit.style", "steep")]
)
def test_a_fault_of_a_menu_names_the_menu_and_no_file(key: str, value: str | None) -> None:
    with pytest.raises(ValidationError) as refused:
        joint_answer({"recipe": apply(START, {key: value})})
    (said,) = [fault for fault in told(refused.value)[1] if fault["key"] == key]
    assert "list" in said["message"] and "such as" not in said["message"] and " = " not in said["message"]
