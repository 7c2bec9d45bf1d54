"""The wire to cut: each share of its interval by cutting a joint that is so much off, and what scales and adds."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from helix.errors import InfeasibleJointError
from helix.geometry.joint.exits import mean_sine
from helix.model.joint.joint import build_joint, rebuilt
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.cut_length import cut_length
from tests.tools.brute import answer, recipe


def changed(one: Recipe, **tables: dict) -> Recipe:
    return replace(one, **{name: replace(getattr(one, name), **values) for name, values in tables.items()})


def half_difference(one: Recipe, less: Recipe, more: Recipe) -> float:
    """Half of what a joint a little longer takes over one a little shorter, the exit kept, handles included."""
    joint = answer().joint
    assert joint.recipe == one
    short, long = rebuilt(joint, less), rebuilt(joint, more)
    return (long.wire_mm + more.finish.handle_mm - short.wire_mm - less.finish.handle_mm) / 2.0


def share(cause: str) -> float:
    return dict(answer().cut.shares)[cause]


def test_shares_are_what_a_joint_so_much_off_would_take():
    one = answer().recipe
    off = one.tolerance
    cases = {
        "lay": ("twist", "lay_mm", off.lay_mm),
        "turns": ("twist", "turns", off.turns),
        "eye": ("eye", "pin_mm", off.pin_mm),
        "wraps": ("barrel", "wraps", off.wraps),
        "stub": ("finish", "stub_mm", off.stub_mm),
        "handle": ("finish", "handle_mm", off.handle_mm),
    }
    for cause, (table, key, width) in cases.items():
        value = getattr(getattr(one, table), key)
        less, more = (changed(one, **{table: {key: value + sign * width}}) for sign in (-1.0, 1.0))
        assert share(cause) == pytest.approx(abs(half_difference(one, less, more)), rel=1e-9)
        assert share(cause) > 0.0


def test_the_share_of_gaps_is_a_barrel_wound_that_much_open():
    one = answer().recipe
    pitch = answer().joint.layout.sizes.pitch
    more = changed(one, barrel={"pitch_mm": pitch + one.tolerance.wrap_gap_mm})
    joint = answer().joint
    taken = rebuilt(joint, more)
    longer = sum(taken.section_mm(name) - joint.section_mm(name) for name in ("barrel", "barrel_core"))
    assert share("gaps between wraps") == pytest.approx(longer, rel=1e-9)


def test_the_share_of_the_swing_is_wire_of_so_much_more_rotation():
    """Swings of the same two lay angles that turn a tolerance more and less, and the leg under them."""
    joint = answer().joint
    (swing,) = joint.layout.planned.plan.swings
    per_turn = 2.0 * math.pi / mean_sine(swing.lay_from, swing.lay_to)
    lengths = []
    for sign in (-1.0, 1.0):
        longer = replace(swing, length=swing.length + sign * joint.recipe.tolerance.swing_turns * per_turn)
        planned = replace(joint.layout.planned, plan=replace(joint.layout.planned.plan, swings=(longer,)))
        swung = rebuilt(joint, joint.recipe, planned)
        lengths.append(swung.section_mm("exit_tag") + swung.section_mm("barrel_core"))
    assert share("swing") == pytest.approx((lengths[1] - lengths[0]) / 2.0, rel=1e-9)


def test_the_interval_is_the_root_of_the_sum_of_squares():
    cut = answer().cut
    width = math.sqrt(sum(size**2 for _, size in cut.shares))
    assert cut.high_mm - cut.total_mm == pytest.approx(width)
    assert cut.total_mm - cut.low_mm == pytest.approx(width)
    assert {cause for cause, _ in cut.shares} >= {"lay", "turns", "eye", "swing", "wraps", "stub", "handle"}


def test_exact_hands_leave_no_interval():
    off = answer().recipe.tolerance
    exact = changed(answer().recipe, tolerance=dict.fromkeys(vars(off), 0.0))
    cut = cut_length(rebuilt(answer().joint, exact))
    assert cut.low_mm == cut.total_mm == cut.high_mm == answer().cut.total_mm


@pytest.mark.parametrize("k", [0.5, 3.0])
def test_the_cut_scales_with_the_wire(k):
    """Everything stated in diameters: a wire k times as thick takes k times the length."""
    one, other = answer().cut, answer(diameter=k).cut
    assert other.total_mm == pytest.approx(k * one.total_mm, rel=1e-9)
    assert other.joint_mm == pytest.approx(k * one.joint_mm, rel=1e-9)


def test_more_of_anything_takes_more_wire():
    one = answer().cut.total_mm
    for more in (
        {"turns": 5.5},
        {"wraps": 5.5},
        {"pin": 6.5},
        {"stub": 1.5},
        {"handle": 61},
        {"standing": 13},
        {"lay": 4.2},
    ):
        assert rebuilt(answer().joint, recipe(**more)).wire_mm + recipe(**more).finish.handle_mm > one


def test_a_refused_side_of_a_tolerance_counts_the_other():
    """A pin that barely closes the eye: a smaller one is refused, so the larger alone tells."""
    wide = recipe(throat=100, pin=2.0)
    with pytest.raises(InfeasibleJointError) as refused:
        build_joint(wide)
    least = float(str(refused.value).rsplit("(", 1)[1].split(" d")[0])
    barely = changed(wide, eye={"pin_mm": least * 1.001})
    joint = build_joint(barely)
    larger = rebuilt(joint, changed(barely, eye={"pin_mm": barely.eye.pin_mm + barely.tolerance.pin_mm}))
    assert dict(cut_length(joint).shares)["eye"] == pytest.approx(larger.wire_mm - joint.wire_mm, rel=1e-9)
