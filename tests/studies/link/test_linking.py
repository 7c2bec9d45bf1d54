"""Linked joints. What must hold, strongest first:

no load, odds or verdict above that of the same joint without the link; the less, the harder its eye is drawn
scale changes lengths alone; a mirrored pair is the same; the two of one kind are alike
the crossing is the mandrel's bend, and what it leaves that of the eye in every hold
what is found: the limits of other bends, and wire on wire; the joint's own findings stay
what cannot be linked is refused, a line a fault, at its place
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial
from itertools import pairwise

import pytest

from helix.errors import InfeasibleJointError, ValidationError
from helix.findings import Severity
from helix.mechanics import limits
from helix.mechanics.bends.retained import fracture_strain, retained_share
from helix.model.recipe.recipe import recipe_from_values
from helix.studies.hold.holding import hold, hold_with, setting_of
from helix.studies.judge import judge_held
from helix.studies.link import linking
from helix.studies.link.link_result import LinkResult, Ring
from helix.studies.link.linking import link_joints
from helix.studies.shape.shape import shape
from tests.tools.brute import recipe

PIN_D = 6.0
DRAWS = 1000  # of every hold here: a link is compared with its own joint
LINKED = ("tight-crossing", "wire-on-wire")


@cache
def on_ring(bar_d: float, **changes: object) -> LinkResult:
    made = recipe(**changes)
    d_mm = made.wire.diameter_mm
    return link_joints(made, ring=Ring(diameter_mm=bar_d * d_mm, inside_mm=20.0 * d_mm))


@pytest.fixture(autouse=True)
def fewer_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(linking, "setting_of", partial(setting_of, draws=DRAWS))


@cache
def usual() -> LinkResult:
    return link_joints(recipe())


@cache
def with_a_faulty_one() -> LinkResult:
    return link_joints(recipe(), recipe(pin=9, throat=100.0))


ODDS = {"locks": 0, "no model": 1, "marginal": 2, "unwinds": 3}


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"throat": 100.0},
        {"turns": 4, "wraps": 4},
        *(pytest.param(more, marks=pytest.mark.slow) for more in ({"exit": 'style = "bench"'}, {"lay": 6})),
    ],
)
def test_an_eye_that_is_drawn_harder_is_never_better(changes: dict[str, object]) -> None:
    made = recipe(**changes)
    setting = setting_of(made, draws=400)
    drawn = [hold_with(made, setting, eye_strain=strain) for strain in (0.0, 0.12, 0.5, 0.65, 0.8)]
    assert drawn[0] == hold_with(made, setting)
    for gentler, harder in pairwise(drawn):
        assert harder.plan_with_n <= gentler.plan_with_n and harder.expected_n <= gentler.expected_n
        assert harder.probability.unwinds >= gentler.probability.unwinds
        assert ODDS[harder.verdict] >= ODDS[gentler.verdict]
        assert judge_held(harder).severity >= judge_held(gentler).severity
    assert drawn[-1].plan_with_n < 0.9 * drawn[0].plan_with_n and drawn[-1].governs_place in ("eye", "unwinding")


@pytest.mark.slow
def test_a_link_is_never_better_than_the_joint_and_a_thick_ring_costs_nothing() -> None:
    changes = {"throat": 100.0}
    plain = hold(recipe(**changes), draws=DRAWS)
    own = judge_held(plain)
    for result in (on_ring(0.3, **changes), on_ring(PIN_D - 0.2, **changes), link_joints(recipe(**changes))):
        joint = result.joints[0]
        assert joint.alone.plan_with_n == plain.plan_with_n
        assert joint.linked.plan_with_n <= plain.plan_with_n and joint.linked.expected_n <= plain.expected_n
        assert result.judgement.severity >= own.severity
        assert {finding.code for finding in own.findings} <= {finding.code for finding in result.findings}
        assert result.judgement.severity == joint.judgement.severity
    assert on_ring(0.3, **changes).joints[0].linked.plan_with_n < plain.plan_with_n
    thick = on_ring(PIN_D - 0.2, **changes)
    assert thick.joints[0].linked == thick.joints[0].alone and set(thick.findings) == set(own.findings)


def test_bars_go_on_to_the_pin_and_never_gain_by_being_thinner() -> None:
    joint = on_ring(1.5).joints[0]
    assert joint.bars[-1].bar_mm == pytest.approx(joint.recipe.eye.pin_mm)
    for thinner, thicker in pairwise(joint.bars):
        assert thinner.bar_mm < thicker.bar_mm and thinner.strain > thicker.strain
        assert thinner.severity >= thicker.severity and thinner.of_straight <= thicker.of_straight
        assert thinner.leaves.nominal <= thicker.leaves.nominal
    assert {bar.severity for bar in joint.bars} == {Severity.OK, Severity.CAUTION, Severity.SHARP}


def test_scale_changes_lengths_alone_and_a_mirrored_pair_is_the_same() -> None:
    one, (large, left) = usual(), (link_joints(recipe(**changes)) for changes in ({"diameter": 2.5}, {"hand": "left"}))
    for name in ("play_mm", "centres_pulled_mm", "centres_pushed_mm", "ends_pulled_mm", "ends_pushed_mm"):
        assert getattr(large.room, name) == pytest.approx(2.5 * getattr(one.room, name), rel=1e-9)
        assert getattr(left.room, name) == pytest.approx(getattr(one.room, name), rel=1e-9)
    assert large.joints[0].pulled == one.joints[0].pulled == left.joints[0].pulled
    assert large.joints[0].leaves == one.joints[0].leaves
    assert [swing.angle_deg for swing in large.room.swings] == pytest.approx([s.angle_deg for s in one.room.swings])
    assert one.joints[0].s_mm == pytest.approx(one.joints[1].s_mm)
    assert one.contact.centres_apart_mm == pytest.approx(1.0, abs=1e-9) and large.contact.touching_mm == 2.5
    assert one.room.centres_pulled_mm == pytest.approx(PIN_D)  # half of both pins


def test_a_pair_is_as_long_as_its_parts_less_what_is_inside_the_eyes() -> None:
    result = with_a_faulty_one()
    parts = sum(shape(joint.recipe).finished.length_mm for joint in result.joints)
    assert result.room.ends_pulled_mm == pytest.approx(parts)  # from bearing to last wrap: the bearings touch
    assert result.room.ends_pushed_mm == pytest.approx(parts - result.room.play_mm)
    ring = on_ring(1.5)
    assert ring.room.ends_pulled_mm == pytest.approx(shape(recipe()).finished.length_mm + 20.0)


def test_the_crossing_is_that_of_a_mandrel_and_leaves_what_the_eye_of_a_hold_does() -> None:
    joint = on_ring(0.5).joints[0]
    assert joint.pulled.strain == pytest.approx(1.0 / 1.5) and joint.pulled.radius_d == pytest.approx(0.75)
    assert joint.rest.radius_d == pytest.approx((PIN_D + 1.0) / 2.0)
    ductility = joint.held.setting.ductility
    low, nominal, high = retained_share(joint.pulled.strain, fracture_strain(ductility)).tolist()
    assert (joint.leaves.low, joint.leaves.nominal, joint.leaves.high) == (low, nominal, high)
    eye = next(place for place in joint.held.breaks if place.place == "eye")
    assert eye.strain == joint.pulled.strain
    assert eye.load_n == pytest.approx(nominal / eye.load_proportion * joint.held.strength_n, rel=1e-9)
    thick, thin = recipe(diameter=1.2, pin=5), recipe(pin=6)
    pair = link_joints(thick, thin)
    assert sum(one.pulled.strain for one in pair.joints) == pytest.approx(1.0)  # the thicker is bent the harder
    assert pair.joints[0].pulled.severity is Severity.CAUTION and pair.joints[1].pulled.severity is Severity.OK


def test_what_is_found_is_by_the_limits_of_other_bends_and_wire_on_wire() -> None:
    at = 1.0 / limits.STRAIN_OK - 1.0, 1.0 / limits.STRAIN_CAUTION - 1.0
    found = {bar: [f for f in on_ring(bar).findings if f.code in LINKED] for bar in (at[0], 0.99 * at[0], 0.99 * at[1])}
    assert [[(f.code, f.severity.word) for f in fs] for fs in found.values()] == [
        [],
        [("tight-crossing", "caution")],
        [("tight-crossing", "sharp")],
    ]
    assert found[0.99 * at[1]][0]["least_mm"] == pytest.approx(1.0)
    pair = usual()
    assert [(f.code, f.severity.word) for f in pair.findings] == [("wire-on-wire", "caution")]
    assert (pair.findings[0]["low"], pair.findings[0]["high"]) == (0.44, 0.66)
    faulty = with_a_faulty_one()
    assert faulty.judgement.code == "steep-first-bend" and faulty.judgement.severity is Severity.SHARP
    assert faulty.weakest.recipe == faulty.joints[1].recipe
    unknown = link_joints(recipe(), recipe(wraps=0))
    assert unknown.weakest is unknown.joints[1]  # no load is known of it


def test_what_cannot_be_linked_is_refused_at_its_place() -> None:
    made = recipe()
    cases = [
        (lambda: link_joints(recipe(pin=1.5), recipe(diameter=2.0)), {("pin", "eye-too-small")}),
        (lambda: link_joints(made.variant(wire=replace(made.wire, count=2))), {("count", "link-of-two")}),
        (lambda: link_joints(made, ring=Ring(diameter_mm=6.5, inside_mm=30.0)), {("ring", "ring-too-thick")}),
        (
            lambda: link_joints(made, ring=Ring(diameter_mm=7.0, inside_mm=1.0)),
            {("ring", "ring-too-thick"), ("ring_inside", "ring-too-small")},
        ),
        (lambda: link_joints(made, ring=Ring(diameter_mm=2.54e-8, inside_mm=37.3)), {("ring", "ring-too-thin")}),
        (lambda: link_joints(made, ring=Ring(diameter_mm=0.1, inside_mm=31.0)), {("ring_inside", "ring-too-wide")}),
    ]
    for wrong, expected in cases:
        with pytest.raises(ValidationError) as refused:
            wrong()
        assert {(fault.path.key, fault.code) for fault in refused.value.faults} == expected
    small = made.variant(eye=replace(made.eye, pin_mm=1.05))
    with pytest.raises(InfeasibleJointError) as tight:
        link_joints(small)
    assert [fault.code for fault in tight.value.faults] == ["no-room-to-link"]


def test_an_eye_that_is_hundreds_of_diameters_long_is_refused() -> None:
    """A throat of 1 deg took 7 s."""
    narrow = recipe_from_values({"size": "MWG 12", "material": "302 stainless", "pin_mm": 6.0, "throat_deg": 4.9})
    with pytest.raises(ValidationError) as refused:
        link_joints(narrow)
    assert [(fault.path.name, fault.code) for fault in refused.value.faults] == [("eye.throat", "throat-too-narrow")]
