"""How the wire stands when a pull begins: as the exact joint, free of stress, or wound from straight wire and let go."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from helix.geometry.maths.jets import Array
from helix.mechanics.rod.letting_go import bend_from_straight, let_go
from helix.mechanics.rod.rod_making import make_guides, make_pins, make_rod, make_touch
from helix.mechanics.rod.rod_state import DRIVEN, ELASTIC, HARDENED, PRESSED, Pins, State, Touch, Wire
from helix.mechanics.rod.stepping import advance
from helix.studies.simulate.pull_result import HARDENINGS, Start
from helix.studies.simulate.pull_start import PullStart
from helix.studies.simulate.pull_watch import Judge, tension_of

DRAG: Final = 1e-3
_TAKE_UP: Final = 8e-4
_LITTLE: Final = 20.0  # time
_MOST_TAKEN: Final = 60


@dataclass(frozen=True)
class PullRod:
    """A rod ready to be pulled: its state and constants, what it touches, fibres by hardening, whether it ran away; turn (3, 3): takes places to where the eye is seen."""

    state: State
    wire: Wire
    touch: Touch
    pins: Pins
    judges: dict[float, Judge]
    ran_away: bool
    turn: Array = field(default_factory=lambda: np.eye(3))


def ready_rod(
    start: PullStart,
    how: Start,
    stiffness: float,
    hardening: float,
    friction: float,
    on_pin: float,
    sprung_share: float = 1.0,
) -> PullRod:
    """The rod of a joint at rest, its standing leg held, with nothing in the book of energies but what it stores.

    sprung_share: of the barrel's spring back, 0 to 1.
    """
    state, wire = make_rod(start.nodes, stiffness=stiffness, hardening=hardening, drag=DRAG)
    touch = make_touch(state, friction=friction, mass=stiffness)
    pins = make_pins(state, touch, [start.pin_middle], [start.pin_axis], [start.pin_radius], [on_pin])
    judges = {item: Judge(state, wire.node_length, stiffness, item) for item in HARDENINGS}
    held = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0.0, 0.0, 0.0]])
    report = np.zeros(9)
    if how is Start.SPRUNG:
        bend_from_straight(state, wire, np.where(np.array(start.section) == "barrel", sprung_share, 1.0))
    failed = advance(state, wire, held, pins, touch, 1, True, report)
    if how is Start.SPRUNG:
        failed = failed or let_go(state, wire, held, pins, touch) or take_up(state, wire, touch, pins)
        for judge in judges.values():
            judge.broken_at(state, tension_of(state))
        state.velocity[:] = 0.0
        state.spin[:] = 0.0
    restart_book(state)
    return PullRod(state, wire, touch, pins, judges, failed != 0)


def take_up(state: State, wire: Wire, touch: Touch, pins: Pins) -> int:
    """Draw the leg on until it no longer presses against the hand: what sprang back made the joint longer."""
    guides = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0.0, 0.0, _TAKE_UP]])
    report = np.zeros(9)
    for _ in range(_MOST_TAKEN):
        failed = advance(state, wire, guides, pins, touch, max(1, round(_LITTLE / wire.time_step)), True, report)
        if failed or report[5] >= 0.0:
            return failed
    return 0


def restart_book(state: State) -> None:
    """Count what is stored as driven, and nothing as lost; the clock starts anew."""
    stored = [ELASTIC, PRESSED, HARDENED]
    kept = state.energy[stored].copy()
    state.energy[:] = 0.0
    state.energy[stored] = kept
    state.energy[DRIVEN] = kept.sum()
    state.clock[0] = 0.0


def loose_d(state: State, start: PullStart) -> float:
    """How far the barrel stands off the leg inside it, on average [d]; 0 without a barrel."""
    names = np.array(start.section)
    line = state.points.copy()
    line[1:-1] = (line[:-2] + 6.0 * line[1:-1] + line[2:]) / 8.0  # the smooth centre line
    barrel, core = line[names == "barrel"], line[(names == "standing") | (names == "barrel_core")]
    if not len(barrel):
        return 0.0
    return float(np.mean([np.sqrt(_nearest(core, place)) for place in barrel]) - 1.0)


def _nearest(line: Array, place: Array) -> float:
    """Least squared distance of a place from a line of nodes, straight between them."""
    a, b = line[:-1], line[1:]
    along = b - a
    share = np.clip(np.sum((place - a) * along, axis=1) / np.sum(along * along, axis=1), 0.0, 1.0)
    return float(np.min(np.sum((place - a - share[:, None] * along) ** 2, axis=1)))
