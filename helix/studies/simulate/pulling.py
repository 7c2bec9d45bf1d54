"""Pull a joint in a simulation: load against pull, where it breaks first, whether it slips instead. Simulated, not tested.

The wire starts as it was wound from straight wire and let go, or as the exact joint, free of stress (`pull_begin`). Fibres of each
section are bent from straight with it and judge the run.
"""

from __future__ import annotations

import copy
import functools
import os
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.compiling import MISSING, PACKAGE, is_installed
from helix.mechanics.rod.rod_making import energy_residual, make_guides
from helix.mechanics.rod.rod_state import DRIVEN, ELASTIC, PLASTIC, RUBBED, State
from helix.mechanics.rod.stepping import advance
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.formed_start import formed_rod, formed_start
from helix.studies.simulate.forming import HANDS_DEG, TENSION, Hands, check_hands, form_joint, hands_for_lay
from helix.studies.simulate.pull_begin import PullRod, loose_d, ready_rod
from helix.studies.simulate.pull_result import HARDENINGS, Break, PullOutcome, PullPoint, PullRun, PullSimulation, Start
from helix.studies.simulate.pull_start import MESH_D, PullStart, start_of
from helix.studies.simulate.pull_watch import PullWatch, tension_of
from helix.studies.simulate.simulated_range import FRICTIONS, out_of_range

BAND: Final = (0.05, 0.08, 0.12)
"""Frictions of a simulation: about what common practice asks for (model R, 0.072 to 0.085), lower and higher (assumed)."""
WAY_D: Final = 8.0
"""How far a pull goes if nothing breaks."""
SPEED: Final = 1e-3
"""Of the pull, over that of sound along the wire; at half of it peaks and breaks move by less than 0.02."""
SPRUNG_OFF_D: Final = 0.042
"""How far a barrel stands off that springs back."""
_RAMP: Final = 500.0
_FRAME: Final = 50.0  # time between two frames
_LEAST_WORK: Final = 0.5
_UNACCOUNTED: Final = 0.005
_RISES: Final = 1.01  # of the load over the last d against the d before
_SHARE: Final = 0.8  # of the way, after which a run without a break can be said to slip
_RUNS_D: Final = (
    0.8  # wire that runs through over 2 d of pull with the load rising by less than this: it slips, the pull can end
)
_STANDS: Final = 1.002


@dataclass(frozen=True)
class PullSetting:
    """What one pull is made with. hardening: of the run. on_pin: friction at the pin, 0 for one that turns.

    looseness: 0 where nothing of the barrel springs back, 1 as wire springs, above it the barrel is wound so much wider, by 0.042 d each. hands_deg, unlike_deg, tension:
    of the hands that form a joint (start formed).
    """

    start: Start = Start.SPRUNG
    friction: float = BAND[1]
    on_pin: float = BAND[1]
    hardening: float = HARDENINGS[1]
    way_d: float = WAY_D
    mesh_d: float = MESH_D
    speed: float = SPEED
    looseness: float = 1.0
    hands_deg: float | None = None
    unlike_deg: float = 0.0
    tension: float = TENSION


def simulate_pull(
    recipe: Recipe,
    frictions: Sequence[float] = BAND,
    *,
    starts: Sequence[Start] = (Start.SPRUNG,),
    way_d: float = WAY_D,
    mesh_d: float = MESH_D,
    speed: float = SPEED,
    hardening: float = HARDENINGS[1],
    pin_friction: float | None = None,
    hands_deg: float | None = None,
    unlike_deg: float = 0.0,
    tension: float = TENSION,
    on_output: Callable[[str], None] = lambda line: None,
) -> PullSimulation:
    """Pull the joint of a recipe at several frictions, from one start or both; on all processors at once.

    hardening: of the run; breaks are judged for three. pin_friction: as on itself where none is given; 0 for a pin that turns.
    hands_deg, unlike_deg, tension: of hands that form the joint (start formed). Raises ValidationError for a joint or a friction that was not looked at, and without numba.

    Returns runs start by start, in the order of the frictions. A run that diverges keeps what it had before.
    """
    if not is_installed():
        raise ValidationError([ValidationIssue(PACKAGE, MISSING)])
    issues = out_of_range(*(("friction", friction, FRICTIONS, "") for friction in frictions))
    if issues:
        raise ValidationError(issues)
    settings = [
        PullSetting(
            start,
            friction,
            friction if pin_friction is None else pin_friction,
            hardening,
            way_d,
            mesh_d,
            speed,
            hands_deg=hands_deg,
            unlike_deg=unlike_deg,
            tension=tension,
        )
        for start in starts
        for friction in frictions
    ]
    for setting in settings:  # refused before anything is said
        if setting.start is Start.FORMED:
            check_hands(recipe, hands_of(recipe, setting))
        else:
            start_of(build_joint(recipe), mesh_d)
    runs = _side_by_side(recipe, settings, on_output)
    formed = [setting for setting in settings if setting.start is Start.FORMED]
    forming = form_joint(recipe, hands_of(recipe, formed[len(formed) // 2])).run if formed else None
    return PullSimulation(recipe=recipe, strength_n=recipe.wire.breaking_load_n[1], runs=runs, forming=forming)


def _side_by_side(
    recipe: Recipe, settings: Sequence[PullSetting], on_output: Callable[[str], None]
) -> tuple[PullRun, ...]:
    """Runs in threads, since compiled code does not hold the others up; the rest are given up where one fails."""
    given_up = threading.Event()

    def one(setting: PullSetting) -> PullRun | None:
        return None if given_up.is_set() else pull_once(recipe, setting)

    many = len(settings)
    formed = ", half a minute more where hands form it" if any(item.start is Start.FORMED for item in settings) else ""
    on_output(f"{many} pull{'s' if many > 1 else ''}, some ten seconds of computing each{formed} ...")
    with ThreadPoolExecutor(min(many, os.cpu_count() or 1)) as pool:
        waiting = [pool.submit(one, setting) for setting in settings]
        runs = []
        try:
            for k, future in enumerate(waiting):
                run = future.result()
                assert run is not None
                runs.append(run)
                on_output(f"{k + 1} of {many} pulls done")
        except BaseException:
            given_up.set()
            raise
    return tuple(runs)


@functools.lru_cache(maxsize=12)
def pull_once(recipe: Recipe, setting: PullSetting) -> PullRun:
    """One pull; the last ones are kept, as the same joint is looked at in several ways."""
    start, rod, mirror = _begin(recipe, setting)
    state, wire, speed = rod.state, rod.wire, setting.speed
    guides = make_guides(state, {0: 0, 1: 0}, {0: 0}, velocity=[[0.0, 0.0, speed]], ramp=_RAMP)
    watch = PullWatch(state, start)
    report = np.zeros(9)
    steps = max(1, round(_FRAME / wire.time_step))
    curve: list[PullPoint] = []
    frames: list[Array] = []
    tensions: list[Array] = []
    breaks: dict[float, Break] = {}
    overlap, outcome = 0.0, PullOutcome.DIVERGED if rod.ran_away else PullOutcome.HELD
    loose = loose_d(state, start)
    while outcome is PullOutcome.HELD and state.clock[0] * speed < setting.way_d and len(breaks) < len(HARDENINGS):
        if advance(state, wire, guides, rod.pins, rod.touch, steps, True, report) or _lost(state):
            outcome = PullOutcome.DIVERGED
            break
        overlap = max(overlap, float(report[0]), float(report[1]))
        tension = tension_of(state)
        point = watch.look(state, float(report[5]), tension)
        curve.append(point)
        frames.append(state.points.copy())
        tensions.append(tension)
        for item, judge in rod.judges.items():
            if item not in breaks and (at := judge.broken_at(state, tension)) is not None:
                breaks[item] = Break(
                    hardening=item,
                    load=point.load,
                    pull_d=point.pull_d,
                    section=start.section[at],
                    at_d=float(start.s[at] - start.s[0]),
                )
        if HARDENINGS[1] not in breaks and _runs_through(curve):
            break
    found = tuple(breaks[item] for item in HARDENINGS if item in breaks)
    if outcome is not PullOutcome.DIVERGED:
        outcome = PullOutcome.BREAKS if HARDENINGS[1] in breaks else _without_break(curve, setting.way_d)
    driven = max(float(state.energy[DRIVEN]), 1e-12)
    return PullRun(
        start=setting.start,
        friction=setting.friction,
        outcome=outcome,
        loose_d=loose,
        peak_load=max((point.load for point in curve), default=0.0),
        curve=tuple(curve),
        breaks=found,
        works=tuple(float(state.energy[k]) / driven for k in (PLASTIC, RUBBED, ELASTIC)),  # type: ignore[arg-type]
        unaccounted=abs(energy_residual(state)),
        overlap_d=overlap,
        s_d=start.s - start.s[0],
        section=start.section,
        pin_d=(*(float(value) for value in start.pin_middle), start.pin_radius),
        tensions=np.array(tensions),
        frames=np.array(frames).reshape(-1, len(start.s), 3) @ rod.turn * mirror,
    )


def _begin(recipe: Recipe, setting: PullSetting) -> tuple[PullStart, PullRod, Array]:
    """Where a pull starts, its rod at rest, and what its places are to be multiplied by; a joint that cannot be formed is not pulled."""
    stiffness = recipe.wire.modulus_mpa / recipe.wire.strength_mpa[1]
    joint = build_joint(recipe)
    if setting.start is Start.FORMED:
        formed = form_joint(recipe, hands_of(recipe, setting))
        if formed.work is None:
            raise ValidationError(
                [argument_issue("start", "must be another: hands could not form this joint in the simulation")]
            )
        work = copy.deepcopy(formed.work)
        left = np.array([1.0, 1.0 if joint.layout.sizes.right_handed else -1.0, 1.0])
        return formed_start(formed, work), formed_rod(formed, work, stiffness), left
    wider = SPRUNG_OFF_D * max(setting.looseness - 1.0, 0.0)
    start = start_of(joint, setting.mesh_d, wider)
    sprung = min(setting.looseness, 1.0)
    rod = ready_rod(start, setting.start, stiffness, setting.hardening, setting.friction, setting.on_pin, sprung)
    return start, rod, np.ones(3)


def hands_of(recipe: Recipe, setting: PullSetting) -> Hands:
    """Hands that form a joint for a pull: as far apart as gives about its lay, where nothing else is said."""
    between = setting.hands_deg
    if between is None:
        between = min(max(hands_for_lay(build_joint(recipe).layout.sizes.lay), HANDS_DEG[0]), HANDS_DEG[1])
    return Hands(between, setting.unlike_deg, setting.tension, setting.friction, setting.on_pin)


def _lost(state: State) -> bool:
    """Whether the book of energies no longer closes, once there is work to speak of."""
    return bool(state.energy[DRIVEN] > _LEAST_WORK and abs(energy_residual(state)) > _UNACCOUNTED)


def _levels(curve: Sequence[PullPoint]) -> tuple[float, float, float] | None:
    """Mean load over the last d, and over the d before; wire that ran through in both. None where the pull was shorter."""
    end = curve[-1].pull_d
    if end < 2.0:
        return None
    last = [point for point in curve if point.pull_d > end - 1.0]
    before = [point for point in curve if end - 2.0 < point.pull_d <= end - 1.0]
    means = [float(np.mean([point.load for point in points])) for points in (last, before)]
    return means[0], means[1], last[-1].through_d - before[0].through_d


def _runs_through(curve: Sequence[PullPoint]) -> bool:
    """Whether wire runs round the pin and the load no longer rises."""
    levels = _levels(curve)
    return levels is not None and levels[2] > _RUNS_D and levels[0] <= _STANDS * levels[1]


def _without_break(curve: Sequence[PullPoint], way_d: float) -> PullOutcome:
    """Slips where wire runs through, or the load has stopped rising by the end; held where the pull ended first."""
    levels = _levels(curve) if curve else None
    if levels is None or levels[0] > _RISES * levels[1]:
        return PullOutcome.HELD
    ended = curve[-1].pull_d >= _SHARE * way_d
    return PullOutcome.SLIPS if ended or _runs_through(curve) else PullOutcome.HELD
