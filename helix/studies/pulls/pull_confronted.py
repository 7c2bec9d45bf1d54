"""Prediction and pieces: what `helix hold` expected of a group, what the pieces did, and how probable that would be."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, Literal, TypeAlias

import numpy as np

from helix.errors import HelixError
from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.model.recipe.recipe_checks import OFF_TABLE
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.agreement import WEAKER_OF_TWO, count_agreement, mean_agreement
from helix.studies.hold.evidence.forecast import Forecast, OwnPulls, forecast
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.outcome import Breaks, breaks_of
from helix.studies.hold.places.bend_places import places_of
from helix.studies.pulls.pull_controls import straight_of
from helix.studies.pulls.pull_groups import Group
from helix.values import Result, result

MOST_CONFRONTED: Final = 24
PIECE_SCATTER: Final = 0.04  # of log loads from joint to joint (common practice, no source)
_FEWEST_DRAWS: Final = 100  # of those that break, to say how they break
_LEVELS: Final = 10  # of the friction number, which all pieces share

Unpredicted: TypeAlias = Literal["", "no-recipe", "unlike", "other-wire", "not-estimated", "impossible"]


@result
class CountAgreement:
    """How many of how many did, the probability expected of each, and how probable so odd a count is (p)."""

    count: int
    of: int
    expected: float
    p: float

    @property
    def agrees(self) -> bool:
        """Whether the count may be chance."""
        return self.p >= limits.DISAGREES


@result
class LoadAgreement:
    """Mean of the pieces that broke [N], how many, the mean expected of such pieces, and how probable one so far off is."""

    mean_n: float
    of: int
    expected_n: float
    p: float

    @property
    def agrees(self) -> bool:
        """Whether the load may be what was predicted."""
        return self.p >= limits.DISAGREES


@result
class Prediction:
    """What `helix hold` says of one joint: loads in N and the probability that it unwinds.

    straight: pieces of straight wire of the coil that it knows of. pieces: joints of one's own that it knows of.
    """

    straight: int
    pieces: int
    expected_n: float
    plan_with_n: float
    low_n: float
    high_n: float
    unwinds: float


@result
class Confronted(Result):
    """One group against its recipe.

    unpredicted: code of why nothing is predicted, faults: of what practice calls a fault. off_table: straight wire over
    its table's strength, where it is so far off that it was left out. joints: of each piece, 0 where they differ; pieces_plan_with_n: the
    load that 19 of 20 more such whole pieces hold, by the pieces alone [N]. before, after: the prediction without and with the
    group's own pieces. unwinding, load, below_plan: what the pieces did against the prediction before them.
    """

    group: str
    recipe: str
    unpredicted: Unpredicted = ""
    faults: tuple[str, ...] = ()
    off_table: float | None = None
    joints: int = 0
    pieces_plan_with_n: float | None = None
    before: Prediction | None = None
    after: Prediction | None = None
    unwinding: CountAgreement | None = None
    load: LoadAgreement | None = None
    below_plan: CountAgreement | None = None

    @property
    def agrees(self) -> bool:
        """Whether nothing that the pieces did speaks against the prediction."""
        return all(test is None or test.agrees for test in (self.unwinding, self.load, self.below_plan))


def confront(
    groups: Sequence[Group], recipes: Mapping[str, Recipe], given: Sequence[tuple[str, Recipe]] = ()
) -> tuple[Confronted, ...]:
    """Each group of joints against its recipe: the file that its rows name, else one of those given that is of its wire.

    recipes: by the names in the rows. Groups for which no recipe was named or given are left out.
    """
    controls = [piece for group in groups if group.control for piece in group.pieces]
    confronteds: list[Confronted] = []
    for group in groups:
        if group.control or len(confronteds) == MOST_CONFRONTED:
            continue
        confronted = _confronted(group, recipes, given, controls)
        if confronted.unpredicted != "no-recipe":
            confronteds.append(confronted)
    return tuple(confronteds)


def _confronted(
    group: Group, recipes: Mapping[str, Recipe], given: Sequence[tuple[str, Recipe]], controls: Sequence[PullPiece]
) -> Confronted:
    name, recipe, reason = _recipe_for(group.pieces, recipes, given)
    if recipe is None:
        return Confronted(group=group.name, recipe=name, unpredicted=reason)
    straight = [piece.load_n for piece in straight_of(group.pieces, controls) if piece.ending in ("joint", "clear")]
    off = None
    if straight:
        times = sum(straight) / len(straight) / recipe.wire.breaking_load_n[1]
        if not OFF_TABLE[0] <= times <= OFF_TABLE[1]:
            off, straight = times, []
    try:
        setting = setting_of(recipe)
        before = hold_with(recipe, setting, OwnPulls(straight_n=tuple(straight)))
    except (HelixError, ValueError):
        return Confronted(group=group.name, recipe=name, unpredicted="impossible")
    if before.forecast is None:
        # that no model knows four strands is no fault of theirs
        codes = before.not_estimated or (() if recipe.wire.count > 1 else ("no-model",))
        return Confronted(group=group.name, recipe=name, unpredicted="not-estimated", faults=codes, off_table=off)
    kinds = {piece.joints for piece in group.pieces}
    blank = Confronted(
        group=group.name,
        recipe=name,
        off_table=off,
        joints=kinds.pop() if len(kinds) == 1 else 0,
        pieces_plan_with_n=group.to_plan_n,
    )
    return _against(blank, group, before, straight)


def _recipe_for(
    pieces: Sequence[PullPiece], recipes: Mapping[str, Recipe], given: Sequence[tuple[str, Recipe]]
) -> tuple[str, Recipe | None, Unpredicted]:
    """Name and recipe of a group with the turns and wraps of its rows; None and why, where there is none."""
    kinds = {(*piece.recipes, piece.turns, piece.wraps, piece.diameter_mm) for piece in pieces}
    named = {name for piece in pieces for name in piece.recipes if name in recipes}
    if not named and not given:
        return "", None, "no-recipe"
    if len(kinds) != 1:
        return "", None, "unlike"
    first, second, turns, wraps, diameter = kinds.pop()
    if named and first != second:
        return "", None, "unlike"
    fits = [(first, recipes[first])] if named else list(given)
    right = [
        (name, recipe)
        for name, recipe in fits
        if diameter is None or abs(diameter / recipe.wire.diameter_mm - 1.0) < limits.SAME_WIRE
    ]
    if not right:
        return fits[0][0], None, "other-wire"
    if len(right) > 1:  # several recipes of one wire: those with the counts of the rows
        right = [
            (name, recipe)
            for name, recipe in right
            if turns in (None, recipe.twist.turns) and wraps in (None, recipe.barrel.wraps)
        ]
        if len(right) != 1:
            return "", None, "unlike"
    name, recipe = right[0]
    if turns is not None:
        recipe = recipe.variant(twist=replace(recipe.twist, turns=turns, length_mm=None))
    if wraps is not None:
        recipe = recipe.variant(barrel=replace(recipe.barrel, wraps=wraps))
    return name, recipe, ""


def _own_pulls(pieces: Sequence[PullPiece], straight: Sequence[float]) -> OwnPulls:
    return OwnPulls(
        straight_n=tuple(straight),
        loads_n=tuple(piece.load_n for piece in pieces),
        broke=tuple(piece.ending == "joint" for piece in pieces),
        unwound=tuple(piece.ending == "unwound" for piece in pieces),
        joints=tuple(piece.joints for piece in pieces),
    )


def _prediction(forecast: Forecast, straight: int, pieces: int) -> Prediction:
    return Prediction(
        straight=straight,
        pieces=pieces,
        expected_n=forecast.expected_n,
        plan_with_n=forecast.plan_with_n,
        low_n=forecast.low_n,
        high_n=forecast.high_n,
        unwinds=forecast.probability_unwinds,
    )


def _against(blank: Confronted, group: Group, before: HoldResult, straight: Sequence[float]) -> Confronted:
    """The tests: how many unwound, how high those that broke broke, how many lie below the load to plan with."""
    joints = Counter(piece.joints for piece in group.pieces).most_common(1)[0][0]
    breaks = breaks_of(places_of(before.recipe), before.setting)
    chances, weights = _chances(before, breaks)
    chances = 1.0 - (1.0 - chances) ** joints
    ended = [piece for piece in group.pieces if piece.ending in ("joint", "clear", "unwound")]
    broke = [piece.load_n for piece in ended if piece.ending != "unwound"]
    if 2 * len(broke) < len(ended):  # the few that broke among many that unwound are not as pieces that break
        broke = []
    unwinding = below = None
    if ended:
        unwinding = CountAgreement(
            count=group.unwound,
            of=len(ended),
            expected=float(chances @ weights),
            p=count_agreement(group.unwound, len(ended), chances, weights),
        )
        under = sum(piece.load_n < before.plan_with_n for piece in ended)
        low = 1.0 - (1.0 - limits.HELD) ** joints
        # few below it are no news: it is a load to stay under
        p = 1.0 if under <= low * len(ended) else count_agreement(under, len(ended), [low])
        below = CountAgreement(count=under, of=len(ended), expected=low, p=p)
    own = _own_pulls(group.pieces, straight)
    alone, after = (
        forecast(before.recipe.wire, breaks, before.outcome, before.setting.draws, pulls)
        for pulls in (OwnPulls(straight_n=own.straight_n), own)
    )
    return replace(
        blank,
        before=_prediction(before.forecast or alone, len(straight), 0),
        after=_prediction(after, len(straight), len(group.pieces)) if any((*own.broke, *own.unwound)) else None,
        unwinding=unwinding,
        load=_load(before, alone, breaks, broke, joints),
        below_plan=below,
    )


def _chances(held: HoldResult, breaks: Breaks) -> tuple[Array, Array]:
    """Probabilities of unwinding of one joint by what all pieces share, with how likely each is: the model, the hinge, the
    level of the friction number."""
    draws = held.setting.draws
    unwinds = held.outcome.slips < breaks.least
    level = np.minimum((draws.level * _LEVELS).astype(int), _LEVELS - 1) + _LEVELS * draws.torsion
    counts = np.bincount(level, minlength=2 * _LEVELS)
    there = counts > 0
    parts = np.array([np.bincount(level, weights=row, minlength=2 * _LEVELS)[there] / counts[there] for row in unwinds])
    weights = np.broadcast_to(counts[there] / (counts.sum() * len(parts)), parts.shape)
    return parts.ravel(), weights.ravel()


def _load(
    before: HoldResult, alone: Forecast, breaks: Breaks, broke: Sequence[float], joints: int
) -> LoadAgreement | None:
    """The mean of the pieces that broke against what was predicted of pieces that break; alone: before a cap by the joint
    made right."""
    broken = alone.pieces_n[(before.outcome.slips >= breaks.least).ravel()]
    if not broke or broken.size < _FEWEST_DRAWS:
        return None
    logs = np.log(broken) + math.log(before.expected_n / alone.expected_n)
    scatter = PIECE_SCATTER
    shared = math.sqrt(max(float(logs.var()) - scatter**2, 0.0))
    shift, narrowed = WEAKER_OF_TWO if joints == 2 else (0.0, 1.0)
    centre, piece_scatter = float(logs.mean()) + shift * scatter, narrowed * scatter
    return LoadAgreement(
        mean_n=float(np.mean(broke)),
        of=len(broke),
        expected_n=math.exp(centre + 0.5 * (shared**2 + piece_scatter**2)),
        p=mean_agreement(float(np.log(broke).mean()), len(broke), centre, shared, piece_scatter),
    )
