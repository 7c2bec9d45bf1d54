"""A bench's pull tests as a whole: groups, efficiencies, unwinding, curves, and what must be said about them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import helix
from helix.data.pull_coverage import Coverage, pull_coverage
from helix.errors import ValidationIssue
from helix.findings import Finding, Severity, notice
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.studies.pulls.pull_curves import PieceCurve
from helix.studies.pulls.pull_groups import Efficiency, Group, group_of, plain_confidence, ratio
from helix.studies.pulls.pull_joints import NOTHING, Joint
from helix.studies.pulls.pull_predicted import Predicted
from helix.studies.pulls.pull_unwinding import Unwinding, unwinding_of
from helix.values import Result, keyed, result

SCHEMA: Final = 2


@result
class PullsResult(Result):
    """The whole reading. predicted: what models say of groups whose recipes are named. faults: of rows left out."""

    schema: int
    version: str
    place: str = keyed("file")
    groups: tuple[Group, ...]
    unwinding: tuple[Unwinding, ...]
    curves: tuple[PieceCurve, ...]
    predicted: tuple[Predicted, ...]
    notes: tuple[Finding, ...]
    faults: tuple[ValidationIssue, ...]
    coverage: tuple[Coverage, ...]


def read_pulls(
    file: PullFile,
    rated_n: float | None = None,
    curves: Sequence[PieceCurve] = (),
    curve_faults: Sequence[ValidationIssue] = (),
    predicted: Sequence[Predicted] = (),
    more_notes: Sequence[Finding] = (),
) -> PullsResult:
    """What a file of pull tests says.

    rated_n: rated load in N for every group whose rows state none. Groups come in the order of the file. predicted,
    more_notes: to be carried with it.

    >>> from helix.model.measured.pull_file import pull_file_from_text
    >>> rows = "".join(f"{k},A,{700 + 10 * k},N,broke_exit\\n" for k in range(1, 6))
    >>> result = read_pulls(pull_file_from_text("id,group,load,unit,failure\\n" + rows))
    >>> round(result.groups[0].plain.mean_n), round(result.groups[0].joint.mean_n.value)
    (730, 740)
    """
    by_group: dict[tuple[str, bool], list[PullPiece]] = {}
    for piece in file.pieces:
        by_group.setdefault((piece.group, piece.control), []).append(piece)
    both = {name for name, _ in by_group if (name, True) in by_group and (name, False) in by_group}
    groups = tuple(
        group_of(f"{name}, straight wire" if control and name in both else name, pieces)
        for (name, control), pieces in by_group.items()
    )
    notes = list(file.notes)
    controls = [piece for piece in file.pieces if piece.control]
    if any(not piece.control and not piece.cells["joints"] for piece in file.pieces):
        notes.append(notice("two-joints-taken"))
    if not controls:
        notes.append(notice("no-controls"))
    cache: dict[tuple[int, ...], Joint] = {}
    groups = tuple(_with_efficiency(group, controls, rated_n, notes, cache) for group in groups)
    if all(group.efficiency.rated_n is None for group in groups):
        notes.append(notice("no-rating"))
    notes += [note for group in groups for note in group.notes]
    notes += [*(note for curve in curves for note in curve.notes), *more_notes]
    return PullsResult(
        schema=SCHEMA, version=helix.__version__, place=file.place, groups=groups, unwinding=unwinding_of(file.pieces),
        curves=tuple(curves), predicted=tuple(predicted), notes=tuple(dict.fromkeys(notes)),
        faults=(*file.faults, *curve_faults), coverage=pull_coverage(),
    )  # fmt: skip


def _with_efficiency(
    group: Group,
    controls: Sequence[PullPiece],
    rated_n: float | None,
    notes: list[Finding],
    cache: dict[tuple[int, ...], Joint],
) -> Group:
    """The group with what it is over control wire and rated load (M8), plain and for one joint."""
    rated = _rated(group, rated_n, notes)
    joint = group.joint
    if group.control:
        over = ratio(joint.mean_n.value, joint.confidence, rated)
        own = Efficiency(over_rated=over, control="itself", control_n=joint.mean_n, rated_n=rated)
        return replace(group, efficiency=own)
    plain = group.plain
    mean, spread = (plain.mean_n, plain_confidence(plain)) if plain else (None, None)
    name, wire = _control_for(group, controls, notes, cache)
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


def _control_for(
    group: Group, controls: Sequence[PullPiece], notes: list[Finding], cache: dict[tuple[int, ...], Joint]
) -> tuple[str | None, Joint | None]:
    """Straight wire of the group's own size and batch, named; none where there is no such wire."""
    if not controls:
        return None, None
    mine = list(controls)
    for column in ("size", "batch"):
        wanted = {piece.cells[column] for piece in group.pieces}
        if wanted != {""}:
            same = [c for c in mine if c.cells[column] in wanted]
            if not same:
                notes.append(notice("no-control-alike", group.name, column=column))
                return None, None
            missing = wanted - {c.cells[column] for c in same}
            if missing:
                listed = ", ".join(sorted(name or "not stated" for name in missing))
                notes.append(notice("controls-stand-in", group.name, Severity.CAUTION, column=column, missing=listed))
            mine = same
    key = tuple(piece.row for piece in mine)
    if key not in cache:
        cache[key] = group_of("control", mine).joint
    batches = ", ".join(sorted({c.batch for c in mine} - {""}))
    return f"{len(mine)} straight pieces" + (f" of batch {batches}" if batches else ""), cache[key]
