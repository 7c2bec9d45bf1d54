"""Keys of a recipe beside each other, and values at their limits.

Map of what must hold:
  keys that contradict each other are one fault, at one of them
  a value on its limit reads, in any unit
  what cannot exist, and nothing else, is a InfeasibleJointError
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
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_checks import TOUCHING_BARREL_DEG
from tests.model.recipe.faulty_recipes import LEAST, faults_of

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
