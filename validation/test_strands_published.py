"""Touching strands: radii, special lays, angles of the twist."""

from __future__ import annotations

import math

import pytest

from helix.geometry.twist.packing import close_packed, zero_twist
from helix.geometry.twist.strands import (
    even_radius,
    helix_length,
    helix_torsion,
    lay_angle,
    lead_angle,
    pair_gap,
    strand_contact,
    touching_pitch,
)
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
DERIVATION = "derivation in docs/theory/strands.md; an independent calculation"
OLSEN = "J. Olsen & J. Bohr, Theor. Chem. Acc. 125 (2010) 207, doi 10.1007/s00214-009-0639-4"
LEAD = math.degrees(lead_angle(1.0, touching_pitch()))


def beta(lay: float) -> float:
    """Return the lay angle of an even leg, deg."""
    return math.degrees(lay_angle(even_radius(lay), lay))


def _last_axis_lay() -> float:
    """Return the shortest lay at which the contact of two strands is one line on the axis, by bisection."""
    low, high = 2.5, 4.0
    while high - low > 1e-13:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if strand_contact(middle)[0] == 1 else (middle, high)
    return high


ROWS = [
    Row(
        "zero-twist pitch angle, two strands, deg",
        "J. Olsen & J. Bohr, arXiv 1003.5358, abstract",
        "pub",
        "39.4",
        lambda: math.degrees(zero_twist(2).pitch_angle),
        0.05,
        PRINTED,
    ),
    Row(
        "zero-twist pitch angle, three strands, deg",
        "J. Bohr & J. Olsen, EPL 93 (2011) 60004",
        "mem",
        "42.8",
        lambda: math.degrees(zero_twist(3).pitch_angle),
        0.05,
        PRINTED,
    ),
    Row(
        "length of rope over length of strand at zero twist, three strands",
        "reports on arXiv 1004.0814",
        "rep",
        "0.68",
        lambda: zero_twist(3).shortening,
        0.005,
        PRINTED,
    ),
    Row(
        "the same, two digits more than printed",
        DERIVATION,
        "der",
        "0.679894",
        lambda: zero_twist(3).shortening,
        5e-7,
        PRINTED,
    ),
    Row(
        "zero-twist pitch angle, two strands, deg",
        DERIVATION,
        "der",
        "39.377052",
        lambda: math.degrees(zero_twist(2).pitch_angle),
        1e-6,
        "found there as the top of a flat curve; the root of u = 2 sin(e/2) is 39.37705136",
    ),
    Row(
        "zero-twist pitch angle, three strands, deg",
        DERIVATION,
        "der",
        "42.835386",
        lambda: math.degrees(zero_twist(3).pitch_angle),
        1e-6,
        "the top of a flat curve",
    ),
    Row(
        "radius at zero twist, two strands", DERIVATION, "der", "0.522936", lambda: zero_twist(2).radius, 5e-7, PRINTED
    ),
    Row("lay at zero twist, two strands", DERIVATION, "der", "2.696702", lambda: zero_twist(2).lay, 5e-7, PRINTED),
    Row(
        "pitch angle of the last contact on the axis, two strands, deg",
        OLSEN,
        "mem",
        "45",
        lambda: math.degrees(lead_angle(0.5, _last_axis_lay())),
        1e-11,
        "exact; the lay is found by bisection",
    ),
    Row(
        "close-packed pitch angle, two strands, deg",
        OLSEN,
        "mem",
        "32.5",
        lambda: math.degrees(close_packed(2).pitch_angle),
        0.06,
        "printed 32.5, the exact value is 32.4487: rounded up, or not remembered to the digit",
    ),
    Row("close-packed filling, two strands", OLSEN, "mem", "0.769", lambda: close_packed(2).filling, 5e-4, PRINTED),
    Row(
        "close-packed pitch angle, two strands, deg",
        DERIVATION,
        "der",
        "32.448654",
        lambda: math.degrees(close_packed(2).pitch_angle),
        1e-6,
        "the top of a flat curve",
    ),
    Row(
        "close-packed filling, two strands",
        DERIVATION,
        "der",
        "0.769412",
        lambda: close_packed(2).filling,
        5e-7,
        PRINTED,
    ),
    Row(
        "close-packed pitch angle, one strand, deg",
        OLSEN,
        "mem",
        "18.1",
        lambda: math.degrees(close_packed(1).pitch_angle),
        0.1,
        "printed 18.1, the exact value is 18.1704: cut off, or not remembered to the digit",
    ),
    Row(
        "close-packed pitch angle, one strand, deg",
        DERIVATION,
        "der",
        "18.170426",
        lambda: math.degrees(close_packed(1).pitch_angle),
        1e-6,
        "the top of a flat curve",
    ),
    Row(
        "close-packed pitch angle, three strands, deg",
        "J. Bohr & J. Olsen, Theor. Chem. Acc. 130 (2011) 1095, abstract",
        "mem",
        "43.3",
        lambda: math.degrees(close_packed(3).pitch_angle),
        0.05,
        PRINTED,
    ),
    Row(
        "overlap of legs forced to D/2 at a lay of 2.6",
        DERIVATION,
        "der",
        "0.040694",
        lambda: -pair_gap(0.5, 0.5, 2.6),
        5e-7,
        PRINTED,
    ),
    Row(
        "turn of the Frenet frame against the rotation-minimising one, per turn at a lay of 4, in 2 pi sin v",
        "geometry of the helix",
        "der",
        "1",
        lambda: helix_torsion(0.5, 4.0) * helix_length(0.5, 4.0) / (2.0 * math.pi * math.sin(lead_angle(0.5, 4.0))),
        1e-14,
        "an identity; rounding",
    ),
    *(
        Row(
            f"lay angle at a lay of {lay}, deg",
            "tan beta = pi/lay",
            "der",
            value,
            lambda lay=lay: beta(lay),
            5e-6,
            PRINTED,
        )
        for lay, value in ((4, "38.14603"), (6, "27.63650"), (8, "21.43989"), (10, "17.44059"))
    ),
    *(
        Row(
            f"turn of the tag's exit, same hand, at a lay of {lay}, deg",
            "90 deg - lead - beta",
            "der",
            value,
            lambda lay=lay: 90.0 - LEAD - beta(lay),
            5e-6,
            PRINTED,
        )
        for lay, value in ((4, "42.69588"), (6, "53.20540"), (8, "59.40201"), (10, "63.40131"))
    ),
    Row(
        "turn of the tag's exit, opposite hand, at a lay of 4, deg",
        "90 deg - lead + beta",
        "der",
        "118.99",
        lambda: 90.0 - LEAD + beta(4.0),
        0.005,
        PRINTED,
    ),
    Row(
        "the same at a lay of pi, deg",
        "90 deg - lead + beta",
        "der",
        "125.84",
        lambda: 90.0 - LEAD + beta(math.pi),
        0.005,
        PRINTED,
    ),
    Row("visible angle of a barrel alone, deg", "90 deg - lead", "der", "80.84", lambda: 90.0 - LEAD, 0.005, PRINTED),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_a_count_of_half_turns_read_as_turns_is_over_twisted() -> None:
    """11 per inch at 0.041 in, the upper limit of a lock-wire document, cannot mean full turns."""
    lay = 1.0 / (11.0 * 0.041)
    assert 2.0 < lay < zero_twist(2).lay
    assert 2.0 * lay > math.pi
