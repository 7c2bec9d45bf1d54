"""One group of pull tests: what was measured, and what it says about one joint."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Literal, TypeAlias

import numpy as np

from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Array, Confidence, ratio_confidence, student_confidence
from helix.statistics.proportions import share_interval
from helix.statistics.samples import mean_interval, outliers, spread, tolerance_bound
from helix.studies.pulls.pull_joints import (
    NOTHING,
    Estimate,
    Joint,
    Weibull,
    ends_differ,
    joint_of,
    joint_of_recipe,
    known,
    weibull_of,
    wire_of,
)
from helix.values import result

Mode: TypeAlias = Literal["broke", "unwound"]


@result
class Population:
    """Pieces of one mode: counts, loads in N, plain statistics (M1 to M3)."""

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
class Group:
    """Everything that the pieces of one group say. ``plain`` is the larger population, which the group's mean is of.

    joint: by correlation 0; joint_alike: by correlation 1, the other bound. by_recipe: where the two ends
    differ, each recipe's joint. unwinding: the load at which one joint unwinds. without: plain statistics
    and single joint with the pieces that stand out left aside, to compare only.
    """

    name: str
    control: bool
    pieces: tuple[PullPiece, ...]
    counts: dict[str, int]
    populations: tuple[Population, ...]
    plain: Population | None
    joint: Joint
    joint_alike: Joint
    by_recipe: tuple[tuple[str, Joint], ...]
    unwinding: Joint | None
    weibull: Weibull
    unwound: int
    ended: int
    unwound_share: Estimate
    standing: tuple[Standing, ...]
    without: Population | None
    why: str
    notes: tuple[str, ...]

    @property
    def n(self) -> int:
        """Pieces in the group, however they ended."""
        return len(self.pieces)

    @property
    def joint_either(self) -> tuple[Estimate, Estimate]:
        """Limits of one joint's mean and SD that hold whatever the correlation of a piece's two joints."""
        mean, sd = self.joint.mean_n, self.joint.sd_n
        if self.control or mean.value is None:
            return NOTHING, NOTHING
        alike = self.joint_alike
        return Estimate(value=None, low=alike.mean_n.low, high=mean.high), Estimate(
            value=None, low=alike.sd_n.low, high=sd.high
        )

    @property
    def broke(self) -> Population | None:
        """The pieces that broke, at a joint or clear of them."""
        return next((p for p in self.populations if p.mode == "broke"), None)


def group_of(name: str, pieces: Sequence[PullPiece]) -> Group:
    """The statistics of one group's pieces."""
    pieces = tuple(pieces)
    control = pieces[0].control
    notes: list[str] = []
    populations = tuple(
        population(mode, [p.load_n for p in pieces if mode_of(p) == mode])
        for mode in ("broke", "unwound")
        if any(mode_of(p) == mode for p in pieces)
    )
    plain = max(populations, key=lambda p: p.n) if populations else None
    counts = dict(Counter(p.failure for p in pieces))
    ends = ends_differ(pieces)
    by_recipe: tuple[tuple[str, Joint], ...] = ()
    unwinding = None
    if control:
        joint = alike = wire_of(pieces)
    elif ends:
        says = "the joints at the two ends differ, so each recipe is given on its own"
        joint, alike = (
            Joint(
                correlation=k,
                failures=0,
                at_least=0,
                mean_n=NOTHING,
                sd_n=NOTHING,
                tolerance_95_95_n=None,
                tolerance_90_95_n=None,
                says=says,
                confidence=None,
                scale_confidence=None,
            )
            for k in (0, 1)
        )
        by_recipe = tuple((recipe, joint_of_recipe(pieces, recipe)) for recipe in ends)
        notes.append(f"{says[0].upper()}{says[1:]}: {', '.join(ends)}.")
    else:
        joint, alike = (joint_of(pieces, "joint", k) for k in (0, 1))
        if sum(p.ending == "unwound" for p in pieces) >= limits.FEWEST_FAILURES:
            unwinding = joint_of(pieces, "unwound", 0)
    unwound = sum(p.ending == "unwound" for p in pieces)
    ended = sum(mode_of(p) is not None for p in pieces)
    share = Estimate.of(unwound / ended, *share_interval(unwound, ended)) if ended and not control else NOTHING
    standing = _standing(pieces)
    without = None
    if standing and plain:
        aside = {s.row for s in standing}
        left = [p.load_n for p in pieces if mode_of(p) == plain.mode and p.row not in aside]
        without = population(plain.mode, left)
    _notes(pieces, populations, standing, notes)
    return Group(
        name=name, control=control, pieces=pieces, counts=counts, populations=populations, plain=plain, joint=joint, joint_alike=alike, by_recipe=by_recipe, unwinding=unwinding, weibull=weibull_of(pieces, ends),
        unwound=unwound, ended=ended, unwound_share=share, standing=standing, without=without, why="" if control or ends else _why(populations, joint, alike, pieces), notes=tuple(notes),
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
    return Population(
        mode=mode, n=n, mean_n=mean, median_n=float(np.median(x)), sd_n=known(sd), cv=known(sd / mean), mean_low_n=known(low), mean_high_n=known(high),
        least_n=float(x.min()), most_n=float(x.max()), tolerance_95_95_n=known(tolerance_bound(mean, sd, n, 0.95, 0.95)),
        tolerance_90_95_n=known(tolerance_bound(mean, sd, n, 0.90, 0.95)),
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
        return Estimate(value=above / below, low=low / below, high=high / below)
    if below.mean_n.value is None:
        return NOTHING
    value = above / below.mean_n.value
    if spread_above is None or below.confidence is None:
        return Estimate(value=value)
    try:
        return Estimate.of(value, *ratio_confidence(spread_above, below.confidence).interval())
    except ValueError:
        return Estimate(value=value)


def _standing(pieces: Sequence[PullPiece]) -> tuple[Standing, ...]:
    found = []
    modes: tuple[Mode, ...] = ("broke", "unwound")
    for mode in modes:
        mine = [p for p in pieces if mode_of(p) == mode]
        for each in outliers([p.load_n for p in mine]):
            piece = mine[each.place]
            found.append(
                Standing(
                    id=piece.id,
                    row=piece.row,
                    mode=mode,
                    load_n=piece.load_n,
                    off_sd=each.off,
                    limit_sd=each.limit,
                    failure=piece.failure,
                )
            )
    return tuple(found)


def _why(populations: Sequence[Population], joint: Joint, alike: Joint, pieces: Sequence[PullPiece]) -> str:
    """Why the single joint's mean differs from the plain mean of those that broke, with each share in N.

    The first share is what counting the other endings as "at least" does, the second what two joints do.
    """
    broke = next((p for p in populations if p.mode == "broke"), None)
    if broke is None or joint.mean_n.value is None or alike.mean_n.value is None:
        return ""
    others = Counter(p.ending for p in pieces if p.ending != "joint")
    words = {"clear": "broke clear", "grip": "ended at a grip", "unwound": "unwound", "stopped": "were stopped"}
    parts = []
    censoring = round(alike.mean_n.value - broke.mean_n)
    if others:
        listed = " and ".join(f"{count} {words[ending]}" for ending, count in others.items())
        parts.append(f"{censoring:+d} N because {listed}: their joints were stronger than the load read")
    if any(p.joints == 2 for p in pieces):
        weaker = round(joint.mean_n.value - broke.mean_n) - (censoring if others else 0)
        parts.append(f"{weaker:+d} N because each piece shows the weaker of its two joints")
    total = round(joint.mean_n.value - broke.mean_n)
    return f"One joint averages {total:+d} N against the plain mean: {'; '.join(parts)}." if parts else ""


def _notes(
    pieces: Sequence[PullPiece], populations: Sequence[Population], standing: Sequence[Standing], notes: list[str]
) -> None:
    """What a reader must know about this group."""
    if len(pieces) == 1:
        notes.append(f"One piece (row {pieces[0].row}): no spread, no interval.")
    if not populations:
        notes.append("No piece broke or unwound: there is no strength to average.")
    if len(populations) == 2:
        broke, unwound = populations
        notes.append(
            f"{broke.n} broke and {unwound.n} unwound: two different things, each with its own mean and never averaged "
            "together."
        )
    unplaced = sum(p.failure == "broke" for p in pieces)
    if unplaced and not pieces[0].control:
        notes.append(
            f"{unplaced} broke with the place not noted: counted as joint failures, the careful side. Had they broken "
            "clear of the joints, a single joint would come out stronger."
        )
    for each in standing:
        off = f"{each.off_sd:.1f} SD off, the limit for this many pieces being {each.limit_sd:.1f}"
        if each.off_sd <= each.limit_sd:
            off = f"{each.off_sd:.1f} SD off, beyond the limit together with the next one"
        notes.append(
            f"{each.id} (row {each.row}) stands out: {each.load_n:.0f} N is {off}. It is kept in every number; "
            f"look for a cause ({each.failure})."
        )
    for column, what in (("speed", "speeds"), ("size", "wire sizes")):
        kinds = {p.cells.get(column, "") for p in pieces} - {""}
        if len(kinds) > 1:
            notes.append(f"The pieces have different {what}: {', '.join(sorted(kinds)[:4])}.")


def loads_of(pieces: Sequence[PullPiece]) -> Array:
    """Loads in N, shape (n,)."""
    return np.array([p.load_n for p in pieces], dtype=np.float64)
