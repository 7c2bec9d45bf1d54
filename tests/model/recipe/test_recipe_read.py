"""Reading a good recipe: what is stated, what is filled in, and that both ways of saying it agree.

Map of what must hold:
  every recipe that the strategy makes reads, with values inside the ranges of docs/recipe.md
  a recipe and the same one at another size of wire, in d, are the same numbers of d
  turns = crossings / 2; lay_length, lay_angle and length are three ways to one lay
  the order of tables and keys means nothing
  the template states every default and nothing else; in inches it is the same joint to 2 %
"""

from __future__ import annotations

import dataclasses
import json
import math
import re
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import RECIPE_TEMPLATE, Exit, recipe_from_text, recipe_to_dict
from helix.model.recipe.recipe_keys import KEYS
from helix.model.recipe.recipe_writing import recipe_template
from tests.tools.strategies import recipe_texts

LEAST = """
[wire]
size = "MWG 12"
material = "302 stainless"
[eye]
pin = "6 mm"
"""
D = 0.029 * 25.4


def twist_of(lines: str):
    return recipe_from_text(f"{LEAST}[twist]\n{lines}").twist


def test_all_but_wire_and_eye_has_a_default():
    recipe = recipe_from_text(LEAST)
    assert recipe.wire.diameter_mm == pytest.approx(D, rel=1e-15)
    assert (recipe.wire.size, recipe.wire.material) == ("MWG 12", "302 stainless")
    assert (recipe.eye.pin_mm, recipe.eye.throat_rad) == (6.0, None)
    twist = recipe.twist
    assert (twist.turns, twist.lay_mm, twist.evenness, twist.hand) == (5.0, pytest.approx(4 * D), 1.0, "right")
    assert twist.length_mm is None and recipe.entry.radius_mm is None
    assert recipe.exit == Exit("gradual", None, None, None)
    assert (recipe.barrel.wraps, recipe.barrel.pitch_mm, recipe.barrel.hand) == (5.0, None, "same")
    assert dataclasses.astuple(recipe.finish) == pytest.approx((D, 60.0, 300.0))
    tolerance = (0.2 * D, 0.1, 0.02 * D, 0.25, 0.1, 0.25, 0.5 * D, 1.0, 0.03)
    assert dataclasses.astuple(recipe.tolerance) == pytest.approx(tolerance)
    assert (recipe.units, recipe.notes) == ("metric", ())


def test_the_template_states_every_default_and_every_key():
    stated, least = recipe_from_text(RECIPE_TEMPLATE), recipe_from_text(LEAST)
    assert dataclasses.replace(stated, title=least.title) == least
    written = RECIPE_TEMPLATE.replace("# ", "")
    for table, keys in KEYS.items():
        assert f"[{table}]" in written
        for key in keys:
            assert f"{key} = " in written or key == "own" and "[wire.own]" in written, (table, key)


def test_the_template_in_inches_is_the_same_joint_to_rounding():
    metric, inch = (recipe_from_text(recipe_template(units)) for units in ("metric", "inch"))
    assert recipe_template("metric") == RECIPE_TEMPLATE
    assert (metric.units, inch.units) == ("metric", "inch")
    same = ("title", "wire", "twist", "entry", "exit", "barrel")
    assert all(getattr(inch, part) == getattr(metric, part) for part in same)
    for part in ("eye", "finish", "tolerance"):
        ours, theirs = (dataclasses.asdict(getattr(recipe, part)) for recipe in (inch, metric))
        for same_key in ("throat_rad", "throat_made", "pair"):
            assert ours.pop(same_key, None) == theirs.pop(same_key, None)
        assert ours != theirs and ours == pytest.approx(theirs, rel=0.02)
    finish = inch.finish
    stated = (inch.eye.pin_mm, finish.handle_mm, finish.standing_mm, inch.tolerance.pin_mm, inch.tolerance.handle_mm)
    assert stated == pytest.approx([25.4 * size for size in (0.24, 2.4, 12, 0.004, 0.04)], rel=1e-12)
    lengths = [build_joint(recipe).wire_mm for recipe in (metric, inch)]
    assert lengths[1] == pytest.approx(lengths[0], rel=0.02)


def test_the_template_in_inches_leaves_no_metric_unit_and_moves_no_comment():
    metric, inch = (recipe_template(units).partition("title =")[2].splitlines() for units in ("metric", "inch"))
    assert not re.search(r'[0-9] (mm|N|MPa|GPa|g/cm3)"', "\n".join(inch))
    for before, after in zip(metric, inch, strict=True):
        assert after.rfind(" # ") == before.rfind(" # ")


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_what_the_template_has_behind_a_number_sign_reads_too(units):
    text = recipe_template(units)
    own = re.findall(r"^# (\[wire[.]own\]|\w+ = \"[0-9.]+ [^\"]*\"$)", text, re.MULTILINE)
    assert len(own) == 6
    rated = re.search(r"^# (rated_load = \S+ \S+)", text, re.MULTILINE)[1]
    wire = "\n".join(["[wire]", 'diameter = "0.029 in"', rated, *own])
    recipe = recipe_from_text(f'{wire}\n[eye]\npin = "6 mm"')
    assert recipe.wire.strength_mpa == pytest.approx((1900, 2000, 2100), rel=0.002)
    assert recipe.wire.modulus_mpa == pytest.approx(190_000, rel=0.002)
    assert recipe.wire.density_kg_m3 == pytest.approx(7900, rel=0.002)
    assert recipe.wire.rated_load_n == pytest.approx(700, rel=0.003)


@given(recipe_texts())
def test_every_recipe_of_the_strategy_reads_within_its_ranges(text):
    recipe = recipe_from_text(text)
    d = recipe.wire.diameter_mm
    low, nominal, high = recipe.wire.strength_mpa
    assert 0 < low <= nominal <= high < 1e4
    assert 0 <= recipe.twist.turns <= 12 and 2.0 < recipe.twist.lay_mm / d <= 12.1
    assert recipe.barrel.wraps + recipe.twist.turns > 0
    assert 0 <= recipe.twist.evenness <= 1
    assert recipe.eye.pin_mm > 0 and recipe.finish.standing_mm > 0
    assert recipe.eye.throat_rad is None or 0 < recipe.eye.throat_rad < math.pi
    assert (recipe.exit.style == "given") == (recipe.exit.leg_mm is not None or recipe.exit.swing_turns is not None)


@given(recipe_texts())
def test_a_recipe_goes_into_json_and_back(text):
    recipe = recipe_from_text(text)
    record = recipe_to_dict(recipe)
    assert json.loads(json.dumps(record, allow_nan=False)) == record
    given_tables = set(tomllib.loads(text))
    assert given_tables <= set(record)
    assert record["twist"]["turns"] == recipe.twist.turns
    assert record["wire"]["breaking_load_n"] == recipe.wire.breaking_load_n[1]
    if recipe.eye.throat_rad is not None:
        assert math.radians(record["eye"]["throat_deg"]) == pytest.approx(recipe.eye.throat_rad, rel=1e-15)


@given(recipe_texts(), st.randoms(use_true_random=False))
def test_the_order_of_the_tables_means_nothing(text, random):
    tables = text.strip().split("\n\n")
    top = [part for part in tables if not part.startswith("[")]
    rest = [part for part in tables if part.startswith("[")]
    random.shuffle(rest)
    assert recipe_from_text("\n\n".join(top + rest)) == recipe_from_text(text)


@given(st.floats(0.1, 5.0), st.floats(2.1, 12.0), st.floats(0.6, 4.0), st.floats(0.9, 2.0), st.floats(0.5, 8.0))
def test_a_recipe_in_wire_diameters_scales_with_the_wire(d_mm, lay, radius, pitch, leg):
    def read(diameter: float):
        return recipe_from_text(f"""
            [wire]
            diameter = "{diameter!r} mm"
            own = {{strength = "2 GPa", modulus = "190 GPa", density = "7.9 g/cm3"}}
            [eye]
            pin = "8 d"
            [twist]
            lay_length = "{lay!r} d"
            [entry]
            radius = "{radius!r} d"
            [exit]
            leg = "{leg!r} d"
            [barrel]
            pitch = "{pitch!r} d"
            """)

    one, other = read(1.0), read(d_mm)

    def sizes(recipe):
        tolerance = recipe.tolerance
        return (
            recipe.eye.pin_mm, recipe.twist.lay_mm, recipe.entry.radius_mm, recipe.exit.leg_mm,
            recipe.barrel.pitch_mm, recipe.finish.stub_mm, tolerance.lay_mm, tolerance.wrap_gap_mm,
            tolerance.stub_mm,
        )  # fmt: skip

    assert sizes(other) == pytest.approx([d_mm * size for size in sizes(one)], rel=1e-14)
    assert other.wire.breaking_load_n[1] == pytest.approx(one.wire.breaking_load_n[1] * d_mm**2, rel=1e-14)


@given(st.floats(0.25, 400.0))
def test_a_turn_is_two_crossings(turns):
    assert twist_of(f"crossings = {2 * turns!r}") == twist_of(f"turns = {turns!r}")


@given(st.floats(2.1, 12.0), st.floats(0.5, 12.0))
def test_the_lay_can_be_stated_in_three_ways(lay_d, turns):
    by_length = twist_of(f'turns = {turns!r}\nlength = "{turns * lay_d!r} d"')
    assert by_length.lay_mm == pytest.approx(lay_d * D, rel=1e-14)
    assert by_length.length_mm == pytest.approx(turns * lay_d * D, rel=1e-14)
    if lay_d >= math.pi:
        by_angle = twist_of(f'turns = {turns!r}\nlay_angle = "{math.atan(math.pi / lay_d)!r} rad"')
        assert by_angle.lay_mm == pytest.approx(lay_d * D, rel=1e-13)


def test_the_lay_angle_of_the_issue_of_four_diameters():
    # geometry: the lay angle of an even twist at H = 4 D is 38.14603 deg
    assert twist_of('lay_angle = "38.14603 deg"').lay_mm == pytest.approx(4 * D, rel=1e-6)


def test_forty_five_degrees_is_a_lay_of_pi_diameters():
    assert twist_of('lay_angle = "45 deg"').lay_mm == pytest.approx(math.pi * D, rel=1e-15)


@given(st.floats(2.1, 12.0), st.floats(-0.0099, 0.0099))
def test_two_statements_that_agree_leave_a_note(lay_d, off):
    recipe = recipe_from_text(
        f'{LEAST}[twist]\nturns = 5\nlay_length = "{lay_d!r} d"\nlength = "{5 * lay_d / (1 + off)!r} d"'
    )
    assert recipe.twist.lay_mm == pytest.approx(lay_d * D, rel=1e-14)
    assert [note.code for note in recipe.notes] == ["lays-agree"]


def test_length_and_lay_give_the_turns_where_none_are_stated():
    recipe = recipe_from_text(f'{LEAST}[twist]\nlay_length = "4 d"\nlength = "14 d"')
    assert recipe.twist.turns == pytest.approx(3.5, rel=1e-14)
    assert [note.code for note in recipe.notes] == ["turns-from-length"] and recipe.twist.turns == pytest.approx(3.5)


@pytest.mark.parametrize(
    ("lines", "style", "leg_d", "swing", "peak_deg"),
    [
        ("", "gradual", None, None, None),
        ('style = "bench"', "bench", None, None, None),
        ('leg = "3 d"', "given", 3.0, None, None),
        ("swing = 0.5", "given", None, 0.5, None),
        ('leg = "3 d"\nswing = 0.5\npeak_angle = "100 deg"', "given", 3.0, 0.5, 100.0),
        ('peak_angle = "100 deg"', "gradual", None, None, 100.0),
        ('style = "bench"\npeak_angle = "100 deg"', "bench", None, None, 100.0),
    ],
)
def test_a_leg_or_a_swing_makes_an_exit_a_given_one(lines, style, leg_d, swing, peak_deg):
    found = recipe_from_text(f"{LEAST}[exit]\n{lines}").exit
    assert (found.style, found.swing_turns) == (style, swing)
    assert found.leg_mm == (None if leg_d is None else pytest.approx(leg_d * D, rel=1e-15))
    assert found.peak_angle_rad == (None if peak_deg is None else pytest.approx(math.radians(peak_deg)))


def test_a_recipe_cannot_be_changed():
    recipe = recipe_from_text(LEAST)
    for part in (recipe, recipe.wire, recipe.eye, recipe.twist, recipe.exit, recipe.barrel, recipe.tolerance):
        name = dataclasses.fields(part)[0].name
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(part, name, None)


def test_a_measured_diameter_is_used_rather_than_its_size():
    text = '[wire]\nsize = "MWG 12"\ndiameter = "0.74 mm"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"'
    recipe = recipe_from_text(text)
    assert recipe.wire.diameter_mm == 0.74
    assert recipe.twist.lay_mm == pytest.approx(4 * 0.74)
    assert [note.code for note in recipe.notes] == ["diameter-off-size"]
    assert "0.46 % off MWG 12" in str(recipe.notes[0]["text"])


def test_a_rated_load_above_the_breaking_load_leaves_a_note():
    text = LEAST.replace("[eye]", 'rated_load = "900 N"\n[eye]')
    recipe = recipe_from_text(text)
    assert recipe.wire.rated_load_n == 900.0 > recipe.wire.breaking_load_n[1]
    assert [note.code for note in recipe.notes] == ["rated-above-nominal"]


def test_over_twist_by_a_stated_length_asks_whether_crossings_were_meant():
    recipe = recipe_from_text(f'{LEAST}[twist]\nturns = 10\nlength = "25 d"')
    assert [note.code for note in recipe.notes] == ["over-twisted-count"]
    assert "crossings = 10" in str(recipe.notes[0]["text"])


def test_an_own_wire_may_state_its_strength_alone():
    recipe = recipe_from_text(
        '[wire]\ndiameter = "1 mm"\n[wire.own]\nname = "coil 7"\nstrength = "2000 MPa"\nmodulus = "190 GPa"\n'
        'density = "7.9 g/cm3"\n[eye]\npin = "6 mm"'
    )
    wire = recipe.wire
    assert (wire.material, wire.strength_mpa, wire.modulus_mpa) == ("coil 7", (2000.0, 2000.0, 2000.0), 190e3)
    assert wire.density_kg_m3 == pytest.approx(7900.0)
    assert "[own]" in wire.source


@pytest.mark.parametrize(("table", "key"), [("twist", "turns"), ("barrel", "wraps")])
def test_a_count_next_to_nothing_is_none(table: str, key: str) -> None:
    """A count whose length vanishes in the rounding would be divided by (found by attack with 2e-311 turns)."""
    counts = {
        value: getattr(getattr(recipe_from_text(LEAST + f"[{table}]\n{key} = {value!r}\n"), table), key)
        for value in (2.3e-311, 9e-13, 1e-12)
    }
    assert counts == {2.3e-311: 0.0, 9e-13: 0.0, 1e-12: 1e-12}
