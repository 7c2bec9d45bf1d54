"""A recipe built in Python is as strict as a file, whichever way it is built.

Map of what must hold:
  the tables of a file, and the record of a recipe, make the same recipe again
  a number under a keyword with its unit is the same quantity in text
  every value out of its range is refused, by the part itself and by the whole, at its table and key
  what does not go together is refused as in a file; all issues at once, at the keys as they were called
  recipes and parts compare, hash and pickle
"""

from __future__ import annotations

import math
import pickle
import tomllib
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings

from helix.errors import InfeasibleJointError, ValidationError
from helix.model.files.file_keys import Key
from helix.model.recipe.recipe import Exit, Recipe, recipe_from_text, recipe_from_values, recipe_to_dict
from helix.model.recipe.recipe_keys import TABLES
from tests.tools.strategies import recipe_texts

LEAST = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6}
GOOD = recipe_from_values(LEAST)
VALUES = [(table, key) for table, keys in TABLES.items() if table != "wire" for key in keys if key.attribute]
RANGED = [(table, key) for table, key in VALUES if key.limits]


def issues(values: dict[str, object]) -> list[tuple[str, str]]:
    with pytest.raises(ValidationError) as refused:
        recipe_from_values(values)
    return [(fault.path.name, fault.code) for fault in refused.value.faults]


def assert_close(one: object, other: object, where: str = "recipe") -> None:
    if is_dataclass(one):
        for field in fields(one):
            if field.name not in ("place", "derived"):
                assert_close(getattr(one, field.name), getattr(other, field.name), f"{where}.{field.name}")
    elif isinstance(one, float):
        assert other == pytest.approx(one, rel=1e-14), where
    else:
        assert other == one, where


@settings(max_examples=40)
@given(recipe_texts())
def test_the_tables_of_a_file_make_the_same_recipe(text):
    assert recipe_from_values(tomllib.loads(text)) == recipe_from_text(text)


@settings(max_examples=40)
@given(recipe_texts())
def test_the_record_of_a_recipe_makes_it_again(text):
    recipe = recipe_from_text(text)
    assert_close(recipe, recipe_from_values(recipe_to_dict(recipe)))


@settings(max_examples=20)
@given(recipe_texts())
def test_a_recipe_compares_hashes_and_pickles(text):
    one, other = recipe_from_text(text), recipe_from_text(text, "another place")
    assert one == other and hash(one) == hash(other) and pickle.loads(pickle.dumps(one)) == one
    assert one != replace(one, title=one.title + "!") and one.variant(twist=one.twist) == one


@pytest.mark.parametrize(
    ("keyword", "value", "text"),
    [
        ("pin_in", 0.25, 'eye.pin = "0.25 in"'), ("pin_d", 8, 'eye.pin = "8 d"'), ("throat_deg", 80.0, 'eye.throat = "80 deg"'),
        ("lay_d", 4.5, 'twist.lay_length = "4.5 d"'), ("lay_length_mm", 3.1, 'twist.lay_length = "3.1 mm"'),
        ("turns", np.float64(4.0), "twist.turns = 4"), ("crossings", np.int64(9), "twist.crossings = 9"),
        ("swing_turns", 0.5, "exit.swing = 0.5"), ("peak_angle_deg", 95, 'exit.peak_angle = "95 deg"'),
        ("rated_load_lbf", 150, 'wire.rated_load = "150 lbf"'), ("radius_mm", 1.5, 'entry.radius = "1.5 mm"'),
        ("stub_d", 2, 'finish.stub = "2 d"'), ("handle", "80 mm", 'finish.handle = "80 mm"'), ("title", "T", 'title = "T"'),
    ],
)  # fmt: skip
def test_a_number_with_its_unit_is_the_quantity_in_text(keyword, value, text):
    least = 'wire.size = "MWG 12"\nwire.material = "302 stainless"\n'
    pin = "" if text.startswith("eye.pin") else 'eye.pin = "6 mm"\n'
    values = {key: own for key, own in LEAST.items() if key != "pin_mm" or pin}
    assert recipe_from_values({**values, keyword: value}) == recipe_from_text(f"{text}\n{least}{pin}")


def outside(key: Key) -> list[float]:
    assert key.limits is not None
    size = key.size(GOOD.wire.diameter_mm)
    low, high = key.limits.low * size, key.limits.high * size
    step = 1e-6 * max(high - low, 1e-3)
    ends = [low if key.limits.low_open else low - step, high if key.limits.high_open else high + step]
    return [*ends, math.nan, math.inf, -math.inf]


@pytest.mark.parametrize(("table", "key"), RANGED, ids=[f"{table}.{key.name}" for table, key in RANGED])
def test_every_value_out_of_its_range_is_refused(table, key):
    """The part refuses what it can tell without the wire; the recipe refuses the rest."""
    part = getattr(GOOD, table)
    for value in outside(key):
        with pytest.raises(ValidationError) as refused:
            replace(GOOD, **{table: replace(part, **_given(table, key, value))})
        (fault,) = refused.value.faults
        assert (fault.path.name, fault.code) == (f"{table}.{key.name}", "out-of-range"), value


def _given(table: str, key: Key, value: object) -> dict[str, object]:
    """The change of the part: a stated leg or swing stands in place of a style."""
    return {key.attribute: value} | ({"style": "given"} if table == "exit" and key.name in ("leg", "swing") else {})


@pytest.mark.parametrize(("table", "key"), VALUES, ids=[f"{table}.{key.name}" for table, key in VALUES])
def test_every_value_of_another_kind_is_refused(table, key):
    for value in ([], {}, True, "sideways", b"4"):
        with pytest.raises(ValidationError) as refused:
            replace(getattr(GOOD, table), **_given(table, key, value))
        assert refused.value.faults[0].path.name == f"{table}.{key.name}"
        assert refused.value.faults[0].code in ("wrong-type", "not-a-choice")


@pytest.mark.parametrize(
    ("change", "found"),
    [
        ({"turns": -3, "hand": "sideways"}, [("twist.turns", "out-of-range"), ("twist.hand", "not-a-choice")]),
        ({"pin_mm": -1, "lay_d": "4"}, [("twist.lay_d", "wrong-type"), ("eye.pin_mm", "out-of-range")]),
        ({"pin": "6 mm"}, [("eye.pin", "conflict")]),
        ({"lay_d": 2}, [("twist.lay_d", "lay-too-short")]),
        ({"turns": 0, "wraps": 0}, [("twist.turns", "no-joint")]),
        ({"peak_angle_deg": 80}, [("exit.peak_angle_deg", "too-sharp")]),
        ({"tolerance": {"lay_d": 2.5}}, [("tolerance.lay_d", "swamps")]),
        ({"exit": {"style": "bench", "leg_d": 3}}, [("exit.style", "conflict")]),
        ({"pins": 3}, [("pins", "unknown-key")]),
        ({"twist": {"turn": 3}}, [("twist.turn", "unknown-key")]),
        ({"twist": 3}, [("twist", "not-a-table")]),
        ({"turns": [5]}, [("twist.turns", "wrong-type")]),
    ],
)  # fmt: skip
def test_issues_are_told_at_once_at_the_keys_as_they_were_called(change, found):
    assert issues({**LEAST, **change}) == found


def test_what_cannot_exist_is_told_apart():
    with pytest.raises(InfeasibleJointError):
        recipe_from_values({**LEAST, "lay_d": 2})
    with pytest.raises(InfeasibleJointError):
        replace(GOOD, twist=replace(GOOD.twist, lay_mm=2.0 * GOOD.wire.diameter_mm))


@pytest.mark.parametrize(
    ("change", "name", "code"),
    [
        ({"exit": Exit("gradual", None, None, math.radians(80.0))}, "exit.peak_angle", "too-sharp"),
        ({"tolerance": replace(GOOD.tolerance, turns=3.0)}, "tolerance.turns", "swamps"),
        ({"twist": replace(GOOD.twist, turns=1000.0, lay_mm=21.0)}, "twist.lay_length", "too-long"),
        ({"title": 5}, "title", "wrong-type"),
        ({"units": "feet"}, "units", "not-a-choice"),
    ],
)
def test_what_does_not_go_together_is_refused_in_a_whole_recipe(change, name, code):
    with pytest.raises(ValidationError) as refused:
        replace(GOOD, **change)
    assert [(fault.path.name, fault.code) for fault in refused.value.faults] == [(name, code)]
    assert isinstance(GOOD.variant(twist=replace(GOOD.twist, turns=0.1)), Recipe)  # a study may ask what if


@pytest.mark.parametrize(
    ("style", "leg_mm", "code"),
    [("given", None, "missing"), ("bench", 2.0, "conflict"), ("straight", None, "not-a-choice")],
)
def test_the_style_of_an_exit_goes_with_its_leg_and_swing(style, leg_mm, code):
    with pytest.raises(ValidationError) as refused:
        Exit(style, leg_mm, None, None)
    assert [(fault.path.name, fault.code) for fault in refused.value.faults] == [("exit.style", code)]


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"diameter_mm": 0.0}, "wire.diameter"), ({"rated_load_n": -1.0}, "wire.rated_load"), ({"material": 3}, "wire.material"),
        ({"modulus_mpa": 1.0}, "wire.own.modulus"), ({"density_kg_m3": math.nan}, "wire.own.density"),
        ({"strength_mpa": (2000.0, 1900.0, 2100.0)}, "wire.own.strength"),
        ({"strength_mpa": (1.0, 1900.0, 2100.0)}, "wire.own.strength_low"),
    ],
)  # fmt: skip
def test_a_wire_is_checked_too(change, name):
    with pytest.raises(ValidationError) as refused:
        replace(GOOD.wire, **change)
    assert [fault.path.name for fault in refused.value.faults] == [name]


def test_parts_will_do_for_their_tables():
    parts = {name: getattr(GOOD, name) for name in TABLES}
    assert_close(GOOD, recipe_from_values({"title": GOOD.title, **parts}))
