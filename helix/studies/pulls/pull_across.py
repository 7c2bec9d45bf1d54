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


def across_sizes(groups: Sequence[Group]) -> tuple[SizeLine, ...]:
    """A line for each group of joints and one for all sizes together; nothing for fewer than two sizes."""
    sizes = [next((piece.size for piece in group.pieces if piece.size), "") for group in groups]
    if len(set(sizes)) < 2:
        return ()
    lines = [_line(size, group) for size, group in sorted(zip(sizes, groups, strict=True), key=lambda pair: pair[0])]
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


def _line(size: str, group: Group) -> SizeLine:
    broke, efficiency = group.broke, group.efficiency
    counts = broke is not None and group.plain is broke  # what the group is set over is of its larger population
    return SizeLine(
        size=size,
        group=group.pieces[0].group,
        broke=0 if broke is None else broke.n,
        unwound=group.unwound,
        mean_n=None if broke is None else broke.mean_n,
        label_n=efficiency.rated_n,
        over_label=efficiency.over_rated if counts else Estimate(),
        over_straight=efficiency.over_control if counts else Estimate(),
        unwound_share=Estimate.of(group.unwound_share.value, group.unwound_share.low, group.unwound_share.high),
    )


def _together(lines: Sequence[tuple[int, float | None]]) -> Estimate:
    """Mean over all pieces, with the least and the most of the lines."""
    notes = [(count, value) for count, value in lines if value is not None and count]
    if not notes:
        return Estimate()
    values = [value for _, value in notes]
    mean = sum(count * value for count, value in notes) / sum(count for count, _ in notes)
    return Estimate.of(mean, min(values), max(values))
