"""Which pieces of other joints count against one: those wound no less than it, of which some unwound.

Whether a joint unwinds is settled in its twist and its barrel. Pin, throat, entry and exit are no part of that, so pieces that
differ in these alone are pieces of it as far as unwinding goes; and a joint with no more turns than one that unwound is no better,
whatever its wraps: no file says whether the twist or the barrel let go, and a twist that untwists is not cured by wraps
(docs/decisions/0130-wound-no-more-than-what-unwound.md, docs/decisions/0137-more-wraps-cure-no-twist.md).

By the same pieces more turns are never told worse, and a piece that unwound betters nothing, but for three things that are meant: own pieces
decide for the joint that they are of, whatever more turns did; a mean of few pieces lies nearer 1/2 than that of many, which moves a
proportion and no verdict; and loads at which pieces unwound move a proportion that is above what the pieces that held leave.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from helix.geometry.joint.exits import exit_curves
from helix.mechanics import limits
from helix.model.joint.joint_curves import plan_of, sizes_of, twist_end
from helix.model.measured.pull_file import PullPiece
from helix.model.recipe.recipe_parts import Recipe
from helix.values import hidden, result

_ROUNDING: Final = 1e-9
COUNTS_ALIKE: Final = 0.26  # turns and wraps within a quarter are the same joint


@result
class Wound:
    """What of a joint bears on whether it unwinds. lay_d: in wire diameters; evenness: at most what is even enough."""

    turns: float
    wraps: float
    lay_d: float
    evenness: float
    same_hand: bool
    touching: bool

    def no_more_than(self, other: Wound) -> bool:
        """Whether it grips no better than another one: no more turns, no more wraps, nothing about them wound better."""
        return self.wraps < other.wraps + COUNTS_ALIKE and self.twisted_no_more_than(other)

    def twisted_no_more_than(self, other: Wound) -> bool:
        """The same whatever the wraps."""
        return (
            self.turns < other.turns + COUNTS_ALIKE
            and self.lay_d >= other.lay_d - limits.LAY_OFF
            and self.evenness <= other.evenness
            and self.same_hand <= other.same_hand
            and self.touching <= other.touching
        )

    def like(self, other: Wound) -> bool:
        """Whether the two are wound alike."""
        return self.no_more_than(other) and other.no_more_than(self)


@result
class OtherPieces:
    """Pieces of another joint in the same wire, by its counts: how many broke or unwound, and how many of them unwound.

    pin_mm: what they were bent round, None where that is not known or not one. unwinds: of the joint that is asked about, the
    proportion that unwinds at least by these pieces; 0 where they are no bound on it. wire_mm: their wire, where it is another one.
    """

    turns: float
    wraps: float
    unwound: int
    pieces: int
    pin_mm: float | None = None
    unwinds: float = 0.0
    wire_mm: float | None = hidden(default=None)
    wound: Wound | None = hidden(default=None)


Counted = tuple[Recipe, int, int]
"""A joint of which pieces were pulled, how many broke or unwound, and how many of them unwound."""


def wound_of(recipe: Recipe) -> Wound:
    """How a recipe's joint is wound."""
    twist, barrel = recipe.twist, recipe.barrel
    return Wound(
        turns=twist.turns,
        wraps=barrel.wraps,
        lay_d=sizes_of(recipe).lay,
        evenness=min(twist.evenness, limits.EVEN),
        same_hand=barrel.hand == "same",
        touching=barrel.pitch_mm is None,
    )


def pulled_alike(one: Recipe, other: Recipe) -> bool:
    """Whether pieces of one recipe are pieces of another: wound and bent alike but for their counts, the pin within NEAR_PIN, the
    first bend within NEAR_THROAT_DEG and the exit's length within NEAR_EXIT."""
    ones, others = (replace(wound_of(recipe), turns=1.0, wraps=1.0) for recipe in (one, other))
    return (
        ones.like(others)
        and one.entry == other.entry
        and _exits_alike(one, other)
        and abs(one.eye.pin_mm - other.eye.pin_mm)
        <= (limits.NEAR_PIN + _ROUNDING) * max(one.eye.pin_mm, other.eye.pin_mm)
        and abs(_throat_deg(one) - _throat_deg(other)) <= limits.NEAR_THROAT_DEG + _ROUNDING
    )


def _exits_alike(one: Recipe, other: Recipe) -> bool:
    """Whether two exits are one, bent to the same angle: a joint as made has the one that its whole length leaves."""
    if one.exit == other.exit:
        return True
    if one.exit.peak_angle_rad != other.exit.peak_angle_rad:
        return False
    try:
        lengths = [_exit_d(recipe) for recipe in (one, other)]
    except ValueError:  # no joint
        return False
    return max(lengths) - min(lengths) <= (limits.NEAR_EXIT + _ROUNDING) * max(lengths)


def _exit_d(recipe: Recipe) -> float:
    """Length of an exit along the joint [d], by a draft of it."""
    sizes = sizes_of(recipe)
    end, plan = twist_end(sizes), plan_of(recipe, sizes, checked=False).plan
    return exit_curves(end, plan).z_end - end.z


def _throat_deg(recipe: Recipe) -> float:
    """The angle between the two legs where the eye runs into the twist, as stated or the twist's own."""
    own = recipe.eye.throat_rad
    return math.degrees(2.0 * sizes_of(recipe).tangent_half if own is None else own)


def grouped(pieces: Iterable[PullPiece], recipe: Recipe, named: Mapping[str, Recipe]) -> tuple[OtherPieces, ...]:
    """Pieces of joints by how they are wound; a row that names no recipe is of one wound as the recipe but for its counts."""
    groups: list[tuple[Wound, list[PullPiece], set[float | None]]] = []
    for piece in pieces:
        its = next((named[name] for name in piece.recipes if name in named), None)
        wound = wound_of(its or recipe)
        wound = replace(
            wound,
            turns=wound.turns if piece.turns is None else piece.turns,
            wraps=wound.wraps if piece.wraps is None else piece.wraps,
        )
        group = next((one for one in groups if one[0] == wound), None)
        if group is None:
            groups.append(group := (wound, [], set()))
        group[1].append(piece)
        group[2].add(None if its is None else its.eye.pin_mm)
    found = []
    for wound, alike, pins in groups:
        ended = [piece.ending for piece in alike if piece.ending not in ("grip", "stopped")]
        found.append(
            OtherPieces(
                turns=wound.turns,
                wraps=wound.wraps,
                unwound=ended.count("unwound"),
                pieces=len(ended),
                pin_mm=next(iter(pins)) if len(pins) == 1 else None,
                wound=wound,
            )
        )
    return tuple(found)


def counted_groups(counted: Iterable[Counted]) -> tuple[OtherPieces, ...]:
    """Pieces of which only the counts are known."""
    return tuple(
        OtherPieces(
            turns=of.twist.turns,
            wraps=of.barrel.wraps,
            unwound=unwound,
            pieces=pieces,
            pin_mm=of.eye.pin_mm,
            wound=wound_of(of),
        )
        for of, pieces, unwound in counted
    )


def other_of(groups: Iterable[OtherPieces], wound: Wound, own: tuple[int, int] = (0, 0)) -> OtherPieces | None:
    """Of other joints' pieces what is to be told of one wound so: those that bound it, by which most unwind of it; else, where none
    of it was pulled, the nearest of those of which some unwound. own: of its own pieces, how many unwound, and how many there are.
    """
    groups = tuple(groups)
    unwound = [_with_alike(groups, group) for group in groups if group.unwound]
    binding = []
    for group in unwound:
        if group.wound is None or not wound.twisted_no_more_than(group.wound):
            continue
        more = own
        if not wound.no_more_than(group.wound):
            if group.wraps < limits.HINGE_WRAPS - COUNTS_ALIKE:
                continue  # it had no barrel to speak of
            more = _with_more_wraps(groups, group, wound, own)
            if more[1] and jeffreys(*more) <= limits.LOCKS_AT:
                continue  # pieces have shown that so many wraps hold
        share = jeffreys(group.unwound + more[0], group.pieces + more[1])
        binding += [replace(group, unwinds=share)] if share > limits.LOCKS_AT else []
    if binding:
        return max(binding, key=lambda group: (group.unwinds, -group.turns))
    if own[1] or any(group.pieces and group.wound is not None and group.wound.like(wound) for group in groups):
        return None
    far = (abs(group.turns - wound.turns) + abs(group.wraps - wound.wraps) for group in unwound)
    return min(zip(far, unwound, strict=True), key=lambda one: (one[0], -one[1].turns), default=(0.0, None))[1]


def _with_alike(groups: tuple[OtherPieces, ...], of: OtherPieces) -> OtherPieces:
    """A group with the pieces of all that are wound alike counted in: nearly alike, a is to b and b to c, not a to c."""
    alike = [
        group for group in groups if of.wound is not None and group.wound is not None and group.wound.like(of.wound)
    ]
    pins = {group.pin_mm for group in alike}
    return replace(
        of,
        unwound=sum(group.unwound for group in alike) or of.unwound,
        pieces=sum(group.pieces for group in alike) or of.pieces,
        pin_mm=of.pin_mm if len(pins) <= 1 else None,
    )


def _with_more_wraps(
    groups: tuple[OtherPieces, ...], than: OtherPieces, wound: Wound, own: tuple[int, int]
) -> tuple[int, int]:
    """Of the pieces that had more wraps than some others and are wound no more than the joint, how many unwound, and how many there
    are; own ones counted. Those with fewer turns or wraps than others of them are left out where they say less for it: what
    unwound there unwound for want of them.
    """
    fit = [
        (group.turns, group.wraps, group.unwound, group.pieces)
        for group in groups
        if group.wound is not None and group.wraps >= than.wraps + COUNTS_ALIKE and group.wound.no_more_than(wound)
    ]
    fit.append((wound.turns, wound.wraps, *own))
    sets = (
        [one for one in fit if one[0] > turns - COUNTS_ALIKE and one[1] > wraps - COUNTS_ALIKE]
        for turns, *_ in fit
        for _, wraps, *_ in fit
    )
    counts = [(sum(one[2] for one in chosen), sum(one[3] for one in chosen)) for chosen in sets]
    return min(counts, key=lambda count: (jeffreys(*count), -count[1]))


def jeffreys(unwound: int, pieces: int) -> float:
    """Mean of a proportion once so many of so many were counted, from Jeffreys' prior."""
    return (unwound + 0.5) / (pieces + 1.0)


def fewest_turns(groups: Iterable[OtherPieces], wound: Wound) -> tuple[float, bool]:
    """The fewest whole turns, not fewer than practice makes, that no pieces count against; and whether such pieces were pulled."""
    groups = tuple(groups)
    turns = limits.FEW
    while _bound(groups, at := replace(wound, turns=turns)):
        turns += 1.0
    return turns, any(group.pieces and group.wound is not None and group.wound.like(at) for group in groups)


def _bound(groups: tuple[OtherPieces, ...], wound: Wound) -> bool:
    other = other_of(groups, wound)
    return other is not None and other.unwinds > 0.0
