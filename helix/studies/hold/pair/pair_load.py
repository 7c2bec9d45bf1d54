"""What two wires worked as one hold together, from what one wire's joint holds and how unequal the two are.

Nothing here says whether four strands unwind: no model does. docs/theory/pair.md.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from helix.data.practice import practice
from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.geometry.maths.jets import Array
from helix.mechanics import limits
from helix.mechanics.pair.sharing import WireLaw, caught_up, longer_stress, slack_for_loss
from helix.model.joint.wire import Wire
from helix.units import format_length
from helix.values import result

UNIFORM_STRAIN: Final = 0.01  # lasting strain of a straight length that still stretches evenly (assumed)
HAND_MM: Final = 1.0  # how equal hands cut two wires (assumed)
_STEPS: Final = (
    0.0,
    0.5,
    1.0,
    1.5,
    2.0,
    3.0,
    4.0,
    5.0,
    6.0,
    8.0,
    10.0,
    12.0,
)  # slacks shown, over the most that is allowed


@result
class SlackRow:
    """The pair with one slack.

    expected_n, plan_with_n: in wire that is elastic until it breaks; longer_proportion: of the load that is expected, on the longer wire when the
    shorter one breaks. yielding_n, caught_up: the expected load in wire that yields early and stretches evenly by UNIFORM_STRAIN
    before it breaks, and how far the longer one then catches up.
    """

    slack_mm: float
    expected_n: float
    plan_with_n: float
    longer_proportion: float
    yielding_n: float
    caught_up: float


@result
class PairLoad:
    """What two wires hold together, should their joint not unwind.

    free_length_mm: of straight wire in which the two are unequal; slack_mm: by how much, as stated, or the most allowed, or what a hand cuts to where that is more. expected_n, plan_with_n: with that slack;
    most_slack_mm: with which the load to plan with falls by `limits.PAIR_LOSS`. one_expected_n, one_plan_with_n: of one wire's joint; reckoned_n:
    twice that to plan with, as practice reckons, which sees neither slack nor that either of the two may be the weak one.
    """

    free_length_mm: float
    slack_mm: float
    slack_stated: bool
    expected_n: float
    plan_with_n: float
    most_slack_mm: float
    one_expected_n: float
    one_plan_with_n: float
    reckoned_n: float
    rows: tuple[SlackRow, ...]


def pair_load(wire: Wire, pieces_n: Array, free_length_mm: float, slack_mm: float | None = None) -> PairLoad:
    """What two such wires hold together.

    pieces_n: loads of one wire's joint, (n,), each as likely as the other, above 0. free_length_mm: of the straight wire between the joints. slack_mm: how
    much longer one wire is; None: as much as is allowed, and never less than a hand cuts to. Either wire may be the weaker one, and it counts as the shorter one: to plan
    with, the load that half as many pieces fall short of, a bound whatever the two have in common; expected, that of the weaker of two pieces
    that have nothing in common.

    Raises ValidationError for a free length of 0 or less, and a slack below 0.
    """
    _check(free_length_mm, slack_mm)
    ordered = np.sort(pieces_n)
    below = (2.0 * np.arange(ordered.size)[::-1] + 1.0) / ordered.size**2  # how often each is the lesser of two
    expected, planned = float(below @ ordered), float(np.quantile(ordered, 0.5 * limits.HELD))
    stress = planned / wire.area_mm2
    most = free_length_mm * float(slack_for_loss(limits.PAIR_LOSS, stress, _elastic(wire, stress)))
    used = max(most, HAND_MM) if slack_mm is None else slack_mm
    alone = float(ordered.mean()), float(np.quantile(ordered, limits.HELD))

    def row(slack: float) -> SlackRow:
        return _row(wire, (expected, planned), alone, slack, free_length_mm)

    counted = row(used)
    return PairLoad(
        free_length_mm=free_length_mm,
        slack_mm=used,
        slack_stated=slack_mm is not None,
        expected_n=counted.expected_n,
        plan_with_n=counted.plan_with_n,
        most_slack_mm=most,
        one_expected_n=alone[0],
        one_plan_with_n=alone[1],
        reckoned_n=2.0 * alone[1],
        rows=tuple(row(step * most) for step in _STEPS),
    )


def _check(free_length_mm: float, slack_mm: float | None) -> None:
    issues: list[ValidationIssue] = []
    if not (free_length_mm > 0.0 and math.isfinite(free_length_mm)):
        issues.append(argument_issue("free_length", f"must be above 0; got {format_length(free_length_mm)}"))
    if slack_mm is not None and not (slack_mm >= 0.0 and math.isfinite(slack_mm)):
        issues.append(argument_issue("slack", f"must be 0 or more; got {format_length(slack_mm)}"))
    if issues:
        raise ValidationError(issues)


def _elastic(wire: Wire, most_mpa: float) -> WireLaw:
    """Wire that is elastic until it breaks."""
    return WireLaw(wire.modulus_mpa, most_mpa, most_mpa, 0.0)


def _row(
    wire: Wire, weaker: tuple[float, float], alone: tuple[float, float], slack_mm: float, free_length_mm: float
) -> SlackRow:
    """weaker: load at which the weaker of two wires breaks, expected and to plan with [N]; alone: of any one, which the pair
    holds in any case, as the last one left does."""
    area, slack, (expected_n, planned_n) = wire.area_mm2, slack_mm / free_length_mm, weaker
    elastic = _elastic(wire, expected_n / area)
    strength = max(wire.strength_mpa[1], expected_n / area)
    soft = WireLaw(wire.modulus_mpa, practice().scatter.flow[0] * strength, strength, UNIFORM_STRAIN)
    behind, behind_planned, behind_soft = (
        area * float(longer_stress(slack, broke_n / area, law))
        for broke_n, law in ((expected_n, elastic), (planned_n, elastic), (expected_n, soft))
    )
    return SlackRow(
        slack_mm=slack_mm,
        expected_n=max(expected_n + behind, alone[0]),
        plan_with_n=max(planned_n + behind_planned, alone[1]),
        longer_proportion=behind / (expected_n + behind),
        yielding_n=max(expected_n + behind_soft, alone[0]),
        caught_up=float(caught_up(slack, expected_n / area, soft)),
    )
