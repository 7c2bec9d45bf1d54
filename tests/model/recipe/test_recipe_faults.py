"""A recipe that cannot be used: every fault at once, each at its line and key, each saying what is right.

Map of what must hold:
  one thing wrong gives one fault, at the line and key where it stands, in one printable line
  several things wrong give every one of their faults, in the order of the file
  whatever a key holds, nothing but ValidationError is raised
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.errors import ValidationError
from helix.model.recipe.recipe import RECIPE_TEMPLATE, recipe_from_text
from helix.model.recipe.recipe_keys import KEYS
from tests.model.recipe.faulty_recipes import LEAST, faults_of

GOOD = {
    "": ('title = "Joint"', 'units = "metric"'),
    "wire": ('size = "MWG 12"', 'material = "302 stainless"'),
    "eye": ('pin = "6 mm"',),
    "twist": ("turns = 5",),
    "entry": ('radius = "tangent"',),
    "exit": ('peak_angle = "100 deg"',),
    "barrel": ("wraps = 5",),
    "finish": ('stub = "1 d"',),
    "tolerance": ("swing = 0.25",),
}


def with_line(table: str, line: str) -> tuple[str, int]:
    """GOOD with one line under a table ("" is the top) in place of what it replaces; and its number."""
    key = line.split(" =")[0].split(".")[0]
    replaced = (key, "turns") if key == "crossings" else (key,)
    written: list[str] = []
    number = 0
    for name, lines in GOOD.items():
        written += [f"[{name}]"] if name else []
        written += [each for each in lines if name != table or each.split(" =")[0] not in replaced]
        if name == table:
            written.append(line)
            number = len(written)
    return "\n".join(written) + "\n", number


ONE_FAULT = [
    # what counts: turns and wraps
    ("twist", "turns = -1", "must be 0 or more; got"),
    ("twist", "turns = 1e9", "at most 1000 (more is not computed); got 1000000000.0"),
    ("twist", "turns = 1000.5", "at most 1000"),
    ("twist", "turns = nan", "got not a number"),
    ("twist", "turns = inf", "got inf"),
    ("twist", "turns = -inf", "got -inf"),
    ("twist", 'turns = "5"', 'must be a bare number, at least 0 and at most 1000 (more is not computed); got "5"'),
    ("twist", 'turns = "5 d"', "must be a bare number"),
    ("twist", 'turns = "5 turns"', 'got "5 turns"; write turns = 5'),
    ("twist", "turns = true", "must be a bare number, at least 0 and at most 1000 (more is not computed); got true"),
    ("twist", "turns = [5]", "got a list"),
    ("twist", "turns = {n = 5}", "got a table"),
    ("twist", "turns = 2024-01-01", "got the date or time 2024-01-01"),
    ("twist", "turns = 0x" + "f" * 9000, "got a number too long to show"),
    ("twist", "crossings = -2", "must be 0 or more; got"),
    ("twist", "evenness = 1.01", "at least 0 and at most 1; got 1.01"),
    ("twist", "evenness = -0.5", "must be 0 or more; got"),
    ("twist", "evenness = false", "got false"),
    ("barrel", "wraps = 1e9", "at least 0 and at most 1000"),
    ("exit", "swing = 0", "must be more than 0; got"),
    ("exit", "swing = 11", "above 0 and at most 10"),
    ("tolerance", "wraps = -1", "must be 0 or more; got"),
    ("tolerance", "ramp_share = 0.6", "at least 0 and at most 0.5"),
    # what carries a unit
    ("twist", "lay_length = 4", 'must be text with a unit, such as "4 d"; got 4'),
    ("twist", 'lay_length = "4"', 'such as "4 d"; got "4", which has no unit'),
    ("twist", 'lay_length = "4 N"', "which is a force"),
    ("twist", 'lay_length = "-4 d"', "must be more than 0; got"),
    ("twist", 'lay_length = "0 mm"', "must be more than 0; got"),
    ("twist", 'lay_length = "nan d"', "not a finite number"),
    ("twist", 'lay_length = "101 d"', "at most 100 d"),
    ("twist", 'lay_length = "2,9 mm"', "decimal mark"),
    ("twist", 'lay_length = ""', "empty text"),
    ("twist", 'lay_angle = "0 deg"', "must be more than 0; got"),
    ("twist", 'lay_angle = "46 deg"', "give lay_length instead"),
    ("twist", 'lay_angle = "0.1 deg"', "a lay of at most 100 d"),
    ("twist", "lay_angle = 38.1", 'such as "38.1 deg"; got 38.1'),
    ("eye", "pin = 6", 'must be text with a unit, such as "6 mm"; got 6'),
    ("eye", 'pin = "0 mm"', "must be more than 0; got"),
    ("eye", 'pin = "-6 mm"', "must be more than 0; got"),
    ("eye", 'pin = "1 m"', "at most 1000 d"),
    ("eye", "throat = 90", 'must be "tangent" or text with a unit, such as "90 deg"; got 90'),
    ("eye", 'throat = "tangnt"', 'must be "tangent" or an angle such as "90 deg"; got "tangnt"'),
    ("eye", 'throat = "180 deg"', "at least 1 deg and at most 175 deg"),
    ("eye", 'throat = "0 rad"', "at least 1 deg and at most 175 deg"),
    ("entry", 'radius = "0.5 d"', "above 0.5 d and at most 1000 d (at half a diameter the wire folds)"),
    ("entry", "radius = true", 'must be "tangent" or text with a unit'),
    ("exit", 'leg = "0 d"', "must be at least 0.05 d and at most 100 d; got"),
    ("exit", 'peak_angle = "80.8 deg"', "must be above 80.84 deg, the angle that the barrel itself has"),
    ("exit", 'peak_angle = "180 deg"', "below 180 deg"),
    ("barrel", 'pitch = "0.4 d"', "at least 0.5 d and at most 20 d (wraps touch at 1.013 d)"),
    ("barrel", 'pitch = "tuching"', 'must be "touching" or a length such as "1.2 d"'),
    ("finish", 'stub = "-1 d"', "must be 0 or more; got"),
    ("finish", 'handle = "-1 mm"', "must be 0 or more; got"),
    ("finish", 'standing = "0 mm"', "must be more than 0; got"),
    ("finish", 'standing = "1 km"', '"km" is not one of mm'),
    ("tolerance", 'lay = "-0.1 d"', "must be 0 or more; got"),
    ("tolerance", "pin = 0.1", "must be text with a unit"),
    # words
    ("twist", 'hand = "lefft"', 'must be "right" or "left"; got "lefft"; did you mean "left"?'),
    ("twist", "hand = 1", 'must be "right" or "left"; got 1'),
    ("barrel", 'hand = "right"', 'must be "same" or "opposite"; got "right"'),
    ("exit", 'style = "given"', 'must be "gradual" or "bench"'),
    ("", 'units = "inche"', 'must be "metric" or "inch"; got "inche"; did you mean "inch"?'),
    ("", "title = 5", 'must be text in quotes, such as "My joint"; got 5'),
    ("", 'title = ""', "one line of 1 to 200 characters"),
    ("", 'title = "a\\nb"', "one line of 1 to 200 characters"),
    ("", 'title = "\\u001b[31mred"', "one line of 1 to 200 characters"),
    # the wire
    ("wire", "size = 12", 'must be a gauge family and a number in quotes, such as "MWG 12"'),
    ("wire", 'size = "12"', "one number means different wire in each family"),
    ("wire", 'size = "MWG 38"', "MWG runs from 2 to 20 here"),
    ("wire", 'size = "AWG 50"', "AWG runs from 0 to 40 here"),
    ("wire", 'size = "SWG 12"', "SWG is the US Steel Wire gauge in some tables"),
    ("wire", 'size = "XYZ 12"', "of family MWG or AWG"),
    ("wire", 'diameter = "4 d"', "the wire diameter, cannot be used here"),
    ("wire", 'diameter = "60 mm"', "at least 0.01 mm and at most 50 mm"),
    ("wire", 'diameter = "0 mm"', "at least 0.01 mm"),
    ("wire", 'diameter = "0.76 mm"', "must be within 2% of MWG 12, 0.737 mm (0.0290 in), or stand without it"),
    ("wire", 'material = "302 stainles"', 'did you mean "302 stainless"?'),
    ("wire", "material = 302", "must be text in quotes"),
    ("wire", 'rated_load = "0 N"', "must be more than 0; got"),
    ("wire", 'rated_load = "150 kg"', "write kgf"),
    ("wire", 'rated_load = "700 MPa"', "which is a stress"),
    # keys that are not
    ("twist", 'lay_lenght = "4 d"', "is not a key of [twist]; did you mean lay_length?"),
    ("twist", 'Lay-Length = "4 d"', "did you mean lay_length?"),
    ("twist", "wraps = 5", "wraps belongs under [barrel]"),
    ("twist", "wrapz = 5", "did you mean wraps, which belongs under [barrel]?"),
    ("twist", "zzz = 5", "its keys are turns, crossings, lay_length"),
    ("eye", "pin.size = 3", "must be text with a unit"),
    ("", "turns = 5", "turns belongs under [twist]"),
    ("", "barel = 5", "did you mean barrel?"),
]


@pytest.mark.parametrize(("table", "line", "reason"), ONE_FAULT, ids=[f"{t}-{text[:30]}" for t, text, _ in ONE_FAULT])
def test_one_thing_wrong_is_one_fault_at_its_place(table, line, reason):
    text, number = with_line(table, line)
    key = line.split(" =")[0].split(".")[0]
    (fault,) = faults_of(text)
    assert fault.startswith(f"j.toml line {number}: [{table}] {key}: " if table else f"j.toml line {number}: {key}: ")
    assert reason in fault


@pytest.mark.parametrize("key", ['""', '"a\\nb"', "'a b'", '"\\u202e"', '"k' + "x" * 5000 + '"'])
def test_a_strange_key_is_shown_harmlessly(key):
    text, number = with_line("twist", f"{key} = 5")
    (fault,) = faults_of(text)
    assert "is not a key of [twist]; its keys are turns, " in fault
    assert fault.startswith((f"j.toml line {number}: ", f"j.toml line {number - 2}: "))  # its own or its table's


def test_all_faults_at_once_in_the_order_of_the_file():
    text = """
titel = "x"
turns = 5
[wire]
size = 12
material = "303 stainles"
[eye]
pin = 6
[twist]
lay_length = 4
evenness = true
[barrel]
wraps = 1e9
pich = "touching"
[finish]
stub = "0,5 mm"
[what]
"""
    faults = faults_of(text)
    lines = [int(re.search(r"line ([0-9]+)", fault)[1]) for fault in faults]
    assert lines == sorted(lines)
    at_fault = {
        n for n, line in enumerate(text.splitlines(), 1) if line.strip() and line != "[what]" and "[" not in line
    }
    assert set(lines) == at_fault | {text.splitlines().index("[what]") + 1}
    assert len(faults) == len(set(lines))


def test_what_is_missing_is_named_with_what_to_write():
    faults = faults_of('title = "x"')
    assert [fault.split(": ")[1] for fault in faults] == ["[wire] size", "[wire] material", "[eye] pin"]
    assert all("is missing: give " in fault for fault in faults)


@pytest.mark.parametrize("name", sorted(KEYS))
@pytest.mark.parametrize("value", ["5", '"x"', "[1]", "[{}]", "true", "2024-01-01"])
def test_a_table_that_is_none_is_one_fault(name, value):
    text = f"{name} = {value}\n" + "\n".join(
        f"[{table}]\n{lines}"
        for table, lines in (("wire", 'size = "MWG 12"\nmaterial = "music wire"'), ("eye", 'pin = "6 mm"'))
        if table != name
    )
    (fault,) = faults_of(text)
    assert fault.startswith(f"j.toml line 1: [{name}]: must be a table, [{name}] on a line of its own; got ")


@pytest.mark.parametrize("count", [19, 20, 21, 22, 500])
def test_hundreds_of_unknown_keys_are_not_hundreds_of_lines(count):
    faults = faults_of(LEAST + "[twist]\n" + "\n".join(f"k{number} = 1" for number in range(count)))
    assert len(faults) == min(count, 20)
    assert ("more keys after it" in faults[-1]) == (count > 20)
    if count > 20:
        assert f"k19: is not a key of [twist], nor are {count - 20} more keys" in faults[-1]


VALUES = st.one_of(
    st.sampled_from(
        ["1", "-1", "0", "1e9", "nan", "inf", "-inf", "true", "[]", "{}", '""', '"tangent"', '"4 d"', '"4"', '"4 N"']
    ),
    st.sampled_from(
        ['"90 deg"', '"nan mm"', '"0 d"', '"-3 mm"', '"1e308 m"', "2024-01-01", "0xffff", '"\\u0000"', "[[1]]"]
    ),
    st.text(max_size=12).map(lambda text: "'" + re.sub(r"['\x00-\x1f\x7f]", "", text) + "'"),
    st.floats().map(lambda number: str(number)),
)


@given(st.data())
def test_whatever_a_key_holds_the_answer_is_a_recipe_or_faults(data):
    table = data.draw(st.sampled_from(sorted(KEYS)))
    key = data.draw(st.sampled_from(KEYS[table]))
    value = data.draw(VALUES)
    kept = [line for line in RECIPE_TEMPLATE.splitlines() if not line.startswith("#")]
    body = kept.index(next(line for line in kept if line.startswith(f"[{table}]"))) + 1
    kept = [line for n, line in enumerate(kept) if not (line.startswith(f"{key} =") and _table_at(kept, n) == table)]
    text = "\n".join([*kept[:body], f"{key} = {value}", *kept[body:]])
    try:
        recipe_from_text(text, "j.toml")
    except ValidationError as error:
        assert str(error).count("\n") == len(error.faults) - 1
        assert all(str(fault).isprintable() for fault in error.faults)


def _table_at(lines: list[str], number: int) -> str:
    heads = [line for line in lines[:number] if line.startswith("[")]
    return heads[-1].split("]")[0][1:] if heads else ""
