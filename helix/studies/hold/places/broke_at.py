"""It broke there: what to look at, in order. What the joint's own shape says comes first, then what only hands can tell."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from helix.findings import Severity, notice
from helix.mechanics import limits
from helix.mechanics.bends.first_bend import GOOD_EXIT
from helix.mechanics.bends.hand_twist import hands_alike
from helix.studies.hold.hold_result import BreakHold, BrokeAt, HoldResult
from helix.studies.hold.places.bend_places import places_of
from helix.values import Scalar

EXPECTED: Final = 0.2  # odds of breaking first from which a break there is no surprise
_SAME: Final = 1.05  # a bend this much harder than a good joint's is worth a look
_LOOKS: Final[Mapping[str, tuple[str, ...]]] = {
    "exit_standing": ("exit-sharp", "leg-bent-back", "tool-marks", "straight-pulls"),
    "exit_tag": ("tag-past-square", "exit-sharp", "tag-bent-back", "tool-marks"),
    "entry_standing": ("legs-wide", "hands-unlike", "tool-marks", "straight-pulls"),
    "entry_tag": ("legs-wide", "hands-unlike", "tool-marks", "straight-pulls"),
    "eye": ("thin-pin", "pin-edge", "tool-marks"),
    "twist_standing": ("twist-uneven", "lay-tight", "tool-marks"),
    "behind_barrel": ("leg-bent-back", "wraps-scratch", "tool-marks", "straight-pulls"),
    "clear": ("near-grip", "straight-pulls", "wire-damage"),
}
PLACES: Final = tuple(_LOOKS)
_ALSO_BY_HAND: Final = frozenset({"hands-unlike"})  # a recipe does not tell how the hands stood


def broke_at(held: HoldResult, place: str) -> BrokeAt:
    """What to look at when a joint broke at one of PLACES. Raises KeyError for another."""
    looks = _LOOKS[place]
    there = next(one for one in held.breaks if one.place == place)
    odds = there.odds_first
    first = [] if math.isnan(odds) else [notice("break-here", place, odds=odds, usual=odds >= EXPECTED)]
    if not math.isnan(held.expected_n):
        first.append(notice("break-load", place, expected_n=held.expected_n, plan_n=held.plan_with_n))
    shown, by_hand = [], []
    for code in looks:
        values, is_so = _SHAPE[code](held, there) if code in _SHAPE else ({}, False)
        finding = notice(code, place, Severity.CAUTION if is_so else Severity.NOTE, **values)
        if is_so:
            shown.append(finding)
        elif code not in _SHAPE or code in _ALSO_BY_HAND:
            by_hand.append(finding)
    return BrokeAt(place=place, odds_first=odds, look_at=(*shown, *first, *by_hand))


Shown = tuple[dict[str, Scalar], bool]


def _exit_sharp(_: HoldResult, there: BreakHold) -> Shown:
    strain = there.strain or math.inf
    return {"strain": there.strain or math.nan, "usual": GOOD_EXIT}, strain > _SAME * GOOD_EXIT


def _past_square(held: HoldResult, there: BreakHold) -> Shown:
    past = {"steep-exit", "overlap", "exit-overlaps"} & {*held.not_estimated, *held.not_modelled}
    return {"turn_deg": there.turn_deg or math.nan}, bool(past)


def _legs_wide(held: HoldResult, there: BreakHold) -> Shown:
    angle_rad = _between_legs(held)
    return {"angle_deg": math.degrees(angle_rad)}, angle_rad > limits.ANGLE_LIMIT_RAD + 1e-9


def _hands_unlike(held: HoldResult, there: BreakHold) -> Shown:
    alike = hands_alike(min(0.5 * _between_legs(held), 0.49 * math.pi))
    return {"alike_deg": math.degrees(alike)}, held.recipe.twist.evenness < limits.EVEN


def _thin_pin(held: HoldResult, there: BreakHold) -> Shown:
    pin_d = held.recipe.eye.pin_mm / held.recipe.wire.diameter_mm
    return {"pin_d": pin_d, "usual_d": limits.GOOD_PIN_D}, pin_d < limits.GOOD_PIN_D


def _uneven(held: HoldResult, there: BreakHold) -> Shown:
    return {"evenness": held.recipe.twist.evenness}, held.recipe.twist.evenness < limits.EVEN


def _tight(held: HoldResult, there: BreakHold) -> Shown:
    return {"lay_d": held.grip.lay_d, "sound_d": limits.SOUND_LAY}, held.grip.lay_d < limits.SOUND_LAY


def _between_legs(held: HoldResult) -> float:
    """Angle between the eye legs where the twist begins [rad]."""
    angles = [place.visible_angle_deg for place in places_of(held.recipe) if place.name == "entry_tag"]
    return math.radians(next((angle for angle in angles if angle is not None), 0.0))


_SHAPE: Final[Mapping[str, Callable[[HoldResult, BreakHold], Shown]]] = {
    "exit-sharp": _exit_sharp,
    "tag-past-square": _past_square,
    "legs-wide": _legs_wide,
    "hands-unlike": _hands_unlike,
    "thin-pin": _thin_pin,
    "twist-uneven": _uneven,
    "lay-tight": _tight,
}
