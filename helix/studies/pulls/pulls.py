"""A bench's pull tests as a whole: groups, efficiencies, unwinding, curves, and what must be said about them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import helix
from helix.data.pull_coverage import Coverage, pull_coverage
from helix.errors import ValidationIssue
from helix.findings import Finding, Severity, notice
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.model.recipe.recipe_parts import Recipe
from helix.studies.pulls.pull_across import SizeLine, across_sizes
from helix.studies.pulls.pull_confronted import Confronted, confront
from helix.studies.pulls.pull_controls import ControlWire, control_wire, size_of
from helix.studies.pulls.pull_curves import PieceCurve
from helix.studies.pulls.pull_groups import Efficiency, Group, group_of, plain_confidence, ratio
from helix.studies.pulls.pull_joints import NOTHING, Joint
from helix.studies.pulls.pull_next import NextPulls, of_bench
from helix.studies.pulls.pull_predicted import Predicted, predicted_of
from helix.studies.pulls.pull_unwinding import Unwinding, unwinding_of
from helix.values import Result, keyed, result

SCHEMA: Final = 2


@result
class PullsResult(Result):
    """The whole reading. predicted: what models say of groups whose recipes are known, confronted: with what the pieces did.
    next_pulls: what to pull next. sizes: beside each other, where there are several. faults: of rows left out.
    invented: the file says of all its pieces that they are.
    """

    schema: int
    version: str
    place: str = keyed("file")
    groups: tuple[Group, ...]
    unwinding: tuple[Unwinding, ...]
    curves: tuple[PieceCurve, ...]
    predicted: tuple[Predicted, ...]
    confronted: tuple[Confronted, ...]
    next_pulls: tuple[NextPulls, ...]
    sizes: tuple[SizeLine, ...]
    invented: bool
    notes: tuple[Finding, ...]
    faults: tuple[ValidationIssue, ...]
    coverage: tuple[Coverage, ...]


def read_pulls(
    file: PullFile,
    rated_n: float | None = None,
    curves: Sequence[PieceCurve] = (),
    curve_faults: Sequence[ValidationIssue] = (),
    recipes: Mapping[str, Recipe] | None = None,
    given: Sequence[tuple[str, Recipe]] = (),
    more_notes: Sequence[Finding] = (),
) -> PullsResult:
    """What a file of pull tests says.

    rated_n: rated load in N for every group whose rows state none. Groups come in the order of the file; those of several
    sizes are told apart by size, straight wire by coil as well. recipes: by the names in the rows; given: others, for
    groups whose rows name none. more_notes: to be carried with it.

    >>> from helix.model.measured.pull_file import pull_file_from_text
    >>> rows = "".join(f"{k},A,{700 + 10 * k},N,broke_exit\\n" for k in range(1, 6))
    >>> result = read_pulls(pull_file_from_text("id,group,load,unit,failure\\n" + rows))
    >>> round(result.groups[0].plain.mean_n), round(result.groups[0].joint.mean_n.value)
    (730, 740)
    """
    groups = tuple(group_of(name, pieces) for name, pieces in _grouped(file.pieces).items())
    notes = list(file.notes)
    controls = [piece for piece in file.pieces if piece.control]
    if any(not piece.control and not piece.cells["joints"] for piece in file.pieces):
        notes.append(notice("two-joints-taken"))
    if not controls:
        notes.append(notice("no-controls"))
    kept: dict[tuple[int, ...], Joint] = {}
    wires = {group.name: control_wire(group.pieces, controls, kept) for group in groups if not group.control}
    groups = tuple(_with_efficiency(group, wires.get(group.name), rated_n, notes) for group in groups)
    if all(group.efficiency.rated_n is None for group in groups):
        notes.append(notice("no-rating"))
    notes += [note for group in groups for note in group.notes]
    notes += [*(note for curve in curves for note in curve.notes), *more_notes]
    joints = [group for group in groups if not group.control]
    confronted = confront(groups, recipes or {}, given)
    return PullsResult(
        schema=SCHEMA, version=helix.__version__, place=file.place, groups=groups, unwinding=unwinding_of(file.pieces),
        curves=tuple(curves), predicted=predicted_of(groups, [*(recipes or {}).values(), *(r for _, r in given)], confronted),
        confronted=confronted, next_pulls=of_bench(joints, wires, {compared.group for compared in confronted if compared.faults}),
        sizes=across_sizes(joints),
        invented=file.invented,
        notes=tuple(dict.fromkeys(notes)), faults=(*file.faults, *curve_faults), coverage=pull_coverage(),
    )  # fmt: skip


def _grouped(pieces: Sequence[PullPiece]) -> dict[str, list[PullPiece]]:
    """Pieces by the name of their group; where it has several sizes, or straight wire of several coils, these are told apart."""
    by_name: dict[tuple[str, bool], list[PullPiece]] = {}
    for piece in pieces:
        by_name.setdefault((piece.group, piece.control), []).append(piece)
    groups: dict[str, list[PullPiece]] = {}
    for (name, control), mine in by_name.items():
        base = f"{name}, straight wire" if control and (name, False) in by_name else name
        sizes, coils = len({size_of(piece) for piece in mine}), len({piece.batch for piece in mine})
        for piece in mine:
            parts = [base]
            parts += (
                [next(p.size for p in mine if size_of(p) == size_of(piece)) or "size not stated"] if sizes > 1 else []
            )
            parts += [f"coil {piece.batch}" if piece.batch else "coil not stated"] if control and coils > 1 else []
            groups.setdefault(", ".join(parts), []).append(piece)
    return groups


def _with_efficiency(group: Group, straight: ControlWire | None, rated_n: float | None, notes: list[Finding]) -> Group:
    """The group with what it is over control wire and rated load (M8), plain and for one joint."""
    rated = _rated(group, rated_n, notes)
    joint = group.joint
    if group.control:
        over = ratio(joint.mean_n.value, joint.confidence, rated)
        own = Efficiency(over_rated=over, control="itself", control_n=joint.mean_n, rated_n=rated)
        return replace(group, efficiency=own)
    plain = group.plain
    mean, spread = (plain.mean_n, plain_confidence(plain)) if plain else (None, None)
    name, wire = _over_straight(group, straight or ControlWire(), notes)
    efficiency = Efficiency(
        over_control=ratio(mean, spread, wire), over_rated=ratio(mean, spread, rated), control=name,
        control_n=wire.mean_n if wire else NOTHING, rated_n=rated,
    )  # fmt: skip
    joint = replace(
        joint, efficiency_over_control=ratio(joint.mean_n.value, joint.confidence, wire),
        efficiency_over_rated=ratio(joint.mean_n.value, joint.confidence, rated),
    )  # fmt: skip
    return replace(group, efficiency=efficiency, joint=joint)


def _rated(group: Group, given: float | None, notes: list[Finding]) -> float | None:
    stated = {piece.rated_n for piece in group.pieces} - {None}
    if len(stated) > 1:
        notes.append(notice("ratings-differ", group.name, Severity.CAUTION))
        return None
    return next(iter(stated), given)


def _over_straight(group: Group, straight: ControlWire, notes: list[Finding]) -> tuple[str | None, Joint | None]:
    """Straight wire of the group's own size and coils, named; none where a coil has none."""
    if straight.missing and straight.others:
        listed = ", ".join(coil or "not stated" for coil in straight.missing)
        notes.append(notice("no-straight-of-coil", group.name, Severity.CAUTION, coils=listed))
    if straight.wire is None:
        return None, None
    coils = ", ".join(coil for coil in straight.coils if coil)
    return f"{straight.pieces} straight pieces" + (f" of coil {coils}" if coils else ""), straight.wire
