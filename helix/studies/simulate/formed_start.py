"""A joint that hands formed in a simulation, ready to be pulled."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from helix.mechanics.rod.hands import Twisting
from helix.studies.simulate.form_shapes import barrel_nodes, legs_of
from helix.studies.simulate.forming import Formed
from helix.studies.simulate.pull_begin import DRAG, PullRod, restart_book, take_up
from helix.studies.simulate.pull_result import HARDENINGS
from helix.studies.simulate.pull_start import PullStart
from helix.studies.simulate.pull_watch import Judge, tension_of

_EXIT_D: Final = (2.0, 1.0)  # below the twist's end and above it: the leg bends where the twist was held


def formed_start(formed: Formed, work: Twisting) -> PullStart:
    """Where a pull of a formed joint starts: right-handed, its eye as far turned as the hands turned it."""
    state = work.state
    count, lowest = len(state.points), int(np.argmin(state.points[:, 2]))
    standing, tag = legs_of(work)
    height = state.points[:, 2]
    section = np.full(count, "eye", dtype=object)
    barrel = barrel_nodes(work, formed.front)
    top = float(height[barrel].max()) if barrel.size else formed.front
    for leg, name in ((standing, "standing"), (tag, "tag")):
        z = height[leg]
        section[leg[z > 0.5 * work.throat]] = f"entry_{name}"
        section[leg[z > work.throat]] = f"twist_{name}"
        section[leg[z > formed.front - _EXIT_D[0]]] = f"exit_{name}"
    section[standing[height[standing] > formed.front + _EXIT_D[1]]] = "barrel_core"
    section[standing[height[standing] > top + 0.5]] = "standing"
    if barrel.size:
        section[barrel] = "barrel"
        section[barrel[-1] + 1 :] = "stub"
    middles = [int(leg[np.argmin(np.abs(height[leg] - 0.5 * work.throat))]) for leg in (standing, tag)]
    return PullStart(
        points=state.points.copy(),
        nodes=state.points.copy(),
        s=np.concatenate([[0.0], np.cumsum(work.wire.length)]),
        section=tuple(str(name) for name in section),
        lowest=lowest,
        pin_middle=np.zeros(3),
        pin_axis=work.pins.axis[0].copy(),
        pin_radius=float(work.pins.radius[0]),
        right_handed=True,
        leg_middles=(middles[0], middles[1]),
    )


def formed_rod(formed: Formed, work: Twisting, stiffness: float) -> PullRod:
    """The rod of a formed joint at rest, its standing leg held, with nothing in the book of energies but what it stores."""
    wire = work.wire._replace(drag=DRAG)
    state = work.state
    wound = state._replace(bend=formed.wound_bend)
    judges = {item: Judge(wound, wire.node_length, stiffness, item) for item in HARDENINGS}
    failed = take_up(state, wire, work.touch, work.pins)
    for judge in judges.values():
        judge.broken_at(state, tension_of(state))
    state.velocity[:] = 0.0
    state.spin[:] = 0.0
    restart_book(state)
    cos, sin = math.cos(work.turned), math.sin(work.turned)
    turn = np.array([[cos, sin, 0.0], [-sin, cos, 0.0], [0.0, 0.0, 1.0]])
    return PullRod(state, wire, work.touch, work.pins, judges, failed != 0, turn)
