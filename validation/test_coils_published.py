"""Coils on a core: touching pitch, lengths, lines of contact."""

from __future__ import annotations

import math

import pytest

from helix.geometry.twist.strands import (
    coil_core_contact_length,
    coil_gap,
    coil_turn_contact_length,
    helix_curvature,
    helix_length,
    lead_angle,
    tightest_coil,
    touching_pitch,
)
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
DERIVATION = "derivation in docs/theory/coils.md; an independent calculation"
P = touching_pitch()

ROWS = [
    Row(
        "touching pitch at a radius of 2",
        "S. Przybyl & P. Pieranski, Eur. Phys. J. E 4 (2001) 445; the place in it was not noted",
        "mem",
        "1.003",
        lambda: touching_pitch(2.0),
        5e-4,
        "printed as about 1.003",
    ),
    Row(
        "pitch over radius of the tightest single helix",
        "A. Maritan et al., Nature 406 (2000) 287",
        "mem",
        "2.512",
        lambda: tightest_coil()[1] / tightest_coil()[0],
        5e-4,
        PRINTED,
    ),
    Row(
        "the same, three digits more",
        DERIVATION,
        "der",
        "2.512047",
        lambda: tightest_coil()[1] / tightest_coil()[0],
        5e-7,
        PRINTED,
    ),
    Row("touching pitch on a core of the same wire", DERIVATION, "der", "1.012939", lambda: P, 5e-7, PRINTED),
    Row("lead there, deg", DERIVATION, "der", "9.158098", lambda: math.degrees(lead_angle(1.0, P)), 5e-7, PRINTED),
    Row("wire per turn there", DERIVATION, "der", "6.364312", lambda: helix_length(1.0, P), 5e-7, PRINTED),
    Row("bend radius there", DERIVATION, "der", "1.025990", lambda: 1.0 / helix_curvature(1.0, P), 5e-7, PRINTED),
    Row(
        "distance of the turns at a pitch of 1 (they overlap)",
        DERIVATION,
        "der",
        "0.987546",
        lambda: 1.0 + coil_gap(1.0, 1.0),
        5e-7,
        PRINTED,
    ),
    *(
        Row(f"touching pitch at a radius of {a}", DERIVATION, "der", value, lambda a=a: touching_pitch(a), tol, PRINTED)
        for a, value, tol in (
            (1.5, "1.00567932", 5e-9),
            (2.0, "1.003182", 5e-7),
            (3.0, "1.00141025", 5e-9),
            (5.0, "1.00050699", 5e-9),
        )
    ),
    Row(
        "touching pitch of a coil of two starts at a radius of 1",
        DERIVATION,
        "der",
        "2.110770",
        lambda: touching_pitch(1.0, starts=2),
        5e-7,
        PRINTED,
    ),
    Row(
        "line of contact of coil on core, per turn",
        DERIVATION,
        "der",
        "3.300856",
        lambda: coil_core_contact_length(1.0, P),
        5e-7,
        PRINTED,
    ),
    Row(
        "line of contact of turn on turn, per turn",
        DERIVATION,
        "der",
        "6.344516",
        lambda: coil_turn_contact_length(1.0, P),
        5e-7,
        PRINTED,
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()
