"""The answer of the main study, each number by another way: samples, plane geometry, counting, the shape's own law."""

from __future__ import annotations

import math

import numpy as np
import pytest

from helix.geometry.twist.strands import (
    coil_contact_angle,
    coil_core_contact_length,
    coil_turn_contact_length,
    lay_angle,
    leg_contact_length,
    touching_pitch,
)
from helix.mechanics.bends.bending import sprung_radius
from helix.model.joint.section_names import SECTIONS
from helix.studies.shape.shape import ShapeResult
from tests.tools.brute import answer

SHAPES = {
    "good": {},
    "left": {"hand": "left", "barrel_hand": "opposite"},
    "uneven": {"evenness": 0.4, "turns": 3.5},
    "wide": {"throat": 80, "entry": 1.2},
    "tight": {"lay": 2.8, "pin": 9},
    "bench": {"exit": 'style = "bench"', "wraps": 2.25},
    "overbent": {"exit": 'peak_angle = "105 deg"'},
    "wraps only": {"turns": 0},
    "twist only": {"wraps": 0},
    "lifted": {"exit": 'leg = "2.7 d"\nswing = 0.4'},
    "thick": {"diameter": 1.6256, "pin": 5},
}
every = pytest.mark.parametrize("name", SHAPES)


def found(name: str) -> ShapeResult:
    return answer(**SHAPES[name])


def unwound(result: ShapeResult, section: str) -> float:
    """Rotation round the axis over a section [rad], from samples and the join at its end."""
    line = result.joint.sample(0.01)
    rows = np.flatnonzero(line.section == SECTIONS.index(section))
    p = line.points_mm[rows[0] : rows[-1] + 2]
    angles = np.unwrap(np.arctan2(p[:, 1], p[:, 0]))
    return float(angles[-1] - angles[0])


@every
def test_rows_are_those_of_the_samples(name):
    result = found(name)
    line, d = result.joint.sample(0.005), result.joint.diameter_mm
    for k, row in enumerate(result.sections):
        rows = np.flatnonzero(line.section == k)
        if rows.size == 0:
            assert (row.wire_mm, row.axial_mm, row.min_bend_radius_d, row.max_strain) == (0.0, 0.0, None, 0.0)
            continue
        rows = np.append(rows, min(rows[-1] + 1, line.s_mm.size - 1))
        assert row.wire_mm == pytest.approx(np.ptp(line.s_mm[rows]), rel=1e-12)
        assert row.axial_mm == pytest.approx(np.ptp(line.points_mm[rows, 2]), abs=1e-3 * d)
        bent = line.curvature_per_mm[rows].max() * d
        if row.min_bend_radius_d is None:
            assert bent < 1e-12
        else:
            assert bent * (1.0 - 1e-9) <= 1.0 / row.min_bend_radius_d <= bent * (1.0 + 1e-4)
            assert row.max_strain == pytest.approx(0.5 / row.min_bend_radius_d)
        assert row.gauge_strain <= max(r.max_strain for r in result.sections) * (1.0 + 1e-6)


@every
def test_sections_and_handle_add_up_to_the_cut(name):
    result = found(name)
    wire = sum(row.wire_mm for row in result.sections)
    assert [row.name for row in result.sections] == list(SECTIONS)
    assert wire + result.recipe.finish.handle_mm == pytest.approx(result.cut.total_mm, rel=1e-13)
    assert result.cut.joint_mm == pytest.approx(wire - result.sections[0].wire_mm, rel=1e-13)
    assert result.sections[0].wire_mm == pytest.approx(result.recipe.finish.standing_mm, rel=1e-13)


@every
def test_counts_by_following_the_wire_round_the_axis(name):
    result = found(name)
    counts = result.counts
    hand = 1.0 if result.recipe.twist.hand == "right" else -1.0
    if counts.turns:
        assert hand * unwound(result, "twist_tag") / (2.0 * math.pi) == pytest.approx(counts.turns, rel=1e-9)
        assert -hand * unwound(result, "twist_standing") / (2.0 * math.pi) == pytest.approx(counts.turns, rel=1e-9)
    if counts.wraps:
        wound = hand * result.joint.layout.sizes.barrel_sign
        assert wound * unwound(result, "barrel") / (2.0 * math.pi) == pytest.approx(counts.wraps, rel=1e-9)
    if result.recipe.barrel.hand == "same":
        assert hand * unwound(result, "exit_tag") / (2.0 * math.pi) == pytest.approx(counts.swing, abs=1e-6)
    assert counts.total == pytest.approx(counts.turns + counts.swing + counts.wraps)
    assert counts.crossings == 2.0 * counts.turns
    assert counts.wraps_from_bend == pytest.approx(counts.swing_after_leg + counts.wraps)


def test_a_swing_to_the_other_hand_counts_both_ways():
    result = found("left")
    line = result.joint.sample(0.005)
    rows = np.flatnonzero(line.section == SECTIONS.index("exit_tag"))
    p = line.points_mm[rows[0] : rows[-1] + 2]
    steps = np.diff(np.unwrap(np.arctan2(p[:, 1], p[:, 0])))
    assert np.abs(steps).sum() / (2.0 * math.pi) == pytest.approx(result.counts.swing, abs=1e-4)


@every
def test_finished_sizes_by_samples(name):
    """Of the wire's centre line, half a diameter added where a size is of the wire's outside."""
    result = found(name)
    sizes, d = result.finished, result.joint.diameter_mm
    line = result.joint.sample(0.005)
    eye = line.points_mm[(line.section >= 4) & (line.section <= 6)]
    bottom = eye[:, 2].min()
    stub_tip = line.points_mm[line.section >= SECTIONS.index("exit_tag")][:, 2].max()
    top = result.joint.axial["top"]
    assert sizes.length_mm == pytest.approx(top + 0.5 * d - (bottom + 0.5 * d), abs=1e-4 * d)
    assert sizes.overall_length_mm == pytest.approx(max(stub_tip, top) + 0.5 * d - (bottom - 0.5 * d), abs=1e-3 * d)
    assert sizes.eye_inside_width_mm == pytest.approx(np.ptp(eye[:, 0]) - d, abs=1e-4 * d)
    assert sizes.widest_mm == pytest.approx(np.ptp(line.points_mm[:, 0]) + d, abs=1e-4 * d)
    assert sizes.eye_crossing_to_bight_mm == pytest.approx(-bottom - 0.5 * d, abs=1e-4 * d)
    off = np.hypot(line.points_mm[:, 0], line.points_mm[:, 1])
    twist, barrel = line.section == SECTIONS.index("twist_tag"), line.section == SECTIONS.index("barrel")
    if twist.any():
        assert sizes.twist_diameter_mm == pytest.approx(2.0 * off[twist].max() + d, abs=1e-9)
    else:
        assert sizes.twist_diameter_mm is None
    if barrel.any():
        assert sizes.barrel_diameter_mm == pytest.approx(2.0 * off[barrel].max() + d, abs=1e-9)
    else:
        assert sizes.barrel_diameter_mm is None


@pytest.mark.parametrize("name", ["good", "wide", "tight", "thick"])
def test_the_eyes_hole_fits_between_the_inner_edges(name):
    """The largest height above the bight at which the edges of the two legs still stand apart, seen along the pin."""
    result = found(name)
    d = result.joint.diameter_mm
    line = result.joint.sample(0.002)
    keep = (line.section >= 4) & (line.section <= 6)
    p, t = line.points_mm[keep][:, [0, 2]], line.tangents[keep][:, [0, 2]]
    t = t / np.linalg.norm(t, axis=1, keepdims=True)
    side = np.stack([t[:, 1], -t[:, 0]], axis=1)  # the wire runs round the hole; one side of it faces the hole
    bight = p[:, 1].argmin()
    inward = side if side[bight, 1] > 0.0 else -side
    edge = p + 0.5 * d * inward
    heights = np.linspace(edge[bight, 1] + 0.5 * d, -0.02 * d, 4000)
    across = edge_of(edge[: bight + 1], heights) - edge_of(edge[bight:], heights)
    top = heights[np.flatnonzero(across * across[0] <= 0.0)[0]]
    assert result.finished.eye_inside_length_mm == pytest.approx(top - edge[bight, 1], abs=0.01 * d)


def edge_of(half: np.ndarray, heights: np.ndarray) -> np.ndarray:
    """x of an edge at some heights: the edge climbs from the bight once it has left it."""
    rising = half[np.argsort(half[:, 1], kind="stable")]
    return np.interp(heights, rising[:, 1], rising[:, 0])


def test_contact_lengths_of_the_good_joint():
    result, d = found("good"), found("good").joint.diameter_mm
    assert result.contact.leg_on_leg_mm == pytest.approx(5 * 4.0 * d)
    assert result.contact.wrap_on_core_mm == pytest.approx(5 * coil_core_contact_length(1.0, touching_pitch()) * d)
    pairs = 4.0 + coil_contact_angle(1.0, touching_pitch()) / (2.0 * math.pi)
    assert result.contact.wrap_on_wrap_mm == pytest.approx(pairs * coil_turn_contact_length(1.0, touching_pitch()) * d)


@pytest.mark.parametrize("wraps", [0.25, 1.0, 1.5, 4.0])
def test_wrap_on_wrap_by_counting_touching_samples(wraps):
    """Each sample of the barrel whose nearest place a turn further on is one diameter away."""
    result = answer(wraps=wraps)
    line = result.joint.sample(0.01)
    p = line.points_mm[line.section == SECTIONS.index("barrel")]
    touching, middles = np.zeros(len(p), dtype=bool), np.zeros_like(p)
    turn = int(2.0 / 0.01)
    for k in range(len(p) - turn):
        apart = np.linalg.norm(p[k + turn :] - p[k], axis=1)
        j = apart.argmin()
        touching[k] = abs(apart[j] - 1.0) < 2e-4 and 0 < j < len(apart) - 1
        middles[k] = (p[k] + p[k + turn + j]) / 2.0
    if not touching.any():
        assert result.contact.wrap_on_wrap_mm < 2.0
        return
    share = np.sum(touching) / len(p) * wraps  # turns of wire in touch
    per_turn = coil_turn_contact_length(1.0, touching_pitch())
    assert result.contact.wrap_on_wrap_mm == pytest.approx(share * per_turn, abs=0.05)


@pytest.mark.parametrize("changes", [{"pitch": 1.5}, {"pitch": 1.0}, {"wraps": 0}])
def test_wraps_that_do_not_touch_each_other_have_no_contact(changes):
    assert answer(**changes).contact.wrap_on_wrap_mm == 0.0


def test_contact_of_uneven_legs():
    result = found("uneven")
    sizes = result.joint.layout.sizes
    per_turn = leg_contact_length(sizes.standing_radius, sizes.tag_radius, sizes.lay)
    assert result.contact.leg_on_leg_mm == pytest.approx(3.5 * per_turn)


@every
def test_clearance_belongs_together(name):
    clear = found(name).clearance
    radii = [row.min_bend_radius_d for row in found(name).sections if row.min_bend_radius_d is not None]
    assert clear.curvature_limited_d == pytest.approx(min(radii) - 0.5)
    assert clear.reach_d == pytest.approx(min(min(radii), (1.0 + clear.least_d) / 2.0), abs=1e-12)
    assert 0.0 < clear.bound_d < 1e-4
    assert set(clear.between) <= set(SECTIONS)
    assert clear.lift_off_d == pytest.approx(lifted(found(name)), abs=2e-3)


def lifted(result: ShapeResult) -> float:
    """How far the tag's exit stands off the leg at most: each place to the nearest of the leg, less a diameter."""
    from scipy.spatial import cKDTree

    line, d = result.joint.sample(0.01), result.joint.diameter_mm
    leg = line.points_mm[line.section < SECTIONS.index("entry_standing")]
    tag = line.points_mm[line.section == SECTIONS.index("exit_tag")]
    apart = cKDTree(leg).query(tag)[0] / d if len(tag) else np.ones(1)
    return max(0.0, float(apart.max()) - 1.0)


@pytest.mark.parametrize(("changes", "wide"), [({"pin": 1.2}, 3.2), ({"pin": 0.95}, 3.0)])
def test_the_largest_width_is_that_of_the_widest_part(changes, wide):
    """Failed once: a barrel wider than a small eye did not count, nor a barrel beside an eye that hangs to one side."""
    assert answer(**changes).finished.widest_mm == pytest.approx(wide, abs=1e-4)


def test_springback_is_that_of_barrel_and_eye():
    result = found("good")
    wire, sizes = result.recipe.wire, result.finished
    bend = 1.0 / math.sin(lay_angle(1.0, touching_pitch())) ** 2
    ratio = sprung_radius(bend, 1.0, wire.strength_mpa[1], wire.modulus_mpa) / bend
    assert sizes.sprung_barrel_inside_mm == pytest.approx(2.0 * ratio - 1.0)
    assert sizes.sprung_barrel_diameter_mm == pytest.approx(2.0 * ratio + 1.0)
    eye = sprung_radius(3.5, 1.0, wire.strength_mpa[1], wire.modulus_mpa)
    assert sizes.sprung_eye_width_mm == pytest.approx(2.0 * eye - 1.0)
    assert sizes.sprung_barrel_inside_mm > 1.0 and sizes.sprung_eye_width_mm > sizes.eye_inside_width_mm


def test_an_eye_that_stays_elastic_springs_open_without_end():
    assert answer(pin=200, exit='style = "bench"').finished.sprung_eye_width_mm is None


def test_no_radius_is_made_of_a_folded_tag():
    """Failed once: the table of sections gave a radius of 0.11 d to a tag whose bend was given none."""
    result = answer(exit='leg = "1 d"\nswing = 0.1')
    row = result.sections[SECTIONS.index("exit_tag")]
    assert result.bends[3].min_radius_d is None
    assert row.min_bend_radius_d is not None and row.min_bend_radius_d > 0.5  # the swing on the straight leg
    assert answer(exit='leg = "1 d"', wraps=0).sections[SECTIONS.index("exit_tag")].min_bend_radius_d is None


def test_a_result_carries_its_recipe_and_its_makers():
    import helix

    result = found("good")
    assert result.recipe is result.joint.recipe
    assert result.version == helix.__version__ and result.schema >= 1
    assert "cubic step" in result.exit_family
    assert result.judgement.is_ok and result.findings == ()
