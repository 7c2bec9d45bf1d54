"""Spreading errors: the quick model against exact builds, derivatives against trials, verdicts against shape.

Map of what must hold:
  no error at all = what shape says; the quick model = exact builds, at nodes and at random points
  first derivatives = those of closed forms, and of the shares that a cut's interval is made of
  small errors: random trials have the standard deviation that the derivatives give
  two wires: the longer one's cut, the harder bent one's strains, closed forms of their own
  shares of verdicts add up to 1; a bend that is sharp by far is sharp in every trial
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from helix.geometry.twist.ovals import oval_turn_length
from helix.geometry.twist.strands import helix_length, touching_pitch
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_values
from helix.studies.inspect.spread import STEPS, SpreadResult, Steps, _verdicts, inputs_of, spread
from helix.studies.inspect.spread_model import Moved, SpreadModel
from helix.studies.shape.bends import BENDS
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import to_plain

EXAMPLES = Path(__file__).resolve().parents[3] / "docs" / "examples"
D = 0.7366
TINY = Steps(angle_deg=0.01, length_mm=0.001, turn=0.0025)


@cache
def recipe(name: str = "logger-tether") -> Recipe:
    return read_recipe(EXAMPLES / f"{name}.toml")


@cache
def shaped(name: str = "logger-tether") -> ShapeResult:
    return shape(recipe(name))


@cache
def usual(name: str = "logger-tether", steps: Steps | None = None) -> SpreadResult:
    return spread(recipe(name), steps, draws=20_000)


def effect(result: SpreadResult, name: str):
    return next(each for each in result.effects if each.input.name == name)


def test_no_error_is_what_shape_says() -> None:
    result, said = usual(), shaped()
    assert result.cut.nominal_mm == pytest.approx(said.cut.total_mm, abs=1e-6)
    assert result.finished.nominal_mm == pytest.approx(said.finished.length_mm, abs=1e-5)
    for bend, theirs in zip(result.bends, said.bends, strict=True):
        assert (bend.name, bend.severity) == (theirs.name, theirs.severity)
        assert bend.strain == pytest.approx(theirs.strain, abs=1e-6)


UNEVEN = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 8.0, "evenness": 0.9, "lay_d": 3.0}


@pytest.mark.parametrize("made", [recipe("faults/overbent-100"), recipe_from_values(UNEVEN)], ids=("peak", "open"))
def test_no_error_leaves_an_exit_as_it_is(made: Recipe) -> None:
    """Over a peak; and of an uneven twist whose legs open first, where the leg winds on another radius than the tag."""
    said = shape(made)
    inputs = inputs_of(said.recipe, said.joint, Steps())
    model = SpreadModel(said.recipe, tuple(inputs)).exact(np.zeros(len(inputs)))
    assert model.cut_mm[0] == pytest.approx(said.cut.total_mm, abs=1e-6)
    assert model.strain[0] == pytest.approx([bend.strain for bend in said.bends], abs=1e-6)


def test_the_quick_model_against_exact_builds() -> None:
    """At random points, all errors at once; two thirds of a bend's strain limit is 0.05."""
    check = usual().check
    assert check.points == 6
    assert check.cut_mm < 0.005
    assert check.finished_mm < 0.005
    assert check.strain < 0.01


def test_derivatives_with_a_closed_form() -> None:
    result = usual()
    per_turn = 2.0 * helix_length(0.5, 4.0) * D
    pitch = touching_pitch()
    per_wrap = (helix_length(1.0, pitch) + pitch) * D
    assert effect(result, "turns").cut_slope_mm == pytest.approx(0.25 * per_turn, rel=1e-9)
    assert effect(result, "turns").finished_slope_mm == pytest.approx(0.25 * 4.0 * D, rel=1e-9)
    assert effect(result, "wraps").cut_slope_mm == pytest.approx(0.25 * per_wrap, rel=1e-9)
    assert effect(result, "wraps").finished_slope_mm == pytest.approx(0.25 * pitch * D, rel=1e-9)
    for name in ("stub", "handle"):
        assert effect(result, name).cut_slope_mm == pytest.approx(0.1, rel=1e-8)
        assert effect(result, name).finished_slope_mm == 0.0
    assert effect(result, "turns").cut_sd_mm == pytest.approx(0.25 * per_turn / math.sqrt(3.0), rel=0.02)


def test_derivatives_against_the_shares_of_the_cut() -> None:
    """The interval of a cut is made of the same errors, each found by two exact builds of its own."""
    result, shares, slack = usual(), dict(shaped().cut.shares), recipe().tolerance
    for name, share, tolerance in (
        ("pin", "eye", slack.pin_mm),
        ("turns", "turns", slack.turns),
        ("wraps", "wraps", slack.wraps),
    ):
        each = effect(result, name)
        assert abs(each.cut_slope_mm) / each.input.step == pytest.approx(shares[share] / tolerance, rel=1e-3)
    assert effect(result, "swing").cut_slope_mm == pytest.approx(shares["swing"], rel=1e-3)
    # the lay's own share leaves the swing where it was; here it starts at the lay that the twist has
    own = {each.name: each.step for each in inputs_of(recipe(), shaped().joint, Steps(own=True))}
    lay = recipe().twist.lay_mm
    per_mm = math.degrees(math.pi * D / (lay**2 + (math.pi * D) ** 2))
    assert own["lay angle"] == pytest.approx(slack.lay_mm * per_mm, rel=1e-9)
    assert abs(effect(result, "lay angle").cut_slope_mm) * own["lay angle"] == pytest.approx(shares["lay"], rel=0.1)


def test_small_errors_spread_as_their_derivatives_say() -> None:
    tiny = usual("faults/wraps-only", TINY)
    for total, name in ((tiny.cut, "cut_slope_mm"), (tiny.finished, "finished_slope_mm")):
        assert total.sd_mm == pytest.approx(total.slope_sd_mm, rel=0.02)
        # the only error that does not average out is that of the gap, which can only grow
        half = 0.5 * getattr(effect(tiny, "gap between wraps"), name)
        assert total.mean_mm - total.nominal_mm == pytest.approx(half, abs=4.0 * total.sd_mm / math.sqrt(20_000))
    for each in tiny.effects:
        own = 2.0 if each.input.upward else 1.0
        assert each.cut_sd_mm == pytest.approx(abs(each.cut_slope_mm) / math.sqrt(3.0) / own, rel=0.02)
    assert tiny.check.cut_mm < 1e-4


def test_a_gap_between_touching_wraps_can_only_grow() -> None:
    gap = effect(usual(), "gap between wraps")
    assert gap.input.upward
    assert usual().finished.mean_mm > usual().finished.nominal_mm
    assert gap.cut_slope_mm > 0.0


def test_verdicts() -> None:
    for bend in usual().bends:
        assert sum(to_plain(bend.trials).values()) == pytest.approx(1.0)
        assert sum(to_plain(bend.derivative).values()) == pytest.approx(1.0)
    assert [bend.name for bend in usual().bends] == list(BENDS)
    # a gradual exit is as sharp as the barrel: a swing that is shorter makes it sharper
    tag = next(bend for bend in usual().bends if bend.name == "exit_tag")
    assert 0.9 < tag.trials.ok < 1.0


def test_verdicts_are_those_of_the_limits() -> None:
    one = np.ones((1, 4))
    limits = [(0.50, 1.0, 90.0, 90.0, 0, 0), (0.51, 1.0, 80.0, 80.0, 1, 1), (0.76, 1.0, 80.0, 80.0, 2, 2)]
    limits += [(0.3, 1.6, 80.0, 80.0, 1, 1), (0.3, 1.0, 91.0, 80.0, 2, 0), (0.3, 1.0, 80.0, 91.0, 0, 2)]
    for strain, peak, first, out, entry, leaving in limits:
        angles = np.array([first]), np.array([out])
        found = _verdicts(
            shaped().joint,
            Moved(
                cut_mm=np.zeros(1),
                finished_mm=np.zeros(1),
                strain=strain * one,
                peak=peak * one,
                first_deg=angles[0],
                exit_deg=angles[1],
            ),
        )[0]
        by_strain = 2 if strain > 0.75 else 1 if strain > 0.5 or peak > 1.5 else 0
        assert found.tolist() == [STEPS[step] for step in (entry, entry, by_strain, leaving)]


def test_the_same_seed_gives_the_same_trials() -> None:
    tiny = usual("faults/wraps-only", TINY)
    again, other = (spread(recipe("faults/wraps-only"), TINY, draws=20_000, seed=seed) for seed in (0, 2))
    assert again.cut == tiny.cut
    assert again.effects == tiny.effects
    assert other.cut.sd_mm != tiny.cut.sd_mm
    assert other.cut.slope_sd_mm == tiny.cut.slope_sd_mm
    with pytest.raises(ValueError, match="draws must be from 100"):
        spread(recipe(), draws=10)


def test_inputs_follow_the_joint() -> None:
    names = {
        name: [each.name for each in inputs_of(recipe(name), build_joint(recipe(name)), Steps())]
        for name in ("logger-tether", "faults/overbent-100", "faults/twist-only", "faults/wraps-only")
    }
    assert "peak angle" in names["faults/overbent-100"]
    assert "peak angle" not in names["logger-tether"]
    assert not {"wraps", "gap between wraps", "swing"} & set(names["faults/twist-only"])
    assert not {"turns", "lay angle", "exit leg"} & set(names["faults/wraps-only"])
    assert np.all([each.step > 0.0 for each in inputs_of(recipe(), shaped().joint, Steps(own=True))])


def two_wires() -> Recipe:
    values = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 8.0, "count": 2, "pair": "one over the other"}
    return recipe_from_values(values)


@pytest.mark.slow
def test_two_wires_against_exact_builds() -> None:
    """The longer wire's cut, the harder bent one's strains, closed forms of their own."""
    made, said = two_wires(), shape(two_wires())
    inputs = [
        each
        for each in inputs_of(made, said.joint, Steps())
        if each.name in ("lay angle", "gap between wraps", "turns", "wraps")
    ]
    model = SpreadModel(made, tuple(inputs))
    model.fit()
    z = np.array([[0.0, 0.0, 0.0, 0.0], [0.4, 0.3, -0.7, 0.9], [-0.8, 0.9, 0.5, -0.5]])
    quick = model.many(z)
    assert quick.cut_mm[0] == pytest.approx(max(wire.cut_mm for wire in said.wires), abs=1e-6)
    assert quick.finished_mm[0] == pytest.approx(said.finished.length_mm, abs=1e-4)
    assert quick.strain[0] == pytest.approx([bend.strain for bend in said.bends], abs=1e-3)
    assert [quick.first_deg[0], quick.exit_deg[0]] == pytest.approx(
        [said.bends[k].visible_angle_deg for k in (1, 3)], abs=0.01
    )
    for k in (1, 2):
        exact = model.exact(z[k])
        assert (quick.cut_mm[k], quick.finished_mm[k]) == pytest.approx(
            (exact.cut_mm[0], exact.finished_mm[0]), abs=0.01
        )
        assert quick.strain[k] == pytest.approx(exact.strain[0], abs=0.005)
        assert quick.first_deg[k] == pytest.approx(exact.first_deg[0], abs=1e-4)
    sizes = said.joint.layout.sizes
    more = (
        model.many(np.array([[0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])).cut_mm - model.many(np.zeros((1, 4))).cut_mm
    )
    wrap = oval_turn_length(sizes.pitch) + sizes.pitch
    assert more == pytest.approx([0.5 * helix_length(sizes.standing_radius, sizes.lay) * D, 0.25 * wrap * D], rel=1e-9)


@pytest.mark.slow
def test_two_wires_with_every_error() -> None:
    result = spread(two_wires(), Steps(angle_deg=0.3, length_mm=0.03, turn=0.02), draws=2000)
    assert max(result.check.cut_mm, result.check.finished_mm) < 0.002 and result.check.strain < 0.01
    assert {quantity.input.name for quantity in result.effects} >= {"exit leg", "swing", "throat", "pin"}
