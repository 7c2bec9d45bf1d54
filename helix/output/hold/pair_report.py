"""Two wires worked as one, in words and tables: what they hold, by how much they may be unequal, how stiff they are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from helix.data.practice import practice
from helix.mechanics import limits
from helix.output.report.document import Block, Bullets, Heading, Table
from helix.output.words.sentence_format import of_all
from helix.studies.hold.pair.pair_hold import PairHold
from helix.studies.hold.pair.pair_load import UNIFORM_STRAIN, PairLoad
from helix.studies.hold.pair.pair_stiffness import BOW, Stiffness
from helix.units import MM_PER_INCH, N_PER_LBF, UnitSystem, format_force, format_length

UNWINDING: Final = "no model says whether four strands unwind (all know two). Pull three before you rely on it."


def unwinding_line(pair: PairHold | None) -> str:
    """That no model says whether four strands unwind, and what own pieces did."""
    own = None if pair is None else pair.own
    if own is None or not own.pieces:
        return UNWINDING
    did = f"{of_all(own.unwound, own.pieces, own=True)} did" if own.unwound else f"none of your {own.pieces:g} did"
    if own.pieces == 1 and not own.unwound:
        did = "your own piece did not"
    return f"no model says whether four strands unwind; {did}. Up to {100.0 * own.unwinds_at_most:.0f} % may."


def reckoned_line(load: PairLoad, units: UnitSystem) -> str:
    """What practice reckons with."""
    return f"Practice reckons twice one wire, {format_force(load.reckoned_n, units)} ({practice().mark}), and sees no slack."


def stiff_line(pair: PairHold, units: UnitSystem) -> str:
    """How stiff the pair is beside one wire."""
    thick = format_length(pair.stiffness.same_area.diameter_mm, units)
    return f"Twice as stiff as one such wire, half as stiff as one of the same area ({thick})."


def slack_lines(load: PairLoad, units: UnitSystem) -> Iterator[str]:
    """By how much the two may be unequal, and what a cut by hand leaves."""
    free, most = format_length(load.free_length_mm, units), format_length(load.most_slack_mm, units)
    share = f"{100.0 * limits.PAIR_LOSS:g} %"
    loss = f"costs {share} of what two just equal hold (limit assumed)"
    if load.slack_stated:
        unequal = "both equal" if load.slack_mm == 0.0 else f"one {format_length(load.slack_mm, units)} longer"
        yield f"With {unequal} on {free} between the joints; {most} {loss}."
        return
    if load.slack_mm <= load.most_slack_mm:
        yield f"Keep the two equal to within {most} on {free} between the joints: that {loss}."
        return
    slacks, plans = ([getattr(row, name) for row in load.rows] for name in ("slack_mm", "plan_with_n"))
    equal, finer = (
        format_force(float(np.interp(slack_mm, slacks, plans)), units) for slack_mm in (0.0, load.most_slack_mm)
    )
    yield f"That is with one wire {format_length(load.slack_mm, units)} longer on {free} between the joints, as hands cut."
    yield f"Just equal: {equal}; within {most}, finer than hands cut: {finer}, {share} less (limit assumed)."


def pair_blocks(pair: PairHold, units: UnitSystem) -> list[Block]:
    """All of it: load against slack, stiffness, what is taken for granted."""
    blocks: list[Block] = [Heading("Two wires worked as one")]
    if pair.load is not None:
        blocks.append(slack_table(pair.load, units))
    return [*blocks, stiffness_table(pair, units), Bullets(pair_assumptions(pair))]


def slack_table(load: PairLoad, units: UnitSystem) -> Table:
    """Slack against load."""
    rows = tuple(
        (
            format_length(row.slack_mm, units),
            format_force(row.plan_with_n, units),
            format_force(row.expected_n, units),
            f"{row.longer_proportion:.0%}",
            format_force(row.yielding_n, units),
            f"{abs(row.caught_up):.0%}",
        )
        for row in load.rows
    )
    stretch_mm = 12.0 * MM_PER_INCH if units == "inch" else 1000.0
    each = format_length(stretch_mm * load.most_slack_mm / load.free_length_mm, units)
    return Table(
        f"Slack against load, {format_length(load.free_length_mm, units)} between the joints",
        ("longer by", "plan with", "expected", "longer carries", "if it yields", "caught up"),
        rows,
        note=(
            f"{100.0 * limits.PAIR_LOSS:g} % of the load to plan with is lost at {format_length(load.most_slack_mm, units)} ({limits.ASSUMED}); that is in proportion to the "
            f"free length: {each} for each {'foot' if units == 'inch' else 'metre'}. If it yields: expected load where the straight wire yields at {practice().scatter.flow[0]:g} of its strength and then "
            f"stretches evenly by {100.0 * UNIFORM_STRAIN:g} % (assumed). Caught up: part of the difference in load that this makes up."
        ),
    )


def stiffness_table(pair: PairHold, units: UnitSystem) -> Table:
    """The pair beside one wire of its size and one of its area."""
    beside = pair.stiffness
    named = (
        ("two wires", beside.pair),
        ("one of their size", beside.same_size),
        ("one of their area", beside.same_area),
    )
    rows = tuple((name, *_stiff(one, units)) for name, one in named)
    return Table(
        f"Stiffness, and pushes along {format_length(beside.length_mm, units)}",
        ("", "diameter", f"E I, {stiffness_unit(units)}", "tightest bend", "buckles at", "bow takes a set at"),
        rows,
        note=(
            f"Two wires slide on each other; bonded they would have at most {format_stiffness(beside.bonded_n_mm2, units)} in the plane in which they lie, and no more across it. Tightest bend: "
            "radius that leaves no set (nominal strength). Pushed along itself, both ends free to turn (Euler); bow: of "
            f"{format_length(beside.rise_mm, units)}, {BOW:.0%} of the length (assumed). The wire of their area is taken as strong as theirs; tables give thicker wire less."
        ),
    )


def pair_assumptions(pair: PairHold) -> tuple[str, ...]:
    """What is taken for granted of two wires."""
    return (
        "Both wires are alike and of one coil; either may be the weaker one, and it is taken as the shorter one.",
        (
            "The free wire is elastic until its joint breaks: hard wire hardens too little to stretch evenly, so the shorter wire "
            "does not wait for the longer one."
        ),
        (
            "Not counted: what the joint gives as its bends and its lay are pulled straight, and one wire slipping past the other in the twist. Both would even "
            "the two out; nobody has modelled four strands."
        ),
        "Each wire's joint is taken to hold what that of a single wire does, never more.",
    )


def _stiff(one: Stiffness, units: UnitSystem) -> tuple[str, ...]:
    return (
        format_length(one.diameter_mm, units),
        format_stiffness(one.stiffness_n_mm2, units),
        format_length(one.set_radius_mm, units),
        format_force(one.buckles_n, units),
        format_force(one.bow_n, units),
    )


def stiffness_unit(units: UnitSystem) -> str:
    """Of a bending stiffness."""
    return "lbf in2" if units == "inch" else "N mm2"


def format_stiffness(n_mm2: float, units: UnitSystem) -> str:
    """A bending stiffness without its unit.

    >>> format_stiffness(11156.1, "metric"), format_stiffness(2789.04, "inch")
    ('11156', '0.972')
    """
    value = n_mm2 / N_PER_LBF / MM_PER_INCH**2 if units == "inch" else n_mm2
    return f"{value:.0f}" if value >= 100.0 else f"{value:.3g}"
