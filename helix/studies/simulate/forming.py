"""Twist the legs of an eye by two hands in a simulation, and let them go: how even, how tight, how hard the wire is bent.

The wire starts bent round the pin, with its history; the barrel is not wound here. Simulated, not tested.
"""

from __future__ import annotations

import functools
import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.compiling import MISSING, PACKAGE, is_installed
from helix.mechanics.rod.hands import TURNING, Twisting, open_hands, shape_in_space, take_in_hand, touching, twist
from helix.mechanics.rod.rod_making import energy_residual
from helix.mechanics.rod.rod_state import DRIVEN
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.form_result import FormOutcome, FormRun, TwistShape

HANDS_DEG: Final = (50.0, 110.0)
UNLIKE_DEG: Final = (0.0, 40.0)
NARROWEST_DEG: Final = 10.0
"""Least angle of a hand off the axis."""
TENSIONS: Final = (0.05, 0.4)
TENSION: Final = 0.1
"""Of either hand, over the strength (assumed)."""
FORM_TURNS: Final = (2.0, 8.0)
FORM_PINS_D: Final = (2.0, 12.0)
FRICTION: Final = 0.08
_UNACCOUNTED: Final = 0.005
_FRAMES_A_TURN: Final = 8
_HEIGHTS: Final = 240
_ENDS_D: Final = 1.0  # of the twist that are left out where it is measured


def simulate_form(
    recipe: Recipe,
    *,
    hands_deg: float | None = None,
    unlike_deg: float = 0.0,
    tension: float = TENSION,
    friction: float = FRICTION,
    turning: float = TURNING,
) -> FormRun:
    """Twist the recipe's turns with the hands so far apart, the recipe's throat where nothing is given, and let go.

    unlike_deg: by how much more the tag's hand stands off the axis. Raises ValidationError for what was not looked at, and
    without numba. A run that diverges, or has no more wire, keeps the frames it had.
    """
    if not is_installed():
        raise ValidationError([ValidationIssue(PACKAGE, MISSING)])
    check_one_wire(recipe, "simulate-of-two")
    sizes = build_joint(recipe).layout.sizes
    between = 2.0 * math.degrees(sizes.tangent_half) if hands_deg is None else hands_deg
    seen = (
        ("turns", sizes.turns, FORM_TURNS, ""),
        ("pin", sizes.pin, FORM_PINS_D, "d"),
        ("hands", between, HANDS_DEG, "deg"),
        ("unlike", unlike_deg, UNLIKE_DEG, "deg"),
        ("tension", tension, TENSIONS, ""),
        ("friction", friction, (0.01, 0.3), ""),
    )
    issues = [
        argument_issue(key, f"must be from {low:g} to {high:g} {unit}".rstrip() + f" to be simulated; got {value:.4g}")
        for key, value, (low, high), unit in seen
        if not low - 1e-6 <= value <= high + 1e-6
    ]
    if not issues and 0.5 * (between - unlike_deg) < NARROWEST_DEG:
        issues.append(argument_issue("unlike", f"must leave either hand {NARROWEST_DEG:g} deg off the axis"))
    if issues:
        raise ValidationError(issues)
    return _twist_once(recipe, between, unlike_deg, tension, friction, turning)


@functools.lru_cache(maxsize=24)
def _twist_once(
    recipe: Recipe, hands_deg: float, unlike_deg: float, tension: float, friction: float, turning: float
) -> FormRun:
    sizes = build_joint(recipe).layout.sizes
    halves = [math.radians(0.5 * (hands_deg + way * unlike_deg)) for way in (-1.0, 1.0)]
    stiffness = recipe.wire.modulus_mpa / recipe.wire.strength_mpa[1]
    work = take_in_hand(0.5 * sizes.pin, halves, tension, sizes.turns, friction=friction, stiffness=stiffness)
    mirror = np.array([1.0, 1.0 if sizes.right_handed else -1.0, 1.0])
    frames = [shape_in_space(work) * mirror]
    failed = 0
    count = round(sizes.turns * _FRAMES_A_TURN)
    for k in range(1, count + 1):
        failed = failed or twist(work, sizes.turns * k / count, turning)
        if failed or abs(energy_residual(work.state)) > _UNACCOUNTED:
            failed = failed or 1
            break
        frames.append(shape_in_space(work) * mirror)
    torque = float(work.state.energy[DRIVEN]) / max(work.turned, 1e-9)
    held = free = None
    first, strain, shear, fibre = (0.0, 0.0), 0.0, 0.0, 0.0
    if not failed:
        held = _shape(work)
        first, strain, shear, fibre = _strains(work)
        failed = open_hands(work)
        frames.append(shape_in_space(work) * mirror)
        free = None if failed else _shape(work)
    twisted = work.state.twist / (2.0 * math.pi * sizes.turns)
    return FormRun(
        hands_deg=hands_deg,
        unlike_deg=unlike_deg,
        tension=tension,
        friction=friction,
        turns=sizes.turns,
        outcome=FormOutcome.NO_WIRE if failed == 3 else FormOutcome.DIVERGED if failed else FormOutcome.TWISTED,
        held=held,
        free=free,
        first_deg=first[0],
        first_strain=first[1],
        strain=strain,
        twisted=(float(twisted[: work.middle].sum()), float(twisted[work.middle :].sum())),
        shear=shear,
        fibre_strain=fibre,
        torque=torque,
        unaccounted=abs(energy_residual(work.state)),
        overlap_d=work.overlap,
        s_d=np.concatenate([[0.0], np.cumsum(work.wire.length)]),
        frames=np.array(frames),
    )


def _legs(work: Twisting) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Nodes of both legs in the hands, from the eye on."""
    return np.arange(work.middle, work.tips[0] - 1, -1), np.arange(work.middle, work.tips[1] + 1)


def _shape(work: Twisting) -> TwistShape:
    """Lay, evenness, gap and press of the twist, without its ends."""
    low, high = work.throat + _ENDS_D, work.front - _ENDS_D
    height = np.linspace(low, high, _HEIGHTS)
    one, two = (_at_heights(work.state.points[leg], height) for leg in _legs(work))
    apart = one - two
    angle = np.unwrap(np.arctan2(apart[:, 1], apart[:, 0]))
    lay = 2.0 * math.pi * (high - low) / abs(angle[-1] - angle[0])
    window = max(3, min(round(_HEIGHTS * lay / (high - low)), _HEIGHTS - 1))
    radii = [_radius(leg, window) for leg in (one, two)]
    # the gap is seen square to the legs, which go round at the lay angle: the nearest place is not at the same height
    legs = [_smooth(work.state.points[leg]) for leg in _legs(work)]
    gap = float(np.mean([_nearest(legs[1], place) for place in legs[0] if low < place[2] < high])) - 1.0
    node, _, press = touching(work)
    at = work.state.points[node, 2]
    tangent = work.state.tangent
    below = [leg[np.argmin(np.abs(work.state.points[leg, 2] - 0.5 * work.throat))] for leg in _legs(work)]
    cosine = float(-tangent[below[0]] @ tangent[below[1]])
    return TwistShape(
        lay_d=lay,
        evenness=min(radii) / max(radii),
        gap_d=gap,
        press=float(press[(at > low) & (at < high)].sum()) / (high - low),
        throat_deg=math.degrees(math.acos(min(1.0, max(-1.0, cosine)))),
    )


def _at_heights(points: Array, height: Array) -> Array:
    """A leg's places across the axis at given heights, (n, 2)."""
    line = _smooth(points)
    order = np.argsort(line[:, 2])
    return np.stack([np.interp(height, line[order, 2], line[order, k]) for k in range(2)], axis=1)


def _smooth(points: Array) -> Array:
    """The smooth centre line where it passes the nodes."""
    line = points.copy()
    line[1:-1] = (points[:-2] + 6.0 * points[1:-1] + points[2:]) / 8.0
    return line


def _radius(leg: Array, window: int) -> float:
    """Radius of a leg about its own mean over a lay."""
    middle = np.stack([np.convolve(leg[:, k], np.full(window, 1.0 / window), "valid") for k in range(2)], axis=1)
    own = leg[window // 2 : window // 2 + len(middle)]
    return float(np.sqrt(np.mean(np.sum((own - middle) ** 2, axis=1))))


def _nearest(line: Array, place: Array) -> float:
    """Least distance of a place from a line of nodes."""
    a, along = line[:-1], np.diff(line, axis=0)
    share = np.clip(np.sum((place - a) * along, axis=1) / np.sum(along * along, axis=1), 0.0, 1.0)
    return float(np.sqrt(np.min(np.sum((place - a - share[:, None] * along) ** 2, axis=1))))


def _strains(work: Twisting) -> tuple[tuple[float, float], float, float, float]:
    """Angle and strain of the first crossing; mean strain of the other turns; largest shear; largest of any fibre."""
    state, wire = work.state, work.wire
    bend = 0.5 * np.linalg.norm(state.bend, axis=1) / wire.node_length
    shear = 0.5 * np.abs(state.twist) / wire.node_length
    node, place, _ = touching(work)
    lowest = int(np.argmin(state.points[node, 2]))
    one, two = int(node[lowest]), round(float(place[lowest]))
    cosine = float(-state.tangent[one] @ state.tangent[two])
    turns = [
        leg[(state.points[leg, 2] < work.front - _ENDS_D) & (np.abs(leg - work.middle) > 2)] for leg in _legs(work)
    ]
    at = state.points[node[lowest], 2]
    near = [leg[np.abs(state.points[leg, 2] - at) < 2.0] for leg in turns]
    far = [leg[state.points[leg, 2] > at + 4.0] for leg in turns]
    first = max(float(bend[leg].max(initial=0.0)) for leg in near)
    rest = float(np.mean(np.concatenate([bend[leg] for leg in far])))
    own = np.concatenate(turns)
    fibre = float(np.sqrt(bend[own] ** 2 + shear[own] ** 2 / 3.0).max())
    return (math.degrees(math.acos(min(1.0, max(-1.0, cosine)))), first), rest, float(shear[own].max()), fibre
