"""Sizes beside each other: what broke and unwound of each size, over its label and over straight wire, and all together."""

from __future__ import annotations

from collections.abc import Sequence

from helix.statistics.proportions import share_interval
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pull_joints import Estimate
from helix.values import result


@result
class SizeLine:
    """Groups of one size with the same name, or all sizes together ("").

    over_label, over_straight: mean of the pieces that broke, each over its own; with limits for one size, with the least
    and the most of the sizes for all of them.
    """

    size: str
    group: str
    broke: int
    unwound: int
    mean_n: float | None
    label_n: float | None
    over_label: Estimate
    over_straight: Estimate
    unwound_share: Estimate


def across_sizes(groups: Sequence[tuple[Group, str, str, float | None, Estimate, Estimate]]) -> tuple[SizeLine, ...]:
    """A line for each group and one for all sizes together; nothing for fewer than two sizes.

    groups: a group of joints, its size, its name without the size, its label [N], and what broke over label and straight
    wire.
    """
    if len({size for _, size, *_ in groups}) < 2:
        return ()
    lines = [
        SizeLine(
            size=size,
            group=name,
            broke=group.ended - group.unwound,
            unwound=group.unwound,
            mean_n=None if group.broke is None else group.broke.mean_n,
            label_n=label,
            over_label=over_label,
            over_straight=over_straight,
            unwound_share=group.unwound_share,
        )
        for group, size, name, label, over_label, over_straight in groups
    ]
    unwound, ended = sum(line.unwound for line in lines), sum(line.broke + line.unwound for line in lines)
    share = Estimate.of(unwound / ended, *share_interval(unwound, ended)) if ended else Estimate()
    together = SizeLine(
        size="",
        group="",
        broke=ended - unwound,
        unwound=unwound,
        mean_n=None,
        label_n=None,
        over_label=_together([(line.broke, line.over_label.value) for line in lines]),
        over_straight=_together([(line.broke, line.over_straight.value) for line in lines]),
        unwound_share=share,
    )
    return (*lines, together)


def _together(lines: Sequence[tuple[int, float | None]]) -> Estimate:
    """Mean over all pieces, with the least and the most of the lines."""
    told = [(count, value) for count, value in lines if value is not None and count]
    if not told:
        return Estimate()
    values = [value for _, value in told]
    mean = sum(count * value for count, value in told) / sum(count for count, _ in told)
    return Estimate.of(mean, min(values), max(values))
