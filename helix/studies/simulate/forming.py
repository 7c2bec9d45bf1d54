"""Twist the legs of an eye by two hands in a simulation, wind the barrel, and let go: how even, how tight, how hard the wire is bent.

The wire starts bent round the pin, with its history. Simulated, not tested.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics.rod.compiling import MISSING, PACKAGE, is_installed
from helix.mechanics.rod.hands import TURNING, Twisting, open_hands, shape_in_space, take_in_hand, twist
from helix.mechanics.rod.rod_making import energy_residual
from helix.mechanics.rod.rod_state import DRIVEN
from helix.mechanics.rod.winding import cut_out, let_joint_go, let_tag_go, straighten_leg, swing_tag, wind_barrel
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.simulate.form_result import FormOutcome, FormRun, Stage
from helix.studies.simulate.form_shapes import TwistStrains, barrel_shape, twist_shape, twist_strains
from helix.studies.simulate.simulated_range import FRICTIONS, out_of_range, size_rows

HANDS_DEG: Final = (50.0, 110.0)
UNLIKE_DEG: Final = (0.0, 40.0)
NARROWEST_DEG: Final = 10.0
"""Least angle of a hand off the axis."""
TENSIONS: Final = (0.05, 0.4)
TENSION: Final = 0.1
"""Of either hand, over the strength (assumed)."""
FRICTION: Final = 0.08
SPRINGS_DEG: Final = 14.0
"""By how much wider hands are held than legs lie once they are let go, at lays of 3 to 8 d (docs/simulation.md)."""
_UNACCOUNTED: Final = 0.005
_FRAMES_A_TURN: Final = 8
_A_STAGE: Final = 300.0  # time between two frames
_A_WRAP: Final = 392.0
_LEG_D: Final = 8.0  # of straight wire that is seen beyond a hand


@dataclass(frozen=True)
class Hands:
    """How hands form a joint. hands_deg: between them; unlike_deg: by how much more the tag's stands off the axis; tension over the strength;
    on_pin: friction on the pin once the joint is let go; turning [rad per time].
    """

    hands_deg: float
    unlike_deg: float = 0.0
    tension: float = TENSION
    friction: float = FRICTION
    on_pin: float = FRICTION
    turning: float = TURNING
    barrel: bool = True


@dataclass(frozen=True)
class Formed:
    """What forming left. work: the joint cut out and let go, None where there is no barrel or it failed; front: height of the twist's end;
    wound_bend: curvature of the joint's nodes as the hands held it, (n, 2).
    """

    run: FormRun
    work: Twisting | None
    front: float
    wound_bend: Array


def simulate_form(
    recipe: Recipe,
    *,
    hands_deg: float | None = None,
    unlike_deg: float = 0.0,
    tension: float = TENSION,
    friction: float = FRICTION,
    turning: float = TURNING,
    barrel: bool = True,
) -> FormRun:
    """Twist the recipe's turns with the hands so far apart, the recipe's throat where nothing is given, wind its barrel, and let go.

    unlike_deg: by how much more the tag's hand stands off the axis; barrel: False for the twist alone. Raises ValidationError for what was not
    looked at, and without numba. A run that diverges, or has no more wire, keeps the frames it had.
    """
    between = throat_deg(recipe) if hands_deg is None else hands_deg
    hands = Hands(between, unlike_deg, tension, friction, friction, turning, barrel)
    check_hands(recipe, hands)
    return form_joint(recipe, hands).run


def throat_deg(recipe: Recipe) -> float:
    """The angle at which the recipe's legs meet."""
    return 2.0 * math.degrees(build_joint(recipe).layout.sizes.tangent_half)


def hands_for_lay(lay_d: float) -> float:
    """Angle between hands [deg] whose twist, let go, has about that lay.

    >>> round(hands_for_lay(4.0))
    90
    """
    return 2.0 * math.degrees(math.atan(math.pi / lay_d)) + SPRINGS_DEG


def check_hands(recipe: Recipe, hands: Hands) -> None:
    """Raise ValidationError for what was not looked at, and without numba."""
    if not is_installed():
        raise ValidationError([ValidationIssue(PACKAGE, MISSING)])
    check_one_wire(recipe, "simulate-of-two")
    sizes = build_joint(recipe).layout.sizes
    issues = out_of_range(
        *size_rows(sizes),
        ("hands", hands.hands_deg, HANDS_DEG, "deg"),
        ("unlike", hands.unlike_deg, UNLIKE_DEG, "deg"),
        ("tension", hands.tension, TENSIONS, ""),
        ("friction", hands.friction, FRICTIONS, ""),
    )
    if not issues and 0.5 * (hands.hands_deg - hands.unlike_deg) < NARROWEST_DEG:
        issues.append(argument_issue("unlike", f"must leave either hand {NARROWEST_DEG:g} deg off the axis"))
    if hands.barrel and sizes.wraps > 0.0 and recipe.barrel.hand != "same":
        issues.append(argument_issue("recipe", "must have a barrel of the twist's hand to be formed in a simulation"))
    if issues:
        raise ValidationError(issues)


@functools.lru_cache(maxsize=12)
def form_joint(recipe: Recipe, hands: Hands) -> Formed:
    """Form the joint; the last ones are kept."""
    sizes = build_joint(recipe).layout.sizes
    halves = [math.radians(0.5 * (hands.hands_deg + way * hands.unlike_deg)) for way in (-1.0, 1.0)]
    stiffness = recipe.wire.modulus_mpa / recipe.wire.strength_mpa[1]
    wraps = sizes.wraps if hands.barrel else 0.0
    work = take_in_hand(
        0.5 * sizes.pin, halves, hands.tension, sizes.turns, friction=hands.friction, stiffness=stiffness, wraps=wraps
    )
    film = _FormFilm(work, right_handed=sizes.right_handed)
    film.take(work, Stage.TWIST)
    failed = 0
    count = round(sizes.turns * _FRAMES_A_TURN)
    for k in range(1, count + 1):
        failed = failed or twist(work, sizes.turns * k / count, hands.turning)
        if failed or _lost(work):
            failed = failed or 1
            break
        film.take(work, Stage.TWIST)
    torque = float(work.state.energy[DRIVEN]) / max(work.turned, 1e-9)
    twisted = work.state.twist / (2.0 * math.pi * sizes.turns)
    legs = float(twisted[: work.middle].sum()), float(twisted[work.middle :].sum())
    front = work.front
    held = free = wound = sprung = joint = None
    bend = np.zeros((0, 2))
    strains = TwistStrains()
    if not failed:
        held, strains = twist_shape(work, front), twist_strains(work)
        if wraps:
            failed = _wind(work, wraps, hands.turning, film)
        else:
            failed = open_hands(work)
            film.take(work, Stage.LET_GO)
    if not failed and wraps:
        wound = barrel_shape(work, front)
        held_bend = work.state.bend.copy()
        failed = let_tag_go(work, film.each(Stage.LET_GO, _A_STAGE))
        joint = cut_out(work, recipe.finish.stub_mm / recipe.wire.diameter_mm, hands.friction, hands.on_pin)
        bend = held_bend[joint.first : joint.first + len(joint.state.points)]
        failed = failed or let_joint_go(joint)
        film.take(joint, Stage.LET_GO)
        work = joint
        sprung = None if failed else barrel_shape(joint, front)
    failed = failed or int(_lost(work))
    if not failed:
        free = twist_shape(work, front)
    run = FormRun(
        hands_deg=hands.hands_deg,
        unlike_deg=hands.unlike_deg,
        tension=hands.tension,
        friction=hands.friction,
        turns=sizes.turns,
        outcome=FormOutcome.NO_WIRE if failed == 3 else FormOutcome.DIVERGED if failed else FormOutcome.TWISTED,
        held=held,
        free=free,
        first_deg=strains.first_deg,
        first_strain=strains.first,
        strain=strains.mean,
        twisted=legs,
        shear=strains.shear,
        fibre_strain=strains.fibre,
        torque=torque,
        wound=wound,
        sprung=sprung,
        unaccounted=abs(energy_residual(work.state)),
        overlap_d=work.overlap,
        s_d=film.s_d,
        frames=np.array(film.frames),
        strains=np.array(film.strains),
        stages=tuple(film.stages),
        rounds=tuple(film.rounds),
        tag=film.tag,
    )
    return Formed(run, None if failed else joint, front, bend)


class _FormFilm:
    """Frames of a forming, seen with the eye at rest: places, strains of the outer fibres and what is being done, frame by frame; all frames have the nodes of the whole wire."""

    def __init__(self, work: Twisting, *, right_handed: bool) -> None:
        self.mirror = np.array([1.0, 1.0 if right_handed else -1.0, 1.0])
        self.frames: list[Array] = []
        self.strains: list[Array] = []
        self.stages: list[Stage] = []
        self.rounds: list[float] = []
        self.tag = np.arange(len(work.wire.length) + 1) > work.middle
        self.s_d = np.concatenate([[0.0], np.cumsum(work.wire.length)])

    def take(self, work: Twisting, stage: Stage) -> None:
        """Add a frame. What was cut off the tag lies where the stub ends, and the leg beyond the hand stays."""
        points = shape_in_space(work, _LEG_D) * self.mirror
        strain = 0.5 * np.linalg.norm(work.state.bend, axis=1) / work.wire.node_length
        if len(points) < len(self.s_d):
            own = slice(work.first, work.first + len(points))
            whole, bent = self.frames[-1].copy(), np.zeros(len(self.s_d))
            whole[own], whole[own.stop :], bent[own] = points, points[-1], strain
            points, strain = whole, bent
        self.frames.append(points)
        self.strains.append(strain)
        self.stages.append(stage)
        self.rounds.append(work.turned / (2.0 * math.pi))

    def each(self, stage: Stage, time: float) -> Callable[[Twisting], None]:
        """What takes a frame of a stage once in so much time."""
        due = -math.inf

        def look(work: Twisting) -> None:
            nonlocal due
            if float(work.state.clock[0]) >= due:
                due = float(work.state.clock[0]) + time
                self.take(work, stage)

        return look


def _wind(work: Twisting, wraps: float, turning: float, film: _FormFilm) -> int:
    """Straighten the standing leg, swing the tag out, wind it."""
    return (
        straighten_leg(work, wraps, film.each(Stage.STRAIGHTEN, _A_STAGE))
        or swing_tag(work, film.each(Stage.SWING, _A_STAGE))
        or wind_barrel(work, wraps, film.each(Stage.WIND, _A_WRAP), turning)
    )


def _lost(work: Twisting) -> bool:
    return abs(energy_residual(work.state)) > _UNACCOUNTED
