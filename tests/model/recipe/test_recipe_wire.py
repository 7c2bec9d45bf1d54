"""The wire of a recipe: listed, or with numbers of one's own.

Map of what must hold:
  a fault of the wire's diameter makes no faults of lengths that are right, and hides none that can be told without it
  an own wire is checked like the rest; a diameter outside its material's table names the range
"""

from __future__ import annotations

import pytest

from tests.model.recipe.faulty_recipes import faults_of


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
