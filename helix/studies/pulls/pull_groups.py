"""One group of pull tests: what was measured, and what it says about one joint."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import ClassVar, Final, Literal, TypeAlias

import numpy as np

from helix.findings import Finding, Severity, notice
from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Array, Confidence, ratio_confidence, student_confidence
from helix.statistics.fits.next_piece import next_piece_bound
from helix.statistics.proportions import share_interval
from helix.statistics.samples import mean_interval, outliers, spread, tolerance_bound
from helix.studies.pulls.pull_controls import size_of
from helix.studies.pulls.pull_ends import Ends, ends_of
from helix.studies.pulls.pull_joints import (
    NOTHING,
    Estimate,
    Joint,
    Weibull,
    above_zero,
    ends_differ,
    joint_of,
    joint_of_recipe,
    known,
    weibull_of,
    wire_of,
)
from helix.values import Result, hidden, keyed, result

Mode: TypeAlias = Literal["broke", "unwound"]
NO_JOINT: Final = Joint(says=notice("straight-wire"))


@result
class Population:
    """Pieces of one mode: counts, loads in N, plain statistics (M1 to M3). plan_with_n: 19 of 20 more pieces hold it."""

    mode: Mode
    n: int
    mean_n: float
    median_n: float
    sd_n: float | None
    cv: float | None
    mean_low_n: float | None
    mean_high_n: float | None
    least_n: float
    most_n: float
    tolerance_95_95_n: float | None
    tolerance_90_95_n: float | None
    plan_with_n: float | None


@result
class Standing:
    """A piece that stands out (M10): id, load, how many SD it is off and the limit, mean and SD without it."""

    id: str
    row: int
    mode: Mode
    load_n: float
    off_sd: float
    limit_sd: float
    failure: str


@result
class Efficiency:
    """A group's plain mean over the control wire and over the rated load (M8), with what each is over."""

    over_control: Estimate = NOTHING
    over_rated: Estimate = NOTHING
    control: str | None = None
    control_n: Estimate = NOTHING
    rated_n: float | None = None


@result
class UnwoundShare(Estimate):
    """The share that unwound, and of how many."""

    count: int
    total: int = keyed("of")


@result
class EitherJoint:
    """Limits of one joint's mean and SD that hold whatever the correlation of a piece's two joints."""

    mean_n: Estimate = NOTHING
    sd_n: Estimate = NOTHING


@result
class Group(Result):
    """Everything that the pieces of one group say. plain: the larger population, which the group's mean is of.

    joint: by correlation 0 (of straight wire, of the wire); joint_alike: by correlation 1, the other bound. by_recipe:
    where the two ends differ, each recipe's joint. unwinding: the load at which one joint unwinds. without: plain
    statistics with the pieces that stand out left aside, to compare only. why: what plain mean and joint differ by.
    """

    also: ClassVar = (
        "kind", "n", "plan_with_n", "rely_on_n", "population=plain.mode", "population_n=plain.n", "mean_n=plain.mean_n",
        "median_n=plain.median_n", "sd_n=plain.sd_n", "cv=plain.cv", "mean_low_n=plain.mean_low_n",
        "mean_high_n=plain.mean_high_n", "tolerance_95_95_n=plain.tolerance_95_95_n",
        "tolerance_90_95_n=plain.tolerance_90_95_n", "efficiency_over_control=efficiency.over_control.value",
        "efficiency_over_control_low=efficiency.over_control.low",
        "efficiency_over_control_high=efficiency.over_control.high", "control=efficiency.control",
        "control_mean_n=efficiency.control_n.value", "efficiency_over_rated=efficiency.over_rated.value",
        "efficiency_over_rated_low=efficiency.over_rated.low", "efficiency_over_rated_high=efficiency.over_rated.high",
        "rated_n=efficiency.rated_n", "single_joint", "single_joint_alike", "single_joint_either",
    )  # fmt: skip
    name: str
    control: bool = hidden()
    pieces: tuple[PullPiece, ...] = hidden()
    counts: dict[str, int]
    populations: tuple[Population, ...]
    plain: Population | None = hidden()
    joint: Joint = hidden()
    joint_alike: Joint = hidden()
    by_recipe: tuple[Joint, ...] = keyed("single_joints_by_recipe")
    unwinding: Joint | None = keyed("unwinding_joint")
    weibull: Weibull
    unwound_share: UnwoundShare
    standing: tuple[Standing, ...] = keyed("outliers")
    without: Population | None = keyed("without_outliers")
    efficiency: Efficiency = hidden(default=Efficiency())
    why: Finding | None
    ends: Ends
    notes: tuple[Finding, ...]

    @property
    def kind(self) -> Literal["control", "joint"]:
        """Whether it is straight wire."""
        return "control" if self.control else "joint"

    @property
    def n(self) -> int:
        """Pieces in the group, however they ended."""
        return len(self.pieces)

    @property
    def unwound(self) -> int:
        """Pieces that unwound."""
        return self.unwound_share.count

    @property
    def ended(self) -> int:
        """Pieces that broke or unwound."""
        return self.unwound_share.total

    @property
    def rely_on_n(self) -> float | None:
        """Load [N] that 95 % of whole pieces exceed, with 95 % confidence; None for straight wire, and where pieces failed
        in two ways or too few did for a load above zero."""
        return self._one_load.tolerance_95_95_n if self._one_load else None

    @property
    def plan_with_n(self) -> float | None:
        """Load [N] that 19 of 20 more whole pieces hold; None for straight wire, and where pieces failed in two ways, are of
        more than one size, or too few to say."""
        return self._one_load.plan_with_n if self._one_load else None

    @property
    def to_plan_n(self) -> float | None:
        """The same; None too where by the number of pieces more may unwind than break, beside which a load says nothing."""
        return None if (self.unwound_share.high or 0.0) > limits.UNWINDS_AT else self.plan_with_n

    @property
    def _one_load(self) -> Population | None:
        """The pieces, where one load stands for all of them."""
        alone = not self.control and len(self.populations) == 1 and len({size_of(piece) for piece in self.pieces}) == 1
        return self.populations[0] if alone else None

    @property
    def single_joint(self) -> Joint:
        """One joint, those of a piece independent; straight wire has none."""
        return NO_JOINT if self.control else self.joint

    @property
    def single_joint_alike(self) -> Joint:
        """One joint, those of a piece alike; straight wire has none."""
        return NO_JOINT if self.control else self.joint_alike

    @property
    def single_joint_either(self) -> EitherJoint:
        """One joint, whatever the correlation of a piece's two."""
        joint, alike = self.joint, self.joint_alike
        if self.control or joint.mean_n.value is None:
            return EitherJoint()
        mean_n = Estimate(low=alike.mean_n.low, high=joint.mean_n.high)
        return EitherJoint(mean_n=mean_n, sd_n=Estimate(low=alike.sd_n.low, high=joint.sd_n.high))

    @property
    def broke(self) -> Population | None:
        """The pieces that broke, at a joint or clear of them."""
        return next((p for p in self.populations if p.mode == "broke"), None)


def group_of(name: str, pieces: Sequence[PullPiece]) -> Group:
    """The statistics of one group's pieces."""
    pieces = tuple(pieces)
    control = pieces[0].control
    notes: list[Finding] = []
    populations = tuple(
        population(mode, [p.load_n for p in pieces if mode_of(p) == mode])
        for mode in ("broke", "unwound")
        if any(mode_of(p) == mode for p in pieces)
    )
    plain = max(populations, key=lambda p: p.n) if populations else None
    counts = dict(Counter(p.failure for p in pieces))
    ends = ends_differ(pieces)
    by_recipe: tuple[Joint, ...] = ()
    unwinding = None
    if control:
        joint = alike = wire_of(pieces)
    elif ends:
        says = notice("ends-differ", recipes=", ".join(ends))
        joint, alike = (Joint(correlation=k, says=says) for k in (0, 1))
        by_recipe = tuple(joint_of_recipe(pieces, recipe) for recipe in ends)
        notes.append(replace(says, place=name))
    else:
        joint, alike = (joint_of(pieces, "joint", k) for k in (0, 1))
        if sum(p.ending == "unwound" for p in pieces) >= limits.FEWEST_FAILURES:
            unwinding = joint_of(pieces, "unwound", 0)
    unwound = sum(p.ending == "unwound" for p in pieces)
    ended = sum(mode_of(p) is not None for p in pieces)
    share = UnwoundShare(count=unwound, total=ended)
    if ended and not control:
        low, high = share_interval(unwound, ended)
        share = replace(share, value=unwound / ended, low=low, high=high)
    standing = _standing(pieces)
    without = None
    if standing and plain:
        aside = {s.row for s in standing}
        left = [p.load_n for p in pieces if mode_of(p) == plain.mode and p.row not in aside]
        without = population(plain.mode, left)
    notes += _notes(name, pieces, populations, standing)
    return Group(
        name=name, control=control, pieces=pieces, counts=counts, populations=populations, plain=plain, joint=joint, joint_alike=alike, by_recipe=by_recipe, unwinding=unwinding, weibull=weibull_of(pieces, ends),
        unwound_share=share, standing=standing, without=without, why=None if control or ends else _why(name, populations, joint, alike, pieces),
        ends=ends_of(pieces), notes=tuple(notes),
    )  # fmt: skip


def mode_of(piece: PullPiece) -> Mode | None:
    """Whether a piece broke (anywhere) or unwound; None where it ended at a grip or was stopped."""
    if piece.ending in ("joint", "clear"):
        return "broke"
    return "unwound" if piece.ending == "unwound" else None


def population(mode: Mode, loads: Sequence[float]) -> Population:
    """Plain statistics of the loads (at least one) of one mode."""
    x = np.asarray(loads, dtype=np.float64)
    n, mean, sd = x.size, float(x.mean()), spread(x)
    low, high = mean_interval(mean, sd, n)
    sure, nine_in_ten = (above_zero(tolerance_bound(mean, sd, n, part, 0.95)) for part in (0.95, 0.90))
    return Population(
        mode=mode, n=n, mean_n=mean, median_n=float(np.median(x)), sd_n=known(sd), cv=known(sd / mean),
        mean_low_n=above_zero(low), mean_high_n=known(high) if above_zero(low) else None, least_n=float(x.min()),
        most_n=float(x.max()), tolerance_95_95_n=sure, tolerance_90_95_n=nine_in_ten, plan_with_n=next_piece_bound(x),
    )  # fmt: skip


def plain_confidence(plain: Population) -> Confidence | None:
    """Confidence distribution of a population's mean; None for fewer than two pieces or no spread."""
    if plain.sd_n is None or plain.sd_n == 0.0:
        return None
    return student_confidence(plain.mean_n, plain.sd_n / math.sqrt(plain.n), plain.n - 1)


def ratio(above: float | None, spread_above: Confidence | None, below: Joint | float | None) -> Estimate:
    """A mean over the controls' mean or over a rated load (M8); limits where both sides have theirs."""
    if above is None or below is None:
        return NOTHING
    if isinstance(below, float):
        if spread_above is None:
            return Estimate(value=above / below)
        low, high = spread_above.interval()
        return _positive(above / below, low / below, high / below)
    if below.mean_n.value is None:
        return NOTHING
    value = above / below.mean_n.value
    if spread_above is None or below.confidence is None:
        return Estimate(value=value)
    try:
        return _positive(value, *ratio_confidence(spread_above, below.confidence).interval())
    except ValueError:
        return Estimate(value=value)


def _positive(value: float, low: float, high: float) -> Estimate:
    """A ratio of loads; no limits where they say nothing, reaching below zero."""
    return Estimate.of(value, low, high) if low > 0.0 else Estimate(value=value)


def _standing(pieces: Sequence[PullPiece]) -> tuple[Standing, ...]:
    standing = []
    modes: tuple[Mode, ...] = ("broke", "unwound")
    for mode in modes:
        mine = [p for p in pieces if mode_of(p) == mode]
        for outlier in outliers([p.load_n for p in mine]):
            piece = mine[outlier.place]
            standing.append(
                Standing(
                    id=piece.id,
                    row=piece.row,
                    mode=mode,
                    load_n=piece.load_n,
                    off_sd=outlier.off,
                    limit_sd=outlier.limit,
                    failure=piece.failure,
                )
            )
    return tuple(standing)


def _why(
    name: str, populations: Sequence[Population], joint: Joint, alike: Joint, pieces: Sequence[PullPiece]
) -> Finding | None:
    """Why the single joint's mean differs from the plain mean of those that broke, with each part in N.

    others_n is what counting the other endings as "at least" does, weaker_n what two joints do.
    """
    broke = next((p for p in populations if p.mode == "broke"), None)
    if broke is None or joint.mean_n.value is None or alike.mean_n.value is None:
        return None
    others = Counter[str](p.ending for p in pieces if p.ending != "joint")
    two = any(p.joints == 2 for p in pieces)
    if not others and not two:
        return None
    total = round(joint.mean_n.value - broke.mean_n)
    censoring = round(alike.mean_n.value - broke.mean_n) if others else 0
    return notice(
        "joint-and-mean-differ", name, total_n=total, others_n=censoring if others else None,
        weaker_n=total - censoring if two else None, **others,
    )  # fmt: skip


def _notes(
    name: str, pieces: Sequence[PullPiece], populations: Sequence[Population], standing: Sequence[Standing]
) -> Iterator[Finding]:
    """What a reader must know about this group."""
    if len(pieces) == 1:
        yield notice("one-piece", name, row=pieces[0].row)
    if not populations:
        yield notice("no-strength", name)
    if len(populations) == 2:
        broke, unwound = populations
        yield notice("two-populations", name, broke=broke.n, unwound=unwound.n)
    unplaced = sum(p.failure == "broke" for p in pieces)
    if unplaced and not pieces[0].control:
        yield notice("place-not-noted", name, count=unplaced)
    for odd in standing:
        yield notice(
            "stands-out", name, Severity.CAUTION, id=odd.id, row=odd.row, load_n=odd.load_n, off_sd=odd.off_sd,
            limit_sd=odd.limit_sd, beyond=odd.off_sd > odd.limit_sd, failure=odd.failure,
        )  # fmt: skip
    for column in ("speed", "size"):
        kinds = {p.cells.get(column, "") for p in pieces} - {""}
        if len(kinds) > 1:
            yield notice(f"{column}s-mixed", name, Severity.CAUTION, kinds=", ".join(sorted(kinds)[:4]))


def loads_of(pieces: Sequence[PullPiece]) -> Array:
    """Loads in N, shape (n,)."""
    return np.array([p.load_n for p in pieces], dtype=np.float64)
