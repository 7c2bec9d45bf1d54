"""From a twist in two hands to a joint: the standing leg straightened, the tag swung out and wound round it, cut off and let go.

It goes on from `hands.twist`, seen from the hands as there: eye, twist and standing leg turn as one piece and the tag's hand stays where it is.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Final

import numpy as np

from helix.mechanics.rod.hands import EASE, FRAME, SIDE, TURNING, Twisting, go_on, grip_anew, open_hands
from helix.mechanics.rod.rod_making import make_guides, make_pins, make_touch
from helix.mechanics.rod.rod_state import State, Wire
from helix.mechanics.rod.stepping import advance, ramp_up

SWUNG: Final = math.radians(86.0)
"""Off the axis at which the tag's hand winds; at 82 deg wraps stand apart (pitch 1.2 d), at 88 deg the tag is bent harder where it leaves the twist."""
LEG_TENSION: Final = 0.2
"""Of the hand that keeps the standing leg straight, over the strength (assumed)."""
_GRIP: Final = (3.0, 1.0)  # what holds the twist, below its end [d]
_STOP: Final = 0.5
_START: Final = 500.0
_STUB_GAP: Final = 1.15  # from the standing leg, where the tag has left it [d]
_RELEASE: Final = 1500.0
_STAGES: Final = 30
_AFTER: Final = 10
_EDGES: Final = frozenset({"director", "spin", "tangent", "stretch", "force", "back", "torque_on", "turned", "moment"})

Watch = Callable[[Twisting], None]


def straighten_leg(work: Twisting, wraps: float, watch: Watch) -> int:
    """Hold the twist and bring the standing leg onto the joint's axis, far enough out for the barrel.

    Parameters
    ----------
    work : Twisting
        As `twist` leaves it; changed in place.
    wraps : float
        That are to be wound.
    watch : callable
        Called after each frame.

    Returns
    -------
    int
        As `advance`; 3 where the wire is used up.
    """
    z = work.state.points[:, 2]
    low, high = work.front - _GRIP[0], work.front - _GRIP[1]
    legs = np.arange(len(z))
    held = (z > low) & (z < high) & (legs > work.tips[0]) & (legs < work.tips[1])
    work.guides.node[held] = 0
    work.guides.edge[held[:-1]] = 0
    if not grip_anew(work, wraps + 2.0):
        return 3
    failed = _sweep(work, 0, 0.0, LEG_TENSION, watch)
    tip = work.tips[0]
    work.guides.node[[tip, tip + 1]] = 0
    work.guides.edge[tip] = 0
    work.leg_held = True
    return failed


def swing_tag(work: Twisting, watch: Watch, swung: float = SWUNG) -> int:
    """Swing the tag out, nearly square to the joint's axis.

    Parameters
    ----------
    work : Twisting
        As `straighten_leg` leaves it; changed in place.
    watch : callable
        Called after each frame.
    swung : float
        Angle off the axis at which the tag is pulled [rad].

    Returns
    -------
    int
        As `advance`; 3 where the wire is used up.
    """
    return _sweep(work, 1, swung, float(work.tensions[1]), watch)


def wind_barrel(work: Twisting, wraps: float, watch: Watch, turning: float = TURNING) -> int:
    """Wind the tag round the standing leg.

    Parameters
    ----------
    work : Twisting
        As `swing_tag` leaves it; changed in place.
    wraps : float
        How often round.
    watch : callable
        Called after each frame.
    turning : float
        Of the joint under the tag's hand, at most [rad per time].

    Returns
    -------
    int
        As `advance`; 3 where the wire is used up.
    """
    end = work.turned + 2.0 * math.pi * wraps
    begun = float(work.state.clock[0])
    while work.turned < end:
        start = min(1.0, (float(work.state.clock[0]) - begun + FRAME) / _START)
        failed = go_on(work, turning * start * min(1.0, max(0.1, (end - work.turned) / _STOP)))
        if failed or not grip_anew(work):
            return failed or 3
        watch(work)
    return 0


def let_tag_go(work: Twisting, watch: Watch) -> int:
    """Let go of the tag, little by little: the barrel springs open. All else stays held.

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
    return open_hands(work, watch)


def cut_out(work: Twisting, stub: float, friction: float, on_pin: float) -> Twisting:
    """Cut the joint out of the wire: the tag past its stub, the standing leg where its hand holds it.

    Parameters
    ----------
    work : Twisting
        As `let_tag_go` leaves it; not changed.
    stub : float
        What is left of the tag past the barrel [d].
    friction, on_pin : float
        Of wire on wire from here on, and on the pin.

    Returns
    -------
    Twisting
        The joint alone, still held where it was.
    """
    state, wire = work.state, work.wire
    first, last = work.tips[0], min(last_on_leg(work) + round(stub / float(wire.length[0])), work.tips[1])
    nodes, edges = slice(first, last + 1), slice(first, last)
    own = {
        name: value.copy() if name in ("energy", "clock") else value[edges if name in _EDGES else nodes].copy()
        for name, value in state._asdict().items()
    }
    cut = State(**own)
    for value in (cut.bend, cut.twist):
        value[[0, -1]] = 0.0
    length = wire.length[edges].copy()
    halves = 0.5 * (np.append(length, 0.0) + np.append(0.0, length))
    left = Wire(
        **wire._asdict()
        | {
            "length": length,
            "alive": wire.alive[edges].copy(),
            "inertia": wire.inertia[edges].copy(),
            "node_length": halves,
            "mass": halves * wire.stiff[0],
        }
    )
    cut.clock[1] = -1.0
    touch = make_touch(cut, friction=friction, mass=wire.stiff[0])
    pins = make_pins(cut, touch, work.pins.centre, work.pins.axis, work.pins.radius, [on_pin])
    held = {int(i): 0 for i in np.flatnonzero(work.guides.node[nodes] >= 0)}
    turned = {int(i): 0 for i in np.flatnonzero(work.guides.edge[edges] >= 0)}
    return dataclasses.replace(
        work,
        state=cut,
        wire=left,
        touch=touch,
        pins=pins,
        guides=make_guides(cut, held, turned, [[0.0] * 3], [[0.0] * 3], [[0.0] * 3]),
        middle=work.middle - first,
        tips=[0, last - first],
        first=first,
    )


def let_joint_go(work: Twisting) -> int:
    """Let go of eye and twist, little by little, until only the end of the standing leg is held.

    Parameters
    ----------
    work : Twisting
        As `cut_out` gives it; changed in place.

    Returns
    -------
    int
        As `advance`.
    """
    state, wire = work.state, work.wire
    state.load[:] = 0.0
    failed = advance(state, wire, work.guides, work.pins, work.touch, round(FRAME / wire.time_step), True, work.report)
    nodes, edges = work.guides.node >= 0, work.guides.edge >= 0
    work.guides = make_guides(state, {0: 0, 1: 0}, {0: 0}, [[0.0] * 3], [[0.0] * 3], [[0.0] * 3])
    nodes, edges = nodes & (work.guides.node < 0), edges & (work.guides.edge < 0)
    force, torque = (state.force_on + state.pushed)[nodes], (state.torque_on + state.turned)[edges]
    steps = round(_RELEASE / _STAGES / wire.time_step)
    for k in range(_STAGES + _AFTER):
        held = 1.0 - ramp_up(k + 1.0, float(_STAGES))
        state.load[nodes] = -held * force
        state.moment[edges] = -held * torque
        failed = failed or advance(state, wire, work.guides, work.pins, work.touch, steps, True, work.report)
    state.load[:] = 0.0
    state.moment[:] = 0.0
    return failed


def last_on_leg(work: Twisting) -> int:
    """Give the last node of the tag that lies beside the standing leg above the eye.

    Parameters
    ----------
    work : Twisting
        As it is.

    Returns
    -------
    int
        Its number.
    """
    points = work.state.points
    standing = points[work.tips[0] : work.middle]
    standing = standing[standing[:, 2] > work.throat]
    tag = np.arange(work.middle + 1, work.tips[1])
    tag = tag[points[tag, 2] > work.throat]
    gap = np.array([np.min(np.sum((standing - place) ** 2, axis=1)) for place in points[tag]])
    return int(tag[np.flatnonzero(gap < _STUB_GAP**2)[-1]])


def _sweep(work: Twisting, side: int, angle: float, tension: float, watch: Watch) -> int:
    """Turn a hand's direction to an angle off the axis; one on the axis keeps its leg there to all sides."""
    across = float(work.directions[side, 0])
    way, before = math.copysign(1.0, across), math.asin(abs(across))
    pull = float(work.tensions[side])
    count = round(EASE / FRAME)
    for k in range(1, count + 1):
        share = ramp_up(float(k), float(count))
        now = before + share * (angle - before)
        work.directions[side] = [way * math.sin(now), 0.0, math.cos(now)]
        work.tensions[side] = pull + share * (tension - pull)
        if angle == 0.0:
            work.sides[side, 0] = share * SIDE
        failed = go_on(work)
        if failed or (side == 1 and not grip_anew(work)):
            return failed or 3
        watch(work)
    return 0
