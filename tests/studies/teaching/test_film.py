"""The making as one film.

Map of what must hold:
  at every time it is one wire of the length to be cut, in two once the handle has broken off
  it begins as the straight wire, goes through every step where that step is, and ends as the finished joint
  it is continuous: what moves moves in proportion to the time that passes, at the knots too
  many times at once are the times one by one
  it overlaps itself nowhere; turns and wraps are counted from none to all; hands go the way that the wire goes
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from helix.geometry.joint.partly_formed import place_at
from helix.geometry.wire.curves import positions
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.path import Path
from helix.studies.shape.shape import shape
from helix.studies.teaching.film import Film, film_frames, film_of, film_state
from helix.studies.teaching.making import WireNow, forming_at, wire_at
from tests.studies.teaching.test_steps import lesson, shorter

NAMES = ("good", "steep-exit", "uneven-twist", "wraps-only")
TWO = ("steep-exit", "uneven-twist")  # three swings; none onto a straightened leg


@cache
def film(name: str) -> Film:
    return film_of(lesson(name))


@cache
def short_film(name: str) -> Film:
    return film_of(shorter(name))


def at(path: Path, s: float) -> np.ndarray:
    place = place_at(path, s)
    return positions(path.pieces[place.piece].curve, np.array([place.u]))[0]


def points(now: WireNow, places: np.ndarray) -> np.ndarray:
    """Points of the wire at arc lengths from the standing end, on the handle too once it is off."""
    return np.array([
        at(now.path, s) if s <= now.path.length or now.broken_off is None else at(now.broken_off, s - now.path.length)
        for s in places.tolist()
    ])  # fmt: skip


def length(now: WireNow) -> float:
    return now.path.length + (now.broken_off.length if now.broken_off else 0.0)


@pytest.mark.parametrize("name", NAMES)
def test_every_picture_is_a_wire_of_the_length_to_cut(name: str) -> None:
    made = film(name)
    total = lesson(name).cut.total_mm / lesson(name).joint.diameter_mm
    for time in np.linspace(0.0, 1.0, 21).tolist():
        now = wire_at(made.making, made.moment(time))
        assert length(now) == pytest.approx(total, rel=1e-11)
        for path in filter(None, (now.path, now.broken_off)):
            chords = np.linalg.norm(np.diff(path.sample(0.1, 5.0).points, axis=0), axis=1).sum()
            assert chords == pytest.approx(path.length, rel=2e-4)  # the curve itself, by its chords


@pytest.mark.parametrize("name", NAMES)
def test_it_goes_through_every_step_and_ends_as_the_joint(name: str) -> None:
    made = film(name)
    times = [made.time_of(step.number) for step in made.steps]
    assert times == sorted(times)
    for step, time in zip(made.steps, times, strict=True):
        state = film_state(made, time)
        assert state.step == step
        places = np.linspace(0.0, step.path.length, 30)
        assert points(state.wire, places) == pytest.approx(
            points(WireNow(path=step.path, formed_d=(0, 0)), places), abs=1e-9
        )
    start = film_state(made, 0.0).wire.path.sample(1.0, 5.0)
    assert np.ptp(start.tangents, axis=0).max() < 1e-12
    assert film_state(made, 1.0).wire.path.length == pytest.approx(lesson(name).joint.layout.path.length)
    assert film_state(made, 1.0).pin_out == 1.0


@pytest.mark.parametrize("name", TWO)
def test_it_moves_steadily_at_its_knots_too(name: str) -> None:
    made = film(name)
    places = np.linspace(made.making.middle_d - 60.0, made.making.joint.layout.path.length + made.making.handle_d, 25)
    for time in [*made.times[1:-1].tolist(), 0.09, 0.31, 0.55]:
        moved = []
        for step in (1e-4, 1e-5):
            one, other = (points(wire_at(made.making, made.moment(time + way * step)), places) for way in (-1.0, 1.0))
            moved.append(float(np.linalg.norm(other - one, axis=1).max()))
        assert moved[0] < 4.0, time  # wire diameters, for a time of 4 ms of the film
        assert moved[1] <= 0.2 * moved[0] + 1e-9, time


@pytest.mark.parametrize("name", TWO)
def test_many_times_are_the_times_one_by_one(name: str) -> None:
    made = film(name)
    times = np.linspace(0.0, 1.0, 37)
    frames = film_frames(made, times)
    handle = made.making.joint.layout.path.length
    bent = dict(zip(frames.bent_from.tolist(), frames.wire.bent, strict=True))
    for k, time in enumerate(times.tolist()):
        state = film_state(made, time)
        assert (frames.wire.low.s[k], frames.wire.high.s[k]) == pytest.approx(state.wire.formed_d, abs=1e-9)
        assert frames.wire.low.s[k] > 300.0 and frames.wire.high.s[k] > 400.0  # no end jumps to the end of the wire
        assert frames.step[k] == state.step.number
        assert at(state.wire.path, float(frames.wire.low.s[k])) == pytest.approx(frames.wire.low.points[k, 0], abs=1e-9)
        assert at(state.wire.path, float(frames.wire.high.s[k])) == pytest.approx(
            frames.wire.high.points[k, 0], abs=1e-9
        )
        if k in bent:
            s, places, tangents = bent[k]
            on = np.append(s, handle + made.making.handle_d)
            there = points(state.wire, on)
            if state.wire.broken_off is not None:
                there[0] = at(state.wire.broken_off, 0.0)
            end = places[-1] + (on[-1] - s[-1]) * tangents[-1]
            assert np.vstack((places, end)) + frames.wire.carried[k] == pytest.approx(there, abs=1e-9)


def test_turns_and_wraps_are_counted_from_none_to_all() -> None:
    made = film("good")
    frames = film_frames(made, np.linspace(0.0, 1.0, 400))
    kinds = np.array([made.steps[number - 1].kind for number in frames.step])
    for kind, whole in (("twist", 5.0), ("wrap", 5.0)):
        counts = frames.count[kinds == kind]
        assert np.all(np.diff(counts) > 0.0) and counts[0] < 0.1 and whole - counts[-1] < 0.1
    assert np.isnan(frames.count[~np.isin(kinds, ("twist", "wrap"))]).all()
    state = film_state(made, made.time_of(6))
    assert (state.step.kind, state.count, state.of) == ("twist", pytest.approx(3.0), 5.0)


def test_hands_go_the_way_of_the_wire_and_turn_with_the_hand_of_the_twist() -> None:
    recipe = lesson("good").recipe
    left = film_of(shape(replace(recipe, twist=replace(recipe.twist, hand="left"))))
    for made, way in ((film("good"), 1.0), (left, -1.0)):
        for number in (5, 11):  # a turn of the twist; a wrap
            state = film_state(made, made.time_of(number) - 0.02)
            tag, leg = state.hands
            assert tag is not None and (leg is None) == (number == 11)
            x, y = tag[:2, 0], tag[:2, 1]
            assert way * (x[0] * y[1] - x[1] * y[0]) > 0.0
            on = state.wire.formed_d[1] + made.grip_d
            assert at(state.wire.path, on) == pytest.approx(tag[0], abs=1e-9)
    resting = film_state(film("good"), 1.0)
    assert resting.hands == (None, None)


def test_a_joint_without_a_handle_ends_when_it_is_wound() -> None:
    recipe = lesson("good").recipe
    made = film_of(shape(replace(recipe, finish=replace(recipe.finish, handle_mm=0.0, stub_mm=0.0))))
    assert film_state(made, 1.0).wire.broken_off is None
    assert made.seconds < film("good").seconds
    frames = film_frames(made, np.linspace(0.0, 1.0, 50))
    assert np.isfinite(frames.wire.high.points).all()


def test_many_turns_take_no_longer_than_nine_seconds() -> None:
    recipe = lesson("good").recipe
    many = film_of(shape(replace(recipe, twist=replace(recipe.twist, turns=30.0))))
    assert many.seconds == pytest.approx(film("good").seconds + 4.0)


@pytest.mark.slow
@pytest.mark.parametrize("name", [*NAMES, "steep-entry", "opposite-hand-barrel"])
def test_it_lies_in_itself_at_no_time(name: str) -> None:
    made = short_film(name)
    for time in np.linspace(made.times[2], 1.0, 140):  # from parallel legs on
        moment = made.moment(float(time))
        if (forming_at(made.making, moment).carried_d or 2.0) < 1.05:
            continue  # the two ends at which it broke still face each other, flat against flat
        now = wire_at(made.making, moment)
        paths = [path for path in (now.path, now.broken_off) if path is not None]
        assert nearest(paths, step=0.12).gap > -1e-3, moment
