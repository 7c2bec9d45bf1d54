"""Which samples come near each other: long straight pieces against full samples, memory of long wires."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest

from helix.geometry.wire import near_pairs as near_pairs_module
from helix.geometry.wire.curves import Line, Mirrored, Moved, Reversed, Strand, is_straight
from helix.geometry.wire.distance import STEP, nearest
from helix.geometry.wire.near_pairs import joined_samples, near_pairs, places_needed
from helix.geometry.wire.path import CurvePiece, Path
from tests.tools.brute import answer

SKIP, REACH = 1.6, 1.35


def wire(*curves) -> Path:
    return Path(tuple(CurvePiece(f"part {k}", c) for k, c in enumerate(curves)))


def lines_that_cross(angle: float, apart: float, length: float = 200.0) -> list[Path]:
    """Two straight wires: nearest at the origin and 3 d along each, that far apart."""
    run = (float(np.sin(angle)), 0.0, float(np.cos(angle)))
    start = (-length / 2.0 * run[0], apart, 3.0 - length / 2.0 * run[2])
    return [wire(Line((0.0, 0.0, -length / 2.0), (0.0, 0.0, 1.0), length)), wire(Line(start, run, length))]


@pytest.mark.parametrize("angle", [0.001, 0.02, 0.3, 1.5])
@pytest.mark.parametrize("apart", [0.9, 1.0, 1.2])
def test_long_straight_wires_that_cross_are_as_far_apart_as_their_lines(angle, apart):
    assert nearest(lines_that_cross(angle, apart)).gap == pytest.approx(apart - 1.0, abs=1e-13)


def cases() -> dict[str, list[Path]]:
    """Wires with long straight pieces: beside coils and rods, and in an eye with a narrow throat."""
    coil = Strand((1.0,), (6.0,), 0.0, 60.0, 5.0)
    rod = Line((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 130.0)
    slanting = Line((-40.0, 0.5, 30.0), (0.8, 0.0, 0.6), 100.0)
    narrow = answer(throat=5, pin=12).joint.layout.path
    return {"a coil": [wire(rod), wire(coil)], "a rod": [wire(rod), wire(slanting)], "an eye": [narrow]}


@pytest.mark.parametrize("name", ["a coil", "a rod", "an eye"])
def test_what_is_left_out_of_straight_pieces_is_near_nothing(name):
    """Every pair of full samples within reach, further apart along the wire than is skipped, is sampled still."""
    paths = cases()[name]
    places = places_needed(paths, STEP, REACH)
    whole, few = joined_samples(paths, STEP, [{} for _ in paths]), joined_samples(paths, STEP, places)
    assert few.s.size < whole.s.size
    kept = np.isin(np.round(whole.s, 6), np.round(few.s, 6))
    straight = [is_straight(piece.curve) for path in paths for piece in path.pieces]
    gone = np.flatnonzero(~kept & np.array(straight)[whole.piece])
    assert gone.size
    for row in gone[:: max(1, gone.size // 400)]:
        near = np.sum((whole.points - whole.points[row]) ** 2, axis=1) <= REACH**2
        assert not np.any(near & (np.abs(whole.s - whole.s[row]) > SKIP))
    if name == "an eye":  # of its twist one window stands for the rest, see below
        return
    found = [near_pairs(samples, SKIP, REACH, STEP) for samples in (whole, few)]
    pairs = [
        {(round(float(s.s[a]), 6), round(float(s.s[b]), 6)) for a, b in zip(i, j, strict=True)}
        for s, (i, j, _) in zip((whole, few), found, strict=True)
    ]
    assert pairs[0] == pairs[1]
    assert found[0][2] == pytest.approx(found[1][2], abs=1e-12)


def test_the_legs_of_a_narrow_eye_are_straight_to_the_sampler():
    result = answer(throat=5, pin=12)
    legs = [curve for curve in result.joint.layout.eye.eye if curve.straight]
    assert len(legs) == 2
    for leg in legs:
        points = np.array([j.c[0] for j in leg.jets(np.linspace(0.0, leg.span, 9), 0)])
        assert np.linalg.norm(np.diff(points, axis=1), axis=0) == pytest.approx(leg.speed * leg.span / 8.0, rel=1e-12)


RATE = 2.0 * np.pi / 2.6


def repeating() -> dict[str, list[Path]]:
    """Long helices alone and with what breaks their screw: a rod across, ends side by side, another lay, another axis."""
    leg, other = Strand((0.5,), (RATE,), 0.3, 0.0, 60.0), Strand((0.5,), (RATE,), 0.3 + np.pi, 7.0, 40.0)
    coil, core = Strand((1.0,), (5.0,), 0.0, 10.0, 50.0), Line((0.0, 0.0, -5.0), (0.0, 0.0, 1.0), 90.0)
    across, wide = Line((-30.0, 1.97, 33.3), (1.0, 0.0, 0.0), 60.0), Strand((2.0,), (5.0,), 0.0, 20.0, 25.0)
    steep = Strand((2.02,), (5.1,), 1.0, 0.0, 70.0)
    cut = [Strand((1.0,), (5.0,), 5.0 * z, z, 30.0) for z in (0.0, 31.0)]
    return {
        "legs": [wire(leg), wire(Reversed(other))],
        "a coil on its core": [wire(core), wire(coil)],
        "a rod across": [wire(coil), wire(across)],
        "two coils in each other": [wire(coil), wire(wide)],
        "another lay": [wire(coil), wire(steep)],
        "another axis": [wire(coil), wire(Moved(coil, (3.05, 0.0, 0.1)))],
        "the other hand": [wire(coil), wire(Mirrored(wide))],
        "a coil in two": [wire(cut[0]), wire(cut[1])],
        "a joint": [answer(turns=30, wraps=25).joint.layout.path],
        "an overbent joint": [
            answer(turns=30, wraps=25, exit='style = "bench"\npeak_angle = "120 deg"').joint.layout.path
        ],
    }


@pytest.mark.parametrize("name", list(repeating()))
def test_a_window_of_what_repeats_itself_has_every_gap_of_the_whole(name, monkeypatch):
    paths = repeating()[name]
    few = sum(column.size for own in places_needed(paths, STEP, REACH) for column in own.values())
    found = nearest(paths)
    monkeypatch.setattr(near_pairs_module, "families", lambda *_: [])
    whole = nearest(paths)
    assert few < joined_samples(paths, STEP, [{} for _ in paths]).s.size
    assert found.gap == pytest.approx(whole.gap, abs=2e-14)
    assert found.gaps == pytest.approx(whole.gaps, abs=1e-9)
    assert found.bound == pytest.approx(whole.bound, rel=1e-6, abs=2e-12)


def test_a_wire_of_thousands_of_diameters_in_contact_is_searched_in_blocks():
    """Failed once: 2,000 turns of two legs took 4 GB. Their samples alone take 5 MB a hundred turns."""
    rate, turns = (2.0 * np.pi / 4.0,), 300
    legs = [wire(Strand((0.5,), rate, angle, 0.0, 4.0 * turns)) for angle in (0.0, np.pi)]
    tracemalloc.start()
    found = nearest(legs)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.gap == pytest.approx(0.0, abs=1e-12)
    assert peak < 6e7
