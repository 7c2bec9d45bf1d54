"""What the hands must apply: torques, cranks, where to hold, springback, and when the grip must move up."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar, Final

import numpy as np

import helix
from helix.data.practice import practice
from helix.findings import Finding, Severity
from helix.mechanics import handling, limits
from helix.mechanics.bends import first_bend, hand_twist
from helix.mechanics.bends.bending import bent_radius, kappa_yield, moment_ratio, sprung_radius, yield_moment
from helix.model.joint.joint import Joint, build_joint
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.hold_result import Band
from helix.values import Result, Values, hidden, result

HAND_FORCE_N: Final = 50.0  # what a hand gives comfortably and again and again (assumed)
SCHEMA: Final = 5
UNLIKE_DEG: Final = 10.0  # by so much hands differ that are not watched (assumed, to show what it costs)
LEAN_N: Final = 400.0  # what a person gives along one leg who leans on a bar (assumed)
PLIERS_ARM_MM: Final = 100.0  # from where pliers bite to the middle of the hand on their handles (assumed)


@result
class Work:
    """One motion: moment for the softest, nominal and hardest wire, least crank or handle for the stated hand force."""

    motion: str
    moment_n_mm: Band
    least_crank_mm: float
    force_at_handle_n: float


@result
class Grips:
    """Where hands must take hold anew. free_length_mm: at which a wire that is wound leans by 15 deg; deflection_mm and
    buckling_push_n there. grip_moves: how often the grip on the joint must move up over worked_mm, from the eye's throat
    to the last wrap: after_turns and after_wraps, each the last that is finished within reach; tag_holds: how often the
    tag must be held anew over tag_wire_mm."""

    free_length_mm: float
    deflection_mm: float
    buckling_push_n: float
    worked_mm: float
    grip_moves: int
    after_turns: tuple[int, ...]
    after_wraps: tuple[int, ...]
    tag_wire_mm: float
    tag_holds: int


@result
class Tools:
    """What the hardest wire takes at the grip. turns_by: what turns legs and tag, "hand", or "jig", a hand-turned one of
    crank_mm at which that hand will do; held_in: what bites the finished twist, "pliers" in the other hand, or "vice"."""

    turns_by: str
    crank_mm: float | None
    held_in: str


@result
class HandAngles:
    """How hands must hold the legs for the lay that is wanted. Simulated, not tested.

    pull_n: along each leg, what a hand gives, or the most that was simulated, over the strength pull_share; pulled_deg: angle between the legs
    in such hands, None where it would be a straight angle or more; unlike_evenness: of the twist of hands that differ there by
    UNLIKE_DEG all along. firm_pull_n, firm_deg: the same with the pull at which most was simulated, with a handle on each leg.
    even_pull_n: pull on each leg that keeps the twist even though the hands differ. held_deg: angle of hands that only lead the legs
    round, None as pulled_deg; first_crossing_strain: of the first crossing then, within 0.1, which comes out sharper than the rest,
    twist_strain; square_lay_d: lay that comes out then at 90 deg.
    """

    lay_d: float
    pull_n: float
    pull_share: float
    pulled_deg: float | None
    unlike_evenness: float
    firm_pull_n: float
    firm_deg: float | None
    even_pull_n: float
    held_deg: float | None
    first_crossing_strain: float
    twist_strain: float
    square_lay_d: float


@result
class Springback:
    """pin_for_wanted_eye_mm: pin that leaves an eye as wide as the recipe's pin, None where it would stay elastic.
    eye_after_mm: width of the eye after it was bent round the recipe's pin, None where it springs straight.
    barrel_gap_mm: gap all round between barrel and core."""

    pin_for_wanted_eye_mm: float | None
    eye_after_mm: float | None
    barrel_gap_mm: float | None


@result
class FormResult(Result):
    """Moments for the softest, nominal and hardest flow stress of the wire, all else at the nominal one; of two wires
    worked as one those of both at once, at a handle those of each. of_making: what is found of the making, by the limits that a bend of
    the joint is judged by; it is no finding of the joint, which is judged by its own curve.

    bare_wire_torque_n_mm: what the bare wire can pass on. hands: None where there is no twist, and of two wires, which nobody has
    simulated.
    """

    rows_in: ClassVar = "work"
    recipe: Recipe
    hand_force_n: float
    flow_stress_mpa: Band
    work: tuple[Work, ...]
    bare_wire_torque_n_mm: Band
    hands: HandAngles | None
    tools: Tools
    grips: Grips
    springback: Springback
    of_making: tuple[Finding, ...]
    of_hold: tuple[Finding, ...] | None = hidden(default=None)
    schema: int = SCHEMA
    version: str = helix.__version__


def grip_reach_mm(wire: Wire) -> float:
    """How far from the work a wire may be gripped before it leans too much under the force that winds it [mm]."""
    usual = practice().scatter.flow[1] * wire.strength_mpa[1]
    return float(handling.free_length(math.radians(limits.WANDER_DEG), usual, wire.modulus_mpa, wire.diameter_mm))


def form(recipe: Recipe, hand_force_n: float = HAND_FORCE_N) -> FormResult:
    """Torques, cranks and grips for a recipe's joint. Raises InfeasibleJointError, and ValueError for a force not above 0.

    >>> from helix.model.recipe.recipe import recipe_from_text
    >>> text = '[wire]\\nsize = "MWG 12"\\nmaterial = "302 stainless"\\n[eye]\\npin = "6 mm"\\n'
    >>> answer = form(recipe_from_text(text))
    >>> answer.grips.grip_moves, round(answer.work[1].moment_n_mm.nominal)
    (2, 122)
    """
    joint, wire, d = build_joint(recipe), recipe.wire, recipe.wire.diameter_mm
    shares = practice().scatter.flow
    weak, usual, strong = (share * strength for share, strength in zip(shares, wire.strength_mpa, strict=True))
    flow = Band(low=weak, nominal=usual, high=strong)
    sizes, wires = joint.layout.sizes, wire.count
    units: list[tuple[str, float]] = []  # motion, moment over flow stress
    if sizes.turns:
        lay = 0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay)
        units.append(("twist the pair", float(handling.twist_torque(lay, 1.0, d))))
    if sizes.wraps:
        units.append(("wind a wrap", float(handling.hinge_moment(1.0, d)) * math.sin(sizes.barrel_lay)))
    work = [
        _work(name, Band.of(*(wires * unit * value for value in (weak, usual, strong))), hand_force_n, recipe)
        for name, unit in units
    ]
    radius = 0.5 * (recipe.eye.pin_mm + d)
    radii = [
        radius + d * sizes.over * k for k in range(wires)
    ]  # of two wires one over the other the outer one's is larger
    bend = Band.of(
        *(sum(_bend_moment(each, d, value, wire.modulus_mpa) for each in radii) for value in (weak, usual, strong))
    )
    work.append(_work("bend round the pin", bend, hand_force_n, recipe))
    reach = grip_reach_mm(wire)
    worked = max(joint.axial["top"], 0.0)  # a tag bent far back may end its barrel before the throat
    tag_wire = joint.section_mm("exit_tag") + joint.section_mm("barrel")
    strength = wire.strength_mpa[1]
    hands = _hands(joint, shares[1], hand_force_n) if sizes.turns and wires == 1 else None
    after_turns, after_wraps = _regrips(joint, worked, reach)
    return FormResult(
        recipe=recipe,
        flow_stress_mpa=flow,
        hand_force_n=hand_force_n,
        work=tuple(work),
        bare_wire_torque_n_mm=Band.of(
            *(wires * float(handling.wire_torque(value, d)) for value in (weak, usual, strong))
        ),
        hands=hands,
        of_making=() if hands is None else tuple(_crossing(hands)),
        tools=_tools(work, reach, hand_force_n),
        grips=Grips(
            free_length_mm=reach,
            deflection_mm=float(handling.wander_deflection(reach, usual, wire.modulus_mpa, d)),
            buckling_push_n=wires * float(handling.buckling_push(reach, wire.modulus_mpa, d)),
            worked_mm=worked,
            grip_moves=len(after_turns) + len(after_wraps),
            after_turns=after_turns,
            after_wraps=after_wraps,
            tag_wire_mm=tag_wire,
            tag_holds=int(handling.moves(tag_wire, reach)) + 1 if tag_wire else 0,
        ),
        springback=Springback(
            pin_for_wanted_eye_mm=pin_to_bend_mm(recipe),
            eye_after_mm=_finite(2.0 * sprung_radius(radius, d, strength, wire.modulus_mpa) - d),
            barrel_gap_mm=_barrel_gap(sizes.barrel_lay, d, strength, wire.modulus_mpa) if sizes.wraps else None,
        ),
    )


def held_apart_deg(joint: Joint) -> float | None:
    """Angle between the legs at which hands hold them for the joint's lay (simulated, not tested); None past straight, and of
    two wires worked as one, which nobody has simulated."""
    sizes = joint.layout.sizes
    if sizes.count > 1:
        return None
    held = hand_twist.pulled_angle(0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay), 0.0)
    return math.degrees(2.0 * held) if held < 0.5 * math.pi else None


def pulled_apart_deg(joint: Joint, hand_force_n: float = HAND_FORCE_N) -> float | None:
    """The same of hands that pull along the legs as hard as a hand does again and again (simulated, not tested)."""
    return None if joint.layout.sizes.count > 1 else _pulled_deg(joint, hand_force_n / _strength_n(joint))


def _pulled_deg(joint: Joint, share: float) -> float | None:
    sizes = joint.layout.sizes
    half = hand_twist.pulled_angle(0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay), share)
    return math.degrees(2.0 * half) if half < 0.5 * math.pi else None


def _strength_n(joint: Joint) -> float:
    return joint.recipe.wire.breaking_load_n[1]


def _hands(joint: Joint, flow: float, hand_force_n: float) -> HandAngles:
    """At which angle between the legs, and with which pull, hard wire takes the recipe's lay."""
    sizes, strength = joint.layout.sizes, _strength_n(joint)
    lay = 0.5 * (sizes.tag_throat.lay + sizes.standing_throat.lay)
    held = hand_twist.pulled_angle(lay, 0.0)
    share = min(hand_force_n / strength, hand_twist.MOST_PULL)
    pulled = _pulled_deg(joint, share)
    between = math.radians(0.5 * (180.0 if pulled is None else pulled)) * (1.0 - 1e-12)
    return HandAngles(
        lay_d=sizes.lay,
        pull_n=share * strength,
        pull_share=share,
        pulled_deg=pulled,
        unlike_evenness=hand_twist.unlike_evenness(between, math.radians(UNLIKE_DEG), share),
        firm_pull_n=hand_twist.FIRM * strength,
        firm_deg=_pulled_deg(joint, hand_twist.FIRM),
        even_pull_n=float(first_bend.even_pull(lay, flow)) * strength,
        held_deg=held_apart_deg(joint),
        first_crossing_strain=float(first_bend.wound_strain(min(held, first_bend.WIDEST_RAD))),
        twist_strain=float(first_bend.wound_strain(min(lay, first_bend.WIDEST_RAD))),
        square_lay_d=math.pi / math.tan(first_bend.TAKEN * 0.25 * math.pi),
    )


def _crossing(hands: HandAngles) -> Iterator[Finding]:
    """A first crossing that hands as wide as the lay wants wind harder than the wrapping test."""
    if hands.held_deg is None or hands.pulled_deg is None or hands.first_crossing_strain <= limits.STRAIN_OK:
        return
    weak = hands.pull_share < hand_twist.LEAST_PULL and hands.firm_deg is not None  # too weak to do anything for it
    values = Values(
        strain=hands.first_crossing_strain,
        strain_limit=limits.STRAIN_OK,
        held_deg=hands.held_deg,
        pulled_deg=hands.firm_deg if weak else hands.pulled_deg,
        pull_n=hands.firm_pull_n if weak else hands.pull_n,
        free_deg=first_bend.TAKEN * hands.held_deg,
        limit_deg=math.degrees(limits.ANGLE_LIMIT_RAD),
    )
    yield Finding(code="hard-crossing", severity=Severity.CAUTION, place="entry", values=values, remedy="pull-along")


def _tools(work: list[Work], reach_mm: float, hand_force_n: float) -> Tools:
    """Which tools the hardest wire needs: at the grip, and on the handles of pliers."""
    most = max(motion.moment_n_mm.high for motion in work)
    by_hand = most <= hand_force_n * reach_mm
    return Tools(
        turns_by="hand" if by_hand else "jig",
        crank_mm=None if by_hand else float(handling.crank_length(most, hand_force_n)),
        held_in="pliers" if most <= hand_force_n * PLIERS_ARM_MM else "vice",
    )


def _regrips(joint: Joint, worked_mm: float, reach_mm: float) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """After which turns and wraps the grip moves up: at each move onto the last that is finished within its reach."""
    sizes, d = joint.layout.sizes, joint.diameter_mm
    pitch, lay = sizes.pitch * d, sizes.lay * d
    barrel = worked_mm - sizes.wraps * pitch
    ends = [(count * lay, count, True) for count in range(1, int(sizes.turns + 1e-9) + 1)]
    ends += [(barrel + count * pitch, count, False) for count in range(1, int(sizes.wraps + 1e-9) + 1)]
    at = 0.0
    moves: list[tuple[float, int, bool]] = []
    while at + reach_mm < worked_mm * (1.0 - 1e-12):
        ahead = [end for end in ends if at < end[0] < worked_mm * (1.0 - 1e-12)]
        if not ahead:
            break
        moves.append(max((end for end in ahead if end[0] <= at + reach_mm), default=ahead[0]))
        at = moves[-1][0]
    turns, wraps = (tuple(count for _, count, in_twist in moves if in_twist is part) for part in (True, False))
    return turns, wraps


def _work(name: str, moment: Band, hand_force_n: float, recipe: Recipe) -> Work:
    handle = recipe.finish.handle_mm * recipe.wire.count
    crank = float(handling.crank_length(moment.nominal, hand_force_n))
    return Work(
        motion=name,
        moment_n_mm=moment,
        least_crank_mm=crank,
        force_at_handle_n=moment.nominal / handle if handle > 0.0 else math.nan,
    )


def _bend_moment(radius_mm: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float:
    ratio = 1.0 / (radius_mm * kappa_yield(flow_mpa, modulus_mpa, d_mm))
    return yield_moment(flow_mpa, d_mm) * moment_ratio(ratio)


def pin_to_bend_mm(recipe: Recipe) -> float | None:
    """Pin to bend the eye round, so that it springs open to the recipe's; None where no pin leaves such an eye [mm]."""
    wire = recipe.wire
    return _pin_for(recipe.eye.pin_mm, wire.diameter_mm, wire.strength_mpa[1], wire.modulus_mpa)


def pin_drawn_mm(recipe: Recipe) -> float:
    """Pin that stands in a picture of the making: that to bend round, or one as wide as the eye where none is small enough [mm]."""
    return pin_to_bend_mm(recipe) or recipe.eye.pin_mm


def _pin_for(eye_mm: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float | None:
    """Pin to bend round for an eye of that inside width after springback [mm]; None where no pin is small enough."""
    try:
        pin = 2.0 * bent_radius(0.5 * (eye_mm + d_mm), d_mm, flow_mpa, modulus_mpa) - d_mm
    except ValueError:
        return None
    return pin if pin > 0.0 else None


def _barrel_gap(lay_rad: float, d_mm: float, flow_mpa: float, modulus_mpa: float) -> float | None:
    """How far a sprung barrel of that lay angle stands off its core, round which it is bent at a radius of 1 d [mm]."""
    curvature = math.sin(lay_rad) ** 2 / d_mm
    sprung = sprung_radius(1.0 / curvature, d_mm, flow_mpa, modulus_mpa)
    return _finite((sprung * curvature - 1.0) * d_mm)


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
