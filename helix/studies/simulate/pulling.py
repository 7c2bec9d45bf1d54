"""Pull a joint in a simulation: load against pull, where it breaks first, whether it slips instead. Simulated, not tested.

The start is the exact joint, free of stress; fibres of each section are bent to it from straight wire and judge the run.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.compiling import MISSING, PACKAGE, is_installed
from helix.mechanics.rod.fibres import fibre_places, follow_fibres, formed_fibres
from helix.mechanics.rod.rod_making import energy_residual, make_guides, make_pins, make_rod, make_touch
from helix.mechanics.rod.rod_state import DRIVEN, ELASTIC, PLASTIC, PRESSED, RUBBED, State
from helix.mechanics.rod.stepping import advance
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.pull_result import HARDENINGS, Break, PullOutcome, PullPoint, PullRun, PullSimulation
from helix.studies.simulate.pull_start import FRICTIONS, MESH_D, PullStart, start_of

BAND: Final = (0.05, 0.08, 0.12)
"""Frictions of a simulation: about what common practice asks for (model R, 0.072 to 0.085), lower and higher (assumed)."""
WAY_D: Final = 8.0
"""How far a pull goes if nothing breaks."""
SPEED: Final = 8e-4
"""Of the pull, over that of sound along the wire; at half of it peaks and breaks move by less than 0.02."""
_RAMP: Final = 500.0
_FRAME: Final = 50.0  # time between two frames
_DRAG: Final = 1e-3
_LEAST_WORK: Final = 0.5
_UNACCOUNTED: Final = 0.005
_RISES: Final = 1.01  # of the load over the last d against the d before
_GRIP_D: Final = 2.0
_SHARE: Final = 0.8  # of the way, after which a run without a break can be said to slip


def simulate_pull(
    recipe: Recipe,
    frictions: Sequence[float] = BAND,
    *,
    way_d: float = WAY_D,
    mesh_d: float = MESH_D,
    speed: float = SPEED,
    hardening: float = HARDENINGS[1],
    pin_friction: float | None = None,
    on_output: Callable[[str], None] = lambda line: None,
) -> PullSimulation:
    """Pull the joint of a recipe at several frictions.

    hardening: of the run; breaks are judged for three. pin_friction: as on itself where none is given; 0 for a pin that turns.
    Raises ValidationError for a joint or a friction that was not looked at, and without numba.

    Returns runs in the order of the frictions. A run that diverges keeps what it had before.
    """
    if not is_installed():
        raise ValidationError([ValidationIssue(PACKAGE, MISSING)])
    issues = [
        argument_issue(
            "friction", f"must be from {FRICTIONS[0]:g} to {FRICTIONS[1]:g} to be simulated; got {friction:g}"
        )
        for friction in frictions
        if not FRICTIONS[0] <= friction <= FRICTIONS[1]
    ]
    if issues:
        raise ValidationError(issues)
    start_of(build_joint(recipe), mesh_d)  # refused before anything is said
    runs = []
    for friction in frictions:
        on_output(f"pulling at a friction of {friction:g}, this takes about ten seconds ...")
        on_pin = friction if pin_friction is None else pin_friction
        runs.append(_pull(recipe, friction, on_pin, hardening, way_d, mesh_d, speed))
    return PullSimulation(recipe=recipe, strength_n=recipe.wire.breaking_load_n[1], runs=tuple(runs))


@functools.lru_cache(maxsize=12)
def _pull(
    recipe: Recipe, friction: float, on_pin: float, hardening: float, way_d: float, mesh_d: float, speed: float
) -> PullRun:
    """One pull; the last ones are kept, as the same joint is looked at in several ways."""
    start = start_of(build_joint(recipe), mesh_d)
    stiffness = recipe.wire.modulus_mpa / recipe.wire.strength_mpa[1]
    state, wire = make_rod(start.nodes, stiffness=stiffness, hardening=hardening, drag=_DRAG)
    touch = make_touch(state, friction=friction, mass=stiffness)
    pins = make_pins(state, touch, [start.pin_middle], [start.pin_axis], [start.pin_radius], [on_pin])
    guides = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0.0, 0.0, speed]], ramp=_RAMP)
    judges = {item: _Judge(state, wire.node_length, stiffness, item) for item in HARDENINGS}
    watch = _Watch(state, start)
    report = np.zeros(9)
    steps = max(1, round(_FRAME / wire.time_step))
    curve: list[PullPoint] = []
    frames: list[Array] = []
    breaks: dict[float, Break] = {}
    overlap, outcome = 0.0, PullOutcome.HELD
    tension = np.zeros(len(start.s))
    advance(state, wire, guides, pins, touch, 1, True, report)
    state.energy[DRIVEN] += state.energy[PRESSED]  # the mesh overlaps by a hair where the exact joint touches
    while state.clock[0] * speed < way_d and len(breaks) < len(HARDENINGS):
        if advance(state, wire, guides, pins, touch, steps, True, report) or _lost(state):
            outcome = PullOutcome.DIVERGED
            break
        overlap = max(overlap, float(report[0]), float(report[1]))
        tension = _tension(state)
        point = watch.look(state, float(report[5]), tension)
        curve.append(point)
        frames.append(state.points.copy())
        for item, judge in judges.items():
            if item not in breaks and (at := judge.broken_at(state, tension)) is not None:
                breaks[item] = Break(
                    hardening=item,
                    load=point.load,
                    pull_d=point.pull_d,
                    section=start.section[at],
                    at_d=float(start.s[at] - start.s[0]),
                )
    found = tuple(breaks[item] for item in HARDENINGS if item in breaks)
    if outcome is not PullOutcome.DIVERGED:
        outcome = PullOutcome.BREAKS if HARDENINGS[1] in breaks else _without_break(curve, way_d)
    driven = max(float(state.energy[DRIVEN]), 1e-12)
    return PullRun(
        friction=friction,
        outcome=outcome,
        peak_load=max((point.load for point in curve), default=0.0),
        curve=tuple(curve),
        breaks=found,
        works=tuple(float(state.energy[k]) / driven for k in (PLASTIC, RUBBED, ELASTIC)),  # type: ignore[arg-type]
        unaccounted=abs(energy_residual(state)),
        overlap_d=overlap,
        s_d=start.s - start.s[0],
        tension=tension,
        frames=np.array(frames),
    )


def _lost(state: State) -> bool:
    """Whether the book of energies no longer closes, once there is work to speak of."""
    return bool(state.energy[DRIVEN] > _LEAST_WORK and abs(energy_residual(state)) > _UNACCOUNTED)


def _without_break(curve: list[PullPoint], way_d: float) -> PullOutcome:
    """Slips where the load has stopped rising; held where the pull ended first."""
    pull, load = np.array([point.pull_d for point in curve]), np.array([point.load for point in curve])
    end = float(pull[-1])
    last, before = load[pull > end - 1.0], load[(pull > end - 2.0) & (pull <= end - 1.0)]
    if end < _SHARE * way_d or not before.size or last.mean() > _RISES * before.mean():
        return PullOutcome.HELD
    return PullOutcome.SLIPS


def _tension(state: State) -> Array:
    """Tension of each node over the strength."""
    edges = 0.5 * (state.force[:, 0, 0] + state.force[:, 1, 0])
    return np.concatenate([edges[:1], 0.5 * (edges[:-1] + edges[1:]), edges[-1:]])


class _Judge:
    """Fibres of every section, for one hardening."""

    def __init__(self, state: State, node_length: Array, stiffness: float, hardening: float) -> None:
        self.places = fibre_places()
        self.node_length = node_length
        self.stiffness, self.hardening = stiffness, hardening
        self.plastic, self.stretch = formed_fibres(self._bend(state), stiffness, hardening, self.places)
        self.broken = np.cumsum(node_length) < _GRIP_D  # what breaks there is the grip's

    def _bend(self, state: State) -> Array:
        return state.bend / self.node_length[:, None]

    def broken_at(self, state: State, tension: Array) -> int | None:
        """Go on to now; the node that bears most of those that broke, None where none did."""
        new = follow_fibres(
            self.places,
            self.plastic,
            self.stretch,
            self._bend(state),
            tension,
            self.broken,
            self.stiffness,
            self.hardening,
        )
        if not new:
            return None
        at = np.flatnonzero(self.broken & (np.cumsum(self.node_length) >= _GRIP_D))
        return int(at[np.argmax(tension[at])])


class _Watch:
    """What is read off the wire at each frame."""

    def __init__(self, state: State, start: PullStart) -> None:
        self.start = start
        self.before = self._angles(state)
        self.turned = 0.0
        self.first = float(state.points[0, 2])
        self.middle = self._lowest(state)
        names = np.array(start.section)
        twist = np.flatnonzero(names == "twist_tag")
        self.twist_end = int(twist[-1]) if twist.size else start.lowest

    def look(self, state: State, load: float, tension: Array) -> PullPoint:
        """One point of the curve."""
        angles = self._angles(state)
        if angles.size:
            step = np.angle(np.exp(1j * (angles - self.before)))
            self.turned += float(step.mean()) / (2.0 * np.pi)
        self.before = angles
        a, b = self.start.leg_middles
        one, two = state.tangent[a], state.tangent[b]
        return PullPoint(
            pull_d=float(state.points[0, 2]) - self.first,
            load=load,
            throat_deg=float(np.degrees(np.arccos(np.clip(-one @ two, -1.0, 1.0)))),
            through_d=self._lowest(state) - self.middle,
            turned=-self.turned if self.start.right_handed else self.turned,
            tag_load=float(tension[self.twist_end]),
        )

    def _angles(self, state: State) -> Array:
        """Angles of the barrel's nodes round the axis of the standing leg."""
        barrel = np.array(self.start.section) == "barrel"
        x = state.points[barrel]
        return np.asarray(np.arctan2(x[:, 1], x[:, 0]))

    def _lowest(self, state: State) -> float:
        """Arc length at which the wire is lowest, between two nodes."""
        slope = state.tangent[:, 2]
        i = int(np.argmin(state.points[:, 2]))
        i = min(max(i, 1), len(slope) - 1)
        fall, rise = float(slope[i - 1]), float(slope[i])
        share = fall / (fall - rise) if fall < rise else 0.5
        middles = 0.5 * (self.start.s[:-1] + self.start.s[1:])
        return float(middles[i - 1] + share * (middles[i] - middles[i - 1]))
