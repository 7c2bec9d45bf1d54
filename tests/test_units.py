"""Quantities shown with a unit, without losing what matters.

Map of what must hold:
  reading what was shown gives the value back, to the digits shown
  a tape shows the nearest of its parts
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helix import units
from helix.quantities import parse
from helix.units import format_tape

SHOWN = {"length": units.format_length, "force": units.format_force, "stress": units.format_stress}


@given(st.floats(0.01, 1e6), st.sampled_from(sorted(SHOWN)), st.sampled_from(["metric", "inch"]))
def test_what_is_shown_reads_back_to_three_digits(value, dimension, system):
    shown = SHOWN[dimension](value, system)
    # where the decimals run out (5 at most), half of the last one is all that can be promised
    assert parse(shown, dimension) == pytest.approx(value, rel=5.0001e-3, abs=0.5001 * parse_one(shown, dimension))
    assert "e" not in shown.split()[0]


def parse_one(shown: str, dimension: str) -> float:
    """Size of one in the last digit that is shown."""
    number, unit = shown.split()
    decimals = len(number.partition(".")[2])
    return parse(f"1e-{decimals} {unit}", dimension)


@pytest.mark.parametrize(
    ("mm", "system", "shown"),
    [
        (412.4, "metric", "412 mm"),
        (1234.5, "metric", "1234 mm"),
        (99.96, "metric", "100 mm"),
        (9.996, "metric", "10.0 mm"),
        (0.7366, "metric", "0.737 mm"),
        (0.00001, "metric", "0.0000 mm"),
        (-0.00001, "metric", "0.0000 mm"),
        (-0.0125, "metric", "-0.0125 mm"),
        (0.0, "metric", "0 mm"),
        (math.inf, "metric", "inf mm"),
        (412.4, "inch", "16.2 in"),
        (0.7366, "inch", "0.0290 in"),
    ],
)
def test_lengths_as_people_are_shown_them(mm, system, shown):
    assert units.format_length(mm, system) == shown


def test_a_tape_shows_the_nearest_sixteenth() -> None:
    for sixteenths in range(1, 400):
        whole, rest = divmod(sixteenths, 16)
        for off in (-0.4999, 0.0, 0.4999):  # of a sixteenth: never another one
            text = format_tape((sixteenths + off) * 25.4 / 16.0, "inch").removesuffix(" in")
            parts = [Fraction(part) for part in text.split()]
            assert sum(parts) == Fraction(sixteenths, 16)
            assert len(parts) == bool(whole) + bool(rest)
    assert format_tape(15.97 * 25.4, "inch") == "16 in"
    assert (
        format_tape(1.0 / 32.0 * 25.4, "inch") == "1/16 in"
    )  # a tie goes to the longer one: what is too long can be cut
    assert format_tape(3.0 / 32.0 * 25.4, "inch") == "1/8 in"
    assert format_tape(459.6) == "460 mm"
