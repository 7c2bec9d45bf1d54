"""Two hands that twist the legs of an eye: a wire bent round a pin, an eye that turns, hands that pull and grip anew.

Everything is seen from the hands: they keep their directions and the eye turns under them, which is the same as hands
going round an eye that stands still, without sweeping long legs through space. The joint's axis is z, the pin's y at the start.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.letting_go import bend_from_straight
from helix.mechanics.rod.rod_making import STIFFNESS, make_guides, make_pins, make_rod, make_touch
from helix.mechanics.rod.rod_state import DRIVEN, MOVING, Guides, Pins, State, Touch, Wire
from helix.mechanics.rod.smooth_line import nodes_of
from helix.mechanics.rod.stepping import advance

TURNING: Final = 2e-3
"""Turning of the eye [rad per time]; at half of it the lay changes by less than 1 %."""
GRIP_D: Final = 8.0
"""From the work to where a hand holds the leg; it grips anew when the leg has become shorter by 1.6 d."""
_SLACK_D: Final = 1.6
SIDE: Final = 0.05
"""Stiffness with which a hand keeps the leg from being carried round [S/d]."""
FRAME: Final = 20.0
"""Time between two looks at what the hands have to do."""
_SETTLE: Final = 600.0
_RAMP: Final = 500.0
_STOP: Final = 0.5  # angle before the end from which on the eye turns more slowly [rad]
EASE: Final = 1500.0
"""Time in which a hand lets go."""
_DRAG: Final = 0.01
_APART: Final = 1.02  # of legs that cross, at the start
_TOUCHES: Final = 1e-4


@dataclass
class Twisting:
    """A wire in two hands.

    middle: node at the middle of the eye; tips: nodes that the hands hold, of the leg before it (the
    standing leg) and after it; directions (2, 3) and tensions (2,) of the hands; sides (2, 2): stiffness with which each keeps its leg from
    being carried off across the axis, along x and y [S/d]; turned: angle of the eye so far [rad]; front: height
    of the highest place where the legs touch; throat: height at which they first cross; report: of the last `advance`; leg_held: whether the
    standing leg's hand goes round with the eye, so that only the tag's hand works; first: number that the first node had before the joint was cut out of a longer wire.
    """

    state: State
    wire: Wire
    touch: Touch
    pins: Pins
    guides: Guides
    middle: int
    tips: list[int]
    directions: Array
    tensions: Array
    sides: Array
    throat: float
    front: float
    report: Array
    turned: float = 0.0
    overlap: float = 0.0
    leg_held: bool = False
    first: int = 0


def bent_round_pin(pin: float, halves: Sequence[float], leg: float, step: float) -> tuple[Array, Array, float]:
    """Give the line of a wire bent round a pin, its legs straight and crossing above it.

    Parameters
    ----------
    pin : float
        Its radius [d].
    halves : sequence of float
        Angles of both legs off the axis beyond the crossing [rad], 0 to pi/2.
    leg : float
        Length from the middle of the eye to either end [d].
    step : float
        Distance of the nodes [d].

    Returns
    -------
    s : ndarray
        Arc length from the middle of the eye [d], (n,).
    points : ndarray
        The line [d], (n, 3); right-handed.
    crossing : float
        Arc length from the middle of the eye to where the legs cross [d].

    Examples
    --------
    >>> s, points, crossing = bent_round_pin(2.0, (0.66, 0.66), 20.0, 0.4)
    >>> float(round(np.abs(np.hypot(points[:, 0], points[:, 2]) - 2.5).min(), 6)), round(crossing, 2)
    (0.0, 8.8)
    """
    radius, mean = pin + 0.5, 0.5 * (halves[0] + halves[1])
    crossing = radius * (0.5 * math.pi + mean) + radius / math.tan(mean)
    count = round(leg / step)
    s = np.linspace(-count * step, count * step, 2 * count + 1)
    along = np.abs(s)
    wound = np.minimum(along / radius, 0.5 * math.pi + np.where(s < 0.0, halves[0], halves[1]))
    rest = along - radius * wound
    x = radius * np.sin(wound) + rest * np.cos(wound)
    z = -radius * np.cos(wound) + rest * np.sin(wound)
    return s, np.stack([np.sign(s) * x, 0.5 * _APART * s / crossing, z], axis=1), crossing


def take_in_hand(
    pin: float,
    halves: Sequence[float],
    tension: float,
    turns: float,
    *,
    friction: float,
    stiffness: float = STIFFNESS,
    hardening: float = 0.3,
    step: float = 0.4,
    wraps: float = 0.0,
) -> Twisting:
    """Bend a wire round a pin and take its legs in two hands, ready to be twisted.

    Parameters
    ----------
    pin : float
        Its radius [d].
    halves : sequence of float
        Angles off the joint's axis at which the hands pull, of the standing leg and of the tag [rad].
    tension : float
        Of either hand, over the strength.
    turns, wraps : float
        For which there must be wire, and a leg to wrap.
    friction : float
        Of wire on wire; the pin turns with the wire and has none.
    stiffness, hardening : float
        As in `make_rod`.
    step : float
        Distance of the nodes [d].

    Returns
    -------
    Twisting
        For `twist`.
    """
    longest = math.pi / math.sin(max(0.75 * min(halves), 0.25))  # wire of a turn, where the lay is as long as it gets
    radius, mean = pin + 0.5, 0.5 * (halves[0] + halves[1])
    leg = radius * (0.5 * math.pi + mean) + radius / math.tan(mean) + 2.0 * GRIP_D + turns * longest
    leg += 2.0 * math.pi * wraps
    s, points, crossing = bent_round_pin(pin, halves, leg, step)
    state, wire = make_rod(nodes_of(points), stiffness=stiffness, hardening=hardening, drag=_DRAG)
    touch = make_touch(state, friction=friction, mass=stiffness)
    pins = make_pins(state, touch, [[0.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]], [pin], [0.0])
    middle = int(np.argmin(np.abs(s)))
    tips = [int(np.argmin(np.abs(s + way * (crossing + GRIP_D)))) for way in (1.0, -1.0)]
    wire.alive[: tips[0]] = False
    wire.alive[tips[1] :] = False
    state.bend[: tips[0] + 1] = state.bend[tips[1] :] = 0.0
    bend_from_straight(state, wire)
    eye = {middle - 1: 0, middle: 0, middle + 1: 0}
    guides = make_guides(state, eye, {middle - 1: 0, middle: 0}, [[0.0] * 3], [[0.0] * 3], [[0.0] * 3])
    a, b = halves
    return Twisting(
        state=state,
        wire=wire,
        touch=touch,
        pins=pins,
        guides=guides,
        middle=middle,
        tips=tips,
        directions=np.array([[math.sin(a), 0.0, math.cos(a)], [-math.sin(b), 0.0, math.cos(b)]]),
        tensions=np.full(2, tension),
        sides=np.array([[0.0, SIDE]] * 2),
        throat=radius / math.sin(mean),
        front=radius / math.sin(mean),
        report=np.zeros(9),
    )


def twist(work: Twisting, turns: float, turning: float = TURNING) -> int:
    """Turn the eye until it has gone round so often, a frame at a time where turns rises little by little.

    Parameters
    ----------
    work : Twisting
        Changed in place.
    turns : float
        In all, from the start.
    turning : float
        Of the eye, at most [rad per time].

    Returns
    -------
    int
        As `advance`; 3 where the wire is used up.
    """
    total = 2.0 * math.pi * turns
    while work.turned < total:
        time = float(work.state.clock[0])
        start = min(1.0, max(0.0, (time - _SETTLE) / _RAMP))
        speed = turning * start * min(1.0, max(0.1, (total - work.turned) / _STOP))
        failed = go_on(work, speed, min(1.0, 2.0 * time / _SETTLE))
        if failed or not grip_anew(work):
            return failed or 3
    return 0


def open_hands(work: Twisting, watch: Callable[[Twisting], None] = lambda work: None) -> int:
    """Let go of what the hands hold, little by little; the eye stays where it is held.

    Parameters
    ----------
    work : Twisting
        Changed in place.
    watch : callable
        Called after each frame.

    Returns
    -------
    int
        As `advance`.
    """
    for share in np.linspace(1.0, 0.0, round(EASE / FRAME)):
        failed = go_on(work, 0.0, float(share))
        if failed:
            return failed
        watch(work)
    return go_on(work, 0.0, 0.0, 0.3 * EASE)


def go_on(work: Twisting, turning: float = 0.0, share: float = 1.0, time: float = FRAME) -> int:
    """Let the hands pull for a while, and the eye turn under them.

    Parameters
    ----------
    work : Twisting
        Changed in place.
    turning : float
        Of the eye [rad per time].
    share : float
        Of their pull that the hands have.
    time : float
        How long.

    Returns
    -------
    int
        As `advance`.
    """
    state = work.state
    work.guides.turning[0] = work.pins.turning[0] = [0.0, 0.0, -turning]
    state.load[:] = 0.0
    for side in (1,) if work.leg_held else (0, 1):
        tip = work.tips[side]
        state.load[tip] = share * work.tensions[side] * work.directions[side]
        state.load[tip, :2] -= share * work.sides[side] * state.points[tip, :2]
    steps = max(1, round(time / work.wire.time_step))
    failed = advance(state, work.wire, work.guides, work.pins, work.touch, steps, True, work.report)
    work.turned += turning * steps * work.wire.time_step
    work.overlap = max(work.overlap, float(work.report[0]), float(work.report[1]))
    height = state.points[touching(work)[0], 2]
    work.front = float(height.max()) if height.size else work.throat
    return failed


def touching(work: Twisting) -> tuple[Array, Array, Array]:
    """Give where the legs touch each other.

    Parameters
    ----------
    work : Twisting
        As it is.

    Returns
    -------
    after, before : ndarray
        Nodes of the tag's leg (m,) and the places on the standing leg, in nodes (m,).
    press : ndarray
        Forces over the strength, (m,).
    """
    used = work.touch.used[0]
    node = work.touch.point[:used] // work.touch.per_node
    place, press = work.touch.place[:used], work.touch.press[:used]
    legs = (press > _TOUCHES) & (node > work.middle) & (place < work.middle)
    return node[legs], place[legs], press[legs]


def grip_anew(work: Twisting, further_d: float = 0.0) -> bool:
    """Let a hand that has come near the work take the leg further out.

    Parameters
    ----------
    work : Twisting
        Changed in place.
    further_d : float
        By how much further than usual the standing leg is taken [d].

    Returns
    -------
    bool
        False where there is no more wire.
    """
    state, wire = work.state, work.wire
    for side, way in ((1, 1),) if work.leg_held else ((0, -1), (1, 1)):
        tip = work.tips[side]
        reach = GRIP_D + (further_d if side == 0 else 0.0)
        if np.linalg.norm(state.points[tip] - [0.0, 0.0, work.front]) > reach - _SLACK_D:
            continue
        while np.linalg.norm(state.points[tip] - [0.0, 0.0, work.front]) < reach:
            new = tip + way
            if not 1 <= new <= len(state.points) - 2:
                return False
            edge, known = (new, tip) if way < 0 else (tip, tip - 1)
            stretch = work.tensions[side] / wire.stiff[0]
            state.points[new] = state.points[tip] + way * state.tangent[known] * wire.length[edge] * (1.0 + stretch)
            state.velocity[new] = state.velocity[tip]
            state.tangent[edge], state.director[edge] = state.tangent[known], state.director[known]
            state.spin[edge], state.stretch[edge] = state.spin[known], stretch
            state.force[edge] = state.back[edge] = 0.0
            state.force[edge, :, 0] = work.tensions[side]
            state.bend[[tip, new]] = 0.0
            state.twist[[tip, new]] = 0.0
            moving = 0.5 * wire.mass[new] * float(np.sum(state.velocity[new] ** 2))
            state.energy[MOVING] += moving
            state.energy[DRIVEN] += moving + 0.5 * work.tensions[side] * stretch * wire.length[edge]
            wire.alive[edge] = True
            work.tips[side] = tip = new
        state.clock[1] = -1.0  # contacts are looked for anew
    return True


def shape_in_space(work: Twisting, leg: float = 20.0) -> Array:
    """Give the whole wire as a picture of it: what lies beyond the hands goes straight on.

    Parameters
    ----------
    work : Twisting
        As it is.
    leg : float
        Longest piece beyond a hand [d].

    Returns
    -------
    ndarray
        The nodes with the eye at rest and the hands going round it [d], (n, 3).
    """
    state = work.state
    points = state.points.copy()
    low, high = work.tips
    step = np.minimum(np.arange(1, len(points)) * work.wire.length[0], leg)
    points[:low] = (points[low] - step[:low, None] * state.tangent[low])[::-1]
    points[high + 1 :] = points[high] + step[: len(points) - high - 1, None] * state.tangent[high - 1]
    cos, sin = math.cos(work.turned), math.sin(work.turned)
    return np.asarray(points @ np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]]))
