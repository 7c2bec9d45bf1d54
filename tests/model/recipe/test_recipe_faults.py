"""A recipe that cannot be used: every fault at once, each at its line and key, each saying what is right.

Map of what must hold:
  one thing wrong gives one fault, at the line and key where it stands, in one printable line
  several things wrong give every one of their faults, in the order of the file
  a fault of the wire's diameter does not make faults of lengths that are right
  what cannot exist, and nothing else, is a InfeasibleJointError
  whatever a key holds, nothing but ValidationError is raised
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.errors import InfeasibleJointError, ValidationError
from helix.geometry.twist.packing import zero_twist
from helix.geometry.twist.strands import touching_pitch
from helix.mechanics import limits
from helix.model.recipe.recipe import RECIPE_TEMPLATE, recipe_from_text
from helix.model.recipe.recipe_checks import TOUCHING_BARREL_DEG
from helix.model.recipe.recipe_keys import KEYS

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


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(text, "j.toml")
    lines = tuple(str(fault) for fault in caught.value.faults)
    assert str(caught.value).split("\n") == list(lines)
    for line in lines:
        assert line.isprintable() and line.startswith("j.toml") and 20 < len(line) < 400
    return lines


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


CROSS = [
    ("turns and crossings", "[twist]\nturns = 5\ncrossings = 10", "crossings", "must not stand beside turns"),
    ("style and leg", '[exit]\nstyle = "bench"\nleg = "3 d"', "style", "must not stand beside leg"),
    (
        "style and both",
        '[exit]\nstyle = "bench"\nleg = "3 d"\nswing = 1',
        "style",
        "must not stand beside leg and swing",
    ),
    ("length alone", '[twist]\nlength = "20 d"', "length", "must have turns, crossings or lay_length beside it"),
    ("length of no turns", '[twist]\nturns = 0\nlength = "20 d"', "length", "must be left out where turns is 0"),
    (
        "lay and angle",
        '[twist]\nlay_length = "4 d"\nlay_angle = "30 deg"',
        "lay_angle",
        "lay_length within 1%: it gives a lay of 5.441 d (4.01 mm), lay_length says 4 d (2.95 mm)",
    ),
    (
        "lay and length",
        '[twist]\nturns = 5\nlay_length = "4 d"\nlength = "21 d"',
        "length",
        "it gives a lay of 4.2 d (3.09 mm) with turns = 5, lay_length says 4 d (2.95 mm)",
    ),
    (
        "lay and length by crossings",
        '[twist]\ncrossings = 10\nlay_length = "4 d"\nlength = "21 d"',
        "length",
        "with crossings = 10, lay_length says",
    ),
    (
        "crossings as turns",
        '[twist]\nturns = 10\nlay_length = "4 d"\nlength = "20.5 d"',
        "turns",
        "turns = 10 in this length gives a lay of 2.05 d (1.51 mm), crossings = 10 gives 4.1 d (3.02 mm)",
    ),
    (
        "turns as crossings",
        '[twist]\ncrossings = 5\nlay_length = "4 d"\nlength = "20 d"',
        "crossings",
        "5 looks like a count of turns: turns = 5 agrees with lay_length",
    ),
    ("too long", '[twist]\nturns = 1000\nlay_length = "21 d"', "lay_length", "a twist of at most 20000 d; got 21000 d"),
    ("too many turns", '[twist]\nlay_length = "3 d"\nlength = "3003 d"', "length", "at most 1000 turns of the lay"),
    ("no joint", "[twist]\nturns = 0\n[barrel]\nwraps = 0", "turns", "got 0 of both, which is no joint"),
    ("open barrel", '[exit]\npeak_angle = "76 deg"\n[barrel]\npitch = "1.5 d"', "peak_angle", "above 76.57 deg"),
]
LEAST = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n'


@pytest.mark.parametrize(("text", "key", "reason"), [case[1:] for case in CROSS], ids=[case[0] for case in CROSS])
def test_keys_that_contradict_each_other(text, key, reason):
    (fault,) = faults_of(LEAST + text)
    assert f"] {key}: " in fault and reason in fault
    line = int(re.search(r"line ([0-9]+)", fault)[1])
    assert (LEAST + text).splitlines()[line - 1].startswith(f"{key} =")


AT_A_LIMIT = [
    ("twist", "turns = 0"),
    ("twist", "turns = 1000"),
    ("twist", "crossings = 2000"),
    ("twist", "evenness = 0"),
    ("twist", "evenness = 1"),
    ("twist", f'lay_length = "{100 * 0.029!r} in"'),
    ("twist", f'lay_angle = "{math.pi / 4!r} rad"'),
    ("twist", f'turns = 1000\nlength = "{20_000 * 0.029!r} in"'),
    ("twist", f'turns = 1\nlay_length = "4 d"\nlength = "{4 * 0.7366 / 1.01!r} mm"'),
    ("eye", f'pin = "{1000 * 0.029!r} in"'),
    ("eye", 'throat = "1 deg"'),
    ("eye", f'throat = "{math.radians(175)!r} rad"'),
    ("entry", f'radius = "{1000 * 0.7366!r} mm"'),
    ("exit", 'leg = "2.9 in"'),
    ("exit", "swing = 10"),
    ("exit", f'peak_angle = "{math.atan2(2 * math.pi, touching_pitch())!r} rad"'),
    ("barrel", "wraps = 0"),
    ("barrel", "wraps = 1000"),
    ("barrel", f'pitch = "{0.5 * 0.029!r} in"'),
    ("barrel", f'pitch = "{20 * 0.7366!r} mm"'),
    ("finish", 'stub = "0 mm"'),
    ("finish", 'handle = "0 d"'),
    ("finish", 'handle = "100 m"'),
    ("finish", 'standing = "10000 cm"'),
    ("tolerance", "ramp_share = 0.5"),
    ("tolerance", 'lay = "0 d"'),
    ("wire", 'diameter = "0.751332 mm"'),
    ("wire", 'diameter = "0.721868 mm"'),
    ("wire", 'rated_load = "10000 kN"'),
]


@pytest.mark.parametrize(("table", "lines"), AT_A_LIMIT, ids=[lines for _, lines in AT_A_LIMIT])
def test_a_value_on_its_limit_reads_in_any_unit(table, lines):
    kept = LEAST.replace('pin = "6 mm"\n', "") if lines.startswith("pin") else LEAST
    text = kept.replace(f"[{table}]\n", f"[{table}]\n{lines}\n")
    recipe_from_text(text if text != kept else f"{kept}[{table}]\n{lines}\n")


def test_numbers_of_the_geometry_that_messages_state_are_those_of_the_kernel():
    assert math.degrees(math.atan2(2 * math.pi, touching_pitch())) == pytest.approx(TOUCHING_BARREL_DEG, abs=5e-7)
    assert zero_twist(2).lay == pytest.approx(limits.OVER_TWIST, abs=5e-7)
    assert f"wraps touch at {touching_pitch():.3f} d" in faults_of(LEAST + '[barrel]\npitch = "0.1 d"')[0]
    assert f"{touching_pitch():.6f} d" in (Path(__file__).parents[3] / "docs" / "recipe.md").read_text(encoding="utf-8")


def test_an_open_barrel_may_stand_at_its_own_angle():
    recipe_from_text(LEAST + '[exit]\npeak_angle = "76.6 deg"\n[barrel]\npitch = "1.5 d"')


CANNOT_EXIST = [
    ('lay_length = "2 d"', "lay_length", "an even twist cannot be laid shorter than 2 d"),
    ('lay_length = "1.2 d"', "lay_length", "got 1.2 d (0.884 mm)"),
    ('turns = 10\nlength = "14.7 mm"', "turns", "crossings = 10 gives 3.991 d (2.94 mm); write crossings"),
    ('turns = 30\nlength = "14.7 mm"', "length", "must give a lay above 2 d"),  # crossings would not mend it
]


@pytest.mark.parametrize(("twist", "key", "reason"), CANNOT_EXIST)
def test_a_lay_that_cannot_exist_is_a_refused_shape(twist, key, reason):
    with pytest.raises(InfeasibleJointError, match=re.escape(reason)) as caught:
        recipe_from_text(f"{LEAST}[twist]\n{twist}")
    (fault,) = caught.value.faults
    assert fault.place.endswith(f"[twist] {key}")


def test_a_refused_shape_beside_another_fault_is_a_fault_of_input():
    with pytest.raises(ValidationError) as caught:
        recipe_from_text(f'{LEAST}throat = 5\n[twist]\nlay_length = "2 d"')
    assert len(caught.value.faults) == 2 and not isinstance(caught.value, InfeasibleJointError)


@given(st.floats(1e-9, 2.0), st.integers(1, 12))
def test_every_lay_of_two_diameters_or_less_is_refused(lay_d, turns):
    with pytest.raises(ValidationError):
        recipe_from_text(f'{LEAST}[twist]\nturns = {turns}\nlay_length = "{lay_d!r} d"')


@given(st.integers(4, 12), st.floats(2.1, 12.0), st.floats(1.905, 2.095))
def test_every_length_that_crossings_would_mend_says_so(turns, lay_d, factor):
    (fault,) = faults_of(
        f'{LEAST}[twist]\nturns = {turns}\nlay_length = "{lay_d!r} d"\nlength = "{turns * lay_d / factor!r} d"'
    )
    assert f"{turns} looks like a count of crossings" in fault


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


@pytest.mark.parametrize(
    "wire", ['size = "MWG 99"', "diameter = 5", 'diameter = "4 d"', 'size = "MWG 12"\ndiameter = "9 mm"', ""]
)
def test_a_bad_diameter_makes_no_faults_of_lengths_that_are_right(wire):
    text = f"""
[wire]
{wire}
material = "302 stainless"
[eye]
pin = "900 mm"
[twist]
turns = 5
lay_length = "4 d"
length = "14.7 mm"
[entry]
radius = "1 um"
[exit]
leg = "3 d"
peak_angle = "81 deg"
[barrel]
pitch = "1.2 mm"
[finish]
stub = "0.7 mm"
handle = "80 d"
"""
    (fault,) = faults_of(text)
    assert "[wire]" in fault


def test_a_bad_diameter_hides_no_fault_that_can_be_told_without_it():
    faults = faults_of('[wire]\nsize = "MWG 99"\nmaterial = "gold"\n[eye]\npin = "0 mm"\n[entry]\nradius = "0.4 d"')
    assert [fault.split(": ")[1] for fault in faults] == [
        "[wire] size",
        "[wire] material",
        "[eye] pin",
        "[entry] radius",
    ]


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


OWN = 'strength = "2000 MPa"\nmodulus = "190 GPa"\ndensity = "7.9 g/cm3"'


@pytest.mark.parametrize(
    ("wire", "own", "key", "reason"),
    [
        ("", OWN.replace("strength", "# strength", 1), "strength", 'give strength = "2000 MPa"'),
        ("", OWN.replace("modulus", "# modulus", 1), "modulus", 'give modulus = "190 GPa"'),
        ("", OWN.replace("density", "# density", 1), "density", 'give density = "7.9 g/cm3"'),
        ("", OWN + '\nstrength_low = "2100 MPa"', "strength_low", "at most the strength"),
        ("", OWN + '\nstrength_high = "1900 MPa"', "strength_high", "at least the strength"),
        ("", OWN.replace("190 GPa", "190 MPa"), "modulus", "at least 1000 MPa"),
        ("", OWN.replace("7.9", "7900"), "density", "at most 30000 kg/m3"),
        ("", OWN.replace("2000 MPa", "2000 N"), "strength", "which is a force"),
        ("", OWN + '\nstrenght_low = "1 MPa"', "strenght_low", "did you mean strength_low?"),
        ("", OWN + '\ndiameter = "1 mm"', "diameter", "belongs under [wire]"),
        ("", OWN + "\nname = 7", "name", "must be text in quotes"),
        ('material = "music wire"', OWN, "material", "must not stand beside [wire.own]"),
    ],
)
def test_an_own_wire_is_checked_like_the_rest(wire, own, key, reason):
    (fault,) = faults_of(f'[wire]\ndiameter = "1 mm"\n{wire}\n[wire.own]\n{own}\n[eye]\npin = "6 mm"')
    table = "[wire]" if key == "material" else "[wire.own]"
    assert f"{table} {key}: " in fault and reason in fault


def test_an_own_wire_that_is_no_table():
    (fault,) = faults_of('[wire]\ndiameter = "1 mm"\nown = 5\n[eye]\npin = "6 mm"')
    assert "[wire.own]: must be a table" in fault


@pytest.mark.parametrize(
    ("material", "diameter", "range_said"),
    [
        ("302 stainless", "2.1 mm", "up to 2.03 mm (0.0800 in); got 2.10 mm (0.0827 in)"),
        ("music wire", "0.2 mm", "over 0.203 mm"),
        (
            "music wire",
            "1.6 mm",
            'up to 1.30 mm (0.0510 in); got 1.60 mm (0.0630 in); listed for that diameter: "302 stainless", ',
        ),
        ("music wire", "1.3 mm", "up to 1.2954 mm; got 1.3 mm; listed for that diameter: "),
        ("1.4401", "1.2 mm", "up to 1.00 mm (0.0394 in) or over 1.50 mm (0.0591 in) up to 2.00 mm"),
        ("1.4310 normal strength", "2.001 mm", "up to 2 mm; got 2.001 mm"),
    ],
)
def test_a_diameter_outside_the_table_names_the_range(material, diameter, range_said):
    (fault,) = faults_of(f'[wire]\ndiameter = "{diameter}"\nmaterial = "{material}"\n[eye]\npin = "6 mm"')
    assert f'[wire] material: "{material}" is listed here ' in fault and range_said in fault


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
