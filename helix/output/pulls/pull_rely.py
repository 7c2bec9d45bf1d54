"""The first words of a reading of pull tests: how much was pulled, and which load of a whole piece to rely on."""

from __future__ import annotations

from collections.abc import Sequence

from helix.mechanics import limits
from helix.output.report.document import Para
from helix.output.words.pull_words import PullFormat, counted
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pulls import PullsResult

MOST = 6  # groups whose load is said first, the largest of them where there are more


def first_words(result: PullsResult, shown: PullFormat) -> tuple[Para, ...]:
    """Totals and the loads to rely on; then the groups that have none, and why."""
    jointed = [group for group in result.groups if not group.control]
    sure = [group for group in jointed if group.ended >= limits.ENOUGH_PIECES and group.rely_on_n]
    if not sure:
        sure = sorted((group for group in jointed if group.rely_on_n), key=lambda g: -g.ended)[:1]
    words = sure if len(sure) <= MOST else sorted(sure, key=lambda g: -g.ended)[:MOST]
    first = " ".join(part for part in (total_words(result), _rely(words, shown)) if part)
    rest = [f"{g.name} ({_none(g, shown)})" for g in jointed if g not in sure]
    rest = [*rest[:MOST], f"{len(rest) - MOST} more groups"] if len(rest) > MOST + 1 else rest
    text = f"No load to rely on is given for {_listed(rest)}." if rest else ""
    if any(len(g.populations) > 1 for g in jointed if g not in sure):
        text += " Where some pieces broke and some unwound, no one load stands for both."
    if len(sure) > len(words):
        text += f" Loads of {len(sure) - len(words)} more groups stand under 95/95 in the table."
    none = Para(text.strip()) if text else None
    return (Para(first, strong=True), *((none,) if none else ()))


def total_words(result: PullsResult) -> str:
    """How much was pulled: "136 pulls: 120 pieces with 240 joints and 16 straight wires."."""
    pieces = [piece for group in result.groups for piece in group.pieces]
    joints = sum(piece.joints for piece in pieces)
    jointed, straight = sum(piece.joints > 0 for piece in pieces), sum(piece.joints == 0 for piece in pieces)
    parts = [f"{counted(jointed, 'piece')} with {counted(joints, 'joint')}"] if jointed else []
    parts += [counted(straight, "straight wire")] if straight else []
    return f"{counted(len(pieces), 'pull')}: {' and '.join(parts)}."


def rely_words(group: Group, shown: PullFormat) -> str:
    """What to keep in mind of the load to rely on of one group with joints, or why it has none; may be empty."""
    if group.rely_on_n is None:
        return _none(group, shown)
    return _remark(group, shown)


def _rely(groups: Sequence[Group], shown: PullFormat) -> str:
    """The loads, then once what they mean."""
    if not groups:
        return ""
    remarks = [_remark(g, shown) for g in groups]
    lines = [
        f"{shown.load(g.rely_on_n)} {shown.force} for {g.name}{f' ({remark})' if remark else ''}"
        for g, remark in zip(groups, remarks, strict=True)
    ]
    return (
        f"Rely on {_listed(lines)}: 95 % of such pieces hold more, with 95 % confidence, as long as they fail the way "
        "these did. That is the load of a whole piece as pulled, not of one joint; an estimate for pieces made like "
        "these, not a rating."
    )


def _remark(group: Group, shown: PullFormat) -> str:
    """Few pieces, all of them unwound, an odd piece that moves the load."""
    bound, ended = group.rely_on_n or 0.0, group.ended
    remarks = [f"from only {counted(ended, 'piece')}"] if ended < limits.ENOUGH_PIECES else []
    remarks += ["where they all unwound"] if group.unwound == ended else []
    without = group.without.tolerance_95_95_n if group.without else None
    if without is not None and abs(without / bound - 1.0) > limits.ODD_MOVES:
        odd = _listed([f"{s.id} at {shown.load(s.load_n)} {shown.force}" for s in group.standing])
        one = len(group.standing) == 1
        remarks.append(
            f"{'one odd piece' if one else 'odd pieces'}, {odd}, {'makes' if one else 'make'} it so: "
            f"{shown.load(without)} {shown.force} without, but only for a cause that you can name"
        )
    return "; ".join(remarks)


def _none(group: Group, shown: PullFormat) -> str:
    """Why a group has no load to rely on, with the bound where it has one."""
    if len(group.populations) == 2:
        return f"{group.unwound} of {group.ended} unwound"
    few = (
        f"only {group.ended} of {counted(group.n, 'piece')} broke or unwound"
        if group.ended
        else "none broke or unwound"
    )
    if group.joint.mean_n.value is None and group.joint.mean_n.low is not None:
        return f"{few}; a bound only: half of all such joints hold more than {shown.load(group.joint.mean_n.low)} {shown.force}"
    return f"{few}, too few"


def _listed(parts: Sequence[str]) -> str:
    return f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else parts[0]
