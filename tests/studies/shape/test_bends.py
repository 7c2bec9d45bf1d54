"""The four bends: turns, angles, radii, lengths and strains by samples; verdicts at their limits; where it is."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from helix.findings import Severity
from helix.geometry.twist.strands import lay_angle, touching_pitch
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import wound_strain
from helix.model.joint.joint import shortened
from helix.model.joint.section_names import SECTIONS
from helix.studies.shape import bends
from helix.studies.shape.bends import as_wound
from helix.studies.shape.shape import ShapeResult
from tests.tools.brute import answer

LEAD = math.degrees(math.pi / 2.0 - lay_angle(1.0, touching_pitch()))
NAMES = ("entry_standing", "entry_tag", "exit_standing", "exit_tag")
SHAPES = {
    "good": {},
    "left": {"hand": "left"},
    "six": {"lay": 6},
    "uneven": {"evenness": 0.5},
    "wide": {"throat": 80, "entry": 1.2},
    "spread": {"throat": 80, "entry": 1.2, "made": "spread"},
    "narrow": {"throat": 30},
    "bench": {"exit": 'style = "bench"'},
    "overbent": {"exit": 'peak_angle = "110 deg"'},
    "opposite": {"barrel_hand": "opposite"},
    "lifted": {"exit": 'leg = "2.7 d"\nswing = 0.4'},
}
every = pytest.mark.parametrize("name", SHAPES)


def found(name: str) -> ShapeResult:
    return answer(**SHAPES[name])


def beta(lay: float) -> float:
    return math.degrees(math.atan(math.pi / lay))


def samples(result: ShapeResult, section: str, step: float = 0.005):
    """The line and the rows of a section, the join at its end included."""
    line = result.joint.sample(step)
    rows = np.flatnonzero(line.section == SECTIONS.index(section))
    return line, np.append(rows, rows[-1] + 1)


@every
def test_radius_length_and_place_by_samples(name):
    result = found(name)
    d = result.joint.diameter_mm
    assert tuple(bend.name for bend in result.bends) == NAMES
    for bend in result.bends:
        line, rows = samples(result, bend.name)
        k = line.curvature_per_mm[rows].max() * d
        assert bend.min_radius_d is not None
        k = max(k, 2.0 * as_wound(result.joint).get(bend.name, 0.0))
        assert k * (1.0 - 1e-9) <= 1.0 / bend.min_radius_d <= k * (1.0 + 1e-4)
        assert bend.outer_fibre_strain == pytest.approx(0.5 / bend.min_radius_d)
        assert bend.length_d * d == pytest.approx(np.ptp(line.s_mm[rows]), rel=1e-12)
        at = np.abs(line.s_mm - bend.s_mm).argmin()
        assert np.linalg.norm(line.points_mm[at] - bend.point_mm) <= 0.005 * d
        assert line.s_mm[rows[0]] - 1e-9 <= bend.s_mm <= line.s_mm[rows[-1]] + 1e-9


@every
def test_the_turn_is_the_change_of_lay_angle(name):
    """Read off the samples: the angle to the axis at both ends, over the peak where there is one."""
    result = found(name)
    exits = dict(zip(NAMES, result.bends, strict=True))
    line, rows = samples(result, "exit_tag")
    lay = np.degrees(np.arccos(line.tangents[rows, 2]))
    if name == "opposite":
        assert exits["exit_tag"].turn_deg == pytest.approx(lay[0] + lay[-1], abs=1e-5)
    else:
        assert exits["exit_tag"].turn_deg == pytest.approx(lay.max() - lay[0], abs=1e-3)
    line, rows = samples(result, "exit_standing")
    lay = np.degrees(np.arccos(np.clip(-line.tangents[rows, 2], -1.0, 1.0)))
    assert exits["exit_standing"].turn_deg == pytest.approx(lay[-1] - lay[0], abs=1e-5)
    throat = result.joint.layout.sizes.tag_throat
    assert exits["entry_tag"].turn_deg == pytest.approx(math.degrees(abs(throat.leg_angle - throat.lay)), abs=1e-9)


@every
def test_the_angles_that_can_be_seen(name):
    result = found(name)
    line = result.joint.sample(0.002)
    tag = line.tangents[np.isin(line.section, [SECTIONS.index("exit_tag"), SECTIONS.index("barrel")])]
    assert result.bends[3].visible_angle_deg == pytest.approx(np.degrees(np.arccos(tag[:, 2].min())), abs=1e-3)
    eye = np.flatnonzero(line.section == SECTIONS.index("eye"))
    x, _, z = line.tangents[[eye[0], eye[-1] + 1]].T  # seen along the pin, where the entries end
    seen = np.degrees(np.arctan2(np.abs(x), np.abs(z))).sum()
    assert result.bends[0].visible_angle_deg == pytest.approx(seen, abs=1e-9)
    assert result.bends[0].visible_angle_deg == result.bends[1].visible_angle_deg


@pytest.mark.parametrize("name", ["good", "wide", "spread", "lifted"])
def test_strain_is_curvature_averaged_over_half_a_diameter(name):
    """By parallel transport step by step: the mean of the curvature vector carried along the wire."""
    result = found(name)
    d = result.joint.diameter_mm
    line = result.joint.sample(0.01)
    t = line.tangents
    v = np.cross(t[0], [0.3, 0.8, 0.5])
    frames = [v / np.linalg.norm(v)]
    for a, b in pairwise(t):
        axis, v = np.cross(a, b), frames[-1]
        frames.append(v * float(a @ b) + np.cross(axis, v) + axis * float(axis @ v) / (1.0 + float(a @ b)))
    u = np.array(frames)
    w = np.cross(t, u)
    k = line.curvature_vectors_per_mm * d
    parts = np.stack([np.sum(k * u, axis=1), np.sum(k * w, axis=1)], axis=1)
    s = line.s_mm / d
    steps = np.diff(s)[:, None] * (parts[1:] + parts[:-1]) / 2.0
    total = np.concatenate([np.zeros((1, 2)), np.cumsum(steps, axis=0)])

    def at(x):
        return np.stack([np.interp(x, s, total[:, c]) for c in (0, 1)], axis=1)

    mean = np.linalg.norm(at(s + limits.GAUGE_D / 2.0) - at(s - limits.GAUGE_D / 2.0), axis=1) / limits.GAUGE_D / 2.0
    wound = as_wound(result.joint)
    for bend in result.bends:
        rows = np.flatnonzero(line.section == SECTIONS.index(bend.name))
        drawn = mean[np.append(rows, rows[-1] + 1)].max()
        assert bend.strain == pytest.approx(max(drawn, wound.get(bend.name, 0.0)), abs=1e-3)


@pytest.mark.parametrize("lay", [3.2, 4.0, 6.0, 8.0, 10.0])
@pytest.mark.parametrize("hand", ["same", "opposite"])
def test_turns_of_both_hands(lay, hand):
    tag = answer(lay=lay, barrel_hand=hand, exit='leg = "5 d"').bends[3]
    change = 90.0 - LEAD - beta(lay) if hand == "same" else 90.0 - LEAD + beta(lay)
    assert tag.turn_deg == pytest.approx(change, abs=1e-9)
    assert tag.visible_angle_deg == pytest.approx(90.0 - LEAD, abs=1e-4)


@pytest.mark.parametrize(("throat", "verdict", "governing"), [(90, "ok", "none"), (90.001, "sharp", "both")])
def test_the_first_bend_at_90_deg(throat, verdict, governing):
    for bend in answer(throat=throat, pin=10).bends[:2]:
        assert (bend.severity.word, bend.governing) == (verdict, governing)
        assert bend.visible_angle_deg == pytest.approx(throat)


@pytest.mark.parametrize("throat", [60, 76, 85, 90, 100, 110])
def test_the_first_turn_wound_at_the_throat_is_bent_as_two_touching_legs_and_spread_legs_as_the_twist(throat):
    half, twist = math.radians(throat / 2.0), math.radians(beta(4.0))
    drawn = answer(throat=throat, pin=10, made="spread").bends
    for made, angle in (("wound", half), ("spread", min(half, twist))):
        result = answer(throat=throat, pin=10, made=made)
        for bend, own in zip(result.bends[:2], drawn, strict=False):
            least = float(wound_strain(angle))
            assert bend.strain >= least * (1.0 - 1e-12) and bend.outer_fibre_strain >= least * (1.0 - 1e-12)
            assert bend.strain == pytest.approx(max(least, own.strain), abs=1e-12)
            assert bend.severity is (Severity.SHARP if throat > 90 else Severity.OK)  # practice, however it was made
            assert bend.governing == ("none" if throat <= 90 else "both" if made == "wound" else "angle")


@pytest.mark.parametrize(("peak", "verdict"), [(89.9, "caution"), (90.1, "sharp")])
def test_the_exit_at_90_deg(peak, verdict):
    """Settling from there to the barrel strains it to a caution anyway; beyond 90 deg the angle speaks as well."""
    tag = answer(exit=f'leg = "3.7 d"\nswing = 1.2\npeak_angle = "{peak} deg"').bends[3]
    assert tag.severity.word == verdict and tag.visible_angle_deg == pytest.approx(peak, abs=1e-3)
    assert tag.governing == ("strain" if verdict == "caution" else "both")


@pytest.mark.parametrize("swing", [0.06, 0.1, 0.14, 0.2, 0.4])
def test_the_verdict_follows_the_strain(swing):
    tag = answer(exit=f'leg = "3.7 d"\nswing = {swing}').bends[3]
    assert tag.min_radius_d is not None
    kinked, folded = 0.5 / tag.min_radius_d > limits.STRAIN_CAUTION, tag.min_radius_d < 0.5
    if tag.strain > limits.STRAIN_CAUTION or folded:
        wanted = Severity.SHARP
    elif tag.strain > limits.STRAIN_OK or kinked:
        wanted = Severity.CAUTION
    else:
        wanted = Severity.OK
    assert tag.severity == wanted
    assert tag.governing == ("strain" if wanted else "none")


def test_the_shorter_the_swing_the_harder_the_bend():
    bends = [answer(exit=f'leg = "3.7 d"\nswing = {swing}').bends[3] for swing in (0.06, 0.1, 0.14, 0.2, 0.4)]
    strains, radii = [b.strain for b in bends], [b.min_radius_d for b in bends]
    assert strains == sorted(strains, reverse=True) and radii == sorted(radii)
    assert [b.severity for b in bends][:: len(bends) - 1] == [Severity.SHARP, Severity.OK]


def test_a_bend_below_half_a_diameter_is_sharp_however_short():
    """Failed once: a fold over less than the gauge length was a caution, so its joint could be called sound."""
    result = answer(turns=0.25, lay=17.35, evenness=0.432, exit='leg = "0.6232 d"\nswing = 0.0886', wraps=0.25)
    for bend in result.bends:
        if bend.min_radius_d is not None and bend.min_radius_d < 0.5:
            assert bend.severity is Severity.SHARP
    assert not result.judgement.is_ok


@every
def test_advance_is_the_rotation_round_the_axis(name):
    result = found(name)
    for bend in (result.bends[0], result.bends[1], result.bends[3]):
        line, rows = samples(result, bend.name)
        p = line.points_mm[rows]
        turned = np.degrees(np.unwrap(np.arctan2(p[:, 1], p[:, 0])))
        assert bend.advance_deg == pytest.approx(abs(turned[-1] - turned[0]), abs=1e-3)
    plan, lay = result.joint.layout.planned.plan, result.joint.layout.sizes.lay
    assert plan.open_length == 0.0  # the twist's rate of turn stays while the leg runs in
    assert result.bends[2].advance_deg == pytest.approx(360.0 * plan.leg / lay, abs=1e-9)


def test_wraps_only_has_no_standing_exit():
    bends = dict(zip(NAMES, answer(turns=0).bends, strict=True))
    assert bends["exit_standing"].length_d == 0.0 and bends["exit_standing"].severity is Severity.OK
    assert bends["exit_tag"].turn_deg == pytest.approx(8.0, abs=1e-9)


def test_no_number_of_a_bend_depends_on_where_round_the_axis_it_ends():
    """A fraction of a turn more moves the bend round the axis and changes none of its numbers."""
    one, other = answer(turns=5), answer(turns=5.37)
    for a, b in zip(one.bends, other.bends, strict=True):
        assert (a.severity, a.governing) == (b.severity, b.governing)
        for key in ("turn_deg", "visible_angle_deg", "min_radius_d", "length_d", "advance_deg", "strain"):
            assert getattr(a, key) == pytest.approx(getattr(b, key), abs=1e-6)


def test_straight_wire_need_not_be_sampled_between_its_ends(monkeypatch):
    """An eye of 100 diameters has two long legs: the strains of everything else are the same with and without samples on
    them."""
    joint = answer(pin=74.0, throat=20.0).joint
    lean = bends.strains(joint, joint.layout)
    monkeypatch.setattr(bends, "_near_bends", lambda layout: None)
    full = bends.strains.__wrapped__(joint, joint.layout, bends.STEP)
    assert full.samples.s.size - lean.samples.s.size > 500
    rows = np.searchsorted(full.samples.s, lean.samples.s)
    rows = np.clip(rows, 0, full.samples.s.size - 1)
    rows -= np.abs(full.samples.s[rows - 1] - lean.samples.s) < np.abs(full.samples.s[rows] - lean.samples.s)
    same = np.abs(full.samples.s[rows] - lean.samples.s) < 1e-9
    assert same.mean() > 0.99
    assert np.abs(full.strain[rows] - lean.strain)[same].max() < 1e-9


@every
def test_strains_of_bends_are_those_of_the_bends_themselves(name: str) -> None:
    joint = found(name).joint
    along = bends.strains(joint, shortened(joint))
    told = tuple((bend.strain, bend.outer_fibre_strain or 0.0) for bend in bends.four_bends(joint, along))
    assert bends.strains_of_bends(joint, along) == told
