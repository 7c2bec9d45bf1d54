"""Two thinner wires worked as one in place of one: the lightest pair whose joint would hold a load with a margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Final

from helix.mechanics import limits
from helix.model.joint.wire import Wire
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.pair.pair_load import PairLoad, pair_load
from helix.studies.hold.pair.pair_stiffness import PairStiffness, stiffness_beside
from helix.values import hidden, result

_MOST_TRIED: Final = 40


@result
class PairChoice:
    """Two such wires worked as one, should four strands not unwind, which no model says.

    holds_n: to plan with, the two equal to within `load.most_slack_mm` over a piece; margin: that over the load; kg_per_m: of both; one: what
    is estimated of one wire's joint.
    """

    also: ClassVar = (
        "size=wire.size",
        "diameter_mm=wire.diameter_mm",
        "material=wire.material",
        "expected_n=load.expected_n",
        "reckoned_n=load.reckoned_n",
        "most_slack_mm=load.most_slack_mm",
        "stiffness_n_mm2=stiffness.pair.stiffness_n_mm2",
    )
    wire: Wire = hidden()
    one: HoldResult = hidden()
    load: PairLoad = hidden()
    stiffness: PairStiffness = hidden()
    holds_n: float
    margin: float
    kg_per_m: float


def lightest_pair(
    wires: Sequence[Wire],
    load_n: float,
    margin: float,
    piece_mm: float,
    held: Callable[[Wire], HoldResult | None],
    kg_per_m: Callable[[Wire], float],
) -> PairChoice | None:
    """The first of the wires, lightest first, of which two hold the load with the margin; None where none is found.

    held: what is estimated of one wire's joint, None where it cannot be made.
    """
    strong = [wire for wire in wires if 2.0 * (1.0 - limits.PAIR_LOSS) * wire.breaking_load_n[0] >= load_n * margin]
    for wire in strong[:_MOST_TRIED]:
        one = held(wire)
        if one is None or one.forecast is None:
            continue
        load = pair_load(wire, one.forecast.pieces_n, piece_mm)
        if load.plan_with_n >= load_n * margin:
            return PairChoice(
                wire=wire,
                one=one,
                load=load,
                stiffness=stiffness_beside(wire, piece_mm),
                holds_n=load.plan_with_n,
                margin=load.plan_with_n / load_n,
                kg_per_m=2.0 * kg_per_m(wire),
            )
    return None
