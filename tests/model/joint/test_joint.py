"""The joint: samples, sections, refusals with a pin that works, the shortened joint, which parts are named."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from helix.errors import InfeasibleJointError
from helix.geometry.wire.distance import nearest
from helix.model.joint.joint import build_joint, least_gap, rebuilt, shortened
from helix.model.joint.section_names import SECTIONS
from tests.tools.brute import answer, recipe


def test_samples_cover_the_wire_once_from_the_standing_end_to_the_tip():
    joint = build_joint(recipe())
    line = joint.sample(0.02)
    d = joint.diameter_mm
    assert line.s_mm[0] == 0.0
    assert line.s_mm[-1] == pytest.approx(joint.wire_mm, rel=1e-13)
    assert np.all(np.diff(line.s_mm) > 0.0) and np.diff(line.s_mm).max() <= 0.02 * d * (1.0 + 1e-9)
    assert np.all(np.diff(line.section) >= 0)
    assert set(line.section) == set(range(len(SECTIONS)))
    assert line.points_mm[0] == pytest.approx([0.0, 0.0, joint.axial["top"] + 12.0 * d])
    assert np.linalg.norm(line.tangents, axis=1) == pytest.approx(1.0, abs=1e-12)
    assert line.curvature_per_mm == pytest.approx(np.linalg.norm(line.curvature_vectors_per_mm, axis=1))
    assert np.abs(np.sum(line.tangents * line.curvature_vectors_per_mm, axis=1)).max() < 1e-10
    assert sum(joint.section_mm(name) for name in SECTIONS) == pytest.approx(joint.wire_mm, rel=1e-13)


def test_tangents_and_curvature_agree_with_differences_of_the_points():
    """Central differences, second order: halving the step quarters the error, in and across the joins."""
    errors = []
    for step in (0.02, 0.01):
        line = build_joint(recipe()).sample(step)
        s, p = line.s_mm, line.points_mm
        h0, h1 = np.diff(s)[:-1, None], np.diff(s)[1:, None]
        before, after = (p[1:-1] - p[:-2]) / h0, (p[2:] - p[1:-1]) / h1
        tangent = (before * h1 + after * h0) / (h0 + h1)
        bent = 2.0 * (after - before) / (h0 + h1)
        errors.append(
            [np.abs(tangent - line.tangents[1:-1]).max(), np.abs(bent - line.curvature_vectors_per_mm[1:-1]).mean()]
        )
    (t0, k0), (t1, k1) = errors
    assert t1 < 2e-4 and t0 / t1 > 3.0
    assert k1 < 2e-4 and k0 / k1 > 3.0


@pytest.mark.parametrize("step", [0.0, -1.0, float("nan")])
def test_a_step_must_be_positive(step):
    with pytest.raises(ValueError, match="step_d must be above 0"):
        answer().joint.sample(step)


def test_heights_are_those_of_the_parts():
    joint = build_joint(recipe(turns=3, lay=5, wraps=4))
    line = joint.sample(0.01)

    def heights(name: str) -> np.ndarray:
        return line.points_mm[line.section == SECTIONS.index(name)][:, 2]

    axial = joint.axial
    assert axial["throat"] == 0.0
    assert axial["exit"] == pytest.approx(15.0)
    assert heights("twist_tag").min() == pytest.approx(0.0, abs=1e-12)
    assert heights("exit_tag").min() == pytest.approx(axial["exit"], abs=1e-12)
    assert heights("barrel").min() == pytest.approx(axial["barrel"], abs=1e-12)
    assert heights("barrel_core").min() == pytest.approx(axial["on_axis"], abs=0.01)
    assert heights("standing").min() == pytest.approx(axial["top"], abs=0.01)


@pytest.mark.parametrize(
    "changes",
    [
        {"throat": 140, "pin": 2},
        {"throat": 95, "pin": 0.9, "entry": 1},
        {"throat": 120, "pin": 3, "entry": 3},
        {"lay": 2.05},
        {"turns": 0, "throat": 120, "pin": 1},
        {"throat": 150, "pin": 2, "evenness": 0.3, "diameter": 0.7366},
    ],
)
def test_the_least_pin_that_is_printed_works_and_one_below_does_not(changes):
    """Failed once: the number was rounded to the nearest, so half the time the pin it named was refused too."""
    with pytest.raises(InfeasibleJointError) as refused:
        build_joint(recipe(**changes))
    found = re.search(r"least pin that works is ([\d.]+) mm \(([\d.]+) d\)", str(refused.value))
    assert found
    least_mm, least_d = float(found[1]), float(found[2])
    asked = recipe(**changes)
    for pin_mm in (least_mm, least_d * asked.wire.diameter_mm):
        build_joint(replace(asked, eye=replace(asked.eye, pin_mm=pin_mm)))
        with pytest.raises(InfeasibleJointError):
            build_joint(replace(asked, eye=replace(asked.eye, pin_mm=pin_mm * 0.985)))


def test_neither_turns_nor_wraps_is_refused():
    """The reader refuses it too; this is the way in from Python."""
    good = recipe()
    with pytest.raises(InfeasibleJointError) as refused:
        replace(good, twist=replace(good.twist, turns=0.0), barrel=replace(good.barrel, wraps=0.0))
    assert [(fault.code, fault.path.name) for fault in refused.value.faults] == [("no-joint", "twist.turns")]


@pytest.mark.parametrize(("lay", "evenness"), [(2.0, 1.0), (0.9, 0.0)])
def test_legs_that_cannot_be_twisted_so_are_refused(lay, evenness):
    good = recipe()
    with pytest.raises(InfeasibleJointError) as refused:
        replace(good, twist=replace(good.twist, lay_mm=lay, evenness=evenness))
    assert [(fault.code, fault.path.name) for fault in refused.value.faults] == [("lay-too-short", "twist.lay_length")]


@pytest.mark.parametrize("turns", [5.0, 6.5, 8.25])
@pytest.mark.parametrize("wraps", [5, 7.4])
@pytest.mark.parametrize(
    "exits", ['style = "gradual"', 'leg = "2.5 d"', 'peak_angle = "115 deg"', 'leg = "1 d"\nswing = 0.1']
)
def test_the_shortened_joint_has_the_whole_ones_least_gap(turns, wraps, exits):
    """Screw symmetry: three turns and three wraps hold every pair that the whole has."""
    joint = rebuilt(answer(exit=exits).joint, recipe(turns=turns, wraps=wraps, exit=exits))
    short, whole = shortened(joint), joint.layout
    assert len(short.path.pieces) == len(whole.path.pieces)
    assert [p.section for p in short.path.pieces] == [p.section for p in whole.path.pieces]
    assert short.path.length < whole.path.length
    assert nearest([short.path]).gap == pytest.approx(nearest([whole.path]).gap, abs=1e-11)
    assert short.sizes.turns % 1.0 == turns % 1.0


@pytest.mark.parametrize(
    ("changes", "between"),
    [
        ({}, ("twist_standing", "twist_tag")),
        ({"pitch": 1}, ("barrel", "barrel")),
        ({"pitch": 0.9, "turns": 0}, ("barrel", "barrel")),
        ({"exit": 'leg = "1 d"\nswing = 0.1'}, ("twist_standing", "exit_tag")),
    ],
)
def test_the_parts_that_press_are_named(changes, between):
    """Failed once: wraps a diameter apart were named as the tag's exit against the barrel, of which one end ties."""
    assert least_gap(shortened(answer(**changes).joint))[1] == between
    assert answer(**changes).clearance.between == between


def test_an_exit_is_kept_when_a_joint_is_rebuilt():
    joint = answer().joint
    other = rebuilt(joint, recipe(pin=9))
    assert other.layout.planned is joint.layout.planned
    assert other.section_mm("exit_tag") == pytest.approx(joint.section_mm("exit_tag"), rel=1e-13)
    assert other.section_mm("eye") > joint.section_mm("eye")


def test_many_wraps_beside_an_exit_bent_far_back_are_shortened_too():
    """Failed once: three wraps ended below the straight leg, so all thousand were searched."""
    exits = 'leg = "3.7 d"\nswing = 0.3\npeak_angle = "165 deg"'
    joint = rebuilt(answer(exit=exits).joint, recipe(exit=exits, wraps=1000))
    short = shortened(joint)
    assert [p.section for p in short.path.pieces] == [p.section for p in joint.layout.path.pieces]
    assert short.path.length < 0.1 * joint.layout.path.length
