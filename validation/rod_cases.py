"""Bodies of known behaviour for the rod of helix/mechanics/rod: each a small simulation that gives a few numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from helix.mechanics.rod.rod_making import STIFFNESS, energy_residual, make_guides, make_pins, make_rod, make_touch
from helix.mechanics.rod.rod_state import DRIVEN, ELASTIC, RUBBED, Guides, Pins, State, Touch, Wire
from helix.mechanics.rod.smooth_line import nodes_of
from helix.mechanics.rod.stepping import advance

EI = STIFFNESS / 16.0
GJ = EI / 1.3


@dataclass
class Run:
    """A rod with what holds it."""

    state: State
    wire: Wire
    guides: Guides
    touch: Touch
    pins: Pins
    contact: bool = False
    deepest: float = 0.0

    def go(self, time: float) -> np.ndarray:
        """Go on for a time; return the report of `advance`."""
        report = np.zeros(3 + 6 * max(1, len(self.guides.centre)))
        steps = max(1, round(time / self.wire.time_step))
        code = advance(self.state, self.wire, self.guides, self.pins, self.touch, steps, self.contact, report)
        assert code == 0
        self.deepest = max(self.deepest, report[0], report[1])
        return report

    @property
    def residual(self) -> float:
        return abs(energy_residual(self.state))


def alone(state: State, wire: Wire, guides: Guides) -> Run:
    """A rod that touches nothing."""
    touch = make_touch(state)
    return Run(state, wire, guides, touch, make_pins(state, touch))


def straight(length: float, step: float, lead: float = 0.5) -> np.ndarray:
    """Nodes along x: the first half a step (or `lead` steps) before 0."""
    count = round(length / step)
    x = (np.arange(count + 2) - lead) * step
    return np.stack([x, 0.0 * x, 0.0 * x], axis=1)


@cache
def cantilever(step: float, slow: float = 1.0) -> tuple[float, float, float]:
    """Tip (x, y) over the length under P L^2/EI = 2, elastic, and the energy residual."""
    length = 20.0
    count = round(length / step)
    x = (np.arange(count + 1) - 0.5) * step
    x = np.append(x, length)  # half a step at the tip, so that the rod ends where it should
    points = np.stack([x, 0.0 * x, 0.0 * x], axis=1)
    state, wire = make_rod(points, yields=False, drag=0.0045, contact=0.0)
    state.load[-1, 1] = 2.0 * EI / length**2
    run = alone(state, wire, make_guides(state, {0: 0, 1: 0}, {0: 0}, ramp=slow * 2000.0))
    run.go(slow * 8000.0)
    return state.points[-1, 0] / length, state.points[-1, 1] / length, run.residual


def spring_force(turns: float, radius: float, rise: float, length: float) -> float:
    """Axial force of an even helix of thin rod whose ends keep their turns: dU/dz by differences."""

    def energy(angle: float) -> float:
        r = length * math.cos(angle) / (2.0 * math.pi * turns)
        return (
            0.5
            * length
            * (EI * (math.cos(angle) ** 2 / r - k0) ** 2 + GJ * (math.sin(angle) * math.cos(angle) / r - t0) ** 2)
        )

    z0 = math.sqrt(length**2 - (2.0 * math.pi * turns * radius) ** 2)
    a0 = math.asin(z0 / length)
    k0, t0 = math.cos(a0) ** 2 / radius, math.sin(a0) * math.cos(a0) / radius
    a, h = math.asin((z0 + rise) / length), 1e-5
    return (energy(a + h) - energy(a - h)) / (2.0 * h) / (length * math.cos(a))


@cache
def spring(per_turn: int, turns: float = 4.0) -> tuple[float, float, float]:
    """Force of a helical spring (radius 5, pitch 2 d) drawn by 2 d, theory's, and the energy residual."""
    radius, pitch = 5.0, 2.0
    count = round(turns * per_turn)
    angle = 2.0 * math.pi * np.arange(count + 1) / per_turn
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), pitch * angle / (2.0 * math.pi)], axis=1)
    state, wire = make_rod(points, yields=False, drag=0.003, contact=0.0)
    rise, time = 2.0, 16000.0
    n = len(points)
    held = {0: 0, 1: 0, n - 2: 1, n - 1: 1}
    guides = make_guides(state, held, {0: 0, n - 2: 1}, velocity=[[0, 0, 0], [0, 0, rise / time]], ramp=0.1 * time)
    run = alone(state, wire, guides)
    run.go(1.05 * time)
    guides.velocity[:] = 0.0
    moved = state.points[-1, 2] - points[-1, 2]
    run.go(20000.0)
    force = run.go(2000.0)[3 + 6 + 2]
    free = (count - 1) / per_turn  # from the middle of the first edge to that of the last
    length = free * math.hypot(2.0 * math.pi * radius, pitch)
    theory = spring_force(free, radius, moved, length)
    return force, theory, run.residual


@cache
def buckling(step: float, slow: float = 1.0) -> tuple[float, float]:
    """Load of a pinned column (length 30) pressed 0.05 d too far, over pi^2 EI/L^2, and the energy residual."""
    length = 30.0
    x = np.linspace(0.0, length, round(length / step) + 1)
    points = np.stack([x, 0.003 * np.sin(math.pi * x / length), 0.0 * x], axis=1)
    state, wire = make_rod(points, yields=False, drag=0.006, contact=0.0)
    n, time = len(x), slow * 8000.0
    guides = make_guides(state, {0: 0, n - 1: 1}, velocity=[[0, 0, 0], [-0.15 / time, 0, 0]], ramp=0.2 * time)
    run = alone(state, wire, guides)
    run.go(1.1 * time)
    guides.velocity[:] = 0.0
    run.go(4000.0)
    force = run.go(2000.0)[3 + 6]
    return -force / (math.pi**2 * EI / length**2), run.residual


@cache
def torsion(turn: float) -> tuple[float, float]:
    """Torque of a straight rod of length 20 twisted so far [rad], without hardening, and the energy residual."""
    length = 20.0
    state, wire = make_rod(straight(length, 1.0, 0.0)[:21], hardening=0.0, drag=0.01, contact=0.0)
    time = 4000.0
    # edges are held at their middles, so the outer ones stand half a step in
    guides = make_guides(
        state, {0: 0, 1: 0, 19: 1, 20: 1}, {0: 0, 19: 1}, turning=[[0, 0, 0], [turn / time, 0, 0]], ramp=0.1 * time
    )
    run = alone(state, wire, guides)
    run.go(0.9 * time)
    return run.go(0.2 * time)[3 + 6 + 3], run.residual


@cache
def hinge(step: float, slow: float = 1.0) -> tuple[float, float]:
    """Load at the tip of a cantilever of length 10 past collapse, over M_p/L, no hardening, and the energy residual.

    The tip is moved by 1.2 d sideways along the circle that a rigid rod with a hinge at the clamp moves on.
    """
    length = 10.0
    count = round(length / step)
    x = np.append((np.arange(count + 1) - 0.5) * step, length)
    points = np.stack([x, 0.0 * x, 0.0 * x], axis=1)
    state, wire = make_rod(points, hardening=0.0, drag=0.01, contact=0.0)
    n, time, angle = len(points), slow * 6000.0, 0.12
    guides = make_guides(
        state,
        {0: 0, 1: 0, n - 1: 1},
        {0: 0},
        centre=[[0, 0, 0], [0.5 * step, 0, 0]],
        turning=[[0, 0, 0], [0, 0, angle / time]],
        ramp=0.2 * time,
    )
    run = alone(state, wire, guides)
    run.go(1.1 * time)
    before = state.energy[DRIVEN]
    guides.turning[1] /= 10.0
    run.go(0.4 * time)
    return (state.energy[DRIVEN] - before) / (0.04 * angle) / wire.plastic[1], run.residual


@cache
def uncoiling(step: float, slow: float = 1.0, hardening: float = 0.0) -> tuple[float, float, float, float]:
    """Pull that unwinds a set coil (1 3/4 turns on a smooth pin of radius 3), theory's, deepest overlap, residual.

    The pull leaves along the tangent. Each length of wire loses M_p (kappa - M_p/EI) to flow and keeps M_p^2/(2 EI).
    """
    pin, turns, pitch, tail = 3.0, 1.75, 1.2, 12.0
    radius = pin + 0.5
    angle = np.arange(0.0, 2.0 * math.pi * turns, step / radius)
    coil = np.stack([radius * np.cos(angle), -radius * np.sin(angle), pitch * angle / (2.0 * math.pi)], axis=1)
    x = np.arange(round(tail / step), 0, -1) * step
    out = np.stack([radius + 0.0 * x, x, 0.0 * x], axis=1)
    points = nodes_of(np.concatenate([out, coil]))
    state, wire = make_rod(points, hardening=hardening, drag=0.0001)
    touch = make_touch(state)
    pins = make_pins(state, touch, [[0, 0, 0]], [[0, 0, 1]], [pin], [0.0])
    speed = 0.001 / slow
    guides = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0, speed, 0]], ramp=1500.0)
    run = Run(state, wire, guides, touch, pins)
    run.go(5000.0 * slow)
    force = run.go(6000.0 * slow)[4]
    curvature, moment = 1.0 / radius, wire.plastic[1]
    return force, moment * curvature * (1.0 - 0.5 * moment / (EI * curvature)), run.deepest, run.residual


def capstan_ratio(friction: float, pin: float, limp: float = 0.02, hold: float = 0.2) -> float:
    """What `capstan` should give, of a line that rubs at its surface, half its thickness off its middle.

    The friction's lever is the pin's radius, the pull's half a d more, so that the shear friction/2 adds to the press:
    with pull e^(lambda s) along the middle, lambda + friction lambda^2/2 = friction kappa (1 - kappa/2). What bends on
    the way in, and is straightened on the way out, costs EI kappa^2/2 each.
    """
    kappa = 1.0 / (pin + 0.5)
    right = friction * kappa * (1.0 - 0.5 * kappa)
    rate = 2.0 * right / (1.0 + math.sqrt(1.0 + 2.0 * friction * right))
    bend = 0.5 * limp * EI * kappa * kappa
    return ((hold + bend) * math.exp(rate * math.pi / kappa) + bend) / hold


@cache
def capstan(
    friction: float,
    pin: float,
    step: float,
    slow: float = 1.0,
    per_node: int = 2,
    limp: float = 0.02,
    hold: float = 0.2,
) -> tuple[float, float, float, float]:
    """Pull over hold of a limp line drawn half round a pin: mean, its scatter, deepest overlap, residual."""
    radius, tail = pin + 0.5, 6.0
    angle = np.linspace(0.0, math.pi, round(math.pi * radius / step) + 1)
    arc = np.stack([radius * np.cos(angle), radius * np.sin(angle), 0.0 * angle], axis=1)
    x = np.arange(round(tail / step), 0, -1) * step
    first = np.stack([radius + 0.0 * x, -x, 0.0 * x], axis=1)
    last = arc[-1] + np.stack([0.0 * x, -x[::-1], 0.0 * x], axis=1)
    points = nodes_of(np.concatenate([first, arc, last]))
    state, wire = make_rod(points, yields=False, drag=0.0002)
    soft = wire.stiff.copy()
    soft[1:] *= limp
    wire = wire._replace(stiff=soft)
    touch = make_touch(state, per_node=per_node)
    pins = make_pins(state, touch, [[0, 0, 0]], [[0, 0, 1]], [pin], [friction])
    state.load[-1, 1] = -hold
    guides = make_guides(state, {0: 0}, velocity=[[0, -0.0005 / slow, 0]], ramp=1500.0)
    run = Run(state, wire, guides, touch, pins)
    run.go(6000.0 * slow)
    pulls = np.array([run.go(40.0)[4] for _ in range(round(60 * slow))])
    return -pulls.mean() / hold, pulls.std() / abs(pulls.mean()), run.deepest, run.residual


def crossing(step: float, apart: float) -> tuple[np.ndarray, int]:
    """Nodes of two straight rods of length 12 that cross at right angles, the second above the first; where it starts."""
    half = round(6.0 / step)
    x = np.arange(-half, half + 1) * step
    lower = np.stack([x, 0.0 * x, 0.0 * x], axis=1)
    upper = np.stack([0.0 * x, x, 0.0 * x + apart], axis=1)
    return np.concatenate([lower, upper]), len(x)


@cache
def crossed(step: float, per_node: int) -> tuple[float, float, float, float, float]:
    """Two crossed rods pressed by their ends and left at rest.

    Gives press of the contact over what the guides bear, that in S, what still moves over what is stored, deepest
    overlap, and the energy residual.
    """
    points, first = crossing(step, 1.0)
    state, wire = make_rod(points, missing=(first - 1,), drag=0.01)
    n, touch = len(points), make_touch(state, friction=0.2, per_node=per_node)
    time = 3000.0
    held = {0: 0, 1: 0, first - 2: 0, first - 1: 0, first: 1, first + 1: 1, n - 2: 1, n - 1: 1}
    turned = {0: 0, first - 2: 0, first: 1, n - 2: 1}
    guides = make_guides(state, held, turned, velocity=[[0, 0, 0], [0, 0, -0.2 / time]], ramp=0.2 * time)
    run = Run(state, wire, guides, touch, make_pins(state, touch), contact=True)
    run.go(1.1 * time)
    guides.velocity[:] = 0.0
    run.go(1500.0)
    report = run.go(500.0)
    press = float(touch.press[: touch.used[0]].sum())
    return -press / report[3 + 6 + 2], press, report[2] / state.energy[ELASTIC], run.deepest, run.residual


@cache
def rolled(rolls: bool, step: float = 0.4, per_node: int = 4) -> float:
    """What friction takes while one rod crosses over another by 3 d, over friction times press times way."""
    points, first = crossing(step, 0.98)
    state, wire = make_rod(points, missing=(first - 1,), drag=0.0)
    n, touch = len(points), make_touch(state, friction=0.2, per_node=per_node)
    everything = {k: 0 if k < first else 1 for k in range(n)}
    edges = {k: 0 if k < first else 1 for k in range(n - 1) if k != first - 1}
    way, time = 3.0, 600.0
    spin = way / time / (0.5 * 0.98) if rolls else 0.0
    guides = make_guides(
        state, everything, edges, [[0, 0, 0], [0, 0, 0.98]], [[0, 0, 0], [way / time, 0, 0]], [[0, 0, 0], [0, spin, 0]]
    )
    run = Run(state, wire, guides, touch, make_pins(state, touch), contact=True)
    run.go(time)
    return state.energy[RUBBED] / (0.2 * float(touch.press[: touch.used[0]].sum()) * way)


@cache
def ring_grows(turn: float, step: float) -> tuple[float, float, float]:
    """By how much a twisted ring leaves its plane, late over early; how far it was early; the energy residual.

    The ring is bent from straight rod and closed; both ends are held as one. `turn` is over Michell's 2 pi sqrt(3) EI/GJ.
    """
    around = 40.0
    count = round(around / step)
    radius = around / (2.0 * math.pi)
    angle = 2.0 * math.pi * (np.arange(count + 2) - 0.5) / count
    bump = 1e-3 * np.sin(0.5 * angle) ** 2 * np.sin(2.0 * angle)
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), bump], axis=1)
    points[:2, 2] = points[-2:, 2] = 0.0
    state, wire = make_rod(points, yields=False, set_straight=True, drag=0.004, contact=0.0)
    n, time = len(points), 8000.0
    whole = turn * 2.0 * math.pi * math.sqrt(3.0) * EI / GJ
    ends = {0: 0, 1: 0, n - 2: 1, n - 1: 1}
    axis = state.tangent[-1] * whole / (time - 0.5 * 1000.0)
    guides = make_guides(state, ends, {0: 0, n - 2: 1}, [points[0], points[-2]], turning=[[0, 0, 0], axis], ramp=1000.0)
    run = alone(state, wire, guides)
    run.go(time)
    guides.turning[:] = 0.0
    run.go(1000.0)
    early = float(np.abs(state.points[:, 2]).max())
    run.go(3000.0)
    return float(np.abs(state.points[:, 2]).max()) / early, early, run.residual
