"""What the wire bears where it touches itself or a pin: pressing, and Coulomb friction with rolling told from sliding.

Both surfaces meet halfway between the centre lines. How they move there includes the turning of either wire about
itself and about its bends, so that wires that roll over each other do not rub. A tangential spring of each pair
carries friction up to the limit.
"""

from __future__ import annotations

import numpy as np

from helix.mechanics.rod.compiling import compiled
from helix.mechanics.rod.rod_state import DAMPED, DRIVEN, PRESSED, RUBBED, Pins, State, Touch, Wire
from helix.mechanics.rod.smooth_line import foot_step, weigh


@compiled
def place_of(state: State, i: int, weight: np.ndarray, slope: np.ndarray, u: float, out: np.ndarray) -> None:
    """Write point, its velocity, tangent, slope's rate over its length, spin, and that length, (14,).

    Parameters
    ----------
    state : State
        The rod.
    i : int
        Span.
    weight, slope : array
        As `weigh` wrote them.
    u : float
        Place in the span.
    out : array
        Written.
    """
    length = 0.0
    for k in range(3):
        x0, x1, x2 = state.points[i - 1, k], state.points[i, k], state.points[i + 1, k]
        v0, v1, v2 = state.velocity[i - 1, k], state.velocity[i, k], state.velocity[i + 1, k]
        out[k] = weight[0] * x0 + weight[1] * x1 + weight[2] * x2
        out[3 + k] = weight[0] * v0 + weight[1] * v1 + weight[2] * v2
        out[6 + k] = slope[0] * x0 + slope[1] * x1 + slope[2] * x2
        out[9 + k] = slope[0] * v0 + slope[1] * v1 + slope[2] * v2
        length += out[6 + k] ** 2
    length = np.sqrt(length)
    for k in range(6, 12):
        out[k] /= length
    out[12] = (0.5 - u) * state.spin[i - 1] + (0.5 + u) * state.spin[i]
    out[13] = length


@compiled
def surface_speed(at: np.ndarray, rx: float, ry: float, rz: float, out: np.ndarray) -> None:
    """Write the velocity of the wire's surface.

    Parameters
    ----------
    at : array
        As `place_of` wrote it.
    rx, ry, rz : float
        From the centre line to the surface.
    out : array
        Written, (3,).
    """
    roll = rx * at[9] + ry * at[10] + rz * at[11]
    out[0] = at[3] - at[6] * roll + at[12] * (at[7] * rz - at[8] * ry)
    out[1] = at[4] - at[7] * roll + at[12] * (at[8] * rx - at[6] * rz)
    out[2] = at[5] - at[8] * roll + at[12] * (at[6] * ry - at[7] * rx)


@compiled
def push(
    state: State,
    i: int,
    u: float,
    weight: np.ndarray,
    slope: np.ndarray,
    at: np.ndarray,
    normal: np.ndarray,
    friction: np.ndarray,
    arm: np.ndarray,
) -> None:
    """Lay a force at the wire's surface onto the nodes and edges of a span.

    Parameters
    ----------
    state : State
        Its pushed and turned grow.
    i : int
        Span.
    u : float
        Place in it.
    weight, slope, at : array
        Of that place.
    normal, friction : array
        The force in two parts, (3,).
    arm : array
        From the centre line to the surface, (3,).
    """
    along = (friction[0] * at[6] + friction[1] * at[7] + friction[2] * at[8]) / at[13]
    for m in range(3):
        for k in range(3):
            state.pushed[i - 1 + m, k] += weight[m] * (normal[k] + friction[k]) - slope[m] * along * arm[k]
    torque = (
        at[6] * (arm[1] * friction[2] - arm[2] * friction[1])
        + at[7] * (arm[2] * friction[0] - arm[0] * friction[2])
        + at[8] * (arm[0] * friction[1] - arm[1] * friction[0])
    )
    state.turned[i - 1] += (0.5 - u) * torque
    state.turned[i] += (0.5 + u) * torque


@compiled
def rub(
    state: State,
    grip: np.ndarray,
    n: np.ndarray,
    speed: np.ndarray,
    deep: float,
    share: float,
    stiffness: float,
    grip_stiffness: float,
    damping: float,
    friction: float,
    dt: float,
    normal: np.ndarray,
    tangential: np.ndarray,
) -> float:
    """Give pressing and friction of one pair, and book what it stores and loses.

    Parameters
    ----------
    state : State
        Its energies grow.
    grip : array
        Tangential spring, (3,); changed in place.
    n : array
        Normal, from the other surface to this one, (3,).
    speed : array
        Velocity of this surface against the other, (3,).
    deep : float
        How far the two overlap.
    share : float
        Length of wire that the pair stands for.
    stiffness, grip_stiffness, damping, friction, dt : float
        Of a unit length; friction number; time step.
    normal, tangential : array
        Forces on this surface, (3,); written.

    Returns
    -------
    float
        The pressing force; 0 where nothing touches.
    """
    if deep <= 0.0:
        for k in range(3):
            grip[k] = normal[k] = tangential[k] = 0.0
        return 0.0
    away = speed[0] * n[0] + speed[1] * n[1] + speed[2] * n[2]
    elastic = share * stiffness * deep
    press = max(elastic - share * damping * away, 0.0)
    state.energy[PRESSED] += 0.5 * elastic * deep
    state.energy[DAMPED] -= (press - elastic) * away * dt
    spring = share * grip_stiffness
    before = after = size = 0.0
    inward = grip[0] * n[0] + grip[1] * n[1] + grip[2] * n[2]
    for k in range(3):
        normal[k] = press * n[k]
        speed[k] -= away * n[k]
        grip[k] -= inward * n[k]
        before += grip[k] * grip[k]
        grip[k] += speed[k] * dt
        tangential[k] = -spring * grip[k]
        size += tangential[k] ** 2
    size = np.sqrt(size)
    most = friction * press
    if size > most:
        for k in range(3):
            tangential[k] *= most / size
            grip[k] *= most / size
    work = 0.0
    for k in range(3):
        work -= tangential[k] * speed[k] * dt
        after += grip[k] * grip[k]
    state.energy[PRESSED] += 0.5 * spring * after
    state.energy[RUBBED] += work - 0.5 * spring * (after - before)
    return float(press)


@compiled
def touch_itself(state: State, wire: Wire, touch: Touch, room: np.ndarray) -> float:
    """Press and rub wherever the wire touches itself.

    Parameters
    ----------
    state : State
        Its pushed, turned and energies grow.
    wire : Wire
        Constants.
    touch : Touch
        Feet follow, grips and forces are written.
    room : array
        Scratch, (12, 14).

    Returns
    -------
    float
        Deepest overlap [d].
    """
    wa, sa, wb, sb = room[0, :3], room[1, :3], room[2, :3], room[3, :3]
    at, bt, va, vb, n = room[4], room[5], room[6, :3], room[7, :3], room[8, :3]
    normal, tangential, arm = room[9, :3], room[10, :3], room[11, :3]
    deepest = 0.0
    per, points = touch.per_node, len(state.points)
    for c in range(touch.used[0]):
        i = touch.point[c] // per
        u = (touch.point[c] - i * per + 0.5) / per - 0.5
        weigh(u, wa, sa)
        x = y = z = 0.0
        for m in range(3):
            x += wa[m] * state.points[i - 1 + m, 0]
            y += wa[m] * state.points[i - 1 + m, 1]
            z += wa[m] * state.points[i - 1 + m, 2]
        place = foot_step(state.points, touch.place[c], x, y, z)
        touch.place[c] = place
        j = min(max(int(np.floor(place + 0.5)), 1), points - 2)
        v = place - j
        weigh(v, wb, sb)
        gap = 0.0
        for k in range(3):
            n[k] = -wb[0] * state.points[j - 1, k] - wb[1] * state.points[j, k] - wb[2] * state.points[j + 1, k]
        n[0] += x
        n[1] += y
        n[2] += z
        gap = np.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
        deep = 1.0 - gap
        touch.press[c] = 0.0
        if deep <= 0.0 or not (wire.alive[j - 1] and wire.alive[j]):
            for k in range(3):
                touch.grip[c, k] = 0.0
            continue
        deepest = max(deepest, deep)
        for k in range(3):
            n[k] /= gap
        place_of(state, i, wa, sa, u, at)
        place_of(state, j, wb, sb, v, bt)
        h = 0.5 * gap
        surface_speed(at, -h * n[0], -h * n[1], -h * n[2], va)
        surface_speed(bt, h * n[0], h * n[1], h * n[2], vb)
        for k in range(3):
            va[k] -= vb[k]
        share = wire.node_length[i] / per
        touch.press[c] = rub(
            state,
            touch.grip[c],
            n,
            va,
            deep,
            share,
            touch.stiffness,
            touch.grip_stiffness,
            touch.damping,
            touch.friction,
            wire.time_step,
            normal,
            tangential,
        )
        for k in range(3):
            arm[k] = -h * n[k]
        push(state, i, u, wa, sa, at, normal, tangential, arm)
        for k in range(3):
            arm[k] = h * n[k]
            normal[k] = -normal[k]
            tangential[k] = -tangential[k]
        push(state, j, v, wb, sb, bt, normal, tangential, arm)
    return deepest


@compiled
def touch_pins(state: State, wire: Wire, touch: Touch, pins: Pins, share: float, room: np.ndarray) -> float:
    """Press and rub wherever the wire touches a pin; book what a pin that turns does.

    Parameters
    ----------
    state : State
        Its pushed, turned and energies grow.
    wire : Wire
        Constants.
    touch : Touch
        Stiffnesses, damping, points a node.
    pins : Pins
        Grips are written.
    share : float
        How much of their full speed those have that turn.
    room : array
        Scratch, (12, 14).

    Returns
    -------
    float
        Deepest overlap [d].
    """
    wa, sa, at, va, n = room[0, :3], room[1, :3], room[4], room[6, :3], room[8, :3]
    normal, tangential, arm, vp = room[9, :3], room[10, :3], room[11, :3], room[7, :3]
    deepest = 0.0
    per = touch.per_node
    for p in range(len(pins.radius)):
        for i in range(1, len(state.points) - 1):
            x, y, z = (
                state.points[i, 0] - pins.centre[p, 0],
                state.points[i, 1] - pins.centre[p, 1],
                state.points[i, 2] - pins.centre[p, 2],
            )
            along = x * pins.axis[p, 0] + y * pins.axis[p, 1] + z * pins.axis[p, 2]
            if x * x + y * y + z * z - along * along > (pins.radius[p] + 1.5) ** 2:
                continue
            if not (wire.alive[i - 1] and wire.alive[i]):
                continue
            for q in range(per):
                u = (q + 0.5) / per - 0.5
                weigh(u, wa, sa)
                place_of(state, i, wa, sa, u, at)
                along = 0.0
                for k in range(3):
                    n[k] = at[k] - pins.centre[p, k]
                    along += n[k] * pins.axis[p, k]
                gap = 0.0
                for k in range(3):
                    n[k] -= along * pins.axis[p, k]
                    gap += n[k] * n[k]
                gap = np.sqrt(gap)
                deep = pins.radius[p] + 0.5 - gap
                if deep <= 0.0:
                    for k in range(3):
                        pins.grip[p, i * per + q, k] = 0.0
                    continue
                deepest = max(deepest, deep)
                h = gap - pins.radius[p]
                for k in range(3):
                    n[k] /= gap
                    arm[k] = -h * n[k]
                surface_speed(at, arm[0], arm[1], arm[2], va)
                x, y, z = (
                    at[0] + arm[0] - pins.centre[p, 0],
                    at[1] + arm[1] - pins.centre[p, 1],
                    at[2] + arm[2] - pins.centre[p, 2],
                )
                vp[0] = share * (pins.turning[p, 1] * z - pins.turning[p, 2] * y)
                vp[1] = share * (pins.turning[p, 2] * x - pins.turning[p, 0] * z)
                vp[2] = share * (pins.turning[p, 0] * y - pins.turning[p, 1] * x)
                for k in range(3):
                    va[k] -= vp[k]
                rub(
                    state,
                    pins.grip[p, i * per + q],
                    n,
                    va,
                    deep,
                    wire.node_length[i] / per,
                    touch.stiffness,
                    touch.grip_stiffness,
                    touch.damping,
                    pins.friction[p],
                    wire.time_step,
                    normal,
                    tangential,
                )
                for k in range(3):
                    state.energy[DRIVEN] += (normal[k] + tangential[k]) * vp[k] * wire.time_step
                push(state, i, u, wa, sa, at, normal, tangential, arm)
    return deepest
