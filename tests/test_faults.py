"""What is wrong with a joint is found: every example of a fault, its verdict, its place and its numbers.

Map: a table of every recipe in docs/examples/faults; the bends that are not ok and the flags are exactly those
of the table. Then, fault by fault, the numbers, by formula where there is one.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from helix.errors import InfeasibleJointError, ValidationError
from helix.findings import Severity
from helix.geometry.twist.strands import (
    coil_gap,
    even_radius,
    helix_curvature,
    helix_length,
    lay_angle,
    pair_gap,
    touching_pitch,
)
from helix.mechanics.bends.first_bend import wound_strain
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe import read_recipe
from helix.output.words.words import findings
from helix.studies.shape.bend_findings import bends_of
from helix.studies.shape.shape import ShapeResult, shape
from tests.tools.brute import brute_gap

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "examples" / "faults"
LEAD = math.degrees(math.pi / 2.0 - lay_angle(1.0, touching_pitch()))
ENTRY = ("entry_standing", "entry_tag")

# name: (bends that are not ok: verdict and what spoke, flags: code and where, sound)
FOUND: dict[str, tuple[dict[str, tuple[str, str]], set[tuple[str, str]], bool]] = {
    "good": ({}, set(), True),
    "bench-exit": ({}, set(), True),
    "wide-throat": (dict.fromkeys(ENTRY, ("sharp", "both")), set(), False),
    "small-entry-radius": (dict.fromkeys(ENTRY, ("caution", "strain")), set(), True),
    "overbent-100": ({"exit_tag": ("sharp", "both")}, set(), False),
    "overbent-120": ({"exit_tag": ("sharp", "both")}, set(), False),
    "short-exit": (
        {"exit_standing": ("sharp", "strain"), "exit_tag": ("sharp", "overlap")}, {("overlap", "exit_tag")}, False,
    ),
    "opposite-hand-barrel": ({"exit_tag": ("caution", "hand")}, {("opposite-hand", "exit_tag")}, False),
    "opposite-hand-barrel-pi": ({"exit_tag": ("caution", "hand")}, {("opposite-hand", "exit_tag")}, False),
    "uneven-half": ({}, {("uneven-twist", "twist_tag")}, False),
    "uneven-zero": ({}, {("uneven-twist", "twist_tag")}, False),
    "loose-twist": ({}, {("loose-lay", "twist_tag")}, False),
    "over-twist": (
        dict.fromkeys(ENTRY, ("sharp", "both")) | dict.fromkeys(("exit_standing", "exit_tag"), ("caution", "strain")),
        {("over-twist", "twist_tag")},
        False,
    ),
    "open-barrel": ({}, {("open-barrel", "barrel")}, False),
    "tight-pitch": ({}, {("wraps-overlap", "barrel")}, False),
    "twist-only": ({}, {("no-barrel", "exit_tag")}, False),
    "wraps-only": ({}, {("wraps-only", "barrel")}, False),
}  # fmt: skip
REFUSED = {"lay-two": ("lay_length", "above 2 d"), "crossings-as-turns": ("turns", "looks like a count of crossings")}


@cache
def found(name: str) -> ShapeResult:
    return shape(read_recipe(FOLDER / f"{name}.toml"))


def bend(name: str, which: str):
    return next(b for b in found(name).bends if b.name == which)


def test_every_example_is_in_the_tables():
    assert {path.stem for path in FOLDER.glob("*.toml")} == set(FOUND) | set(REFUSED)


@pytest.mark.parametrize("name", FOUND)
def test_exactly_what_is_wrong_is_found_and_where(name):
    bends, others, ok = FOUND[name]
    result = found(name)
    assert {b.name: (b.severity.word, b.governing) for b in result.bends if b.severity} == bends
    assert {(f.code, f.place) for f in result.findings if not bends_of(f)} == others
    assert result.judgement.is_ok is ok
    told = {bend for finding in result.findings for bend in bends_of(finding)}
    assert told == {name for name, (_, governing) in bends.items() if governing != "hand"}
    for finding in findings(result):
        assert finding.what and finding.why and finding.do


@pytest.mark.parametrize("name", FOUND)
def test_the_place_of_a_bend_lies_in_its_section_of_the_wire(name):
    result = found(name)
    line = result.joint.sample(0.01)
    for one in result.bends:
        rows = np.flatnonzero(line.section == SECTIONS.index(one.name))
        if rows.size == 0:
            assert one.length_d == 0.0
            continue
        last = min(rows[-1] + 1, line.s_mm.size - 1)
        assert line.s_mm[rows[0]] - 1e-9 <= one.s_mm <= line.s_mm[last] + 1e-9
        at = np.abs(line.s_mm - one.s_mm).argmin()
        assert np.linalg.norm(line.points_mm[at] - one.point_mm) <= 0.01 * result.joint.diameter_mm


@pytest.mark.parametrize("name", ["good", "overbent-120", "short-exit", "uneven-half", "over-twist", "wraps-only"])
def test_the_least_gap_by_brute_force(name):
    assert found(name).clearance.least_d == pytest.approx(brute_gap(found(name)), abs=1e-7)


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_exist_is_refused(name):
    key, words = REFUSED[name]
    with pytest.raises(InfeasibleJointError) as refused:
        found(name)
    (fault,) = refused.value.faults
    assert key in fault.place and words in fault.message
    assert isinstance(refused.value, ValidationError)


def test_the_good_joint_bends_no_sharper_than_its_barrel():
    result = found("good")
    assert result.clearance.least_d == 0.0
    barrel = 1.0 / math.sin(lay_angle(1.0, touching_pitch())) ** 2
    assert all(one.min_radius_d >= barrel * (1.0 - 1e-9) for one in result.bends)
    assert result.clearance.curvature_limited_d == pytest.approx(barrel - 0.5)


def test_wide_throat():
    first = bend("wide-throat", "entry_tag")
    assert first.visible_angle_deg == pytest.approx(100.0, abs=1e-9)
    assert first.turn_deg == pytest.approx(50.0 - math.degrees(math.atan(math.pi / 4.0)), abs=1e-9)
    # wound at the throat's angle it is bent harder than the wrapping test bends it, as two touching legs are at 50 deg
    assert first.strain > 0.5 and first.strain == pytest.approx(float(wound_strain(math.radians(50.0))), rel=1e-9)


def test_small_entry_radius():
    for which in ENTRY:
        first = bend("small-entry-radius", which)
        assert first.min_radius_d == pytest.approx(0.6, abs=1e-9)
        assert first.outer_fibre_strain == pytest.approx(0.5 / 0.6, abs=1e-8)
        assert first.visible_angle_deg == pytest.approx(80.0, abs=1e-9)


@pytest.mark.parametrize("peak", [100, 120])
def test_overbent(peak):
    tag = bend(f"overbent-{peak}", "exit_tag")
    assert tag.visible_angle_deg == pytest.approx(peak, abs=1e-3)
    assert tag.turn_deg == pytest.approx(peak - math.degrees(math.atan(math.pi / 4.0)), abs=1e-9)
    assert found(f"overbent-{peak}").clearance.least_d == pytest.approx(0.0, abs=1e-9)  # it climbs, and clears
    (finding,) = found(f"overbent-{peak}").findings
    assert finding.code == "steep-exit" and finding["angle_deg"] == tag.visible_angle_deg
    assert bend("overbent-120", "exit_tag").strain > bend("overbent-100", "exit_tag").strain > 0.5


def test_short_exit():
    result = found("short-exit")
    assert result.clearance.least_d == pytest.approx(-0.394051, abs=1e-6)
    assert result.clearance.between == ("twist_standing", "exit_tag")
    standing, tag = result.bends[2:]
    assert 1.0 / standing.min_radius_d == pytest.approx(3.0, abs=0.05)
    assert standing.strain > 0.75
    assert tag.min_radius_d is None and tag.outer_fibre_strain is None  # a folded foot point makes false radii


def test_bench_exit_beside_the_gradual_one():
    bench, gradual = found("bench-exit"), found("good")
    assert bench.cut.total_mm < gradual.cut.total_mm
    assert bench.counts.swing_after_leg == pytest.approx(0.375) and gradual.counts.swing_after_leg > 0.4
    for which in (2, 3):
        assert bench.bends[which].length_d < gradual.bends[which].length_d
        assert bench.bends[which].min_radius_d < gradual.bends[which].min_radius_d
        assert bench.bends[which].severity is Severity.OK


@pytest.mark.parametrize(("name", "lay", "turn"), [("", 4.0, 118.99), ("-pi", math.pi, 125.84)])
def test_barrel_of_the_opposite_hand(name, lay, turn):
    tag = bend(f"opposite-hand-barrel{name}", "exit_tag")
    assert tag.turn_deg == pytest.approx(90.0 - LEAD + math.degrees(math.atan(math.pi / lay)), abs=1e-9)
    assert round(tag.turn_deg, 2) == turn
    assert round(tag.visible_angle_deg, 2) == 80.84  # it looks like a good one
    (finding,) = found(f"opposite-hand-barrel{name}").findings
    assert finding["turn_deg"] == pytest.approx(tag.turn_deg, abs=1e-9)


@pytest.mark.parametrize(("name", "evenness"), [("uneven-half", 0.5), ("uneven-zero", 0.0)])
def test_uneven_twist_by_the_curvature_and_the_wire_of_each_leg(name, evenness):
    result = found(name)
    d = result.joint.diameter_mm
    rows = {row.name: row for row in result.sections}
    for section, a in (("twist_standing", 0.5 * evenness), ("twist_tag", 1.0 - 0.5 * evenness)):
        assert rows[section].wire_mm == pytest.approx(helix_length(a, 4.0, 5.0) * d, rel=1e-12)
        radius = rows[section].min_bend_radius_d
        if a:
            assert 1.0 / radius == pytest.approx(helix_curvature(a, 4.0), rel=1e-12)
        else:
            assert radius is None
        assert rows[section].lay_deg == pytest.approx(math.degrees(math.atan(2.0 * math.pi * a / 4.0)))
    assert result.finished.twist_diameter_mm == pytest.approx((3.0 - evenness) * d)
    assert result.clearance.least_d == pytest.approx(0.0, abs=1e-9)


def test_loose_twist():
    (finding,) = found("loose-twist").findings
    assert finding.severity is Severity.FAULT and finding["lay_d"] == pytest.approx(10.0)
    assert bend("loose-twist", "exit_tag").turn_deg == pytest.approx(63.40131, abs=5e-6)


def test_over_twist():
    result = found("over-twist")
    a = even_radius(2.5)
    assert a > 0.5
    assert result.finished.twist_diameter_mm == pytest.approx((2.0 * a + 1.0) * result.joint.diameter_mm)
    assert bend("over-twist", "entry_tag").visible_angle_deg == pytest.approx(2.0 * math.degrees(lay_angle(a, 2.5)))
    assert result.clearance.least_d == pytest.approx(0.0, abs=1e-9)


def test_open_barrel():
    result = found("open-barrel")
    assert result.contact.wrap_on_wrap_mm == 0.0 and result.contact.wrap_on_core_mm > 0.0
    assert result.findings[0]["gap_d"] == pytest.approx(1.5 - touching_pitch(), abs=1e-12)


def test_pitch_of_one_diameter():
    result = found("tight-pitch")
    assert result.clearance.least_d == pytest.approx(coil_gap(1.0, 1.0), abs=1e-12)
    assert round(-result.clearance.least_d, 6) == 0.012454
    assert result.clearance.between == ("barrel", "barrel")
    assert result.contact.wrap_on_wrap_mm == 0.0


def test_legs_forced_to_half_a_diameter_at_a_lay_of_2_6():
    assert round(-pair_gap(0.5, 0.5, 2.6), 6) == 0.040694
    assert even_radius(2.6) > 0.5


def test_twist_without_a_barrel():
    result = found("twist-only")
    assert result.counts.wraps == 0.0 and result.sections[SECTIONS.index("barrel")].wire_mm == 0.0
    assert result.contact.wrap_on_core_mm == 0.0 and result.finished.barrel_diameter_mm is None


def test_wraps_without_a_twist():
    result = found("wraps-only")
    assert result.counts.turns == 0.0 and result.finished.twist_diameter_mm is None
    assert result.contact.leg_on_leg_mm == 0.0
    assert result.clearance.least_d == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("turns", "noticed"), [(10, True), (7, False)])
def test_crossings_are_noticed_by_the_length(turns, noticed):
    """Five turns of lay 4 d in 20 d; ten turns there would have a lay of 2 d. Seven do not look like crossings."""
    from helix.model.recipe.recipe import recipe_from_text

    text = f"""
    wire = {{diameter = "1 mm", material = "302 stainless"}}
    eye = {{pin = "6 mm"}}
    twist = {{turns = {turns}, length = "20 mm", lay_length = "4 d"}}
    """
    with pytest.raises(ValidationError) as refused:
        recipe_from_text(text)
    assert ("looks like a count of crossings" in str(refused.value)) is noticed
