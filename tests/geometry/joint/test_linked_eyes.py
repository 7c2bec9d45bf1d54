"""Two eyes linked: touch, play and swing against closed forms and brute force.

Map of what must hold:
  two rings: pulled the sum of the radii less 1, play the lesser of what each leaves the other; the touch at both bights
  eyes: centre lines just 1 apart by brute force, pulled and pushed; even ones in closed form, whatever the wires' sizes
  a bight far in a large throat lies 1/sin(half the angle) below the crossing
  which is first, and which hand, changes nothing; a thicker ring leaves less play
  a swing ends with the round part, or where a wire is met: there the wires are 1 apart by brute force
  what has no room is refused
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.geometry.joint.linked_eyes import LinkedEyes, LinkEnd, NoRoomError, eye_end, link, ring_end, swapped, swing
from helix.geometry.wire.path import Path
from helix.geometry.wire.placed import Pose, placed_path
from helix.model.joint.joint import build_joint, shortened
from tests.tools.brute import least_distance, recipe

EXACT = 1e-9  # of the mean diameter
LOOP = ("eye", "entry_tag", "entry_standing")


@cache
def eye(diameter: float = 1.0, **changes: object) -> LinkEnd:
    layout = shortened(build_joint(recipe(**changes)))
    throats = layout.sizes.tag_throat.leg_angle + layout.sizes.standing_throat.leg_angle
    return eye_end(layout.path, layout.eye, throats / 2.0, diameter)


def pair(first: dict[str, object], second: dict[str, object], ratio: float = 1.0) -> LinkedEyes:
    """Two eyes, the second of wire so many times as thick."""
    mean = (1.0 + ratio) / 2.0
    return link(eye(1.0 / mean, **first), eye(ratio / mean, **second))


def on_ring(bar: float, inside: float, **changes: object) -> LinkedEyes:
    """An eye on a ring, both sizes in diameters of its wire."""
    mean = (1.0 + bar) / 2.0
    return link(eye(1.0 / mean, **changes), ring_end(inside / bar, bar / mean))


def apart(linked: LinkedEyes, pose: Pose) -> float:
    """Least distance of the two eyes' centre lines by brute force, the second standing as said."""
    whole = placed_path(linked.first.path, linked.first.above), placed_path(linked.second.path, pose)
    samples = [Path(tuple(p for p in wire.pieces if p.section in LOOP)).sample(0.02) for wire in whole]
    s = np.concatenate([samples[0].s, samples[1].s + 1e6])
    points, tangents = (np.concatenate([getattr(one, name) for one in samples]) for name in ("points", "tangents"))
    return least_distance(s, points, tangents, along=1e5, within=1.2)[0]


@pytest.mark.parametrize(
    ("inside", "other", "bar"), [(6.0, 6.0, 1.0), (3.0, 9.0, 1.0), (12.0, 4.0, 0.5), (4.0, 8.0, 3.0)]
)
def test_two_rings_touch_at_their_bights(inside: float, other: float, bar: float) -> None:
    mean = (1.0 + bar) / 2.0
    first, second = ring_end(inside, 1.0 / mean), ring_end(other, bar / mean)
    linked = link(first, second)
    radii = (inside + 1.0) / 2.0 / mean, (other + 1.0) / 2.0 * bar / mean
    assert linked.pulled == pytest.approx(2.0 * sum(radii) - 1.0, abs=EXACT)
    assert linked.play == pytest.approx(min(inside - bar, other * bar - 1.0) / mean, abs=EXACT)
    bights = [[0.0, 0.0, -2.0 * radii[0]], [0.0, 0.0, 1.0 - 2.0 * radii[0]]]
    assert linked.points == pytest.approx(np.array(bights), abs=1e-6)  # along the bight the distance is flat
    assert abs(linked.gap) < EXACT
    assert swing(linked) == (pytest.approx(math.pi), False)


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [
        ({"pin": 3.0, "lay": 5}, {"pin": 8.0, "throat": 100.0}, 1.0),
        ({"pin": 4.0}, {"pin": 3.0}, 2.0),
        pytest.param({"evenness": 0.5}, {"turns": 0}, 1.0, marks=pytest.mark.slow),
    ],
)
def test_eyes_are_just_one_diameter_apart_pulled_and_pushed(
    first: dict[str, object], second: dict[str, object], ratio: float
) -> None:
    linked = pair(first, second, ratio)
    for distance in (linked.pulled, linked.pushed):
        assert apart(linked, linked.second.below(distance)) == pytest.approx(1.0, abs=EXACT)
    assert abs(linked.gap) < EXACT
    assert np.linalg.norm(linked.points[0] - linked.points[1]) == pytest.approx(1.0, abs=EXACT)
    between = 0.5 * (linked.pulled + linked.pushed)
    assert apart(linked, linked.second.below(between)) > 1.0
    if first.get("evenness", 1) == 1 and second.get("turns", 5):
        assert linked.pulled == pytest.approx(linked.first.depth + linked.second.depth - 1.0, abs=EXACT)


def test_a_bight_in_a_large_throat_lies_where_two_straight_legs_hold_it() -> None:
    half = math.radians(30.0)
    errors = []
    for pin in (10.0, 40.0):
        linked = pair({"pin": pin, "throat": 60.0}, {"pin": pin, "throat": 60.0})
        crossing = linked.first.centre[1] + linked.first.radius / math.sin(half)  # of its legs' centre lines
        bight = -linked.pushed + linked.second.depth
        errors.append(abs(crossing - bight - 1.0 / math.sin(half)))
    assert errors[1] < errors[0] / 3.0 and errors[1] < 0.02  # the other bight is the straighter, the larger the eyes


def test_which_is_first_and_which_hand_changes_nothing() -> None:
    one = pair({"pin": 4.0}, {"pin": 7.0, "lay": 5})
    other = pair({"pin": 7.0, "lay": 5}, {"pin": 4.0})
    left = pair({"pin": 4.0, "hand": "left"}, {"pin": 7.0, "lay": 5, "hand": "left"})
    for same in (other, left, swapped(one)):
        assert (same.pulled, same.pushed) == pytest.approx((one.pulled, one.pushed), abs=EXACT)
    assert swing(swapped(one)) == pytest.approx(swing(other), abs=1e-6)
    assert swapped(swapped(one)).points == pytest.approx(one.points)


def test_a_thicker_ring_leaves_less_play_and_a_scaled_one_the_same() -> None:
    plays = [on_ring(bar, 40.0).play * (1.0 + bar) / 2.0 for bar in (0.5, 2.0, 5.9)]
    assert all(less < more for more, less in pairwise(plays)) and plays[-1] > 0.0
    assert on_ring(2.0, 3.0).play < on_ring(2.0, 5.0).play  # there the ring is what the bight meets


def test_a_swing_ends_with_the_round_part_or_where_a_wire_is_met() -> None:
    linked = pair({"pin": 4.0, "throat": 80.0}, {"pin": 4.0})
    angle, meets = swing(linked)
    assert (math.degrees(angle), meets) == (pytest.approx(130.0), False)
    small = pair({"pin": 1.6, "lay": 3.2, "turns": 1, "wraps": 0}, {"pin": 1.6, "turns": 1, "wraps": 0})
    angle, meets = swing(small)
    height = small.first.centre[1] * small.first.diameter
    there = small.second.below(small.pulled).swung(angle, height)
    wires = placed_path(small.first.path, small.first.above), placed_path(small.second.path, there)
    samples = [wire.sample(0.01, 0.05) for wire in wires]
    in_eye = [np.array([p.section == "eye" for p in w.pieces])[s.piece] for w, s in zip(wires, samples, strict=True)]
    near, at = cKDTree(samples[1].points).query(samples[0].points)
    of_two_eyes = in_eye[0] & in_eye[1][at]
    assert meets and angle < small.first.round_rad
    assert near[~of_two_eyes].min() == pytest.approx(1.0, abs=0.01)  # a sample either way: the eye ends there


@pytest.mark.parametrize("bar", [6.0, 7.0])
def test_what_has_no_room_is_refused(bar: float) -> None:
    with pytest.raises(NoRoomError):
        on_ring(bar, 20.0)
    with pytest.raises(NoRoomError):
        on_ring(2.0, 0.9)
