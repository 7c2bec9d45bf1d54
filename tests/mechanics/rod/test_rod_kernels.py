"""The rod's kernels. What is tested, strongest first:

* forces are what the elastic energy loses, by differences, and do not push or turn the rod as a whole;
* a rigid motion strains nothing; the yield surface is convex, exact where it should be, and sections return to it;
* the feet that are followed are the nearest places, against brute force; a run that runs away says so.
"""

from __future__ import annotations

import sys

import numpy as np
import pytest

from helix.mechanics.bends.straightening import axial_share
from helix.mechanics.rod import compiling
from helix.mechanics.rod.letting_go import bend_from_straight, let_go
from helix.mechanics.rod.rod_making import (
    PLASTIC_BENDING,
    STIFFNESS,
    energy_residual,
    make_guides,
    make_pins,
    make_rod,
    make_touch,
)
from helix.mechanics.rod.rod_state import DAMPED, ELASTIC, PLASTIC, PRESSED, RUBBED, State, Wire
from helix.mechanics.rod.rubbing import place_of, push, surface_speed, touch_pins
from helix.mechanics.rod.section import return_to_yield, yield_norm
from helix.mechanics.rod.smooth_line import nodes_of, weigh
from helix.mechanics.rod.stepping import advance
from helix.mechanics.rod.strains import carry_frames, resist, strain_rod
from helix.mechanics.rod.tracking import look_for_contacts

pytestmark = pytest.mark.xdist_group("rod")


def wavy(count: int = 9) -> np.ndarray:
    x = np.arange(count) * 0.8
    return np.stack([x, np.sin(x), 0.3 * np.cos(2.0 * x)], axis=1)


def strained(moved: np.ndarray, turn: np.ndarray) -> tuple[State, Wire]:
    """A wavy rod, moved and turned from where it is free of stress, with its forces."""
    state, wire = make_rod(wavy(), yields=False)
    wire = wire._replace(viscosity=0.0)
    state.points[:] = moved
    carry_frames(state.points, state.tangent, state.director, turn)
    moments, tensions = np.zeros((len(moved), 3)), np.zeros(len(turn))
    strain_rod(state, wire, moments, tensions, np.zeros((8, 4)))
    resist(state, wire, moments, tensions)
    return state, wire


@pytest.mark.parametrize("seed", [1, 2])
def test_forces_are_what_the_energy_loses(seed: int) -> None:
    random = np.random.default_rng(seed)
    moved, turn = wavy() + 0.1 * random.normal(size=(9, 3)), 0.2 * random.normal(size=8)
    state, _ = strained(moved, turn)
    h = 1e-5

    def after(place: tuple[int, int] | int, step: float) -> float:
        # carried on from the strained state: the frames of a small move follow it
        again, wire = strained(moved, turn)
        by = np.zeros(8)
        if isinstance(place, tuple):
            again.points[place] += step
        else:
            by[place] = step
        carry_frames(again.points, again.tangent, again.director, by)
        strain_rod(again, wire, np.zeros((9, 3)), np.zeros(8), np.zeros((8, 4)))
        return float(again.energy[ELASTIC])

    for place in ((0, 1), (3, 0), (4, 2), (8, 1)):
        slope = (after(place, h) - after(place, -h)) / (2.0 * h)
        assert state.force_on[place] == pytest.approx(-slope, rel=1e-5, abs=1e-5)
    for edge in (0, 3, 7):
        slope = (after(edge, h) - after(edge, -h)) / (2.0 * h)
        assert state.torque_on[edge] == pytest.approx(-slope, rel=1e-5, abs=1e-5)


def test_inner_forces_neither_push_nor_turn_the_whole() -> None:
    random = np.random.default_rng(3)
    state, _ = strained(wavy() + 0.1 * random.normal(size=(9, 3)), 0.2 * random.normal(size=8))
    assert np.abs(state.force_on.sum(axis=0)).max() < 1e-10
    whole = np.cross(state.points, state.force_on).sum(axis=0) + (state.torque_on[:, None] * state.tangent).sum(axis=0)
    assert np.abs(whole).max() < 1e-9


def test_a_rigid_motion_strains_nothing() -> None:
    state, wire = make_rod(wavy(), yields=False)
    turn = 0.01
    rotate = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    old = state.tangent.copy()
    for _ in range(100):
        # carrying along takes out the turning about the edge itself: give it back
        about = turn * state.tangent[:, 2]
        middle = state.points @ rotate.T
        state.points[:] = middle + 0.01
        carry_frames(state.points, state.tangent, state.director, about)
    assert np.abs(state.tangent - old).max() > 0.5
    strain_rod(state, wire, np.zeros((9, 3)), np.zeros(8), np.zeros((8, 4)))
    assert np.abs(state.force * wire.plastic).max() < 2e-3  # what steps of 0.01 rad leave, of forces of some 10


def test_a_surface_that_turns_with_its_wire_moves_as_a_rigid_body() -> None:
    random = np.random.default_rng(6)
    x, v, turning, tangent = random.normal(size=(4, 3))
    tangent /= np.linalg.norm(tangent)
    arm = 0.5 * np.cross(tangent, [0.6, 0.0, 0.8])
    out = np.zeros(3)
    at = np.array([*x, *v, *tangent, *np.cross(turning, tangent), turning @ tangent, 1.0])
    surface_speed(at, arm[0], arm[1], arm[2], out)
    assert out == pytest.approx(v + np.cross(turning, arm), abs=1e-12)


def test_a_force_at_the_surface_does_its_work_on_the_nodes() -> None:
    random = np.random.default_rng(7)
    state, _ = make_rod(wavy())
    state.velocity[:], state.spin[:] = random.normal(size=(9, 3)), random.normal(size=8)
    weight, slope, at, speed = np.zeros(3), np.zeros(3), np.zeros(14), np.zeros(3)
    weigh(0.2, weight, slope)
    place_of(state, 4, weight, slope, 0.2, at)
    arm, (normal, friction) = 0.5 * np.cross(at[6:9], [0.6, 0.0, 0.8]), random.normal(size=(2, 3))
    push(state, 4, 0.2, weight, slope, at, normal, friction, arm)
    surface_speed(at, arm[0], arm[1], arm[2], speed)
    done = (state.pushed * state.velocity).sum() + (state.turned * state.spin).sum()
    assert done == pytest.approx(normal @ at[3:6] + friction @ speed, rel=1e-12)


def test_a_pin_that_turns_with_the_wire_neither_rubs_nor_damps() -> None:
    turning, centre = np.array([0.3, -0.2, 0.5]), np.array([3.25, 2.49, 0.1])
    state, wire = make_rod(np.arange(8.0)[:, None] * [1.0, 0.0, 0.0])
    touch = make_touch(state)
    pins = make_pins(state, touch, [centre], [[0.0, 0.0, 1.0]], [2.0], [0.2], [turning])
    state.velocity[:] = np.cross(turning, state.points - centre)
    state.spin[:] = turning[0]
    deepest = touch_pins(state, wire, touch, pins, 1.0, np.zeros((12, 14)))
    assert deepest == pytest.approx(0.01, abs=1e-12)  # at one point alone, where the pin is nearest
    assert abs(state.energy[[RUBBED, DAMPED]]).max() < 1e-15 < state.energy[PRESSED]
    assert np.abs(pins.grip).max() < 1e-15
    pins.turning[:] = 0.0  # one that stands does
    touch_pins(state, wire, touch, pins, 1.0, np.zeros((12, 14)))
    assert np.abs(pins.grip).max() > 1e-6


def test_the_yield_curve_lies_within_four_thousandths_of_the_exact_one() -> None:
    x = np.linspace(0.0, 1.0, 101)
    norms = [yield_norm(n, m, 0.0) for n, m in zip(axial_share(x), (1.0 - x * x) ** 1.5, strict=True)]
    assert np.abs(np.array(norms) - 1.0).max() < 0.004
    # bending with torsion, and tension with torsion, lie on circles
    assert yield_norm(0.0, 0.6, 0.8) == pytest.approx(1.0) and yield_norm(0.6, 0.0, 0.8) == pytest.approx(1.0)


def test_the_elastic_region_is_convex() -> None:
    random = np.random.default_rng(4)
    one, two = random.normal(size=(2, 500, 3))
    for a, b in zip(one, two, strict=True):
        middle = 0.5 * (np.abs(a) + np.abs(b))
        assert yield_norm(*middle) <= 0.5 * (yield_norm(*a) + yield_norm(*b)) + 1e-12


@pytest.mark.parametrize("hardening", [0.0, 0.3])
def test_sections_return_to_yield_and_lose_work(hardening: float) -> None:
    random = np.random.default_rng(5)
    for _ in range(200):
        s, x = random.normal(size=4) * 2.0, np.zeros(4)
        outside = yield_norm(s[0], np.hypot(s[1], s[2]), s[3]) > 1.0
        lost = return_to_yield(s, x, np.array([110.0, 150.0, 150.0, 140.0]), np.full(4, hardening))
        assert yield_norm(s[0] - x[0], np.hypot(s[1] - x[1], s[2] - x[2]), s[3] - x[3]) <= 1.0 + 1e-6
        assert lost > 0.0 if outside else lost == 0.0


def two_coils() -> np.ndarray:
    angle = np.arange(0.0, 6.0 * np.pi, 0.35)
    return nodes_of(np.stack([1.3 * np.cos(angle), np.sin(angle), 1.05 * angle / (2.0 * np.pi)], axis=1))


def test_feet_are_the_nearest_places() -> None:
    points = two_coils()
    state, wire = make_rod(points)
    touch = make_touch(state)
    assert look_for_contacts(points, wire.length, wire.alive, touch) == 0
    count = int(touch.used[0])
    assert count > 40

    def at(place: np.ndarray) -> np.ndarray:
        i = np.clip(np.floor(place + 0.5).astype(int), 1, len(points) - 2)
        u = (place - i)[:, None]
        return 0.5 * (0.5 - u) ** 2 * points[i - 1] + (0.75 - u * u) * points[i] + 0.5 * (0.5 + u) ** 2 * points[i + 1]

    own = at(touch.point[:count] / 2 - 0.25)
    feet = at(touch.place[:count])
    for k in range(0, count, 7):
        near = np.arange(touch.place[k] - 2.0, touch.place[k] + 2.0, 0.001)
        best = np.linalg.norm(at(np.maximum(near, 0.5)) - own[k], axis=1).min()
        assert np.linalg.norm(feet[k] - own[k]) == pytest.approx(best, abs=1e-6)
        assert np.linalg.norm(feet[k] - own[k]) < touch.reach


def test_what_has_no_room_is_said() -> None:
    points = two_coils()
    state, wire = make_rod(points)
    touch = make_touch(state)._replace(point=np.zeros(5, dtype=np.int64))
    assert look_for_contacts(points, wire.length, wire.alive, touch) > 0


def test_a_run_that_runs_away_says_so_and_books_what_flowed() -> None:
    points = np.stack([np.arange(8.0), np.zeros(8), np.zeros(8)], axis=1)
    state, wire = make_rod(points)
    touch = make_touch(state)
    pins = make_pins(state, touch)
    guides = make_guides(state, {0: 0, 7: 1}, velocity=[[0, 0, 0], [0.002, 0, 0]], ramp=50.0)
    report = np.zeros(15)
    assert advance(state, wire, guides, pins, touch, 800, True, report) == 0
    assert advance(state, wire, guides, pins, touch, 50, True, report) == 0
    assert report[9] == pytest.approx(1.0, abs=0.015)  # its strength, and 0.3 of 4 % of strain
    assert state.energy[PLASTIC] > 0.0 and abs(energy_residual(state)) < 0.005
    state.points[3, 1] += 0.01
    assert advance(state, wire._replace(time_step=5.0), guides, pins, touch, 100, True, report) == 1


@pytest.mark.parametrize(
    ("points", "stiffness", "said"),
    [
        (np.zeros((2, 3)), 110.0, "three or more places"),
        (np.zeros((4, 3)), 110.0, "must not fall on each other"),
        (wavy(), 0.0, "stiffness must be above zero; got 0.0"),
    ],
)
def test_rods_that_cannot_be_made_are_refused(points: np.ndarray, stiffness: float, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make_rod(points, stiffness=stiffness)


def test_without_numba_there_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    compiling.check_installed()
    compiling.is_installed.cache_clear()
    monkeypatch.setattr(compiling, "PACKAGE", "numba_that_is_not_there")
    try:
        with pytest.raises(ModuleNotFoundError, match=r"pip install helix\[simulate\]"):
            compiling.check_installed()
        assert compiling.compiled(two_coils) is two_coils
    finally:
        compiling.is_installed.cache_clear()


def test_what_is_kept_is_named_after_the_sources(monkeypatch: pytest.MonkeyPatch, tmp_path) -> None:
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path))
    compiling._kept_in.cache_clear()
    try:
        folder = compiling._kept_in()
        assert folder.parent == tmp_path / "helix" and folder.name.startswith("rod-")
        assert sys.version  # other Python, other folder
        monkeypatch.setattr(sys, "version", "another")
        compiling._kept_in.cache_clear()
        assert compiling._kept_in() != folder
    finally:
        compiling._kept_in.cache_clear()


@pytest.mark.parametrize("radius", [1.2, 40.0])
def test_a_bow_bent_from_straight_springs_back_by_its_moment(radius: float) -> None:
    # the tight one by its plastic moment with what hardening adds; the wide one, bent within what is elastic, becomes straight
    angle = np.linspace(0.0, min(2.4, 8.0 / radius), 17)
    arc = radius * np.stack([np.sin(angle), 1.0 - np.cos(angle), 0.0 * angle], axis=1)
    state, wire = make_rod(arc)
    before = state.bend[1:-1] / wire.node_length[1:-1, None]
    bend_from_straight(state, wire)
    driven = float(state.energy[0])
    touch = make_touch(state)
    held = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0.0, 0.0, 0.0]])
    assert not let_go(state, wire, held, make_pins(state, touch), touch, 6000.0)
    kappa = np.linalg.norm(before, axis=1)
    moment = np.minimum(STIFFNESS / 16.0 * kappa, PLASTIC_BENDING)
    plastic = (kappa - moment / (STIFFNESS / 16.0)) * STIFFNESS / (STIFFNESS + 0.3)
    back = kappa - np.linalg.norm(state.bend[1:-1] / wire.node_length[1:-1, None], axis=1)
    free = (moment + 0.3 / 16.0 * plastic) / (STIFFNESS / 16.0)
    assert back[1:] == pytest.approx(free[1:], rel=1e-2)  # it still swings a little
    assert back[0] == pytest.approx(free[0], rel=0.04)  # beside the clamp what swings makes it yield
    assert state.energy[PLASTIC] < 0.02 * driven  # it flowed before, and springs back elastically
    assert driven > 0.0 and abs(energy_residual(state)) < 2e-3
