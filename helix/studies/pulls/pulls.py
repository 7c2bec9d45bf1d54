"""A bench's pull tests as a whole: groups, efficiencies, unwinding, curves, and what must be said about them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import helix
from helix.data.pull_coverage import Coverage, pull_coverage
from helix.errors import ValidationIssue
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.studies.pulls.pull_curves import PieceCurve
from helix.studies.pulls.pull_groups import Group, group_of, plain_confidence, ratio
from helix.studies.pulls.pull_joints import NOTHING, Estimate, Joint
from helix.studies.pulls.pull_unwinding import Unwinding, unwinding_of
from helix.values import result

SCHEMA: Final = 1

ASSUMPTIONS: Final = (
    "Loads of one joint are normal within a group; the probability plot shows how far that holds.",
    "The two joints of a piece are alike. Pieces that show only the weaker one cannot tell whether the two are "
    + "independent: correlation 0 and 1 are given as bounds.",
    "Breaking, unwinding, grips and stopping end a piece independently of each other, so each says only that the "
    + "others would have come later.",
    "The pieces stand for all joints made in the same way, by these hands, of this wire: one batch says nothing "
    + "about the next.",
)


@result
class Efficiency:
    """A group over the control wire and over the rated load (M8), plain and for one joint, with what each is over."""

    over_control: Estimate
    over_rated: Estimate
    joint_over_control: Estimate
    joint_over_rated: Estimate
    control: str
    control_n: Estimate
    rated_n: float | None


@result
class PullsResult:
    """The whole reading. efficiencies: one for each group, in the same order."""

    place: str
    groups: tuple[Group, ...]
    efficiencies: tuple[Efficiency, ...]
    unwinding: tuple[Unwinding, ...]
    curves: tuple[PieceCurve, ...]
    notes: tuple[str, ...]
    faults: tuple[ValidationIssue, ...]
    coverage: tuple[Coverage, ...]
    columns: tuple[str, ...]
    schema: int
    version: str


def read_pulls(
    file: PullFile,
    rated_n: float | None = None,
    curves: Sequence[PieceCurve] = (),
    curve_faults: Sequence[ValidationIssue] = (),
    more_notes: Sequence[str] = (),
) -> PullsResult:
    """What a file of pull tests says.

    rated_n: rated load in N for every group whose rows state none. Groups come in the order of the file.

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
        notes.append("Where column joints says nothing, a piece is taken to have a joint at each end.")
    if not controls:
        notes.append("There are no straight-wire controls in the file, so nothing is set over the control wire.")
    cache: dict[tuple[int, ...], Joint] = {}
    efficiencies = tuple(_efficiency(group, controls, rated_n, notes, cache) for group in groups)
    if all(each.rated_n is None for each in efficiencies):
        notes.append("No rated load is given (column rated_load, or one for all), so nothing is set over it.")
    for group in groups:
        notes.extend(f"{group.name}: {note}" for note in group.notes)
    for curve in curves:
        notes.extend(curve.notes)
    notes.extend(more_notes)
    return PullsResult(
        place=file.place, groups=groups, efficiencies=efficiencies, unwinding=unwinding_of(file.pieces), curves=tuple(curves), notes=tuple(dict.fromkeys(notes)),
        faults=(*file.faults, *curve_faults), coverage=pull_coverage(), columns=file.columns, schema=SCHEMA, version=helix.__version__,
    )  # fmt: skip


def _efficiency(
    group: Group,
    controls: Sequence[PullPiece],
    rated_n: float | None,
    notes: list[str],
    cache: dict[tuple[int, ...], Joint],
) -> Efficiency:
    rated = _rated(group, rated_n, notes)
    plain = group.plain
    mean = plain.mean_n if plain else None
    spread = plain_confidence(plain) if plain else None
    if group.control:
        over = ratio(group.joint.mean_n.value, group.joint.confidence, rated)
        return Efficiency(
            over_control=NOTHING,
            over_rated=over,
            joint_over_control=NOTHING,
            joint_over_rated=NOTHING,
            control="itself",
            control_n=group.joint.mean_n,
            rated_n=rated,
        )
    name, wire = _control_for(group, controls, notes, cache)
    joint = group.joint
    return Efficiency(
        over_control=ratio(mean, spread, wire), over_rated=ratio(mean, spread, rated),
        joint_over_control=ratio(joint.mean_n.value, joint.confidence, wire), joint_over_rated=ratio(joint.mean_n.value, joint.confidence, rated),
        control=name, control_n=wire.mean_n if wire else NOTHING, rated_n=rated,
    )  # fmt: skip


def _rated(group: Group, given: float | None, notes: list[str]) -> float | None:
    stated = {piece.rated_n for piece in group.pieces} - {None}
    if len(stated) > 1:
        notes.append(f"{group.name}: its rows state different rated loads, so nothing is set over the rated load.")
        return None
    return next(iter(stated), given)


def _control_for(
    group: Group, controls: Sequence[PullPiece], notes: list[str], cache: dict[tuple[int, ...], Joint]
) -> tuple[str, Joint | None]:
    """Straight wire of the group's own size and batch, named; none where there is no such wire."""
    if not controls:
        return "", None
    mine = list(controls)
    for column in ("size", "batch"):
        wanted = {piece.cells[column] for piece in group.pieces}
        if wanted != {""}:
            same = [c for c in mine if c.cells[column] in wanted]
            if not same:
                what = {"size": "size", "batch": "batch"}[column]
                notes.append(
                    f"{group.name}: no control is of the same wire {what}, so nothing is set over the control wire."
                )
                return "", None
            missing = wanted - {c.cells[column] for c in same}
            if missing:
                listed = ", ".join(sorted(name or "not stated" for name in missing))
                notes.append(f"{group.name}: no control is of {column} {listed}; those of the others stand in.")
            mine = same
    key = tuple(piece.row for piece in mine)
    if key not in cache:
        cache[key] = group_of("control", mine).joint
    batches = ", ".join(sorted({c.batch for c in mine} - {""}))
    return f"{len(mine)} straight pieces" + (f" of batch {batches}" if batches else ""), cache[key]
