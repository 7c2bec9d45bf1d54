"""How many turns and wraps are enough: every pair, the smallest safe one, and how the answer moves with what."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import ClassVar, Final

import helix
from helix.data.practice import practice
from helix.errors import HelixError
from helix.mechanics import limits
from helix.model.recipe.recipe_checks import check_one_wire
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.studies.hold.evidence.forecast import Forecast, OwnPulls
from helix.studies.hold.evidence.own_pulls import bent_as, carried, pulled
from helix.studies.hold.evidence.wound_alike import OtherPieces, other_of, wound_of
from helix.studies.hold.grip_models import grip_of
from helix.studies.hold.hold_result import SCHEMA, Band
from helix.studies.hold.holding import hold_with
from helix.studies.hold.made_right import HeldEstimate, HeldShape, estimate, twins_of, with_counts
from helix.studies.hold.outcome import Outcome, Setting, Verdict
from helix.values import Result, hidden, result

MOST_TURNS: Final = 10
MOST_WRAPS: Final = 10


@result
class HoldCell:
    """One pair; nan where no model applies. probability_low, probability_high: 95 % limits of the counting.

    model: key of the governing model. by_pieces: own pieces decide it, of this joint or of one with no fewer turns and wraps. wraps_note: what the models do not know of this number of wraps.
    """

    turns: float
    wraps: float
    verdict: Verdict
    hold_n: Band
    probability_unwinds: float = math.nan
    probability_low: float = math.nan
    probability_high: float = math.nan
    model: str | None = None
    governs_place: str
    wraps_note: str | None = None
    by_pieces: bool = False


@result
class SafePair:
    """turns: the fewest that lock with a barrel that is a hinge, None if none do. No model knows the wraps beside them.
    by_pieces: fewer would lock by the models, and own pieces count against these."""

    turns: float | None
    wraps_by_practice: float
    wraps_note: str
    by_pieces: bool = False


@result
class HoldTable(Result):
    """All pairs, turn by turn. unwound: the joint of which own pieces were pulled and some unwound; what the models alone say of
    the others was not pulled. own: whether own pulls are counted in its cells; bounded: whether the load at which pieces broke that were bent alike
    bounds cells of other counts."""

    rows_in: ClassVar = "cells"
    recipe: Recipe = hidden()
    setting: Setting = hidden()
    cells: tuple[HoldCell, ...]
    smallest_safe: SafePair
    unwound: OtherPieces | None = None
    own: bool = hidden(default=False)
    bounded: bool = hidden(default=False)
    schema: int = SCHEMA
    version: str = helix.__version__

    def cell(self, turns: float, wraps: float) -> HoldCell:
        """The cell of a pair; KeyError for one that is not in the table."""
        for cell in self.cells:
            if (cell.turns, cell.wraps) == (turns, wraps):
                return cell
        raise KeyError(f"no cell of {turns:g} turns and {wraps:g} wraps")


def hold_table(
    recipe: Recipe,
    setting: Setting,
    most_turns: int = MOST_TURNS,
    most_wraps: int = MOST_WRAPS,
    own: OwnPulls | None = None,
) -> HoldTable:
    """The verdict for 0 to `most_turns` turns against 0 to `most_wraps` wraps, all else as the recipe.

    The bends of a joint do not change with the number of its turns or wraps, so that three shapes are enough: with a
    barrel, without one, and without a twist. own: pieces of the recipe's joint, which decide its cell; no pair with no more of
    either than pieces that unwound is better, and none is expected to break higher than pieces bent alike did. Raises InfeasibleJointError where the recipe's own joint cannot exist.
    """
    check_one_wire(recipe, "table-of-two")
    shapes: dict[tuple[bool, bool], tuple[HeldShape, ...]] = {}
    cells, told = [], carried(own, recipe, recipe)
    told = None if told is None else replace(told, others=(), other=None)
    for turns in range(most_turns + 1):
        known: dict[float, HeldEstimate] = {}
        for wraps in range(most_wraps + 1):
            kind = min(float(wraps), limits.HINGE_WRAPS)
            if kind not in known:
                shape = (turns > 0, wraps > 0)
                if shape not in shapes:
                    shapes[shape] = _twins(recipe, *shape)
                known[kind] = estimate(with_counts(shapes[shape], float(turns), kind), setting, told)
            cells.append(_cell(turns, wraps, known[kind].outcome, known[kind].forecast, setting))
    unwound, by_models = unwound_of(recipe, own), _fewest(cells)
    if own is not None and (own.loads_n or unwound):
        cells = _by_pieces(cells, recipe, setting, own)
    safe = _fewest(cells)
    return HoldTable(
        recipe=recipe,
        setting=setting,
        cells=tuple(cells),
        smallest_safe=SafePair(
            turns=safe,
            wraps_by_practice=limits.FEW,
            wraps_note=f"no model, {practice().saying('wraps')}",
            by_pieces=by_models is not None and (safe is None or safe > by_models),
        ),
        unwound=unwound,
        own=own is not None,
        bounded=told is not None and bool(bent_as(told.bent, recipe)),
    )


def _fewest(cells: list[HoldCell]) -> float | None:
    return min((cell.turns for cell in cells if cell.verdict == "locks" and cell.wraps == limits.FEW), default=None)


def unwound_of(recipe: Recipe, own: OwnPulls | None) -> OtherPieces | None:
    """The joint of which own pieces unwound: the recipe's, else another one; None where none did."""
    if own is None:
        return None
    if own.other is not None and own.other.wire_mm is None:
        return own.other
    return next((one for one in pulled(own, recipe)[::-1] if one.unwound), None)


def _by_pieces(cells: list[HoldCell], recipe: Recipe, setting: Setting, own: OwnPulls) -> list[HoldCell]:
    """The cells, the recipe's own as its pieces have it, none better than pieces that unwound with no fewer of both."""
    held = hold_with(recipe, setting, own) if own.loads_n else None
    groups, wound = pulled(own, recipe), wound_of(recipe)
    decided = []
    for cell in cells:
        if held is not None and (cell.turns, cell.wraps) == (recipe.twist.turns, recipe.barrel.wraps):
            chance = held.probability.unwinds
            cell = replace(
                cell, verdict=held.verdict, hold_n=held.hold_n, by_pieces=True, governs_place=held.governs_place,
                probability_unwinds=chance, probability_low=held.probability.low, probability_high=held.probability.high,
                wraps_note=None,
            )  # fmt: skip
        else:
            cell = _no_better(cell, other_of(groups, replace(wound, turns=cell.turns, wraps=cell.wraps)))
        decided.append(cell)
    return decided


def _no_better(cell: HoldCell, other: OtherPieces | None) -> HoldCell:
    """A cell no better than pieces of other counts have it; at what load it ends is not known where they bind it."""
    least = 0.0 if other is None else other.unwinds
    if not least:
        return cell
    cell = replace(cell, hold_n=Band.of(math.nan))
    if cell.verdict == "unwinds":
        return cell
    low, high = (max(value, least) for value in (cell.probability_low, cell.probability_high))
    return replace(
        cell, verdict="unwinds", by_pieces=True, wraps_note=None, probability_unwinds=max(cell.probability_unwinds, least),
        probability_low=low, probability_high=high,
    )  # fmt: skip


def _twins(recipe: Recipe, twisted: bool, wrapped: bool) -> tuple[HeldShape, ...]:
    """The recipe with or without a twist and a barrel, and its better twins; without places where it has no shape."""
    turns = recipe.twist.turns or limits.FEW
    wraps = recipe.barrel.wraps or limits.FEW
    bare = (HeldShape(recipe=recipe, grip=grip_of(recipe), places=()),)
    if not twisted and not wrapped:
        return bare
    twist = replace(recipe.twist, turns=turns if twisted else 0.0, length_mm=None)
    barrel = replace(recipe.barrel, wraps=wraps if wrapped else 0.0)
    if twist.turns == recipe.twist.turns and barrel.wraps == recipe.barrel.wraps:
        return twins_of(recipe)
    try:
        return twins_of(recipe.variant(twist=twist, barrel=barrel))
    except HelixError:
        return bare  # nothing but the wire itself limits what breaks


def _cell(turns: int, wraps: int, outcome: Outcome, coming: Forecast | None, setting: Setting) -> HoldCell:
    known = wraps in (0.0, limits.HINGE_WRAPS)
    cell = HoldCell(
        turns=float(turns),
        wraps=float(wraps),
        verdict=outcome.verdict,
        hold_n=Band.of(math.nan) if coming is None else Band.of(coming.low_n, coming.expected_n, coming.high_n),
        governs_place=outcome.governs_place,
        wraps_note=None if known else f"no model, {practice().saying('wraps')}",
    )
    if outcome.governing is None:
        return cell
    low, high = counted_interval(outcome.unwinds, setting.draws.n)
    return replace(
        cell,
        probability_unwinds=outcome.unwinds,
        probability_low=float(low),
        probability_high=float(high),
        model=outcome.governing.model.key,
    )
