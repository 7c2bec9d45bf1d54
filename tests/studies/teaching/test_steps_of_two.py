"""The making of two wires worked as one.

Map of what must hold:
  every step shows both wires, each of the length to cut; the last is the finished joint
  nothing lies in anything else by more than 0.05 d at any step nor between two; what is formed does by nothing
  from the bend to the end of the twist the rests of a pair run side by side, those of the standing wires to the end
  tags are wound one on each side of the standing pair; turns and wraps are shares of all pieces that make them
  ink marks are where each wire's own parts begin
  the film goes through the steps with both wires; a pair is held as one, and each tag by itself where it goes its own way
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import Path
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.shape.shape import ShapeResult, shape
from helix.studies.teaching.film import film_frames, film_of
from helix.studies.teaching.making import Making, making_of, wires_at
from helix.studies.teaching.steps import forming_steps, ink_marks

LIES = ("side by side", "one over the other")
USUAL = (LIES[0], pytest.param(LIES[1], marks=pytest.mark.slow))
PAIR = 'title = "Doubled tether (invented)"\n[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\ncount = 2\n[eye]\npin = "6 mm"\n'


def recipe_of(lie: str) -> Recipe:
    return recipe_from_text(f'{PAIR}pair = "{lie}"\n')


@cache
def result_of(lie: str) -> ShapeResult:
    return shape(recipe_of(lie))


@cache
def short_making(lie: str) -> Making:
    """Two turns and two wraps, little wire beyond: quick to search."""
    recipe = recipe_of(lie)
    twist, barrel = replace(recipe.twist, turns=2.0), replace(recipe.barrel, wraps=2.0)
    finish = replace(recipe.finish, standing_mm=30.0, handle_mm=30.0)
    return making_of(build_joint(replace(recipe, twist=twist, barrel=barrel, finish=finish)))


def ends(paths: tuple[Path, ...]) -> np.ndarray:
    """Unit tangents at both ends of each path (wires, 2, 3)."""
    return np.array([path.sample(0.5, 5.0).tangents[[0, -1]] for path in paths])


@pytest.mark.parametrize("lie", USUAL)
def test_every_step_has_both_wires_of_the_length_to_cut(lie: str) -> None:
    result = result_of(lie)
    cuts = [wire.cut_mm / result.joint.diameter_mm for wire in result.wires]
    steps = forming_steps(result)
    for step in steps:
        lengths = [path.length + step.broken_off_d for path in step.paths]
        assert lengths == pytest.approx(cuts, abs=1e-9), step.title
    assert steps[-1].paths == result.joint.layout.paths
    kinds = [step.kind for step in steps]
    assert (kinds.count("twist"), kinds.count("wrap"), kinds.count("swing")) == (5, 5, 1)


def assert_nothing_overlaps(making: Making, moments: list[float], step: float) -> None:
    for moment in moments:
        assert nearest([now.path for now in wires_at(making, moment)], step=step).gap > -0.05, moment


@pytest.mark.parametrize("lie", USUAL)
def test_nothing_lies_in_anything_else(lie: str) -> None:
    making = short_making(lie)
    straighten = making.moment_after("straighten")
    assert_nothing_overlaps(making, [0.75, 1.6, straighten - 0.85, straighten + 0.4, making.end - 2.5], 0.15)


@pytest.mark.slow
@pytest.mark.parametrize("lie", LIES)
def test_nor_at_the_moments_between(lie: str) -> None:
    making = short_making(lie)
    straighten = making.moment_after("straighten")
    assert_nothing_overlaps(making, [0.5, 1.0, 2.0, straighten - 0.4, straighten + 1.2], 0.15)


@pytest.mark.slow
@pytest.mark.parametrize("lie", LIES)
def test_nor_does_it_at_any_time(lie: str) -> None:
    making = short_making(lie)
    assert_nothing_overlaps(making, np.linspace(0.02, making.end - 1.0, 90).tolist(), 0.12)


@pytest.mark.parametrize("lie", USUAL)
def test_the_rests_of_a_pair_run_side_by_side(lie: str) -> None:
    making = short_making(lie)
    for moment in np.linspace(0.0, making.end - 1.0, 40).tolist():
        one, other = ends(tuple(now.path for now in wires_at(making, moment)))
        assert one[0] @ other[0] == pytest.approx(1.0, abs=1e-9), moment
        if moment <= making.moment_after("twist"):
            assert one[1] @ other[1] == pytest.approx(1.0, abs=1e-9), moment


def test_tags_are_wound_on_both_sides_and_wraps_are_shares_of_their_pieces() -> None:
    result = result_of("side by side")
    making = making_of(result.joint)
    sizes = result.joint.layout.sizes
    for wraps in (1.0, 2.5, 4.9):
        now = wires_at(making, making.moment_after("wrap", wraps))
        for own, wire in zip(now, making.wires, strict=True):
            path = wire.joint.layout.path
            barrel = float(path.starts[[piece.section for piece in path.pieces].index("barrel")])
            assert own.formed_d[1] - barrel == pytest.approx(wraps * sizes.wrap_length(sizes.pitch), rel=1e-9)
        ahead = ends(tuple(wire.path for wire in now))[:, 1, :2]
        assert ahead[0] @ ahead[1] < 0.0  # more than a right angle apart, seen along the joint


@pytest.mark.parametrize("lie", LIES)
def test_ink_marks_are_where_each_wires_own_parts_begin(lie: str) -> None:
    result = result_of(lie)
    marks = ink_marks(result)
    assert [mark.letter for mark in marks] == list("ABCDEFGH")
    for number, (wire, joint) in enumerate(zip(result.wires, result.joint.wires, strict=True)):
        borders = np.cumsum([row.wire_mm for row in wire.sections])
        for mark in marks:
            place = mark.places[number]
            assert place.from_tag_end_mm + place.from_standing_end_mm == pytest.approx(wire.cut_mm)
            on = [*borders, joint.middle_d * joint.diameter_mm]
            assert np.abs(np.array(on) - place.from_standing_end_mm).min() < 1e-6, mark.what


def test_the_film_holds_a_pair_as_one_and_each_tag_where_it_goes_its_own_way() -> None:
    film = film_of(result_of("side by side"))
    frames = film_frames(film, np.linspace(0.0, 1.0, 80))
    kinds = np.array([film.steps[number - 1].kind for number in frames.step])
    assert len(frames.wires) == 2 and frames.hands.shape == (80, 3, 3)
    twist, wrap = kinds == "twist", kinds == "wrap"
    assert np.isnan(frames.hands[twist, 2]).all() and np.isfinite(frames.hands[twist, :2]).all()
    assert np.isfinite(frames.hands[wrap][:, [0, 2]]).all() and np.isnan(frames.hands[wrap, 1]).all()
    both = np.mean([wire.high.place(np.full(80, film.grip_d)) for wire in frames.wires], axis=0)
    assert frames.hands[twist, 0] == pytest.approx(both[twist])
    for k in range(0, 80, 9):
        for wire, now in zip(frames.wires, wires_at(film.making, film.moment(float(frames.time[k]))), strict=True):
            assert (wire.low.s[k], wire.high.s[k]) == pytest.approx(now.formed_d, abs=1e-9)
            if k not in frames.bent_from:
                tip = now.path.sample(1.0, 5.0)
                left = np.full(80, now.path.length - wire.high.s[k])
                assert wire.high.place(left)[k] == pytest.approx(tip.points[-1], abs=1e-5)
