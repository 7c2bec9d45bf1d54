"""Groups of pull tests against each other, pair by pair, by any column of the file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Final

import helix
from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.mechanics import limits
from helix.model.measured.pull_file import PullFile, PullPiece
from helix.statistics.confidence import difference_confidence
from helix.statistics.proportions import fisher
from helix.statistics.two_samples import holm, rank_test, welch
from helix.studies.pulls.pull_groups import Group, Mode, Population, group_of, loads_of, mode_of
from helix.studies.pulls.pull_joints import NOTHING, Estimate
from helix.values import result

MOST_GROUPS: Final = 30


@result
class Comparison:
    """First group less the second, in N; limits at 95 % for this pair alone.

    modes: what each side's loads are of (broke or unwound). welch_p, rank_p: two-sided; holm_: corrected
    over all pairs. share: of pieces that unwound, first less second in words only, with Fisher's exact p.
    joint: the same difference for one joint, corrected for two joints a piece.
    """

    first: str
    second: str
    modes: tuple[Mode, Mode] | None
    n: tuple[int, int]
    difference_n: Estimate
    share_of_second: Estimate
    welch_p: float
    holm_welch_p: float
    rank_p: float
    holm_rank_p: float
    joint_difference_n: Estimate
    unwound: tuple[tuple[int, int], tuple[int, int]]
    fisher_p: float
    holm_fisher_p: float
    says: str
    notes: tuple[str, ...]


@result
class CompareResult:
    """All pairs of the groups of one column."""

    place: str
    by: str
    groups: tuple[Group, ...]
    comparisons: tuple[Comparison, ...]
    notes: tuple[str, ...]
    faults: tuple[ValidationIssue, ...]
    version: str


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
        notes.append(f"{blank} pieces have nothing in column {name} and are left out.")
    for group in groups:
        kinds = {piece.group for piece in group.pieces}
        if len(kinds) > 1:
            notes.append(
                f"{group.name}: holds pieces of {len(kinds)} groups ({', '.join(sorted(kinds)[:6])}), so their differences "
                "are in its spread."
            )
    pairs = [_compared(first, second, name) for first, second in combinations(groups, 2)]
    corrected = zip(
        pairs,
        holm([p.welch_p for p in pairs]),
        holm([p.rank_p for p in pairs]),
        holm([p.fisher_p for p in pairs]),
        strict=True,
    )
    told = []
    for pair, *ps in corrected:
        full = replace(pair, holm_welch_p=ps[0], holm_rank_p=ps[1], holm_fisher_p=ps[2])
        told.append(replace(full, says=_says(full, {group.name: group for group in groups})))
    if len(pairs) > 1:
        notes.append(
            f"{len(pairs)} pairs are compared: p is corrected for that by Holm's method; each interval stands for its "
            "pair alone."
        )
    for group in groups:
        notes.extend(f"{group.name}: {note}" for note in group.notes)
    return CompareResult(
        place=file.place,
        by=name,
        groups=tuple(groups),
        comparisons=tuple(told),
        notes=tuple(dict.fromkeys(notes)),
        faults=file.faults,
        version=helix.__version__,
    )


def _compared(first: Group, second: Group, by: str) -> Comparison:
    sides = _sides(first, second)
    notes = list(_confounded(first.pieces, second.pieces, by))
    difference = share = joint = NOTHING
    welch_p = rank_p = math.nan
    if sides:
        one, two = sides
        if one.sd_n is not None and two.sd_n is not None:
            found = welch((one.mean_n, one.sd_n, one.n), (two.mean_n, two.sd_n, two.n))
            difference, welch_p = Estimate(value=found.difference, low=found.low, high=found.high), found.p
            share = Estimate.of(*(v / two.mean_n for v in (found.difference, found.low, found.high)))
            loads = [
                loads_of([p for p in g.pieces if mode_of(p) == s.mode])
                for g, s in zip((first, second), sides, strict=True)
            ]
            rank_p = rank_test(*loads)
        else:
            difference = Estimate(value=one.mean_n - two.mean_n)
            notes.append("one piece on a side: no interval")
        if first.joint.confidence and second.joint.confidence and one.mode == two.mode == "broke" and not first.control:
            values = first.joint.mean_n.value, second.joint.mean_n.value
            if values[0] is not None and values[1] is not None:
                apart = difference_confidence(first.joint.confidence, second.joint.confidence)
                joint = Estimate.of(values[0] - values[1], *apart.interval())
    shares = ((first.unwound, first.ended), (second.unwound, second.ended))
    fisher_p = math.nan
    if not (first.control or second.control) and first.ended and second.ended:
        fisher_p = fisher(*shares)
    return Comparison(
        first=first.name, second=second.name, modes=(sides[0].mode, sides[1].mode) if sides else None,
        n=(sides[0].n, sides[1].n) if sides else (0, 0), difference_n=difference, share_of_second=share, welch_p=welch_p, holm_welch_p=math.nan, rank_p=rank_p, holm_rank_p=math.nan, joint_difference_n=joint,
        unwound=shares, fisher_p=fisher_p, holm_fisher_p=math.nan, says="", notes=tuple(notes),
    )  # fmt: skip


def _sides(first: Group, second: Group) -> tuple[Population, Population] | None:
    """What mostly happened in each group: its larger population, breaks before unwinding where they are as many."""
    if not first.populations or not second.populations:
        return None
    one, two = (max(group.populations, key=lambda p: p.n) for group in (first, second))
    return one, two


def _confounded(first: Sequence[PullPiece], second: Sequence[PullPiece], by: str) -> list[str]:
    """Columns that differ wherever the groups do, so that the difference may be theirs."""
    found = []
    for column in ("batch", "maker", "size", "speed", "date"):
        one, two = ({p.cells.get(column, "") for p in pieces} - {""} for pieces in (first, second))
        if column != by and one and two and not one & two:
            found.append(f"they share no {column}, so the difference may be that of the {column}")
    return found


def _says(pair: Comparison, groups: dict[str, Group]) -> str:
    """The effect in newtons and in words, with how thin it is."""
    parts = []
    low, high = pair.difference_n.low, pair.difference_n.high
    if low is not None and high is not None and pair.modes:
        apart = "" if pair.modes[0] == pair.modes[1] else f" ({pair.modes[0]} against {pair.modes[1]})"
        if pair.holm_welch_p <= limits.SIGNIFICANCE and low * high > 0.0:
            word = "weaker" if high < 0.0 else "stronger"
            least, most = sorted((abs(low), abs(high)))
            parts.append(f"{pair.first} is {word} than {pair.second} by {_tens(least)} to {_tens(most)} N{apart}")
        elif low * high > 0.0:
            parts.append(
                f"{pair.first} and {pair.second} may differ ({round(low):+d} to {round(high):+d} N{apart}), "
                "but not once all pairs are counted"
            )
        else:
            parts.append(
                f"no difference in load is shown between {pair.first} and {pair.second}: "
                f"from {round(low):+d} to {round(high):+d} N is possible{apart}"
            )
    elif pair.difference_n.value is not None:
        parts.append(f"{pair.first} and {pair.second} differ by {pair.difference_n.value:+.0f} N, without an interval")
    else:
        parts.append(f"{pair.first} and {pair.second}: no loads to compare")
    (a, n), (b, m) = pair.unwound
    if (a or b) and not math.isnan(pair.fisher_p):
        shown = pair.holm_fisher_p <= limits.SIGNIFICANCE
        parts.append(
            f"{a} of {n} against {b} of {m} unwound, {'a difference in kind' if shown else 'which may be chance'} "
            f"(p {pair.holm_fisher_p:.2g})"
        )
    batches = {p.batch for name in (pair.first, pair.second) for p in groups[name].pieces} - {""}
    how = "batch not stated" if not batches else f"{_count(len(batches))} batch{'es' if len(batches) > 1 else ''}"
    sizes = sorted({groups[pair.first].n, groups[pair.second].n})
    pieces = f"{_count(sizes[0])} pieces each" if len(sizes) == 1 else f"{sizes[0]} and {sizes[1]} pieces"
    return f"{'; '.join(parts)}; {how}, {pieces}."


def _tens(newtons: float) -> str:
    """A load in words: whole tens from 100 N on."""
    return f"{round(newtons, -1) if newtons >= 100.0 else round(newtons):.0f}"


def _count(number: int) -> str:
    words = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
    return words[number] if number < len(words) else str(number)
