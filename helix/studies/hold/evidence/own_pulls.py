"""Pieces of one's own, from a file of pull tests: what of it speaks of this wire and this joint."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from helix.data.wire_sizes import SIZE_TOLERANCE
from helix.errors import ValidationError, ValidationIssue
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.model.recipe.recipe_checks import OFF_TABLE
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import OtherPieces, OwnPulls
from helix.values import Values

COUNTS_ALIKE: Final = 0.26  # turns and wraps within a quarter are the same joint


def own_pulls(file: PullFile, recipe: Recipe, named: Mapping[str, Recipe] | None = None) -> OwnPulls:
    """What a file's pieces say of a recipe's wire and joint. Raises ValidationError, every fault of the file at once.

    Taken: straight wire of this size that broke, and pieces of this size with these turns and wraps. A joint that
    neither broke nor unwound says only that it holds that much. named: the recipes that rows name, by name; pieces of another
    one with the same counts are left out, and so are pieces of recipes of another material. Where pieces of another joint in
    this wire unwound and there is none of this one, that is told.
    """
    faults = list(file.faults)
    alike = [piece for piece in file.pieces if _same_wire(piece, recipe, named or {})]
    straight = [piece for piece in alike if piece.control and piece.ending not in ("grip", "stopped")]
    jointed = [
        piece
        for piece in alike
        if not piece.control and _same_counts(piece, recipe, named or {}) and _as_many_wires(piece, recipe, named or {})
    ]
    mine = {name for name, other in (named or {}).items() if _made_alike(other) == _made_alike(recipe)}
    if any(set(piece.recipes) & mine for piece in jointed):
        jointed = [piece for piece in jointed if set(piece.recipes) <= mine]
    else:
        jointed = [piece for piece in jointed if not set(piece.recipes) & set(named or {})]
    other = None if jointed else _other_that_unwound(alike, recipe, named or {})
    if straight:
        usual = recipe.wire.breaking_load_n[1]
        mean = sum(piece.load_n for piece in straight) / len(straight)
        if not OFF_TABLE[0] <= mean / usual <= OFF_TABLE[1]:
            values = Values(usual_n=usual, mean_n=mean)
            faults.append(ValidationIssue(file.place, code="off-the-table", values=values))
    if not straight and not jointed and other is None:
        values = Values(turns=recipe.twist.turns, wraps=recipe.barrel.wraps)
        faults.append(ValidationIssue(file.place, code="none-alike", values=values))
    if faults:
        raise ValidationError(faults)
    return OwnPulls(
        straight_n=tuple(piece.load_n for piece in straight),
        loads_n=tuple(piece.load_n for piece in jointed),
        broke=tuple(piece.ending == "joint" for piece in jointed),
        unwound=tuple(piece.ending == "unwound" for piece in jointed),
        joints=tuple(piece.joints for piece in jointed),
        other=other,
    )


def _other_that_unwound(alike: list[PullPiece], recipe: Recipe, named: Mapping[str, Recipe]) -> OtherPieces | None:
    """Of the other joints in this wire of which pieces unwound, the one with the nearest counts; of two alike the one with more."""
    groups: dict[tuple[float, float], list[PullPiece]] = {}
    for piece in alike:
        if piece.control or not _as_many_wires(piece, recipe, named):
            continue
        turns, wraps = _counts(piece, named)
        if turns is not None and wraps is not None:
            groups.setdefault((turns, wraps), []).append(piece)
    found = [
        OtherPieces(
            turns=turns, wraps=wraps, unwound=sum(piece.ending == "unwound" for piece in pieces), pieces=len(pieces)
        )
        for (turns, wraps), pieces in groups.items()
    ]
    mine = (recipe.twist.turns, recipe.barrel.wraps)
    return min(
        (each for each in found if each.unwound),
        key=lambda each: (abs(each.turns - mine[0]) + abs(each.wraps - mine[1]), -each.turns),
        default=None,
    )


def _same_wire(piece: PullPiece, recipe: Recipe, named: Mapping[str, Recipe]) -> bool:
    d, materials = recipe.wire.diameter_mm, {named[name].wire.material for name in piece.recipes if name in named}
    if materials and recipe.wire.material not in materials:
        return False
    return piece.diameter_mm is None or abs(piece.diameter_mm / d - 1.0) <= SIZE_TOLERANCE


def _as_many_wires(piece: PullPiece, recipe: Recipe, named: Mapping[str, Recipe]) -> bool:
    """Whether a piece has as many wires worked as one; one, where its row names no recipe."""
    wires = {named[name].wire.count for name in piece.recipes if name in named} or {1}
    return wires == {recipe.wire.count}


def _made_alike(recipe: Recipe) -> Recipe:
    """A recipe without what rows say of their own: counts; and without what no load depends on: title and units."""
    return recipe.variant(
        title="",
        units="metric",
        twist=replace(recipe.twist, turns=1.0, length_mm=None),
        barrel=replace(recipe.barrel, wraps=1.0),
    )


def _counts(piece: PullPiece, named: Mapping[str, Recipe]) -> tuple[float | None, float | None]:
    """Turns and wraps of a piece: those of its row, else of the recipe that it names; None where neither says."""
    its = next((named[name] for name in piece.recipes if name in named), None)
    turns = piece.turns if piece.turns is not None or its is None else its.twist.turns
    wraps = piece.wraps if piece.wraps is not None or its is None else its.barrel.wraps
    return turns, wraps


def _same_counts(piece: PullPiece, recipe: Recipe, named: Mapping[str, Recipe]) -> bool:
    """Whether a piece has the recipe's counts, as near as they are told."""
    pairs = zip(_counts(piece, named), (recipe.twist.turns, recipe.barrel.wraps), strict=True)
    return all(own is None or abs(own - wanted) < COUNTS_ALIKE for own, wanted in pairs)
