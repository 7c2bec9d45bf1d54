"""Steps in time: forces, guides, velocities, places, frames, and the book of energies."""

from __future__ import annotations

import numpy as np

from helix.mechanics.rod.compiling import compiled
from helix.mechanics.rod.rod_state import DRAGGED, DRIVEN, MOVING, PRESSED, Guides, Pins, State, Touch, Wire
from helix.mechanics.rod.rubbing import touch_itself, touch_pins
from helix.mechanics.rod.strains import carry_frames, resist, strain_rod
from helix.mechanics.rod.tracking import look_for_contacts


@compiled
def ramp_up(time: float, ramp: float) -> float:
    """Return 0 at the start, 1 after the ramp, smooth in between.

    Parameters
    ----------
    time, ramp : float
        Time now, and when the ramp ends.

    Returns
    -------
    float
        The share.
    """
    if time >= ramp:
        return 1.0
    return float(0.5 - 0.5 * np.cos(np.pi * max(time, 0.0) / ramp))


@compiled
def move(state: State, wire: Wire, guides: Guides, share: float, load_share: float, turn: np.ndarray) -> float:
    """Move nodes and edges by one step under the forces that state.force_on and the others hold.

    Parameters
    ----------
    state : State
        Changed in place.
    wire : Wire
        Constants.
    guides : Guides
        What is held; their centres move.
    share, load_share : float
        How much of their full speed guides have, and of their full size loads.
    turn : array
        Angles that the edges turned by, (n-1,); written.

    Returns
    -------
    float
        Largest speed.
    """
    dt = wire.time_step
    keep, give = (1.0 - 0.5 * wire.drag * dt) / (1.0 + 0.5 * wire.drag * dt), dt / (1.0 + 0.5 * wire.drag * dt)
    driven = dragged = moving = 0.0
    fastest = 0.0
    for i in range(len(state.points)):
        g = guides.node[i]
        speed = 0.0
        if g < 0:
            for k in range(3):
                outer = load_share * state.load[i, k]
                old = state.velocity[i, k]
                new = keep * old + give * (state.force_on[i, k] + state.pushed[i, k] + outer) / wire.mass[i]
                middle = 0.5 * (old + new)
                driven += outer * middle * dt
                dragged += wire.drag * wire.mass[i] * middle * middle * dt
                state.velocity[i, k] = new
                state.points[i, k] += new * dt
                speed += new * new
            moving += 0.5 * wire.mass[i] * speed
        else:
            wx, wy, wz = (
                share * guides.turning[g, 0] * dt,
                share * guides.turning[g, 1] * dt,
                share * guides.turning[g, 2] * dt,
            )
            rx, ry, rz = (
                state.points[i, 0] - guides.centre[g, 0],
                state.points[i, 1] - guides.centre[g, 1],
                state.points[i, 2] - guides.centre[g, 2],
            )
            angle = np.sqrt(wx * wx + wy * wy + wz * wz)
            cx, cy, cz = wy * rz - wz * ry, wz * rx - wx * rz, wx * ry - wy * rx
            sin, cos = 1.0, 0.5
            if angle > 1e-12:
                sin, cos = np.sin(angle) / angle, (1.0 - np.cos(angle)) / (angle * angle)
            for k in range(3):
                if k == 0:
                    step = sin * cx + cos * (wy * cz - wz * cy)
                elif k == 1:
                    step = sin * cy + cos * (wz * cx - wx * cz)
                else:
                    step = sin * cz + cos * (wx * cy - wy * cx)
                step += share * guides.velocity[g, k] * dt
                old = state.velocity[i, k]
                new = step / dt
                # what the guide does: against the rod and what it touches, and for the node's own motion
                driven -= (state.force_on[i, k] + state.pushed[i, k]) * 0.5 * (old + new) * dt
                driven += 0.5 * wire.mass[i] * (new * new - old * old)
                moving += 0.5 * wire.mass[i] * new * new
                state.velocity[i, k] = new
                state.points[i, k] += step
                speed += new * new
        fastest = max(fastest, speed)
    for j in range(len(state.spin)):
        old = state.spin[j]
        g = guides.edge[j]
        torque = state.torque_on[j] + state.turned[j]
        if g < 0:
            outer = load_share * state.moment[j]
            new = keep * old + give * (torque + outer) / wire.inertia[j]
            driven += outer * 0.5 * (old + new) * dt
            dragged += wire.drag * wire.inertia[j] * 0.25 * (old + new) ** 2 * dt
        else:
            new = 0.0
            for k in range(3):
                new += share * guides.turning[g, k] * state.tangent[j, k]
            driven -= torque * 0.5 * (old + new) * dt
            driven += 0.5 * wire.inertia[j] * (new * new - old * old)
        state.spin[j] = new
        turn[j] = new * dt
        moving += 0.5 * wire.inertia[j] * new * new
    for g in range(len(guides.centre)):
        for k in range(3):
            guides.centre[g, k] += share * guides.velocity[g, k] * dt
    state.energy[DRIVEN] += driven
    state.energy[DRAGGED] += dragged
    state.energy[MOVING] = moving
    return float(np.sqrt(fastest))


@compiled
def turn_pins(pins: Pins, time: float) -> None:
    """Turn the axes of pins that turn.

    Parameters
    ----------
    pins : Pins
        Their axes are changed in place.
    time : float
        For how long, at full speed.
    """
    for p in range(len(pins.radius)):
        a, w = pins.axis[p], pins.turning[p]
        x, y, z = (
            a[0] + time * (w[1] * a[2] - w[2] * a[1]),
            a[1] + time * (w[2] * a[0] - w[0] * a[2]),
            a[2] + time * (w[0] * a[1] - w[1] * a[0]),
        )
        size = np.sqrt(x * x + y * y + z * z)
        a[0], a[1], a[2] = x / size, y / size, z / size


@compiled
def advance(
    state: State, wire: Wire, guides: Guides, pins: Pins, touch: Touch, steps: int, contact: bool, report: np.ndarray
) -> int:
    """Go on by so many steps.

    Parameters
    ----------
    state : State
        Changed in place.
    wire : Wire
        Constants.
    guides : Guides
        What is held or moved.
    pins : Pins
        What it may rest on.
    touch : Touch
        Where it may touch itself.
    steps : int
        How many.
    contact : bool
        Whether it can touch itself.
    report : array
        Written, (3 + 6 k,): deepest overlap with itself and with pins, most energy ever moving, then of each of the k
        guides the mean force and torque that it bore, of what it holds by nodes and by edges.

    Returns
    -------
    int
        0; 1 where something ran away; 2 where contacts had no room.
    """
    edges = len(state.tangent)
    moments, tensions, scratch = np.zeros((edges + 1, 3)), np.zeros(edges), np.zeros((8, 4))
    room, turn = np.zeros((12, 14)), np.zeros(edges)
    report[:] = 0.0
    slack = 0.5 * (touch.reach - 1.0)
    for _ in range(steps):
        state.energy[PRESSED] = 0.0
        strain_rod(state, wire, moments, tensions, scratch)
        resist(state, wire, moments, tensions)
        state.pushed[:] = 0.0
        state.turned[:] = 0.0
        if contact:
            if state.clock[1] > 0.8 * slack or state.clock[1] < 0.0:
                if look_for_contacts(state.points, wire.length, wire.alive, touch) > 0:
                    return 2
                state.clock[1] = 0.0
            report[0] = max(report[0], touch_itself(state, wire, touch, room))
        share = ramp_up(state.clock[0], guides.ramp)
        if len(pins.radius) > 0:
            report[1] = max(report[1], touch_pins(state, wire, touch, pins, share, room))
            turn_pins(pins, share * wire.time_step)
        fastest = move(state, wire, guides, share, share, turn)
        for i in range(edges + 1):
            g = guides.node[i]
            if g >= 0:
                for k in range(3):
                    report[3 + 6 * g + k] -= (state.force_on[i, k] + state.pushed[i, k]) / steps
        for j in range(edges):
            g = guides.edge[j]
            if g >= 0:
                for k in range(3):
                    report[6 + 6 * g + k] -= (state.torque_on[j] + state.turned[j]) * state.tangent[j, k] / steps
        carry_frames(state.points, state.tangent, state.director, turn)
        state.clock[0] += wire.time_step
        state.clock[1] += fastest * wire.time_step
        report[2] = max(report[2], state.energy[MOVING])
        if not fastest < 1.0:
            return 1
    return 0
