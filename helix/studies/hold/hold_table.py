"""How many turns and wraps are enough: every pair, the smallest safe one, and how the answer moves with what."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import helix
from helix.data.practice import practice
from helix.errors import HelixError
from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Recipe
from helix.statistics.counted import counted_interval
from helix.studies.hold.bend_places import BreakPlace, places_of
from helix.studies.hold.grip_models import grip_of
from helix.studies.hold.holding import SCHEMA, Band
from helix.studies.hold.outcome import Breaks, Outcome, Setting, Verdict, breaks_of, outcome
from helix.values import result

MOST_TURNS: Final = 10
MOST_WRAPS: Final = 10


@result
class Cell:
    """One pair. hold_n: low, nominal, high; unwinds: chance with its 95 % limits of counting; nan where no model speaks.

    spoke: key of the model that is named. wraps_note: what the models do not know of this number of wraps; empty
    where they know it.
    """

    turns: float
    wraps: float
    verdict: Verdict
    hold_n: Band
    unwinds: Band
    spoke: str
    governs: str
    wraps_note: str


@result
class HoldTable:
    """All pairs, turn by turn. safe_turns: the fewest turns that lock with a barrel that is a hinge, None if none do.

    safe_wraps: wraps beside them: no model knows, so this is what practice makes.
    """

    recipe: Recipe
    setting: Setting
    cells: tuple[Cell, ...]
    safe_turns: float | None
    safe_wraps: float
    wraps_note: str
    schema: int
    version: str

    def cell(self, turns: float, wraps: float) -> Cell:
        """The cell of a pair; KeyError for one that is not in the table."""
        for each in self.cells:
            if (each.turns, each.wraps) == (turns, wraps):
                return each
        raise KeyError(f"no cell of {turns:g} turns and {wraps:g} wraps")


def hold_table(
    recipe: Recipe, setting: Setting, most_turns: int = MOST_TURNS, most_wraps: int = MOST_WRAPS
) -> HoldTable:
    """The verdict for 0 to `most_turns` turns against 0 to `most_wraps` wraps, all else as the recipe.

    The bends of a joint do not change with the number of its turns or wraps, so that three shapes are enough: with a
    barrel, without one, and without a twist. Raises InfeasibleJointError where the recipe's own joint cannot exist.
    """
    strength = recipe.wire.breaking_load_n
    joint = grip_of(recipe)
    shapes: dict[tuple[bool, bool], tuple[tuple[BreakPlace, ...], Breaks]] = {}
    cells = []
    for turns in range(most_turns + 1):
        known: dict[float, Outcome] = {}
        for wraps in range(most_wraps + 1):
            kind = min(float(wraps), limits.HINGE_WRAPS)
            if kind not in known:
                shape = (turns > 0, wraps > 0)
                if shape not in shapes:
                    places = _places(recipe, *shape)
                    shapes[shape] = places, breaks_of(places, setting)
                known[kind] = outcome(replace(joint, turns=float(turns), wraps=kind), *shapes[shape], setting)
            cells.append(_cell(turns, wraps, known[kind], strength, setting))
    facts = practice()
    safe = [c.turns for c in cells if c.verdict == "locks" and c.wraps == facts.wraps]
    return HoldTable(
        recipe=recipe,
        setting=setting,
        cells=tuple(cells),
        safe_turns=min(safe, default=None),
        safe_wraps=facts.wraps,
        wraps_note=f"no model, practice says {facts.says['wraps']}",
        schema=SCHEMA,
        version=helix.__version__,
    )


def _places(recipe: Recipe, twisted: bool, wrapped: bool) -> tuple[BreakPlace, ...]:
    """The bends of the recipe with or without a twist and a barrel; none where there is no joint at all."""
    facts = practice()
    turns = recipe.twist.turns or facts.turns
    wraps = recipe.barrel.wraps or facts.wraps
    if not twisted and not wrapped:
        return ()
    twist = replace(recipe.twist, turns=turns if twisted else 0.0, length_mm=None)
    barrel = replace(recipe.barrel, wraps=wraps if wrapped else 0.0)
    if twist.turns == recipe.twist.turns and barrel.wraps == recipe.barrel.wraps:
        return places_of(recipe)
    try:
        return places_of(recipe.variant(twist=twist, barrel=barrel))
    except HelixError:
        return ()  # such a joint has no shape: nothing but the wire itself limits what breaks


def _cell(turns: int, wraps: int, found: Outcome, strength: tuple[float, float, float], setting: Setting) -> Cell:
    note = ""
    if wraps > limits.HINGE_WRAPS or (0 < wraps < limits.HINGE_WRAPS):
        note = f"no model, practice says {practice().says['wraps']}"
    nan = float("nan")
    chance = Band(low=nan, nominal=nan, high=nan)
    if found.speaker is not None:
        low, high = counted_interval(found.unwinds, setting.draws.n)
        chance = Band(low=float(low), nominal=found.unwinds, high=float(high))
    held = Band(low=strength[0] * found.hold[0], nominal=strength[1] * found.hold[1], high=strength[2] * found.hold[2])
    spoke = found.speaker.model.key if found.speaker else ""
    return Cell(
        turns=float(turns),
        wraps=float(wraps),
        verdict=found.verdict,
        hold_n=held,
        unwinds=chance,
        spoke=spoke,
        governs=found.governs,
        wraps_note=note,
    )
