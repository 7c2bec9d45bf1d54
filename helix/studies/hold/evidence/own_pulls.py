"""Pieces of one's own, from a file of pull tests: what of it speaks of this wire and this joint."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from helix.data.wire_sizes import SIZE_TOLERANCE
from helix.errors import ValidationError, ValidationIssue
from helix.mechanics import limits
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.model.recipe.recipe_checks import OFF_TABLE
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.hold.evidence.forecast import BentPieces, OwnPulls
from helix.studies.hold.evidence.mended import better_of
from helix.studies.hold.evidence.wound_alike import (
    COUNTS_ALIKE,
    Counted,
    OtherPieces,
    counted_groups,
    fewest_turns,
    grouped,
    other_of,
    pulled_alike,
    wound_of,
)
from helix.values import Values


def own_pulls(
    file: PullFile, recipe: Recipe, named: Mapping[str, Recipe] | None = None, counted: Sequence[Counted] = ()
) -> OwnPulls:
    """What a file's pieces say of a recipe's wire and joint. Raises ValidationError, every fault of the file at once.

    Taken: straight wire of this size that broke, and pieces of this size with these turns and wraps. A joint that
    neither broke nor unwound says only that it holds that much. named: the recipes that rows name, by name; pieces of another
    one that is not nearly this (`pulled_alike`) are left out, and so are pieces of recipes of another material. In wire that is off
    by no more than NEAR_WIRE pieces are others'; those of any other wire count for nothing, and are told where some unwound. Where pieces of another joint in
    this wire unwound, and they count against this one or there is none of it, that is told. counted: pieces that are in no file.
    """
    faults = list(file.faults)
    named = named or {}
    alike = [piece for piece in file.pieces if _same_wire(piece, recipe, named)]
    near = [piece for piece in file.pieces if _same_wire(piece, recipe, named, limits.NEAR_WIRE)]
    straight = [piece for piece in alike if piece.control and piece.ending not in ("grip", "stopped")]
    jointed = [
        piece
        for piece in alike
        if not piece.control and _same_counts(piece, recipe, named or {}) and _as_many_wires(piece, recipe, named or {})
    ]
    mine = {name for name, other in (named or {}).items() if pulled_alike(other, recipe)}
    if any(set(piece.recipes) & mine for piece in jointed):
        jointed = [piece for piece in jointed if set(piece.recipes) <= mine]
    else:
        jointed = [piece for piece in jointed if not set(piece.recipes) & set(named or {})]
    rest = [
        piece
        for piece in near
        if not piece.control and piece not in jointed and _as_many_wires(piece, recipe, named or {})
    ]
    others = grouped((piece for piece in rest if None not in _counts(piece, named or {})), recipe, named or {})
    others += counted_groups(one for one in counted if wire_alike(one[0], recipe))
    unlike = _unlike([piece for piece in file.pieces if piece not in near], recipe, named, counted)
    bent = _bent([piece for piece in rest if piece in alike], recipe, named)
    ended = [piece.ending for piece in jointed if piece.ending not in ("grip", "stopped")]
    other = _other(others, unlike, recipe, (ended.count("unwound"), len(ended)))
    if straight:
        usual = recipe.wire.breaking_load_n[1]
        mean = sum(piece.load_n for piece in straight) / len(straight)
        if not OFF_TABLE[0] <= mean / usual <= OFF_TABLE[1]:
            values = Values(usual_n=usual, mean_n=mean)
            faults.append(ValidationIssue(file.place, code="off-the-table", values=values))
    if (
        not straight
        and not jointed
        and other is None
        and not any(bent_as(bent, each) for each in (recipe, *better_of(recipe)))
    ):
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
        ended=len(ended),
        pin_mm=_other_pin(jointed, recipe, named or {}),
        others=others,
        other=other,
        unlike=unlike,
        whole_n=_whole(jointed),
        bent=bent,
    )


def _whole(pieces: Sequence[PullPiece]) -> tuple[float, ...]:
    """Loads of whole pieces of two joints that broke; none where any unwound."""
    unwound = any(piece.ending == "unwound" for piece in pieces)
    broke = (piece.load_n for piece in pieces if piece.joints == 2 and piece.ending in ("joint", "clear"))
    return () if unwound else tuple(broke)


def _other(
    others: tuple[OtherPieces, ...], unlike: tuple[OtherPieces, ...], recipe: Recipe, own: tuple[int, int] = (0, 0)
) -> OtherPieces | None:
    """What is to be told of other joints' pieces, as `other_of` has it; where nothing is of this wire, of those in another one that
    would count against the joint if it were theirs."""
    wound = wound_of(recipe)
    told = other_of(others, wound, own)
    if told is not None or own[1] or any(one.wound is not None and one.wound.like(wound) for one in others):
        return told
    there = other_of(unlike, wound)
    return None if there is None or not there.unwinds else replace(there, unwinds=0.0)


def _unlike(
    pieces: list[PullPiece], recipe: Recipe, named: Mapping[str, Recipe], counted: Sequence[Counted]
) -> tuple[OtherPieces, ...]:
    """Pieces of joints in other wires by their wire and by how they are wound, of which some unwound."""
    wires: dict[float, list[PullPiece]] = {}
    for piece in pieces:
        its = _diameter(piece, named)
        if not piece.control and its is not None and None not in _counts(piece, named):
            wires.setdefault(its, []).append(piece)
    found = [replace(one, wire_mm=its) for its, alike in wires.items() for one in grouped(alike, recipe, named)]
    for one in counted:
        if not wire_alike(one[0], recipe):
            found += [replace(group, wire_mm=one[0].wire.diameter_mm) for group in counted_groups([one])]
    return tuple(one for one in found if one.unwound)


def _bent(pieces: Sequence[PullPiece], recipe: Recipe, named: Mapping[str, Recipe]) -> tuple[BentPieces, ...]:
    """Pieces of other joints by the recipes that their rows name, the recipe itself where they name none."""
    groups: dict[tuple[Recipe, ...], list[PullPiece]] = {}
    for piece in pieces:
        if all(name in named or not name for name in piece.recipes):
            of = tuple(dict.fromkeys(named[name] for name in piece.recipes if name)) or (recipe,)
            groups.setdefault(of, []).append(piece)
    return tuple(
        BentPieces(
            of=of,
            loads_n=tuple(piece.load_n for piece in alike),
            broke=tuple(piece.ending == "joint" for piece in alike),
            joints=tuple(piece.joints for piece in alike),
        )
        for of, alike in groups.items()
    )


def bent_as(groups: tuple[BentPieces, ...], recipe: Recipe) -> tuple[BentPieces, ...]:
    """Those of other joints' pieces that were bent as a recipe's joint, whatever their counts, where any broke."""

    def alike(one: Recipe) -> bool:
        size = abs(one.wire.diameter_mm / recipe.wire.diameter_mm - 1.0) <= SIZE_TOLERANCE
        return size and wire_alike(one, recipe) and pulled_alike(one, recipe)

    found = tuple(group for group in groups if all(map(alike, group.of)))
    return found if any(any(group.broke) for group in found) else ()


def of_wire(own: OwnPulls | None, recipe: Recipe) -> OwnPulls | None:
    """What own pieces say of a joint of which none was pulled but for how it unwinds: their straight wire, and those bent alike."""
    return None if own is None else OwnPulls(straight_n=own.straight_n, bent=bent_as(own.bent, recipe))


def _other_pin(pieces: list[PullPiece], recipe: Recipe, named: Mapping[str, Recipe]) -> float | None:
    """The pin that a joint's pieces were bent round, where that is another than the recipe's and one; else None."""
    pins = {named[name].eye.pin_mm for piece in pieces for name in piece.recipes if name in named}
    return next(iter(pins)) if len(pins) == 1 and recipe.eye.pin_mm not in pins else None


def pulled(own: OwnPulls, recipe: Recipe) -> tuple[OtherPieces, ...]:
    """All joints that were pulled in this wire, with the recipe's own, whose pieces these are."""
    if not own.loads_n:
        return own.others
    wound, ended = wound_of(recipe), len(own.loads_n) if own.ended is None else own.ended
    mine = OtherPieces(
        turns=wound.turns,
        wraps=wound.wraps,
        unwound=sum(own.unwound),
        pieces=ended,
        pin_mm=recipe.eye.pin_mm,
        wound=wound,
    )
    return (*own.others, mine)


def carried(own: OwnPulls | None, recipe: Recipe, changed: Recipe) -> OwnPulls | None:
    """What own pieces of a recipe's joint say of a changed one: their straight wire, what unwound, and at what load those broke that were bent
    alike; in another wire only that some unwound."""
    if own is None:
        return None
    others = pulled(own, recipe)
    if not wire_alike(recipe, changed):
        wire_mm = recipe.wire.diameter_mm
        unlike = (*own.unlike, *(replace(one, wire_mm=wire_mm) for one in others if one.unwound))
        return OwnPulls(other=_other((), unlike, changed), unlike=unlike)
    told = _other(others, own.unlike, changed)
    mine = BentPieces(of=(recipe,), loads_n=own.loads_n, broke=own.broke, joints=own.joints)
    bent = (*own.bent, mine) if own.loads_n else own.bent
    return OwnPulls(straight_n=own.straight_n, others=others, other=told, unlike=own.unlike, bent=bent)


def counts_against(own: OwnPulls | None) -> bool:
    """Whether pieces of another joint count against the one that is asked about."""
    return own is not None and own.other is not None and own.other.unwinds > 0.0


def any_unwound(own: OwnPulls | None) -> bool:
    """Whether any own piece in this wire unwound, of whichever joint."""
    return own is not None and (any(own.unwound) or any(group.unwound for group in own.others))


def turns_above(own: OwnPulls, recipe: Recipe, changed: Recipe | None = None) -> tuple[float, bool]:
    """The fewest turns, else as the recipe or a changed one, that no own pieces of the recipe count against; and whether such were
    pulled."""
    return fewest_turns(pulled(own, recipe), wound_of(changed or recipe))


def wire_alike(one: Recipe, other: Recipe) -> bool:
    """Whether two recipes are nearly of one wire, and as many of it."""
    size = abs(one.wire.diameter_mm / other.wire.diameter_mm - 1.0) <= limits.NEAR_WIRE
    return size and one.wire.material == other.wire.material and one.wire.count == other.wire.count


def _same_wire(piece: PullPiece, recipe: Recipe, named: Mapping[str, Recipe], within: float = SIZE_TOLERANCE) -> bool:
    """Whether a piece is of a recipe's wire, its diameter within a proportion; of its material, where it names one."""
    d, materials = recipe.wire.diameter_mm, {named[name].wire.material for name in piece.recipes if name in named}
    if materials and recipe.wire.material not in materials:
        return False
    its = _diameter(piece, named)
    return its is None or abs(its / d - 1.0) <= within


def _diameter(piece: PullPiece, named: Mapping[str, Recipe]) -> float | None:
    """Diameter of a piece's wire [mm]: of its row, else of the recipe that it names; None where neither says."""
    its = next((named[name] for name in piece.recipes if name in named), None)
    return its.wire.diameter_mm if piece.diameter_mm is None and its is not None else piece.diameter_mm


def _as_many_wires(piece: PullPiece, recipe: Recipe, named: Mapping[str, Recipe]) -> bool:
    """Whether a piece has as many wires worked as one; one, where its row names no recipe."""
    wires = {named[name].wire.count for name in piece.recipes if name in named} or {1}
    return wires == {recipe.wire.count}


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
