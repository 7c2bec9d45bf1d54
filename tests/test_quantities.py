"""Quantities read: pint is the oracle.

Map of what must hold:
  every unit here = the same unit in pint, to rounding, for any number
  scaling the number scales the value; a fraction reads as its quotient
  whatever else is written is refused with one sentence that offers something that reads
"""

from __future__ import annotations

import math
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix import quantities
from helix.quantities import parse, read_as

REGISTRY = pint.UnitRegistry()

# unit as helix writes it -> the same in pint; the internal unit of each dimension comes first
SAME_IN_PINT = {
    "length": {
        "mm": "millimeter", "cm": "centimeter", "m": "meter", "um": "micrometer", "\u00b5m": "micrometer",
        "\u03bcm": "micrometer", "in": "inch", "inch": "inch", "inches": "inch", "thou": "thou", "ft": "foot",
    },
    "angle": {
        "rad": "radian", "deg": "degree", "degree": "degree", "degrees": "degree", "\u00b0": "degree",
    },
    "force": {"N": "newton", "kN": "kilonewton", "lbf": "force_pound", "kgf": "kilogram_force", "lb": "force_pound",
              "lbs": "force_pound"},
    "stress": {
        "MPa": "megapascal", "GPa": "gigapascal", "kPa": "kilopascal", "Pa": "pascal",
        "psi": "psi", "ksi": "ksi", "Msi": "megapsi",
        "N/mm2": "newton/millimeter**2", "N/mm^2": "newton/millimeter**2",
    },
    "density": {
        "kg/m3": "kilogram/meter**3", "kg/m^3": "kilogram/meter**3", "g/cm3": "gram/centimeter**3",
        "g/cm^3": "gram/centimeter**3", "lb/in3": "pound/inch**3", "lb/in^3": "pound/inch**3",
    },
    "mass": {"kg": "kilogram", "g": "gram", "lb": "pound", "oz": "ounce"},
}  # fmt: skip
EVERY_UNIT = [(dimension, unit) for dimension, names in SAME_IN_PINT.items() for unit in names]
NUMBERS = st.floats(-1e12, 1e12, allow_nan=False, allow_infinity=False)


def in_pint(value: float, dimension: str, unit: str) -> float:
    internal = next(iter(SAME_IN_PINT[dimension].values()))
    return REGISTRY.Quantity(value, SAME_IN_PINT[dimension][unit]).to(internal).magnitude


def test_the_oracle_knows_every_unit_that_is_read():
    read = {dimension: set(names) for dimension, names in quantities._UNITS.items() if dimension != "none"}
    read["length"].discard("d")
    assert {dimension: set(names) for dimension, names in SAME_IN_PINT.items()} == read


@given(NUMBERS, st.sampled_from(EVERY_UNIT))
def test_every_unit_agrees_with_pint(number, dimension_and_unit):
    dimension, unit = dimension_and_unit
    read = parse(f"{number!r} {unit}", dimension)
    assert read == pytest.approx(in_pint(number, dimension, unit), rel=1e-14, abs=0.0)


@given(st.integers(0, 40), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from("+- "))
def test_fractions_read_as_their_quotient(whole, above, below, sign):
    sign = sign.strip()
    expected = (whole + above / below) * (-1 if sign == "-" else 1)  # exact: a power of two below
    mixed = f"{sign}{whole} {above}/{below} in"
    assert parse(mixed, "length") == expected * 25.4
    assert parse(mixed.replace(" ", "-", 1) if not sign else mixed, "length") == expected * 25.4
    assert parse(f"{sign}{above} / {below}in", "length") == (expected - math.copysign(whole, expected)) * 25.4


@given(st.floats(0.01, 50.0), st.floats(0.0, 1000.0))
def test_d_is_the_wire_diameter(d_mm, count):
    assert parse(f"{count!r} d", "length", d_mm) == count * d_mm
    with pytest.raises(ValueError, match="wire diameter, cannot be used here"):
        parse(f"{count!r} d", "length")


@pytest.mark.parametrize("dimension", ["angle", "force", "stress", "density"])
def test_d_is_no_unit_of_anything_but_length(dimension):
    with pytest.raises(ValueError, match="which is a length"):
        parse("4 d", dimension, d_mm=1.0)


def test_a_bare_number_reads_only_where_no_unit_is_wanted():
    assert parse(" 2.5 ", "none") == 2.5
    with pytest.raises(ValueError, match="which is a length"):
        parse("2.5 mm", "none")


@pytest.mark.parametrize(
    ("text", "value"),
    [("4d", 4.0), ("  4   d ", 4.0), ("+4 d", 4.0), (".5 mm", 0.5), ("5. mm", 5.0), ("1e-3 m", 1.0), ("-2 mm", -2.0)],
)
def test_spaces_signs_and_exponents(text, value):
    assert parse(text, "length", 1.0) == value


REFUSED = [
    ("", "empty text"),
    ("   ", "empty text"),
    ("mm", "does not start with a number"),
    ("four d", "does not start with a number"),
    ("5", "has no unit"),
    ("nan mm", "not a finite number"),
    ("-inf mm", "not a finite number"),
    ("Infinity mm", "not a finite number"),
    ("1e400 mm", "too large"),
    ("1e308 m", "too large"),
    ("5 N", "which is a force"),
    ("90 deg", "which is an angle"),
    ("0,737 mm", "decimal mark"),
    ("1,000.5 mm", "decimal mark"),
    ("6 MM", "write mm for MM"),
    ("6 D", "write d for D"),
    ("6 In", "write in for In"),
    ("6 mil", "0.001 in by others"),
    ('6 "', "write in for inches"),
    ("6 furlongs", '"furlongs" is not one of mm'),
    ("5 ft 3 in", "is not one of mm"),
    ("1/0 in", "a fraction over 0"),
    ("1/2/3 in", "one number and one unit"),
    ("1.5/2 in", "one number and one unit"),
    ("5.5.5 mm", "one number and one unit"),
    ("5 - 6 mm", "one number and one unit"),
    ("5e mm", '"e mm" is not one of mm'),
    ("1_000 mm", "one number and one unit"),
    ("0x10 mm", "is not one of mm"),
    ("\u0665 mm", "does not start with a number"),  # an Arabic-Indic five
    ("\u22125 mm", "does not start with a number"),  # a minus sign that is no hyphen
    ("5 mm\nlay = 3", "is not one of mm"),
    ("9" * 5000 + " mm", "got"),
    ("5 mm" + " " * 5000 + "x", "got"),
]


@pytest.mark.parametrize(("text", "reason"), REFUSED, ids=[text[:12] for text, _ in REFUSED])
def test_what_does_not_read_is_refused_with_the_reason_and_a_text_that_reads(text, reason):
    with pytest.raises(ValueError, match=re.escape(reason)) as caught:
        parse(text, "length", 1.0)
    message = str(caught.value)
    assert message.isprintable() and len(message) < 300
    offered = re.search(r'such as "([^"]*)"', message)
    assert offered and parse(offered[1], "length") == 6.0


@pytest.mark.parametrize(("text", "hint"), [("150 Lbs", "write lbs"), ("70 kg", "kgf")])
def test_a_mass_is_no_force(text, hint):
    with pytest.raises(ValueError, match=hint):
        parse(text, "force")


def test_pounds_are_a_force_where_one_is_asked_for_and_that_is_told():
    assert parse("160 lb", "force") == parse("160 lbs", "force") == parse("160 lbf", "force")
    assert [read_as(text, "force") for text in ("160 lb", "1/2lbs", "160 lbf", "700 N", 3)] == [
        '"160 lb" read as lbf', '"1/2lbs" read as lbf', "", "", ""
    ]  # fmt: skip
    assert read_as("2 lb", "mass") == ""


@pytest.mark.parametrize("value", [4, 4.5, True, None, ["4 d"], {}])
def test_what_is_not_text_is_a_wrong_type(value):
    with pytest.raises(TypeError, match="must be text with a unit"):
        parse(value, "length")


@given(st.text(max_size=40), st.sampled_from(sorted(quantities._UNITS)))
def test_any_text_reads_or_is_refused_in_one_line(text, dimension):
    try:
        value = parse(text, dimension, 1.0)
    except ValueError as error:
        assert str(error).isprintable() and str(error).startswith("must be ")
    else:
        assert math.isfinite(value)


@given(st.sampled_from(["angle", "force", "stress", "density", "length", "none"]))
def test_the_example_of_each_dimension_reads(dimension):
    assert parse(quantities.example(dimension).strip('"'), dimension) > 0.0
