"""Groups of pull tests against each other, pair by pair, by any column of the file."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import ClassVar, Final, Literal, TypeAlias

import helix
from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.statistics.confidence import difference_confidence
from helix.statistics.proportions import fisher
from helix.statistics.two_samples import holm, rank_test, welch
from helix.studies.pulls.pull_groups import Group, Mode, Population, group_of, loads_of, mode_of
from helix.studies.pulls.pull_joints import NOTHING, Estimate
from helix.studies.pulls.pulls import SCHEMA
from helix.values import Result, hidden, keyed, result

MOST_GROUPS: Final = 30
Effect: TypeAlias = Literal["weaker", "stronger", "not-once-all-are-counted", "not-shown", "no-interval", "no-loads"]


@result
class Tested:
    """p of a test, two-sided, plain and corrected over all pairs by Holm's method; nan where there is none."""

    p: float = math.nan
    holm: float = math.nan


@result
class UnwoundOf:
    """How many pieces unwound, and of how many."""

    count: int
    total: int = keyed("of")


@result
class Comparison(Result):
    """First group less the second, in N; limits at 95 % for this pair alone.

    pieces: of each group; n, modes: how many of them are compared, and what their loads are of (broke or unwound).
    welch, rank: of loads; fisher: of the share that unwound. joint_difference_n: for one joint, corrected for two joints a
    piece. effect: what of the loads is shown. batches: of both together.
    """

    also: ClassVar = (
        "welch_p=welch.p", "welch_p_holm=welch.holm", "rank_p=rank.p", "rank_p_holm=rank.holm", "fisher_p=fisher.p",
        "fisher_p_holm=fisher.holm", "unwinding_differs",
    )  # fmt: skip
    first: str
    second: str
    effect: Effect = "no-loads"
    pieces: tuple[int, int]
    batches: int
    modes: tuple[Mode, Mode] | None = None
    n: tuple[int, int] = (0, 0)
    difference_n: Estimate = NOTHING
    share_of_second: Estimate = keyed("difference_over_second", default=NOTHING)
    joint_difference_n: Estimate = keyed("single_joint_difference_n", default=NOTHING)
    welch: Tested = hidden(default=Tested())
    rank: Tested = hidden(default=Tested())
    unwound: tuple[UnwoundOf, UnwoundOf]
    fisher: Tested = hidden(default=Tested())
    notes: tuple[Finding, ...]

    @property
    def unwinding_differs(self) -> bool:
        """Whether the shares that unwound differ by more than chance, all pairs counted."""
        return self.fisher.holm <= limits.SIGNIFICANCE


@result
class ComparedGroup:
    """One of the groups: straight wire or pieces with joints, and its plain numbers."""

    name: str
    kind: Literal["control", "joint"]
    n: int
    populations: tuple[Population, ...]


@result
class CompareResult(Result):
    """All pairs of the groups of one column. invented: the file says of all its pieces that they are."""

    rows_in: ClassVar = "comparisons"
    schema: int
    version: str
    place: str = keyed("file")
    by: str
    groups: tuple[ComparedGroup, ...]
    comparisons: tuple[Comparison, ...]
    invented: bool
    notes: tuple[Finding, ...]
    faults: tuple[ValidationIssue, ...]


def compare_pulls(file: PullFile, by: str) -> CompareResult:
    """Every pair of groups that the column `by` makes, jointed pieces and straight wire kept apart.

    Raises ValidationError for a column that is not there, and for one that makes fewer than 2 groups or more
    than 30.
    """
    name = "_".join(by.strip().lower().split())
    if name not in file.columns:
        listed = ", ".join(file.columns)
        raise ValidationError([argument_issue("by", f"must be a column of {file.place} ({listed}); got {quoted(by)}")])
    kept: dict[tuple[bool, str], list[PullPiece]] = {}
    blank = 0
    for piece in file.pieces:
        value = piece.cells.get(name, "")
        if not value:
            blank += 1
            continue
        if not piece.control or name == "group":
            kept.setdefault((piece.control, value), []).append(piece)
    groups = [group_of(value, pieces) for (_, value), pieces in kept.items()]
    if not 2 <= len(groups) <= MOST_GROUPS:
        message = f"must make 2 to {MOST_GROUPS} groups; column {name} makes {len(groups)}"
        raise ValidationError([argument_issue("by", message)])
    notes = list(file.notes)
    if blank:
        notes.append(notice("column-empty", count=blank, column=name))
    for group in groups:
        kinds = sorted({piece.group for piece in group.pieces})
        if len(kinds) > 1:
            notes.append(
                notice("groups-mixed", group.name, Severity.CAUTION, count=len(kinds), groups=", ".join(kinds[:6]))
            )
    pairs = _corrected([_compared(first, second, name) for first, second in combinations(groups, 2)])
    if len(pairs) > 1:
        notes.append(notice("pairs-corrected", count=len(pairs)))
    for group in groups:
        notes.extend(group.notes)
    return CompareResult(
        schema=SCHEMA, version=helix.__version__, place=file.place, by=name,
        groups=tuple(ComparedGroup(name=g.name, kind=g.kind, n=g.n, populations=g.populations) for g in groups),
        comparisons=tuple(replace(pair, effect=_effect(pair)) for pair in pairs), notes=tuple(dict.fromkeys(notes)),
        invented=file.invented, faults=file.faults,
    )  # fmt: skip


def _corrected(pairs: Sequence[Comparison]) -> list[Comparison]:
    """The pairs with each p corrected over all of them."""
    columns = ([pair.welch.p for pair in pairs], [pair.rank.p for pair in pairs], [pair.fisher.p for pair in pairs])
    tested = [[Tested(p=p, holm=h) for p, h in zip(column, holm(column), strict=True)] for column in columns]
    return [
        replace(pair, welch=welch_, rank=rank, fisher=fisher_)
        for pair, welch_, rank, fisher_ in zip(pairs, *tested, strict=True)
    ]


def _compared(first: Group, second: Group, by: str) -> Comparison:
    sides = _sides(first, second)
    shares = (first.unwound, first.ended), (second.unwound, second.ended)
    batches = {piece.batch for group in (first, second) for piece in group.pieces} - {""}
    names = f"{first.name} and {second.name}"
    notes = [notice("shares-no-column", names, Severity.CAUTION, column=column)
             for column in _confounded(first.pieces, second.pieces, by)]  # fmt: skip
    pair = Comparison(
        first=first.name, second=second.name, pieces=(first.n, second.n), batches=len(batches),
        unwound=(UnwoundOf(count=shares[0][0], total=shares[0][1]), UnwoundOf(count=shares[1][0], total=shares[1][1])),
        notes=tuple(notes),
    )  # fmt: skip
    if not (first.control or second.control) and first.ended and second.ended:
        pair = replace(pair, fisher=Tested(p=fisher(*shares)))
    if not sides:
        return pair
    one, two = sides
    pair = replace(pair, modes=(one.mode, two.mode), n=(one.n, two.n))
    if one.sd_n is None or two.sd_n is None:
        alone = notice("one-on-a-side", names, Severity.CAUTION)
        return replace(pair, difference_n=Estimate(value=one.mean_n - two.mean_n), notes=(*notes, alone))
    test = welch((one.mean_n, one.sd_n, one.n), (two.mean_n, two.sd_n, two.n))
    loads = [
        loads_of([p for p in group.pieces if mode_of(p) == side.mode])
        for group, side in zip((first, second), sides, strict=True)
    ]
    pair = replace(
        pair, difference_n=Estimate(value=test.difference, low=test.low, high=test.high), welch=Tested(p=test.p),
        share_of_second=Estimate.of(*(v / two.mean_n for v in (test.difference, test.low, test.high))),
        rank=Tested(p=rank_test(*loads)),
    )  # fmt: skip
    if first.joint.confidence and second.joint.confidence and one.mode == two.mode == "broke" and not first.control:
        values = first.joint.mean_n.value, second.joint.mean_n.value
        if values[0] is not None and values[1] is not None:
            apart = difference_confidence(first.joint.confidence, second.joint.confidence)
            pair = replace(pair, joint_difference_n=Estimate.of(values[0] - values[1], *apart.interval()))
    return pair


def _sides(first: Group, second: Group) -> tuple[Population, Population] | None:
    """What mostly happened in each group: its larger population, breaks before unwinding where they are as many."""
    if not first.populations or not second.populations:
        return None
    one, two = (max(group.populations, key=lambda p: p.n) for group in (first, second))
    return one, two


def _confounded(first: Sequence[PullPiece], second: Sequence[PullPiece], by: str) -> Iterator[str]:
    """Columns that differ wherever the groups do, so that the difference may be theirs."""
    for column in ("batch", "maker", "size", "speed", "date"):
        one, two = ({p.cells.get(column, "") for p in pieces} - {""} for pieces in (first, second))
        if column != by and one and two and not one & two:
            yield column


def _effect(pair: Comparison) -> Effect:
    """What of the difference in load is shown, all pairs counted."""
    low, high = pair.difference_n.low, pair.difference_n.high
    if low is None or high is None:
        return "no-loads" if pair.difference_n.value is None else "no-interval"
    if not low * high > 0.0:
        return "not-shown"
    if pair.welch.holm > limits.SIGNIFICANCE:
        return "not-once-all-are-counted"
    return "weaker" if high < 0.0 else "stronger"
